"""Named quantities of the cam: when valves open and close, when cylinders fire, and whether an engine can be so."""

from __future__ import annotations

from buildcheck.build.facts import Compute, Facts
from buildcheck.core.subject import Subject
from buildcheck.core.value import Contradiction, Undecided, Value, derive, exact
from buildcheck.formulas import cam
from buildcheck.record import Record


def card(facts: Facts, valve: str) -> tuple[Value, Value, Value]:
    """A lobe's duration, its centreline, and the cam's advance, deg."""
    advance = facts.optional("cam.advance") or exact(0.0, "angle")
    return facts.field(f"cam.{valve}.duration"), facts.field(f"cam.{valve}.centreline"), advance


def intake_opens(facts: Facts, subject: Subject) -> Value:
    """Crank angle at which the intake valve opens, deg before top dead centre."""
    return derive("angle", cam.intake_opens, *card(facts, "intake"))


def intake_closes(facts: Facts, subject: Subject) -> Value:
    """Crank angle at which the intake valve closes, deg after bottom dead centre."""
    return derive("angle", cam.intake_closes, *card(facts, "intake"))


def exhaust_opens(facts: Facts, subject: Subject) -> Value:
    """Crank angle at which the exhaust valve opens, deg before bottom dead centre."""
    return derive("angle", cam.exhaust_opens, *card(facts, "exhaust"))


def exhaust_closes(facts: Facts, subject: Subject) -> Value:
    """Crank angle at which the exhaust valve closes, deg after top dead centre."""
    return derive("angle", cam.exhaust_closes, *card(facts, "exhaust"))


def overlap(facts: Facts, subject: Subject) -> Value:
    """Crank angle during which both valves of a cylinder are open, deg."""
    return derive("angle", cam.overlap, facts.get("intake_opens"), facts.get("exhaust_closes"))


def lobe_separation(facts: Facts, subject: Subject) -> Value:
    """Half the crank angle between the centres of both lobes, deg of cam."""
    sides = facts.field("cam.intake.centreline"), facts.field("cam.exhaust.centreline")
    return derive("angle", cam.lobe_separation, *sides)


def cam_ahead(facts: Facts, subject: Subject) -> Value:
    """How far the cam is advanced, with its grind and its advance, of lobes alike on either side of TDC, deg."""
    sides = facts.field("cam.intake.centreline"), facts.field("cam.exhaust.centreline")
    advance = facts.optional("cam.advance") or exact(0.0, "angle")
    return derive("angle", lambda i, e, a: (e - i) / 2 + a, *sides, advance)


def implausible_events(facts: Facts, subject: Subject) -> Value:
    """Number of cam events that no engine has; the finding names them."""
    found = [(usual, usual.event(facts, subject)) for usual in USUAL]
    odd = [(usual, value) for usual, value in found if not usual.least <= value.si <= usual.most]
    places = tuple(dict.fromkeys(place for _, value in odd or found for place in value.places))
    return Value(float(len(odd)), "count", {}, places, "; ".join(usual.describe(value) for usual, value in odd))


def firing_tdc(facts: Facts, subject: Subject) -> Value:
    """Crank angle of the firing top dead centre of a cylinder, deg after that of cylinder 1."""
    order, gaps = facts.node("block.firing_order"), facts.node("block.firing_intervals")
    if order is None or subject.cylinder is None:
        raise facts.missing("block.firing_order")
    places = tuple(node.place for node in (order, gaps) if node is not None)
    intervals = [facts.reading(gap, "angle").si for gap in gaps.items] if gaps is not None else None
    try:
        fires = cam.firing_tdc([int(str(item.value)) for item in order.items], intervals)
    except ValueError as error:
        raise Contradiction(str(error), places) from error
    if subject.cylinder not in fires:
        raise Undecided(f"cylinder {subject.cylinder} is not in the firing order", places)
    return Value(fires[subject.cylinder], "angle", {}, places)


class Usual(Record):
    """What engines have of an event, from mild to racing, deg; ``text`` describes it, its angle at the braces."""

    event: Compute
    least: float
    most: float
    text: str

    def describe(self, value: Value) -> str:
        """The event as it is, and as it usually is."""
        return f"{self.text.format(f'{value.si:.1f} deg')} ({self.least} to {self.most} deg is usual)"


USUAL = (
    Usual(intake_opens, -30, 80, "intake opens {} before top dead centre"),
    Usual(intake_closes, 0, 120, "intake closes {} after bottom dead centre"),
    Usual(exhaust_opens, 0, 120, "exhaust opens {} before bottom dead centre"),
    Usual(exhaust_closes, -30, 80, "exhaust closes {} after top dead centre"),
    Usual(lobe_separation, 90, 130, "lobe separation is {}"),
    Usual(cam_ahead, -15, 15, "cam advance is {}"),
)
"""Common practice, no published source."""
