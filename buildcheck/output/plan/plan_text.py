"""The measuring plan on the terminal: one line a stop."""

from __future__ import annotations

from buildcheck.advice.measuring_plan import MeasuringPlan, Stop
from buildcheck.app.build_check import CheckedBuild
from buildcheck.core.escape import at_line_start, one_line
from buildcheck.output.next_readings_wording import next_reading_lines
from buildcheck.output.plan.plan_wording import degrees, first_setting_lines, lead, motion_lines, wheel
from buildcheck.output.wording import subjects_text


def write(checked: CheckedBuild, plan: MeasuringPlan) -> str:
    """The build, its stops, and how far every valve is in the readings."""
    lines = [f"{at_line_start(checked.build.name)} ({one_line(checked.build.display_path)})", lead(plan)]
    lines += map(one_line, first_setting_lines(checked.facts))
    lines += [_stop(number, stop) for number, stop in enumerate(plan.stops, 1)]
    lines += map(one_line, motion_lines(checked.facts))
    lines += map(one_line, next_reading_lines(checked))
    return "".join(f"{line}\n" for line in lines)


def _stop(number: int, stop: Stop) -> str:
    valves = subjects_text(valve.subject for valve in stop.valves)
    return f"stop {number}: crank at {degrees(stop.crank)} ({stop.reference}; {wheel(stop.crank)}): {valves}"
