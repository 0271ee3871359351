"""Lays out entries to be filled in marks.yaml: only by inserting lines, and only as comments.

An entry without a reading is no reading: as a comment the file stays valid, and nothing half measured counts.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from buildcheck.advice.measuring_plan import MeasuringPlan, Stop, ValveStop
from buildcheck.core.subject import Subject
from buildcheck.output.plan.plan_wording import degrees
from buildcheck.yamlio.documents import plain, read
from buildcheck.yamlio.insertion import UnsupportedLayoutError
from buildcheck.yamlio.nodes import Node

FILE = "marks.yaml"
EMPTY_FILE = "valves: []\n"
NOTE = "# From the measuring plan: take the # off a valve's lines as you fill them in"
_TEMPLATE_ENTRY = re.compile(r"^ *#- cylinder: (\d+)\r?\n *#  valve: (intake|exhaust)\b", re.MULTILINE)
_TEMPLATE_LINE = re.compile(r"^ *#(- cylinder:|  (valve|crank|trials|at|readings):|    - \{)")


def insert_entries(text: str, plan: MeasuringPlan) -> tuple[str, list[ValveStop]]:
    """The text with commented entries for the plan's valves that have none yet, and those valves.

    Raises UnsupportedLayoutError where ``valves`` is no list with one entry a line.
    """
    root = read(text.encode(), FILE).root
    valves = root.get("valves") if root is not None else None
    if root is None or valves is None:
        raise UnsupportedLayoutError(f"{FILE} has no list of valves: write 'valves: []' in it")
    existing = set(_existing_entries(valves, text))
    new = [(stop, [one for one in stop.valves if one.subject not in existing]) for stop in plan.stops]
    added = [valve for _, at_stop in new for valve in at_stop]
    if not added:
        return text, []
    block = list(_block(new, plan, list_indent(valves, text, FILE), not valves.items))
    return with_lines(text, insertion_line(root, valves, text, FILE), block, FILE), added


def with_lines(text: str, before: int, block: list[str], file: str) -> str:
    """The text with lines of comment after so many of its lines; nothing else moves, and no value changes.

    Raises UnsupportedLayoutError if a value would change.
    """
    lines = text.split("\n")
    ending = "\r" if lines[0].endswith("\r") else ""
    head, tail = lines[:before], lines[before:]
    if not tail:
        tail = [""]
        head[-1] += ending
    made = "\n".join([*head, *(line + ending for line in block), *tail])
    old, new = read(text.encode(), FILE).root, read(made.encode(), FILE).root
    if (plain(new) if new is not None else None) != (plain(old) if old is not None else None):
        raise UnsupportedLayoutError(f"entries cannot be laid out in {file} without changing its values")
    return made


def _existing_entries(valves: Node, text: str) -> Iterator[Subject]:
    """Valves with an entry, filled in or laid out before."""
    for entry in valves.items:
        yield Subject(int(entry.word("cylinder")), entry.word("valve"))
    yield from laid_out(text)


def laid_out(text: str) -> Iterator[Subject]:
    """Valves with a commented entry to be filled in."""
    for cylinder, valve in _TEMPLATE_ENTRY.findall(text):
        yield Subject(int(cylinder), valve)


def insertion_line(root: Node, valves: Node, text: str, file: str) -> int:
    """How many lines come before the place to insert: up to the last entry, laid out ones included."""
    start, lines = root.key_places["valves"], text.split("\n")
    if start.column != 1:
        raise UnsupportedLayoutError(f"{file} is written in braces: write one entry a line")
    after = [place.line for place in root.key_places.values() if place.line > start.line]
    end = min(after, default=len(lines) + 1) - 1
    while end > start.line and _belongs_below(lines[end - 1]):
        end -= 1
    return end


def _belongs_below(line: str) -> bool:
    """Blank lines, ends of the document, and comments in the first column belong to what follows."""
    return not line.strip() or (line[0] in "#.-" and not _TEMPLATE_LINE.match(line) and not line.startswith("- "))


def list_indent(valves: Node, text: str, file: str) -> str:
    """The spaces before the dash of an entry."""
    if not valves.items:
        return "  "
    place = valves.items[-1].place
    before = text.split("\n")[place.line - 1][: place.column - 1]
    if not re.fullmatch(r" *- +", before):
        raise UnsupportedLayoutError(f"the valves in {file} are written in brackets: write one entry a line")
    return before[: before.index("-")]


def entry_head(subject: Subject, indent: str) -> Iterator[str]:
    """The first lines of an entry to be filled in: which valve it is."""
    yield f"{indent}#- cylinder: {subject.cylinder}"
    yield f"{indent}#  valve: {subject.valve}"


def _block(new: list[tuple[Stop, list[ValveStop]]], plan: MeasuringPlan, indent: str, empty: bool) -> Iterator[str]:
    brackets = ", and the [] after valves" if empty else ""
    yield f"{indent}{NOTE}{brackets}."
    contacts = ", shut_at: , open_at: " if plan.roller else ""
    for stop, valves in new:
        if valves:
            yield f"{indent}# Crank at {degrees(stop.crank)}, {stop.reference}"
        for valve in valves:
            yield from entry_head(valve.subject, indent)
            yield f"{indent}#  crank: {degrees(stop.crank)}"
            yield f"{indent}#  trials:"
            yield f"{indent}#    - {{length: , mark: {{from: , to: }}{contacts}}}"
