"""One mechanism of changes: the same cut as a what-if, as a state and predicted gives the same order."""

from __future__ import annotations

import random
from pathlib import Path

import pytest
from altered import EIGHT, FLAT, PAD_TIP, SIX, altered, as_it_is
from rewritten import Edit
from test_states import in_state, states
from thorough import sample

from buildcheck.advice.what_if import WhatIf, what_if
from buildcheck.app.build_check import CheckedBuild
from buildcheck.core.subject import Subject
from buildcheck.core.usage_error import UsageError
from buildcheck.ordering.order import Order
from buildcheck.registry.length_spread import required_lengths

INCH = 0.0254
THEN, NOW = "measured", "changed"

CUTS = {
    SIX: ("block_milled", "head_milled", "lifter_cup_lower", "tip_higher"),
    EIGHT: ("head_milled", "lifter_cup_lower", "pedestal_raised", "tip_higher"),
    FLAT: ("block_milled", "pedestal_raised", "tip_higher"),
    PAD_TIP: ("head_milled", "tip_higher"),
}


def entered(tmp_path: Path, folder: str, changes: dict[str, str], *edits: Edit, then: str = "") -> CheckedBuild:
    """The build with the change entered as a state after the one that everything was read in."""
    listed = ", ".join(f"{name}: {size}" for name, size in changes.items())
    both = states(f"{{name: {THEN}, parts: {{{then}}}}}", f"{{name: {NOW}, changes: {{{listed}}}, parts: {{}}}}")
    clearances = [("clearances.yaml", "intake:", f"state: {THEN}\nintake:")]
    return altered(tmp_path, folder, both, *clearances, *in_state(THEN, folder), *edits)


def lines(order: Order) -> list[tuple[float, int, tuple[Subject, ...], tuple[Subject, ...]]]:
    return [(round(line.length.stated, 9), line.spares, line.serves, line.assumed) for line in order.lines]


def assert_agree(supposed: WhatIf, found: CheckedBuild, folder: str) -> None:
    assert found.problems == ()
    assert lines(supposed.after) == lines(found.order)
    for subject in found.facts.subjects("valve_type"):
        own = [one for one in supposed.effects if one.subject == subject]
        for effect in (one for one in own if one.title.startswith("Required")):
            lengths = required_lengths(found.facts, subject).values()
            assert min(abs(value.si - effect.then.si) for value in lengths) < 1e-12
        for effect in (one for one in own if one.title == "Predicted length"):
            predicted = found.facts.get("predicted_length", subject)
            assert effect.then.si == pytest.approx(predicted.si, abs=1e-12)
            assert effect.then.expanded == pytest.approx(predicted.expanded, rel=1e-9)


@pytest.mark.parametrize("folder", CUTS)
@pytest.mark.parametrize("seed", sample(range(3), 1))
def test_a_cut_as_a_what_if_and_as_a_state_gives_the_same_order(tmp_path: Path, folder: str, seed: int) -> None:
    draw = random.Random(f"{folder} {seed}")
    names = draw.sample(CUTS[folder], k=draw.randint(1, 2))
    changes = {name: f"{draw.uniform(-0.060, 0.060):.4f} in +/- 0.001 in" for name in names}
    supposed = what_if(as_it_is(folder).facts, [f"{name}={size}" for name, size in changes.items()])
    assert_agree(supposed, entered(tmp_path, folder, changes), folder)


@pytest.mark.parametrize(
    ("folder", "assumed", "then", "edit"),
    [
        (SIX, "gasket_thickness=1.60 mm", "heads.gasket.thickness: 1.07 mm", ("heads.yaml", "1.07 mm", "1.60 mm")),
        (EIGHT, "shim=1.2 mm", "rockers.shim: 0.75 mm", ("rockers.yaml", "shim: 0.75 mm", "shim: 1.2 mm")),
        (SIX, "intake.lobe_lift=0.300 in", "cam.intake.lobe_lift: 0.280 in", ("cam.yaml", "0.280 in", "0.300 in")),
    ],
)  # fmt: skip
def test_a_new_size_as_a_what_if_and_in_its_file_gives_the_same_order(
    tmp_path: Path, folder: str, assumed: str, then: str, edit: Edit
) -> None:
    supposed = what_if(as_it_is(folder).facts, [assumed])
    assert_agree(supposed, entered(tmp_path, folder, {}, edit, then=then), folder)


