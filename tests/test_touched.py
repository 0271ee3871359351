"""The hook checks the builds that the staged changes affect, and all of them if that cannot be determined."""

from __future__ import annotations

import shutil
import sys
from collections.abc import Callable

import pytest
from garage import BUILDS, EIDER, RULE, SMEW, TEAL, WIGEON, Garage

IDLE = "buildcheck: the staged changes affect no build: no build is checked"
SPRUNG = {SMEW, TEAL}


EDITS: dict[str, tuple[Callable[[Garage], object], set[str]]] = {
    "a file of a build": (lambda here: here.add(f"{EIDER}/cam.yaml"), {EIDER}),
    "two builds": (lambda here: [here.add(f"{each}/cam.yaml") for each in (EIDER, TEAL)], {EIDER, TEAL}),
    "what is not read of a build": (lambda here: here.write(f"{EIDER}/photos/ü\nx.txt", "x"), {EIDER}),
    "a part": (lambda here: here.add("parts/s-120.yaml"), SPRUNG),
    "a part of a part": (lambda here: here.add("parts/wire.yaml"), SPRUNG),
    "a part and a build": (lambda here: [here.add("parts/wire.yaml"), here.add(f"{EIDER}/cam.yaml")], {EIDER, *SPRUNG}),
    "a folder moved": (lambda here: here.git("mv", EIDER, "engines/eider ü"), {"engines/eider ü"}),
    "a new build": (lambda here: shutil.copytree(here.root / EIDER, here.root / "boats/new"), {"boats/new"}),
}


@pytest.mark.parametrize("edit", EDITS)
def test_what_is_touched_is_checked_and_a_neighbour_that_fails_is_not_in_the_way(garage: Garage, edit: str) -> None:
    change, touched = EDITS[edit]
    change(garage)
    result = garage.staged()
    assert (result.builds, result.code) == (touched, 0), result.output


@pytest.mark.parametrize("name", ["README.md", "parts/spare.yaml", "a\nb/ü.yaml", "parts/new.yaml"])
def test_what_matters_to_no_build_lets_the_commit_through_and_says_so(garage: Garage, name: str) -> None:
    garage.write(name, "rate: 310 lbf/in\n")
    result = garage.staged()
    assert (result.code, result.builds) == (0, set())
    assert IDLE in result.output


FOR_ALL: dict[str, Callable[[Garage], object]] = {
    "settings": lambda here: here.add("buildcheck.yaml"),
    "settings deleted": lambda here: here.git("rm", "-q", "buildcheck.yaml"),
    "a rule": lambda here: here.add("rules-of-ours/cap.yaml"),
    "a rule moved": lambda here: here.git("mv", "rules-of-ours/cap.yaml", "rules-of-ours/lobes/"),
    "a new rule": lambda here: here.write("rules-of-ours/cup.yaml", RULE.replace("id: cap", "id: cup")),
    "the tool's version": lambda here: here.add(".pre-commit-config.yaml"),
    "a link": lambda here: (here.root / "shelf").symlink_to("parts"),
    "a submodule": lambda here: here.git("update-index", "--add", "--cacheinfo", f"160000,{'1' * 40},sub"),
}


@pytest.mark.parametrize("edit", FOR_ALL)
def test_what_may_matter_to_all_has_all_checked(garage: Garage, edit: str) -> None:
    (garage.root / "rules-of-ours/lobes").mkdir()
    FOR_ALL[edit](garage)
    result = garage.buildcheck("check", "--touched") if edit == "a submodule" else garage.staged()
    assert (result.code, result.builds) == (1, BUILDS)


def test_a_part_that_is_reached_through_a_link_has_all_checked(garage: Garage) -> None:
    (garage.root / "shelf").symlink_to("parts")
    garage.replace(f"{TEAL}/heads.yaml", "parts/s-120.yaml", "shelf/spare.yaml")
    garage.git("add", "--all")
    garage.git("commit", "-qm", "linked", "--no-verify")
    garage.add("parts/spare.yaml")
    assert garage.staged().builds == BUILDS


def test_a_part_may_be_named_in_other_characters(garage: Garage) -> None:
    garage.replace(f"{TEAL}/heads.yaml", "parts/s-120.yaml", r'"parts\/spare.yaml"')
    garage.git("add", "--all")
    garage.git("commit", "-qm", "escaped", "--no-verify")
    garage.add("parts/spare.yaml")
    assert garage.staged().builds == {TEAL}


def test_before_the_first_commit_all_are_checked(garage: Garage) -> None:
    garage.git("checkout", "-q", "--orphan", "anew")
    assert garage.staged().builds == BUILDS


@pytest.mark.parametrize("edited", ["", f"{EIDER}/cam.yaml"])
def test_where_no_commit_is_in_the_making_all_are_checked(garage: Garage, edited: str) -> None:
    garage.write("report-of-ci.txt", "not in git\n")
    if edited:
        garage.add(edited)
    run = (sys.executable, "-m", "pre_commit", "run", "--all-files")
    result = garage.run(*run) if edited else garage.buildcheck("check", "--touched")
    assert (result.code, result.builds) == (1, BUILDS)


def test_at_a_push_all_are_checked_whatever_is_staged(garage: Garage) -> None:
    garage.install_pre_commit()
    garage.git("init", "-q", "--bare", "../remote")
    garage.git("remote", "add", "origin", "../remote")
    garage.git("push", "-q", "--no-verify", "origin", "main")
    garage.git("commit", "-q", "--no-verify", "--allow-empty", "-m", "more")
    garage.add("README.md")
    garage.git("add", "README.md")
    result = garage.run("git", "push", "origin", "main")
    assert (result.code, result.builds) == (1, BUILDS)


def test_a_commit_of_some_paths_alone_is_judged_by_them(garage: Garage) -> None:
    garage.install_pre_commit()
    garage.add(f"{EIDER}/cam.yaml")
    garage.add(f"{WIGEON}/cam.yaml")
    assert garage.commit(f"{EIDER}/cam.yaml", staged=False).builds == {EIDER}
    assert garage.commit("--all", staged=False).builds == {WIGEON}


def test_a_merge_is_judged_by_what_it_brings(garage: Garage) -> None:
    garage.git("checkout", "-qb", "other")
    garage.add(f"{TEAL}/cam.yaml")
    garage.git("commit", "-qam", "change", "--no-verify")
    garage.git("checkout", "-q", "main")
    garage.add(f"{EIDER}/cam.yaml")
    garage.git("commit", "-qam", "change", "--no-verify")
    assert garage.run("git", "merge", "other", "-m", "merged").builds == {TEAL}


def test_a_conflict_solved_is_judged_by_the_outcome(garage: Garage) -> None:
    for branch, text in (("other", "# one\n"), ("main", "# two\n")):
        garage.git("checkout", "-q", *(["-b", branch] if branch == "other" else [branch]))
        garage.add(f"{EIDER}/cam.yaml", text)
        garage.git("commit", "-qam", "change", "--no-verify")
    assert garage.run("git", "merge", "other").code == 1
    assert garage.buildcheck("check", "--touched").builds == {EIDER}
    garage.replace(f"{EIDER}/cam.yaml", "<<<<<<< HEAD\n", "# both\n")
    garage.replace(f"{EIDER}/cam.yaml", "=======\n", "")
    garage.replace(f"{EIDER}/cam.yaml", ">>>>>>> other\n", "")
    result = garage.commit()
    assert (result.code, result.builds) == (0, {EIDER})
