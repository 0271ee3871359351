"""Named quantities of the instruments: the length gauge against the stock's step."""

from __future__ import annotations

from buildcheck.build.facts import Facts
from buildcheck.core.subject import Subject
from buildcheck.core.value import Undecided, Value
from buildcheck.units.quantity import parse, show


def gauge_to_step(facts: Facts, subject: Subject) -> Value:
    """Expanded uncertainty of the length gauge over the finest step of the stock list."""
    gauge, stock = facts.node("marks.length_gauge"), facts.node("pushrods.stock")
    if gauge is None:
        raise facts.missing("marks.length_gauge")
    if stock is None or not stock.items:
        raise facts.missing("pushrods.stock")
    written = [parse(text, "length") for key in ("uncertainty", "resolution") if (text := gauge.word(key))]
    if not written:
        raise Undecided("the length gauge has neither uncertainty nor resolution", (gauge.place,))
    steps = [parse(entry.word("step"), "length") for entry in stock.items]
    sizes = max(amount.si for amount in written), min(step.si for step in steps)
    worst, finest = (show(float(si), "length", facts.system) for si in sizes)
    return Value(
        float(sizes[0] / sizes[1]),
        "ratio",
        {},
        (gauge.place, stock.place),
        f"{worst} of {finest} between stock lengths",
    )
