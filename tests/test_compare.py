"""``compare`` where things are odd: the working tree, wrong names, unreadable sides, links, parts, deep folders."""

from __future__ import annotations

import json
import re
import shutil
from pathlib import Path
from typing import Any

import pytest
from history import ROOT, commit, git, replace
from thorough import pairs

from buildcheck.cli.main import main


@pytest.fixture(scope="module")
def origin(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("origin")
    git(folder, "init", "--quiet", "--initial-branch=main")
    shutil.copytree(ROOT / "tests" / "builds" / "inline_four_pad", folder / "engines" / "eider")
    commit(folder, "first")
    return folder


@pytest.fixture
def top(origin: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    shutil.copytree(origin, tmp_path, dirs_exist_ok=True)
    monkeypatch.chdir(tmp_path)
    return tmp_path


@pytest.fixture
def result(capsys: pytest.CaptureFixture[str]) -> Any:
    def compare(*words: str) -> tuple[int, Any]:
        code = main(["compare", *words, "--format", "json"])
        out = capsys.readouterr().out
        return code, json.loads(out) if out else None

    return compare


def test_without_head_the_working_tree_is_compared(top: Path, result: Any) -> None:
    replace(top / "engines" / "eider" / "cam.yaml", "lobe_lift: ", "lobe_lift:   ")
    assert result("first")[1]["builds"] == []
    replace(top / "engines" / "eider" / "build.yaml", "stage: ordering", "stage: measuring")
    code, found = result("first")
    assert (code, found["after"]) == (0, "working tree")
    assert [(one["path"], one["after"]) for one in found["builds"][0]["inputs"]] == [("stage", "measuring")]


def test_what_the_stage_did_is_reported(top: Path, result: Any) -> None:
    (top / "engines" / "eider" / "clearances.yaml").unlink()
    commit(top, "second")
    replace(top / "engines" / "eider" / "build.yaml", "stage: ordering", "stage: assembled")
    verdict_changes = result("second")[1]["builds"][0]["verdicts"]
    blocking = [flip for flip in verdict_changes if flip["rule"] == "piston-to-valve"]
    assert [(flip["after"], flip["because_of"]) for flip in blocking] == [("open, blocks", ["stage"])]


def test_a_state_that_cannot_be_read_is_reported_by_its_errors(top: Path, result: Any) -> None:
    replace(top / "engines" / "eider" / "cam.yaml", "lobe_lift", "lobe_lif")
    commit(top, "broken")
    code, found = result("first", "broken")
    build = found["builds"][0]
    assert (code, build["verdict"]["after"], build["verdicts"]) == (2, "fail", [])
    assert build["errors"][0]["file"] == "cam.yaml"
    assert result("broken", "first")[0] == 0


def test_a_build_that_lost_its_head_file_is_an_error(top: Path, result: Any) -> None:
    git(top, "rm", "--quiet", "engines/eider/build.yaml")
    commit(top, "headless")
    code, found = result("first", "headless")
    assert code == 2
    assert found["errors"][0]["file"].startswith("engines/eider/")
    assert found["builds"][0]["verdict"] == {"before": "pass", "after": None}


def test_a_large_file_and_a_link_out_are_refused_as_on_disk(top: Path, result: Any) -> None:
    folder = top / "engines" / "eider"
    (folder / "stackup.yaml").write_text("# " + "x" * 300_000 + "\n", encoding="utf-8")
    (folder / "rockers.yaml").unlink()
    (folder / "rockers.yaml").symlink_to("../../shared-rockers.yaml")
    (top / "shared-rockers.yaml").write_text("{}\n", encoding="utf-8")
    commit(top, "odd")
    in_commit, on_disk = (result("first", *head)[1]["builds"][0]["errors"] for head in (["odd"], []))
    assert in_commit == on_disk
    assert [one["file"] for one in on_disk] == ["rockers.yaml", "stackup.yaml"]


def test_a_link_inside_its_folder_is_followed(top: Path, result: Any) -> None:
    folder = top / "engines" / "eider"
    (folder / "cam.yaml").rename(folder / "card-of-the-cam.yaml")
    (folder / "cam.yaml").symlink_to("card-of-the-cam.yaml")
    commit(top, "linked")
    assert result("first", "linked") == (0, {**result("first", "first")[1], "after": "linked"})


def test_only_the_wanted_folders_are_compared(top: Path, result: Any) -> None:
    shutil.copytree(top / "engines" / "eider", top / "boats" / "smew")
    replace(top / "engines" / "eider" / "build.yaml", "stage: ordering", "stage: measuring")
    assert [build["folder"] for build in result("first", "boats")[1]["builds"]] == ["boats/smew"]
    assert [build["folder"] for build in result("first", "engines/eider")[1]["builds"]] == ["engines/eider"]
    assert len(result("first")[1]["builds"]) == 2


@pytest.mark.parametrize("later", ["a: {", "a: [   # the same, told at the same place"])
def test_what_was_unreadable_and_still_is_counts(top: Path, result: Any, later: str) -> None:
    cam = top / "engines" / "eider" / "cam.yaml"
    sound = cam.read_text(encoding="utf-8")
    cam.write_text(f"{sound}a: [\n", encoding="utf-8")
    commit(top, "broken")
    cam.write_text(f"{sound}{later}\n", encoding="utf-8")
    code, found = result("broken")
    assert (code, [build["folder"] for build in found["builds"]]) == (2, ["engines/eider"])
    commit(top, "still-broken")
    assert result("broken", "still-broken")[0] == 2
    assert result("still-broken") == (0, {**found, "before": "still-broken", "builds": [], "unchanged": 1})


def test_settings_that_cannot_be_read_are_not_reported_as_gone(top: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (top / "buildcheck.yaml").write_text("limits: {quench: {at_most: 0.070 in, because: iron}}\n", encoding="utf-8")
    commit(top, "limits")
    with (top / "buildcheck.yaml").open("a", encoding="utf-8") as settings:
        settings.write("rulez: [x]\n")
    assert main(["compare", "limits"]) == 2
    result = capsys.readouterr()
    assert "rulez" in result.out + result.err
    assert "gone" not in result.out
    assert "removed" not in result.out


def test_a_folder_that_is_gone_may_be_named(top: Path, result: Any) -> None:
    shutil.rmtree(top / "engines")
    assert [build["verdict"]["after"] for build in result("first", "engines/eider")[1]["builds"]] == [None]


@pytest.mark.parametrize("words", [["nope"], ["first", "no-such-folder"], ["--", "--output=x"]])
def test_a_wrong_call_is_2(top: Path, words: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["compare", *words]) == 2
    assert capsys.readouterr().out == ""


def test_outside_a_repository_git_says_so(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("GIT_CEILING_DIRECTORIES", str(tmp_path.parent))
    assert main(["compare", "HEAD"]) == 2
    assert "not a git repository" in capsys.readouterr().err


def test_a_name_that_is_a_tag_and_a_folder_is_refused(top: Path, capsys: pytest.CaptureFixture[str]) -> None:
    git(top, "tag", "engines")
    assert main(["compare", "first", "engines"]) == 2
    assert "is a revision and a path" in capsys.readouterr().err
    assert main(["compare", "first", "./engines"]) == 0


NAMES = ["::error::x", "##[error]x", "\u202egnp", "a\nb", "<b>|`"]


@pytest.mark.parametrize(("name", "form"), pairs(NAMES, ["markdown", "text"]))
def test_a_folder_may_be_called_anything(top: Path, capsys: pytest.CaptureFixture[str], name: str, form: str) -> None:
    shutil.move(top / "engines" / "eider", top / name)
    replace(top / name / "build.yaml", "stage: ordering", "stage: measuring")
    assert main(["compare", "first", "--format", form]) == 0
    lines = capsys.readouterr().out.split("\n")
    assert all(line.isprintable() for line in lines)
    assert not [line for line in lines if line.strip().startswith(("::", "##["))]


def test_a_part_is_reported_from_the_root_in_a_comment_that_has_no_folder(
    top: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    heads = top / "engines" / "eider" / "heads.yaml"
    (top / "parts").mkdir()
    (top / "parts" / "g.yaml").write_text("thickness: 1.1 mm\nbore: 90 mm\n", encoding="utf-8")
    text = re.sub(r"(?m)^gasket: .*$", "gasket: {uses: parts/g.yaml}", heads.read_text(encoding="utf-8"))
    heads.write_text(text, encoding="utf-8")
    commit(top, "shelf")
    replace(top / "parts" / "g.yaml", "1.1 mm", "1.2 mm")
    main(["compare", "shelf", "--format", "markdown"])
    lines = capsys.readouterr().out.splitlines()
    assert "### parts/g.yaml:1: thickness: 1.1 mm → 1.2 mm" in lines


def test_what_builders_write_stays_on_its_line(top: Path, capsys: pytest.CaptureFixture[str]) -> None:
    replace(top / "engines" / "eider" / "build.yaml", "stage: ordering", "stage: measuring")
    hostile = 'up_to: 1 in, because: "<b>|\\n::error::", accepted_by: "@x"'
    entry = f"- {{rule: mark-width, cylinder: 1, valve: intake, {hostile}}}\n"
    (top / "engines" / "eider" / "concessions.yaml").write_text(entry, encoding="utf-8")
    main(["compare", "first", "--format", "markdown"])
    out = capsys.readouterr().out
    assert "\\<b\\>\\|" in out
    assert "@&#8203;x" in out
    assert not any(line.startswith("::") for line in out.splitlines())
