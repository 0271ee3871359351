"""Judges one rule on one subject: pass, fail, open or not applicable, and whether that blocks."""

from __future__ import annotations

from collections.abc import Mapping
from operator import attrgetter
from typing import Protocol

from buildcheck.build.build_folder import STAGES
from buildcheck.core.problem import Place
from buildcheck.core.reason import ConsequenceOf, Inconclusive, NotApplicableBecause, OutsideLimit, Reason
from buildcheck.core.subject import Subject
from buildcheck.core.value import Contradiction, NotApplicable, Undecided, Value, gap, merged_places
from buildcheck.formulas.decision import ABSOLUTE_NOISE, noise, outcome
from buildcheck.record import Record
from buildcheck.rules.expression import names
from buildcheck.rules.results import Result
from buildcheck.rules.rule import FUEL, PETROL, Bound, Fix, Rule

AT_LIMIT = ABSOLUTE_NOISE
"""A margin below it, in SI, is the arithmetic's own: the value lies at its limit."""


_PLACE_OF_STAGE = {stage: place for place, stage in enumerate(STAGES)}


class Source(Protocol):
    """What a rule is judged on: a build's facts, or an example's given values."""

    def lookup(self, name: str, subject: Subject) -> Value:
        """A named quantity or a field; raises Undecided or NotApplicable."""

    def word(self, path: str, subject: Subject) -> str:
        """A field as written, to see whether a rule applies; raises Undecided or NotApplicable."""


class JudgingOptions(Record):
    """How results are taken: at which stage, and whether warnings block."""

    stage: str
    strict: bool = False

    def is_due(self, stage: str) -> bool:
        """Whether a rule that is due from ``stage`` on counts by now."""
        return _PLACE_OF_STAGE[self.stage] >= _PLACE_OF_STAGE[stage]


def judge(rule: Rule, bounds: Mapping[str, Bound], source: Source, subject: Subject, options: JudgingOptions) -> Result:
    """One rule on one subject."""
    try:
        if rule.applies and (mismatch := _mismatch(rule, source, subject)):
            return _not_applicable(rule, subject, mismatch)
        value = rule.quantity.evaluate(source, subject)
        limits = _limits(rule, bounds, source, subject, value)
    except NotApplicable as reason:
        return _not_applicable(rule, subject, reason.reason)
    except Undecided as reason:
        blocks = isinstance(reason, Contradiction) or (_open_blocks(rule) and options.is_due(rule.due))
        places, due = reason.places or (Place("build.yaml"),), blocks or options.is_due(rule.due)
        why = _why_undecided(rule, subject, reason)
        return Result(rule.id, "open", "none", blocks, rule.due, subject, why, places=places, due_now=due)
    return _decide(rule, value, limits, subject, options, source)


def _why_undecided(rule: Rule, subject: Subject, undecided: Undecided) -> Reason:
    """The reason itself, or what it is a consequence of: something that this rule does not judge itself."""
    cause = undecided.cause
    is_own_cause = cause is None or (cause.subject == subject and cause.name in names(rule.quantity))
    return undecided.undetermined if cause is None or is_own_cause else ConsequenceOf(cause, undecided.undetermined)


def _why_decided(kind: str, margin: float | None) -> Reason | None:
    if kind == "pass" or margin is None:
        return None
    return OutsideLimit(-margin) if kind == "fail" else Inconclusive(None if abs(margin) < AT_LIMIT else abs(margin))


def decision(value: Value, limits: Mapping[str, Value]) -> tuple[str, float | None]:
    """Pass, fail or open by guard band w = U (JCGM 106:2012, 8.3.2), and the least margin, negative when broken."""
    rooms, margin = [], None
    for side, limit in limits.items():
        room, expanded = gap(value, limit) if side == "at_least" else gap(limit, value)
        rooms.append((room, expanded, noise(value.si, limit.si)))
        margin = room if margin is None or room < margin else margin
    return outcome(rooms), margin


