"""Folders with a build.yaml that the team's patterns do not take in: reported, never passed over without a word."""

from __future__ import annotations

import shutil
import subprocess
from pathlib import Path

import pytest

from buildcheck.cli.main import main

DEMO = Path(__file__).parent.parent / "example_build"
Captured = pytest.CaptureFixture[str]


@pytest.fixture
def shop(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A repository whose builds are engines/*, with one there."""
    (tmp_path / "buildcheck.yaml").write_text("builds: [engines/*]\n", encoding="utf-8")
    build(tmp_path, "engines/dunlin")
    subprocess.run(["git", "init", "-q", str(tmp_path)], check=True)
    monkeypatch.chdir(tmp_path)
    return tmp_path


def build(top: Path, name: str) -> None:
    shutil.copytree(DEMO, top / name)


def test_a_folder_outside_is_named_while_the_others_are_judged(shop: Path, capsys: Captured) -> None:
    build(shop, "engine/dunlin")
    assert main(["check"]) == 0
    result = capsys.readouterr()
    assert result.out.splitlines()[-1].startswith("engines/dunlin/build.yaml:1:1: note: Ready to order")
    assert result.err == "buildcheck: 'builds' in buildcheck.yaml does not cover engine/dunlin: not checked\n"


def test_of_many_some_are_named(shop: Path, capsys: Captured) -> None:
    for number in range(5):
        build(shop, f"old/{number}")
    assert main(["check"]) == 0
    assert "does not cover old/0, old/1, old/2 and 2 more: not checked" in capsys.readouterr().err


def test_where_nothing_else_is_there_the_reason_is_true(shop: Path, capsys: Captured) -> None:
    build(shop, "motors/x")
    assert main(["check", "motors/x"]) == 2
    why = "no build at or under motors/x: 'builds' in buildcheck.yaml does not cover motors/x"
    assert capsys.readouterr().err == f"buildcheck: {why}\n"
    (shop / "empty").mkdir()
    assert main(["check", "empty"]) == 2
    assert "a build is a folder with a build.yaml" in capsys.readouterr().err


def test_one_that_git_does_not_track_counts_for_nothing_where_only_tracked_files_do(
    shop: Path, capsys: Captured
) -> None:
    subprocess.run(["git", "add", "--all"], cwd=shop, check=True)
    build(shop, "engine/dunlin")
    assert main(["check", "--tracked"]) == 0
    assert capsys.readouterr().err == ""
    subprocess.run(["git", "add", "--all"], cwd=shop, check=True)
    assert main(["check", "--tracked"]) == 2
    assert "does not cover engine/dunlin" in capsys.readouterr().err


def test_start_says_where_the_new_build_would_go_unchecked(shop: Path, capsys: Captured) -> None:
    assert main(["start", "motors/x"]) == 0
    assert capsys.readouterr().err.splitlines()[-1] == (
        "buildcheck: 'builds' in buildcheck.yaml does not cover motors/x: write it there too"
    )
    assert main(["start", "engines/x"]) == 0
    assert "does not cover" not in capsys.readouterr().err


def test_without_patterns_nothing_is_left_out(shop: Path, capsys: Captured) -> None:
    (shop / "buildcheck.yaml").write_text("report: REPORT.md\n", encoding="utf-8")
    build(shop, "anywhere/at/all")
    assert main(["check"]) == 0
    assert capsys.readouterr().err == ""
