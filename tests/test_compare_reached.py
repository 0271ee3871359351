"""Which builds ``compare`` reads: those that git shows may differ, in commits and in the working tree, never fewer."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from garage import BUILDS, EIDER, SMEW, TEAL, Garage
from history import STEPS, write_history
from thorough import pairs

from buildcheck.cli.main import main
from buildcheck.output.compare.changed_folders import affected_folders
from buildcheck.output.compare.comparison import compare
from buildcheck.output.compare.revision import Revision, revision
from buildcheck.repo.commit_tree import read_commit
from buildcheck.repo.file_tree import DISK
from buildcheck.repo.git import commit_named


def _at(top: Path, name: str) -> Revision:
    return revision(name, top, read_commit(top, commit_named(top, name)))


def _differing(before: Revision, after: Revision) -> set[str]:
    """Found the long way: by reading all."""
    common = before.builds.keys() & after.builds.keys()
    both = {name: (before.build(name), after.build(name)) for name in common}
    return {name for name, (was, now) in both.items() if (was.roots, was.problems) != (now.roots, now.problems)}


@pytest.fixture(scope="module")
def history(tmp_path_factory: pytest.TempPathFactory) -> Path:
    top = tmp_path_factory.mktemp("history")
    write_history(top)
    return top


@pytest.mark.parametrize("tag", STEPS)
def test_in_a_history_it_reaches_all_that_differs(history: Path, tag: str) -> None:
    tags = ["before", *STEPS]
    before, after = _at(history, tags[tags.index(tag) - 1]), _at(history, tag)
    found = affected_folders(before, after)
    assert found is None or _differing(before, after) <= found


EDITS: dict[str, tuple[Callable[[Garage], object], set[str]]] = {
    "nothing": (lambda here: None, set()),
    "a file": (lambda here: here.replace(f"{EIDER}/cam.yaml", "lobe_lift: ", "lobe_lift:  "), {EIDER}),
    "a file gone": (lambda here: (here.root / EIDER / "marks.yaml").unlink(), {EIDER}),
    "a part of a part": (lambda here: here.replace("parts/wire.yaml", "265", "270"), {SMEW, TEAL}),
    "a part gone": (lambda here: (here.root / "parts/wire.yaml").unlink(), {SMEW, TEAL}),
    "a part of nobody": (lambda here: here.replace("parts/spare.yaml", "300", "305"), set()),
    "a stray": (lambda here: here.write(f"{TEAL}/Marks.yml", "x: 1\n"), {TEAL}),
}


@pytest.mark.parametrize(("edit", "committed"), pairs(list(EDITS), [False, True]))
def test_it_reaches_what_was_touched_and_no_other(garage: Garage, edit: str, committed: bool) -> None:
    change, touched = EDITS[edit]
    change(garage)
    if committed:
        garage.git("add", "--all")
        garage.git("commit", "-q", "--no-verify", "--allow-empty", "-m", "more")
    before = _at(garage.root, "HEAD~1" if committed else "HEAD")
    after = _at(garage.root, "HEAD") if committed else revision("working tree", garage.root, DISK)
    found = affected_folders(before, after)
    assert found is not None
    assert BUILDS & found == touched
    assert _differing(before, after) <= touched


def test_a_part_that_git_ignores_is_not_passed_over(garage: Garage) -> None:
    garage.write(".gitignore", "parts/local/\n")
    garage.replace(f"{TEAL}/heads.yaml", "parts/s-120.yaml", "parts/local/s.yaml")
    garage.git("add", "--all")
    garage.git("commit", "-q", "--no-verify", "-m", "local")
    garage.write("parts/local/s.yaml", "uses: parts/s-120.yaml\n")
    before, after = _at(garage.root, "HEAD"), revision("working tree", garage.root, DISK)
    assert BUILDS & (affected_folders(before, after) or BUILDS) == {TEAL} == _differing(before, after)


@pytest.mark.parametrize("name", ["buildcheck.yaml", "rules-of-ours/cap.yaml"])
def test_settings_and_rules_reach_every_build(garage: Garage, name: str) -> None:
    garage.add(name)
    assert affected_folders(_at(garage.root, "HEAD"), revision("working tree", garage.root, DISK)) is None


def test_links_between_the_builds_of_a_commit(garage: Garage) -> None:
    (garage.root / "parts/linked.yaml").symlink_to("spare.yaml")
    garage.git("add", "--all")
    garage.git("commit", "-q", "--no-verify", "-m", "linked")
    garage.add("parts/spare.yaml")
    garage.git("commit", "-q", "--no-verify", "-am", "spare")
    assert affected_folders(_at(garage.root, "HEAD~2"), _at(garage.root, "HEAD~1")) is None
    assert affected_folders(_at(garage.root, "HEAD~1"), _at(garage.root, "HEAD")) is None


def test_what_is_not_reached_is_counted_as_unchanged(garage: Garage) -> None:
    garage.replace(f"{EIDER}/build.yaml", "stage: ordering", "stage: measuring")
    comparison = compare(_at(garage.root, "HEAD"), revision("working tree", garage.root, DISK))
    assert [change.folder for change in comparison.changes] == [EIDER]
    assert comparison.unchanged == len(BUILDS) - 1


def test_broken_rules_are_reported_once_at_their_own_place(
    garage: Garage, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    garage.replace("rules-of-ours/cap.yaml", "why: ", "whys: ")
    monkeypatch.chdir(garage.root / "engines")
    assert main(["compare", "HEAD"]) == 2
    result = [line for line in capsys.readouterr().out.splitlines() if line.endswith("[input]")]
    rules = [line for line in result if "whys" in line]
    assert rules
    assert all(line.startswith("rules-of-ours/cap.yaml:") for line in rules)
    assert all((garage.root / line.partition(":")[0]).is_file() for line in result)
    unjudged = ":1:1: error: is not judged while the team's rules or settings have errors [input]"
    assert {line.removesuffix(unjudged) for line in result if unjudged in line} == {
        f"{name}/build.yaml" for name in BUILDS
    }
