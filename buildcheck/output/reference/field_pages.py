"""Every key of a schema in a table: the files of a build, the team's settings, a rule file, and the JSON results."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator, Mapping
from typing import Any, NamedTuple

from buildcheck.core.subject import VALVE_TYPES
from buildcheck.output.markdown import md
from buildcheck.schema.fields import load_schema, resolved, schema_by_id, schema_names
from buildcheck.units.unit_table import UNITS

SETTINGS = {"buildcheck": "Settings of a team", "rule": "A rule file"}
"""Schemas of files that no build folder holds, and their titles."""
RESULTS = "buildcheck:results:1"
_TYPES = {"array": "list", "boolean": "true or false", "integer": "whole number", "object": "mapping", "string": "text"}
_UNITS = {
    "angle": "angle: deg",
    "force": "force: lbf, N",
    "length": "length: in, mm",
    "pressure": "pressure: psi, MPa",
    "rate": "rate: lbf/in, N/mm",
    "ratio": "number or %",
    "temperature": "temperature: degF, degC",
    "thread": "thread: 3/8-24, M8x1.25",
    "torque": "torque: ft-lb, N m",
    "volume": "volume: cc, cu in",
}
"""Kind of a field -> the kind with its usual units; the table of units has all."""
_AMOUNT = "#/$defs/amount"
_FREE_TEXT = ("note", "part")
Schema = Mapping[str, Any]


class Key(NamedTuple):
    """A key as a table shows it: its path, what it means, what to enter, and what is usual."""

    path: str
    meaning: str
    enter: str
    usual: str


def field_page() -> Iterator[str]:
    """All files of a build folder, one section for each."""
    yield from ("# Fields of a build", "")
    yield "A build is a folder of YAML files. Every physical value carries its unit: `0.560 in`, `14.2 mm`, `62 cc`."
    yield "`+/-` adds the expanded uncertainty (k = 2). Every mapping can also hold `note` and `part`: free text that"
    yield "no rule judges. `{valve}` is `intake` or `exhaust`; `[]` is a list. **Bold** keys are required."
    yield from ("", "## Units", "", "| Kind | Units |", "|---|---|", *_units())
    for name in schema_names():
        if name not in SETTINGS:
            schema = load_schema(name)
            yield from ("", f"## {name}.yaml", "", md(schema["description"]), "", *key_table(schema))


def settings_page() -> Iterator[str]:
    """The team's settings file and the keys of a rule file."""
    yield from ("# Settings and rule files", "")
    yield "`buildcheck.yaml` at the top of a repository is optional. A rule is a YAML file of its own."
    for name, title in SETTINGS.items():
        schema = load_schema(name)
        yield from ("", f"## {title}", "", md(schema["description"]), "", *key_table(schema))


def results_page() -> Iterator[str]:
    """The contract of ``check --format json``."""
    yield from ("# JSON results", "")
    yield "`buildcheck check --format json` prints one object with these keys. The schema itself:"
    yield f"`buildcheck schemas --print {RESULTS}`. Exit codes: 0 nothing blocks, 1 something blocks, 2 the input"
    yield "cannot be read or the command is wrong. An *amount* is a mapping with `text`, and `si` in SI units, or `deg`"
    yield "for angles. **Bold** keys are always present."
    yield ""
    yield "The JSON of the other commands names its schema too, under `schema`, and the version under `version`:"
    yield "`buildcheck:plan:1`, `buildcheck:advice:1`, `buildcheck:what-if:1` and `buildcheck:comparison:1`."
    yield "`buildcheck schemas --print ID` prints each of them."
    yield from ("", *key_table(schema_by_id(RESULTS)))


def _units() -> Iterator[str]:
    kinds = dict.fromkeys(unit.kind for unit in UNITS.values())
    for kind in sorted(kinds):
        names = [name for name, unit in UNITS.items() if name and unit.kind == kind]
        if names:
            yield f"| {kind} | {', '.join(f'`{name}`' for name in names)} |"


def key_table(schema: Schema) -> Iterator[str]:
    """A table of all keys below a schema; keys that differ only by the valve type share a row."""
    yield from ("| Key | Meaning | Enter | Plausible |", "|---|---|---|---|")
    merged: dict[Key, None] = {}
    for key in _keys(schema, schema.get("$defs", {}), "", ()):
        merged[key._replace(path=_either_valve(key.path))] = None
    for key in merged:
        yield f"| {key.path} | {key.meaning} | {key.enter} | {key.usual} |"


def _either_valve(path: str) -> str:
    return re.sub(rf"(?<=[`.])(?:{'|'.join(VALVE_TYPES)})(?=\.)", "{valve}", path)


def _keys(schema: Schema, definitions: Schema, path: str, above: tuple[str, ...]) -> Iterator[Key]:
    """The keys below a schema, depth first; a definition inside itself is not followed again."""
    schema = resolved(schema, definitions)
    if "items" in schema:
        yield from _keys(schema["items"], definitions, f"{path}[]", above)
    for name, child in schema.get("properties", {}).items():
        reference = str(child.get("$ref", ""))
        if name in _FREE_TEXT or (reference and reference in above):
            continue
        full = {**resolved(child, definitions), **child}
        below = f"{path}.{name}" if path else name
        required = "**" if name in schema.get("required", ()) else ""
        meaning = full.get("description") or full.get("title") or ""
        yield Key(f"{required}`{below}`{required}", md(meaning), _enter(full, definitions), _usual(full))
        if (branch := _branch(full)).get("$ref") != _AMOUNT:
            yield from _keys(branch, definitions, below, (*above, reference))


def _branch(schema: Schema) -> Schema:
    """What holds for an object that can also be null."""
    then: Schema = schema.get("then", {})
    return {**schema, **then} if "if" in schema and "$ref" in then else schema


def _enter(schema: Schema, definitions: Schema) -> str:
    if _branch(schema).get("$ref") == _AMOUNT:
        return "amount"
    schema = {**schema, **resolved(_branch(schema), definitions)}
    if "const" in schema:
        return f"`{json.dumps(schema['const']).strip(chr(34))}`"
    if "enum" in schema:
        return " or ".join(f"`{word}`" for word in schema["enum"])
    if "format" in schema:
        return _UNITS[schema["format"]]
    types = schema.get("type", "any")
    names = [types] if isinstance(types, str) else types
    return " or ".join(_TYPES.get(name, name) for name in names)


def _usual(schema: Schema) -> str:
    if "x-plausible" in schema:
        return " to ".join(md(end) for end in schema["x-plausible"])
    if "minimum" in schema and "maximum" in schema:
        return f"{schema['minimum']} to {schema['maximum']}"
    return ""
