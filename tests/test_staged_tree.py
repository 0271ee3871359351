"""If only single builds are staged, git looks at no other file: what is read is as staged, whatever is on the disk."""

from __future__ import annotations

import os
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest
from garage import EIDER, RULE, SMEW, TEAL, Garage, Outcome
from history import git

from buildcheck.repo.commit_tree import read_commit
from buildcheck.repo.git import commit_named
from buildcheck.repo.staged_state import StagedState, staged_meanwhile
from buildcheck.repo.staged_tree import StagedTree
from buildcheck.repo.tracked_files import tracked_files
from buildcheck.yamlio.documents import read

ON_TIP, OFF_TIP = "{from: 0.145 in, to: 0.172 in}", "{from: 0.005 in, to: 0.032 in}"
MARKS = f"{EIDER}/marks.yaml"
Edit = Callable[[Garage], object]


def state(garage: Garage) -> StagedState:
    with staged_meanwhile(garage.root.resolve()) as answer:
        return answer()


def is_limited(garage: Garage) -> bool:
    """Whether files are compared with what is staged only when they are read."""
    return isinstance(state(garage).tree, StagedTree)


def stage(garage: Garage) -> Outcome:
    """One build that blocks and one with parts are staged; what the hook finds with nothing else on the disk."""
    garage.replace(MARKS, ON_TIP, OFF_TIP)
    garage.add(f"{TEAL}/cam.yaml")
    result = garage.staged()
    assert (result.code, result.builds, is_limited(garage)) == (1, {EIDER, TEAL}, True)
    assert "mark-on-tip" in result.output
    return result


def link(garage: Garage, name: str, target: str) -> None:
    path = garage.root / name
    path.rename(garage.root.parent / "moved away")
    path.symlink_to(target)


def end_lines_otherwise(garage: Garage) -> None:
    for path in (garage.root / EIDER).glob("*.yaml"):
        path.write_bytes(path.read_bytes().replace(b"\n", b"\r\n"))


ON_DISK: dict[str, Edit] = {
    "repaired": lambda here: here.replace(MARKS, OFF_TIP, ON_TIP),
    "gone": lambda here: (here.root / MARKS).unlink(),
    "a link to a neighbour": lambda here: link(here, f"{EIDER}/heads.yaml", f"../../{SMEW}/heads.yaml"),
    "a folder": lambda here: [(here.root / MARKS).unlink(), (here.root / MARKS).mkdir()],
    "other line ends": end_lines_otherwise,
    "touched": lambda here: os.utime(here.root / MARKS, (1, 1)),
    "a part broken": lambda here: here.write("parts/wire.yaml", "zz: 1\n"),
    "a part gone": lambda here: (here.root / "parts/s-120.yaml").unlink(),
    "a rule loosened": lambda here: here.replace("rules-of-ours/cap.yaml", "500 lbf", "5 lbf"),
    "a rule gone": lambda here: (here.root / "rules-of-ours/cap.yaml").unlink(),
    "settings broken": lambda here: here.write("buildcheck.yaml", "zz: 1\n"),
    "settings gone": lambda here: (here.root / "buildcheck.yaml").unlink(),
    "another build edited": lambda here: here.write(f"{SMEW}/cam.yaml", "zz: 1\n"),
    "another build gone": lambda here: shutil.rmtree(here.root / SMEW),
    "another build with a new file": lambda here: here.write(f"{SMEW}/concessions.yaml", "[]\n"),
}


@pytest.mark.parametrize("edit", ON_DISK)
def test_the_commit_is_judged_as_staged(garage: Garage, edit: str) -> None:
    as_staged = stage(garage)
    ON_DISK[edit](garage)
    assert is_limited(garage)
    assert garage.buildcheck("check", "--touched") == as_staged


