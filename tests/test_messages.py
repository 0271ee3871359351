"""What a result says, word for word: value, limit, by how much, and what would do."""

from __future__ import annotations

from pathlib import Path

import pytest
from judging import Judged
from rewritten import copied

from buildcheck.cli.main import main

SIX, RULE = "example_build", "coil-bind-clearance"
OWN = "  coil-bind-clearance:\n    at_least: 0.080 in\n"
OPEN = "Undecided: the uncertainty spans the limit."
HEAD = "coil-bind clearance at full lift 0.1024 in ± 0.0100 in; "


@pytest.mark.parametrize(
    ("limit", "expected"),
    [
        ("0.085 in", f"{HEAD}minimum 0.0850 in"),
        ("0.095 in", f"{HEAD}minimum 0.0950 in. {OPEN} A reading good to 0.0074 in would decide it."),
        ("0.120 in", f"{HEAD}minimum 0.1200 in (0.0176 in short). Check the entries. Do not run this spring"),
    ],
)
def test_a_length_against_its_limit(judged: Judged, limit: str, expected: str) -> None:
    """1.700 − 1.6·0.280 − 29.2/25.4 = 0.1024 in."""
    result = judged(SIX, ("build.yaml", OWN, OWN.replace("0.080 in", limit))).result(RULE, "intake")
    assert result["message"].startswith(f"intake: {expected}")
    assert result["kind"] == "fail" or result["message"] == f"intake: {expected}"


def test_no_reading_settles_a_value_that_lies_at_its_limit(judged: Judged) -> None:
    edges = ("block.yaml", "deck_clearance: 0.13 mm", "deck_clearance: 0.13 mm +/- 0.02 mm")
    at_limit = ("build.yaml", "limits:\n", "limits:\n  quench: {at_most: 1.20 mm, because: a trial}\n")
    result = judged(SIX, edges, at_limit).result("quench")
    assert (result["kind"], result["message"].endswith(OPEN)) == ("open", True)


def test_a_count_says_what_was_found_and_the_cure(judged: Judged) -> None:
    edit = ("marks.yaml", "turns_of_crank: 2\n", "turns_of_crank: 1.5\n")
    result = judged(SIX, edit).result("crank-turned-twice", "1/intake")["message"]
    assert result.startswith("cylinder 1 intake: turns of the crank for the mark 1.5. Ink the tip again, turn")


FLAT = "tests/builds/flat_four_solid"


@pytest.mark.parametrize(
    ("lash", "expected"),
    [
        ("0.4319 mm", "0.017004 in; minimum 0.013000 in and maximum 0.017000 in (0.000004 in over)."),
        ("0.01701 in", "0.01701 in; minimum 0.01300 in and maximum 0.01700 in (0.00001 in over)."),
        ("0.0171 in", "0.0171 in; minimum 0.0130 in and maximum 0.0170 in (0.0001 in over)."),
    ],
)
def test_a_near_miss_has_figures_enough_to_be_seen(judged: Judged, lash: str, expected: str) -> None:
    log = f"each: [{{cylinder: 1, valve: intake, lash: {lash}}}]\n"
    result = judged(FLAT, ("as_built.yaml", "", log), options=["--stage", "assembled"]).result(
        "lash-in-range", "1/intake"
    )
    assert result["kind"] == "fail"
    assert f"lash {expected}" in result["message"]


def test_a_doubt_of_more_figures_than_usual_is_shown_with_them(judged: Judged) -> None:
    """0.017004 in, as sure as 0.00001 in, neither passes nor fails: the reading that would is not one of 0.0000 in."""
    log = "each: [{cylinder: 1, valve: intake, lash: 0.4319 mm +/- 0.0003 mm}]\n"
    result = judged(FLAT, ("as_built.yaml", "", log)).result("lash-in-range", "1/intake")
    assert result["kind"] == "open"
    assert f"maximum 0.017000 in. {OPEN} A reading good to 0.000004 in would decide it." in result["message"]


def test_a_near_miss_reads_alike_in_the_report(tmp_path: Path) -> None:
    log = "each: [{cylinder: 1, valve: intake, lash: 0.4319 mm}]\n"
    build = copied(tmp_path, FLAT, ("as_built.yaml", "", log), ("build.yaml", "stage: ordering", "stage: assembled"))
    assert main(["report", str(build)]) == 0
    report = (build / "REPORT.md").read_text(encoding="utf-8")
    assert "- minimum 0.013000 in and maximum 0.017000 in\n- short by 0.000004 in\n" in report


def test_what_shows_its_own_uncertainty_is_not_said_to_state_none(tmp_path: Path) -> None:
    """The length measured and the one predicted differ by more than both their uncertainties, which are reported."""
    short = ("stackup.yaml", "intake: ", "intake: 9.300 in # ")
    build = copied(tmp_path, SIX, short)
    assert main(["report", str(build)]) == 0
    rows = (build / "REPORT.md").read_text(encoding="utf-8").splitlines()
    failing = [row for row in rows if "**predicted-agrees**" in row]
    [passing] = [row for row in rows if row.startswith("| predicted-agrees |")]
    assert failing
    assert all("± " in row for row in failing)
    assert not any("no uncertainty stated" in row for row in (passing, *failing))
