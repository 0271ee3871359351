"""The measuring plan in words, the same on the bench sheet and on the terminal."""

from __future__ import annotations

from collections.abc import Iterator

from buildcheck.advice.first_setting import first_settings
from buildcheck.advice.measuring_plan import MeasuringPlan, Window
from buildcheck.advice.motion_plan import STEP, motion_stops
from buildcheck.build.facts import Facts
from buildcheck.core.plural import counted, verb
from buildcheck.output.value_wording import value_text

BEFORE_EACH = (
    "Measure each valve at its own stop, with the lifter on the base circle.",
    "Seat the pushrod in the lifter cup, in the rocker and through its guide. Spin it while you take up the clearance.",
    "Take up the clearance until it is just gone. Enter the length or the turns, and the crank angle.",
)
BOLTED = "Tighten the rocker to its torque before you read anything. A reading with a loose rocker does not count."
SCREWS = (
    "Set the rocker screws to their required position before you read anything. Or set them all alike and enter how "
    "far they are from it (screw_at in rockers.yaml; out towards the pushrod is positive)."
)
AFTER_EACH = (
    "Check that the rocker clears the spring retainer through the whole lift. A mark made on the retainer is "
    "worthless.",
    "Ink the tip, then turn the crank two full turns for the mark. End at the same stop, on the base circle.",
)
LINES = "If checking springs are fitted, read the contact line with the valve closed and at full lift too."


def instructions(plan: MeasuringPlan) -> Iterator[str]:
    """What to mind at every valve, in the order in which it is done."""
    yield from BEFORE_EACH[:2]
    if plan.bolted:
        yield BOLTED
    if plan.screws:
        yield SCREWS
    yield from (BEFORE_EACH[2], *AFTER_EACH)
    if plan.roller:
        yield LINES


def lead(plan: MeasuringPlan) -> str:
    """How many stops serve how many valves, and where the crank counts from."""
    if not plan.stops:
        return "Every valve has a reading. The plan is complete."
    stops, valves = counted(len(plan.stops), "stop"), counted(len(plan.valves), "valve")
    serve = f"{stops} in two turns of the crank {verb(len(plan.stops), 'serve')} {valves}"
    return f"{serve}, the fewest possible. Crank angles count from the firing TDC of cylinder 1, 0 to 720 deg."


def margins_text(plan: MeasuringPlan) -> str:
    """``10 deg``, or one for each valve type where they differ."""
    if len(set(plan.margins.values())) == 1:
        return f"{next(iter(plan.margins.values())):g} deg"
    return " and ".join(f"{margin:g} deg ({valve})" for valve, margin in plan.margins.items())


def wheel(crank: float) -> str:
    """What a degree wheel with its zero at cylinder 1's top dead centre shows, and in which turn."""
    return f"degree wheel at {degrees(crank % 360)} of the {'first' if crank < 360 else 'second'} turn"


def heel_text(window: Window) -> str:
    """``323 to 253 deg``: in the direction of running, on through 720 where it is between them."""
    return f"{round(window[0], 2):g} to {round(window[1], 2):g} deg"


def degrees(angle: float) -> str:
    """``108 deg``, with decimals only where there are any."""
    return f"{round(angle, 2):g} deg"


def first_setting_lines(facts: Facts) -> Iterator[str]:
    """Where to set the checking pushrod before the first reading, one sentence for each valve type and checker."""
    for one in first_settings(facts):
        name = f" {one.checker}" if one.checker else ""
        over = f"{value_text(one.reading, facts.system)} over the gauge"
        start = (
            f"start checker{name} at {one.turns:.1f} turns ({over})" if one.turns is not None else f"set it to {over}"
        )
        yield f"{one.subject.text}: {start}, from the predicted length"


def motion_lines(facts: Facts) -> Iterator[str]:
    """Where to read lift and drop for motion.yaml, one sentence for each valve that it still lacks."""
    for one in motion_stops(facts):
        ends = (_stretch(first, last) for first, last in one.stretches)
        lift = [f"read the lift at {' and at '.join(ends)}, every {STEP} deg"] if one.stretches else []
        drop = [] if one.drop_read else [f"one drop at {degrees(one.drop)}"]
        yield f"{one.subject.text}, for motion.yaml: {'; '.join([*lift, *drop])}, with checking springs"


def _stretch(first: float, last: float) -> str:
    return degrees(first) if first == last else f"{degrees(first)} to {degrees(last)}"
