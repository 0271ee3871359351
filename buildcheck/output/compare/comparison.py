"""What changed between two states of a repository, build by build: the nouns that the writers lay out."""

from __future__ import annotations

from collections.abc import Container, Iterator, Sequence

from buildcheck.app.build_check import CheckedBuild, facts_as_read
from buildcheck.build.changed_trials import ChangedTrial, changed_trials
from buildcheck.build.reading_history import ChangedPart, changed_parts, corrected_parts
from buildcheck.build.trials import assumed_to_apply
from buildcheck.core.problem import Problem
from buildcheck.output.compare.causes import under_old_limits
from buildcheck.output.compare.changed_folders import affected_folders
from buildcheck.output.compare.changed_inputs import InputChange, changed_inputs
from buildcheck.output.compare.changed_quantities import NO_QUANTITY_CHANGES, QuantityChanges, quantity_changes
from buildcheck.output.compare.relaxations import (
    LoosenedLimit,
    Relaxation,
    acceptance_change,
    later_stage,
    loosened_since,
    only_accepted,
    relaxations,
)
from buildcheck.output.compare.revision import Revision, pairs
from buildcheck.output.compare.verdict_changes import VerdictChange, blocking, verdict_changes
from buildcheck.output.wording import line_text, subjects_text
from buildcheck.record import Record
from buildcheck.rules.rule import Rule
from buildcheck.rules.rule_diff import differences


class BuildChange(Record):
    """One build before and after; a side that has none is None."""

    folder: str
    folder_before: str
    before: CheckedBuild | None
    after: CheckedBuild | None
    inputs: tuple[InputChange, ...] = ()
    verdict_changes: tuple[VerdictChange, ...] = ()
    quantity_changes: QuantityChanges = NO_QUANTITY_CHANGES
    order_before: tuple[str, ...] = ()
    order_after: tuple[str, ...] = ()
    relaxations: tuple[Relaxation, ...] = ()
    loosened: tuple[LoosenedLimit, ...] = ()
    part_changes: tuple[ChangedPart, ...] = ()
    trial_changes: tuple[ChangedTrial, ...] = ()
    acceptance: str = ""

    @property
    def name(self) -> str:
        """The build's name, the new one where it changed."""
        checked = self.after or self.before
        return checked.build.name if checked is not None else ""

    @property
    def verdicts(self) -> tuple[str, str]:
        """Verdict before and after; empty where there is no build."""
        before, after = (checked.verdict if checked is not None else "" for checked in (self.before, self.after))
        return before, after

    @property
    def is_unchanged(self) -> bool:
        """Whether nothing that counts differs."""
        texts = (
            any(not one.remark for one in self.inputs)
            or self.verdict_changes
            or self.loosened
            or self.relaxations
            or self.acceptance
            or self.quantity_changes.significant
            or self.folder != self.folder_before
            or self.is_unreadable
        )
        return not texts and self.order_before == self.order_after and self.verdicts[0] == self.verdicts[1]

    @property
    def assumes_readings_apply(self) -> bool:
        """Whether no states show which parts the readings of the new state were taken with."""
        return self.after is not None and not self.after.problems and assumed_to_apply(self.after.facts)

    @property
    def is_unreadable(self) -> bool:
        """Whether the new state of the build cannot be read, whatever the old one was."""
        return self.after is not None and bool(self.after.problems)

    @property
    def newly_blocks(self) -> int:
        """How many results block as new."""
        return sum(len(flip.subjects) for flip in self.verdict_changes if flip.newly_blocks)


class Comparison(Record):
    """All that changed, the rules and limits of the team first; ``unchanged`` builds are only counted."""

    before: Revision
    after: Revision
    team: tuple[InputChange, ...]
    rules: tuple[str, ...]
    changes: tuple[BuildChange, ...]
    unchanged: int

    @property
    def problems(self) -> tuple[Problem, ...]:
        """What is wrong with the new state's rules and settings, and builds that lost their build.yaml."""
        return tuple(sorted([*self.after.context.problems, *self.after.missing_manifest]))

    @property
    def needs_review(self) -> bool:
        """Whether a build passes only because its terms were relaxed, or parts changed under unchanged readings."""
        return any(change.relaxations or change.part_changes for change in self.changes)

    @property
    def exit_code(self) -> int:
        """0 nothing new blocks, 1 something does, 2 the new state cannot be read."""
        if self.problems or any(change.is_unreadable for change in self.changes):
            return 2
        return int(any(change.newly_blocks for change in self.changes))


