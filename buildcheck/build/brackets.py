"""Trials with clearance and without, on either side of zero lash: together they give one length."""

from __future__ import annotations

from collections.abc import Sequence

from buildcheck.build.facts import Facts
from buildcheck.build.trial import Trial
from buildcheck.core.value import Contradiction, Undecided, Value, derive, with_uncertainty
from buildcheck.formulas import zero_lash
from buildcheck.record import replace
from buildcheck.units.quantity import show


def bracketed(facts: Facts, valve_trials: Sequence[Trial]) -> list[Trial]:
    """The trials, those of a bracket with its length on the last one and none on the others."""
    found = {id(trial): trial for group in _groups(facts, valve_trials) for trial in _closed(facts, group)}
    by_number = {trial.number: trial for trial in found.values()}
    return [by_number.get(trial.number, trial) for trial in valve_trials]


def _groups(facts: Facts, valve_trials: Sequence[Trial]) -> list[list[Trial]]:
    """The trials of each bracket. Under a nut the pivot moves after each mark, so that another bracket begins."""
    nut = facts.node("rockers.adjuster")
    free = nut is not None and nut.value == "nut"
    groups: dict[tuple[object, ...], list[list[Trial]]] = {}
    for trial in valve_trials:
        if trial.feel and trial.length is not None:
            found = groups.setdefault(_group(trial), [[]])
            if free and None not in sides(found[-1]) and any(one.mark for one in found[-1]):
                found.append([])
            found[-1].append(trial)
    return [group for found in groups.values() for group in found]


def sides(valve_trials: Sequence[Trial]) -> tuple[Value | None, Value | None]:
    """The longest length with clearance and the shortest without."""
    slack = [trial.length for trial in valve_trials if trial.feel == "slack" and trial.length is not None]
    tight = [trial.length for trial in valve_trials if trial.feel == "tight" and trial.length is not None]
    return max(slack, key=_si, default=None), min(tight, key=_si, default=None)


def _group(trial: Trial) -> tuple[object, ...]:
    cap = trial.cap.si if trial.cap is not None else None
    cup = trial.cup_height.si if trial.cup_height is not None else None
    return trial.state, round(trial.pivot_height.si, 9), cap, trial.lifter, cup


def _closed(facts: Facts, group: list[Trial]) -> list[Trial]:
    *others, last = group
    slack, tight = sides(group)
    no_length = [replace(trial, length=None, length_reason=_within(last)) for trial in others]
    if slack is None or tight is None:
        return [*no_length, replace(last, length=None, length_reason=_one_side(facts, slack, tight, last))]
    ends = {trial.gauge for trial in group if trial.length in (slack, tight)}
    value = _between(facts, slack, tight, len(ends) == 1, last)
    feel = facts.optional("marks.zero_lash_repeatability")
    value = with_uncertainty(value, feel.si, f"{last.place} feel") if feel is not None else value
    return [*no_length, replace(last, length=value)]


def _between(facts: Facts, slack: Value, tight: Value, one_gauge: bool, last: Trial) -> Value:
    over = slack.si - tight.si
    if over > (slack.expanded**2 + tight.expanded**2) ** 0.5:
        low, high = (show(end.si, "length", facts.system) for end in (tight, slack))
        words = f"no clearance at {low}, but clearance at the longer {high}: are slack and tight swapped? Repeat both"
        raise Contradiction(words, (last.place, *tight.places[:1], *slack.places[:1]))
    if over > 0:
        return derive("length", lambda a, b: (a + b) / 2, slack, tight)
    _, standard = zero_lash.bracket(slack.si, tight.si)
    middle = derive("length", lambda a, b: (a + b) / 2, slack, tight)
    if one_gauge:  # its error is common to both ends
        widest = max((slack, tight), key=lambda end: end.expanded)
        middle = middle._replace(parts=widest.parts)
    return with_uncertainty(middle, 2 * standard, f"{last.place} bracket")


def _one_side(facts: Facts, slack: Value | None, tight: Value | None, last: Trial) -> Undecided:
    known = slack or tight
    assert known is not None
    felt = "clearance was still felt" if slack else "no clearance was felt"
    way = "longer" if slack else "shorter"
    length = show(known.si, "length", facts.system)
    return Undecided(f"{felt} at {length}: set the checker half a turn {way} and feel again", (last.place,))


def _within(last: Trial) -> Undecided:
    return Undecided(f"part of the bracket that trial {last.number} closes", (last.place,))


def _si(value: Value) -> float:
    return value.si
