"""``check --since``: only builds that changes since a commit affect, by their own files or by a part."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from history import git, replace
from shared_spring import folder, write_builds

from buildcheck.cli.main import main


@pytest.fixture(scope="module")
def origin(tmp_path_factory: pytest.TempPathFactory) -> Path:
    top = tmp_path_factory.mktemp("since")
    write_builds(top, 2)
    return top


@pytest.fixture
def top(origin: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(origin)
    git(origin, "checkout", "--quiet", "--force", "after")
    return origin


def checked(capsys: pytest.CaptureFixture[str], *words: str) -> list[str]:
    main(["check", "--format", "json", *words])
    return [build["folder"] for build in json.loads(capsys.readouterr().out)["builds"]]


def test_a_changed_part_affects_the_builds_that_use_it(top: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert checked(capsys, "--since", "before") == [folder(0), folder(1)]


def test_an_uncommitted_change_affects_its_build(top: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert checked(capsys, "--since", "after") == []
    replace(top / folder(1) / "build.yaml", "stage: ordering", "stage: measuring")
    assert checked(capsys, "--since", "after") == [folder(1)]


def test_changed_settings_affect_every_build(top: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (top / "buildcheck.yaml").write_text("report: R.md\n")
    git(top, "add", "--all")
    assert checked(capsys, "--since", "after") == [folder(0), folder(1)]
    git(top, "rm", "--quiet", "--force", "buildcheck.yaml")


def test_no_affected_build_passes_and_says_so(top: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["check", "--since", "after"]) == 0
    assert "the changes since after affect no build" in capsys.readouterr().err


def test_a_shallow_clone_names_what_is_missing(top: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    base = git(top, "rev-parse", "before").strip()
    git(tmp_path, "clone", "--quiet", "--depth=1", "--no-tags", f"file://{top}", "shallow")
    monkeypatch.chdir(tmp_path / "shallow")
    assert main(["check", "--since", base]) == 2


def test_since_and_touched_exclude_each_other(top: Path) -> None:
    assert main(["check", "--since", "before", "--touched"]) == 2
