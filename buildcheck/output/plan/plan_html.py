"""The bench sheet as one HTML page to print on A4 or Letter, upright: large boxes, one block for each stop."""

from __future__ import annotations

from collections.abc import Iterator
from html import escape

from buildcheck.advice.measuring_plan import MeasuringPlan, Stop, ValveStop
from buildcheck.advice.motion_plan import MotionStop, motion_stops
from buildcheck.app.build_check import CheckedBuild
from buildcheck.core.escape import one_line
from buildcheck.output.cautions import AT_THE_BENCH
from buildcheck.output.next_readings_wording import next_reading_lines
from buildcheck.output.plan.plan_drawings import degree_wheel, mark_key
from buildcheck.output.plan.plan_wording import degrees, heel_text, instructions, lead, wheel

TRIALS = 3
"""So many rows of boxes for each valve."""

MOTION_COLUMNS = 4
MOTION_HELP = (
    "Fit checking springs. Turn the crank by hand and only in its direction of running. Stop at the first resistance: "
    "a valve can touch the piston. For the drop, hold the crank and push the valve down until it touches the piston."
)

STYLE = """
@page { size: portrait; margin: 12mm; }
* { box-sizing: border-box; }
body { font: 11pt/1.35 sans-serif; color: #000; background: #fff; max-width: 184mm; margin: 0 auto; }
h1 { font-size: 17pt; margin: 0 0 2mm; }
h2 { font-size: 14pt; margin: 0 0 1mm; }
li { margin: 0 0 1mm; }
.cautions { border: 1mm solid #000; padding: 2mm 3mm; margin: 3mm 0; }
.cautions p { margin: 0 0 1.5mm; }
.cautions, .help, .first, .stop, tbody { break-inside: avoid; }
.help { display: flex; gap: 4mm; align-items: flex-start; }
.help ol { margin: 0; padding-left: 6mm; flex: 1; }
.first p { margin: 0 0 1mm; }
.key { width: 80mm; height: 42mm; }
.stop { margin: 0 0 6mm; padding-top: 2mm; }
.head { display: flex; justify-content: space-between; break-after: avoid; break-inside: avoid; }
.wheel { width: 34mm; height: 34mm; }
table { width: 100%; border-collapse: collapse; table-layout: fixed; }
th, td { border: 0.35mm solid #000; font-size: 9pt; padding: 0.5mm 1mm; text-align: left; vertical-align: top; }
thead th { font-weight: normal; }
td { height: 11mm; }
th.valve { width: 30mm; font-size: 12pt; }
th small { display: block; font-weight: normal; font-size: 8.5pt; }
th.valve small { display: block; font-weight: normal; font-size: 8.5pt; }
th.checks { width: 29mm; font-weight: normal; font-size: 8.5pt; }
.short { width: 9mm; }
"""


def write(checked: CheckedBuild, plan: MeasuringPlan) -> str:
    """The whole page, which needs no other file."""
    title = _safe(f"Measuring plan: {checked.build.name}")
    parts = [
        f'<!DOCTYPE html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n<title>{title}</title>',
        f"<style>{STYLE}</style>\n</head>\n<body>\n<h1>{title}</h1>\n<p>{_safe(lead(plan))}</p>",
        *_cautions(),
        *_help(plan),
        *_first(checked),
        *(line for number, stop in enumerate(plan.stops, 1) for line in _stop(number, stop, plan)),
        *(line for stop in motion_stops(checked.facts) for line in _motion(stop)),
        "</body>\n</html>\n",
    ]
    return "\n".join(parts)


def _cautions() -> Iterator[str]:
    yield '<div class="cautions">'
    yield from (f"<p><strong>{_safe(when)}.</strong> {_safe(text)}</p>" for when, text in AT_THE_BENCH)
    yield "</div>"


def _help(plan: MeasuringPlan) -> Iterator[str]:
    yield '<div class="help"><ol>'
    yield from (f"<li>{_safe(text)}</li>" for text in instructions(plan))
    yield f"</ol>{mark_key(plan.roller)}</div>"


def _first(checked: CheckedBuild) -> Iterator[str]:
    if lines := [line.strip() for line in next_reading_lines(checked)]:
        yield '<div class="first"><h2>What to read first</h2>'
        yield from (f"<p>{_safe(line)}</p>" for line in lines)
        yield "</div>"


def _stop(number: int, stop: Stop, plan: MeasuringPlan) -> Iterator[str]:
    where = f"{stop.reference[:1].upper()}{stop.reference[1:]}; {wheel(stop.crank)}."
    yield f'<section class="stop"><div class="head"><div><h2>Stop {number}: crank at {_safe(degrees(stop.crank))}</h2>'
    yield f"<p>{_safe(where)}</p><p>Date ____________________ Read by ____________________</p></div>"
    yield f"{degree_wheel(stop.crank)}</div>"
    shim, lines = ["Shim"] * plan.bolted, ["Line closed", "Line open"] * plan.roller
    boxes = [*shim, "Length or turns", "Mark from", "Mark to", *lines]
    names = "".join(f"<th>{name}</th>" for name in boxes)
    yield '<table><thead><tr><th class="valve">Valve</th><th class="checks">Check</th>'
    yield f'<th class="short">No.</th>{names}</tr></thead>'
    for valve in stop.valves:
        yield _valve(valve, len(boxes), plan)
    yield "</table></section>"


def _motion(stop: MotionStop) -> Iterator[str]:
    """Boxes for the lift of one valve at each crank angle, and for the drop where it is read."""
    valve = stop.subject.text.capitalize()
    yield f'<section class="stop"><div class="head"><div><h2>{_safe(valve)}: lift and drop for motion.yaml</h2>'
    yield f"<p>{_safe(MOTION_HELP)}</p><p>Date ____________________ Read by ____________________</p></div></div>"
    yield f"<table><thead><tr>{'<th>Crank</th><th>Lift</th>' * MOTION_COLUMNS}</tr></thead><tbody>"
    cells = [f"<th>{_safe(degrees(crank))}<small>wheel {crank % 360:g}</small></th><td></td>" for crank in stop.lifts]
    rows = -(-len(cells) // MOTION_COLUMNS)
    for row in range(rows):
        yield f"<tr>{''.join(cells[row::rows])}</tr>"
    yield "</tbody></table>"
    if not stop.drop_read:
        drop = _safe(f"Drop to the piston at {degrees(stop.drop)}")
        yield f"<table><tbody><tr><th>{drop}</th><td></td></tr></tbody></table>"
    yield "</section>"


def _valve(valve: ValveStop, boxes: int, plan: MeasuringPlan) -> str:
    name = valve.subject.text.removeprefix("cylinder ")
    done = "<small>has a reading</small>" if valve.measured else ""
    window = f"<small>base circle {_safe(heel_text(valve.heel))}</small>"
    checks = ["seated", "clear of retainer", *(["bolted down"] if plan.bolted else []), "two turns"]
    ticks = "<br>".join(f"&#9744; {check}" for check in checks)
    rows = []
    for trial in range(1, TRIALS + 1):
        first = f'<th class="valve" rowspan="{TRIALS}">{_safe(name)}{window}{done}</th>' if trial == 1 else ""
        second = f'<th class="checks" rowspan="{TRIALS}">{ticks}</th>' if trial == 1 else ""
        rows.append(f'<tr>{first}{second}<td class="short">{trial}</td>{"<td></td>" * boxes}</tr>')
    return f"<tbody>{''.join(rows)}</tbody>"


def _safe(text: str) -> str:
    return escape(one_line(text))
