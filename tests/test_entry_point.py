"""The command line itself: version, help, and calls that are wrong."""

from __future__ import annotations

import os
import subprocess
import sys
from argparse import HelpFormatter
from importlib.metadata import version
from pathlib import Path

import pytest

from buildcheck.cli.arguments import COMMANDS, parser_for
from buildcheck.cli.main import main

ROOT = Path(__file__).parent.parent
VERSION = f"buildcheck {version('buildcheck')}\n"


def test_the_version_is_reported_without_reading_the_command_line() -> None:
    code = "import sys; from buildcheck.cli.main import main; main(['--version']); "
    code += "sys.exit(bool({'argparse', 'typing'} & {*sys.modules}))"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)
    assert (done.stdout, done.stderr, done.returncode) == (VERSION, "", 0)


def test_the_parser_shows_the_same_version(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as ended:
        main(["--version", "check"])
    assert ended.value.code == 0
    assert capsys.readouterr().out == VERSION


def test_help_names_every_command_and_what_it_does(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as ended:
        main(["--help"])
    assert ended.value.code == 0
    result = " ".join(capsys.readouterr().out.split())
    assert all(f" {name} {does} " in f"{result} " for name, does in COMMANDS.items())


@pytest.mark.parametrize("columns", [None, "", "none", "0", "-5", "30", "60", "132", "9" * 5000])
@pytest.mark.parametrize("given", [[], ["check"]])
def test_help_is_laid_out_as_pythons_own_would_be(
    monkeypatch: pytest.MonkeyPatch, given: list[str], columns: str | None
) -> None:
    monkeypatch.delenv("COLUMNS", raising=False)
    if columns is not None:
        monkeypatch.setenv("COLUMNS", columns)
    parser = parser_for(given)
    ours = parser.format_help()
    parser.formatter_class = HelpFormatter
    assert ours == parser.format_help()


def test_help_is_as_wide_as_the_terminal(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("COLUMNS", raising=False)
    widths = {}
    for columns in (50, 100):
        monkeypatch.setattr("os.get_terminal_size", lambda *_, wide=columns: os.terminal_size((wide, 24)))
        widths[columns] = max(map(len, parser_for([]).format_help().splitlines()))
    assert 40 < widths[50] <= 48
    assert 80 < widths[100] <= 98


def test_help_does_without_every_format_of_archives() -> None:
    code = (
        "import buildcheck.cli.arguments as a, sys; a.parser_for([]).format_help(); sys.exit('shutil' in sys.modules)"
    )
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0


NOT_FOR_A_CHECK = ["dataclasses", "hashlib", "inspect", "jinja2", "jsonschema", "multiprocessing", "pint", "tempfile"]


def test_a_check_that_passes_imports_nothing_that_only_others_need() -> None:
    code = "import sys; from buildcheck.cli.main import main; main(['check', 'example_build']); "
    code += f"print(*{{*{NOT_FOR_A_CHECK}}} & {{*sys.modules}}, file=sys.stderr)"
    done = subprocess.run([sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=True)
    assert "Ready to order" in done.stdout
    assert done.stderr == "\n"


@pytest.mark.parametrize("name", COMMANDS)
def test_a_commands_help_says_how_it_is_called_and_gives_an_example(
    capsys: pytest.CaptureFixture[str], name: str
) -> None:
    with pytest.raises(SystemExit) as ended:
        main([name, "--help"])
    assert ended.value.code == 0
    result = capsys.readouterr().out
    assert result.startswith(f"usage: buildcheck {name} ")
    assert f"example: buildcheck {name}" in result


@pytest.mark.parametrize(
    ("given", "why"),
    [
        ([], "the following arguments are required: COMMAND"),
        (["chek"], "invalid choice: 'chek'"),
        (["--vers"], "the following arguments are required: COMMAND"),
        (["check", "--stric"], "unrecognized arguments: --stric"),
    ],
)
def test_a_wrong_call_says_why_and_how_it_is_called(
    capsys: pytest.CaptureFixture[str], given: list[str], why: str
) -> None:
    with pytest.raises(SystemExit) as ended:
        main(given)
    assert ended.value.code == 2
    result = capsys.readouterr()
    assert not result.out
    assert result.err.startswith("usage: buildcheck ")
    assert why in result.err
