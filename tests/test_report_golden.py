"""A report is the same to the byte on every machine, and the common whitespace fixers leave it alone."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from pre_commit_hooks import end_of_file_fixer, mixed_line_ending, trailing_whitespace_fixer
from thorough import sample

from buildcheck.cli.main import main

ROOT = Path(__file__).parent.parent
BUILDS = (ROOT / "example_build", *sorted((ROOT / "tests" / "builds").iterdir()))
ELSEWHERE = (
    {"PYTHONHASHSEED": "0", "LC_ALL": "C", "TZ": "UTC", "LANG": "C"},
    {"PYTHONHASHSEED": "4242", "LC_ALL": "C.UTF-8", "TZ": "Pacific/Chatham", "LANG": "de_DE.UTF-8", "PYTHONUTF8": "0"},
)


@pytest.fixture(scope="module", params=BUILDS, ids=lambda folder: folder.name)
def build(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A build with its report."""
    build = _laid_out(request.param, tmp_path_factory.mktemp("reported") / "engine", backwards=False)
    assert main(["report", str(build)]) == 0
    return build


def _laid_out(source: Path, folder: Path, backwards: bool) -> Path:
    folder.mkdir(parents=True)
    for path in sorted(source.glob("*.yaml"), reverse=backwards):
        shutil.copy(path, folder)
    return folder


def test_the_reports_in_the_repository_are_current() -> None:
    where = "run 'buildcheck report example_build tests/builds', and read what changed"
    assert main(["report", "--check", *map(str, BUILDS)]) == 0, where


def test_neither_seed_nor_locale_nor_time_zone_nor_folder_shows(tmp_path: Path) -> None:
    written, builds = set(), sample(BUILDS, 3)
    for number, environment in enumerate(ELSEWHERE):
        top = tmp_path / ("another", "place of another length")[number]
        for source in builds:
            _laid_out(source, top / "engines" / source.name, backwards=bool(number))
        here = top if number else top / "engines"
        command = [sys.executable, "-m", "buildcheck", "report", os.path.relpath(top / "engines", here)]
        subprocess.run(command, cwd=here, env={"PATH": os.environ["PATH"], **environment}, check=True)
        written.add(tuple(path.read_bytes() for path in sorted(top.rglob("REPORT.md"))))
    assert len(written) == 1
    assert len(written.pop()) == len(builds)


def with_crlf(build: Path, to: Path) -> Path:
    copy = Path(shutil.copytree(build, to / build.name))
    for path in copy.iterdir():
        path.write_bytes(path.read_bytes().replace(b"\n", b"\r\n"))
    return copy


def test_a_report_is_current_in_a_checkout_with_crlf(build: Path, tmp_path: Path) -> None:
    assert main(["report", "--check", str(with_crlf(build, tmp_path))]) == 0


def test_a_report_made_in_a_checkout_with_crlf_is_the_same(tmp_path: Path) -> None:
    for name in ("plain", "crlf"):
        _laid_out(ROOT / "tests/builds/inline_four_pad", tmp_path / name / "engine", backwards=False)
    copy = with_crlf(tmp_path / "crlf" / "engine", tmp_path)
    assert main(["report", str(tmp_path / "plain" / "engine"), str(copy)]) == 0
    assert (copy / "REPORT.md").read_bytes() == (tmp_path / "plain" / "engine" / "REPORT.md").read_bytes()


def test_whitespace_fixers_leave_it_alone(build: Path, tmp_path: Path) -> None:
    path = str(shutil.copy(build / "REPORT.md", tmp_path))
    assert trailing_whitespace_fixer.main([path]) == 0
    assert end_of_file_fixer.main([path]) == 0
    assert mixed_line_ending.main(["--fix=lf", path]) == 0
    assert Path(path).read_bytes() == (build / "REPORT.md").read_bytes()


def test_neither_machine_nor_time_is_in_it(build: Path) -> None:
    written = (build / "REPORT.md").read_text(encoding="utf-8")
    text = re.sub(r"\b[0-9a-f]{16}\b", "", written)  # a digest may hold any digits
    assert str(build.parent) not in text
    assert os.uname().nodename not in text
    assert not any(str(year) in text.replace("TM 10", "") for year in range(2024, 2040))