def test_a_cut_of_a_later_state_moves_the_predicted_length_once(tmp_path: Path) -> None:
    before = as_it_is(SIX).facts.get("predicted_length", Subject(None, "intake"))
    found = entered(tmp_path, SIX, {"head_milled": "0.030 in"}).facts
    after = found.get("predicted_length", Subject(None, "intake"))
    assert (after.si - before.si) / INCH == pytest.approx(-0.030)


@pytest.mark.parametrize("folder", CUTS)
@pytest.mark.parametrize("seed", sample(range(2), 1))
def test_predicted_supposed_and_carried_lengths_move_by_the_same(tmp_path: Path, folder: str, seed: int) -> None:
    """Each valve that was read moves as its type's predicted length does, and as the what-if shows.

    To 0.0003 in: a carried trial is less certain, so the trials of one valve are weighted a little differently.
    """
    draw = random.Random(f"carried {folder} {seed}")
    name, size = draw.choice(CUTS[folder]), f"{draw.uniform(-0.060, 0.060):.4f} in"
    before, after = as_it_is(folder).facts, entered(tmp_path, folder, {name: size}).facts
    supposed = what_if(before, [f"{name}={size}"])
    for kind in before.subjects("valve_type"):
        moved = [
            (effect.title, effect.then.si - effect.now.si)
            for effect in supposed.effects
            if effect.subject == kind and effect.title.startswith(("Required", "Predicted")) and effect.now
        ]
        if (predicted := before.get_or_none("predicted_length", kind)) is not None:
            moved.append(("predicted in the files", after.get("predicted_length", kind).si - predicted.si))
        read, carried = required_lengths(before, kind), required_lengths(after, kind)
        assert read.keys() == carried.keys() != set()
        moved += [(valve.key, carried[valve].si - read[valve].si) for valve in read]
        assert {title: pytest.approx(moved[0][1], abs=0.0003 * INCH) for title, _ in moved} == dict(moved)
        assert len(moved) == len(read) + (1 if predicted is None else 3)


@pytest.mark.parametrize(
    "assumed", ["valve_arm=1.450 in", "intake.ratio=1.7", "tip_radius=0.300 in", "head_height=4.3 in"]
)
def test_another_rocker_or_head_leaves_no_required_length(assumed: str) -> None:
    answer = what_if(as_it_is(SIX).facts, [assumed])
    assert dict(answer.undetermined)["required length"].startswith("void: measure again; taken")
    assert not any(one.title.startswith("Required") for one in answer.effects if one.subject.valve == "intake")
    assert all("intake" not in {valve.valve for valve in line.serves} for line in answer.after.lines)


def test_another_ratio_shows_lift_narrowest_mark_and_clearances() -> None:
    answer = what_if(as_it_is(SIX).facts, ["intake.ratio=1.7"])
    moved = {one.title: (one.then.si - one.now.si) / INCH for one in answer.effects if one.now is not None}
    assert moved["Valve lift"] == pytest.approx(0.280 * 0.1)
    assert moved["Coil-bind clearance"] == pytest.approx(-0.280 * 0.1)
    assert moved["Narrowest possible mark"] > 0
    assert {one.subject.valve for one in answer.effects} == {"intake"}


def test_each_assumption_says_whether_it_is_absolute_or_added() -> None:
    assumed = what_if(as_it_is(SIX).facts, ["head_milled=0.01 in", "ratio=1.7", "cam_advance=2 deg"]).assumed
    assert [one.absolute for one in assumed] == [False, True, True]


def test_a_chosen_length_shows_how_far_it_is_off() -> None:
    answer = what_if(as_it_is(SIX).facts, ["chosen_length=9.500 in"])
    off = {one.subject.valve: one for one in answer.effects if one.title.startswith("Chosen length")}
    assert [(one.then.si - one.now.si) / INCH for one in off.values() if one.now] == pytest.approx([0.050, 0.050])
    assert [round(line.length.stated / INCH, 4) for line in answer.after.lines] == [9.500]


@pytest.mark.parametrize(
    ("given", "expected"),
    [
        (["shim=1 mm", "pedestal_raised=1 mm"], "change the same height"),
        (["exhaust.shim=1 mm"], "one value for both valve types"),
        (["ratio=fast"], "enter a plain number"),
        (["ratio=9"], "outside 0.5 to 4"),
        (["intake.ratio=1.6", "ratio=1.7"], "given 2 times"),
    ],
)
def test_an_assumption_that_cannot_be_meant_is_refused(given: list[str], expected: str) -> None:
    with pytest.raises(UsageError, match=expected):
        what_if(as_it_is(EIGHT).facts, given)