def _decide(
    rule: Rule, value: Value, limits: Mapping[str, Value], subject: Subject, options: JudgingOptions, source: Source
) -> Result:
    kind, margin = decision(value, limits)
    gone = _is_gone(rule, value)
    kind = "fail" if gone else kind
    contact = gone and rule.at_zero == "contact"
    places = merged_places([value.places, *map(attrgetter("places"), limits.values())])
    due = options.is_due(rule.due)
    fix = fitting_fix(rule, source, subject) if kind == "fail" else None
    return Result(
        rule=rule.id,
        kind=kind,
        level=rule.level if kind == "fail" else "none",
        blocks=contact or (due and blocks_when_due(rule, kind, margin, options)),
        due=rule.due,
        subject=subject,
        reason=_why_decided(kind, margin),
        value=value,
        bounds=limits,
        margin=margin,
        places=places or (Place("build.yaml"),),
        due_now=contact or due,
        final=gone,
        fix=fix,
    )


def blocks_when_due(rule: Rule, kind: str, margin: float | None, options: JudgingOptions) -> bool:
    """Whether a result blocks once its rule is due; ``margin`` in SI, negative if the limit is broken."""
    failed = kind == "fail" and (rule.level == "error" or (options.strict and rule.level == "warning"))
    broken = margin is not None and margin < -AT_LIMIT and rule.level == "error"
    return failed or (kind == "open" and (broken or _open_blocks(rule)))


def _limits(
    rule: Rule, bounds: Mapping[str, Bound], source: Source, subject: Subject, value: Value
) -> dict[str, Value]:
    """The limits in force for a subject, by side; none where nothing is left of the value: then none is needed."""
    try:
        if rule.fuels:
            refuse_other_fuel(rule, bounds, source, subject, value.places)
        found = {}
        for side, bound in bounds.items():
            if (tree := bound.limit.tree(subject.valve)) is not None:
                found[side] = _within_loosest(rule, side, bound, tree.evaluate(source, subject))
    except Undecided:
        if not _is_gone(rule, value):
            raise
        return {}
    return found


def refuse_other_fuel(
    rule: Rule, bounds: Mapping[str, Bound], source: Source, subject: Subject, places: tuple[Place, ...] = ()
) -> None:
    """Undecided if a limit in force is the rule's own and does not hold for the fuel of the engine.

    An engine without an entered fuel is assumed to run on petrol.
    """
    if not rule.fuels or not any(bound.origin == "rule" for bound in bounds.values()):
        return
    try:
        fuel = source.word(FUEL, subject) or PETROL
    except (Undecided, NotApplicable):
        fuel = PETROL
    if fuel not in rule.fuels:
        what = f"the limit of {rule.id} holds for {' and '.join(rule.fuels)}, this engine runs on {fuel}"
        raise Undecided(f"{what}: enter the maker's limit under limits in build.yaml", places)


def _is_gone(rule: Rule, value: Value) -> bool:
    """Whether nothing is left of a value that must not reach zero."""
    return bool(rule.at_zero) and value.si <= noise(value.si, 0.0)


def _within_loosest(rule: Rule, side: str, bound: Bound, limit: Value) -> Value:
    """A limit that a team or a build computes, held to the loosest value of the rule."""
    if bound.origin == "rule" or rule.loosest is None or not rule.is_beyond_loosest(side, limit):
        return limit
    return rule.loosest.value


def fitting_fix(rule: Rule, source: Source, subject: Subject) -> Fix:
    """The first variant of a rule's fix for which every field that it names holds one of its values."""
    return next(fix for fix in rule.fixes if all(_holds(source, path, subject, fix.when[path]) for path in fix.when))


def _holds(source: Source, path: str, subject: Subject, values: tuple[str, ...]) -> bool:
    try:
        return source.word(path, subject) in values
    except (Undecided, NotApplicable):
        return False


def _open_blocks(rule: Rule) -> bool:
    return rule.level == "error" and rule.open_blocks


def _mismatch(rule: Rule, source: Source, subject: Subject) -> str:
    """Which field holds another word than those for which the rule applies; empty if none does."""
    for path, allowed in rule.applies.items():
        found = source.word(path, subject)
        if found not in allowed:
            return f"{path.replace('{valve}', subject.valve or '')} is {found}"
    return ""


def _not_applicable(rule: Rule, subject: Subject, why: str) -> Result:
    return Result(rule.id, "notApplicable", "none", False, rule.due, subject, NotApplicableBecause(why))
