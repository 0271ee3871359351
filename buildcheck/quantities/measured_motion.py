"""Named quantities of the motion as read: full lift, centreline, advance, ratio, and what was lost on the way."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial
from math import hypot

from buildcheck.build.carried_motion import Curve, curve, lash_now
from buildcheck.build.facts import Facts
from buildcheck.build.motion_readings import NOT_READ, found_by_stop, has_entry, motion_entry, reading_faults
from buildcheck.core.subject import VALVE_TYPES, Subject
from buildcheck.core.value import NotApplicable, Undecided, Value, derive, difference, exact, with_uncertainty
from buildcheck.formulas import lift_curve
from buildcheck.formulas.cam import turn
from buildcheck.quantities.cam_events import card
from buildcheck.units.quantity import show

INCH = 0.0254
AT_REST = 0.002 * INCH
"""A lift up to which a lifter counts as on its base circle (m; common practice, no published source)."""
AS_READ = "lift as read in motion.yaml"
UNAFFECTED = "the gap to the piston is not affected"
FLANKS = ("opening", "closing")
BELOW_NOSE = (0.050 * INCH, 0.075 * INCH, 0.100 * INCH)
"""Heights below full lift at which the centreline is taken, the last ones only as far as both flanks were read.

In m; common practice, no published source.
"""


def lift_faults(facts: Facts, subject: Subject) -> Value:
    """Number of lift readings of a valve that cannot follow the reading before; the finding names them."""
    places_of = [at for at in ("valve", "lifter") if has_entry(facts, subject, at)]
    if not places_of:
        raise NotApplicable(NOT_READ)
    found = [fault for at in places_of for fault in reading_faults(facts, subject, at)]
    places = tuple(fault.node.place for fault in found) or (motion_entry(facts, subject, places_of[0]).node.place,)
    return Value(float(len(found)), "count", {}, places, "; ".join(fault.explanation for fault in found))


def measured_lift(facts: Facts, subject: Subject) -> Value:
    """Measured full lift of the valve, m, plus the lash while reading."""
    return _full_lift(facts, subject, "valve")


def measured_lifter_lift(facts: Facts, subject: Subject) -> Value:
    """Measured full lift of the lifter, m."""
    return _full_lift(facts, subject, "lifter")


def _full_lift(facts: Facts, subject: Subject, at: str) -> Value:
    read = curve(facts, subject, at)
    top = _nose(read)
    inputs = [value for i in (top - 1, top, top + 1) for value in (read.angles[i], read.lifts[i])]
    angles, lifts = read.numbers
    doubt = lift_curve.interpolation_uncertainty(angles[top], angles, lifts)
    return with_uncertainty(derive("length", lift_curve.nose_lift, *inputs), doubt, f"nose of {subject.text} {at}")


def _nose(read: Curve) -> int:
    """The index of the highest reading, the middle one of equals; Undecided if the readings do not pass the nose."""
    if not read.lifts:
        raise Undecided("no lift was read: read it every 10 deg, and every 5 deg around the nose")
    lifts = [value.si for value in read.lifts]
    highest = [i for i, lift in enumerate(lifts) if lift == max(lifts)]
    top = highest[len(highest) // 2]
    if highest[0] == 0 or highest[-1] == len(lifts) - 1:
        side = "before the first" if highest[0] == 0 else "after the last"
        raise Undecided(
            f"the readings do not pass the nose: read on {side} crank angle until the lift falls on both sides",
            read.lifts[top].places,
            unaffected=UNAFFECTED,
        )
    return top


def lift_at_zero_lash(facts: Facts, subject: Subject) -> Value | None:
    """Full valve lift at zero lash by the curve of a valve, m; of a valve not read the largest of its type, or None."""
    valves = [subject] if has_entry(facts, subject, "valve") else _read_of_type(facts, subject)
    found = [value for valve in valves if (value := _at_zero_lash(facts, valve)) is not None]
    largest = max(found, key=lambda value: value.si, default=None)
    return largest.with_remark(AS_READ) if largest is not None else None


def _read_of_type(facts: Facts, subject: Subject) -> list[Subject]:
    if facts.node("motion.valves") is None:
        return []
    return [one for one in facts.subjects("valve") if one.valve == subject.valve and has_entry(facts, one, "valve")]


def _at_zero_lash(facts: Facts, valve: Subject) -> Value | None:
    read = facts.get_or_none("measured_lift", valve)
    return derive("length", lambda lift, lash: lift + lash, read, lash_now(facts, valve)) if read is not None else None


def rise(facts: Facts, subject: Subject) -> tuple[Value, Value] | None:
    """Crank angles after overlap TDC between which a lifter is off its base circle, deg; None if they were not read.

    By the last reading before the rise and the first one after it. A valve read with lash does not show the rise.
    """
    for at in ("lifter", "valve"):
        if not has_entry(facts, subject, at) or motion_entry(facts, subject, at).lash.si:
            continue
        try:
            read = curve(facts, subject, at)
            top = _nose(read)
        except Undecided:
            continue
        before = [i for i in range(top) if read.lifts[i].si <= AT_REST]
        after = [i for i in range(top, len(read.lifts)) if read.lifts[i].si <= AT_REST]
        if before and after:
            return read.angles[before[-1]], read.angles[after[0]]
    return None


def nose_read_at(facts: Facts, subject: Subject) -> str:
    """Where the readings of the nose were taken: ``lifter`` if it was read, else ``valve``."""
    return "lifter" if has_entry(facts, subject, "lifter") else "valve"


def nose_angle(facts: Facts, subject: Subject) -> Value:
    """Crank angle of the lobe's nose after the overlap TDC of its cylinder, deg: by lifter if it was read, else valve.

    Mid-point of equal lifts on either side, averaged over the heights of BELOW_NOSE.
    """
    at = nose_read_at(facts, subject)
    return facts.once(("nose", subject, at), _nose_angle, facts, subject, at)


def _nose_angle(facts: Facts, subject: Subject, at: str) -> Value:
    read, full = curve(facts, subject, at), _full_lift(facts, subject, at)
    top = _nose(read)
    flanks = [Curve(read.angles[part], read.lifts[part]) for part in (slice(0, top + 1), slice(top, None))]
    lowest = max(_lowest(side, full) for side in flanks)
    heights = [below for below in BELOW_NOSE if full.si - below >= lowest] or BELOW_NOSE[:1]
    named = list(zip(flanks, FLANKS, strict=True))
    sides = [_flank(side, full, below, name, facts.system) for side, name in named for below in heights]
    return derive("angle", lambda *angles: sum(angles) / len(angles), *sides)


def _lowest(side: Curve, full: Value) -> float:
    """The lowest height at which a flank surely has a crank angle, m: its lowest reading and both uncertainties."""
    low = min(side.lifts, key=lambda value: value.si)
    return low.si + hypot(low.expanded, full.expanded)


def _flank(side: Curve, full: Value, below: float, name: str, system: str) -> Value:
    """Crank angle at which a flank is a height below full lift, deg."""
    top = side.lifts[0].places
    if full.si - below < _lowest(side, full):
        lowest = show(BELOW_NOSE[0], "length", system)
        reason = f"the {name} flank was not read far enough: read it down to {lowest} below full lift"
        raise Undecided(reason, top, unaffected=UNAFFECTED)
    angles, lifts = side.numbers
    if full.si - below > max(lifts):
        raise Undecided(
            "the readings around the nose are too far apart: read every 5 deg there", top, unaffected=UNAFFECTED
        )
    at = lift_curve.crossing(full.si - below, lifts)
    part = side.around(angles[at])
    found = derive("angle", partial(_crossed, below), full, *side.angles[part], *side.lifts[part])
    doubt = lift_curve.interpolation_uncertainty(found.si, angles, lifts)
    slope = abs(lifts[at + 1] - lifts[at]) / (angles[at + 1] - angles[at])
    return with_uncertainty(found, doubt / slope, f"interpolation of the {name} flank, {side.lifts[0].places[0]}")


def _crossed(below: float, full: float, *numbers: float) -> float:
    half = len(numbers) // 2
    return lift_curve.flank_angle(full - below, numbers[:half], numbers[half:])


def measured_centreline(facts: Facts, subject: Subject) -> Value:
    """Measured centreline of a lobe, deg: after TDC for an intake valve, before TDC for an exhaust valve."""
    sign = 1.0 if subject.valve == "intake" else -1.0
    return derive("angle", lambda angle: turn(0.0, sign * angle), nose_angle(facts, subject))


def measured_advance(facts: Facts, subject: Subject) -> Value:
    """Measured cam advance over the centrelines of the cam card, deg, from the valves of a cylinder that were read."""
    terms = [_ahead(facts, valve) for valve in _read_valves(facts, subject)]
    remark = "" if len(terms) == 2 else "from one valve: an error of the grind is not separated"
    return derive("angle", lambda *each: sum(each) / len(each), *terms, remark=remark)


def _ahead(facts: Facts, subject: Subject) -> Value:
    _, written, _ = card(facts, subject.valve or "")
    read = facts.get("measured_centreline", subject)
    return difference(written, read) if subject.valve == "intake" else difference(read, written)


def _read_valves(facts: Facts, subject: Subject) -> Sequence[Subject]:
    if "motion" not in facts.build.roots:
        raise NotApplicable(NOT_READ)
    both = [Subject(subject.cylinder, valve) for valve in VALVE_TYPES]
    found = [valve for valve in both if any(has_entry(facts, valve, at) for at in ("valve", "lifter"))]
    if not found:
        raise NotApplicable(NOT_READ)
    return found


def advance_error(facts: Facts, subject: Subject) -> Value:
    """Measured cam advance less the advance in cam.yaml (zero if it is left out), deg."""
    entered = facts.optional("cam.advance") or exact(0.0, "angle")
    return difference(facts.get("measured_advance", subject), entered)


def lobe_separation_error(facts: Facts, subject: Subject) -> Value:
    """Measured lobe separation less that of the cam card, deg of cam."""
    valves = _read_valves(facts, subject)
    if len(valves) < 2:
        raise NotApplicable("only one of its valves was read")
    sides = [facts.get("measured_centreline", valve) for valve in valves]
    read = derive("angle", lambda first, second: (first + second) / 2, *sides)
    return difference(read, facts.get("lobe_separation"))


def lift_lost(facts: Facts, subject: Subject) -> Value:
    """Lobe lift times rocker ratio, less the lash while reading and less the measured valve lift, m."""
    read = facts.get("measured_lift", subject)
    lobe, ratio = facts.field("cam.{valve}.lobe_lift", subject), facts.field("rockers.ratio", subject)
    lash = motion_entry(facts, subject, "valve").lash
    return derive("length", lambda a, b, gap, lift: a * b - gap - lift, lobe, ratio, lash, read)


def measured_ratio(facts: Facts, subject: Subject) -> Value:
    """Measured rocker ratio at full lift: valve lift plus lash over lifter lift."""
    for at in ("valve", "lifter"):
        if not has_entry(facts, subject, at):
            raise NotApplicable(NOT_READ if at == "valve" else "the lift of its lifter was not read")
    lifts = [facts.get(name, subject) for name in ("measured_lift", "measured_lifter_lift")]
    lash = motion_entry(facts, subject, "valve").lash
    return derive("ratio", lambda valve, lifter, gap: (valve + gap) / lifter, *lifts, lash)


def ratio_error(facts: Facts, subject: Subject) -> Value:
    """Measured rocker ratio over the ratio that the maker states, less 1."""
    ratios = facts.get("measured_ratio", subject), facts.field("rockers.ratio", subject)
    return derive("ratio", lambda read, written: read / written - 1, *ratios)


def tdc_without_stop(facts: Facts, subject: Subject) -> Value:
    """1 if crank angles were read on a wheel and top dead centre was not found by a piston stop, 0 otherwise."""
    valves = facts.node("motion.valves")
    if valves is None:
        raise NotApplicable(NOT_READ)
    wheel = facts.node("motion.wheel") or valves
    by_stop = found_by_stop(facts)
    remark = "yes" if by_stop else "no stop is entered"
    return Value(0.0 if by_stop else 1.0, "count", {}, (wheel.place,), remark)
