"""The bench sheet in Markdown: to print, with blanks to fill in by hand."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from buildcheck.advice.measuring_plan import MeasuringPlan, Stop, Timing, ValveStop, Window
from buildcheck.app.build_check import CheckedBuild
from buildcheck.output.cautions import AT_THE_BENCH
from buildcheck.output.markdown import md
from buildcheck.output.next_readings_wording import next_reading_lines
from buildcheck.output.plan.plan_wording import (
    degrees,
    first_setting_lines,
    heel_text,
    instructions,
    lead,
    margins_text,
    motion_lines,
    wheel,
)

BLANK = "______"


def write(checked: CheckedBuild, plan: MeasuringPlan) -> str:
    """The whole sheet."""
    lines = [f"# Measuring plan: {md(checked.build.name)}", "", md(lead(plan)), ""]
    lines += [f"- **{when}.** {what}" for when, what in AT_THE_BENCH]
    lines += ["", "## At every valve", "", *(f"{n}. {text}" for n, text in enumerate(instructions(plan), 1))]
    if settings := list(first_setting_lines(checked.facts)):
        lines += ["", "## First setting of the checking pushrod", "", *(f"- {md(line)}" for line in settings)]
    if first := [line.strip() for line in next_reading_lines(checked)]:
        lines += ["", "## What to read first", *_paragraphs(first)]
    if motion := list(motion_lines(checked.facts)):
        lines += ["", "## Lift and drop", "", *(f"- {md(line)}" for line in motion)]
    for number, stop in enumerate(plan.stops, 1):
        lines += ["", *_stop(number, stop, plan)]
    return "\n".join([*lines, "", *_timings(plan), ""])


def _paragraphs(lines: Iterable[str]) -> Iterator[str]:
    """Each line as a paragraph; lines with a number together as a list."""
    in_list = False
    for line in lines:
        number, dot, rest = line.partition(". ")
        listed = bool(dot) and number.isdecimal()
        yield from [] if listed and in_list else [""]
        yield f"{number}. {md(rest)}" if listed else md(line)
        in_list = listed


def _stop(number: int, stop: Stop, plan: MeasuringPlan) -> Iterator[str]:
    yield f"## Stop {number}: crank at {degrees(stop.crank)}"
    yield ""
    yield f"{stop.reference[:1].upper()}{stop.reference[1:]}; {wheel(stop.crank)}."
    yield ""
    contacts = ["Line, valve closed", "Line, full lift"] if plan.roller else []
    bolted = ["Bolted down"] if plan.bolted else []
    shim = ["Shim"] if plan.bolted else []
    heads = ["Valve", "On base circle", "Crank", *shim, "Length or turns", "Mark from", "Mark to", *contacts]
    checks = ["Pushrod seated", "Clear of retainer", *bolted, "Two turns"]
    yield from _head([*heads, *checks, "In marks.yaml"])
    for valve in stop.valves:
        yield _row([*_named(valve), *[BLANK] * (len(heads) - 2), *["☐"] * len(checks), "yes" if valve.measured else ""])


def _named(valve: ValveStop) -> tuple[str, str]:
    return valve.subject.text.removeprefix("cylinder "), heel_text(valve.heel)


def _timings(plan: MeasuringPlan) -> Iterator[str]:
    yield "## Cam events by cylinder"
    yield ""
    cut = f"Base circles and both-closed windows are shown {margins_text(plan)} shorter at either end, to be safe."
    yield f"Crank in degrees after the firing TDC of cylinder 1. {cut}"
    yield ""
    events = [event.capitalize() for event in plan.timings[0].events]
    yield from _head(["Cylinder", "Fires", *events, "Both closed", "On overlap as it fires"])
    for timing in plan.timings:
        yield _row(_timed(timing))


def _timed(timing: Timing) -> list[str]:
    events = [degrees(angle) for angle in (timing.fires, *timing.events.values())]
    other = f"cylinder {timing.companion}" if timing.companion is not None else "none"
    return [str(timing.cylinder), *events, _shut(timing.both_shut), other]


def _shut(window: Window | None) -> str:
    return heel_text(window) if window is not None else "never"


def _head(names: list[str]) -> list[str]:
    return [_row(names), "|" + "---|" * len(names)]


def _row(cells: Iterable[str]) -> str:
    return f"| {' | '.join(cells)} |"
