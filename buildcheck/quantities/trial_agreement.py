"""Named quantities of a valve's trials among themselves: do they agree, and did a mark move that cannot."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations

from buildcheck.build.facts import Facts
from buildcheck.build.length_conventions import minus
from buildcheck.build.mark_plausibility import refuse_contact
from buildcheck.build.trial import Trial
from buildcheck.build.trials import trials
from buildcheck.core.subject import Subject
from buildcheck.core.value import NotApplicable, Undecided, Value
from buildcheck.formulas.chi_square import surprising
from buildcheck.formulas.height_fit import expected_reading
from buildcheck.quantities.height_trials import LEAST_STANDARD, fitted_trials, readings, roller
from buildcheck.quantities.pivot_height import fit
from buildcheck.units.quantity import show


def trials_in_doubt(facts: Facts, subject: Subject) -> Value:
    """1 if the readings of a valve fit no single pivot height, 0 if they agree; the finding names the trial."""
    if not facts.is_roller:
        raise NotApplicable("plain tips: each mark is judged by itself")
    valve_trials = trials(facts, subject)
    read = [trial for trial in valve_trials if trial.mark or trial.contacts]
    places = tuple(trial.place for trial in read)
    if not read:
        raise NotApplicable("no mark was taken on this valve")
    try:
        found = fit(facts, subject)
    except ValueError as error:
        raise Undecided(str(error), places) from error
    if not found.inconsistent:
        return Value(0.0, "count", {}, places, "the trials agree")
    if found.doubtful is not None and len(read) > 1:
        odd = fitted_trials(facts, subject)[found.doubtful]
        remark = f"trial {odd.number} disagrees with the others{_expectation(facts, subject, found.doubtful)}"
        return Value(1.0, "count", {}, (odd.place,), remark)
    if len(read) == 1:
        return Value(1.0, "count", {}, places, _self_contradiction(read[0]))
    worst = max(range(len(found.residuals)), key=lambda i: (found.residuals[i], i))
    pair = sorted(fitted_trials(facts, subject)[i].number for i in (worst, _compared_with(facts, subject, worst)))
    names = " and ".join(map(str, pair))
    remark = (
        f"trials {names} disagree, and the readings do not show which is wrong{_expectation(facts, subject, worst)}"
    )
    return Value(1.0, "count", {}, places, remark)


def mark_moved(facts: Facts, subject: Subject) -> Value:
    """1 if trials of different length left different marks under a fixed pivot, 0 if they did not."""
    if facts.pivot_is_free:
        raise NotApplicable("the nut sets the pivot height: the pushrod length moves the mark")
    pairs = [pair for pair in combinations(trials(facts, subject), 2) if _comparable(*pair)]
    if not pairs:
        raise NotApplicable("no two marks were made with pushrods of different length over the same shim")
    refuse_contact(facts, subject)
    for one, other in pairs:
        moves = list(_differences(one, other))
        if surprising([move.si for move in moves], [max(move.expanded / 2, LEAST_STANDARD) for move in moves]):
            remark = f"the mark moved between trials {one.number} and {other.number}"
            return Value(1.0, "count", {}, (other.place, one.place), remark)
    return Value(0.0, "count", {}, (pairs[-1][1].place,), "the mark did not move")


def _expectation(facts: Facts, subject: Subject, odd: int) -> str:
    """What the trial nearest in length predicts for a trial that disagrees, and what was entered; empty if nothing."""
    other, fitted = _compared_with(facts, subject, odd), fitted_trials(facts, subject)
    try:
        found = expected_reading(readings(facts, subject), roller(facts, subject), odd, [other])
    except ValueError:
        return ""
    if found is None:
        return ""
    what = "mark width" if found.of_width else "distance from shut_at to open_at"
    expected, entered = (show(abs(value), "length", facts.system) for value in (found.expected, found.entered))
    by, of = fitted[other].number, fitted[odd].number
    return f": by trial {by} the {what} of trial {of} should be {expected}; entered {entered}"


def _compared_with(facts: Facts, subject: Subject, odd: int) -> int:
    """The index of the other trial with a mark or lines that is nearest in length, shim and order."""
    fitted = fitted_trials(facts, subject)
    others = [i for i, trial in enumerate(fitted) if i != odd and (trial.mark or trial.contacts)]
    return min(others, key=lambda i: (_apart(fitted[i], fitted[odd]), abs(i - odd)), default=odd)


def _apart(one: Trial, other: Trial) -> float:
    by_length = abs(one.length.si - other.length.si) if one.length is not None and other.length is not None else 0.0
    return round(by_length + abs(one.pivot_height.si - other.pivot_height.si), 6)


def _self_contradiction(trial: Trial) -> str:
    if trial.contacts:
        return "the mark and the two contact lines disagree"
    return "the mark is narrower than this rocker can make at this lift"


def _comparable(one: Trial, other: Trial) -> bool:
    if one.length is None or other.length is None or abs(one.pivot_height.si - other.pivot_height.si) > 1e-9:
        return False
    apart = minus(other.length, one.length)
    return abs(apart.si) > apart.expanded and any(_differences(one, other))


def _differences(one: Trial, other: Trial) -> Iterator[Value]:
    """How far each edge and line read in both trials moved."""
    for before, after in ((one.mark, other.mark), (one.contacts, other.contacts)):
        if before and after:
            yield from (minus(b, a) for a, b in zip(before, after, strict=True))
