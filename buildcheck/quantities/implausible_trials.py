"""Trials that cannot be what they are entered as: a copy for a repeat, contact lines at the edge without a mark.

The figures are common practice, no published source.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Sequence

from buildcheck.build.facts import Facts
from buildcheck.build.trial import Trial
from buildcheck.build.trials import last_marked, trials
from buildcheck.core.subject import Subject
from buildcheck.core.value import NotApplicable, Undecided
from buildcheck.formulas.mark import mark_edge_margin
from buildcheck.quantities.implausible_readings import Finding
from buildcheck.units.quantity import show

MOST_ALIKE = 2
"""So many trials of a valve may agree in the mark and, if they were read, in both contact lines by chance."""


def copied_trials(facts: Facts) -> Iterator[Finding]:
    """Trials of one valve that agree in length, mark and contact lines to the last digit."""
    for subject, read in _measured(facts):
        contents = {trial.number: content for trial in read if (content := _content(trial))}
        counts = Counter(contents.values())
        alike = [trial for trial in read if counts[contents.get(trial.number, ())] > MOST_ALIKE]
        if alike:
            yield (
                tuple(trial.place for trial in alike),
                f"trials of {subject.text}, expected readings that differ in the last digit, found {len(alike)} trials "
                "with the same values: enter each reading once",
            )


def _content(trial: Trial) -> tuple[float, ...]:
    """What was read on a trial with a mark, m; nothing of another trial."""
    if trial.mark is None or trial.predicted:
        return ()
    values = (*trial.mark, *(trial.contacts or ()), trial.shim, *((trial.length,) if trial.length is not None else ()))
    return tuple(value.si for value in values)


def lines_at_the_edge(facts: Facts) -> Iterator[Finding]:
    """Contact lines nearer to the valve tip edge than a mark may be, read after the mark that is judged."""
    for subject, read in _measured(facts):
        limit, tip = facts.bound_or_none("mark_edge_limit", subject), facts.get_or_none("tip_diameter", subject)
        for trial in read[read.index(last_marked(read)) + 1 :]:
            if limit is None or tip is None or trial.contacts is None or trial.predicted:
                continue
            margins = [(mark_edge_margin(line.si, line.si, tip.si), line) for line in trial.contacts]
            margin, nearest = min(margins, key=lambda each: each[0])
            if margin < limit.si:
                least, found = (show(si, "length", facts.system) for si in (limit.si, margin))
                yield (
                    nearest.places,
                    f"contact line of {subject.text}, trial {trial.number}, expected at least {least} from the valve "
                    f"tip edge, found {found}: take a mark of this trial",
                )


def _measured(facts: Facts) -> Iterator[tuple[Subject, Sequence[Trial]]]:
    if facts.node("marks.valves") is None:
        return
    for subject in facts.subjects("valve"):
        try:
            yield subject, trials(facts, subject)
        except (NotApplicable, Undecided):
            continue


CHECKS: tuple[Callable[[Facts], Iterator[Finding]], ...] = (copied_trials, lines_at_the_edge)
