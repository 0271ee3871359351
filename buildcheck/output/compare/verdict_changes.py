"""Which verdicts changed between two states, of which builds, and why."""

from __future__ import annotations

from collections.abc import Iterator

from buildcheck.app.build_check import CheckedBuild
from buildcheck.core.problem import Place
from buildcheck.core.subject import Subject
from buildcheck.output.cause_groups import correction
from buildcheck.output.compare.aligned_values import aligned, value_for
from buildcheck.output.compare.causes import Transition, by_rule, causes
from buildcheck.output.compare.severity import NEUTRAL, SEVERITY, UNJUDGED, state
from buildcheck.output.correction_wording import fix_text
from buildcheck.output.finding_wording import fact, message
from buildcheck.record import Record
from buildcheck.rules.results import Result

Judged = tuple[Subject, Result, CheckedBuild]
"""A subject's result with the build that it belongs to."""


class VerdictChange(Record):
    """One rule's result on some subjects before and after; ``message`` and ``place`` are those of the worst,
    or of the first if no value is measured (``is_measured``).

    ``finding`` and ``cure`` are the message in two parts. ``follows`` if each blocks only because another result does.
    """

    rule: str
    subjects: tuple[Subject, ...]
    before: str
    after: str
    causes: tuple[str, ...]
    worst: Subject
    message: str
    place: Place
    newly_blocks: bool
    finding: str = ""
    cure: str = ""
    follows: bool = False
    is_measured: bool = True

    @property
    def is_worse(self) -> bool:
        """Whether the new word is graver than the old."""
        return SEVERITY.index(self.after) > SEVERITY.index(self.before)

    @property
    def is_neutral(self) -> bool:
        """Whether a rule only came to apply, or ceased to, and nobody has to look."""
        return self.before in NEUTRAL and self.after in NEUTRAL

    @property
    def by_inputs(self) -> bool:
        """Whether a changed input has any part in it."""
        return "inputs" in self.causes


def verdict_changes(before: CheckedBuild, after: CheckedBuild, between: CheckedBuild) -> tuple[VerdictChange, ...]:
    """All flipped verdicts, what newly blocks first; ``between`` is the new inputs under the old rules and limits."""
    found: dict[tuple[str, str, str, tuple[str, ...]], list[Judged]] = {}
    for rule, subject, transition in _transitions(before, after, between):
        if state(transition.was) != state(transition.now) and (judged := transition.now or transition.was) is not None:
            key = (rule, state(transition.was), state(transition.now), causes(rule, before, after, transition))
            home = before if transition.now is None else after
            found.setdefault(key, []).append((subject, judged, home))
    return tuple(sorted((_verdict_change(*key, judged) for key, judged in found.items()), key=_order))


def blocking(after: CheckedBuild) -> tuple[VerdictChange, ...]:
    """What blocks in a build that has no state before, or none that could be judged."""
    found: dict[tuple[str, str], list[Judged]] = {}
    for result in after.results:
        if result.blocks:
            found.setdefault((result.rule, state(result)), []).append((result.subject, result, after))
    made = (_verdict_change(rule, UNJUDGED, now, ("inputs",), judged) for (rule, now), judged in found.items())
    return tuple(sorted(made, key=_order))


def _transitions(
    before: CheckedBuild, after: CheckedBuild, between: CheckedBuild
) -> Iterator[tuple[str, Subject, Transition]]:
    old, new, mixed = (by_rule(checked) for checked in (before, after, between))
    for rule in sorted(old.keys() | new.keys()):
        for subject, was, now in aligned(old.get(rule, {}), new.get(rule, {})):
            yield rule, subject, Transition(was, now, value_for(mixed.get(rule, {}), subject))


def _verdict_change(rule: str, was: str, now: str, why: tuple[str, ...], judged: list[Judged]) -> VerdictChange:
    subject, result, home = min(judged, key=lambda each: (each[1].margin is None, each[1].margin or 0.0))
    blocks = {"fails", "open, blocks"}
    return VerdictChange(
        rule=rule,
        subjects=tuple(subject for subject, *_ in judged),
        before=was,
        after=now,
        causes=why,
        worst=subject,
        message=message(home, result),
        place=result.place,
        newly_blocks=now in blocks and was not in blocks,
        finding=fact(home, result),
        cure=correction(home, result) if now in blocks else fix_text(result.fix),
        is_measured=result.margin is not None,
        follows=all(_follows(checked, one) for _, one, checked in judged),
    )


def _follows(checked: CheckedBuild, result: Result) -> bool:
    cause = checked.causes.get((result.rule, result.subject))
    return cause is not None and cause.blocks


def _order(change: VerdictChange) -> tuple[object, ...]:
    return (
        not change.newly_blocks,
        not change.is_worse,
        -SEVERITY.index(change.after),
        change.rule,
        change.subjects[0].order,
    )
