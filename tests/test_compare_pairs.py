"""Which folders of two states are one build: by their path, else by what they hold."""

from __future__ import annotations

from pathlib import Path

import pytest

from buildcheck.output.compare.revision import Revision, pairs, revision
from buildcheck.repo.file_tree import DISK

TEAL = ("name: Teal\nstage: planning\n", "bore: 3.910 in\n")
GOOSE = ("name: Goose\nstage: closed\n", "bore: 3.500 in\nstroke: 3.200 in\n")
THREE_OF_FIVE = ("name: Goose\nstage: planning\n", "bore: 3.500 in\nstroke: 3.200 in\n")
TWO_OF_FOUR = ("name: Teal\nstage: planning\n", "bore: 3.940 in\n")
TWO_OF_SIX = ("name: Goose\nstage: closed\n", "bore: 3.910 in\nstroke: 3.530 in\n")
ONE_OF_FIVE = ("name: Goose\nstage: planning\n", "bore: 3.940 in\n")


def state(root: Path, **builds: tuple[str, str]) -> Revision:
    """A repository of builds, each with its build.yaml and its block.yaml."""
    root.mkdir()
    (root / "buildcheck.yaml").write_text("report: REPORT.md\n")
    for folder, (build, block) in builds.items():
        (root / folder).mkdir()
        (root / folder / "build.yaml").write_text(build)
        (root / folder / "block.yaml").write_text(block)
    return revision(root.name, root, DISK)


def test_many_folders_moved_at_once_are_each_read_once(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    builds = {
        f"b{n:02}": (f"name: B{n}\nstage: planning\n", f"bore: {n + 2}.000 in\nstroke: {n + 3} in\n") for n in range(20)
    }
    old = state(tmp_path / "old", **builds)
    new = state(tmp_path / "new", **{f"moved-{folder}": files for folder, files in builds.items()})
    asked: list[str] = []
    plain = Revision.build
    monkeypatch.setattr(Revision, "build", lambda self, name: asked.append(name) or plain(self, name))
    assert list(pairs(old, new, ())) == [(folder, f"moved-{folder}") for folder in builds]
    assert len(asked) == len(set(asked)) == 40


@pytest.mark.parametrize(
    ("old", "new", "same"),
    [
        (GOOSE, GOOSE, True),
        (GOOSE, THREE_OF_FIVE, True),
        (TEAL, TWO_OF_FOUR, True),
        (GOOSE, TWO_OF_SIX, False),
        (TEAL, ONE_OF_FIVE, False),
        (GOOSE, (GOOSE[0], "bore: 3.200 in\nstroke: 3.500 in\n"), False),
    ],
)
def test_where_half_of_the_values_agree_it_is_the_same_build(
    tmp_path: Path, old: tuple[str, str], new: tuple[str, str], same: bool
) -> None:
    before, after = state(tmp_path / "a", left=old), state(tmp_path / "b", right=new)
    assert list(pairs(before, after, ())) == ([("left", "right")] if same else [("left", ""), ("", "right")])


def test_folders_that_changed_places_are_paired_by_what_they_hold_in_the_new_order(tmp_path: Path) -> None:
    before = state(tmp_path / "a", e1=TEAL, e2=GOOSE, kept=TEAL)
    after = state(tmp_path / "b", f1=GOOSE, f2=TEAL, kept=GOOSE)
    assert list(pairs(before, after, ())) == [("e2", "f1"), ("e1", "f2"), ("kept", "kept")]


def test_the_most_alike_is_the_same_build_and_only_one_is(tmp_path: Path) -> None:
    before, after = state(tmp_path / "a", old=GOOSE), state(tmp_path / "b", first=THREE_OF_FIVE, then=GOOSE)
    assert list(pairs(before, after, ())) == [("", "first"), ("old", "then")]
    assert list(pairs(after, before, ())) == [("first", ""), ("then", "old")]


def test_of_two_equally_alike_the_first_is_taken(tmp_path: Path) -> None:
    before, after = state(tmp_path / "a", e1=TEAL, e2=TEAL), state(tmp_path / "b", f1=TEAL, f2=TEAL)
    assert list(pairs(before, after, ())) == [("e1", "f1"), ("e2", "f2")]


@pytest.mark.parametrize(
    ("wanted", "found"),
    [
        (["old"], [("old", "then")]),
        (["then"], [("old", "then")]),
        (["the"], []),
        (["."], [("", "first"), ("old", "then")]),
    ],
)
def test_a_wanted_folder_is_found_under_its_old_name_too(
    tmp_path: Path, wanted: list[str], found: list[tuple[str, str]]
) -> None:
    before, after = state(tmp_path / "a", old=GOOSE), state(tmp_path / "b", first=TEAL, then=GOOSE)
    assert list(pairs(before, after, wanted)) == found
