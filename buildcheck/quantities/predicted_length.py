"""Named quantities of the stack-up: the length to expect from a known one, and how far the measured one is off it."""

from __future__ import annotations

from functools import partial

from buildcheck.build.facts import Facts
from buildcheck.build.length_conventions import minus, plus, to_measured
from buildcheck.build.trials import is_hydraulic
from buildcheck.core.subject import Subject
from buildcheck.core.value import NotApplicable, Value, derive
from buildcheck.formulas.stackup import Changes, contributions
from buildcheck.quantities.geometry import pivot_is_free
from buildcheck.quantities.lengths import preload_in_required_length
from buildcheck.units.quantity import show

CHANGES = tuple(Changes.__dataclass_fields__)


def predicted_length(facts: Facts, subject: Subject) -> Value:
    """Push rod length to expect from the baseline and what has changed since, m, at the baseline's preload."""
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
    """What each written change does to the length at the same preload, m: by name, the largest first."""
    known = [(name, change) for name in CHANGES if (change := _change(facts, name)) is not None]
    parts = [(name, contribution(facts, subject, name, change)) for name, change in known]
    return sorted(parts, key=lambda part: (-abs(part[1].si), part[0]))


def contribution(facts: Facts, subject: Subject, name: str, change: Value) -> Value:
    """What one change does to the length at the same preload, m."""
    free, ratio = pivot_is_free(facts), facts.field("rockers.ratio", subject)
    return derive("length", partial(_single, name, free), change, ratio)


def prediction_misfit(facts: Facts, subject: Subject) -> Value:
    """How far the length asked differs from the one predicted beyond both uncertainties, m; zero within them.

    Hydraulic lifters: both less the preload in them. Solid: both at the same lash.
    """
    predicted, required = (
        facts.get("predicted_length", Subject(None, subject.valve)),
        facts.get("length_asked", subject),
    )
    if is_hydraulic(facts):
        predicted = minus(predicted, facts.field("stackup.baseline.preload"))
        required = minus(required, preload_in_required_length(facts, subject))
    apart = minus(required, predicted)
    beyond = max(abs(apart.si) - apart.expanded, 0.0)
    return Value(beyond, "length", {}, apart.places, _comparison_text(required, predicted, apart, facts.system))


def _single(name: str, free: bool, change: float, ratio: float) -> float:
    return sum(part for _, part in contributions(Changes(**{name: change}), ratio, free))


def _change(facts: Facts, name: str) -> Value | None:
    node = facts.node(f"stackup.changes.{name}")
    if node is None:
        return None
    if not node.entries:
        return facts.field(f"stackup.changes.{name}")
    return minus(*(facts.field(f"stackup.changes.{name}.{key}") for key in ("is", "was")))


def _comparison_text(required: Value, predicted: Value, apart: Value, system: str) -> str:
    measured, expected, between = (show(value.si, "length", system) for value in (required, predicted, apart))
    return f"measured {measured}, predicted {expected}, {between} ± {show(apart.expanded, 'length', system)} apart"
