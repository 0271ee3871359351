"""Named quantities of the gap between valve and piston over the lift curve: the most dangerous number of a build."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import partial
from itertools import pairwise
from math import inf

from buildcheck.build.carried_motion import Curve, curve, travels
from buildcheck.build.facts import Facts
from buildcheck.build.motion_readings import NOT_READ, MotionEntry, has_entry, missing_lift, motion_entry, usable
from buildcheck.core.subject import Subject
from buildcheck.core.value import Missing, NotApplicable, Undecided, Value, derive, difference, with_uncertainty
from buildcheck.formulas import lift_curve, piston_motion
from buildcheck.formulas.cam import CYCLE
from buildcheck.formulas.compression import piston_position
from buildcheck.record import Record, replace
from buildcheck.units.quantity import show

PARTS = 8
"""Between two readings the gap is looked at in so many places."""

WIDEST = 12.0
"""Widest step between the readings around the least gap, deg of crank."""

FEWEST = 3
FEW = "a curve has three lifts or more: read the lift every 5 deg around the overlap"

_ANGLE = "heads.valves.{valve}.angle"
PISTON_LIMIT = "piston_to_valve_limit"


class Engine(Record):
    """What the gap depends on, apart from lift and drop: stroke, rod (m), valve angle (deg) and the piston's face."""

    stroke: Value
    rod: Value
    angle: Value
    face: str
    pocket: Value | None


class Anchor(Record):
    """A drop: crank angle (deg) and the free travel from the seat to the piston there, as the engine is now (m)."""

    angle: Value
    travel: Value


class GapCurve(Record):
    """The gap over the lift curve, from the drop that leaves the smallest gap: ``least`` with its crank angle."""

    points: tuple[tuple[float, float], ...]
    least: Value
    at: Value
    anchor: Anchor


def piston_gap_least(facts: Facts, subject: Subject) -> Value:
    """Smallest gap between valve and piston over the lift curve, m."""
    return gap_curve(facts, subject).least


def piston_gap_at(facts: Facts, subject: Subject) -> Value:
    """Crank angle of the smallest gap between valve and piston, deg after the firing TDC of cylinder 1.

    Its uncertainty is that of the wheel, and how far the gap stays within the uncertainty of its least point.
    """
    tdc = facts.get("firing_tdc", Subject(subject.cylinder))
    return derive("angle", lambda at, fires: (at + CYCLE / 2 + fires) % CYCLE, gap_curve(facts, subject).at, tdc)


def piston_gap_limit(facts: Facts, subject: Subject) -> Value:
    """Limit in force of the gap between valve and piston, m."""
    if not has_entry(facts, subject, "valve"):
        raise NotApplicable(NOT_READ)
    return facts.bound(PISTON_LIMIT, Subject(None, subject.valve))


def drop_misfit(facts: Facts, subject: Subject) -> Value:
    """Largest difference between a measured drop and the drop predicted from lift and slider-crank, beyond U, m.

    Zero if every drop agrees.
    """
    found, engine = gap_curve(facts, subject), _engine(facts, subject)
    entry = usable(facts, subject, "valve")
    others = [one for one in _anchors(facts, subject, entry) if one.angle.si != found.anchor.angle.si]
    if not others:
        raise NotApplicable("one drop was read: a second one would check it")
    misfits = [_misfit(engine, found.anchor, other, facts.system) for other in others]
    worst = max(misfits, key=lambda value: value.si)
    return worst._replace(parts={})


def _misfit(engine: Engine, anchor: Anchor, other: Anchor, system: str) -> Value:
    predicted = derive("length", partial(_travel_at, other.angle.si, engine.face), *_inputs(engine, anchor))
    step = difference(other.travel, predicted)
    slope = _slope(engine, other.angle.si)
    doubt = (step.expanded**2 + (slope * other.angle.expanded) ** 2) ** 0.5
    beyond = max(0.0, abs(step.si) - doubt)
    size, way = show(abs(step.si), "length", system), "deeper" if step.si > 0 else "shallower"
    shown = f"the drop at {overlap_text(other.angle.si)} is {size} {way} than predicted"
    return Value(beyond, "length", {}, step.places, shown if beyond else "")


