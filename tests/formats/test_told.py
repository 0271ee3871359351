"""What CI is told: where it stands, in the order and at the level that the exit code follows."""

from __future__ import annotations

from pathlib import Path

import pytest
from repositories import FOLDER, git_init, one, told

from buildcheck.run import Run, run


def test_every_place_is_a_file_from_the_top_of_the_repository(done: Run, repository: Path) -> None:
    files = {place.file for finding in told(done) for place in finding.places}
    assert f"engines/{FOLDER}/build.yaml" in files
    assert all((repository / file).is_file() for file in files)


def test_settings_below_the_top_do_not_move_the_top(tmp_path: Path) -> None:
    build = tmp_path / "engines" / "mine"
    build.mkdir(parents=True)
    (build / "build.yaml").write_text("name: X\nstage: sailing\n")
    (tmp_path / "engines" / "buildcheck.yaml").write_text("report: R.md\n")
    git_init(tmp_path)
    assert {finding.places[0].file for finding in told(one(build))} == {
        "engines/buildcheck.yaml",
        "engines/mine/build.yaml",
    }


def test_a_build_without_its_head_is_told_from_the_top_too(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    for name in ("whole/build", "whole/cam", "torn/cam", "torn/heads", "torn/marks"):
        (tmp_path / name).parent.mkdir(exist_ok=True)
        (tmp_path / f"{name}.yaml").write_text("")
    git_init(tmp_path)
    monkeypatch.chdir(tmp_path / "torn")
    found = told(run([tmp_path / "whole", Path("../torn")]))
    assert "torn/cam.yaml" in {finding.places[0].file for finding in found}


def test_errors_are_what_blocks_and_what_cannot_be_read(done: Run) -> None:
    blocks = [result for checked in done.builds for result in checked.results if result.blocks]
    problems = [problem for checked in done.builds for problem in checked.problems]
    assert sum(finding.level == "error" for finding in told(done)) == len(blocks) + len(problems)


def test_told_together_names_every_subject(shipped: Run) -> None:
    together = [finding for finding in told(shipped, together=True) if finding.rule == "running-parts-measured"]
    single = [finding for finding in told(shipped) if finding.rule == "running-parts-measured"]
    assert len(together) < len(single)
    assert sorted(" ".join(finding.data for finding in together).split()) == sorted(one.data for one in single)


def test_what_cannot_be_read_names_its_key(tmp_path: Path) -> None:
    (tmp_path / "build.yaml").write_text("name: X\nstage: sailing\ncolour: red\n")
    assert [finding.message.partition(": ")[0] for finding in told(one(tmp_path))] == ["stage", "colour"]
