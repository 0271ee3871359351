"""Subjects and counts in words, and the order in which they are reported."""

from __future__ import annotations

import pytest

from buildcheck.core.plural import counted
from buildcheck.core.subject import BUILD, Subject, subjects
from buildcheck.output.wording import subjects_text


def test_what_each_subject_is_called() -> None:
    known = [BUILD, Subject(3), Subject(None, "exhaust"), Subject(3, "exhaust")]
    assert [one.key for one in known] == ["", "3", "exhaust", "3/exhaust"]
    assert [one.text for one in known] == ["", "cylinder 3", "exhaust", "cylinder 3 exhaust"]


@pytest.mark.parametrize(
    ("for_each", "keys"),
    [
        ("build", [""]),
        ("cylinder", ["1", "2"]),
        ("valve_type", ["intake", "exhaust"]),
        ("valve", ["1/intake", "1/exhaust", "2/intake", "2/exhaust"]),
    ],
)
def test_all_subjects_of_a_build_in_order(for_each: str, keys: list[str]) -> None:
    found = list(subjects(for_each, 2))
    assert [one.key for one in found] == keys
    backwards = found[::-1]
    backwards.sort(key=lambda one: one.order)
    assert backwards == found


def test_several_valves_are_gathered_by_their_type() -> None:
    several = [Subject(3, "intake"), Subject(1, "exhaust"), Subject(1, "intake")]
    assert subjects_text(several) == "intake 1, 3; exhaust 1"
    assert subjects_text([Subject(2), Subject(1)]) == "cylinder 1, 2"
    assert subjects_text([Subject(2, "exhaust")]) == "cylinder 2 exhaust"


def test_one_is_not_several() -> None:
    assert [counted(number, "error") for number in (0, 1, 2)] == ["0 errors", "1 error", "2 errors"]