def _slope(engine: Engine, angle: float) -> float:
    ends = [piston_position(engine.stroke.si, engine.rod.si, angle + by) for by in (-0.5, 0.5)]
    return abs(ends[1] - ends[0])


def gap_curve(facts: Facts, subject: Subject) -> GapCurve:
    """The gap curve of one valve. NotApplicable without a drop, Undecided with what is needed to know it."""
    return facts.once(("gap curve", subject), _gap_curve, facts, subject)


def _gap_curve(facts: Facts, subject: Subject) -> GapCurve:
    entry = motion_entry(facts, subject, "valve")
    if not entry.drops:
        raise NotApplicable("no drop to the piston was read")
    if not entry.lifts:
        raise missing_lift(entry)
    if len(entry.lifts) < FEWEST:
        raise Undecided(FEW, entry.lifts[0].angle.places)
    usable(facts, subject, "valve")
    read, engine = curve(facts, subject, "valve"), _engine(facts, subject)
    anchor = min(_anchors(facts, subject, entry), key=partial(_gap_there, read))
    points = tuple(_points(read, engine, anchor))
    at, lowest = min(points, key=lambda point: point[1])
    _refuse_outside_pocket(engine, anchor, at)
    _refuse_open_end(points, lowest, read)
    least = _least(read, engine, anchor, at, subject)
    _refuse_open_end(points, lowest + least.expanded, read)
    _refuse_wide_step(read, at)
    remark = f"at {overlap_text(at)}, from the drop at {overlap_text(anchor.angle.si)}"
    unstated = "" if engine.face else "; piston_face not entered or not certain, the smaller gap counts"
    where = with_uncertainty(anchor.angle._replace(si=at), _spread(points, read, at), f"flat gap of {subject.key}")
    return GapCurve(points, least.with_remark(remark + unstated), where, anchor)


def _spread(points: Sequence[tuple[float, float]], read: Curve, at: float) -> float:
    """How far from its least point the gap can have its least, deg: there it differs by no more than interpolation."""
    doubt = lift_curve.interpolation_uncertainty(at, *read.numbers)
    lowest = min(gap for _, gap in points)
    return max(abs(angle - at) for angle, gap in points if gap <= lowest + doubt)


def _engine(facts: Facts, subject: Subject) -> Engine:
    """A pocket counts as one only if its radial clearance is known."""
    node, pocket = facts.node("block.piston_face"), facts.optional("block.pocket_clearance")
    face = str(node.value) if node is not None else ""
    stroke, rod, slant = (_needed(facts, path, subject) for path in ("block.stroke", "block.rod_length", _ANGLE))
    return Engine(stroke, rod, slant, "" if face == "pocket" and pocket is None else face, pocket)


def _needed(facts: Facts, path: str, subject: Subject) -> Value:
    """A field that the gap depends on, and the lift does not. Raises Missing."""
    try:
        return facts.field(path, subject)
    except Missing as lacking:
        reason = replace(lacking.missing, unaffected="the lift curve is not affected")
        raise Missing(reason, lacking.places, lacking.cause) from lacking


def _anchors(facts: Facts, subject: Subject, entry: MotionEntry) -> list[Anchor]:
    since = travels(facts, subject, entry)
    read = Curve(tuple(one.angle for one in entry.lifts), tuple(one.lift for one in entry.lifts if one.lift))
    found = []
    for one in entry.drops:
        lift = one.lift or _lift(read, one.angle)
        if one.drop is not None and lift is not None:
            travel = derive("length", lambda *parts: sum(parts), lift, one.drop, since)
            found.append(Anchor(one.angle, travel))
    if not found:
        raise Undecided("no lift was read where the drop was taken: read it there", (entry.node.place,))
    return found


def _lift(read: Curve, angle: Value) -> Value | None:
    """Lift where a drop was read without it; None outside the readings of lift."""
    angles, lifts = read.numbers
    if len(angles) < 3 or not angles[0] <= angle.si <= angles[-1]:
        return None
    doubt = lift_curve.interpolation_uncertainty(angle.si, angles, lifts)
    found = derive("length", lift_curve.lift_between, angle, *_flat(read, read.around(angle.si)))
    return with_uncertainty(found, doubt, f"interpolation at {angle.places[0]}")


