"""Named quantities of a valve's trials among themselves: do they agree, and did a mark move that cannot."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations

from buildcheck.build.changes import pivot_is_free
from buildcheck.build.facts import Facts
from buildcheck.build.length_conventions import minus
from buildcheck.build.mark_plausibility import refuse_contact
from buildcheck.build.trial import Trial
from buildcheck.build.trials import trials
from buildcheck.core.subject import Subject
from buildcheck.core.value import NotApplicable, Undecided, Value
from buildcheck.formulas.chi_square import surprising
from buildcheck.quantities.height_trials import LEAST_STANDARD, fitted_trials
from buildcheck.quantities.marks import is_roller
from buildcheck.quantities.pivot_height import fit


def trials_in_doubt(facts: Facts, subject: Subject) -> Value:
    """1 where a valve's readings fit no height of the pivot, 0 where they agree; the remark names the trial."""
    if not is_roller(facts):
        raise NotApplicable("plain tips: each mark is judged by itself")
    own = trials(facts, subject)
    read = [trial for trial in own if trial.mark or trial.contacts]
    places = tuple(trial.place for trial in read)
    if not read:
        raise NotApplicable("no mark was taken on this valve")
    try:
        found = fit(facts, subject)
    except ValueError as error:
        raise Undecided(str(error), places) from error
    if not found.inconsistent:
        return Value(0.0, "count", {}, places, "they agree")
    if found.doubtful is not None and len(read) > 1:
        odd = fitted_trials(facts, subject)[found.doubtful]
        return Value(1.0, "count", {}, (odd.place,), f"trial {odd.number} disagrees with the others")
    return Value(1.0, "count", {}, places, _disagreement(read))


def mark_moved(facts: Facts, subject: Subject) -> Value:
    """1 where trials of different length left different marks under a fixed pivot, 0 where they did not."""
    if pivot_is_free(facts):
        raise NotApplicable("the nut sets the pivot height: the pushrod length moves the mark")
    pairs = [pair for pair in combinations(trials(facts, subject), 2) if _comparable(*pair)]
    if not pairs:
        raise NotApplicable("no two marks were made with pushrods of different length over the same shim")
    refuse_contact(facts, subject)
    for one, other in pairs:
        moves = list(_differences(one, other))
        if surprising([move.si for move in moves], [max(move.expanded / 2, LEAST_STANDARD) for move in moves]):
            remark = f"it moved between trials {one.number} and {other.number}"
            return Value(1.0, "count", {}, (other.place, one.place), remark)
    return Value(0.0, "count", {}, (pairs[-1][1].place,), "it did not move")


def _disagreement(read: list[Trial]) -> str:
    if len(read) > 1:
        return "they disagree, and the readings do not show which one is wrong"
    if read[0].contacts:
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
