"""The expected comparison for each step of a history of eight commits (tests/history.py)."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from history import ROOT, STEPS, git, write_history
from jsonschema import Draft202012Validator
from referencing import Registry, Resource

from buildcheck.cli.main import main
from buildcheck.schema.fields import schema_by_id

RESULTS = "buildcheck:results:1"
REGISTRY: Registry[Any] = Registry().with_resource(RESULTS, Resource.from_contents(schema_by_id(RESULTS)))
TAGS = ["before", *STEPS]


@pytest.fixture(scope="module")
def top(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("history")
    write_history(folder)
    return folder


@pytest.fixture(autouse=True)
def _here(top: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(top)


@pytest.fixture
def step(capsys: pytest.CaptureFixture[str]) -> Any:
    """Compare a step with the one before it: the exit code and the JSON."""

    def compare(tag: str) -> tuple[int, Any]:
        code = main(["compare", TAGS[TAGS.index(tag) - 1], tag, "--format", "json"])
        found = json.loads(capsys.readouterr().out)
        schema = schema_by_id("buildcheck:comparison:1")
        assert list(Draft202012Validator(schema, registry=REGISTRY).iter_errors(found)) == []
        return code, found

    return compare


def _only(found: dict[str, Any]) -> dict[str, Any]:
    assert (len(found["builds"]), found["unchanged"]) == (1, 1)
    build: dict[str, Any] = found["builds"][0]
    return build


def _flips(build: dict[str, Any], rule: str) -> list[tuple[str, str, str]]:
    own = [flip for flip in build["verdicts"] if flip["rule"] == rule]
    return [(flip["before"], flip["after"], "+".join(flip["because_of"])) for flip in own]


def test_a_new_build_is_reported_with_its_verdict_and_order(step: Any) -> None:
    code, found = step("new-build")
    build = _only(found)
    assert (code, build["folder"], build["folder_before"]) == (0, "engines/dunlin", None)
    assert build["verdict"] == {"before": None, "after": "pass"}
    assert build["order"]["after"][0].startswith("12 pushrods + 1 spare of 9.450 in (gauge length) for all 12 valves")
    assert (build["quantities"], build["moved_within_uncertainty"]) == ([], 0)


def test_an_added_trial_shifts_no_other_valve(step: Any) -> None:
    code, found = step("trial-added")
    build = _only(found)
    assert code == 0
    assert [(one["path"], one["before"], one["line"]) for one in build["inputs"]] == [("valves[2/exhaust]", None, 35)]
    assert _flips(build, "mark-centred") == [("not applicable", "passes", "inputs")]
    assert _flips(build, "every-valve-measured") == [("fails, not blocking", "passes", "inputs")]
    assert "exhaust 2, 4" in build["order"]["before"][0]
    assert build["order"]["after"][0].endswith("intake 4, 5; exhaust 4")


def test_a_swapped_head_is_reported_by_what_it_does_to_the_springs(step: Any) -> None:
    code, found = step("swapped-head")
    build = _only(found)
    assert (code, build["blocks_anew"]) == (1, 2)
    assert build["verdict"] == {"before": "pass", "after": "fail"}
    assert _flips(build, "coil-bind-clearance") == [("passes", "fails", "inputs")]
    quantity_changes = {one["name"]: (one["before"], one["after"]) for one in build["quantities"]}
    assert quantity_changes["compression_ratio"] == ("8.759", "9.082")
    springs = {"coil_bind_clearance", "solid_height_misfit"}
    assert set(quantity_changes) == springs | {"compression_ratio", "dynamic_compression_ratio"}


def test_a_value_in_another_unit_is_the_same(step: Any) -> None:
    inputs = _only(step("swapped-head")[1])["inputs"]
    same = {one["path"]: one["same_value"] for one in inputs}
    assert same["valves.intake.tip_diameter"]
    assert not same["chamber_volume"]
    assert [one["path"] for one in inputs if one["note"]] == ["gasket.note"]


def test_changed_limits_flip_a_verdict_though_no_input_did(step: Any) -> None:
    code, found = step("limits-changed")
    build = _only(found)
    assert code == 0
    result = [(one["path"], one["before"], one["after"], one["limit"]) for one in build["inputs"]]
    assert result == [("limits.coil-bind-clearance.at_least", "0.080 in", "0.040 in", True)]
    assert _flips(build, "coil-bind-clearance") == [("fails", "passes", "limit")]


def test_a_renamed_folder_is_the_same_build(step: Any) -> None:
    code, found = step("renamed-folder")
    build = _only(found)
    assert (code, build["folder_before"], build["folder"]) == (0, "engines/dunlin", "engines/sheldrake")
    assert (build["inputs"], build["verdicts"], build["quantities"]) == ([], [], [])


def test_a_deleted_file_opens_what_it_held(step: Any) -> None:
    code, found = step("deleted-file")
    build = _only(found)
    assert (code, build["verdict"]) == (1, {"before": "pass", "after": "open"})
    assert [(one["file"], one["path"], one["after"]) for one in build["inputs"]] == [("clearances.yaml", "", None)]
    assert _flips(build, "retainer-to-seal") == [("passes", "open, blocks", "inputs")]
    assert _flips(build, "piston-to-valve") == [("passes", "open", "inputs")]


def test_a_tightened_rule_reaches_every_build_and_other_rules(step: Any) -> None:
    code, found = step("rule-tightened")
    assert (code, found["unchanged"]) == (1, 0)
    assert found["rules"] == ["mark-centred changed: at_most tip_diameter / 6 → 0.009 in"]
    sheldrake, teal = found["builds"]
    assert [build["inputs"] for build in (sheldrake, teal)] == [[], []]
    assert ("passes", "fails", "limit") in _flips(sheldrake, "mark-centred")
    assert _flips(sheldrake, "length-orderable") == [("passes", "open, blocks", "another limit")]
    assert _flips(teal, "mark-centred") == [("passes", "open, blocks", "limit")]


def test_a_concession_lifts_one_failure(step: Any) -> None:
    code, found = step("concession")
    build = _only(found)
    assert (code, build["verdict"]) == (0, {"before": "fail", "after": "open"})
    assert _flips(build, "mark-centred") == [("fails", "conceded", "concession")]
    assert "accepted_by the club's engineer" in build["inputs"][0]["after"]


def test_the_whole_way_is_one_new_build(capsys: pytest.CaptureFixture[str]) -> None:
    main(["compare", "before", "concession", "--format", "json"])
    found = json.loads(capsys.readouterr().out)
    changed = [(build["folder"], build["folder_before"]) for build in found["builds"]]
    assert changed == [("engines/sheldrake", None), ("engines/teal", "engines/teal")]


def test_backwards_the_new_build_is_gone(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["compare", "new-build", "before"]) == 0
    assert "engines/dunlin: gone, was pass. No build here any more." in capsys.readouterr().out


def test_nothing_is_written(step: Any, top: Path) -> None:
    index = (top / ".git" / "index").read_bytes()
    step("deleted-file")
    assert git(top, "status", "--porcelain") == ""
    assert (top / ".git" / "index").read_bytes() == index


BOTH_FORMS = """
from buildcheck.cli.main import main
for form in ("json", "markdown"):
    main(["compare", "swapped-head", "concession", "--format", form])
"""


def test_every_form_is_the_same_wherever_one_is(top: Path, capsys: pytest.CaptureFixture[str]) -> None:
    exec(BOTH_FORMS)
    here = capsys.readouterr().out
    own = {"PYTHONPATH": str(ROOT), "PATH": "/usr/bin:/bin"}
    environment = {"PYTHONHASHSEED": "2", "TZ": "Asia/Kolkata", "LC_ALL": "C", **own}
    command = [sys.executable, "-c", BOTH_FORMS]
    there = subprocess.run(command, cwd=top / "engines", env=environment, capture_output=True).stdout
    assert there.decode() == here
    assert here.count("buildcheck compare -->") == 1
    assert here.count("engines/sheldrake") > 2
