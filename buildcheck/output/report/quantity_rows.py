"""The report's rows of quantities of the build and of its valve types."""

from __future__ import annotations

from collections.abc import Iterator

from buildcheck.app.build_check import CheckedBuild, quantities
from buildcheck.core.value import Value
from buildcheck.output.value_wording import value_text
from buildcheck.record import Record


class QuantityRow(Record):
    """One quantity: its title, its name in rules, and its values, with the remark that they share."""

    title: str
    name: str
    text: str


def quantity_rows(checked: CheckedBuild) -> Iterator[QuantityRow]:
    """One row each; a value that all valve types share is written once."""
    known = checked.facts.quantities
    listed = [name for name, one in known.items() if one.listed and one.per in ("build", "valve_type")]
    for name, values in quantities(checked.facts, listed):
        each = [(subject.text, value) for subject, value in values.items() if value.kind != "count"]
        if each:
            yield QuantityRow(known[name].title, name, _text(each, checked.facts.system))


def _text(values: list[tuple[str, Value]], system: str) -> str:
    each = [(who, value_text(value, system)) for who, value in values]
    basis = {value.remark for _, value in values}
    shared = f" ({basis.pop()})" if len(basis) == 1 and basis != {""} else ""
    if len(each) > 1 and len({text for _, text in each}) == 1:
        return f"{each[0][1]}{shared}"
    return "; ".join(f"{who} {text}".strip() for who, text in each) + shared
