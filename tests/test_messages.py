"""What a result says, word for word: value, limit, by how much, and what would do."""

from __future__ import annotations

import pytest
from judging import Judged

SIX, RULE = "example_build", "coil-bind-clearance"
OWN = "  coil-bind-clearance:\n    at_least: 0.080 in\n"
HEAD = "Room before the spring's coils bind, at full lift: 0.1024 in ± 0.0100 in, "


@pytest.mark.parametrize(
    ("limit", "said"),
    [
        ("0.085 in", f"{HEAD}at least 0.0850 in"),
        ("0.095 in", f"{HEAD}at least 0.0950 in: this instrument cannot tell; a reading good to 0.0074 in would"),
        ("0.120 in", f"{HEAD}must be at least 0.1200 in, misses it by 0.0176 in. Raise the installed height"),
    ],
)
def test_a_length_against_its_limit(judged: Judged, limit: str, said: str) -> None:
    """1.700 − 1.6·0.280 − 29.2/25.4 = 0.1024 in."""
    told = judged(SIX, ("build.yaml", OWN, OWN.replace("0.080 in", limit))).result(RULE, "intake")
    assert told["message"].startswith(f"intake: {said}")
    assert told["kind"] == "fail" or told["message"] == f"intake: {said}"


def test_no_reading_settles_a_value_that_lies_at_its_limit(judged: Judged) -> None:
    edges = ("block.yaml", "deck_clearance: 0.13 mm", "deck_clearance: 0.13 mm +/- 0.02 mm")
    at_limit = ("build.yaml", "limits:\n", "limits:\n  quench: {at_most: 1.20 mm, because: a trial}\n")
    told = judged(SIX, edges, at_limit).result("quench")
    assert (told["kind"], told["message"].endswith(": this instrument cannot tell")) == ("open", True)


def test_a_count_says_what_was_found_and_the_cure(judged: Judged) -> None:
    edit = ("marks.yaml", "turns_of_crank: 2\n", "turns_of_crank: 1.5\n")
    told = judged(SIX, edit).result("crank-turned-twice", "1/intake")["message"]
    assert told.startswith("cylinder 1 intake: Full turns of the crank for the mark: 1.5. Ink the tip afresh, turn")
