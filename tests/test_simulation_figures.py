"""The figures of docs/how-it-is-checked.md are those of the tables that the simulations print."""

from __future__ import annotations

import re

from documents import ROOT

PAGE = (ROOT / "docs/how-it-is-checked.md").read_text(encoding="utf-8")
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
