"""Which verdicts flipped between two states, whose, and what did it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from buildcheck.app.build_check import Checked
from buildcheck.core.problem import Place
from buildcheck.core.subject import Subject
from buildcheck.output.compare.aligned_values import aligned, said
from buildcheck.output.compare.causes import Word, causes
from buildcheck.output.compare.severity import GRAVITY, MILD, UNJUDGED, state
from buildcheck.output.finding_wording import message
from buildcheck.rules.results import Result

Judged = tuple[Subject, Result, Checked]
"""A subject's result with the build that it belongs to."""


@dataclass(frozen=True, slots=True)
class Flip:
    """One rule's word on some subjects before and after; ``message`` and ``place`` are those of the gravest."""

    rule: str
    subjects: tuple[Subject, ...]
    before: str
    after: str
    causes: tuple[str, ...]
    gravest: Subject
    message: str
    place: Place
    blocks_anew: bool

    @property
    def is_worse(self) -> bool:
        """Whether the new word is graver than the old."""
        return GRAVITY.index(self.after) > GRAVITY.index(self.before)

    @property
    def is_mild(self) -> bool:
        """Whether a rule only came to apply, or ceased to, and nobody has to look."""
        return self.before in MILD and self.after in MILD

    @property
    def by_inputs(self) -> bool:
        """Whether a changed input has any part in it."""
        return "inputs" in self.causes


def flips(before: Checked, after: Checked, between: Checked) -> tuple[Flip, ...]:
    """All flipped verdicts, what blocks anew first; ``between`` is the new inputs under the old rules and limits."""
    found: dict[tuple[str, str, str, tuple[str, ...]], list[Judged]] = {}
    for rule, subject, word in _words(before, after, between):
        if state(word.was) != state(word.now) and (told := word.now or word.was) is not None:
            key = (rule, state(word.was), state(word.now), causes(rule, before, after, word))
            home = before if word.now is None else after
            found.setdefault(key, []).append((subject, told, home))
    return tuple(sorted((_flip(*key, told) for key, told in found.items()), key=_order))


def blocking(after: Checked) -> tuple[Flip, ...]:
    """What blocks in a build that has no state before, or none that could be judged."""
    found: dict[tuple[str, str], list[Judged]] = {}
    for result in after.results:
        if result.blocks:
            found.setdefault((result.rule, state(result)), []).append((result.subject, result, after))
    made = (_flip(rule, UNJUDGED, now, ("inputs",), told) for (rule, now), told in found.items())
    return tuple(sorted(made, key=_order))


def _words(before: Checked, after: Checked, between: Checked) -> Iterator[tuple[str, Subject, Word]]:
    old, new, mixed = (_by_rule(checked) for checked in (before, after, between))
    for rule in sorted(old.keys() | new.keys()):
        for subject, was, now in aligned(old.get(rule, {}), new.get(rule, {})):
            yield rule, subject, Word(was, now, said(mixed.get(rule, {}), subject))


def _by_rule(checked: Checked) -> dict[str, dict[Subject, Result]]:
    found: dict[str, dict[Subject, Result]] = {}
    for result in checked.results:
        found.setdefault(result.rule, {})[result.subject] = result
    return found


def _flip(rule: str, was: str, now: str, why: tuple[str, ...], told: list[Judged]) -> Flip:
    subject, result, home = min(told, key=lambda each: (each[1].margin is None, each[1].margin or 0.0))
    blocks = {"fails", "open, blocks"}
    return Flip(
        rule=rule,
        subjects=tuple(subject for subject, *_ in told),
        before=was,
        after=now,
        causes=why,
        gravest=subject,
        message=message(home, result),
        place=result.place,
        blocks_anew=now in blocks and was not in blocks,
    )


def _order(flip: Flip) -> tuple[object, ...]:
    return not flip.blocks_anew, not flip.is_worse, -GRAVITY.index(flip.after), flip.rule, flip.subjects[0].order
