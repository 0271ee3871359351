"""Named quantities of the base circle: where each valve may be measured, and whether it was."""

from __future__ import annotations

from buildcheck.build.facts import Facts
from buildcheck.build.trials import trials, valve_entry
from buildcheck.core.subject import VALVE_TYPES, Subject
from buildcheck.core.value import NotApplicable, Undecided, Value, derive, exact
from buildcheck.formulas import base_circle as heel
from buildcheck.formulas import cam
from buildcheck.formulas.decision import noise
from buildcheck.quantities.cam_events import card
from buildcheck.quantities.measured_motion import rise

MARGIN = "base_circle_margin"
"""The named limit that a base circle is shortened by at either end."""


def heel_middle(facts: Facts, subject: Subject) -> Value:
    """Best crank angle to measure a valve at: opposite the nose of its lobe, deg after the firing TDC of cylinder 1."""
    return _turned(_middle(facts, subject))


def heel_from(facts: Facts, subject: Subject) -> Value:
    """Crank angle from which a valve is on its base circle with the required margin, deg."""
    return _turned(
        derive("angle", lambda middle, reach: middle - reach, _middle(facts, subject), reach(facts, subject))
    )


def heel_to(facts: Facts, subject: Subject) -> Value:
    """Crank angle up to which a valve is on its base circle with the required margin, deg."""
    return _turned(
        derive("angle", lambda middle, reach: middle + reach, _middle(facts, subject), reach(facts, subject))
    )


def both_shut_from(facts: Facts, subject: Subject) -> Value:
    """Crank angle from which both valves of a cylinder are on their base circles, deg."""
    _refuse_apart(facts, subject)
    return facts.get("heel_from", subject._replace(valve="intake"))


def both_shut_to(facts: Facts, subject: Subject) -> Value:
    """Crank angle up to which both valves of a cylinder are on their base circles, deg."""
    _refuse_apart(facts, subject)
    return facts.get("heel_to", subject._replace(valve="exhaust"))


def heel_margin(facts: Facts, subject: Subject) -> Value:
    """Crank angle from the reading to the nearer end of the base circle, deg.

    Negative: the reading is off the base circle.
    """
    trials(facts, subject)
    entry = valve_entry(facts, subject)
    crank = entry.get("crank") if entry is not None else None
    valves = facts.node("marks.valves")
    if valves is None or crank is None:  # reported at the list, once for all valves without one
        raise Undecided("no crank angle is recorded", (valves.place,) if valves else ())
    read_at = facts.reading(crank, "angle")
    ends = " to ".join(f"{facts.get(name, subject).si:.0f}" for name in ("heel_from", "heel_to"))
    remark = f"read at {read_at.si:g} deg; base circle from {ends} deg"
    return derive("angle", heel.heel_margin, read_at, _middle(facts, subject), *_open(facts, subject), remark=remark)


def refuse_off_heel(facts: Facts, subject: Subject) -> None:
    """Undecided where the valve was read off its base circle, however uncertain the crank angle."""
    margin = facts.get_or_none("heel_margin", subject)
    if margin is None:
        return
    least = facts.bound(MARGIN, subject).si
    if margin.si < least - noise(margin.si, least):
        raise Undecided(
            "it was read with the lifter off the base circle: measure again on the base circle", margin.places
        )


def reach(facts: Facts, subject: Subject) -> Value:
    """How far a valve's base circle goes to either side of its middle, with ramp and margin taken off, degrees."""
    return facts.once(("heel reach", facts.widest(subject)), _reach, facts, subject)


def _reach(facts: Facts, subject: Subject) -> Value:
    margin = facts.bound(MARGIN, subject)
    return derive("angle", lambda d, r, m: heel.heel(0.0, d, r + m).reach, *_open(facts, subject), margin)


def _open(facts: Facts, subject: Subject) -> tuple[Value, Value]:
    """How long a valve is off its base circle, and its ramps, deg: by the measured rise, else by the cam card."""
    if (read := rise(facts, subject)) is not None:
        return derive("angle", lambda opens, closes: closes - opens, *read), exact(0.0, "angle")
    duration, *_ = card(facts, subject.valve or "")
    return duration, _ramp(facts)


def _middle(facts: Facts, subject: Subject) -> Value:
    """Not turned back into 0 to 720 yet, so that an uncertainty beside 720 stays small."""
    return facts.once(("heel middle", subject), _find_middle, facts, subject)


def _find_middle(facts: Facts, subject: Subject) -> Value:
    if (read := rise(facts, subject)) is not None:
        tdc = facts.get("firing_tdc", Subject(subject.cylinder))
        return derive("angle", lambda opens, closes, t: (opens + closes) / 2 + t, *read, tdc)
    return middle_by_card(facts, subject)


def middle_by_card(facts: Facts, subject: Subject) -> Value:
    """Middle of a valve's base circle by the cam card, deg after the firing TDC of cylinder 1, perhaps above 720."""
    valve = subject.valve or ""
    _, centreline, advance = card(facts, valve)
    tdc = facts.get("firing_tdc", Subject(subject.cylinder))
    return derive("angle", lambda c, a, t: heel.heel_middle(valve, c, a, t), centreline, advance, tdc)


def _turned(angle: Value) -> Value:
    return angle._replace(si=angle.si % cam.CYCLE)


def _ramp(facts: Facts) -> Value:
    rise = facts.optional("cam.duration_at")
    if rise is None:
        return exact(0.0, "angle")
    try:
        return Value(heel.ramp(rise.si), "angle", {}, rise.places)
    except ValueError as error:
        cure = (
            "enter the seat-to-seat (advertised) durations of the cam card and the lifter rise at which they are stated"
        )
        raise Undecided(f"{error}: {cure}", rise.places) from error


def _refuse_apart(facts: Facts, subject: Subject) -> None:
    intake, exhaust = (Subject(subject.cylinder, valve) for valve in VALVE_TYPES)
    reaches = reach(facts, intake).si + reach(facts, exhaust).si
    if cam.apart(heel_middle(facts, intake).si, heel_middle(facts, exhaust).si) > reaches:
        raise NotApplicable("with this cam both valves are never closed together by the required margin")
