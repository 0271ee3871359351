"""Named quantities of the stack-up: the length to expect from a known one, and how far the measured one is off it."""

from __future__ import annotations

from buildcheck.build.changes import Change, required_length_effect, written_changes
from buildcheck.build.facts import Facts
from buildcheck.build.length_conventions import minus, plus, to_measured
from buildcheck.build.states import changes_since, states
from buildcheck.core.subject import Subject
from buildcheck.core.value import NotApplicable, Value
from buildcheck.quantities.lengths import preload_in_required_length
from buildcheck.units.quantity import show


def predicted_length(facts: Facts, subject: Subject) -> Value:
    """Pushrod length to expect from the baseline and from what has changed since, m, at the preload of the baseline."""
    length = baseline(facts, subject)
    for _, part in contributed(facts, subject):
        length = plus(length, part)
    return length


def baseline(facts: Facts, subject: Subject) -> Value:
    """The known length, m, turned into the convention of ``measured_as``."""
    node = facts.node("stackup.baseline")
    if node is None:
        raise NotApplicable("no known length on known parts: stackup.yaml has no baseline")
    known = facts.field("stackup.baseline.{valve}", subject)
    return to_measured(facts, known, node.word("stated_as"), node.get("gauge_hole"))


def contributed(facts: Facts, subject: Subject) -> list[tuple[str, Value]]:
    """What each change since the baseline does to the length at the same preload, m: by name, the largest first."""
    by_name: dict[str, Value] = {}
    for change in changes_since_baseline(facts, subject):
        part = required_length_effect(facts, subject, change)
        known = by_name.get(change.name)
        by_name[change.name] = part if known is None else plus(known, part)
    return sorted(by_name.items(), key=lambda part: (-abs(part[1].si), part[0]))


def changes_since_baseline(facts: Facts, subject: Subject) -> list[Change]:
    """What stackup.yaml lists up to the first state, then what the later states add."""
    first = next(iter(states(facts)), None)
    return [*written_changes(facts, facts.node("stackup.changes")), *changes_since(facts, subject, first, True)]


def prediction_misfit(facts: Facts, subject: Subject) -> Value:
    """Difference between the required and the predicted length beyond both uncertainties, m. Zero within them.

    Hydraulic lifters: both lengths without their preload. Solid lifters: both at the same lash.
    """
    predicted, required = (
        facts.get("predicted_length", Subject(None, subject.valve)),
        facts.get("length_asked", subject),
    )
    if facts.is_hydraulic:
        predicted = minus(predicted, facts.field("stackup.baseline.preload"))
        required = minus(required, preload_in_required_length(facts, subject))
    apart = minus(required, predicted)
    beyond = max(abs(apart.si) - apart.expanded, 0.0)
    return Value(beyond, "length", {}, apart.places, _comparison_text(required, predicted, apart, facts.system))


def _comparison_text(required: Value, predicted: Value, apart: Value, system: str) -> str:
    measured, expected, between = (show(value.si, "length", system) for value in (required, predicted, apart))
    return f"measured {measured}, predicted {expected}, {between} ± {show(apart.expanded, 'length', system)} apart"
