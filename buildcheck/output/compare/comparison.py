"""What changed between two states of a repository, build by build: the nouns that the writers lay out."""

from __future__ import annotations

from collections.abc import Container, Iterator, Sequence
from dataclasses import dataclass

from buildcheck.app.build_check import Checked
from buildcheck.core.problem import Problem
from buildcheck.output.compare.causes import under_old_limits
from buildcheck.output.compare.changed_folders import reached
from buildcheck.output.compare.changed_inputs import Input, changed_inputs
from buildcheck.output.compare.changed_quantities import NOTHING_MOVED, Movement, moved
from buildcheck.output.compare.revision import Side, pairs
from buildcheck.output.compare.verdict_changes import Flip, blocking, flips
from buildcheck.output.wording import line_shown, subjects_shown
from buildcheck.rules.rule import Rule
from buildcheck.rules.rule_diff import differences


@dataclass(frozen=True)
class Change:
    """One build before and after; a side that has none is None."""

    folder: str
    folder_before: str
    before: Checked | None
    after: Checked | None
    inputs: tuple[Input, ...] = ()
    flips: tuple[Flip, ...] = ()
    moved: Movement = NOTHING_MOVED
    order_before: tuple[str, ...] = ()
    order_after: tuple[str, ...] = ()

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
    def is_plain(self) -> bool:
        """Whether nothing that counts differs."""
        told = (
            any(not one.remark for one in self.inputs)
            or self.flips
            or self.moved.beyond
            or self.folder != self.folder_before
            or self.is_unreadable
        )
        return not told and self.order_before == self.order_after and self.verdicts[0] == self.verdicts[1]

    @property
    def is_unreadable(self) -> bool:
        """Whether the new state of the build cannot be read, whatever the old one was."""
        return self.after is not None and bool(self.after.problems)

    @property
    def blocks_anew(self) -> int:
        """How many results block as new."""
        return sum(len(flip.subjects) for flip in self.flips if flip.blocks_anew)


@dataclass(frozen=True)
class Comparison:
    """All that changed, the rules and limits of the team first; ``unchanged`` builds are only counted."""

    before: Side
    after: Side
    team: tuple[Input, ...]
    rules: tuple[str, ...]
    changes: tuple[Change, ...]
    unchanged: int

    @property
    def problems(self) -> tuple[Problem, ...]:
        """What is wrong with the new state's rules and settings, and builds that lost their build.yaml."""
        return tuple(sorted([*self.after.frame.problems, *self.after.headless]))

    @property
    def exit_code(self) -> int:
        """0 nothing new blocks, 1 something does, 2 the new state cannot be read."""
        if self.problems or any(change.is_unreadable for change in self.changes):
            return 2
        return int(any(change.blocks_anew for change in self.changes))


def compare(before: Side, after: Side, wanted: Sequence[str] = ()) -> Comparison:
    """Hold two states against each other; ``wanted`` are the folders to keep to, all when empty."""
    same_frame = _frame_key(before) == _frame_key(after)
    touched = reached(before, after) if same_frame else None
    all_pairs = list(pairs(before, after, wanted))
    open_pairs = [pair for pair in all_pairs if touched is None or _may_differ(pair, touched)]
    before.fetch(old for old, _ in open_pairs if old)
    after.fetch(new for _, new in open_pairs if new)
    found = [_change(before, after, *pair, same_frame) for pair in open_pairs]
    changes = tuple(change for change in found if change is not None and not change.is_plain)
    team, rules = _team_changed(before, after)
    return Comparison(before, after, team, rules, changes, len(all_pairs) - len(changes))


def _may_differ(pair: tuple[str, str], touched: Container[str]) -> bool:
    """Whether a build was moved, or something that it is read from was changed."""
    return pair[0] != pair[1] or pair[0] in touched


def _change(before: Side, after: Side, old: str, new: str, same_frame: bool) -> Change | None:
    if old and new and same_frame and _same_files(before, after, old, new):
        return None if old == new else Change(new, old, after.judged(new), after.judged(new))
    was = before.judged(old) if old else None
    now = after.judged(new) if new else None
    unread = any(checked is not None and checked.problems for checked in (was, now))
    lines = [() if unread else tuple(_order_lines(checked)) for checked in (was, now)]
    orders = [tuple(line for line in lines[i] if line not in lines[1 - i]) for i in (0, 1)]
    if was is None or now is None or unread:
        inputs = changed_inputs(was.build.roots, now.build.roots) if was is not None and now is not None else ()
        anew = blocking(now) if now is not None else ()
        return Change(new or old, old, was, now, inputs, anew, NOTHING_MOVED, *orders)
    mixed = under_old_limits(now.build, was.build)
    between = now if same_frame and mixed is now.build else before.judging(mixed)
    inputs = changed_inputs(was.build.roots, now.build.roots)
    return Change(new, old, was, now, inputs, flips(was, now, between), moved(was, now), *orders)


def _same_files(before: Side, after: Side, old: str, new: str) -> bool:
    was, now = before.build(old), after.build(new)
    return was.roots == now.roots and not was.problems and not now.problems


def _frame_key(side: Side) -> tuple[object, ...]:
    return side.frame.rules, side.frame.team, side.frame.problems


def _order_lines(checked: Checked | None) -> Iterator[str]:
    if checked is None:
        return
    every = sum(line.count for line in checked.order.lines) + len(checked.order.unknown)
    for line in checked.order.lines:
        served = subjects_shown([*line.serves, *line.assumed]) if line.count < every else f"all {every} valves"
        assumed = f"; assumed, not measured: {subjects_shown(line.assumed)}" if line.assumed else ""
        yield f"{line_shown(line, checked.facts.system)} for {served}{assumed}"
    if checked.order.unknown:
        yield f"no length yet for {subjects_shown(subject for subject, _ in checked.order.unknown)}"


def _team_changed(before: Side, after: Side) -> tuple[tuple[Input, ...], tuple[str, ...]]:
    """What changed in the team's settings and rules; nothing is told of settings that cannot be read."""
    if before.frame.repository.problems or after.frame.repository.problems:
        return (), ()
    settings = [{"buildcheck": root} if (root := side.frame.repository.config) else {} for side in (before, after)]
    return changed_inputs(*settings), tuple(_rules_changed(before, after))


def _rules_changed(before: Side, after: Side) -> Iterator[str]:
    """Ids of rules that came, went or differ in more than their line numbers."""
    old, new = ({rule.id: rule for rule in side.frame.rules.rules} for side in (before, after))
    for rule_id in sorted(old.keys() | new.keys()):
        if rule_id not in old or rule_id not in new:
            yield f"{rule_id} {'added' if rule_id in new else 'removed'}"
        elif what := _difference(old[rule_id], new[rule_id]):
            yield f"{rule_id} changed: {what}"


def _difference(old: Rule, new: Rule) -> str:
    words = [(rule.title, rule.why, rule.fixes, rule.source, rule.caution) for rule in (old, new)]
    told = [one.text for one in differences(old, new)]
    return ", ".join([*told, "its text"] if words[0] != words[1] else told)
