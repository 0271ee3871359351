"""Completion scripts: bash runs its own here; zsh and fish theirs, where they are installed."""

from __future__ import annotations

import shutil
import subprocess
from functools import cache
from pathlib import Path

import pytest

from buildcheck.cli.arguments import COMMANDS, parser_for
from buildcheck.cli.completion_scripts import SHELLS, commands
from buildcheck.cli.main import main

KNOWN = commands(parser_for(list(COMMANDS)), {"explain": ["mark-centred", "mark_offset", "stage"]})
ASK = """\
source "$0"
COMP_WORDS=("$@")
COMP_CWORD=$(($# - 1))
_buildcheck
printf '%s\\n' "${COMPREPLY[@]}"
"""


@cache
def script(shell: str) -> str:
    return SHELLS[shell](KNOWN)


@pytest.mark.parametrize(
    ("typed", "expected"),
    [
        ("", sorted(COMMANDS)),
        ("rep", ["report"]),
        ("check --st", ["--stage", "--strict"]),
        ("check --stage ", ["planning", "measuring", "ordering", "assembled", "closed"]),
        ("check engines --format js", ["json"]),
        ("explain mark", ["mark-centred", "mark_offset"]),
        ("completion ", ["bash", "fish", "zsh"]),
        ("check eng", ["engines"]),
        ("explain stage eng", ["engines"]),
    ],
)
def test_bash_completes(tmp_path: Path, typed: str, expected: list[str]) -> None:
    (tmp_path / "engines").mkdir()
    (tmp_path / "script").write_text(script("bash"), encoding="utf-8")
    words = ["bash", "-c", ASK, str(tmp_path / "script"), "buildcheck", *typed.split(" ")]
    done = subprocess.run(words, cwd=tmp_path, capture_output=True, text=True, check=True)
    assert done.stdout.split() == expected
    assert done.stderr == ""


@pytest.mark.parametrize("shell", ["bash", "fish", "zsh"])
def test_the_shell_itself_finds_nothing_wrong(tmp_path: Path, shell: str) -> None:
    if shutil.which(shell) is None:
        pytest.skip(f"{shell} is not installed here")
    (tmp_path / "script").write_text(script(shell), encoding="utf-8")
    done = subprocess.run([shell, "-n", str(tmp_path / "script")], capture_output=True, text=True, check=False)
    assert (done.returncode, done.stderr) == (0, "")


@pytest.mark.skipif(shutil.which("fish") is None, reason="fish is not installed here")
def test_fish_completes(tmp_path: Path) -> None:
    (tmp_path / "script").write_text(script("fish"), encoding="utf-8")
    ask = f"source {tmp_path / 'script'}; complete -C 'buildcheck check --stage ord'; complete -C 'buildcheck repo'"
    done = subprocess.run(["fish", "-c", ask], capture_output=True, text=True, check=True)
    assert [line.split("\t")[0] for line in done.stdout.splitlines()] == ["ordering", "report"]


@pytest.mark.parametrize("shell", SHELLS)
def test_every_command_option_and_choice_is_in_the_script(shell: str) -> None:
    text = script(shell)
    assert {command.name for command in KNOWN} == set(COMMANDS)
    for command in KNOWN:
        spelled = [name.lstrip("-") for name in command.spellings]
        assert [word for word in (command.name, *spelled, *command.words) if word not in text] == []


def test_the_command_prints_the_script_with_rules_and_quantities_to_explain(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["completion", "bash"]) == 0
    text = capsys.readouterr().out
    assert " mark-centred " in text
    assert " coil_bind_clearance " in text


@pytest.mark.parametrize("command", COMMANDS)
def test_every_command_s_help_ends_with_an_example(capsys: pytest.CaptureFixture[str], command: str) -> None:
    with pytest.raises(SystemExit):
        main([command, "--help"])
    last = " ".join(capsys.readouterr().out.split("\n\n")[-1].split())
    assert last.startswith(f"example: buildcheck {command}")
