"""What is touched is held to all that checking everything finds: lost and untracked files, other working trees."""

from __future__ import annotations

import json
from collections.abc import Callable

import pytest
from garage import BUILDS, EIDER, SMEW, TEAL, WIGEON, Garage

from buildcheck.cli.commands.check import FORMATS

IDLE = "buildcheck: the staged changes affect no build: no build is checked"
ON_TIP, OFF_TIP = "{from: 0.145 in, to: 0.172 in}", "{from: 0 in, to: 0.027 in}"
BLOCKED: dict[str, tuple[Callable[[Garage], object], str]] = {
    "build.yaml deleted": (lambda here: here.git("rm", "-q", f"{EIDER}/build.yaml"), "is no build.yaml beside it"),
    "build.yaml misspelt": (
        lambda here: here.git("mv", f"{EIDER}/build.yaml", f"{EIDER}/Build.yml"),
        "rename it to build.",
    ),
    "marks renamed away": (
        lambda here: here.git("mv", f"{EIDER}/marks.yaml", f"{EIDER}/old.yaml"),
        "does not exist yet",
    ),
    "heads deleted": (lambda here: here.git("rm", "-q", f"{EIDER}/heads.yaml"), "heads.yaml does not exist"),
    "a file untracked": (lambda here: here.git("rm", "-q", "--cached", f"{EIDER}/marks.yaml"), "is not in the commit"),
    "a part deleted": (
        lambda here: here.git("rm", "-q", "parts/wire.yaml"),
        "the repository has no file parts/wire.yaml",
    ),
    "settings out of place": (lambda here: here.write("engines/buildcheck.yaml", ""), "counts only at the repository"),
    "a mark off the tip": (lambda here: here.replace(f"{EIDER}/marks.yaml", ON_TIP, OFF_TIP), "[mark-on-tip "),
}


@pytest.mark.parametrize("edit", BLOCKED)
def test_the_commit_is_blocked(garage: Garage, edit: str) -> None:
    change, output = BLOCKED[edit]
    change(garage)
    result = garage.buildcheck("check", "--touched") if edit == "a file untracked" else garage.staged()
    assert result.code in (1, 2)
    assert output in result.output
    if edit == "a mark off the tip":
        assert garage.commit().code == 1


@pytest.mark.parametrize("ignored", [False, True])
def test_an_untracked_file_blocks_in_a_build_that_the_commit_affects_and_in_no_other(
    garage: Garage, ignored: bool
) -> None:
    garage.write(f"{EIDER}/concessions.yaml", "[]\n")
    garage.write(".gitignore", "concessions.yaml\n" if ignored else "# nothing\n")
    garage.add(f"{TEAL}/cam.yaml")
    garage.git("add", f"{TEAL}/cam.yaml", ".gitignore")
    assert garage.buildcheck("check", "--touched").builds == {TEAL}
    garage.add(f"{EIDER}/cam.yaml")
    garage.git("add", f"{EIDER}/cam.yaml")
    result = garage.buildcheck("check", "--touched")
    assert (result.code, result.builds) == (2, {EIDER, TEAL})
    assert f"{EIDER}/concessions.yaml:1:1: error: is not in the commit" in result.output


def test_a_rule_that_is_not_in_the_commit_is_reported_whatever_is_touched(garage: Garage) -> None:
    garage.git("rm", "-q", "--cached", "rules-of-ours/cap.yaml")
    assert "rules-of-ours/cap.yaml:1:1: error: is not in the commit" in garage.buildcheck("check", "--touched").output


@pytest.mark.parametrize(
    ("edited", "paths", "builds"),
    [
        (f"{EIDER}/cam.yaml", [EIDER, TEAL], {EIDER}),
        (f"{EIDER}/cam.yaml", ["engines"], {EIDER}),
        (f"{EIDER}/cam.yaml", [TEAL], set()),
        ("parts/wire.yaml", [TEAL, WIGEON], {TEAL}),
        ("buildcheck.yaml", [TEAL, WIGEON], {TEAL, WIGEON}),
    ],
)
def test_paths_narrow_it_further(garage: Garage, edited: str, paths: list[str], builds: set[str]) -> None:
    garage.add(edited)
    garage.git("add", "--all")
    result = garage.buildcheck("check", "--touched", *paths)
    assert result.builds == builds
    assert (IDLE in result.output) == (not builds)


