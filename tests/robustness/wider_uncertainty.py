"""A wider ``+/-`` on each written value of each shipped build, within its bound: nothing turns green by it.

``python tests/robustness/wider_uncertainty.py`` tries each value as it is written, with each typing error that blocks
or warns, and in builds that something else blocks, and prints what turned green.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator, Mapping
from decimal import Decimal
from functools import cache
from typing import NamedTuple

from typing_errors import typing_errors
from written_values import BUILDS, WrittenValue, checked_with_all, written_values

from buildcheck.app.build_check import CheckedBuild
from buildcheck.schema.fields import field_schema
from buildcheck.units.number import leading_number, tidy

CONSISTENCY = frozenset(
    {
        "fixed-mount-mark-moved", "length-outlier", "lift-readings-in-order", "lines-inside-mark", "mark-trusted",
        "parts-consistent",
        "predicted-agrees", "repeats-agree", "solid-height-agrees", "spring-rate-agrees", "trial-consistency",
        "values-agree",
    }
)  # fmt: skip
"""Rules that hold readings against each other: they may fall silent when one of them is less certain."""
ESTIMATED = frozenset({"length-spread-narrow"})
"""A spread estimated from all lengths of a type: a less certain reading has less weight in its length."""


class Case(NamedTuple):
    """A build with some values written differently, and one of its values with and without a wider ``+/-``."""

    folder: str
    texts: Mapping[WrittenValue, str]
    value: WrittenValue
    wider: str

    @property
    def name(self) -> str:
        """What was tried, for people."""
        return f"{self.folder} {self.value.path} {self.wider} {[*self.texts.values()]}"


def widest(value: WrittenValue, text: str) -> str | None:
    """The text with the widest ``+/-`` that may be entered; None if the field has no uncertainty."""
    most = str(field_schema(value.field).get("x-uncertainty", "none"))
    if most == "none":
        return None
    plain = tidy(text).partition("+/-")[0].strip()
    if most.endswith(" %"):
        number, unit = leading_number(plain)
        most = f"{abs(number) * Decimal(most.removesuffix(' %')) / 100:f} {unit.strip()}".strip()
    return f"{plain} +/- {most}"


def cases() -> Iterator[Case]:
    """Every value as written, with each typing error, and beside each value that blocks its build."""
    for folder in BUILDS:
        for value in written_values(folder):
            yield from _case(folder, {}, value)
            for error in typing_errors(value):
                yield from _case(folder, {value: error.text}, value)
        for broken in blocking_edits(folder):
            for value in written_values(folder):
                if value not in broken:
                    yield from _case(folder, broken, value)


def _case(folder: str, texts: Mapping[WrittenValue, str], value: WrittenValue) -> Iterator[Case]:
    wider = widest(value, texts.get(value, value.text))
    if wider is not None:
        yield Case(folder, texts, value, wider)


@cache
def blocking_edits(folder: str) -> tuple[Mapping[WrittenValue, str], ...]:
    """Three ways to block a build: a mark at the edge, a clearance too small, a valve spring that binds."""
    values = {value.path: value for value in written_values(folder)}
    last_mark = [value for path, value in values.items() if path.startswith("marks") and path.endswith(".mark.from")][
        -1
    ]
    unit = "mm" if "mm" in last_mark.text else "in"
    edits = (
        {last_mark: f"0.02 {unit}" if unit == "in" else "0.5 mm"},
        {values["clearances.intake.retainer_to_seal"]: f"{'0.45 in' if unit == 'in' else '12.0 mm'}"},
        {values["heads.springs.exhaust.coil_bind_height"]: "1.30 in" if unit == "in" else "35 mm"},
    )
    return tuple(edit for edit in edits if checked_with_all(folder, edit).exit_code == 1)


def greened(case: Case) -> list[str]:
    """What a wider ``+/-`` turned green: rules with a limit that now pass, and the build if nothing blocks it now."""
    before, after = _before(case), checked_with_all(case.folder, {**case.texts, case.value: case.wider})
    if before.problems or after.problems:
        return []
    compared = {(one.rule, one.subject): one.kind for one in before.results if one.value is not None}
    found = [
        f"{one.rule} {one.subject.key} was {kind}"
        for one in after.results
        if one.kind == "pass" and one.rule not in CONSISTENCY | ESTIMATED
        if (kind := compared.get((one.rule, one.subject))) in ("fail", "open")
    ]
    return found + (["ready"] if before.exit_code == 1 and after.exit_code == 0 else [])


def _before(case: Case) -> CheckedBuild:
    return _checked(case.folder, tuple(case.texts.items()))


@cache
def _checked(folder: str, texts: tuple[tuple[WrittenValue, str], ...]) -> CheckedBuild:
    return checked_with_all(folder, dict(texts))


def main() -> int:
    """Tries all cases; 1 if anything turned green."""
    tried, bad = 0, 0
    for case in cases():
        tried += 1
        for words in greened(case):
            bad += 1
            print(f"{words}: {case.name}")
    print(f"{tried} wider uncertainties, {bad} turned something green")
    return int(bad > 0)


if __name__ == "__main__":
    sys.exit(main())
