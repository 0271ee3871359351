"""Readings that belong to their engine: they still apply, are carried over with their uncertainty, or are void."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from altered import EIGHT, SIX, altered
from rewritten import ROOT, Edit, copied, judged_by

from buildcheck.app.build_check import CheckedBuild, check_build
from buildcheck.app.rule_context import rule_context_for
from buildcheck.build.build_folder import read_build
from buildcheck.build.trials import trials, void_readings
from buildcheck.core.subject import Subject
from buildcheck.output.finding_wording import message
from buildcheck.rules.results import Result

MM = 0.001
INTAKE_1 = Subject(1, "intake")


def states(*entries: str) -> Edit:
    """The states of marks.yaml, oldest first."""
    return "marks.yaml", "\nvalves:\n", "\nstates:\n" + "".join(f"  - {entry}\n" for entry in entries) + "valves:\n"


def in_state(name: str, folder: str, *valves: tuple[int, str]) -> list[Edit]:
    """Names the state of the valves given, or of all that a build's file has."""
    text = (ROOT / folder / "marks.yaml").read_text(encoding="utf-8")
    found = re.findall(r"cylinder: (\d+)(,|\n) +valve: (intake|exhaust)|cylinder: (\d+), valve: (intake|exhaust)", text)
    edits = []
    for number, _, valve, flow_number, flow_valve in found:
        own = (int(number or flow_number), valve or flow_valve)
        block, flow = "cylinder: {}\n    valve: {}\n".format(*own), "cylinder: {}, valve: {},".format(*own)
        if not valves or own in valves:
            old, end = (block, f"    state: {name}\n") if block in text else (flow, f" state: {name},")
            edits.append(("marks.yaml", old, old + end))
    return edits


def result(found: CheckedBuild, rule: str, subject: Subject) -> Result:
    [own] = [one for one in judged_by(found, rule) if one.subject == subject]
    return own


OLD, NEW = "as first assembled", "other rockers"
READ_AGAIN = in_state(NEW, SIX, (1, "intake"), (1, "exhaust"))
NOT_AGAIN = in_state(
    OLD, SIX, (2, "intake"), (3, "intake"), (3, "exhaust"), (5, "exhaust"), (6, "intake"), (6, "exhaust"),
)  # fmt: skip
OTHER_ROCKERS = (
    states(
        f"{{name: {OLD}, parts: {{rockers.valve_arm: 1.550 in, rockers.tip.radius: 0.250 in}}}}",
        f"{{name: {NEW}, parts: {{rockers.valve_arm: 36.83 mm}}}}",
    ),
    ("rockers.yaml", "valve_arm: 1.550 in", "valve_arm: 1.450 in"),
    ("clearances.yaml", "\nintake:", f"\nstate: {NEW}\nintake:"),
    *READ_AGAIN, *NOT_AGAIN,
)  # fmt: skip


def test_other_rockers_and_one_cylinder_read_again_block_the_order(tmp_path: Path) -> None:
    found = altered(tmp_path, SIX, *OTHER_ROCKERS)
    assert found.problems == ()
    needed = result(found, "second-cylinder-checked", Subject(None, "intake"))
    assert (needed.kind, needed.blocks) == ("fail", True)
    expected = message(found, needed)
    assert "cylinders 2, 3, 6: readings void" in expected
    assert "1.550 in, now 1.450 in" in expected


def test_a_void_reading_counts_as_not_taken_and_stays_listed(tmp_path: Path) -> None:
    facts = altered(tmp_path, SIX, *OTHER_ROCKERS).facts
    assert [(one.number, one.subject.cylinder) for one in void_readings(facts, Subject(6, "exhaust"))] == [
        (1, 6),
        (2, 6),
    ]
    assert void_readings(facts, INTAKE_1) == ()
    assert facts.get_or_none("length_asked", Subject(6, "exhaust")) is None


def test_a_trial_voided_by_hand_is_not_judged(tmp_path: Path) -> None:
    smeared = (
        "marks.yaml",
        "{length: 9.4255 in, mark: {from: 0.145 in",
        "{void: smeared, length: 9.4255 in, mark: {from: 0.145 in",
    )
    facts = altered(tmp_path, SIX, smeared).facts
    assert [trial.number for trial in trials(facts, INTAKE_1)] == [1, 2]
    assert [one.reason for one in void_readings(facts, INTAKE_1)] == ["smeared"]


MEASURED, MILLED = "measured", "heads milled"
HEADS_MILLED = (
    states(
        f"{{name: {MEASURED}, parts: {{rockers.shim: 0.75 mm}}}}",
        f"{{name: {MILLED}, changes: {{head_milled: 0.75 mm +/- 0.02 mm}}, parts: {{rockers.shim: 1.0 mm}}}}",
    ),
    ("rockers.yaml", "shim: 0.75 mm", "shim: 1.0 mm"),
    ("clearances.yaml", "\nintake:", f"\nstate: {MEASURED}\nintake:"),
    *in_state(MEASURED, EIGHT),
)  # fmt: skip


def test_heads_milled_and_thicker_shims_carry_a_length_over(tmp_path: Path) -> None:
    found = altered(tmp_path, EIGHT, *HEADS_MILLED)
    assert found.problems == ()
    carried = [trial.length.si / MM for trial in trials(found.facts, INTAKE_1) if trial.length and trial.number == 3]
    assert carried[0] == pytest.approx(190.337, abs=0.0005)  # 190.69 - 0.75 + 0.25 (1 + 1/1.7)


