"""Schemas exported for editors: sound, lenient where a part may bring a field, and told when stale."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from jsonschema import Draft7Validator, Draft202012Validator

from buildcheck.cli.main import main
from buildcheck.cli.scaffold import start_build
from buildcheck.schema.editor_export import editor_schemas
from buildcheck.schema.fields import schema_names

Captured = pytest.CaptureFixture[str]


@pytest.mark.parametrize("name", schema_names())
def test_an_exported_schema_is_valid_by_both_drafts(name: str) -> None:
    schema = json.loads(editor_schemas([name])[f"{name}.schema.json"])
    Draft202012Validator.check_schema(schema)
    Draft7Validator.check_schema(schema)


@pytest.mark.parametrize(
    ("data", "valid"),
    [
        ({"uses": "parts/heads/six.yaml"}, True),
        ({"note": "no valves, and no part that would bring them"}, False),
        ({"valves": {"intake": {"uses": "parts/valves/a.yaml"}, "exhaust": {"tip_diameter": "0.3 in"}}}, True),
        ({"valves": {"intake": {}, "exhaust": {"tip_diameter": "0.3 in"}}}, False),
    ],
)
def test_an_editor_misses_a_field_only_where_no_part_may_bring_it(data: object, valid: bool) -> None:
    schema = json.loads(editor_schemas(["heads"])["heads.schema.json"])
    assert Draft7Validator(schema).is_valid(data) == valid


def test_export_writes_every_schema(tmp_path: Path, capsys: Captured) -> None:
    assert main(["schemas", str(tmp_path)]) == 0
    assert len(capsys.readouterr().out.splitlines()) == len(schema_names())
    assert {path.name for path in (tmp_path / ".schemas").iterdir()} == set(editor_schemas())


def test_a_stale_copy_is_reported_by_check_and_named_by_schemas(tmp_path: Path, capsys: Captured) -> None:
    start_build(tmp_path / "engine")
    assert main(["schemas", "--check", str(tmp_path)]) == 0
    copy = tmp_path / "engine/.schemas/cam.schema.json"
    copy.write_text(copy.read_text(encoding="utf-8").replace("Lifter", "Tappet", 1), encoding="utf-8")
    capsys.readouterr()
    assert main(["check", str(tmp_path)]) == 0
    assert "engine/.schemas is stale: run 'buildcheck schemas" in capsys.readouterr().err
    assert main(["schemas", "--check", str(tmp_path)]) == 1
    assert "engine/.schemas/cam.schema.json:1:1: error: is stale" in capsys.readouterr().out


def test_export_makes_a_stale_copy_current(tmp_path: Path) -> None:
    start_build(tmp_path)
    (tmp_path / ".schemas/cam.schema.json").write_text("{}\n", encoding="utf-8")
    assert main(["schemas", str(tmp_path)]) == 0
    assert main(["schemas", "--check", str(tmp_path)]) == 0


def test_line_endings_do_not_make_a_copy_stale(tmp_path: Path) -> None:
    start_build(tmp_path)
    copy = tmp_path / ".schemas/cam.schema.json"
    copy.write_bytes(copy.read_bytes().replace(b"\n", b"\r\n"))
    assert main(["schemas", "--check", str(tmp_path)]) == 0