def test_a_new_file_of_a_staged_build_blocks_until_it_is_staged_too(garage: Garage) -> None:
    stage(garage)
    garage.write(f"{TEAL}/concessions.yaml", "[]\n")
    result = garage.buildcheck("check", "--touched")
    assert result.code == 2
    assert f"{TEAL}/concessions.yaml:1:1: error: is not in the commit" in result.output


def test_a_link_to_another_build_does_not_replace_a_staged_one(garage: Garage) -> None:
    stage(garage)
    link(garage, EIDER, "smew")
    result = garage.buildcheck("check", "--touched")
    assert result.code == 2
    assert f"{EIDER}/marks.yaml:1:1: error: is not in the commit" in result.output


def test_a_file_is_found_as_staged_by_the_way_of_a_link_too(garage: Garage) -> None:
    stage(garage)
    link(garage, f"{EIDER}/heads.yaml", f"../../{SMEW}/heads.yaml")
    (garage.root.parent / "shelf").symlink_to(garage.root)
    tree = StagedTree(garage.root.resolve(), tracked_files(garage.root))
    heads = tree.read(garage.root / EIDER / "heads.yaml", "heads.yaml")
    assert heads != tree.read(garage.root / SMEW / "heads.yaml", "heads.yaml")
    assert heads == tree.read(garage.root.parent / "shelf" / EIDER / "heads.yaml", "heads.yaml")


@pytest.mark.parametrize("state", ["", "HEAD"])
def test_a_file_that_git_lacks_is_an_error_of_its_build(garage: Garage, state: str) -> None:
    stage(garage)
    blob = garage.git("rev-parse", f"{state}:{MARKS}").strip()
    (garage.root / ".git" / "objects" / blob[:2] / blob[2:]).unlink()
    (garage.root / MARKS).unlink()
    result = garage.buildcheck("check", "--touched")
    assert (result.code, result.builds) == (2, {EIDER, TEAL})
    assert f"{EIDER}/build.yaml:1:1: error: git lacks files of an earlier commit" in result.output
    assert "Traceback" not in result.output


def test_a_part_by_a_link_that_is_not_staged_is_an_error(garage: Garage) -> None:
    (garage.root / "shelf").symlink_to("parts")
    garage.replace(f"{TEAL}/heads.yaml", "parts/s-120", "shelf/s-120")
    garage.git("add", f"{TEAL}/heads.yaml")
    result = garage.buildcheck("check", "--touched")
    assert (result.code, is_limited(garage)) == (2, True)
    assert "shelf/s-120.yaml exists but is not in the commit: git add it" in result.output


def test_a_staged_build_without_its_folder_is_an_error(garage: Garage) -> None:
    stage(garage)
    shutil.rmtree(garage.root / EIDER)
    result = garage.buildcheck("check", "--touched")
    assert (result.code, is_limited(garage)) == (2, True)
    assert f"{EIDER}/build.yaml:1:1: error: is tracked by git but missing on disk" in result.output


@pytest.mark.parametrize("names", ["sha1", "sha256"])
def test_a_file_is_compared_by_either_kind_of_git_s_names(tmp_path: Path, names: str) -> None:
    git(tmp_path, "init", "-q", f"--object-format={names}")
    for name in ("same.yaml", "edited.yaml"):
        (tmp_path / name).write_text("staged: 1\n", encoding="utf-8")
    git(tmp_path, "add", "--all")
    (tmp_path / "edited.yaml").write_text("edited: 2\n", encoding="utf-8")
    tree = StagedTree(tmp_path.resolve(), tracked_files(tmp_path))
    for name in ("same.yaml", "edited.yaml"):
        assert tree.read(tmp_path / name, name) == read(b"staged: 1\n", name)


def announce(garage: Garage) -> None:
    garage.write(f"{EIDER}/concessions.yaml", "x: 1\n")
    garage.git("add", "--intent-to-add", f"{EIDER}/concessions.yaml")


