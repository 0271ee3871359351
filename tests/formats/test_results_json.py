"""The JSON that others script against, held to its schema."""

from __future__ import annotations

import json
from typing import Any

import pytest
from jsonschema import Draft202012Validator
from repositories import ROOT, written

from buildcheck.app.run import Run
from buildcheck.output import json as results_json
from buildcheck.output.json import dumped

write = written(results_json)

SCHEMA = json.loads((ROOT / "schemas" / "json" / "results.schema.json").read_text())


def faults(data: Any) -> list[str]:
    Draft202012Validator.check_schema(SCHEMA)
    return [error.message for error in Draft202012Validator(SCHEMA).iter_errors(data)]


@pytest.mark.parametrize("name", ["done", "shipped"])
def test_it_is_valid(name: str, request: pytest.FixtureRequest) -> None:
    assert faults(json.loads(write(request.getfixturevalue(name)))) == []


def test_every_kind_of_thing_is_there_to_be_judged(done: Run) -> None:
    builds = json.loads(write(done))["builds"]
    results = [result for build in builds for result in build["results"]]
    assert {"pass", "fail", "open", "notApplicable"} == {result["kind"] for result in results}
    assert any(result["concession"] for result in results)
    assert any(build["errors"] for build in builds)
    assert any(build["order"]["lines"] for build in builds)
    assert any(build["order"]["open"] for build in builds)


@pytest.mark.parametrize(("key", "value"), [("level", "error"), ("line", 0), ("kind", "passed"), ("extra", 1)])
def test_a_result_that_breaks_the_contract_is_found(shipped: Run, key: str, value: object) -> None:
    data = json.loads(write(shipped))
    passed = next(result for result in data["builds"][0]["results"] if result["kind"] == "pass")
    passed[key] = value
    assert faults(data)


def test_half_a_character_survives_the_way_to_a_file() -> None:
    assert json.loads(dumped({"folder": "a\udcff"}).encode("utf-8")) == {"folder": "a\udcff"}
