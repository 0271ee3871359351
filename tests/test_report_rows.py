"""Rows of the report: the gravest first, what was found against what is allowed, and what would settle it."""

from __future__ import annotations

from typing import Any

import pytest
from altered import SIX, as_it_is

from buildcheck.core.concession import Concession
from buildcheck.core.problem import Place
from buildcheck.core.reason import Inconclusive, MissingInput, NotDetermined, OutsideLimit
from buildcheck.core.subject import Subject
from buildcheck.core.value import Value
from buildcheck.output.report.finding_rows import FindingRow, conceded, findings, non_blocking_rows, summary_rows
from buildcheck.output.report.valve_rows import valve_rows
from buildcheck.record import replace
from buildcheck.rules.results import Result
from buildcheck.rules.rule import Fix

IN = 0.0254
ONE, TWO = Subject(1, "intake"), Subject(2, "intake")
HERE, THERE = Place("marks.yaml", 21, 7), Place("cam.yaml", 3, 1)
CONCEDED = Concession("0.1 in", "because", "foreman", THERE)


def inches(value: float, **parts: float) -> Value:
    return Value(value * IN, "length", {source: u * IN for source, u in parts.items()}, (HERE,))


def result(rule: str = "mark-width", kind: str = "fail", **more: Any) -> Result:
    blocks = more.pop("blocks", kind == "fail")
    return Result(rule, kind, "warning" if kind == "fail" else "none", blocks, "ordering", more.pop("subject", ONE),
                  more.pop("reason", None), places=more.pop("places", (HERE,)), **more)  # fmt: skip


WIDE = result(
    value=inches(0.060, a=0.0015),
    bounds={"at_most": inches(0.050)},
    margin=-0.010 * IN,
    fix=Fix({}, "Read the contact lines."),
)
OPEN = Inconclusive(0.0010 * IN)


def doubted(parts: dict[str, float]) -> Result:
    """An open result whose uncertainty comes from these sources."""
    return WIDE._replace(kind="open", reason=OPEN, value=Value(0.060 * IN, "length", parts, (HERE,)))


def row(one: Result) -> FindingRow:
    [found] = findings(as_it_is(SIX), [one])
    return found


@pytest.mark.parametrize(
    ("one", "against"),
    [
        (WIDE, "Mark width (roller tip): 0.0600 in ± 0.0030 in; maximum 0.0500 in; short by 0.0100 in"),
        (
            WIDE._replace(bounds={"at_least": inches(0.050)}, margin=0.010 * IN),
            "Mark width (roller tip): 0.0600 in ± 0.0030 in; minimum 0.0500 in; 0.0100 in to spare",
        ),
        (
            WIDE._replace(value=inches(0.060)),
            "Mark width (roller tip): 0.0600 in, no uncertainty stated; maximum 0.0500 in; short by 0.0100 in",
        ),
        (
            WIDE._replace(value=inches(0.060)._replace(places=())),
            "Mark width (roller tip): 0.0600 in; maximum 0.0500 in; short by 0.0100 in",
        ),
        (WIDE._replace(value=Value(2.0, "count", {}, (HERE,), "two of them")), "two of them"),
        (WIDE._replace(value=None), ""),
    ],
)
def test_what_was_found_is_compared_with_what_is_allowed(one: Result, against: str) -> None:
    assert "; ".join(row(one).against) == against


@pytest.mark.parametrize(
    ("one", "mark", "level"),
    [
        (WIDE, "✗", "warning"),
        (WIDE._replace(kind="open"), "?", "undecided"),
    ],
)
def test_failed_and_undecided_rows_have_their_own_signs(one: Result, mark: str, level: str) -> None:
    found = row(one)
    assert (found.mark, found.level, found.place, found.link) == (
        mark,
        level,
        "marks.yaml:21",
        "marks.yaml#L21",
    )


@pytest.mark.parametrize(
    ("one", "cure"),
    [
        (
            WIDE._replace(kind="open", reason=OPEN),
            "Undecided: the uncertainty spans the limit. A reading good to 0.0010 in would decide it.",
        ),
        (
            WIDE._replace(kind="open", reason=Inconclusive(None)),
            "Undecided: the uncertainty spans the limit.",
        ),
        (
            doubted({"marks.yaml:21:18 feel": -0.002 * IN, "marks.yaml:9:4": 0.001 * IN}),
            "Undecided: the uncertainty spans the limit. A reading good to 0.0010 in would decide it. "
            "The largest part, 0.0040 in, comes from marks.yaml:21, feel.",
        ),
        (
            doubted({"marks.yaml:21:18": 0.002 * IN, "spread of trials 1/intake": 0.003 * IN}),
            "Undecided: the uncertainty spans the limit. A reading good to 0.0010 in would decide it. "
            "The largest part, 0.0060 in, comes from spread of trials 1/intake.",
        ),
        (
            WIDE._replace(kind="open", value=None, reason=NotDetermined("write contact_band")),
            "write contact_band",
        ),
        (
            WIDE._replace(kind="open", value=None, reason=MissingInput("cam.yaml does not exist yet",
                    "cam", "cam.intake.lobe_lift")),
            "cam.yaml does not exist yet (lobe_lift is needed)",
        ),
    ],
)  # fmt: skip
def test_what_would_settle_an_open_one(one: Result, cure: str) -> None:
    assert row(one).cure == cure


