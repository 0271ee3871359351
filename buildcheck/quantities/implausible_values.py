"""Values that are possible, each by itself, and unlikely beside the others: typing errors, as a rule."""

from __future__ import annotations

from collections.abc import Iterator

from buildcheck.build.facts import Facts
from buildcheck.core.problem import Place
from buildcheck.core.subject import BUILD, VALVE_TYPES, Subject
from buildcheck.core.value import Value
from buildcheck.quantities import (
    implausible_motion,
    implausible_parts,
    implausible_readings,
    implausible_trials,
    motion_contradictions,
)
from buildcheck.quantities.implausible_readings import Finding
from buildcheck.quantities.plausible_relations import FINEST, RATIOS, SPANS, Finest, PlausibleSpan, Ratio
from buildcheck.quantities.valvetrain import has_no_seal
from buildcheck.units.quantity import in_si, show

Relation = Ratio | PlausibleSpan | Finest
_RELATIONS: tuple[Relation, ...] = (*RATIOS, *SPANS, *FINEST)
_TYPES = tuple(Subject(None, valve) for valve in VALVE_TYPES)
_WITH_EACH = ("block", "heads", "clearances", "as_built")


def implausible_values(facts: Facts, subject: Subject) -> Value:
    """Number of values that do not fit the others, or no engine at all.

    The finding shows what was expected and what was found.
    """
    found = facts.once("implausible values", _found, facts)
    places = tuple(dict.fromkeys(place for each in found.values() for place in each))
    return Value(float(len(found)), "count", {}, places, "; ".join(found))


def _found(facts: Facts) -> dict[str, tuple[Place, ...]]:
    return {text: places for places, text in _findings(facts)}


def _findings(facts: Facts) -> Iterator[Finding]:
    entries = list(_entries(facts))
    for relation in _RELATIONS:
        for subject in _subjects(facts, relation, entries):
            yield from _compared(facts, relation, subject)
    motion = (*implausible_motion.CHECKS, *motion_contradictions.CHECKS)
    readings = (*implausible_readings.CHECKS, *implausible_trials.CHECKS)
    for check in (*readings, *implausible_parts.CHECKS, *motion):
        yield from check(facts)


def _subjects(facts: Facts, relation: Relation, entries: list[tuple[Subject, set[str]]]) -> Iterator[Subject]:
    """The build or both valve types, and each valve or cylinder for which a file gives a value of its own."""
    names = (relation.found, relation.basis) if isinstance(relation, Ratio) else (relation.found,)
    by_valve = "{valve}" in " ".join(names) or any(_per(facts, name) == "valve_type" for name in names)
    yield from _TYPES if by_valve else (BUILD,)
    if entries:
        keys = {
            *(name.rpartition(".")[2] for name in names),
            *(relation.depends_on if isinstance(relation, PlausibleSpan) else ()),
        }
        yield from (subject for subject, written in entries if keys & written)


def _per(facts: Facts, name: str) -> str:
    return facts.quantities[name].per if name in facts.quantities else ""


def _entries(facts: Facts) -> Iterator[tuple[Subject, set[str]]]:
    """The subjects of all entries under ``each``, with their keys."""
    for name in _WITH_EACH:
        root = facts.build.roots.get(name)
        each = root.get("each") if root is not None else None
        for entry in each.items if each is not None else ():
            yield Subject(int(entry.word("cylinder")), entry.word("valve") or None), set(entry.entries)


def _compared(facts: Facts, relation: Relation, subject: Subject) -> Iterator[Finding]:
    value = _value(facts, relation.found, subject)
    if value is None:
        return
    if isinstance(relation, Ratio):
        yield from _ratio(facts, relation, value, subject)
    elif isinstance(relation, PlausibleSpan):
        yield from _span(facts, relation, value, subject)
    elif 0 < abs(value.si) < (least := in_si(relation.least, value.kind)[0]):
        expected = f"expected 0 or at least {show(least, value.kind, facts.system)}"
        yield value.places, _text(facts, relation.found, value, subject, expected)


def _ratio(facts: Facts, ratio: Ratio, value: Value, subject: Subject) -> Iterator[Finding]:
    if ratio.without_seal is not None and has_no_seal(facts, subject):
        ratio = ratio._replace(high=ratio.without_seal)
    basis = _value(facts, ratio.basis, subject)
    if basis is None or ratio.low * basis.si <= value.si <= ratio.high * basis.si:
        return
    low, high = (show(limit * basis.si, value.kind, facts.system) for limit in _finite(ratio))
    bounds = {(True, True): f"{low} to {high}", (True, False): f"at least {low}", (False, True): f"at most {high}"}
    expected = bounds[ratio.low not in (0.0, -float("inf")) or value.si < 0, ratio.high != float("inf")]
    source = f"{_named(ratio.basis, subject)} {show(basis.si, basis.kind, facts.system)}"
    places = tuple(dict.fromkeys((*value.places, *basis.places)))
    yield places, _text(facts, ratio.found, value, subject, f"expected {expected} from {source}")


def _finite(ratio: Ratio) -> tuple[float, float]:
    return max(ratio.low, -1.0), min(ratio.high, 1000.0)


def _span(facts: Facts, span: PlausibleSpan, value: Value, subject: Subject) -> Iterator[Finding]:
    low, high = (in_si(end, value.kind if value.kind != "count" else "ratio")[0] for end in (span.low, span.high))
    if not low <= value.si <= high:
        ends = " to ".join(show(end, value.kind, facts.system) for end in (low, high))
        yield value.places, _text(facts, span.found, value, subject, f"expected {ends}")


def _text(facts: Facts, name: str, value: Value, subject: Subject, expected: str) -> str:
    return f"{_named(name, subject)}, {expected}, found {show(value.si, value.kind, facts.system)}"


def _named(name: str, subject: Subject) -> str:
    return name.replace("{valve}", subject.valve or "")


def _value(facts: Facts, name: str, subject: Subject) -> Value | None:
    """A quantity or a field, None where it is not known."""
    if name in facts.quantities:
        return facts.get_or_none(name, subject)
    return facts.optional(name, subject)
