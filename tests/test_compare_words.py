"""Two states held side by side: what counts as changed, how grave it is, and the words that a reviewer reads."""

from __future__ import annotations

import pytest

from buildcheck.core.concession import Concession
from buildcheck.core.problem import Place
from buildcheck.core.subject import Subject
from buildcheck.output.compare import compare_wording as wording
from buildcheck.output.compare.aligned_values import aligned
from buildcheck.output.compare.changed_inputs import InputChange, changed_inputs
from buildcheck.output.compare.changed_quantities import QuantityChange, QuantityChanges
from buildcheck.output.compare.severity import SEVERITY, state
from buildcheck.output.compare.verdict_changes import VerdictChange
from buildcheck.record import replace
from buildcheck.rules.results import Result
from buildcheck.yamlio.documents import read
from buildcheck.yamlio.nodes import Node

HERE = Place("marks.yaml", 3, 5)
ALL, TWO, THREE = Subject(None, "intake"), Subject(2, "intake"), Subject(3, "intake")
OTHER = Subject(None, "exhaust")
RESULT = Result("quench", "pass", "none", False, "ordering", Subject(), "all well")


@pytest.mark.parametrize(
    ("before", "after", "result"),
    [
        ({ALL: 1}, {ALL: 2}, [(ALL, 1, 2)]),
        ({ALL: 1}, {TWO: 2, THREE: 3}, [(TWO, 1, 2), (THREE, 1, 3)]),
        ({TWO: 2, THREE: 3}, {ALL: 1}, [(TWO, 2, 1), (THREE, 3, 1)]),
        ({ALL: 1}, {}, [(ALL, 1, None)]),
        ({}, {TWO: 1}, [(TWO, None, 1)]),
        ({ALL: 1}, {OTHER: 2}, [(ALL, 1, None), (OTHER, None, 2)]),
        ({ALL: 1, TWO: 5}, {ALL: 1}, [(ALL, 1, 1), (TWO, 5, 1)]),
        ({THREE: 3}, {TWO: 2}, [(TWO, None, 2), (THREE, 3, None)]),
    ],
)
def test_what_is_said_of_all_cylinders_is_beside_each(
    before: dict[Subject, int], after: dict[Subject, int], result: list[tuple[Subject, int | None, int | None]]
) -> None:
    assert list(aligned(before, after)) == result


CONCEDED = Concession("0.1 in", "because", "foreman", HERE)


@pytest.mark.parametrize(
    ("result", "word"),
    [
        (None, "not judged"),
        (RESULT, "passes"),
        (RESULT._replace(kind="notApplicable"), "not applicable"),
        (RESULT._replace(kind="open"), "open"),
        (RESULT._replace(kind="open", blocks=True), "open, blocks"),
        (RESULT._replace(kind="fail"), "fails, not blocking"),
        (RESULT._replace(kind="fail", blocks=True), "fails"),
        (RESULT._replace(kind="fail", concession=CONCEDED), "conceded"),
        (RESULT._replace(kind="open", concession=CONCEDED), "conceded"),
        (RESULT._replace(kind="fail", blocks=True, concession=CONCEDED), "fails"),
    ],
)
def test_how_grave_a_result_is(result: Result | None, word: str) -> None:
    assert state(result) == word
    assert word in SEVERITY


def node(text: str) -> Node:
    root = read(text.encode(), "marks.yaml").root
    assert root is not None
    return root


def changes(before: str, after: str, name: str = "heads") -> list[tuple[str, str, str]]:
    found = changed_inputs({name: node(before)}, {name: node(after)})
    return [(one.path, one.before, one.after) for one in found]


