"""What is doubtful about a new reading of lift or drop before it is written: values that no such engine can have."""

from __future__ import annotations

from collections.abc import Iterator

from buildcheck.advice.reading_doubts import Doubt, a_tenth
from buildcheck.build.facts import Facts
from buildcheck.build.motion_readings import reading_faults
from buildcheck.build.new_motion import NewMotion
from buildcheck.build.new_reading import MOTION
from buildcheck.core.subject import Subject
from buildcheck.core.value import NotApplicable, Undecided, Value
from buildcheck.formulas.cam import CYCLE, turn
from buildcheck.formulas.compression import piston_position
from buildcheck.quantities.base_circle_window import middle_by_card
from buildcheck.units.quantity import in_si, show

LIFT_SHARE = 1.25
"""A lift up to this multiple of the one by cam card and rocker ratio is not questioned."""
OFF_BASE = 0.050 * 0.0254
"""A lift (m) above this belongs to the lobe: half a turn of the cam away from its nose no valve is so far open."""
DROP_SHARE, DROP_ROOM = 0.2, 0.5 * 0.0254
"""A drop is questioned beyond the depth of the piston and the larger of this share of the stroke and this room (m).

All of them: common practice, no published source.
"""


def new_fault(before: Facts, reading: NewMotion, after: Facts) -> str:
    """Why a reading cannot follow the others in running order, by the build with it; empty if it can."""
    known = set(_faults(before, reading))
    found = next((fault for fault in _faults(after, reading) if fault not in known), "")
    return f"{reading.subject.text}: {found}; if an earlier reading is wrong, correct it in {MOTION}" if found else ""


def _faults(facts: Facts, reading: NewMotion) -> list[str]:
    try:
        return [fault.explanation for fault in reading_faults(facts, reading.subject, reading.at)]
    except (NotApplicable, Undecided):
        return []


def motion_doubts(facts: Facts, reading: NewMotion) -> Iterator[Doubt]:
    """Everything that is doubtful about a reading, as motion.yaml takes it."""
    found = [
        _past_full_lift(facts, reading),
        _far_from_nose(facts, reading),
        _below_piston(facts, reading),
    ]
    yield from (one for one in found if one is not None)


def _past_full_lift(facts: Facts, reading: NewMotion) -> Doubt | None:
    lift, full = _length(reading, "lift"), _full_lift(facts, reading)
    if lift is None or full is None or lift <= LIFT_SHARE * full:
        return None
    by_card = show(full, "length", facts.system)
    what = "lobe lift times rocker ratio" if reading.at == "valve" else "lobe lift"
    reason = f"{reading.values['lift']} is more than {what}, {by_card}"
    return Doubt("lift", reason, a_tenth(reading.values["lift"], LIFT_SHARE * full))


def _full_lift(facts: Facts, reading: NewMotion) -> float | None:
    lobe, ratio = (facts.optional(path, reading.subject) for path in ("cam.{valve}.lobe_lift", "rockers.ratio"))
    if lobe is None or (reading.at == "valve" and ratio is None):
        return None
    return lobe.si * (ratio.si if reading.at == "valve" and ratio is not None else 1.0)


def _far_from_nose(facts: Facts, reading: NewMotion) -> Doubt | None:
    """A lift at a crank angle at which the valve is closed: usually one turn of the crank is missing."""
    lift, nose = _length(reading, "lift"), _nose_by_card(facts, reading.subject)
    crank = in_si(reading.values["crank"], "angle")[0]
    if lift is None or nose is None or lift <= OFF_BASE or abs(turn(0.0, crank - nose)) <= CYCLE / 4:
        return None
    reason = f"by the cam card {reading.subject.text} is closed at crank {reading.values['crank']}"
    return Doubt("crank", reason, f"{(crank + CYCLE / 2) % CYCLE:g} deg")


def _nose_by_card(facts: Facts, subject: Subject) -> float | None:
    """Crank angle of a lobe's nose by the cam card, degrees after cylinder 1's firing TDC; None if it is not known."""
    try:
        return middle_by_card(facts, subject).si + CYCLE / 2
    except (NotApplicable, Undecided):
        return None


def _below_piston(facts: Facts, reading: NewMotion) -> Doubt | None:
    drop, tdc = _length(reading, "drop"), facts.get_or_none("firing_tdc", Subject(reading.subject.cylinder))
    stroke, rod = (facts.optional(f"block.{name}", reading.subject) for name in ("stroke", "rod_length"))
    if drop is None or tdc is None or stroke is None or rod is None:
        return None
    most = _most_drop(in_si(reading.values["crank"], "angle")[0] - tdc.si, stroke, rod)
    if drop <= most:
        return None
    reason = f"{reading.values['drop']} is deeper than the piston can be at crank {reading.values['crank']}"
    return Doubt("drop", reason, a_tenth(reading.values["drop"], most))


def _most_drop(angle: float, stroke: Value, rod: Value) -> float:
    return piston_position(stroke.si, rod.si, angle) + max(DROP_ROOM, DROP_SHARE * stroke.si)


def _length(reading: NewMotion, key: str) -> float | None:
    return in_si(reading.values[key], "length")[0] if key in reading.values else None
