"""The bench sheet in Markdown: to print, with blanks to fill in by hand."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from buildcheck.advice.measuring_plan import Bench, Sheet, Stop, Timing, Window
from buildcheck.app.build_check import Checked
from buildcheck.output.cautions import AT_THE_BENCH
from buildcheck.output.markdown import md
from buildcheck.output.next_readings_wording import next_reading_lines
from buildcheck.output.plan.plan_wording import degrees, heel_shown, lead, margins_shown, watch, wheel

BLANK = "______"


def write(checked: Checked, sheet: Sheet) -> str:
    """The whole sheet."""
    lines = [f"# Measuring plan: {md(checked.build.name)}", "", md(lead(sheet)), ""]
    lines += [f"- **{when}.** {what}" for when, what in AT_THE_BENCH]
    lines += ["", "## At every valve", "", *(f"{n}. {text}" for n, text in enumerate(watch(sheet), 1))]
    if first := [line.strip() for line in next_reading_lines(checked)]:
        lines += ["", "## What to read first", "", *(f"- {md(line)}" for line in first)]
    for number, stop in enumerate(sheet.stops, 1):
        lines += ["", *_stop(number, stop, sheet)]
    return "\n".join([*lines, "", *_timings(sheet), ""])


def _stop(number: int, stop: Stop, sheet: Sheet) -> Iterator[str]:
    yield f"## Stop {number}: crank at {degrees(stop.crank)}"
    yield ""
    yield f"{stop.beside[:1].upper()}{stop.beside[1:]}; {wheel(stop.crank)}."
    yield ""
    contacts = ["Line, valve closed", "Line, full lift"] if sheet.roller else []
    bolted = ["Bolted down"] if sheet.bolted else []
    heads = ["Valve", "On base circle", "Crank", "Length or turns", "Mark from", "Mark to", *contacts]
    checks = ["Pushrod seated", "Clear of retainer", *bolted, "Two turns"]
    yield from _head([*heads, *checks, "In marks.yaml"])
    for valve in stop.valves:
        yield _row([*_named(valve), *[BLANK] * (len(heads) - 2), *["☐"] * len(checks), "yes" if valve.measured else ""])


def _named(valve: Bench) -> tuple[str, str]:
    return valve.subject.text.removeprefix("cylinder "), heel_shown(valve.heel)


def _timings(sheet: Sheet) -> Iterator[str]:
    yield "## Cam events by cylinder"
    yield ""
    cut = f"Base circles and both-closed windows are {margins_shown(sheet)} shorter at either end."
    yield f"Crank in degrees after the firing TDC of cylinder 1. {cut}"
    yield ""
    events = [event.capitalize() for event in sheet.timings[0].events]
    yield from _head(["Cylinder", "Fires", *events, "Both closed", "On overlap as it fires"])
    for timing in sheet.timings:
        yield _row(_timed(timing))


def _timed(timing: Timing) -> list[str]:
    events = [degrees(angle) for angle in (timing.fires, *timing.events.values())]
    other = f"cylinder {timing.companion}" if timing.companion is not None else "none"
    return [str(timing.cylinder), *events, _shut(timing.both_shut), other]


def _shut(window: Window | None) -> str:
    return heel_shown(window) if window is not None else "never"


def _head(names: list[str]) -> list[str]:
    return [_row(names), "|" + "---|" * len(names)]


def _row(cells: Iterable[str]) -> str:
    return f"| {' | '.join(cells)} |"
