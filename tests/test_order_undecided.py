"""Orders with valves that cannot be served yet: each with its own reason, and the others' lengths stand."""

from __future__ import annotations

from pathlib import Path

import pytest
from altered import EIGHT, SIX, altered, facts
from rewritten import Edit, judged_by

from buildcheck.core.subject import Subject
from buildcheck.core.value import Undecided
from buildcheck.ordering.order import length_for, order, proposed_length, stock

OFF_HEEL = ("marks.yaml", "crank: 108 deg", "crank: 480 deg")
OTHER_SHIM = ("marks.yaml", "{length: 190.72 mm, mark", "{length: 190.72 mm, shim: 0.70 mm, mark")
FIRST, THIRD, SECOND = Subject(1, "intake"), Subject(3, "intake"), Subject(2, "intake")


def test_each_open_valve_has_its_own_reason(tmp_path: Path) -> None:
    found = facts(tmp_path, EIGHT, OFF_HEEL, OTHER_SHIM)
    for subject, reason in ((FIRST, "off the base circle"), (THIRD, "the shim of the last trial differs")):
        for ask in (length_for, proposed_length):
            with pytest.raises(Undecided, match=reason):
                ask(found, subject)
    assert length_for(found, SECOND).stated == pytest.approx(0.192)
    assert dict(order(found).unknown).keys() == {FIRST, THIRD}


def test_open_valves_are_counted_on_no_line(tmp_path: Path) -> None:
    found = altered(tmp_path, EIGHT, OFF_HEEL, OTHER_SHIM)
    assert [line.count for line in found.order.lines] == [6, 8]
    assert {one.subject for one in judged_by(found, "length-orderable") if one.blocks} == {FIRST, THIRD}


@pytest.mark.parametrize(
    ("first", "last", "step", "count"),
    [
        ("9.000 in", "9.900 in", "0.050 in", 19),
        ("9.000 in", "9.899 in", "0.050 in", 18),
        ("9.000 in", "9.000 in", "1 mm", 1),
    ],
)
def test_a_stock_list_holds_both_its_ends(tmp_path: Path, first: str, last: str, step: str, count: int) -> None:
    """The list is bounded by what it says and not by the last bit of a float: 9.000 + 18 × 0.050 is on it."""
    old = "from: 9.000 in\n    to: 9.900 in\n    step: 0.050 in"
    edit: Edit = ("pushrods.yaml", old, f"from: {first}\n    to: {last}\n    step: {step}")
    offers = stock(facts(tmp_path, SIX, edit))
    assert len(offers) == count
    assert all(one.stock and one.stated_as == "gauge" for one in offers)


@pytest.mark.parametrize(
    ("chosen", "off_the_shelf"),
    [("9.450 in", True), ("240.03 mm", True), ("9.455 in", False), ("9.445 in", False), ("9.950 in", False)],
)
def test_a_chosen_length_is_off_the_shelf_where_the_list_has_it(
    tmp_path: Path, chosen: str, off_the_shelf: bool
) -> None:
    line = f"chosen: {{intake: {chosen}, exhaust: {chosen}, stated_as: gauge, gauge_hole: 0.120 in}}\n"
    offer = length_for(facts(tmp_path, SIX, ("pushrods.yaml", "", line)), FIRST)
    assert (offer.stock, offer.stated_as) == (off_the_shelf, "gauge")
