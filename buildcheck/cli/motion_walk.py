"""The walk through the readings of motion: lift at each crank angle of the plan, and the drop where it is read."""

from __future__ import annotations

from functools import partial

from buildcheck.advice.motion_doubts import motion_doubts, new_fault
from buildcheck.advice.motion_plan import MotionStop, motion_stops
from buildcheck.app.build_check import CheckedBuild
from buildcheck.app.recording import DoubtfulError, RefusedError, record
from buildcheck.build.facts import Facts
from buildcheck.build.new_motion import NewMotion, number_of_readings
from buildcheck.build.new_reading import MOTION
from buildcheck.build.states import states
from buildcheck.cli.dialogue import BackError, SkipError, ask, ask_yes, say
from buildcheck.cli.trial_questions import UNIT
from buildcheck.output.plan.plan_wording import degrees, wheel
from buildcheck.output.record_wording import motion_answer
from buildcheck.record import replace
from buildcheck.units.typed_value import typed_length
from buildcheck.yamlio.insertion import UnsupportedLayoutError

EVERY = 10
"""After so many readings, and after a drop, the walk shows what they give so far."""
CAUTION = (
    "Fit checking springs. Turn by hand, only in the direction of running. Stop at the first resistance: a valve can "
    "touch the piston."
)
QUESTIONS = {
    "lift": ("Lift", "What the dial shows since the valve was closed. n: no reading at this crank angle."),
    "drop": (
        "Drop to the piston",
        "Hold the crank and push the valve down until it touches the piston: how far it moved. n: no drop.",
    ),
}
"""The text of each question, and its explanation."""


def walk_motion(checked: CheckedBuild) -> CheckedBuild:
    """Ask for every lift and drop of the plan that is still needed; each is written at once. The build afterwards.

    Raises QuitError and InputEndedError, Undecided if cam.yaml does not give the centrelines, and what record raises.
    """
    for stop in motion_stops(checked.facts):
        say("")
        say(f"{stop.subject.text[:1].upper()}{stop.subject.text[1:]}: lift and drop")
        say(CAUTION)
        try:
            for crank in stop.cranks:
                say(f"Crank at {degrees(crank)} ({wheel(crank)})")
                for name in stop.at(crank):
                    checked = _reading(checked, stop, crank, name)
        except SkipError:
            continue
    return checked


def _reading(checked: CheckedBuild, stop: MotionStop, crank: float, name: str) -> CheckedBuild:
    """Lift or drop at one crank angle, asked again until it can be meant."""
    facts, (text, explanation) = checked.facts, QUESTIONS[name]
    unit = UNIT[facts.system]
    while True:
        try:
            length = ask(f"{text} in {unit} (n: none)", explanation, partial(_length, facts.system))
            if not length:
                return checked
            values = {"crank": degrees(crank), name: length}
            reading = NewMotion(stop.subject, "valve", values, state=_state(facts))
            return _written(checked, _certain(facts, reading))
        except BackError:
            say(f"What was entered before is written. Correct it in {MOTION}.")
        except (DoubtfulError, RefusedError, UnsupportedLayoutError) as error:
            say(f"Nothing is written: {error}.")


def _length(system: str, text: str) -> str:
    return "" if text in ("n", "none") else typed_length(text, system)


def _certain(facts: Facts, reading: NewMotion) -> NewMotion:
    """The reading, with what was meant in place of a doubtful value. Raises DoubtfulError if it is not."""
    for doubt in motion_doubts(facts, reading):
        if doubt.key == "crank" or not doubt.meant:
            raise DoubtfulError(doubt.reason)
        say(f"{doubt.reason[:1].upper()}{doubt.reason[1:]}.")
        if not ask_yes(f"Did you mean {doubt.meant}?", "n: enter it again."):
            raise DoubtfulError(doubt.reason)
        reading = replace(reading, values={**reading.values, doubt.key: doubt.meant})
    return reading


def _written(checked: CheckedBuild, reading: NewMotion) -> CheckedBuild:
    def fault(then: CheckedBuild) -> str:
        return new_fault(checked.facts, reading, then.facts)

    recorded = record(checked.build.folder, {MOTION: reading.edit}, refuse=fault)
    count = number_of_readings(recorded.files[0].after, reading)
    if "drop" in reading.values or count % EVERY == 0:
        say(motion_answer(recorded.checked, reading, count))
    return recorded.checked


def _state(facts: Facts) -> str:
    known = states(facts)
    return known[-1].name if len(known) > 1 else ""
