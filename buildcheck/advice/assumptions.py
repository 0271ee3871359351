"""What somebody asks 'what if' about: a part milled, swapped or raised, as written on the command line."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from buildcheck.build.facts import Facts
from buildcheck.build.length_conventions import minus
from buildcheck.core.escape import one_line
from buildcheck.core.usage_error import UsageError
from buildcheck.core.value import Value
from buildcheck.quantities.predicted_length import CHANGES
from buildcheck.schema.fields import field_schema
from buildcheck.schema.near_miss import suggest
from buildcheck.schema.plausible_range import implausible
from buildcheck.units.quantity import QuantityError, parse

SIZES: Mapping[str, str] = MappingProxyType(
    {
        "base_circle_diameter": "cam.base_circle_diameter",
        "chamber_volume": "heads.chamber_volume",
        "gasket_thickness": "heads.gasket.thickness",
        "head_height": "heads.height",
        "piston_volume": "block.piston_volume",
    }
)
"""Assumed by its new size -> the field that holds the present one. All others are assumed by how much they change."""

ASSUMABLE = tuple(sorted({*CHANGES, *SIZES}))


@dataclass(frozen=True, slots=True)
class Assumption:
    """One part of the what-if: ``change`` as the stack-up names it, ``size`` the new one where it was given so."""

    name: str
    written: str
    change: Value
    size: Value | None


def assume(facts: Facts, text: str) -> Assumption:
    """Read ``head_milled=0.010 in``. Raises UsageError for what cannot be meant, Undecided without a present size.

    What is usual is what the files say of the same field, so that nothing is assumed that could not be written.
    """
    name, equals, written = (part.strip() for part in text.partition("="))
    if name not in ASSUMABLE:
        near = suggest(name, ASSUMABLE)
        hint = f"did you mean {near}?" if near else f"one of {', '.join(ASSUMABLE)}"
        raise UsageError(f"--with does not know {one_line(name)!r}: {hint}")
    if not equals or not written:
        raise UsageError(f"--with {name} needs a value: --with {name}='{_example(name)}'")
    field = field_schema(SIZES.get(name, f"stackup.changes.{name}"))
    try:
        amount = parse(written, field["format"])
    except QuantityError as error:
        raise UsageError(f"--with {name}: {error}") from error
    if wrong := implausible(written, amount.kind, field["title"], field["x-plausible"], field.get("x-zero", False)):
        raise UsageError(f"--with {name}: {wrong}")
    parts = {f"assumed {name}": float(amount.expanded) / 2} if amount.expanded else {}
    value = Value(float(amount.si), amount.kind, parts)
    if name in SIZES:
        return Assumption(name, written, minus(value, facts.field(SIZES[name])), value)
    return Assumption(name, written, value, None)


def _example(name: str) -> str:
    if name.endswith("volume"):
        return "62 cc"
    return {"gasket_thickness": "0.041 in", "head_height": "3.520 in"}.get(name, "0.010 in")
