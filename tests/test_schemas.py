"""The schemas themselves: sound, closed, explained to the last field, and readable by editors of the draft-07 age."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft7Validator, Draft202012Validator

from buildcheck.schema.error_messages import _PATTERNS
from buildcheck.schema.fields import field_kinds, load_schema, schema_by_id, schema_names
from buildcheck.units.quantity import KINDS, parse

OURS = {"x-plausible", "x-uncertainty", "x-zero"}
FORBIDDEN = {
    "$anchor", "$dynamicAnchor", "$dynamicRef", "$recursiveRef", "$vocabulary", "anyOf", "dependentRequired",
    "dependentSchemas", "maxContains", "minContains", "oneOf", "prefixItems", "unevaluatedItems",
    "unevaluatedProperties",
}  # fmt: skip
BRANCHES = ("if", "then", "else", "allOf", "contains", "propertyNames", "not")


def nodes(schema: Any, path: str, branch: bool = False) -> Iterator[tuple[str, dict[str, Any], bool]]:
    """Every subschema, its path, and whether it stands in a branch that only adds a condition."""
    if not isinstance(schema, dict):
        return
    yield path, schema, branch
    for key in ("properties", "$defs"):
        for name, child in schema.get(key, {}).items():
            yield from nodes(child, f"{path}/{key}/{name}", branch)
    for key in ("items", "additionalProperties"):
        yield from nodes(schema.get(key), f"{path}/{key}", branch)
    for key in BRANCHES:
        for child in schema[key] if isinstance(schema.get(key), list) else [schema.get(key)]:
            yield from nodes(child, f"{path}/{key}", True)


ALL = [node for name in schema_names() for node in nodes(load_schema(name), name)]
FIELDS = [(path, schema) for path, schema, branch in ALL if not branch]


def test_there_is_one_for_each_kind_of_file() -> None:
    assert schema_names() == (
        "as_built", "block", "build", "buildcheck", "cam", "clearances", "concessions",
        "heads", "marks", "motion", "pushrods", "rockers", "rule", "stackup",
    )  # fmt: skip
    assert len(FIELDS) > 300


@pytest.mark.parametrize("name", schema_names())
def test_is_valid_by_both_drafts(name: str) -> None:
    schema = load_schema(name)
    Draft202012Validator.check_schema(schema)
    Draft7Validator.check_schema(schema)
    assert schema["$id"] == f"buildcheck:{name}:1"
    assert schema_by_id(schema["$id"]) == schema


def test_the_schema_of_the_results_has_an_id_too_and_an_unknown_id_has_none() -> None:
    assert schema_by_id("buildcheck:results:1")["title"] == "Results of buildcheck check --format json"
    for unknown in ("buildcheck:results:2", "buildcheck:../cam:1", "results", "buildcheck:results"):
        with pytest.raises(KeyError):
            schema_by_id(unknown)


def test_uses_no_keyword_that_editors_lack() -> None:
    assert [(path, FORBIDDEN & set(schema)) for path, schema, _ in ALL if FORBIDDEN & set(schema)] == []


def test_uses_no_keyword_that_nobody_checks() -> None:
    known = set(Draft202012Validator.VALIDATORS) | OURS
    known |= {"$defs", "$id", "$schema", "title", "description", "then", "else"}
    assert [(path, set(schema) - known) for path, schema, _ in ALL if set(schema) - known] == []


def test_every_field_has_a_title_and_a_description() -> None:
    bare = [path for path, schema in FIELDS if "$ref" not in schema and not {"title", "description"} <= set(schema)]
    assert bare == []


def test_every_description_is_a_sentence() -> None:
    expected = [(path, schema["description"]) for path, schema in FIELDS if "description" in schema]
    assert [path for path, text in expected if len(text) < 15 or not text.endswith((".", "}"))] == []


def test_every_branch_that_can_refuse_says_why() -> None:
    refusing = {"required", "not", "contains", "enum"}
    asking = [(path, schema) for path, schema, branch in ALL if branch and refusing & set(schema)]
    validation_errors = [(path, schema) for path, schema in asking if not {"if", "contains"} & set(path.split("/"))]
    assert len(validation_errors) > 20
    assert [path for path, schema in validation_errors if "description" not in schema] == []


def test_every_mapping_is_closed_or_says_what_its_entries_are() -> None:
    mappings = [(path, schema) for path, schema in FIELDS if "object" in schema.get("type", ())]
    assert len(mappings) > 60
    assert [path for path, schema in mappings if schema.get("additionalProperties", True) is True] == []


def test_every_closed_mapping_may_carry_note_and_part() -> None:
    closed = [(path, schema) for path, schema in FIELDS if schema.get("additionalProperties") is False]
    assert [path for path, schema in closed if not {"note", "part"} <= set(schema["properties"])] == []


def test_a_reference_stays_inside_its_file_and_only_words_stand_beside_it() -> None:
    refs = [(path, schema) for path, schema, _ in ALL if "$ref" in schema]
    assert len(refs) > 100
    for path, schema in refs:
        definitions = load_schema(path.split("/")[0])["$defs"]
        assert schema["$ref"].removeprefix("#/$defs/") in definitions, path
        assert set(schema) <= {"$ref", "title", "description"}, path


def test_every_format_is_a_kind_that_is_checked() -> None:
    formats = {schema["format"] for _, schema, _ in ALL if "format" in schema}
    assert formats <= set(KINDS)
    assert formats >= {"length", "angle", "volume", "force", "rate", "torque", "temperature", "pressure", "thread"}


def test_every_measured_field_has_a_range_from_least_to_most() -> None:
    measured = [(path, s) for path, s in FIELDS if s.get("format", "thread") != "thread"]
    for path, schema in measured:
        low, high = (parse(end, schema["format"]) for end in schema["x-plausible"])
        assert low.si < high.si, path
        assert low.expanded is high.expanded is None, path


def test_every_count_and_plain_number_has_a_range() -> None:
    numbers = [(path, s) for path, s in FIELDS if s.get("type") in ("number", "integer")]
    assert [path for path, schema in numbers if not schema["minimum"] < schema["maximum"]] == []


@pytest.mark.parametrize(
    ("path", "kind"),
    [
        ("block.cylinders", "count"),
        ("block.firing_intervals", "angle"),
        ("build.temperatures.running", "temperature"),
        ("cam.lifter.preload.at_least", "length"),
        ("cam.lifter.type", "text"),
        ("clearances.intake.piston_to_valve", "length"),
        ("heads.chamber_volume", "volume"),
        ("heads.springs.exhaust.seat_force", "force"),
        ("marks.contact_band", "length"),
        ("marks.valves.trials.mark.from", "length"),
        ("pushrods.checker.thread", "thread"),
        ("pushrods.ends.lifter.ball_radius", "length"),
        ("pushrods.yield_strength", "pressure"),
        ("rockers.ratio", "ratio"),
        ("rockers.ratio.intake", "ratio"),
        ("as_built.each.rocker_torque", "torque"),
    ],
)
def test_field_kinds(path: str, kind: str) -> None:
    assert field_kinds()[path] == kind


def test_field_kinds_know_builds_only() -> None:
    assert not [path for path in field_kinds() if path.split(".")[0] in ("rule", "buildcheck")]
    assert set(field_kinds().values()) <= {*KINDS, "count", "text"}


def test_every_range_has_a_bound_for_the_uncertainty() -> None:
    """A value without one could be made so uncertain that it decides nothing."""
    assert [path for path, schema, _ in ALL if "x-plausible" in schema and "x-uncertainty" not in schema] == []


def test_ranges_and_needs_are_those_agreed() -> None:
    """A range widened or a need dropped by accident is seen: change the list in the same commit, on purpose."""
    result = [f"{path}: {' to '.join(schema['x-plausible'])}" for path, schema, _ in ALL if "x-plausible" in schema]
    result += [f"{path}: needs {', '.join(schema['required'])}" for path, schema, _ in ALL if "required" in schema]
    agreed = Path(__file__).parent / "schema_ranges.txt"
    where = "write the ranges and needs of the schemas into tests/schema_ranges.txt, in any order"
    assert sorted(result) == sorted(agreed.read_text(encoding="utf-8").splitlines()), where


def test_every_pattern_has_words_for_its_message() -> None:
    """Those of names have a description of their own."""
    named = {schema["propertyNames"].get("pattern") for _, schema, _ in ALL if "propertyNames" in schema}
    patterns = {schema["pattern"] for _, schema, _ in ALL if "pattern" in schema} - named
    assert patterns - _PATTERNS.keys() == set()
