"""Named quantities of the instruments: the length gauge against the stock's step."""

from __future__ import annotations

from buildcheck.build.facts import Facts
from buildcheck.core.subject import Subject
from buildcheck.core.value import Undecided, Value, derive
from buildcheck.units.quantity import parse, show


def length_gauge_uncertainty(facts: Facts, subject: Subject) -> Value:
    """Expanded uncertainty of the length gauge, m; its resolution if that is coarser."""
    gauge = facts.node("marks.length_gauge")
    if gauge is None:
        raise facts.missing("marks.length_gauge")
    entered = [parse(text, "length") for key in ("uncertainty", "resolution") if (text := gauge.word(key))]
    if not entered:
        raise Undecided("the length gauge has neither uncertainty nor resolution", (gauge.place,))
    step = facts.get_or_none("stock_step", subject)
    remark = f"pushrods are sold in steps of {show(step.si, 'length', facts.system)}" if step is not None else ""
    return Value(float(max(amount.si for amount in entered)), "length", {}, (gauge.place,), remark)


def stock_step(facts: Facts, subject: Subject) -> Value:
    """Finest step between the pushrod lengths of the stock list, m."""
    stock = facts.node("pushrods.stock")
    if stock is None or not stock.items:
        raise facts.missing("pushrods.stock")
    steps = [parse(entry.word("step"), "length") for entry in stock.items]
    return Value(float(min(step.si for step in steps)), "length", {}, (stock.place,))


def gauge_to_step(facts: Facts, subject: Subject) -> Value:
    """Expanded uncertainty of the length gauge over the finest step of the stock list."""
    sizes = facts.get("length_gauge_uncertainty", subject), facts.get("stock_step", subject)
    return derive("ratio", lambda gauge, step: gauge / step, *sizes)
