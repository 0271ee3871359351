"""Results that no longer block only because a limit was loosened, the stage is earlier, or a rule was replaced."""

from __future__ import annotations

from collections.abc import Iterator

from buildcheck.app.build_check import CheckedBuild
from buildcheck.build.build_folder import STAGES, Build
from buildcheck.core.concession import Concession
from buildcheck.core.problem import Place
from buildcheck.core.subject import Subject
from buildcheck.formulas.decision import noise
from buildcheck.output.compare.aligned_values import aligned, value_for
from buildcheck.output.compare.causes import Transition, by_rule, causes
from buildcheck.output.finding_wording import fact
from buildcheck.record import Record
from buildcheck.rules.results import Result
from buildcheck.rules.rule import BOUNDS
from buildcheck.rules.rule_diff import differences

_CANNOT_JUDGE = "the new files cannot be judged under the old rules and limits"


class Relaxation(Record):
    """A rule that would block the new state under the old limits, rules and stage, and does not block it now.

    ``finding`` is what the old terms find on the worst subject. The rule is empty if they cannot judge at all.
    """

    rule: str
    subjects: tuple[Subject, ...]
    passes: bool
    causes: tuple[str, ...]
    terms: str
    finding: str
    place: Place


class LoosenedLimit(Record):
    """One side of a rule with a limit that lets through more than before; texts as written."""

    rule: str
    side: str
    before: str
    after: str

    @property
    def text(self) -> str:
        """``RULE at least 0.030 in → 0.020 in``."""
        return f"{self.rule} {self.side.replace('_', ' ')} {self.before} → {self.after}"


def later_stage(before: str, after: str) -> str:
    """The stage at which more is due."""
    return max(before, after, key=STAGES.index)


def relaxations(
    before: CheckedBuild, after: CheckedBuild, between: CheckedBuild, under_old_terms: CheckedBuild
) -> tuple[Relaxation, ...]:
    """All relaxations by rule; ``between`` is judged at the new stage, ``under_old_terms`` at the later of both."""
    if under_old_terms is after:
        return ()
    if under_old_terms.problems:
        problem = under_old_terms.problems[0]
        return (Relaxation("", (), True, ("rule",), problem.message, _CANNOT_JUDGE, problem.place),)
    found: dict[tuple[str, bool, tuple[str, ...]], list[tuple[Subject, Result]]] = {}
    for rule, subject, transition in _no_longer_blocking(after, between, under_old_terms):
        passes = transition.now is not None and transition.now.kind in ("pass", "notApplicable")
        why = causes(rule, under_old_terms, after, transition)
        if transition.was is not None:
            found.setdefault((rule, passes, why), []).append((subject, transition.was))
    return tuple(_relaxation(before, after, under_old_terms, *key, pairs) for key, pairs in found.items())


def only_accepted(before: CheckedBuild, after: CheckedBuild) -> Iterator[Relaxation]:
    """Results that do not block only because the build was accepted earlier, where they did not say so before."""
    known = {(one.rule, one.subject) for one in before.results if one.accepted}
    found: dict[str, list[Result]] = {}
    for one in after.results:
        if one.accepted and (one.rule, one.subject) not in known:
            found.setdefault(one.rule, []).append(one)
    for rule, accepted in found.items():
        worst = min(accepted, key=lambda one: (one.margin is None, one.margin or 0.0))
        on = after.acceptance.accepted_on if after.acceptance is not None else ""
        subjects = tuple(one.subject for one in accepted)
        yield Relaxation(rule, subjects, False, ("acceptance",), on, fact(after, worst), worst.place)


def acceptance_change(before: Build, after: Build) -> str:
    """Whether the acceptance of a build came, went or changed; empty if not."""
    then, now = before.accepted, after.accepted
    if then == now:
        return ""
    if now is None:
        return "accepted.yaml was removed: the build is reopened"
    return "accepted.yaml was edited: it does not count" if now.edited else f"accepted on {now.accepted_on}"


def loosened_since(after: CheckedBuild, under_old_terms: CheckedBuild) -> tuple[LoosenedLimit, ...]:
    """Limits of the new state that let through more than the old ones would on the same build, by rule."""
    if under_old_terms is after or under_old_terms.problems:
        return ()
    old, new = by_rule(under_old_terms), by_rule(after)
    return tuple(
        LoosenedLimit(rule, side, _limit(under_old_terms, rule, side), _limit(after, rule, side))
        for rule in sorted(old.keys() & new.keys())
        for side in BOUNDS
        if any(_lets_more(side, was, now) for _, was, now in aligned(old[rule], new[rule]))
    )


def new_concessions(before: CheckedBuild | None, after: CheckedBuild) -> tuple[tuple[str, Concession], ...]:
    """Concessions in use that the old state did not use, each with its rule."""
    used = {(one.rule, one.concession) for one in before.results} if before is not None else set()
    found = {one.rule: one.concession for one in after.results if (one.rule, one.concession) not in used}
    return tuple((rule, concession) for rule, concession in found.items() if concession is not None)


def _no_longer_blocking(
    after: CheckedBuild, between: CheckedBuild, under_old_terms: CheckedBuild
) -> Iterator[tuple[str, Subject, Transition]]:
    old, new, mixed = by_rule(under_old_terms), by_rule(after), by_rule(between)
    for rule in sorted(old):
        for subject, was, now in aligned(old[rule], new.get(rule, {})):
            if was is not None and was.blocks and not (now is not None and now.blocks):
                yield rule, subject, Transition(was, now, value_for(mixed.get(rule, {}), subject))


def _relaxation(
    before: CheckedBuild,
    after: CheckedBuild,
    under_old_terms: CheckedBuild,
    rule: str,
    passes: bool,
    why: tuple[str, ...],
    judged: list[tuple[Subject, Result]],
) -> Relaxation:
    worst = min((one for _, one in judged), key=lambda one: (one.margin is None, one.margin or 0.0))
    terms = "; ".join(_terms(before, after, under_old_terms, rule, why))
    finding = fact(under_old_terms, worst)
    return Relaxation(rule, tuple(subject for subject, _ in judged), passes, why, terms, finding, worst.place)


def _terms(
    before: CheckedBuild, after: CheckedBuild, under_old_terms: CheckedBuild, rule: str, why: tuple[str, ...]
) -> Iterator[str]:
    if "stage" in why:
        yield f"stage {before.options.stage} → {after.options.stage}"
    if "rule" in why:
        yield from (one.text for one in differences(before.rules[rule], after.rules[rule]) if one.what not in BOUNDS)
    if "limit" in why:
        for side in BOUNDS:
            was, now = _limit(under_old_terms, rule, side), _limit(after, rule, side)
            if was != now:
                yield f"{side.replace('_', ' ')} {was} → {now}"


def _limit(checked: CheckedBuild, rule: str, side: str) -> str:
    bound = checked.limits.in_force(checked.rules[rule]).get(side)
    return bound.limit.text if bound is not None else "none"


def _lets_more(side: str, was: Result | None, now: Result | None) -> bool:
    if was is None or now is None or side not in was.bounds:
        return False
    if side not in now.bounds:
        return now.value is not None
    old, new = was.bounds[side].si, now.bounds[side].si
    return (old - new if side == "at_least" else new - old) > noise(old, new)