def _flat(read: Curve, part: slice) -> tuple[Value, ...]:
    return (*read.angles[part], *read.lifts[part])


def _gap_there(read: Curve, anchor: Anchor) -> float:
    """The gap where a drop was read, as the engine is now; infinite outside the curve."""
    angles, lifts = read.numbers
    if not angles[0] <= anchor.angle.si <= angles[-1]:
        return inf
    return anchor.travel.si - lift_curve.lift_at(anchor.angle.si, angles, lifts)


def _points(read: Curve, engine: Engine, anchor: Anchor) -> Iterator[tuple[float, float]]:
    angles, lifts = read.numbers
    travel = [value.si for value in _inputs(engine, anchor)]
    for start, end in pairwise(angles):
        for part in range(PARTS):
            at = start + (end - start) * part / PARTS
            yield at, _travel_at(at, engine.face, *travel) - lift_curve.lift_at(at, angles, lifts)
    yield angles[-1], _travel_at(angles[-1], engine.face, *travel) - lifts[-1]


def _inputs(engine: Engine, anchor: Anchor) -> tuple[Value, ...]:
    return anchor.travel, anchor.angle, engine.stroke, engine.rod, engine.angle


def _travel_at(at: float, face: str, travel: float, read_at: float, stroke: float, rod: float, slant: float) -> float:
    """Free travel of the valve at a crank angle, from the one at another."""
    return travel + piston_motion.along_valve(_further(at, read_at, stroke, rod), slant, face)


def _further(at: float, read_at: float, stroke: float, rod: float) -> float:
    here, there = (piston_position(stroke, rod, angle) for angle in (at, read_at))
    return here - there


def _least(read: Curve, engine: Engine, anchor: Anchor, at: float, subject: Subject) -> Value:
    """The gap where it is least: there a small change of the crank angle alone does not change it."""
    angles, lifts = read.numbers
    inputs = _inputs(engine, anchor)

    def gap(*numbers: float) -> float:
        travel = _travel_at(at, engine.face, *numbers[: len(inputs)])
        return travel - lift_curve.lift_between(at, *numbers[len(inputs) :])

    doubt = lift_curve.interpolation_uncertainty(at, angles, lifts)
    found = derive("length", gap, *inputs, *_flat(read, read.around(at)))
    return with_uncertainty(found, doubt, f"interpolation of the gap {subject.key}")


def _refuse_outside_pocket(engine: Engine, anchor: Anchor, at: float) -> None:
    if engine.face != "pocket" or engine.pocket is None:
        return
    further = _further(at, anchor.angle.si, engine.stroke.si, engine.rod.si)
    if piston_motion.sideways(further, engine.angle.si) > engine.pocket.si:
        text = f"the valve is beside the floor of its pocket: read a drop near {overlap_text(at)}"
        raise Undecided(text, anchor.travel.places)


def _refuse_open_end(points: Sequence[tuple[float, float]], above: float, read: Curve) -> None:
    """Undecided if the gap may be smaller beyond the readings."""
    ends = [(points[0], "before", read.angles[0]), (points[-1], "after", read.angles[-1])]
    for (angle, gap), side, value in ends:
        if gap <= above:
            text = f"the gap may be smaller {side} {overlap_text(angle)}, where no lift was read: read on by 20 deg"
            raise Undecided(text, value.places)


def _refuse_wide_step(read: Curve, at: float) -> None:
    angles = read.numbers[0]
    i = lift_curve.interval(at, angles)
    if angles[i + 1] - angles[i] > WIDEST:
        text = f"readings around {overlap_text(at)}, where the gap is least, are too far apart: read every 5 deg there"
        raise Undecided(text, read.angles[i].places)


def overlap_text(angle: float) -> str:
    """A crank angle in words, by the overlap TDC of its cylinder.

    >>> overlap_text(12.25), overlap_text(-8.0)
    ('12 deg after TDC', '8 deg before TDC')
    """
    return f"{abs(angle):.0f} deg {'after' if angle >= 0 else 'before'} TDC"
