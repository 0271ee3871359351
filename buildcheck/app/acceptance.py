"""What an acceptance means for a check: later changes outside the build's folder inform and do not block."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import TypeGuard

from buildcheck import __version__
from buildcheck.build.acceptance_record import AcceptanceRecord, digests
from buildcheck.build.build_folder import Build
from buildcheck.core.digest import digest_of
from buildcheck.core.problem import Problem
from buildcheck.record import Record
from buildcheck.rules.judging import JudgingOptions
from buildcheck.rules.limits import Limits
from buildcheck.rules.results import Result
from buildcheck.rules.rule import RuleSet
from buildcheck.rules.rule_terms import deciding_terms

_CLOSED = "closed"


class Acceptance(Record):
    """A build's acceptance as it counts today.

    ``inside``: own files that differ from the record, so that the build is judged in full; ``outside``: shared parts,
    rules and the program that differ. ``problems`` are errors that such a change made of limits, concessions or
    readings. A record that is ``edited`` or ``is_new`` does not count.
    """

    accepted_on: str
    edited: bool
    inside: tuple[str, ...]
    outside: tuple[str, ...]
    problems: tuple[Problem, ...] = ()
    is_new: bool = False

    @property
    def counts(self) -> bool:
        """Whether later changes outside the folder inform only."""
        return not self.edited and not self.is_new and not self.inside


def acceptance(build: Build, rules: RuleSet, limits: Limits) -> Acceptance | None:
    """How a build and all that it is judged by differ from its record; None without a record."""
    record = build.accepted
    if record is None:
        return None
    if not record.counts:
        return Acceptance(record.accepted_on, record.edited, (), (), is_new=record.is_new)
    files, parts = own_digests(build), part_digests(build)
    outside = [
        *_differing(record.parts, parts),
        *(f"rule {name}" for name in _differing(record.rules, rule_digests(rules, limits))),
    ]
    if record.version != __version__:
        outside.append(f"buildcheck {record.version} → {__version__}")
    return Acceptance(record.accepted_on, False, tuple(_differing(record.files, files)), tuple(outside))


def own_digests(build: Build) -> dict[str, str]:
    """Of the files in the build's folder."""
    return digests({name: root for name, root in build.written.items() if name not in build.parts})


def part_digests(build: Build) -> dict[str, str]:
    """Of the shared parts that it uses."""
    return digests({name: root for name, root in build.written.items() if name in build.parts})


def rule_digests(rules: RuleSet, limits: Limits) -> dict[str, str]:
    """Of every rule with the limits in force for the build."""
    return {rule.id: digest_of([rule.level, rule.due, *deciding_terms(rule, limits)]) for rule in rules.rules}


def record_of(build: Build, rules: RuleSet, limits: Limits, stage: str, today: str) -> AcceptanceRecord:
    """The record of a build as it is now."""
    files, parts = own_digests(build), part_digests(build)
    return AcceptanceRecord(today, stage, __version__, files, parts, rule_digests(rules, limits))


def informing(
    results: Sequence[Result], accepted: Acceptance | None, build: Build, rules: RuleSet, options: JudgingOptions
) -> tuple[Result, ...]:
    """The results; those that block only since the acceptance inform instead.

    A build that is judged at another stage than its own, or strictly, is judged in full. A rule that says ``since``
    informs a closed build that was accepted before that day, even if the build's files have changed.
    """
    if accepted is None or accepted.edited or accepted.is_new or not _on_own_terms(build, options):
        return tuple(results)
    everything = informs_only(accepted, build, options)

    def informs(result: Result) -> bool:
        later = build.stage == _CLOSED and accepted.accepted_on < rules[result.rule].since
        return result.blocks and (everything or later)

    return tuple(one._replace(blocks=False, accepted=True) if informs(one) else one for one in results)


def informs_only(accepted: Acceptance | None, build: Build, options: JudgingOptions) -> TypeGuard[Acceptance]:
    """Whether what changed outside the folder since the acceptance informs: at the build's own stage, not strictly."""
    own_terms = _on_own_terms(build, options)
    return accepted is not None and own_terms and accepted.counts and bool(accepted.outside)


def _on_own_terms(build: Build, options: JudgingOptions) -> bool:
    return not options.strict and options.stage == build.stage


def is_unchanged(build: Build) -> bool:
    """Whether the build was accepted and the files in its folder are as they were then."""
    record = build.accepted
    return record is not None and record.counts and dict(record.files) == own_digests(build)


def _differing(then: Mapping[str, str], now: Mapping[str, str]) -> Iterator[str]:
    """Names of what was added, changed or removed."""
    yield from (name for name in sorted(then.keys() | now.keys()) if then.get(name) != now.get(name))