@pytest.mark.parametrize(
    ("before", "after", "result"),
    [
        ("a: 1", "a: 1", []),
        ("a: 1", "a: 2", [("a", "1", "2")]),
        ("a: 1", "a: 1\nb: 2", [("b", "", "2")]),
        ("a: 1\nb: 2", "a: 1", [("b", "2", "")]),
        ("a: {b: 1, c: 2}", "a: {b: 1, c: 3}", [("a.c", "2", "3")]),
        ("a: {b: 1}", "a: 1", [("a", "b 1", "1")]),
        ("a: [1, 2]", "a: [1, 3]", [("a[1]", "2", "3")]),
        ("a: [1]", "a: [1, {b: [2, 3], note: x}]", [("a[1]", "", "b (2, 3)")]),
        (
            "each: [{cylinder: 1, x: 5}, {cylinder: 2, x: 6}]",
            "each: [{cylinder: 2, x: 7}, {cylinder: 1, x: 5}]",
            [("each[2].x", "6", "7")],
        ),
        (
            "v: [{cylinder: 1, valve: intake, x: 5}]",
            "v: [{cylinder: 1, valve: exhaust, x: 4}, {cylinder: 1, valve: intake, x: 5}]",
            [("v[1/exhaust]", "", "cylinder 1, valve exhaust, x 4")],
        ),
        (
            "v: [{cylinder: 1, x: 5}, {cylinder: 1, x: 6}]",
            "v: [{cylinder: 1, x: 5}, {cylinder: 1, x: 8}]",
            [("v[1].x", "6", "8")],
        ),
        (
            "v: [{cylinder: 4, x: 5}, {cylinder: 4, x: 6}]",
            "v: [{cylinder: 4, x: 7}, {cylinder: 4, x: 8}]",
            [("v[4].x", "5", "7"), ("v[1].x", "6", "8")],
        ),
    ],
)
def test_what_changed_is_reported_at_its_path(before: str, after: str, result: list[tuple[str, str, str]]) -> None:
    assert changes(before, after) == result


def test_files_that_came_and_went_are_reported_whole() -> None:
    found = changed_inputs({"cam": node("a: 1")}, {"heads": node("b: {c: 2}")})
    assert [(one.path, one.before, one.after) for one in found] == [("", "a 1", ""), ("", "", "b (c 2)")]


@pytest.mark.parametrize(
    ("before", "after", "same"),
    [
        ("0.310 in", "7.874 mm", True),
        ("0.310 in +/- 0.002 in", "7.874 mm +/- 0.0508 mm", True),
        ("0.310 in", "7.875 mm", False),
        ("0.310 in +/- 0.002 in", "0.310 in", False),
        ("0.310 in", "large", False),
    ],
)
def test_an_amount_written_otherwise_is_the_same(before: str, after: str, same: bool) -> None:
    files = [{"heads": node(f"valves: {{intake: {{tip_diameter: {text}}}}}")} for text in (before, after)]
    [found] = changed_inputs(*files)
    assert (found.path, found.same, found.remark) == ("valves.intake.tip_diameter", same, False)


def test_an_amount_of_one_cylinder_written_otherwise_is_the_same() -> None:
    files = [{"block": node(f"each: [{{cylinder: 3, deck_clearance: {text}}}]")} for text in ("0.010 in", "0.254 mm")]
    assert [(one.path, one.same) for one in changed_inputs(*files)] == [("each[3].deck_clearance", True)]


def test_changes_are_reported_in_the_order_of_the_files() -> None:
    names = ("rockers", "marks", "heads", "cam", "build", "block")
    before, after = ({name: node(f"{name}: {value}") for name in names} for value in (1, 2))
    assert [one.path for one in changed_inputs(before, after)] == sorted(names)


@pytest.mark.parametrize(("key", "remark"), [("note", True), ("part", True), ("notes", False)])
def test_remarks_are_distinguished(key: str, remark: bool) -> None:
    [found] = changed_inputs({"cam": node(f"{key}: old")}, {"cam": node(f"{key}: new")})
    assert found.remark is remark


@pytest.mark.parametrize(
    ("path", "limit"), [("limits.quench.at_most", True), ("lifter.limits", False), ("limitsx", False)]
)
def test_limits_are_distinguished_from_facts(path: str, limit: bool) -> None:
    assert InputChange(HERE, path, "1", "2").is_limit is limit


