"""The walk along the measuring plan: one short question at a time, and the file written after each trial."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import suppress
from typing import Any

from buildcheck.advice.measuring_plan import Stop, make_plan
from buildcheck.advice.valve_advice import advise, lacking
from buildcheck.app.build_check import CheckedBuild
from buildcheck.app.recording import DoubtfulError, Recorded, RefusedError, record
from buildcheck.build.new_reading import MARKS, NewTrial, number_of_trials
from buildcheck.build.trials import measured
from buildcheck.cli.dialogue import BackError, InputEndedError, QuitError, SkipError, ask_yes, say
from buildcheck.cli.motion_walk import walk_motion
from buildcheck.cli.trial_questions import Answers, ask_trial, questions, values_of
from buildcheck.core.subject import Subject
from buildcheck.core.value import NotApplicable, Undecided
from buildcheck.output.plan.plan_wording import degrees, wheel
from buildcheck.output.record_wording import trial_answer
from buildcheck.output.wording import outcome_text
from buildcheck.yamlio.entry_text import flow_text

ANOTHER_TRIAL = (
    "change height", "change length", "clear the retainer", "mark again", "read contacts", "repeat", "take a mark",
)  # fmt: skip
"""Next steps at the bench that end with another trial of the same valve."""


class UnfinishedError(Exception):
    """The walk ended within a trial; the text is what was entered of it."""


class Walk:
    """Where a walk is: the build as last checked, and what every trial gets."""

    def __init__(self, checked: CheckedBuild, by: str, today: Callable[[], str]) -> None:
        self.checked = checked
        self.by = by
        self.today = today

    def run(self) -> None:
        """Ask about every valve that has no reading yet or needs another trial, in the order of the plan.

        Raises Undecided if no plan can be made, UnfinishedError if the input ends within a trial, InputEndedError
        if it ends elsewhere, and what record raises.
        """
        unfinished = [one for one in self.checked.facts.subjects("valve") if self._is_unfinished(one)]
        stops = make_plan(self.checked.facts, left=not unfinished).stops
        valves = [(stop, valve) for stop in stops for valve in stop.valves]
        todo = [(stop, one.subject) for stop, one in valves if not one.measured or one.subject in unfinished]
        at, announced = 0, None
        while at < len(todo):
            stop, subject = todo[at]
            if stop is not announced:
                self._announce(stops.index(stop) + 1, len(stops), stop)
                announced = stop
            try:
                self._valve(stop, subject)
                at += 1
            except SkipError:
                at += 1
            except BackError:
                at = max(at - 1, 0)
            except QuitError:
                break
        else:
            self._motion()
        say(outcome_text(self.checked) + ".")

    def _motion(self) -> None:
        with suppress(QuitError):
            self.checked = walk_motion(self.checked)

    def _announce(self, number: int, count: int, stop: Stop) -> None:
        say("")
        where = f"{stop.reference}; {wheel(stop.crank)}"
        say(f"Stop {number} of {count}: turn the crank to {degrees(stop.crank)} ({where}).")

    def _valve(self, stop: Stop, subject: Subject) -> None:
        while True:
            say("")
            say(f"{subject.text[:1].upper()}{subject.text[1:]}")
            if self._trial(stop, subject) and not (self._needs_more(subject) and self._goes_on()):
                return

    def _goes_on(self) -> bool:
        return ask_yes("Another trial of this valve now?", "n: go on with the next valve; this one stays as it is.")

    def _trial(self, stop: Stop, subject: Subject) -> bool:
        """One trial, asked and written; whether it was: a contradicting one only if the builder keeps it."""
        answers: Answers = {}
        facts = self.checked.facts
        try:
            ask_trial(facts, subject, questions(facts, subject), answers)
            return self._write(NewTrial(subject, self._values(answers), degrees(stop.crank)))
        except KeyboardInterrupt:
            say(f"Not written: {_typed(subject, answers)}")
            raise
        except (InputEndedError, OSError) as error:
            if len(answers) < 2:
                raise
            raise UnfinishedError(_typed(subject, answers)) from error

    def _values(self, answers: Answers) -> dict[str, Any]:
        return values_of(answers, on=self.today(), by=self.by)

    def _write(self, trial: NewTrial) -> bool:
        try:
            recorded = self._recorded(trial)
        except RefusedError as error:
            say(f"Nothing is written: {error}.")
            return False
        if recorded is None:
            return False
        self.checked = recorded.checked
        number = number_of_trials(recorded.files[0].after, trial.subject)
        say(f"Trial {number}: {trial_answer(self.checked, trial.subject, 'mark' in trial.values)}")
        return True

    def _recorded(self, trial: NewTrial) -> Recorded | None:
        folder, edits = self.checked.build.folder, {MARKS: trial.edit}
        try:
            return record(folder, edits, refuse=lambda checked: _contradiction(checked, trial.subject))
        except DoubtfulError as doubt:
            say(f"{str(doubt)[:1].upper()}{str(doubt)[1:]}.")
            keeps = ask_yes("Keep this trial?", "n: enter the trial again; nothing of it is written.")
            return record(folder, edits) if keeps else None

    def _is_unfinished(self, subject: Subject) -> bool:
        facts = self.checked.facts
        return measured(facts, subject) and not lacking(facts) and self._needs_more(subject)

    def _needs_more(self, subject: Subject) -> bool:
        """Whether another trial of a measured valve would help."""
        try:
            return advise(self.checked.facts, subject).step.action in ANOTHER_TRIAL
        except (NotApplicable, Undecided):
            return True


def _typed(subject: Subject, answers: Answers) -> str:
    return f"{subject.key} {flow_text(values_of(answers))}"


def _contradiction(checked: CheckedBuild, subject: Subject) -> str:
    """Why the trials of a valve cannot all be right; empty if they can."""
    found = checked.facts.get_or_none("trials_in_doubt", subject)
    return found.remark if found is not None and found.si else ""