def test_from_a_folder_below_the_root_paths_count_from_there(garage: Garage) -> None:
    garage.add(f"{EIDER}/cam.yaml")
    garage.git("add", "--all")
    assert garage.buildcheck("check", "--touched", cwd="engines").builds == {"eider"}
    assert garage.buildcheck("check", "--touched", "../eider", cwd=TEAL).builds == {"../eider"}


@pytest.mark.parametrize("form", FORMATS)
def test_no_build_touched_is_well_formed_in_every_format(garage: Garage, form: str) -> None:
    garage.add("README.md")
    garage.git("add", "--all")
    result = garage.buildcheck("check", "--touched", "--format", form)
    out = result.output.replace(f"{IDLE}\n", "")
    assert result.code == 0
    assert out != result.output
    assert form not in ("json", "sarif", "gitlab") or json.loads(out) is not None


def test_where_there_is_no_build_at_all_the_call_is_wrong(garage: Garage) -> None:
    garage.git("rm", "-rq", *sorted(BUILDS))
    garage.git("commit", "-qm", "all gone", "--no-verify")
    garage.add("README.md")
    result = garage.staged()
    assert (result.code, "no build at or under" in result.output) == (2, True)


def test_in_another_working_tree_of_the_repository(garage: Garage) -> None:
    garage.git("worktree", "add", "-q", "../other")
    there = Garage(garage.root.parent / "other", garage.root)
    there.environment = garage.environment
    there.add(f"{EIDER}/cam.yaml")
    result = there.commit()
    assert (result.code, result.builds) == (0, {EIDER})


def test_in_a_submodule_and_around_it(garage: Garage) -> None:
    garage.git("init", "-q", "../club")
    club = Garage(garage.root.parent / "club", garage.root)
    club.environment = garage.environment
    club.git("-c", "protocol.file.allow=always", "submodule", "add", "-q", str(garage.root), "ours")
    for build in (f"ours/{EIDER}/cam.yaml", f"ours/{TEAL}/cam.yaml"):
        club.add(build)
    club.git("add", EIDER, cwd="ours")
    assert club.buildcheck("check", "--touched", cwd="ours").builds == {EIDER}
    assert "is a build inside a submodule and is not checked" in club.buildcheck("check", "--touched").output


def test_the_report_of_what_is_touched_is_checked(garage: Garage) -> None:
    assert garage.buildcheck("report").code == 0
    garage.git("add", "--all")
    garage.git("commit", "-qm", "reports", "--no-verify")
    garage.add(f"{SMEW}/REPORT.md")
    garage.git("commit", "-qam", "spoilt", "--no-verify")
    garage.add(f"{EIDER}/cam.yaml", "note: a value more\n")
    garage.git("add", "--all")
    result = garage.buildcheck("report", "--check", "--touched")
    assert (result.code, result.output.count("REPORT.md:1:1: error: is stale"), SMEW in result.output) == (1, 1, False)
    assert garage.buildcheck("report", "--touched").output == f"{EIDER}/REPORT.md: written\n"
    assert garage.buildcheck("report", "--index", "--touched").code == 2


@pytest.mark.parametrize("name", ["build.yaml", "build.yaml/photo.txt"])
def test_a_part_that_becomes_a_build_s_own_file_reaches_its_users(garage: Garage, name: str) -> None:
    garage.write("family/heads.yaml", "rate: 265 lbf/in\n")
    garage.replace("parts/s-120.yaml", "parts/wire.yaml", "family/heads.yaml")
    garage.git("add", "--all")
    garage.git("commit", "-qm", "family", "--no-verify")
    garage.write(f"family/{name}", "name: Family\nstage: planning\npurpose: to be told\n")
    result = garage.staged()
    assert (result.code, result.builds) == (2, {"family", SMEW, TEAL})
    assert "family/heads.yaml is a build's own file" in result.output
