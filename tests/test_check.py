"""Decisions on whole builds: limits met in the other unit, guard bands, stages, contact, what is missing."""

from __future__ import annotations

import re

import pytest
from judging import Judged
from rewritten import ROOT, Edit
from thorough import pairs, sample

SIX, FLAT = "example_build", "tests/builds/flat_four_solid"
FILES = ("block", "cam", "clearances", "heads", "marks", "pushrods", "rockers")
STUD = "rocker_to_stud: 0.085 in"
RUNS_OFF = ("marks.yaml", "mark: {from: 0.145 in, to: 0.172 in}", "mark: {from: 0 in, to: 0.027 in}")


def installed(height: str) -> tuple[Edit, ...]:
    """The example's intake spring at another height, free of uncertainty."""
    return (("heads.yaml", "installed_height: 1.700 in +/- 0.010 in", f"installed_height: {height}"),)


GAPS = [
    ("1.524 mm +/- 0 mm", "pass"),  # 0.060 in, the limit itself
    ("0.060 in +/- 0 in", "pass"),
    ("1.5239 mm +/- 0 mm", "fail"),
    ("0.062 in +/- 0.002 in", "pass"),  # clears the limit by just its uncertainty
    ("0.0619 in +/- 0.002 in", "open"),
    ("0.058 in +/- 0.002 in", "open"),
    ("0.0579 in +/- 0.002 in", "fail"),
    ("0.062 in", "open"),  # the gauge's own 0.003 in
    ("0.063 in", "pass"),
]
HEIGHTS = [
    ("1.67760629921259842519685 in", "pass"),  # 0.448 + 29.2/25.4 + 0.080 in: the build's own limit
    ("42.6112 mm", "pass"),
    ("42.6111 mm", "fail"),
    ("1.6776 in", "fail"),
]


def on_cylinders(field: str, values: list[tuple[str, str]]) -> tuple[str, dict[str, str]]:
    """Each value on a valve of its own, and how each is to end."""
    valves = [(cylinder, valve) for valve in ("intake", "exhaust") for cylinder in range(1, 7)]
    placed = list(zip(valves, values, strict=False))
    rows = [f"  - {{cylinder: {at}, valve: {valve}, {field}: {text}}}\n" for (at, valve), (text, _) in placed]
    return "".join(rows), {f"{at}/{valve}": kind for (at, valve), (_, kind) in placed}


@pytest.mark.parametrize(
    ("file", "field", "values", "rule"),
    [
        ("clearances.yaml", "rocker_to_stud", GAPS, "rocker-to-stud"),
        ("heads.yaml", "installed_height", HEIGHTS, "coil-bind-clearance"),
    ],
)
def test_values_at_and_beside_their_limit_in_both_units(
    judged: Judged, file: str, field: str, values: list[tuple[str, str]], rule: str
) -> None:
    each, expected = on_cylinders(field, values)
    start = "" if file == "clearances.yaml" else "each:\n"
    kinds = judged(SIX, (file, "", start + each)).kinds(rule)
    assert {valve: kinds[valve] for valve in expected} == expected


@pytest.mark.parametrize("stage", sample(["planning", "measuring", "ordering", "assembled", "closed"], 2))
def test_contact_and_contradictions_block_at_every_stage(judged: Judged, stage: str) -> None:
    edits = {
        ("rocker-to-stud", "intake"): ("clearances.yaml", STUD, "rocker_to_stud: 0 in +/- 0.030 in"),
        ("coil-bind-clearance", "intake"): installed("1.590 in")[0],
        ("parts-consistent", ""): ("block.yaml", "[1, 5, 3, 6, 2, 4]", "[1, 5, 3, 6, 2, 2]"),
        ("mark-trusted", "intake"): ("clearances.yaml", "rocker_to_retainer: 1.4 mm", "rocker_to_retainer: 0 mm"),
    }
    outcome = judged(SIX, *edits.values(), options=["--stage", stage])
    assert (outcome.code, outcome.verdict) == (1, "fail")
    found = {about: outcome.result(*about) for about in edits}
    assert {about: (one["kind"], one["blocks"]) for about, one in found.items()} == dict.fromkeys(edits, ("fail", True))


