"""The JSON that others script against, held to its schema."""

from __future__ import annotations

import json
from contextlib import redirect_stdout
from io import StringIO
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator
from repositories import ROOT, written
from thorough import sample

from buildcheck.app.run import Run
from buildcheck.cli.main import main
from buildcheck.output import json as results_json
from buildcheck.output.json import dumped
from buildcheck.output.json_rows import encoded

write = written(results_json)

SCHEMA = json.loads((ROOT / "schemas" / "json" / "results.schema.json").read_text())


def test_the_contract_is_a_schema() -> None:
    Draft202012Validator.check_schema(SCHEMA)


def faults(data: Any) -> list[str]:
    return [error.message for error in Draft202012Validator(SCHEMA).iter_errors(data)]


@pytest.mark.parametrize("name", ["done", "shipped"])
def test_it_is_valid(name: str, request: pytest.FixtureRequest) -> None:
    run: Run = request.getfixturevalue(name)
    assert faults(json.loads(write(Run(run.context, sample(run.builds, 2), run.problems)))) == []


def test_every_kind_of_thing_is_there_to_be_judged(done: Run) -> None:
    builds = json.loads(write(done))["builds"]
    results = [result for build in builds for result in build["results"]]
    assert {"pass", "fail", "open", "notApplicable"} == {result["kind"] for result in results}
    assert any(result["concession"] for result in results)
    assert any(build["errors"] for build in builds)
    assert any(build["order"]["lines"] for build in builds)
    assert any(build["order"]["open"] for build in builds)


def test_every_row_is_written_as_the_json_library_writes_it(done: Run) -> None:
    rows = [line.rstrip(",").removesuffix("]") for line in write(done).splitlines() if line.startswith('{"rule": ')]
    assert len(rows) > 400
    assert [encoded(json.loads(row)) for row in rows] == rows


@pytest.mark.parametrize(("key", "value"), [("level", "error"), ("line", 0), ("kind", "passed"), ("extra", 1)])
def test_a_result_that_breaks_the_contract_is_found(shipped: Run, key: str, value: object) -> None:
    data = json.loads(write(Run(shipped.context, shipped.builds[:1], ())))
    passed = next(result for result in data["builds"][0]["results"] if result["kind"] == "pass")
    data["builds"][0]["results"] = [passed]
    assert faults(data) == []
    passed[key] = value
    assert faults(data)


def test_half_a_character_survives_the_way_to_a_file() -> None:
    assert json.loads(dumped({"folder": "a\udcff"}).encode("utf-8")) == {"folder": "a\udcff"}


def test_findings_are_the_same_object_without_what_passes_or_does_not_apply(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    def printed(*options: str) -> Any:
        code = main(["check", str(ROOT / "example_build"), "--format", "json", *options])
        return code, json.loads(capsys.readouterr().out)

    code, complete = printed("--cache-dir", str(tmp_path))
    for cached in ([], ["--cache-dir", str(tmp_path)], ["--cache-dir", str(tmp_path)]):
        found_code, found = printed("--findings", *cached)
        expected = {**complete, "builds": [dict(complete["builds"][0])]}
        results = expected["builds"][0]["results"]
        expected["builds"][0]["results"] = [one for one in results if one["kind"] in ("fail", "open")]
        assert (found_code, found) == (code, expected)
        assert 0 < len(found["builds"][0]["results"]) < len(results)
        assert faults(found) == []


def test_a_stream_without_an_encoding_gets_the_same_text(capsys: pytest.CaptureFixture[str]) -> None:
    call = ["check", str(ROOT / "example_build"), "--format", "json"]
    main(call)
    with redirect_stdout(StringIO()) as stream:
        main(call)
    text = stream.getvalue()
    assert text == capsys.readouterr().out
    assert "±" in text


def test_findings_are_refused_in_another_format(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["check", str(ROOT / "example_build"), "--findings"]) == 2
    assert capsys.readouterr().err == "buildcheck: --findings is for --format json\n"
