"""Kinds: what may be added, and what arithmetic makes of them."""

from __future__ import annotations

import pytest

from buildcheck.rules.dimensions import DIMENSIONS, KindError, alike, combined, dimensions


@pytest.mark.parametrize(
    ("operator", "one", "other", "kind"),
    [
        ("+", "length", "length", "length"),
        ("-", "temperature", "temperature", "temperature difference"),
        ("+", "count", "ratio", "count"),
        ("*", "rate", "length", "force"),
        ("*", "length", "rate", "force"),
        ("/", "force", "length", "rate"),
        ("/", "force", "rate", "length"),
        ("/", "length", "length", "ratio"),
        ("*", "length", "ratio", "length"),
        ("*", "ratio", "length", "length"),
        ("/", "length", "count", "length"),
        ("/", "ratio", "length", "(-1,0,0,0)"),
        ("*", "(-1,0,0,0)", "length", "ratio"),
        ("*", "length", "length", "(2,0,0,0)"),
        ("*", "(2,0,0,0)", "length", "volume"),
        ("/", "force", "(2,0,0,0)", "pressure"),
    ],
)
def test_what_two_kinds_make(operator: str, one: str, other: str, kind: str) -> None:
    assert combined(operator, one, other) == kind


@pytest.mark.parametrize(
    ("operator", "one", "other"),
    [
        ("+", "length", "force"),
        ("-", "length", "ratio"),
        ("+", "angle", "ratio"),
        ("+", "temperature", "temperature"),
        ("-", "torque", "volume"),
        ("*", "text", "length"),
        ("*", "length", "text"),
        ("*", "length", "thread"),
        ("/", "thread", "ratio"),
    ],
)
def test_what_no_arithmetic_joins(operator: str, one: str, other: str) -> None:
    with pytest.raises(KindError):
        combined(operator, one, other)


def test_only_a_kind_and_its_like_may_be_compared() -> None:
    pairs = {
        frozenset((one, other)) for one in DIMENSIONS for other in DIMENSIONS if one != other and alike(one, other)
    }
    assert pairs == {frozenset(("count", "ratio"))}


def test_a_compound_is_compared_by_its_exponents() -> None:
    assert alike(combined("*", "force", "length"), "torque")
    assert not alike(combined("*", "force", "length"), "force")
    assert dimensions("(1,-2,0,3)") == (1, -2, 0, 3)
