"""``check --format`` as it is called: results on stdout alone, UTF-8 whatever the locale, the exit code the verdict."""

from __future__ import annotations

import contextlib
import io
import os
import re
import subprocess
import sys
from pathlib import Path

import pytest
from repositories import ROOT

from buildcheck.app.run import Run
from buildcheck.cli.commands.check import FORMATS
from buildcheck.cli.main import main
from buildcheck.output import text

MACHINES = sorted(set(FORMATS) - {"text"})


def check(folder: Path, *options: str, **environment: str) -> subprocess.CompletedProcess[bytes]:
    command = [sys.executable, "-m", "buildcheck", "check", *options]
    return subprocess.run(command, cwd=folder, env={**os.environ, **environment}, capture_output=True, check=False)


def check_here(folder: Path, *options: str) -> tuple[int, bytes, str]:
    """The command in this process, on streams that take ASCII alone: exit code, output and errors."""
    out, err = (io.TextIOWrapper(io.BytesIO(), "ascii") for _ in range(2))
    with contextlib.chdir(folder), contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
        code = main(["check", *options])
        out.flush()
        err.flush()
    return code, out.buffer.getvalue(), err.buffer.getvalue().decode()


def test_every_format_is_a_module() -> None:
    folder = ROOT / "buildcheck" / "output"
    assert {name for name in FORMATS if (folder / f"{name}.py").is_file()} == set(FORMATS)


@pytest.mark.parametrize("form", MACHINES)
def test_machines_get_utf8_and_the_exit_code(repository: Path, form: str) -> None:
    code, out, err = check_here(repository / "engines" / "red", "--format", form)
    assert (code, err) == (1, "")
    assert "± 0.0023 in" in out.decode("utf-8")


def test_a_process_of_its_own_gives_the_same(repository: Path) -> None:
    red = repository / "engines" / "red"
    done = check(red, "--format", "junit", PYTHONIOENCODING="ascii")
    assert (done.returncode, done.stdout, done.stderr.decode()) == check_here(red, "--format", "junit")


def test_a_narrow_terminal_gets_the_text_escaped(repository: Path) -> None:
    done = check(repository / "engines" / "red", PYTHONIOENCODING="ascii")
    assert (done.returncode, done.stderr) == (1, b"")
    assert b"\\xb1 0.0" in done.stdout


@pytest.mark.parametrize("form", FORMATS)
def test_a_wrong_call_says_nothing_on_stdout(tmp_path: Path, form: str) -> None:
    code, out, err = check_here(tmp_path, "--format", form)
    assert (code, out) == (2, b"")
    assert err.startswith("buildcheck: no build at or under .")


def test_colour_is_given_when_requested_and_only_to_text(repository: Path) -> None:
    build = repository / "engines" / "green"
    assert b"\x1b[1;36mnote\x1b[0m: " in check_here(build, "--color", "always")[1]
    assert b"\x1b" not in check_here(build, "--color", "always", "--format", "github")[1]
    assert b"\x1b" not in check_here(build)[1]


def test_text_shows_what_blocks_first_by_file_line_and_column_the_verdict_last(done: Run) -> None:
    firsts = set()
    for checked in done.builds:
        lines = [line for line in text.render_build(done.context, checked)[2].splitlines() if not line.startswith("  ")]
        *found, verdict = [line.rsplit(": ", 1)[0] for line in lines]
        places = [re.findall(r"([a-z_]+\.yaml):(\d+):(\d+): (\w+): ", line)[0] for line in found]
        levels = [level for *_, level in places]
        assert levels == sorted(levels, key=lambda level: level != "error")
        free = [(file, int(line), int(column)) for file, line, column, level in places if level != "error"]
        assert free == sorted(free)
        firsts |= {level != "error" for level in levels}
        assert "build.yaml:1:1: note" in verdict
    assert firsts == {True, False}
