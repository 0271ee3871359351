"""What is doubtful about a new trial before it is written: values that the valve tip rules out."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, NamedTuple

from buildcheck.build.facts import Facts
from buildcheck.build.mark_plausibility import PAST_EDGE
from buildcheck.core.subject import Subject
from buildcheck.units.quantity import parse, show
from buildcheck.units.unit_table import UNITS, from_base


class Doubt(NamedTuple):
    """Why a value is doubtful, and the value that was probably meant, if there is one. ``key``: which value."""

    key: str
    reason: str
    meant: str = ""


def doubts(facts: Facts, subject: Subject, values: dict[str, Any]) -> Iterator[Doubt]:
    """Everything that is doubtful about a trial's values, as marks.yaml takes them."""
    mark = values.get("mark", {})
    lengths = {
        key: text for key, text in (*mark.items(), *values.items()) if key in ("from", "to", "shut_at", "open_at")
    }
    beyond = [_beyond(facts, subject, key, text) for key, text in lengths.items()]
    yield from (one for one in beyond if one is not None)
    if mark and _si(mark["from"]) > _si(mark["to"]):
        reason = f"the far edge ({mark['to']}) lies nearer to the pivot than the near edge ({mark['from']})"
        yield Doubt("mark", reason, f"{mark['to']} to {mark['from']}")


def _beyond(facts: Facts, subject: Subject, key: str, text: str) -> Doubt | None:
    """A reading that lies beyond the tip; a mark may pass its edge by a little: it has run off."""
    tip = facts.get_or_none("tip_diameter", subject)
    if tip is None or _si(text) - tip.si <= max(PAST_EDGE, tip.expanded):
        return None
    tenth = _si(text) / 10
    amount = parse(text, "length")
    meant = f"{from_base(amount.si / 10, UNITS[amount.unit]):f} {amount.unit}" if tenth <= tip.si else ""
    return Doubt(key, f"{text} lies beyond the {show(tip.si, 'length', facts.system, -1)} tip", meant)


def _si(text: str) -> float:
    return float(parse(text, "length").si)