def compare(before: Revision, after: Revision, folders: Sequence[str] = ()) -> Comparison:
    """What differs between two states, in ``folders`` alone; in all if there are none."""
    same_context = _context_key(before) == _context_key(after)
    affected = affected_folders(before, after) if same_context else None
    all_pairs = list(pairs(before, after, folders))
    open_pairs = [pair for pair in all_pairs if affected is None or _may_differ(pair, affected)]
    before.fetch(old for old, _ in open_pairs if old)
    after.fetch(new for _, new in open_pairs if new)
    found = [_change(before, after, *pair, same_context) for pair in open_pairs]
    changes = tuple(change for change in found if change is not None and not change.is_unchanged)
    team, rules = _team_changes(before, after)
    return Comparison(before, after, team, rules, changes, len(all_pairs) - len(changes))


def _may_differ(pair: tuple[str, str], affected: Container[str]) -> bool:
    """Whether a build was moved, or something that it is read from was changed."""
    return pair[0] != pair[1] or pair[0] in affected


def _change(before: Revision, after: Revision, old: str, new: str, same_context: bool) -> BuildChange | None:
    if old and new and same_context and _same_files(before, after, old, new):
        return None if old == new else BuildChange(new, old, after.checked(new), after.checked(new))
    was = before.checked(old) if old else None
    now = after.checked(new) if new else None
    unread = any(checked is not None and checked.problems for checked in (was, now))
    lines = [() if unread else tuple(_order_lines(checked)) for checked in (was, now)]
    gone, new_lines = (tuple(line for line in lines[i] if line not in lines[1 - i]) for i in (0, 1))
    if was is None or now is None or unread:
        inputs = changed_inputs(was.build.roots, now.build.roots) if was is not None and now is not None else ()
        newly_blocking = blocking(now) if now is not None else ()
        return BuildChange(new or old, old, was, now, inputs, newly_blocking, NO_QUANTITY_CHANGES, gone, new_lines)
    mixed = under_old_limits(now.build, was.build)
    between = now if same_context and mixed is now.build else before.check(mixed)
    stage = later_stage(was.options.stage, now.options.stage)
    old_terms = between if stage == now.options.stage else before.check(mixed, stage)
    files = facts_as_read(was.build), facts_as_read(now.build)
    return BuildChange(
        new,
        old,
        was,
        now,
        changed_inputs(was.build.roots, now.build.roots),
        verdict_changes(was, now, between),
        quantity_changes(was, now),
        gone,
        new_lines,
        relaxations=(*relaxations(was, now, between, old_terms), *only_accepted(was, now)),
        loosened=loosened_since(now, old_terms),
        part_changes=(*changed_parts(*files), *corrected_parts(*files)),
        trial_changes=tuple(changed_trials(*files)),
        acceptance=acceptance_change(was.build, now.build),
    )


def _same_files(before: Revision, after: Revision, old: str, new: str) -> bool:
    was, now = before.build(old), after.build(new)
    return was.roots == now.roots and was.accepted == now.accepted and not was.problems and not now.problems


def _context_key(revision: Revision) -> tuple[object, ...]:
    context = revision.context
    return context.rules, context.team, context.families, context.problems


def _order_lines(checked: CheckedBuild | None) -> Iterator[str]:
    if checked is None:
        return
    every = sum(line.count for line in checked.order.lines) + len(checked.order.unknown)
    for line in checked.order.lines:
        served = subjects_text([*line.serves, *line.assumed]) if line.count < every else f"all {every} valves"
        assumed = f"; assumed, not measured: {subjects_text(line.assumed)}" if line.assumed else ""
        yield f"{line_text(line, checked.facts.system)} for {served}{assumed}"
    if checked.order.unknown:
        yield f"no length yet for {subjects_text(subject for subject, _ in checked.order.unknown)}"


def _team_changes(before: Revision, after: Revision) -> tuple[tuple[InputChange, ...], tuple[str, ...]]:
    """What changed in the team's settings and rules; nothing is reported of settings that cannot be read."""
    if before.context.repository.problems or after.context.repository.problems:
        return (), ()
    settings = [
        {"buildcheck": root} if (root := revision.context.repository.config) else {} for revision in (before, after)
    ]
    return changed_inputs(*settings), tuple(_changed_rules(before, after))


def _changed_rules(before: Revision, after: Revision) -> Iterator[str]:
    """Ids of rules that came, went or differ in more than their line numbers."""
    old, new = ({rule.id: rule for rule in revision.context.rules.rules} for revision in (before, after))
    for rule_id in sorted(old.keys() | new.keys()):
        if rule_id not in old or rule_id not in new:
            yield f"{rule_id} {'added' if rule_id in new else 'removed'}"
        elif what := _rule_difference(old[rule_id], new[rule_id]):
            yield f"{rule_id} changed: {what}"


def _rule_difference(old: Rule, new: Rule) -> str:
    words = [(rule.title, rule.why, rule.fixes, rule.source, rule.caution) for rule in (old, new)]
    texts = [one.text for one in differences(old, new)]
    return ", ".join([*texts, "its text"] if words[0] != words[1] else texts)
