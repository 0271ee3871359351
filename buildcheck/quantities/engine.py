"""Named quantities of the whole engine: cam events, the gauge against the stock's step."""

from __future__ import annotations

from buildcheck.facts import Facts
from buildcheck.formulas import cam
from buildcheck.quantity import parse
from buildcheck.subjects import Subject
from buildcheck.values import Undecided, Value, derive, exact


def _card(facts: Facts, valve: str) -> tuple[Value, Value, Value]:
    advance = facts.optional("cam.advance") or exact(0.0, "angle")
    return facts.field(f"cam.{valve}.duration"), facts.field(f"cam.{valve}.centreline"), advance


def intake_opens(facts: Facts, subject: Subject) -> Value:
    """Intake valve opens, degrees before top dead centre."""
    return derive("angle", cam.intake_opens, *_card(facts, "intake"))


def intake_closes(facts: Facts, subject: Subject) -> Value:
    """Intake valve closes, degrees after bottom dead centre."""
    return derive("angle", cam.intake_closes, *_card(facts, "intake"))


def exhaust_opens(facts: Facts, subject: Subject) -> Value:
    """Exhaust valve opens, degrees before bottom dead centre."""
    return derive("angle", cam.exhaust_opens, *_card(facts, "exhaust"))


def exhaust_closes(facts: Facts, subject: Subject) -> Value:
    """Exhaust valve closes, degrees after top dead centre."""
    return derive("angle", cam.exhaust_closes, *_card(facts, "exhaust"))


def overlap(facts: Facts, subject: Subject) -> Value:
    """Degrees of crank during which both valves of a cylinder are open."""
    return derive("angle", cam.overlap, facts.get("intake_opens"), facts.get("exhaust_closes"))


def lobe_separation(facts: Facts, subject: Subject) -> Value:
    """Half the crank angle between the lobes' centres, degrees of cam."""
    sides = facts.field("cam.intake.centreline"), facts.field("cam.exhaust.centreline")
    return derive("angle", cam.lobe_separation, *sides)


def gauge_to_step(facts: Facts, subject: Subject) -> Value:
    """The length gauge's expanded uncertainty over the finest step that the stock list offers."""
    gauge, stock = facts.node("marks.length_gauge"), facts.node("pushrods.stock")
    if gauge is None:
        raise facts.missing("marks.length_gauge")
    if stock is None:
        raise facts.missing("pushrods.stock")
    written = [parse(text, "length") for key in ("uncertainty", "resolution") if (text := gauge.word(key))]
    if not written:
        raise Undecided("the length gauge has neither uncertainty nor resolution", (gauge.place,))
    steps = [parse(entry.word("step"), "length") for entry in stock.items]
    share = max(amount.si for amount in written) / min(step.si for step in steps)
    return Value(float(share), "ratio", {}, (gauge.place, stock.place))
