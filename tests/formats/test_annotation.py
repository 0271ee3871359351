"""What CI shows: where it is, in the order and at the level that the exit code follows."""

from __future__ import annotations

import os
import shutil
from pathlib import Path

import pytest
from repositories import FOLDER, ROOT, findings_for, git_init, one

from buildcheck.app.run import Run, run
from buildcheck.cli.main import main
from buildcheck.core.problem import Place


def test_every_place_is_a_file_from_the_top_of_the_repository(done: Run, repository: Path) -> None:
    files = {place.file for finding in findings_for(done) for place in finding.places}
    assert f"engines/{FOLDER}/build.yaml" in files
    assert all((repository / file).is_file() for file in files)


def test_settings_below_the_top_do_not_move_the_top(tmp_path: Path) -> None:
    build = tmp_path / "engines" / "mine"
    build.mkdir(parents=True)
    (build / "build.yaml").write_text("name: X\nstage: sailing\n")
    (tmp_path / "engines" / "buildcheck.yaml").write_text("report: R.md\n")
    git_init(tmp_path)
    assert {finding.places[0].file for finding in findings_for(one(build))} == {
        "engines/buildcheck.yaml",
        "engines/mine/build.yaml",
    }


def test_a_build_without_its_head_is_reported_from_the_top_too(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    for name in ("whole/build", "whole/cam", "torn/cam", "torn/heads", "torn/marks"):
        (tmp_path / name).parent.mkdir(exist_ok=True)
        (tmp_path / f"{name}.yaml").write_text("")
    git_init(tmp_path)
    monkeypatch.chdir(tmp_path / "torn")
    found = findings_for(run([tmp_path / "whole", Path("../torn")]))
    assert "torn/cam.yaml" in {finding.places[0].file for finding in found}


def test_errors_are_what_blocks_and_what_cannot_be_read(done: Run) -> None:
    blocks = [result for checked in done.builds for result in checked.results if result.blocks]
    problems = [problem for checked in done.builds for problem in checked.problems]
    assert sum(finding.level == "error" for finding in findings_for(done)) == len(blocks) + len(problems)


def test_reported_together_names_every_subject(shipped: Run) -> None:
    together = [finding for finding in findings_for(shipped, together=True) if finding.rule == "running-parts-measured"]
    single = [finding for finding in findings_for(shipped) if finding.rule == "running-parts-measured"]
    assert len(together) < len(single)
    assert sorted(" ".join(finding.data for finding in together).split()) == sorted(one.data for one in single)


def test_what_cannot_be_read_names_its_key(tmp_path: Path) -> None:
    (tmp_path / "build.yaml").write_text("name: X\nstage: sailing\ncolour: red\n")
    assert [finding.message.partition(": ")[0] for finding in findings_for(one(tmp_path))] == ["stage", "colour"]


SHARED = "installed_height: 1.700 in\nseat_force: 95 lbf\nrate: 265 lbf/in\ncoil_bind_height: 1.50 in\n"


@pytest.mark.parametrize("form", ["text", "github", "summary", "gitlab", "sarif"])
def test_what_is_found_in_a_shared_part_says_of_which_build(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], form: str
) -> None:
    for build in ("one", "two"):
        shutil.copytree(ROOT / "example_build", tmp_path / "engines" / build)
        heads = tmp_path / "engines" / build / "heads.yaml"
        kept = heads.read_text(encoding="utf-8").partition("\nsprings:")[0]
        springs = "springs: {intake: {uses: parts/s.yaml}, exhaust: {uses: parts/s.yaml}}"
        heads.write_text(f"{kept}\n{springs}\n", encoding="utf-8")
    (tmp_path / "parts").mkdir()
    (tmp_path / "parts" / "s.yaml").write_text(SHARED, encoding="utf-8")
    git_init(tmp_path)
    monkeypatch.chdir(tmp_path)
    assert main(["check", "--format", form]) == 1
    expected = capsys.readouterr().out.replace("\\", "")
    valve = "exhaust (worst; intake failing too)" if form == "text" else "intake"
    assert [
        f"engines/{build}, {valve}" in expected and "coil-bind clearance" in expected for build in ("one", "two")
    ] == [
        True,
        True,
    ]


def test_a_place_in_the_build_itself_needs_no_name() -> None:
    assert Place("marks.yaml").qualify("engines/one", "off the tip") == "off the tip"
    assert Place("..yaml").qualify("engines/one", "off the tip") == "off the tip"
    assert Place("../../parts/s.yaml").qualify("engines/one", "binds") == "engines/one, binds"


def test_a_format_as_the_developers_page_describes_it_meets_only_safe_texts(tmp_path: Path) -> None:
    """A folder whose name is not UTF-8 and holds an order to a terminal: neither reaches a format as it is."""
    folder = tmp_path / os.fsdecode(b"engines \xff\x1b[31m")
    shutil.copytree(ROOT / "example_build", folder)
    (folder / "cam.yaml").write_text('lifter: "::error::\\e[31m"\n', encoding="utf-8")
    git_init(tmp_path)
    found = findings_for(one(folder))
    written = "\n".join(f"{each.places[0]} {each.level} {each.build} {each.message} {each.data}" for each in found)
    assert written.encode("utf-8").decode("utf-8") == written
    assert "\x1b" not in written
    assert "\\x1b[31m" in written
    assert any(b"\xff" in os.fsencode(path) for each in found for path in each.paths)
