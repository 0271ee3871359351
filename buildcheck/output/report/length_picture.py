"""The strip chart of the lengths of a build, with its text alternative."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from buildcheck.app.build_check import CheckedBuild
from buildcheck.core.subject import VALVE_TYPES
from buildcheck.output.report.length_chart import draw_lengths, scale
from buildcheck.output.report.length_rows import LengthRow, length_rows
from buildcheck.units.quantity import show

TITLE = "Required and ordered lengths"


def length_chart(checked: CheckedBuild) -> tuple[str, str] | None:
    """The chart's SVG and its text alternative; None if no valve has a length yet."""
    rows = [row for row in length_rows(checked).values() if row.required or row.allowed]
    if not rows:
        return None
    system = checked.facts.system
    low, high = scale(rows)
    alt = f"{TITLE}. {' '.join(_summary(rows, valve, system) for valve in VALVE_TYPES)}".strip()
    ends = show(low, "length", system), show(high, "length", system)
    return draw_lengths(TITLE, alt, rows, ends), alt


def _summary(rows: Sequence[LengthRow], valve: str, system: str) -> str:
    """A type's shortest and longest required length, what all its valves allow, and what is ordered."""
    of_type = [row for row in rows if row.text.startswith(valve)]
    lengths = [row.required[0] for row in of_type if row.required is not None]
    if not lengths:
        return ""
    parts = [f"{valve}: required {_span(min(lengths), max(lengths), system)}"]
    single = [row.allowed[0] for row in of_type if len(row.allowed) == 1]
    low, high = max((span[0] for span in single), default=1.0), min((span[1] for span in single), default=0.0)
    parts += [f"all allow {_span(low, high, system)}"] if low <= high else []
    parts += (
        [f"ordered {', '.join(_ordered(of_type, system))}"] if any(row.ordered is not None for row in of_type) else []
    )
    return f"{'; '.join(parts)}."


def _span(low: float, high: float, system: str) -> str:
    return f"{show(low, 'length', system)} to {show(high, 'length', system)}"


def _ordered(rows: Sequence[LengthRow], system: str) -> Iterator[str]:
    yield from dict.fromkeys(show(row.ordered, "length", system) for row in rows if row.ordered is not None)
