"""Explains a field of a build file: what to write there, what is usual, and the rules that name it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from buildcheck.core.subject import VALVE_TYPES
from buildcheck.rules.dimensions import described
from buildcheck.rules.rule import RuleSet
from buildcheck.schema.fields import field_kinds, field_schema
from buildcheck.units.unit_table import UNITS

UNJUDGED_FIELDS = (
    ".accepted_by", ".because", ".lash_cap.thickness", ".name", ".note", ".part", ".purpose", ".stem_height",
    ".tip.radius",
)  # fmt: skip
"""Endings of the fields that no rule and no quantity reads."""

NO_RULE = "none; no quantity is computed from it: it is a record for the reader"


def fields_called(topic: str) -> list[str]:
    """Paths of the fields that a topic means: the path itself, one with {valve}, or every field of that last name."""
    known = field_kinds()
    spelled = [topic.replace("{valve}", valve) for valve in VALVE_TYPES]
    exact = [path for path in dict.fromkeys(spelled) if path in known]
    return exact[:1] or [path for path in known if path.rpartition(".")[2] == topic]


def explain_field(path: str, rules: RuleSet) -> Iterator[str]:
    """All there is to know of a field, line by line."""
    schema = field_schema(path)
    file, _, keys = path.partition(".")
    yield f"{path}: {schema['title']}"
    yield f"  {schema['description']}"
    yield f"file: {file}.yaml, key {keys}"
    yield from _how_to_enter(field_kinds()[path], schema)
    either = {path, *(path.replace(f".{valve}.", ".{valve}.") for valve in VALVE_TYPES)}
    found = sorted({rule for name in either for rule in rules.that_need(name)})
    no_rule = NO_RULE if f".{path}".endswith(UNJUDGED_FIELDS) else "none by itself; quantities are computed from it"
    yield f"rules that name it: {', '.join(found) or no_rule}"


def _how_to_enter(kind: str, schema: Mapping[str, Any]) -> Iterator[str]:
    if "enum" in schema:
        yield f"write: {' or '.join(map(str, schema['enum']))}"
    elif kind == "ratio":
        yield "write: a number without a unit; a share may be in %; +/- adds its expanded uncertainty"
    elif units := [name for name, unit in UNITS.items() if name and unit.kind == kind]:
        yield f"write: {described(kind)} with its unit, one of {', '.join(units)}; +/- adds its expanded uncertainty"
    else:
        yield f"write: {'a whole number' if kind == 'count' else described(kind)}"
    if "x-plausible" in schema:
        low, high = schema["x-plausible"]
        yield f"usual: {low} to {high}; a value outside is an error that suggests the likely unit"
    elif "minimum" in schema:
        yield f"range: {schema['minimum']} to {schema['maximum']}"
