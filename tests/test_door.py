"""The command line itself: version, help, and calls that are wrong."""

from __future__ import annotations

import subprocess
import sys
from importlib.metadata import version

import pytest

from buildcheck.arguments import COMMANDS
from buildcheck.cli import main

VERSION = f"buildcheck {version('buildcheck')}\n"


def test_the_version_is_told_without_reading_the_command_line() -> None:
    code = "import sys; from buildcheck.cli import main; main(['--version']); sys.exit('argparse' in sys.modules)"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)
    assert (done.stdout, done.stderr, done.returncode) == (VERSION, "", 0)


def test_the_parser_tells_the_same_version(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as ended:
        main(["--version", "check"])
    assert ended.value.code == 0
    assert capsys.readouterr().out == VERSION


def test_help_names_every_command_and_what_it_does(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as ended:
        main(["--help"])
    assert ended.value.code == 0
    told = " ".join(capsys.readouterr().out.split())
    assert all(f" {name} {does} " in f"{told} " for name, does in COMMANDS.items())


@pytest.mark.parametrize("name", COMMANDS)
def test_a_commands_help_says_how_it_is_called_and_gives_an_example(
    capsys: pytest.CaptureFixture[str], name: str
) -> None:
    with pytest.raises(SystemExit) as ended:
        main([name, "--help"])
    assert ended.value.code == 0
    told = capsys.readouterr().out
    assert told.startswith(f"usage: buildcheck {name} ")
    assert f"example: buildcheck {name}" in told


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
    told = capsys.readouterr()
    assert not told.out
    assert told.err.startswith("usage: buildcheck ")
    assert why in told.err