def announce_again(garage: Garage) -> None:
    garage.write(f"{EIDER}/concessions.yaml", "")
    garage.git("add", f"{EIDER}/concessions.yaml")
    garage.git("commit", "-qm", "an empty file", "--no-verify")
    garage.git("rm", "-q", "--cached", f"{EIDER}/concessions.yaml")
    garage.git("add", "--intent-to-add", f"{EIDER}/concessions.yaml")
    garage.add(f"{TEAL}/cam.yaml")
    garage.git("add", f"{TEAL}/cam.yaml")


def conflict(garage: Garage) -> None:
    garage.git("commit", "-qam", "ours", "--no-verify")
    garage.git("checkout", "-q", "-b", "other", "HEAD~1")
    garage.add(f"{EIDER}/cam.yaml", "# theirs\n")
    garage.git("commit", "-qam", "theirs", "--no-verify")
    assert garage.run("git", "merge", "main").code == 1


LIMITED: dict[str, tuple[Edit, bool]] = {
    "nothing more": (lambda here: None, True),
    "a text": (lambda here: here.add("README.md"), True),
    "a new file of a build": (lambda here: here.write(f"{TEAL}/clearances.yaml", "x: 1\n"), True),
    "a file of a build removed": (lambda here: (here.root / EIDER / "marks.yaml").unlink(), True),
    "a part": (lambda here: here.add("parts/wire.yaml"), False),
    "a rule": (lambda here: here.write("rules-of-ours/cup.yaml", RULE.replace("id: cap", "id: cup")), False),
    "settings": (lambda here: here.add("buildcheck.yaml"), False),
    "the tool's version": (lambda here: here.add(".pre-commit-config.yaml"), False),
    "a new build": (lambda here: shutil.copytree(here.root / EIDER, here.root / "boats/new"), False),
    "a build removed": (lambda here: shutil.rmtree(here.root / EIDER), False),
    "a file renamed": (lambda here: (here.root / MARKS).rename(here.root / EIDER / "old.yaml"), False),
    "a link": (lambda here: (here.root / "shelf").symlink_to("parts"), False),
}


@pytest.mark.parametrize("edit", LIMITED)
def test_only_builds_and_texts_are_a_matter_of_single_builds(garage: Garage, edit: str) -> None:
    change, expected = LIMITED[edit]
    garage.add(f"{EIDER}/cam.yaml")
    change(garage)
    garage.git("add", "--all")
    assert is_limited(garage) == expected


@pytest.mark.parametrize("edit", [name for name, (_, expected) in LIMITED.items() if expected])
def test_head_follows_from_what_is_staged(garage: Garage, edit: str) -> None:
    garage.add(f"{EIDER}/cam.yaml")
    LIMITED[edit][0](garage)
    garage.git("add", "--all")
    top = garage.root.resolve()
    head, expected = state(garage).head, read_commit(top, commit_named(top, "HEAD"))
    assert head is not None
    files = expected.yaml_files(top)
    assert head.tree.yaml_files(top) == files
    assert [head.tree.read(path, path.name) for path in files] == [expected.read(path, path.name) for path in files]
    assert list(head.tree.walk(top)) == list(expected.walk(top))


UNCLEAR: dict[str, Edit] = {
    "a file announced": announce,
    "an empty file removed and announced": announce_again,
    "a conflict": conflict,
    "a file that git passes over": lambda here: here.git("update-index", "--skip-worktree", "parts/wire.yaml"),
    "a file taken for unchanged": lambda here: here.git("update-index", "--assume-unchanged", "README.md"),
    "nothing staged": lambda here: here.git("reset", "-q"),
    "no commit yet": lambda here: here.git("checkout", "-q", "--orphan", "new"),
}


@pytest.mark.parametrize("edit", UNCLEAR)
def test_if_what_is_staged_is_unclear_git_looks_at_all_files(garage: Garage, edit: str) -> None:
    garage.add(f"{EIDER}/cam.yaml")
    garage.git("add", "--all")
    UNCLEAR[edit](garage)
    assert not is_limited(garage)