def test_failures_stand_first_then_what_blocks_then_by_rule_and_valve() -> None:
    own = [
        result("quench", "open", subject=Subject()),
        result("mark-width", "fail", blocks=False, subject=TWO),
        result("mark-width", "fail", blocks=False, subject=ONE, reason=NotDetermined("other")),
        result("coil-bind-clearance", "open", blocks=True, subject=Subject(None, "intake")),
        result("retainer-to-seal", "fail", subject=Subject(None, "exhaust")),
    ]
    outcome = [(one.rule, one.subject) for one in findings(as_it_is(SIX), own)]
    assert outcome == [
        ("retainer-to-seal", "exhaust"), ("mark-width", "cylinder 1 intake"), ("mark-width", "cylinder 2 intake"),
        ("coil-bind-clearance", "intake"), ("quench", "the build"),
    ]  # fmt: skip


def test_what_is_said_alike_of_several_valves_is_one_row() -> None:
    found = findings(as_it_is(SIX), [WIDE, WIDE._replace(subject=TWO)])
    assert [one.subject for one in found] == ["intake 1, 2"]


def test_a_cure_is_written_out_once_and_again_after_another() -> None:
    three = [WIDE._replace(subject=Subject(n, "intake"), reason=OutsideLimit(n * IN)) for n in (1, 2, 3)]
    outcome = [
        one.cure
        for one in findings(
            as_it_is(SIX), [*three[:2], result("quench", subject=Subject(), fix=Fix({}, "Fit another gasket."))]
        )
    ]
    assert outcome[1] == "as above"
    assert outcome[0] == "Read the contact lines."
    assert outcome[2] == "Fit another gasket."


def test_rules_that_lack_the_same_share_a_row() -> None:
    lacking = NotDetermined("write stem_length")
    own = [result(rule, "open", reason=lacking) for rule in ("preload-hot", "preload-in-range", "mark-width")]
    away = result("bank-step", "open", reason=NotDetermined("measure two banks"))
    outcome = [(one.rule, one.cure) for one in non_blocking_rows(as_it_is(SIX), [*own, away])]
    assert outcome == [
        ("bank-step", "measure two banks"),
        ("mark-width, preload-hot, preload-in-range", "write stem_length"),
    ]
    valued = [WIDE, WIDE._replace(rule="mark-centred")]
    assert len(non_blocking_rows(as_it_is(SIX), valued)) == 2


def test_metal_that_may_meet_metal_is_conceded_first() -> None:
    own = (
        WIDE._replace(concession=CONCEDED),
        result("pushrod-to-head", concession=CONCEDED, subject=Subject(None, "intake")),
        result("quench", subject=Subject()),
    )
    outcome = conceded(replace(as_it_is(SIX), judge=lambda: own))
    assert [one.rule for one in outcome] == ["pushrod-to-head", "mark-width"]


def test_passes_fold_into_one_row_with_the_closest_call() -> None:
    near = result(kind="pass", value=inches(0.048, a=0.0005), bounds={"at_most": inches(0.050)}, margin=0.002 * IN)
    own = [
        near._replace(margin=0.004 * IN),
        near._replace(subject=TWO),
        near._replace(subject=Subject(3, "intake"), margin=None),
    ]
    [found] = summary_rows(as_it_is(SIX), own)
    assert (found.rule, found.count, found.subject) == ("mark-width", 3, "cylinder 2 intake")
    assert found.closest == "0.0480 in ± 0.0010 in; maximum 0.0500 in"


@pytest.mark.parametrize(
    ("results", "verdict"),
    [
        ((), "passes"),
        ((WIDE,), "fails mark-width"),
        ((WIDE._replace(kind="open"),), "undecided: mark-width"),
        ((WIDE, WIDE._replace(rule="mark-centred"), result("quench", "open")), "fails mark-centred, mark-width"),
        ((WIDE._replace(concession=CONCEDED),), "passes; conceded: mark-width"),
        ((WIDE._replace(concession=CONCEDED), result("quench", "open")), "undecided: quench; conceded: mark-width"),
        ((WIDE._replace(subject=TWO),), "passes"),
        ((WIDE._replace(due_now=False),), "passes"),
    ],
)
def test_a_valves_verdict_is_that_of_its_gravest_rule(results: tuple[Result, ...], verdict: str) -> None:
    rows = {one.who: one for one in valve_rows(replace(as_it_is(SIX), judge=lambda: results))}
    assert rows["1 intake"].verdict == verdict
    assert rows["4 intake"].verdict == "assumed, not measured"


def test_a_valves_row_shows_signs_and_leaves_out_what_does_not_apply() -> None:
    rows = {one.who: one for one in valve_rows(as_it_is(SIX))}
    assert (rows["1 intake"].offset, rows["1 intake"].height_error) == ("+0.0035 in", "-0.0061 in")
    assert (rows["4 intake"].offset, rows["4 intake"].setting) == ("", "0.0338 in")
