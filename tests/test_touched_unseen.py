"""What git does not look at, or does not tell, is held for touched: links, and files that it was told to pass over."""

from __future__ import annotations

import pytest
from garage import BUILDS, EIDER, RULE, SMEW, TEAL, Garage

from buildcheck.output.compare.comparison import compare
from buildcheck.output.compare.revision import revision
from buildcheck.repo.commit_tree import read_commit
from buildcheck.repo.file_tree import DISK
from buildcheck.repo.git import commit_named


@pytest.mark.parametrize("name", [f"{TEAL}/heads.yaml", "parts/s-120.yaml"])
@pytest.mark.parametrize("flag", ["--skip-worktree", "--assume-unchanged"])
def test_a_user_that_git_was_set_to_pass_over(garage: Garage, name: str, flag: str) -> None:
    garage.git("update-index", flag, name)
    garage.add(name)
    garage.replace("parts/wire.yaml", "265 lbf/in", "9 lbf")
    garage.git("add", "parts/wire.yaml")
    result = garage.buildcheck("check", "--touched")
    assert (result.code, result.builds) == (2, {SMEW, TEAL})


def test_a_part_that_is_used_in_a_file_that_git_takes_for_unchanged(garage: Garage) -> None:
    garage.git("update-index", "--assume-unchanged", f"{EIDER}/heads.yaml")
    garage.add(f"{EIDER}/heads.yaml", "each: [{uses: parts/spare.yaml}]\n")
    garage.add("parts/spare.yaml")
    garage.git("add", "parts/spare.yaml")
    assert garage.buildcheck("check", "--touched").builds == {EIDER}


@pytest.mark.parametrize("flag", ["--skip-worktree", "--assume-unchanged"])
def test_compare_reads_what_git_was_set_to_pass_over(garage: Garage, flag: str) -> None:
    garage.git("update-index", flag, f"{EIDER}/build.yaml", "parts/wire.yaml")
    garage.replace(f"{EIDER}/build.yaml", "stage: ordering", "stage: measuring")
    (garage.root / "parts/wire.yaml").unlink()
    before = revision("HEAD", garage.root, read_commit(garage.root, commit_named(garage.root, "HEAD")))
    comparison = compare(before, revision("working tree", garage.root, DISK))
    assert [change.folder for change in comparison.changes] == [EIDER, SMEW, TEAL]


def test_what_a_sparse_checkout_leaves_out_is_in_nobody_s_way(garage: Garage) -> None:
    garage.git("sparse-checkout", "set", "--no-cone", "/*", "!/parts")
    garage.add(f"{EIDER}/cam.yaml")
    garage.git("add", f"{EIDER}/cam.yaml")
    result = garage.buildcheck("check", "--touched")
    assert (result.code, result.builds) == (0, {EIDER})


@pytest.mark.parametrize(("shelf", "ignored", "to"), [("shelf", "shelf", "parts"), ("own/shelf", "own/", "../parts")])
def test_a_part_behind_a_link_that_git_ignores(garage: Garage, shelf: str, ignored: str, to: str) -> None:
    garage.write(".gitignore", f"{ignored}\n")
    (garage.root / shelf).parent.mkdir(exist_ok=True)
    (garage.root / shelf).symlink_to(to)
    garage.replace(f"{TEAL}/heads.yaml", "parts/s-120.yaml", f"{shelf}/spare.yaml")
    garage.git("add", "--all")
    garage.git("commit", "-qm", "a shelf", "--no-verify")
    garage.add("parts/spare.yaml")
    assert garage.staged().builds == {TEAL}


def test_a_build_s_file_that_is_a_link_to_one_called_otherwise(garage: Garage) -> None:
    (garage.root / TEAL / "heads.yaml").rename(garage.root / TEAL / "heads.txt")
    (garage.root / TEAL / "heads.yaml").symlink_to("heads.txt")
    garage.git("add", "--all")
    garage.git("commit", "-qm", "linked", "--no-verify")
    garage.add("parts/wire.yaml")
    assert garage.staged().builds == {SMEW, TEAL}


def test_a_rule_that_is_a_link_in_a_folder_that_git_ignores(garage: Garage) -> None:
    garage.write("elsewhere/force.txt", RULE.replace("id: cap", "id: force"))
    (garage.root / "rules-of-ours/own").mkdir()
    (garage.root / "rules-of-ours/own/force.yaml").symlink_to("../../elsewhere/force.txt")
    garage.write(".gitignore", "own/\n")
    garage.git("add", "--all")
    garage.git("commit", "-qm", "linked", "--no-verify")
    garage.add("elsewhere/force.txt")
    assert garage.staged().builds == BUILDS


OFF_THE_TIP = ("{from: 0.145 in, to: 0.172 in}", "{from: 0.005 in, to: 0.032 in}")


def test_what_is_staged_is_judged_even_if_the_file_was_repaired_since(garage: Garage) -> None:
    garage.replace(f"{EIDER}/marks.yaml", *OFF_THE_TIP)
    garage.git("add", f"{EIDER}/marks.yaml")
    garage.replace(f"{EIDER}/marks.yaml", *reversed(OFF_THE_TIP))
    result = garage.buildcheck("check", "--touched")
    assert (result.code, result.builds) == (1, {EIDER})
    assert "mark-on-tip" in result.output


def test_what_is_not_staged_yet_is_not_judged(garage: Garage) -> None:
    garage.add(f"{EIDER}/cam.yaml")
    garage.git("add", f"{EIDER}/cam.yaml")
    garage.replace(f"{EIDER}/marks.yaml", *OFF_THE_TIP)
    (garage.root / f"{EIDER}/stackup.yaml").unlink(missing_ok=True)
    result = garage.buildcheck("check", "--touched")
    assert (result.code, result.builds) == (0, {EIDER})


def test_a_build_file_that_is_announced_but_not_staged_is_empty_in_the_commit(garage: Garage) -> None:
    garage.add(f"{EIDER}/cam.yaml")
    garage.git("add", f"{EIDER}/cam.yaml")
    garage.write(f"{EIDER}/concessions.yaml", "note: none\n")
    garage.git("add", "--intent-to-add", f"{EIDER}/concessions.yaml")
    result = garage.buildcheck("check", "--touched")
    assert result.code == 2
    assert "concessions.yaml:1:1: error: is empty" in result.output


def test_a_staged_part_is_judged_although_the_one_on_disk_is_gone(garage: Garage) -> None:
    garage.replace("parts/wire.yaml", "265 lbf/in", "2650 lbf")
    garage.git("add", "parts/wire.yaml")
    (garage.root / "parts/wire.yaml").unlink()
    result = garage.buildcheck("check", "--touched")
    assert (result.code, result.builds) == (2, {SMEW, TEAL})


def test_staged_settings_are_in_force(garage: Garage) -> None:
    garage.write("buildcheck.yaml", "rules: [no-such-folder]\n")
    garage.git("add", "buildcheck.yaml")
    garage.write("buildcheck.yaml", "rules: [rules-of-ours]\n")
    assert garage.buildcheck("check", "--touched").code == 2
