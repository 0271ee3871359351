"""A change that a what-if assumes, such as a milled head or another ratio, as written on the command line."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from decimal import Decimal, InvalidOperation
from types import MappingProxyType

from buildcheck.build.changes import CUTS
from buildcheck.build.facts import Facts
from buildcheck.build.length_conventions import minus
from buildcheck.build.supposed_build import Supposed
from buildcheck.core.escape import one_line
from buildcheck.core.problem import Place
from buildcheck.core.subject import BUILD, VALVE_TYPES, Subject
from buildcheck.core.usage_error import UsageError
from buildcheck.core.value import Value, exact
from buildcheck.record import Record
from buildcheck.schema.fields import Schema, field_schema
from buildcheck.schema.near_miss import suggest
from buildcheck.schema.plausible_range import implausible
from buildcheck.units.quantity import QuantityError, parse
from buildcheck.yamlio.documents import Node

CHOSEN = "pushrods.chosen.{valve}"

ABSOLUTE: Mapping[str, str] = MappingProxyType(
    {
        "base_circle_diameter": "cam.base_circle_diameter",
        "cam_advance": "cam.advance",
        "chamber_volume": "heads.chamber_volume",
        "chosen_length": CHOSEN,
        "coil_bind_height": "heads.springs.{valve}.coil_bind_height",
        "gasket_thickness": "heads.gasket.thickness",
        "head_height": "heads.height",
        "installed_height": "heads.springs.{valve}.installed_height",
        "lash": "cam.{valve}.lash",
        "lash_cap": "heads.valves.{valve}.lash_cap.thickness",
        "lash_cap_diameter": "heads.valves.{valve}.lash_cap.diameter",
        "lobe_lift": "cam.{valve}.lobe_lift",
        "piston_volume": "block.piston_volume",
        "ratio": "rockers.ratio.{valve}",
        "seat_force": "heads.springs.{valve}.seat_force",
        "shim": "rockers.shim",
        "spring_rate": "heads.springs.{valve}.rate",
        "tip_radius": "rockers.tip.radius",
        "valve_arm": "rockers.valve_arm",
    }
)
"""Assumed by its new value -> the field that holds the present one."""

ASSUMABLE = tuple(sorted({*CUTS, *ABSOLUTE}))
"""All that can be assumed; what is not absolute is added to what the engine has now."""

SAME_PART = (("shim", "pedestal_raised"), ("lash_cap", "tip_higher"))
NEEDS_PRESENT = frozenset({"base_circle_diameter", "gasket_thickness", "head_height"})
"""Of no use without the present size: what changes is the difference."""


class Assumption(Record):
    """One part of the what-if: ``valve`` if it holds for one valve type alone; ``node`` as a file would hold it.

    ``change``: by how much, of a cut and of a size that is known now; ``value``: the new value if it is absolute.
    """

    name: str
    valve: str
    written: str
    node: Node
    value: Value
    change: Value | None
    present: Value | None

    @property
    def absolute(self) -> bool:
        """Whether it is a new value; else it is added to what the engine has now."""
        return self.name in ABSOLUTE

    @property
    def shown(self) -> str:
        """Its name as written, with spaces."""
        return f"{self.valve} {self.name}".strip().replace("_", " ")


def assume(facts: Facts, text: str) -> Assumption:
    """Read ``head_milled=0.010 in`` or ``intake.ratio=1.7``. Raises UsageError for what cannot be meant.

    The plausible range is that of the same field in the files, so that nothing is assumed that could not be entered.
    Undecided if a size is needed that is not entered.
    """
    key, equals, written = (part.strip() for part in text.partition("="))
    valve, name = _split(key)
    if name not in ASSUMABLE:
        near = suggest(name, ASSUMABLE)
        hint = f"did you mean {near}?" if near else f"one of {', '.join(ASSUMABLE)}"
        raise UsageError(f"unknown quantity for --with: {one_line(name)!r}: {hint}")
    if valve and "{valve}" not in ABSOLUTE.get(name, ""):
        raise UsageError(f"--with {one_line(key)}: {name} has one value for both valve types")
    if not equals or not written:
        raise UsageError(f"--with {name} needs a value: --with {name}='{_example(name)}'")
    node, value = _read(name, written)
    if name not in ABSOLUTE:
        return Assumption(name, "", written, node, value, value, None)
    present = _present(facts, name, valve)
    change = minus(value, present) if present is not None else None
    return Assumption(name, valve, written, node, value, change, present)


def supposed(facts: Facts, assumed: Sequence[Assumption]) -> Supposed:
    """What is assumed, as fields and changes."""
    fields = {pair: node for one in assumed if one.absolute for pair, node in _fields(facts, one)}
    return Supposed(fields, {name: node for one in assumed for name, node in _work(facts, one)})


def _fields(facts: Facts, one: Assumption) -> Iterator[tuple[tuple[str, Subject], Node]]:
    path = ABSOLUTE[one.name]
    for subject in _subjects(path, one.valve):
        yield (path, subject), one.node
    if path == CHOSEN:
        for key, node in convention(facts).items():
            yield (f"pushrods.chosen.{key}", BUILD), node


def _subjects(path: str, valve: str) -> list[Subject]:
    if "{valve}" not in path:
        return [BUILD]
    return [Subject(None, each) for each in ((valve,) if valve else VALVE_TYPES)]


def _work(facts: Facts, one: Assumption) -> Iterator[tuple[str, Node]]:
    if not one.absolute:
        yield one.name, one.node
    before = facts.node("heads.height")
    if one.name == "head_height" and before is not None:  # another head: readings of the one before are void
        yield one.name, one.node._replace(value={"is": one.node, "was": before})


def convention(facts: Facts) -> dict[str, Node]:
    """How a chosen length is stated: as the ones chosen now, else as the first stock list, else as measured."""
    stock = facts.node("pushrods.stock")
    lists = [facts.node("pushrods.chosen"), *(stock.items if stock is not None else ())]
    stock_list = next((node for node in lists if node is not None), None)
    keys = {key: stock_list.get(key) for key in ("stated_as", "gauge_hole")} if stock_list is not None else {}
    return {key: node for key, node in keys.items() if node is not None} or {
        "stated_as": facts.node("pushrods.measured_as") or Node(Place("pushrods.yaml"), "overall")
    }


def _split(key: str) -> tuple[str, str]:
    valve, dot, name = key.partition(".")
    return (valve, name) if dot and valve in VALVE_TYPES else ("", key)


def _read(name: str, written: str) -> tuple[Node, Value]:
    place = Place(f"--with {name}")
    field = field_schema(ABSOLUTE.get(name, f"stackup.changes.{name}").replace("{valve}", "intake"))
    if "format" not in field:
        number = _number(name, written, field)
        return Node(place, number, written), exact(float(number), "ratio")
    try:
        amount = parse(written, field["format"])
    except QuantityError as error:
        raise UsageError(f"--with {name}: {error}") from error
    if wrong := implausible(written, amount.kind, field["title"], field["x-plausible"], field.get("x-zero", False)):
        raise UsageError(f"--with {name}: {wrong}")
    parts = {str(place): float(amount.expanded) / 2} if amount.expanded else {}
    return Node(place, written, written), Value(float(amount.si), amount.kind, parts, (place,))


def _number(name: str, written: str, field: Schema) -> Decimal:
    try:
        number = Decimal(written)
    except InvalidOperation as error:
        raise UsageError(f"--with {name}: found {one_line(written)!r}; enter a plain number, such as 1.6") from error
    if not (number.is_finite() and field["minimum"] <= number <= field["maximum"]):
        raise UsageError(f"--with {name}: {one_line(written)} is outside {field['minimum']} to {field['maximum']}")
    return number


def _present(facts: Facts, name: str, valve: str) -> Value | None:
    path = ABSOLUTE[name].removesuffix(".{valve}") if name == "ratio" else ABSOLUTE[name]
    if name in NEEDS_PRESENT:
        return facts.field(path)
    known = [facts.optional(path, subject) for subject in _subjects(ABSOLUTE[name], valve)]
    alike = {value.si if value is not None else None for value in known}
    return known[0] if len(alike) == 1 else None


def _example(name: str) -> str:
    examples = {"gasket_thickness": "0.041 in", "head_height": "3.520 in", "ratio": "1.7", "cam_advance": "4 deg"}
    if name.endswith("volume"):
        return "62 cc"
    return examples.get(name, "0.010 in")


def refuse_twice(assumed: Sequence[Assumption]) -> None:
    """UsageError for a part that is assumed twice, or by two names."""
    given = [(one.name, valve) for one in assumed for valve in ([one.valve] if one.valve else VALVE_TYPES)]
    names = {name for name, _ in given}
    for name, valve in given:
        if (times := given.count((name, valve))) > 1:
            raise UsageError(f"--with {name} is given {times} times: give the total once")
    for one, other in SAME_PART:
        if {one, other} <= names:
            raise UsageError(f"--with {one} and {other} change the same height: give one of them")
