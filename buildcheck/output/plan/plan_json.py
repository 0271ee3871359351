"""The measuring plan for scripts: one JSON object, in a stable order."""

from __future__ import annotations

from typing import Any

from buildcheck.advice.first_setting import FirstSetting, first_settings
from buildcheck.advice.measuring_plan import MeasuringPlan, Stop, Timing, ValveStop, Window
from buildcheck.advice.motion_plan import MotionStop, motion_stops
from buildcheck.app.build_check import CheckedBuild
from buildcheck.output.json import amount, document
from buildcheck.output.json_rows import subject_fields
from buildcheck.output.next_readings_wording import next_reading_data
from buildcheck.output.plan.plan_wording import instructions


def write(checked: CheckedBuild, plan: MeasuringPlan) -> str:
    """Stops, events of each cylinder, margins and what to watch; angles under ``deg`` beside their text."""
    data = {
        "folder": checked.build.display_path,
        "name": checked.build.name,
        "margins": {valve: _angle(margin) for valve, margin in plan.margins.items()},
        "stops": [_stop(stop) for stop in plan.stops],
        "cylinders": [_timing(timing) for timing in plan.timings],
        "motion": [_motion(stop) for stop in motion_stops(checked.facts)],
        "next_readings": next_reading_data(checked),
        "first_settings": [_first_setting(one, checked.facts.system) for one in first_settings(checked.facts)],
        "watch": list(instructions(plan)),
    }
    return document("plan", data)


def _first_setting(one: FirstSetting, system: str) -> dict[str, Any]:
    reading = amount(one.reading.si, "length", system)
    return {"valve": one.subject.valve, "checker": one.checker or None, "reading": reading, "turns": one.turns}


def _motion(stop: MotionStop) -> dict[str, Any]:
    """Where to read the lift of one valve, and where its drop; null if a drop was read."""
    cranks = [_angle(crank) for crank in stop.lifts]
    drop = None if stop.drop_read else _angle(stop.drop)
    return {**subject_fields(stop.subject), "cranks": cranks, "drop": drop}


def _stop(stop: Stop) -> dict[str, Any]:
    return {
        "crank": _angle(stop.crank),
        "beside": stop.reference,
        "valves": [_valve_stop(valve) for valve in stop.valves],
    }


def _valve_stop(valve: ValveStop) -> dict[str, Any]:
    return {**subject_fields(valve.subject), "heel": _window(valve.heel), "measured": valve.measured}


def _timing(timing: Timing) -> dict[str, Any]:
    return {
        "cylinder": timing.cylinder,
        "fires": _angle(timing.fires),
        **{event.replace(" ", "_"): _angle(angle) for event, angle in timing.events.items()},
        "both_shut": _window(timing.both_shut) if timing.both_shut is not None else None,
        "companion": timing.companion,
    }


def _window(window: Window) -> dict[str, Any]:
    return {"from": _angle(window[0]), "to": _angle(window[1])}


def _angle(angle: float) -> dict[str, Any]:
    return amount(angle, "angle", "inch")
