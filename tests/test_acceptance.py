"""The quick yes and the JSON Schema validator's word are the same, keyword by keyword and file by file."""

import copy
import math
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from thorough import number

from buildcheck.schema.fast_validator import UnknownKeyword, fast_validator
from buildcheck.schema.fields import load_schema, schema_names
from buildcheck.schema.validation_errors import validation_errors
from buildcheck.yamlio.documents import plain, read

ROOT = Path(__file__).parents[1]
FOLDERS = (ROOT / "example_build", ROOT / "tests" / "builds", ROOT / "buildcheck" / "cli" / "starter", ROOT / "rules")
ODD = (
    None, True, False, 0, 1, -1, 3, 1.0, 1.5, -0.0, 1e9, math.nan, math.inf, "", " ", "x", "no", "a b", "1", "1 in",
    "1.5 in", "1.5 in +/- 0.2 in", "-1 in", "900 lbf/in", "70 degF", "3/8-24", "M8", "intake", "a\n", "ends.md",
    [], [1], [1, 1], ["x"], [{}], [None], {}, {"x": 1}, {"note": "n"}, {"intake": 1, "exhaust": 2},
)  # fmt: skip
BOUND = {"type": "string", "format": "length", "title": "Bore", "x-plausible": ["1 in", "9 in"]}
KEYWORDS = (
    {"type": "integer"},
    {"type": "number"},
    {"type": ["string", "null"]},
    {"type": "boolean"},
    {"enum": ["x", 1, True]},
    {"const": 1},
    {"const": False},
    {"pattern": r"^[a-z]+(?![\s\S])"},
    {"minimum": 1},
    {"maximum": 1},
    {"minItems": 1},
    {"maxItems": 1},
    {"uniqueItems": True},
    {"maxLength": 3},
    {"minProperties": 1},
    {"format": "length"},
    {"format": "thread"},
    BOUND,
    {**BOUND, "x-zero": True},
    {"type": "string", "format": "length", "title": "Bore", "x-uncertainty": "0.010 in"},
    {"type": "string", "format": "length", "title": "Step", "x-uncertainty": "none"},
    {"required": ["x"]},
    {"properties": {"x": {"minimum": 2}}},
    {"properties": {"x": False}},
    {"properties": {"intake": {}}, "additionalProperties": False},
    {"additionalProperties": {"type": "string"}},
    {"propertyNames": {"enum": ["x", "note"]}},
    {"items": {"type": ["integer", "object"]}},
    {"contains": {"const": 1}},
    {"allOf": [{"minimum": 1}, {"maximum": 1}]},
    {"not": {"required": ["x"]}},
    {"not": {}},
    {"if": {"type": "string"}, "then": {"pattern": "x"}, "else": {"type": "array"}},
    {"if": {"minimum": 1}, "then": {"maximum": 2}},
    {"if": {"type": "object"}, "else": {"type": "string"}},
    {"$defs": {"one": {"type": "object", "properties": {"x": {"$ref": "#/$defs/two"}}}, "two": {"minimum": 2}},
     "$ref": "#/$defs/one"},
    {"$defs": {"one": {"minimum": 0}}, "$ref": "#/$defs/one", "maximum": 1},
)  # fmt: skip


def meets(schema, data):
    return not list(validation_errors(schema, data))


@pytest.mark.parametrize("schema", KEYWORDS, ids=str)
def test_each_keyword_accepts_what_the_validator_accepts(schema):
    accepts = fast_validator(schema)
    result = [(value, accepts(value)) for value in ODD]
    assert result == [(value, meets(schema, value)) for value in ODD]
    assert {yes for _, yes in result} == ({False} if schema == {"not": {}} else {True, False})


def test_every_keyword_of_the_schemas_is_known_and_tried():
    used = {key for name in schema_names() for key in _keywords(load_schema(name))}
    tried = {key for schema in KEYWORDS for key in _keywords(schema)}
    assert used - tried == {"title", "description", "$schema", "$id"} - tried


@pytest.mark.parametrize("schema", [{"oneOf": [{}]}, {"enum": [[1]]}, {"properties": {"a": {"multipleOf": 2}}}])
def test_a_keyword_that_only_the_validator_knows_is_left_to_it(schema):
    with pytest.raises(UnknownKeyword):
        fast_validator(schema)


FILES = [path for folder in FOLDERS for path in sorted(folder.rglob("*.yaml"))]
READ = [
    ("rule" if "rules" in path.parts else path.stem, read(path.read_bytes(), path.name).root)
    for path in FILES
    if "rules" in path.parts or path.stem in schema_names()
]
DATA = [(name, plain(root)) for name, root in READ if root is not None]


def test_every_file_that_is_in_the_project_is_accepted_at_once():
    assert len(DATA) > 100
    for name, data in DATA:
        assert fast_validator(load_schema(name))(data), name
        assert meets(load_schema(name), data), name


@settings(max_examples=number(80, 250), deadline=None)
@given(st.data())
def test_files_changed_at_random_are_accepted_as_the_validator_accepts_them(data):
    name, whole = data.draw(st.sampled_from(DATA))
    whole = copy.deepcopy(whole)
    for _ in range(data.draw(st.integers(1, 2))):
        _change(data, whole)
    schema = load_schema(name)
    assert fast_validator(schema)(whole) == meets(schema, whole)


def _change(data, whole):
    """One value somewhere in a file replaced, taken out, or joined by another."""
    holder = data.draw(st.sampled_from([each for each in _holders(whole) if each] or [whole]))
    if isinstance(holder, list):
        holder.append(copy.deepcopy(data.draw(st.sampled_from(ODD))))
    elif (key := data.draw(st.sampled_from([*holder, "note", "x"]))) in holder and data.draw(st.booleans()):
        del holder[key]
    else:
        holder[key] = copy.deepcopy(data.draw(st.sampled_from(ODD)))


def _holders(value):
    inside = value.values() if isinstance(value, dict) else value if isinstance(value, list) else ()
    found = [value] if isinstance(value, dict | list) else []
    return found + [each for child in inside for each in _holders(child)]


def _keywords(schema):
    """All keywords in a schema, names of fields and definitions left out."""
    for key, value in schema.items() if isinstance(schema, dict) else ():
        yield key
        inside = value.values() if key in ("properties", "$defs") else value if key == "allOf" else [value]
        for child in inside if not isinstance(value, str | list) or key == "allOf" else ():
            yield from _keywords(child)
