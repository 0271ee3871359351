"""A comparison in words, the same in text and Markdown."""

from __future__ import annotations

from collections.abc import Iterator

from buildcheck.output.compare.changed_inputs import Input
from buildcheck.output.compare.changed_quantities import Moved, Movement
from buildcheck.output.compare.comparison import Change, Comparison
from buildcheck.output.compare.verdict_changes import Flip
from buildcheck.output.wording import counted, subjects_shown, verdict_shown

_LONGEST = 200


def summary(comparison: Comparison) -> str:
    """How many builds changed, how many cannot be judged, and whether anything blocks as new."""
    anew = sum(change.blocks_anew for change in comparison.changes)
    unfit = sum(change.is_unreadable for change in comparison.changes)
    told = [f"{counted(unfit, 'build')} cannot be judged"] if unfit else []
    told += [f"{counted(anew, 'result')} {'blocks' if anew == 1 else 'block'} as new"] if anew else []
    changed = f"{counted(len(comparison.changes), 'build')} changed, {comparison.unchanged} did not"
    return f"{changed}; {', '.join(told) or 'nothing new blocks'}"


def heading(change: Change) -> str:
    """The verdict before and after in a few words."""
    before, after = change.verdicts
    if not before:
        return f"new, {after}"
    if not after:
        return f"gone, was {before}"
    return f"{before} → {after}" if before != after else f"{after}, as before"


def standing(change: Change) -> str:
    """What the new state amounts to, and under which name the build went before."""
    moved = f"Renamed from {change.folder_before}. " if change.folder_before not in ("", change.folder) else ""
    return f"{moved}{verdict_shown(change.after)}." if change.after is not None else "No build here any more."


def input_shown(one: Input) -> str:
    """Old → new, or what came or went; a whole file by its name alone."""
    what = f"{one.path}: " if one.path else ""
    if not one.path:
        return f"this file is new: {_cut(one.after)}" if one.after else "this file was removed"
    if not one.before:
        return f"{what}new: {_cut(one.after)}"
    if not one.after:
        return f"{what}gone, was {_cut(one.before)}"
    same = ", same value" if one.same else ""
    return f"{what}{_cut(one.before)} → {_cut(one.after)}{same}"


def flip_shown(flip: Flip) -> str:
    """Whose verdict flipped, how, and what did it."""
    why = "" if flip.causes == ("inputs",) else f", because of: {', '.join(flip.causes)}"
    several = f"; first of them {flip.gravest.text}" if len(flip.subjects) > 1 else ""
    return f"{subjects_shown(flip.subjects) or 'the build'}: {flip.before} → {flip.after}{why}{several}"


def mild_shown(flips: tuple[Flip, ...]) -> Iterator[str]:
    """Rules that only came to apply, or ceased to: one line for all that did so on the same valves."""
    groups: dict[tuple[str, str, str], list[str]] = {}
    for flip in flips:
        if flip.is_mild:
            who = subjects_shown(flip.subjects) or "the build"
            groups.setdefault((who, flip.before, flip.after), []).append(flip.rule)
    for (who, before, after), rules in groups.items():
        yield f"{who}: {before} → {after}: {', '.join(rules)}"


def moved_shown(movement: Movement) -> Iterator[str]:
    """Old and new values line by line, then what determined now, what no longer, and what moved less."""
    for one in movement.beyond:
        if one.before and one.after:
            yield f"{_of(one)}: {one.before} → {one.after}"
    for title, told in (
        ("determined now", [f"{_of(one)} {one.after}" for one in movement.beyond if not one.before]),
        ("no longer determined", [_of(one) for one in movement.beyond if not one.after]),
    ):
        if told:
            yield f"{title}: {'; '.join(told)}"
    if movement.within:
        yield f"{movement.within} more changed within their uncertainty"


def _of(one: Moved) -> str:
    who = subjects_shown(one.subjects)
    return f"{one.title} ({who})" if who else one.title


def remarks_shown(inputs: tuple[Input, ...]) -> str:
    """How many remarks changed: they are never judged, so they are only counted."""
    remarks = sum(one.remark for one in inputs)
    return f"{counted(remarks, 'note')} changed too" if remarks else ""


def _cut(text: str) -> str:
    return text if len(text) <= _LONGEST else f"{text[:_LONGEST]}…"
