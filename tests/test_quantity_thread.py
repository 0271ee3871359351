"""Threads against ASME B1.1 and ISO 261."""

from __future__ import annotations

from decimal import Decimal

import pytest

from buildcheck.units.quantity import QuantityError, parse_thread

IN = Decimal("0.0254")
TABLED = "ASME B1.1, ISO 261 (as tabled in the PyPI package bd-warehouse 0.4.0, hex_head and socket_head CSVs)"


@pytest.mark.parametrize(
    ("text", "diameter", "turns"),
    [("5/16-18", "0.3125", 18), ("5/16-24", "0.3125", 24), ("3/8-24", "0.375", 24), ("7/16-20", "0.4375", 20),
     ("1/4-28", "0.25", 28)],
)  # fmt: skip
def test_inch_threads(text: str, diameter: str, turns: int) -> None:
    thread = parse_thread(text)
    assert (thread.diameter, thread.pitch) == (Decimal(diameter) * IN, IN / turns), TABLED


@pytest.mark.parametrize(
    ("text", "diameter", "pitch"), [("M8x1.25", "0.008", "0.00125"), ("M10×1.5", "0.010", "0.0015")]
)
def test_metric_threads(text: str, diameter: str, pitch: str) -> None:
    thread = parse_thread(text)
    assert (thread.diameter, thread.pitch) == (Decimal(diameter), Decimal(pitch)), TABLED


@pytest.mark.parametrize(
    ("text", "same"),
    [
        ("7/16-20 UNF", "7/16-20"),
        ("7/16-20 UNF-2A", "7/16-20"),
        ("#10-32 UNF", "#10-32"),
        ("1/2-27 UNS", "1/2-27"),
        ("5/16-18 UNC", "5/16-18"),
        ("0.375-24", "3/8-24"),
        (".375-24", "3/8-24"),
        ("3⁄8-24", "3/8-24"),
        ("⅜-24", "3/8-24"),
        ("No. 10-32", "#10-32"),
        ("M8X1.25", "M8x1.25"),
        ("M8 x 1.25", "M8x1.25"),
        ("M8x1.25-6g", "M8x1.25"),
        ("1-1/8-7", "1 1/8-7"),
    ],
)
def test_other_spellings_of_the_same_thread(text: str, same: str) -> None:
    one, other = parse_thread(text), parse_thread(same)
    assert (one.diameter, one.pitch, one.text) == (other.diameter, other.pitch, text)


@pytest.mark.parametrize(("number", "turns", "inches"), [(0, 80, "0.060"), (10, 32, "0.190"), (12, 28, "0.216")])
def test_numbered_sizes_of_asme_b1_1_from_memory(number: int, turns: int, inches: str) -> None:
    thread = parse_thread(f"#{number}-{turns}")
    assert (thread.diameter, thread.pitch) == (Decimal(inches) * IN, IN / turns)


@pytest.mark.parametrize(
    ("text", "answer"),
    [
        ("M8", "has no pitch: write it as M8x1.25"),
        ("M8x1.3", "ISO 261 has no such pitch; write M8x1.25, M8x1 or M8x0.75"),
        ("M8x1.5", "ISO 261 has no such pitch; write M8x1.25, M8x1 or M8x0.75"),
        ("M13x1.3", "ISO 261 has no such pitch; write M13x1.5, M13x1.25 or M13x1"),
        ("M8x125", "no thread of that diameter has that pitch"),
        ("M8x12.5", "no thread of that diameter has that pitch"),
        ("M800x6", "no such diameter"),
        ("M0x1", "no such diameter"),
        ("3/8-240", "no thread of that diameter has that pitch"),
        ("3/8-2", "no thread of that diameter has that pitch"),
        ("3/8-0", "no turns to the inch"),
        ("3/0-24", "divides by zero"),
        ("3/8", "is not a thread"),
        ("3/8 in", "is not a thread"),
        ("m8x1.25", "is not a thread"),
        ("3/8-16 UNF", "UNF of that size has 24 turns to the inch; one of the two is wrong"),
        ("#10-32 UNC", "UNC of that size has 24 turns to the inch"),
        ("3/8-24 UNX", "is not a thread"),
        ("10-32", "a numbered size is #10-32"),
        ("2-56", "a numbered size is #2-56"),
        ("#14-20", "numbered sizes go from #0 to #12"),
        ("3/8-24\n", "hidden character"),
        ("", "the value is empty"),
    ],
)
def test_no_thread_is_guessed(text: str, answer: str) -> None:
    with pytest.raises(QuantityError) as error:
        parse_thread(text)
    assert answer in str(error.value)


@pytest.mark.parametrize("text", ["3/8-24 UNEF", "1/4-28 UNEF", "3/8-24 UN", "5/16-24 UNC", "1/2-28 UNF"])
def test_a_series_that_the_thread_does_not_belong_to_is_refused(text: str) -> None:
    with pytest.raises(QuantityError, match="turns to the inch"):
        parse_thread(text)


@pytest.mark.parametrize(
    ("text", "diameter", "pitch"),
    [("5/16 BSF", Decimal("0.3125") * IN, IN / 22), ("5/16-22 BSF", Decimal("0.3125") * IN, IN / 22),
     ("1/4 in BSW", Decimal("0.25") * IN, IN / 20), ("2 BA", Decimal("0.0047"), Decimal("0.00081"))],
)  # fmt: skip
def test_whitworth_and_ba_threads_from_memory(text: str, diameter: Decimal, pitch: Decimal) -> None:
    thread = parse_thread(text)
    assert (thread.diameter, thread.pitch) == (diameter, pitch)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("5/16-24 BSF", "22 turns"),
        ("5/16 UNF", "write it like 3/8-24"),
        ("1 BSF", "write it like"),
        ("9 BA", "from 0 BA"),
    ],
)
def test_a_british_thread_that_does_not_exist_is_refused(text: str, words: str) -> None:
    with pytest.raises(QuantityError, match=words):
        parse_thread(text)
