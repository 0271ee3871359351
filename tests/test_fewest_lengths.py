"""The fewest lengths, as brute force finds them; one a valve type; nearest what is asked; the rest made to length."""

from __future__ import annotations

from itertools import combinations
from random import Random

import pytest

from buildcheck.core.subject import Subject
from buildcheck.ordering.allowed_lengths import Interval, LengthRequirement
from buildcheck.ordering.fewest_lengths import AvailableLength, assign_lengths

MM = 0.001


def offers(*lengths: float) -> list[AvailableLength]:
    return [AvailableLength(length * MM, length * MM, "overall", None, True) for length in lengths]


def want(cylinder: int, valve: str, asked: float, *intervals: Interval) -> LengthRequirement:
    spans = tuple((low * MM, high * MM) for low, high in intervals)
    return LengthRequirement(Subject(cylinder, valve), spans, asked * MM, False)


def given(needs: list[LengthRequirement], stock: list[AvailableLength]) -> dict[str, float]:
    return {one.subject.key: round(offer.measured / MM, 6) for one, offer in assign_lengths(needs, stock, made)}


def made(length: float) -> AvailableLength:
    return AvailableLength(length, length, "overall", None, False)


def least(needs: list[LengthRequirement], stock: list[AvailableLength]) -> int:
    """The smallest number of stock lengths that serves all, by trying every set."""
    for size in range(1, len(needs) + 1):
        for chosen in combinations(stock, size):
            if all(any(one.allows(offer.measured) for offer in chosen) for one in needs):
                return size
    raise AssertionError("no set serves all")


def drawn(random: Random, two: bool) -> tuple[list[LengthRequirement], list[AvailableLength]]:
    """Valves with one or two intervals at random, and a stock of which at least one length serves each."""
    stock = offers(*sorted(random.sample(range(100, 130), 14)))
    needs = []
    while len(needs) < 8:
        middle, room, apart = random.uniform(100, 130), random.uniform(0.3, 3.0), random.uniform(0, 12)
        spans = [(middle - room, middle + room)]
        spans += [(middle + apart - room, middle + apart + room)] if two and random.random() < 0.5 else []
        number, valve = divmod(len(needs), 2)
        one = want(number + 1, ("intake", "exhaust")[valve], spans[-1][0] + room, *spans)
        if any(one.allows(offer.measured) for offer in stock):
            needs.append(one)
    return needs, stock


@pytest.mark.parametrize("two", [False, True])
@pytest.mark.parametrize("seed", range(25))
def test_no_fewer_lengths_would_serve_every_valve(seed: int, two: bool) -> None:
    needs, stock = drawn(Random(seed), two)
    found = given(needs, stock)
    assert len(set(found.values())) == least(needs, stock)
    assert all(one.allows(found[one.subject.key] * MM) for one in needs)


def test_fewest_lengths_of_a_long_fine_list() -> None:
    """Two hundred lengths, nine valves that need five: more sets than can be tried one by one."""
    stock = offers(*(100 + n * 0.1 for n in range(200)))
    middles = [101, 104, 107, 110, 113, 101.5, 104.5, 107.5, 110.5]
    needs = [want(n, "intake", middle, (middle - 0.7, middle + 0.7)) for n, middle in enumerate(middles, 1)]
    assert len(set(given(needs, stock).values())) == 5


def test_fewest_lengths_of_a_long_list_where_signs_are_unknown() -> None:
    """Each valve fits at either of two heights; the one that all but one share lies in the lower of them."""
    stock = offers(*(100 + n * 0.1 for n in range(300)))
    shared = [want(n, "intake", 110 + 3 * n, (104, 104.5), (110 + 3 * n, 110.5 + 3 * n)) for n in range(1, 6)]
    alone = [want(6, "intake", 101, (101, 101.05))]
    assert set(given([*shared, *alone], stock).values()) <= {101.0, 104.0, 104.1, 104.2, 104.3, 104.4, 104.5}


def test_one_length_serves_a_whole_type_where_it_can() -> None:
    """102 and 106 serve all; the intakes could be split between them, and are not."""
    needs = [
        want(1, "intake", 102.9, (101.5, 106.5)),
        want(2, "intake", 105.2, (101.5, 106.5)),
        want(1, "exhaust", 106, (105.5, 106.5)),
        want(2, "exhaust", 102, (101.5, 102.5)),
    ]
    found = given(needs, offers(102, 106))
    assert found["1/intake"] == found["2/intake"] == 106
    assert (found["1/exhaust"], found["2/exhaust"]) == (106, 102)


def test_the_nearest_to_what_is_requested_is_taken_among_equals() -> None:
    needs = [want(1, "intake", 103.4, (100, 106)), want(2, "intake", 104.2, (101, 107))]
    assert set(given(needs, offers(102, 103, 104, 105)).values()) == {104.0}
    assert set(given(needs, offers(102, 105)).values()) == {105.0}


def test_what_no_stock_length_serves_is_made_to_one_shared_length() -> None:
    needs = [
        want(1, "intake", 103.2, (103.1, 103.6)),
        want(2, "intake", 103.5, (103.3, 103.8)),
        want(3, "intake", 104.0, (103.9, 104.1)),
    ]
    found = given(needs, offers(103, 104))
    assert found == {"1/intake": 103.35, "2/intake": 103.35, "3/intake": 104.0}


@pytest.mark.parametrize(
    ("low", "high", "serves"), [(103.0, 103.2, True), (102.8, 103.0, True), (103.001, 103.2, False)]
)
def test_an_interval_holds_its_own_ends(low: float, high: float, serves: bool) -> None:
    [(_, offer)] = assign_lengths([want(1, "intake", (low + high) / 2, (low, high))], offers(103), made)
    assert offer.stock == serves


def test_a_valve_that_allows_nothing_does_not_hold_up_the_others() -> None:
    found = given([want(1, "intake", 103, (104, 102)), want(2, "intake", 108, (107, 109))], offers(108))
    assert found["2/intake"] == 108


def test_unmixed_types_count_before_nearness() -> None:
    """102 for one intake and 106 for the other would be nearer; 104 for both cannot be mixed up at assembly."""
    needs = [
        want(1, "intake", 102, (101.5, 104.5)),
        want(2, "intake", 106, (103.5, 106.5)),
        want(1, "exhaust", 106, (105.5, 106.5)),
    ]
    assert given(needs, offers(102, 104, 106)) == {"1/intake": 104, "2/intake": 104, "1/exhaust": 106}