def test_a_mark_that_ends_before_it_begins_blocks_while_measuring(judged: Judged) -> None:
    edit = ("marks.yaml", "mark: {from: 0.145 in, to: 0.172 in}", "mark: {from: 0.172 in, to: 0.145 in}")
    outcome = judged(SIX, edit, options=["--stage", "measuring"])
    assert outcome.blocking() == {("parts-consistent", ""), ("mark-on-tip", "1/intake")}
    assert outcome.result("mark-width", "1/intake")["kind"] == "open"


@pytest.mark.parametrize(("stage", "blocks"), [("measuring", False), ("ordering", True), ("closed", True)])
def test_a_mark_off_the_tip_blocks_from_ordering_on(judged: Judged, stage: str, blocks: bool) -> None:
    outcome = judged(SIX, RUNS_OFF, options=["--stage", stage])
    result = outcome.result("mark-on-tip", "1/intake")
    assert (result["kind"], result["level"], result["blocks"]) == ("fail", "error", blocks)
    assert (outcome.result("mark-width", "1/intake")["kind"]) == "open"
    assert outcome.code == int(blocks)


def test_the_stage_requested_is_not_the_stage_written(judged: Judged) -> None:
    early = ("build.yaml", "stage: ordering", "stage: measuring")
    assert judged(SIX, early, RUNS_OFF).verdict == "pass"
    looked_ahead = judged(SIX, early, RUNS_OFF, options=["--stage", "ordering"])
    assert (looked_ahead.verdict, looked_ahead.build["stage"]) == ("fail", "ordering")


def test_not_yet_is_said_of_what_does_not_block_yet(judged: Judged, capsys: pytest.CaptureFixture[str]) -> None:
    from buildcheck.cli.main import main

    outcome = judged(SIX, RUNS_OFF, options=["--stage", "measuring"])
    assert main(["check", outcome.build["folder"], "--stage", "measuring"]) == 0
    [line] = [line for line in capsys.readouterr().out.splitlines() if "[mark-on-tip" in line]
    assert re.search(
        r"marks.yaml:\d+:\d+: note: cylinder 1 intake: .*It blocks stage 'ordering', not stage 'measuring'\.", line
    )


@pytest.mark.parametrize(("options", "blocks"), [([], False), (["--strict"], True)])
def test_warnings_block_when_strict(judged: Judged, options: list[str], blocks: bool) -> None:
    edit = ("marks.yaml", "mark: {from: 0.137 in, to: 0.169 in}", "mark: {from: 0.095 in, to: 0.127 in}")
    result = judged(SIX, edit, options=options).result("mark-near-centre", "5/exhaust")
    assert (result["kind"], result["level"], result["blocks"]) == ("fail", "warning", blocks)


def test_strict_does_not_make_open_results_of_warnings_block(judged: Judged) -> None:
    edit = ("marks.yaml", "turns_of_crank: 2\n", "")
    outcome = judged(SIX, edit, options=["--strict"])
    assert outcome.kinds("crank-turned-twice")["1/intake"] == "open"
    assert not {rule for rule, _ in outcome.blocking()} & {"crank-turned-twice"}


def test_an_open_error_blocks_unless_it_is_allowed(judged: Judged) -> None:
    near = ("build.yaml", "limits:\n", "limits:\n  mark-on-tip: {at_least: 0.1375 in, because: a trial}\n")
    assert judged(SIX, near).result("mark-on-tip", "1/intake")["blocks"]
    tight = ("build.yaml", "limits:\n", "limits:\n  geometry-at-mid-lift: {at_most: 0.010 in, because: a trial}\n")
    outcome = judged(SIX, tight)
    undecided = [
        one for one in outcome.build["results"] if (one["rule"], one["kind"]) == ("geometry-at-mid-lift", "open")
    ]
    assert {one["blocks"] for one in undecided} == {True, False}
    assert all(one["blocks"] == (one["margin"]["si"] < 0) for one in undecided)