def test_a_carried_length_is_less_sure_than_the_one_read(tmp_path: Path) -> None:
    [*_, read] = [t for t in trials(altered(tmp_path / "a", EIGHT).facts, INTAKE_1) if t.length]
    [*_, carried] = [t for t in trials(altered(tmp_path / "b", EIGHT, *HEADS_MILLED).facts, INTAKE_1) if t.length]
    assert read.length is not None
    assert carried.length is not None
    added = (0.02**2 + (0.05 * 0.75) ** 2 + (0.05 * 0.25 * (1 + 1 / 1.7)) ** 2) ** 0.5
    assert carried.length.expanded / MM == pytest.approx(((read.length.expanded / MM) ** 2 + added**2) ** 0.5, rel=0.01)


def test_thicker_shims_lower_the_height_error_and_move_the_mark(tmp_path: Path) -> None:
    before = altered(tmp_path / "a", EIGHT).facts.get("height_error", INTAKE_1)
    after = altered(tmp_path / "b", EIGHT, *HEADS_MILLED).facts.get("height_error", INTAKE_1)
    assert (after.si - before.si) / MM == pytest.approx(-0.25, abs=0.01)
    assert after.expanded >= before.expanded


def test_clearances_that_the_length_moves_are_void_and_the_others_apply(tmp_path: Path) -> None:
    facts = altered(tmp_path, EIGHT, *HEADS_MILLED).facts
    assert facts.optional("clearances.{valve}.pushrod_to_head", INTAKE_1) is None
    assert facts.field("clearances.{valve}.retainer_to_seal", INTAKE_1).si / MM == pytest.approx(15.2)


@pytest.mark.parametrize(("parts", "applies"), [("cam", True), ("guide", False), ("cam, guide", False)])
def test_the_part_replaced_makes_a_reading_void_and_not_the_name_of_the_state(
    tmp_path: Path, parts: str, applies: bool
) -> None:
    """Retainer to seal is read with the valve closed: another cam leaves it, whatever the state is called."""
    found = altered(
        tmp_path, EIGHT,
        states("{name: before, parts: {}}", f"{{name: head off, parts: {{}}, changes: {{replaced: [{parts}]}}}}"),
        ("clearances.yaml", "\nintake:", "\nstate: before\nintake:"),
        *in_state("before", EIGHT),
    )  # fmt: skip
    assert found.problems == ()
    assert (found.facts.optional("clearances.{valve}.retainer_to_seal", INTAKE_1) is not None) == applies


def test_one_state_changes_nothing(tmp_path: Path) -> None:
    one = states(f"{{name: {MEASURED}, parts: {{rockers.shim: 0.030 in +/- 0.001 in, rockers.valve_arm: 39 mm}}}}")
    shim = ("rockers.yaml", "shim: 0.75 mm", "shim: 0.77 mm +/- 0.02 mm")
    found = altered(tmp_path, EIGHT, one, shim)
    assert found.problems == ()
    assert all(not trial.carried for trial in trials(found.facts, INTAKE_1))


def problems(tmp_path: Path, *edits: Edit) -> list[str]:
    """File, column and words of what is wrong."""
    folder = copied(tmp_path, SIX, *edits)
    found = check_build(read_build(folder, "build"), rule_context_for(folder).rules, {})
    return [f"{one.place.file}:{one.place.column}: {one.message}" for one in found.problems]


def one_state(parts: str, name: str = "now") -> Edit:
    return states(f"{{name: {name}, parts: {{{parts}}}}}")


TRIAL = "{length: 9.4250 in, mark: {from: 0.138 in"


NOW = one_state("rockers.shim: 0 in")


@pytest.mark.parametrize(
    ("edit", "expected"),
    [
        (
            ("marks.yaml", "  - cylinder: 2\n", "  - state: nwo\n    cylinder: 2\n"),
            "marks.yaml:12: unknown state 'nwo'",
        ),
        (one_state("rockers.valve_arm: 1.450 in"), "is 1.550 in in its own file and 1.450 in in state 'now'"),
        (one_state("block.height: 9 in"), "marks.yaml:25: found 'block.height'"),
        (one_state("rockers.valve_arm: 1.450"), "marks.yaml:44: '1.450' has no unit"),
        (("marks.yaml", TRIAL, f"{{on: 2026-02-30, {TRIAL[1:]}"), "marks.yaml:14: there is no date '2026-02-30'"),
        (("marks.yaml", TRIAL, f"{{checker: long, {TRIAL[1:]}"), "marks.yaml:19: unknown checker 'long'"),
        (("marks.yaml", TRIAL, f"{{length_gauge: tape, {TRIAL[1:]}"), "marks.yaml:24: unknown length_gauge 'tape'"),
        (("clearances.yaml", "\nintake:", "\nstate: then\nintake:"), "clearances.yaml:8: unknown state 'then'"),
    ],
)
def test_bad_input_is_refused_at_its_place(tmp_path: Path, edit: Edit, expected: str) -> None:
    assert any(expected in one for one in problems(tmp_path, *([] if "states" in edit[2] else [NOW]), edit))


def test_with_two_states_every_reading_names_its_own(tmp_path: Path) -> None:
    two = states("{name: then, parts: {rockers.shim: 0 in}}", "{name: now, parts: {rockers.shim: 0 in}}")
    found = problems(tmp_path, two)
    assert all("enter the state that the engine was in: one of 'then', 'now'" in words for words in found)
    assert len(found) > 10
