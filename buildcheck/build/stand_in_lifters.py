"""Lifters that stood in for those to be run while measuring, and the cup heights between them."""

from __future__ import annotations

from buildcheck.build.facts import Facts
from buildcheck.build.length_conventions import minus, plus
from buildcheck.build.trial import Trial
from buildcheck.build.trial_reading import LIFTER_UNTOLD
from buildcheck.core.value import Undecided, Value, exact
from buildcheck.record import replace


def stands_in(facts: Facts, trial: Trial) -> bool:
    """Whether another kind of lifter than the one to be run stood in the bore; a locked one is a hydraulic one."""
    return trial.lifter != "" and facts.is_hydraulic == (trial.lifter == "solid")


def cup_step(facts: Facts, trial: Trial) -> Value:
    """Cup height of the lifter measured on, less that of the one to be run, m."""
    runs = facts.optional("cam.lifter.cup_height")
    if trial.cup_height is not None and runs is not None:
        return minus(trial.cup_height, runs)
    if trial.cup_height is not None or stands_in(facts, trial):
        raise Undecided(
            "a checking lifter was used: enter its lifter_cup_height in marks.yaml and the cup_height of the "
            "running lifter (plunger at its top) in cam.yaml",
            (trial.place,),
        )
    length_reason = not trial.lifter and facts.is_hydraulic
    return exact(0.0, "length").with_remark(LIFTER_UNTOLD if length_reason else "")


def on_lifter_of(facts: Facts, last: Trial, trial: Trial) -> Trial:
    if trial.length is None or _lifter(trial) == _lifter(last):
        return trial
    try:
        step = minus(cup_step(facts, trial), cup_step(facts, last))
    except Undecided as reason:
        return replace(trial, length=None, length_reason=reason.copy_without_traceback())
    return replace(trial, length=plus(trial.length, step))


def _lifter(trial: Trial) -> tuple[str, float | None]:
    return trial.lifter, trial.cup_height.si if trial.cup_height is not None else None
