"""The figures of docs/how-it-is-checked.md are those of the tables that the simulations print."""

from __future__ import annotations

import re

from documents import ROOT

PAGE = (ROOT / "docs/how-it-is-checked.md").read_text(encoding="utf-8")
TEAM = (ROOT / "docs/team.md").read_text(encoding="utf-8")
TABLES = (ROOT / "tests/bench/README.md").read_text(encoding="utf-8")


def rows(head: str) -> list[list[str]]:
    """The cells of the table with this first cell in its head."""
    table = TABLES.partition(f"\n| {head} |")[2].partition("\n\n")[0]
    return [line.strip("| ").split(" | ") for line in table.splitlines() if line.startswith("| ")]


def numbers(*cells: str) -> list[float]:
    return [float(number) for cell in cells for number in re.findall(r"[\d.]+", cell)]


def span(values: list[float], form: str = ".1f") -> str:
    return f"{min(values):{form}} to {max(values):{form}}"


def test_readings_carried_over() -> None:
    found = rows("Mount and tip")
    lengths = numbers(*(row[4] for row in found if row[1] == "length"))
    heights = numbers(*(row[4] for row in found if row[1] == "height error"))
    assert len(found) == 6
    assert f"| {span(numbers(*(row[3] for row in found)))} % of the values hold the true one." in PAGE
    assert f"{span(lengths, '.4f')} in for lengths, {span(heights, '.4f')} in for height errors" in PAGE


def test_piston_gap() -> None:
    found = rows("Engines")
    [by_a_stop] = [row[3] for row in found if row[0].endswith("TDC by a stop")]
    assert f"| {span(numbers(*(row[2] for row in found)))} % hold the true gap" in PAGE
    assert f"at most {max(numbers(*(row[4] for row in found))):.1f} % are optimistic by more than U" in PAGE
    assert f"Mean U: {by_a_stop} with TDC by a stop" in PAGE


def test_outliers() -> None:
    found = {int(row[0]): row for row in rows("Valves of a type")}
    both = {count: numbers(row[3])[1] for count, row in found.items()}
    with_a_shop = min(numbers(row[3])[2] for row in found.values())
    share = f"found in {both[4]:.0f} % with 4 valves a type, {both[6]:.0f} % with 6, {both[8]:.1f} % with 8"
    assert f"{share}, and in at least {with_a_shop:.1f} % with a shop's spread" in PAGE
    assert "less than 2 % of good types have an outlier" in PAGE
    assert max(max(numbers(row[1])) for row in found.values()) < 2
    with_a_shop, without = numbers(found[4][3])[2], both[4]
    assert f"is then found in {with_a_shop:.0f} % of engines instead of {without:.0f} %" in TEAM


def test_the_most_that_a_search_can_find() -> None:
    _, both = rows("Valves of a type | 4")
    assert both[0] == "at most, both"
    most = dict(zip((4, 5), numbers(*both[1:3]), strict=True))
    assert f"can find more than {most[4]:.0f} % with 4 valves a type and {most[5]:.0f} % with 5" in PAGE


def test_centreline_and_full_lift() -> None:
    found = {row[0]: row[2:] for row in rows("What | Number | U holds the true value")}
    (centreline, u_angle), (lift, u_lift) = found["centreline, TDC by a stop"], found["full lift"]
    shares = f"{centreline} of the centrelines (TDC by a stop) and {lift} of the lifts hold the true one"
    assert f"{shares}. Mean U: {u_angle} and {u_lift}" in PAGE


def test_orders_with_valves_assumed() -> None:
    """Shares of ready orders after 3, 4 and 5 readings, and how many of those called ready are wrong."""
    found = [row for row in rows("Spread known from") if row[1] == "0.025 in"]
    ready, wrong = (sum(int(numbers(row[cell])[0]) for row in found) for cell in (3, 4))
    share = f"{100 * wrong / ready:.1f} %; aim: 2 %"
    assert f"of {ready} called ready {wrong} have a valve out of range ({share})" in PAGE
    own, shop = (", ".join(f"{share:.0f}" for share in numbers(row[2])[:3]) for row in found)
    assert f"stock 0.025 in apart: {own} % with the engine's own spread, {shop} % with a shop's" in PAGE
