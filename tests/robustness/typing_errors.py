"""Gross typing errors in every physical value of every shipped build, and which of them are noticed.

``python tests/robustness/typing_errors.py`` tries all of them, which takes minutes, and writes the figures and those
that pass into docs/robustness.md.
"""

from __future__ import annotations

import re
import sys
from collections import Counter
from collections.abc import Iterator, Sequence
from decimal import Decimal
from typing import NamedTuple

from written_values import BUILDS, ROOT, WrittenValue, checked_with, unchanged, written_values

from buildcheck.app.build_check import CheckedBuild
from buildcheck.units.number import QuantityError, leading_number, tidy
from buildcheck.units.quantity import parse

REFUSED, BLOCKED, WARNED, UNNOTICED = "refused", "blocked", "warned", "unnoticed"
Findings = frozenset[tuple[str, str]]


class TypingError(NamedTuple):
    """A written value, the kind of mistake, and what is written by it."""

    value: WrittenValue
    mistake: str
    text: str


def typing_errors(value: WrittenValue) -> Iterator[TypingError]:
    """The value ten times and a tenth, 25.4 times, negative, zero, and with inch and millimetre confused.

    One that leaves the value as it is, or equals an earlier one, is left out.
    """
    seen = {_si(value.text, value.kind)}
    for mistake, text in _mistakes(value):
        if (si := _si(text, value.kind)) not in seen:
            seen.add(si)
            yield TypingError(value, mistake, text)


def _si(text: str, kind: str) -> Decimal | str:
    """The value in SI, or the text of one that cannot be read at all, such as a temperature below absolute zero."""
    try:
        return parse(text, kind).si
    except QuantityError:
        return text


def _mistakes(value: WrittenValue) -> Iterator[tuple[str, str]]:
    number, rest = leading_number(tidy(value.text))
    yield "x 10", _written(number * 10, rest)
    yield "/ 10", _written(number / 10, rest)
    if value.kind == "length":
        yield "x 25.4", _written(number * Decimal("25.4"), rest)
        yield "inch for mm", value.text.replace("mm", "in") if "mm" in rest else value.text.replace("in", "mm")
    yield "sign", _written(-number, rest)
    yield "zero", _written(Decimal(0), rest)


def _written(number: Decimal, rest: str) -> str:
    return f"{number:f} {rest.strip()}".strip()


def outcome(error: TypingError) -> str:
    """How the check meets a typing error: refused, blocked, warned or unnoticed."""
    return difference(unchanged(error.value.folder), checked_with(error.value, error.text))


def difference(before: CheckedBuild, after: CheckedBuild) -> str:
    """What is new in a check: a problem, a blocking result, a failed rule of level error or warning, or nothing."""
    if after.problems:
        return REFUSED
    if _blocking(after) - _blocking(before):
        return BLOCKED
    return WARNED if _warnings(after) - _warnings(before) else UNNOTICED


def _blocking(checked: CheckedBuild) -> Findings:
    return frozenset((one.rule, one.subject.key) for one in checked.results if one.blocks)


def _warnings(checked: CheckedBuild) -> Findings:
    return frozenset((one.rule, one.subject.key) for one in checked.results if one.level in ("error", "warning"))


def all_errors() -> list[TypingError]:
    """Every typing error in every shipped build."""
    return [error for folder in BUILDS for value in written_values(folder) for error in typing_errors(value)]