LONG = "x" * 201


@pytest.mark.parametrize(
    ("one", "text"),
    [
        (InputChange(HERE, "bore", "1 in", "2 in"), "bore: 1 in → 2 in"),
        (InputChange(HERE, "bore", "1 in", "25.4 mm", same=True), "bore: 1 in → 25.4 mm, same value"),
        (InputChange(HERE, "bore", "", "2 in"), "bore: new: 2 in"),
        (InputChange(HERE, "bore", "1 in", ""), "bore: gone, was 1 in"),
        (InputChange(HERE, "", "", "bore 1 in"), "this file is new: bore 1 in"),
        (InputChange(HERE, "", "bore 1 in", ""), "this file was removed"),
        (InputChange(HERE, "bore", LONG[:200], LONG), f"bore: {LONG[:200]} → {LONG[:200]}…"),
    ],
)
def test_an_input_in_words(one: InputChange, text: str) -> None:
    assert wording.input_text(one) == text


FLIP = VerdictChange("quench", (TWO, THREE), "passes", "fails", ("inputs",), THREE, "too wide", HERE, True)


@pytest.mark.parametrize(
    ("flip", "text"),
    [
        (FLIP, "intake 2, 3: passes → fails, worst on cylinder 3 intake"),
        (replace(FLIP, subjects=(TWO,), worst=TWO), "cylinder 2 intake: passes → fails"),
        (replace(FLIP, subjects=(Subject(),)), "the build: passes → fails"),
        (
            replace(FLIP, subjects=(TWO,), causes=("limit", "inputs")),
            "cylinder 2 intake: passes → fails, because of: limit, inputs",
        ),
    ],
)
def test_a_flipped_verdict_in_words(flip: VerdictChange, text: str) -> None:
    assert wording.verdict_line(flip) == text


@pytest.mark.parametrize(
    ("before", "after", "worse", "mild"),
    [
        ("passes", "fails", True, False),
        ("fails", "passes", False, False),
        ("passes", "not applicable", True, True),
        ("not applicable", "passes", False, True),
        ("not judged", "passes", False, True),
        ("open", "open, blocks", True, False),
        ("fails, not blocking", "open, blocks", True, False),
    ],
)
def test_which_flips_are_worse_and_which_ask_nothing(before: str, after: str, worse: bool, mild: bool) -> None:
    flip = replace(FLIP, before=before, after=after)
    assert (flip.is_worse, flip.is_neutral) == (worse, mild)


def test_rules_that_only_ceased_to_apply_share_a_line() -> None:
    mild = [replace(FLIP, rule=rule, after="not applicable") for rule in ("one", "two")]
    away = replace(mild[0], rule="three", subjects=(Subject(),))
    assert list(wording.neutral_text((*mild, FLIP, away))) == [
        "intake 2, 3: passes → not applicable: one, two",
        "the build: passes → not applicable: three",
    ]


def test_what_moved_in_words() -> None:
    rows = [("Quench", (Subject(),), "1", "2"), ("Lift", (ALL,), "", "3"), ("Lash", (TWO, THREE), "4", "")]
    quantity_changes = tuple(QuantityChange(title.lower(), title, own, old, new) for title, own, old, new in rows)
    assert list(wording.quantity_lines(QuantityChanges(quantity_changes, 5))) == [
        "Quench: 1 → 2",
        "determined now: Lift (intake) 3",
        "no longer determined: Lash (intake 2, 3)",
        "5 more changed within their uncertainty",
    ]
    assert list(wording.quantity_lines(QuantityChanges((), 0))) == []


@pytest.mark.parametrize(("remarks", "text"), [(0, ""), (1, "1 note changed too"), (3, "3 notes changed too")])
def test_remarks_are_only_counted(remarks: int, text: str) -> None:
    result = (
        InputChange(HERE, "bore", "1", "2"),
        *(InputChange(HERE, f"note{n}", "1", "2", remark=True) for n in range(remarks)),
    )
    assert wording.note_count(result) == text
