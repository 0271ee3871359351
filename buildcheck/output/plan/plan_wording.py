"""The measuring plan in words, the same on the bench sheet and on the terminal."""

from __future__ import annotations

from collections.abc import Iterator

from buildcheck.advice.measuring_plan import MeasuringPlan, Window
from buildcheck.output.wording import counted

BEFORE_EACH = (
    "Measure each valve at its own stop: lifter down on the heel of its lobe, nothing of the lift in the reading.",
    "Rod seated in the lifter's cup and in the rocker, and through its guide; spin it while the clearance goes.",
    "Take up the clearance until it has just gone, read the length or the turns, and write the crank angle down.",
)
BOLTED = "Rocker bolted down to its torque before anything is read: with it loose no reading counts."
SCREWS = (
    "Set the rockers' screws where they should stand before anything is read; or leave them all alike and write how "
    "far from there they stand (screw_at in rockers.yaml, out towards the push rod positive)."
)
AFTER_EACH = (
    "Rocker clear of the spring retainer through the whole lift: a mark made on the retainer is worthless.",
    "Ink the tip, then turn two full turns of the crank for the mark, ending at the same stop, on the heel.",
)
LINES = "Read the roller's line with the valve shut and at full lift too, where checking springs are fitted."


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
        return "Every valve has a reading: nothing is left to measure."
    verb = "serves" if len(plan.stops) == 1 else "serve"
    stops, valves = counted(len(plan.stops), "stop"), counted(len(plan.valves), "valve")
    serve = f"{stops} in two turns of the crank {verb} {valves}"
    return f"{serve}, the fewest there can be. The crank counts from the firing TDC of cylinder 1, 0 to 720 deg."


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