DOCUMENT = ROOT / "docs" / "robustness.md"
BEGIN, END = "<!-- typing errors -->\n", "<!-- end of typing errors -->\n"
_DECK = "pistons flush with the deck, above or below it are all usual; the quench stays usual"
_CLAY = "clay is read as coarsely as that; its uncertainty decides"
_MARK = "an earlier mark on a pad tip: any edge on the tip is possible, and the last mark decides"
_ANGLE = "valves parallel to the bore are usual, and so are those at a small angle"
_HOLE = "pushrods without an oil hole are usual"
REASONS = {
    "block.deck_clearance": _DECK,
    "block.each.deck_clearance": _DECK,
    "block.piston_volume": "flat, dished and domed pistons are all usual, and so is each compression ratio",
    "cam.advance": "advanced, retarded and straight up are all usual",
    "clearances.exhaust.piston_to_valve.gauge.resolution": _CLAY,
    "clearances.intake.piston_to_valve.gauge.resolution": _CLAY,
    "heads.valves.exhaust.angle": _ANGLE,
    "heads.valves.intake.angle": _ANGLE,
    "marks.valves.crank": "a top dead centre, near the middle of this base circle, or the angle of another valve",
    "marks.valves.trials.mark.from": _MARK,
    "motion.valves.readings.lift": "near the seat a lift of nothing is as usual, and the least gap lies elsewhere",
    "pushrods.checker.ends.oil_hole": _HOLE,
    "pushrods.ends.lifter.oil_hole": _HOLE,
    "pushrods.ends.oil_hole": _HOLE,
    "pushrods.inclination": "a pushrod parallel to the valve is usual",
    "stackup.changes.lifter_cup_lower": "a cup that is higher, or as high, is usual; the prediction stays uncertain",
}
"""Why a typing error in a field passes."""


def page(found: Sequence[tuple[TypingError, str]]) -> str:
    """The part of docs/robustness.md between its two marks, from every error with its outcome."""
    counted = Counter(result for _, result in found)
    passed = [error for error, result in found if result == UNNOTICED]
    share = 100 * (1 - len(passed) / len(found))
    values = len({error.value for error, _ in found})
    lines = [
        f"{len(found)} typing errors in {values} values of {len(BUILDS)} builds: {counted[REFUSED]} refused, "
        f"{counted[BLOCKED]} blocked, {counted[WARNED]} with a warning, {len(passed)} unnoticed "
        f"({share:.1f} % noticed). These pass:",
        "",
        "| Field | Typing error | Times | Why it passes |",
        "|---|---|---|---|",
    ]
    for field in sorted({error.value.field for error in passed}):
        own = Counter(error.mistake for error in passed if error.value.field == field)
        lines.append(f"| `{field}` | {', '.join(sorted(own))} | {sum(own.values())} | {REASONS[field]} |")
    return "\n".join(lines) + "\n"


def documented() -> set[tuple[str, str]]:
    """The fields and mistakes that docs/robustness.md lists as unnoticed."""
    rows = [line.split("|")[1:3] for line in _between(DOCUMENT.read_text(encoding="utf-8")) if line.startswith("| `")]
    return {(field.strip(" `"), mistake.strip()) for field, mistakes in rows for mistake in mistakes.split(",")}


def figures() -> list[float]:
    """What the page counts: errors, values, builds; refused, blocked, warned, unnoticed; and the share noticed, %."""
    (line,) = [line for line in _between(DOCUMENT.read_text(encoding="utf-8")) if " typing errors in " in line]
    return [float(number) for number in re.findall(r"\d+(?:\.\d+)?(?=[ )])", line)]


def times() -> list[int]:
    """How often each listed error passes, as the page has it."""
    rows = [line.split("|") for line in _between(DOCUMENT.read_text(encoding="utf-8")) if line.startswith("| `")]
    return [int(row[3]) for row in rows]


def _between(text: str) -> list[str]:
    return text.partition(BEGIN)[2].partition(END)[0].splitlines()


def main() -> int:
    """Tries all of them, prints the figures and writes the page."""
    found = [(error, outcome(error)) for error in all_errors()]
    written = page(found)
    before, _, rest = DOCUMENT.read_text(encoding="utf-8").partition(BEGIN)
    DOCUMENT.write_text(f"{before}{BEGIN}\n{written}\n{END}{rest.partition(END)[2]}", encoding="utf-8")
    print(written)
    return 0


if __name__ == "__main__":
    sys.exit(main())
