"""Near misses are answered with the word meant, and what could be two words with none."""

from __future__ import annotations

import pytest

from buildcheck.schema.fields import field_kinds, load_schema
from buildcheck.schema.near_miss import TRADE, suggest

LIFTERS = ("hydraulic flat", "hydraulic roller", "solid flat", "solid roller")


@pytest.mark.parametrize(
    ("word", "known", "answer"),
    [
        ("Stage", ["name", "stage"], "stage"),
        ("centerline", ["centreline", "duration"], "centreline"),
        ("hydraulic_roller", LIFTERS, "hydraulic roller"),
        ("lobe lift", ["lobe_lift", "lash"], "lobe_lift"),
        ("push-rod-to-head", ["pushrod_to_head", "valve_lift"], "pushrod_to_head"),
        ("solid_height", ["coil_bind_height", "installed_height"], "coil_bind_height"),
        ("shoe", ["roller", "pad"], "pad"),
        ("stand", ["pedestal", "shaft", "stud"], "pedestal"),
        ("tappet", ["lifter", "advance"], "lifter"),
        ("valve_clearance", ["lash", "duration"], "lash"),
    ],
)
def test_the_word_meant(word: str, known: list[str], answer: str) -> None:
    assert suggest(word, known) == answer


@pytest.mark.parametrize("word", ["carburettor", "", "solid", "l" * 5000])
def test_no_answer_where_nothing_is_near(word: str) -> None:
    assert suggest(word, LIFTERS) is None


def test_no_answer_where_two_words_are_as_near() -> None:
    assert suggest("solid tappet", LIFTERS) is None


def test_every_field_of_the_marks_is_found_with_a_letter_left_out() -> None:
    fields = [name for name in load_schema("marks")["properties"] if len(name) > 5 and name != "length_gauges"]
    assert len(fields) > 5
    assert [suggest(name[:2] + name[3:], fields) for name in fields] == fields


def test_every_trade_word_answers_with_a_word_that_the_files_use() -> None:
    used = {path.split(".")[-1] for path in field_kinds()} | {
        path.split(".")[-2] for path in field_kinds() if "." in path
    }
    rockers = load_schema("rockers")["properties"]
    used |= set(rockers["mount"]["enum"]) | set(rockers["tip"]["properties"]["type"]["enum"])
    assert set(TRADE.values()) - used == set()