@pytest.mark.parametrize(("folder", "name"), pairs([SIX, FLAT], FILES))
def test_without_a_file_the_build_is_not_ready_and_says_so(judged: Judged, folder: str, name: str) -> None:
    text = (ROOT / folder / f"{name}.yaml").read_text(encoding="utf-8")
    outcome = judged(folder, (f"{name}.yaml", text, "# nothing yet\n"), options=["--stage", "assembled"])
    assert (outcome.code, outcome.verdict) in ((1, "open"), (1, "fail"))
    assert f"{name}.yaml has no entries yet" in " ".join(one["message"] for one in outcome.build["results"])


def test_retainer_contact_voids_marks_but_passes_none(judged: Judged) -> None:
    outcome = judged(SIX, ("clearances.yaml", "rocker_to_retainer: 1.4 mm", "rocker_to_retainer: 0 mm"))
    for rule in ("mark-on-tip", "mark-centred", "mark-width", "geometry-at-mid-lift"):
        assert {outcome.kinds(rule)[f"{cylinder}/intake"] for cylinder in (1, 2, 3, 6)} == {"open"}, rule
        assert "pass" in outcome.kinds(rule).values()


def test_a_valve_without_a_reading_takes_its_types_and_blocks_when_assembled(judged: Judged) -> None:
    outcome = judged(SIX, options=["--stage", "assembled"])
    assert outcome.kinds("mark-centred")["2/exhaust"] == "notApplicable"
    assert outcome.result("every-valve-measured", "2/exhaust")["blocks"]
    assert outcome.kinds("every-valve-measured")["1/exhaust"] == "pass"


def test_one_cylinder_that_differs_is_judged_by_itself(judged: Judged) -> None:
    each = "each:\n  - {cylinder: 4, valve: exhaust, installed_height: 1.600 in}\n"
    outcome = judged(SIX, ("heads.yaml", "", each))
    kinds = outcome.kinds("coil-bind-clearance")
    assert (kinds["4/exhaust"], kinds["3/exhaust"], kinds["intake"]) == ("fail", "pass", "pass")
    assert outcome.result("coil-bind-clearance", "4/exhaust")["places"][0]["file"] == "heads.yaml"
    assert set(outcome.build["quantities"]["coil_bind_clearance"]) == {"intake", *(f"{n}/exhaust" for n in range(1, 7))}


def test_a_quantity_known_of_one_cylinder_alone_is_reported_of_it(judged: Judged) -> None:
    text = (ROOT / SIX / "clearances.yaml").read_text(encoding="utf-8")
    outcome = judged(
        SIX, ("clearances.yaml", text, "each: [{cylinder: 3, valve: exhaust, retainer_to_seal: 0.58 in}]\n")
    )
    assert list(outcome.build["quantities"]["retainer_to_seal_clearance"]) == ["3/exhaust"]
    kinds = outcome.kinds("retainer-to-seal")
    assert (kinds["3/exhaust"], kinds["2/exhaust"], kinds["intake"]) == ("pass", "open", "open")


def test_exit_code_is_2_where_data_cannot_be_read_and_nothing_is_judged(judged: Judged) -> None:
    outcome = judged(SIX, ("block.yaml", "cylinders: 6", "cylinders: six"))
    assert (outcome.code, outcome.verdict, outcome.build["results"], outcome.build["quantities"]) == (2, "fail", [], {})
    assert [(one["file"], one["line"], one["path"]) for one in outcome.build["errors"]] == [
        ("block.yaml", 4, "cylinders")
    ]


def test_one_cylinder_alone_is_not_enough_to_order_from(judged: Judged) -> None:
    text = (ROOT / SIX / "marks.yaml").read_text(encoding="utf-8")
    others = text[text.index("  - cylinder: 2\n") :]
    outcome = judged(SIX, ("marks.yaml", others, ""))
    assert outcome.kinds("second-cylinder-checked") == {"intake": "fail", "exhaust": "fail"}
    assert ("second-cylinder-checked", "intake") in outcome.blocking()
