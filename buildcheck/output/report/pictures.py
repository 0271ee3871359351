"""The pictures beside a report: the lengths of all valves and each mark, each with its text alternative."""

from __future__ import annotations

from collections.abc import Iterator

from buildcheck.advice.valve_advice import Advice, advice
from buildcheck.app.build_check import CheckedBuild
from buildcheck.build.facts import Facts
from buildcheck.build.mark_plausibility import last_mark
from buildcheck.core.subject import Subject
from buildcheck.core.value import NotApplicable, Undecided
from buildcheck.ordering.predicted_mark import PredictedMark, pad_tip_height_error, predict_mark
from buildcheck.output.report.length_picture import length_chart
from buildcheck.output.report.mark_drawing import Strip, draw
from buildcheck.output.report.motion_pictures import motion_pictures
from buildcheck.output.report.picture import FOLDER, Picture
from buildcheck.quantities import lengths, marks, pivot_height, pushrod_inclination
from buildcheck.units.quantity import show


def pictures(checked: CheckedBuild) -> list[Picture]:
    """The strip chart of the lengths, and a picture of every valve with a mark in its last trial."""
    if checked.problems:
        return []
    of_marks = (drawn for one in advice(checked.facts) for drawn in _picture(checked.facts, one))
    of_motion = (Picture(f"{FOLDER}/{name}.svg", alt, svg) for name, alt, svg in motion_pictures(checked.facts))
    return [*_chart(checked), *of_marks, *of_motion]


def _chart(checked: CheckedBuild) -> Iterator[Picture]:
    """The strip chart of the lengths, once a valve has one."""
    if (chart := length_chart(checked)) is not None:
        svg, alt = chart
        yield Picture(f"{FOLDER}/lengths.svg", alt, svg)


def _picture(facts: Facts, one: Advice) -> Iterator[Picture]:
    try:
        strips = list(_strips(facts, one))
    except (NotApplicable, Undecided):
        return
    alt = f"{one.subject.text}: {'; '.join(strip.text for strip in strips)}"
    yield Picture(f"{FOLDER}/{one.subject.key.replace('/', '-')}.svg", alt, draw(one.subject.text, strips))


def _strips(facts: Facts, one: Advice) -> Iterator[Strip]:
    trial, tip = last_mark(facts, one.subject), marks.tip_diameter(facts, one.subject).si
    near, far = marks.edges_of(facts, one.subject, trial)
    yield _strip(facts, "mark as carried over" if trial.predicted else "mark as read", (near.si, far.si), tip, "solid")
    ahead = _prediction(facts, one)
    if ahead is None:
        return
    if (aim := _aimed(facts, one, ahead)) is not None and abs(aim[0]) <= ahead.arm - ahead.lift / 2:
        yield _strip(facts, f"predicted {aim[1]}", ahead.edges(aim[0]), tip, "hatched")
    if one.roller:
        yield _strip(facts, "narrowest possible", ahead.edges(0.0), tip, "outlined")


def _strip(facts: Facts, text: str, edges: tuple[float, float], tip: float, style: str) -> Strip:
    edges_text = " to ".join(show(edge, "length", facts.system) for edge in edges)
    return Strip(f"{text}, {edges_text}", (edges[0] / tip, edges[1] / tip), style)  # type: ignore[arg-type]


def _prediction(facts: Facts, one: Advice) -> PredictedMark | None:
    """From the height error, where its sign does not matter or is known."""
    try:
        if not one.roller:
            return predict_mark(facts, one.subject, pad_tip_height_error(facts, one.subject))
        error = pivot_height.signed_height_error(facts, one.subject)
    except Undecided:
        return None
    return predict_mark(facts, one.subject, error.si)


def _aimed(facts: Facts, one: Advice, ahead: PredictedMark) -> tuple[float, str] | None:
    """The height error, and in words the rod or shim that brings it: as advised, else as ordered."""
    step = one.step
    if step.height is not None and step.length is not None and step.action in ("change height", "change length"):
        what = f"{show(abs(step.length.si), 'length', facts.system)} {'longer' if step.length.si > 0 else 'shorter'}"
        rise = f"{show(step.height.si, 'length', facts.system)} higher"
        return ahead.read_at - step.height.si, what if one.free else rise
    if not one.free:
        return None
    return _ordered(facts, one.subject, ahead)


def _ordered(facts: Facts, subject: Subject, ahead: PredictedMark) -> tuple[float, str] | None:
    try:
        rod = facts.get("chosen_length", subject).si
        zero = lengths.length_with_trial(facts, subject, lengths.last_length(facts, subject)).si
    except (NotApplicable, Undecided):
        return None
    rise = (rod - zero) / pushrod_inclination.length_per_height(facts, subject).si
    return ahead.read_at - rise, f"with {show(rod, 'length', facts.system)} as measured"
