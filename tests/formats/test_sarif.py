"""SARIF against the OASIS schema, and against what its prose demands beyond the schema."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any
from urllib.parse import unquote, urlsplit

import pytest
from repositories import copied, edit, findings_for, lay, one, sarif_schema, written

from buildcheck.app.run import Run
from buildcheck.output import sarif

write = written(sarif)


def log(run: Run) -> Any:
    return json.loads(write(run))["runs"][0]


def results(run: Run) -> list[Any]:
    return list(log(run)["results"])


def locations(result: Any) -> list[Any]:
    return [place["physicalLocation"] for place in [*result["locations"], *result.get("relatedLocations", [])]]


def prints(run: Run) -> list[str]:
    return [result["partialFingerprints"]["ruleBuildData/v1"] for result in results(run)]


def plain(message: str) -> str:
    return message.replace("{{", "{").replace("}}", "}")


@pytest.mark.parametrize("name", ["done", "shipped"])
def test_it_is_valid(name: str, request: pytest.FixtureRequest) -> None:
    whole = json.loads(write(request.getfixturevalue(name)))
    assert list(sarif_schema().iter_errors(whole)) == []
    whole["runs"][0]["columnKind"] = "bytes"
    assert list(sarif_schema().iter_errors(whole)) != []


def test_it_holds_what_blocks_and_the_warnings_that_are_due(done: Run) -> None:
    failed = [
        r.rule
        for checked in done.builds
        for r in checked.results
        if (r.blocks or (r.kind == "fail" and r.level == "warning" and r.due_now)) and not r.concession
    ]
    problems = ["input" for checked in done.builds for _ in checked.problems]
    assert sorted(result["ruleId"] for result in results(done)) == sorted(failed + problems)


def test_a_level_other_than_none_is_only_with_a_failure(done: Run) -> None:
    """SARIF 2.1.0, 3.27.10."""
    assert {result["kind"] for result in results(done)} == {"fail"}
    assert {result["level"] for result in results(done)} == {"error", "warning"}


def test_places_are_files_of_the_repository_counted_from_one(done: Run, repository: Path) -> None:
    for place in (place for result in results(done) for place in locations(result)):
        uri, region = urlsplit(place["artifactLocation"]["uri"]), place["region"]
        assert (uri.scheme, uri.netloc, uri.query, uri.fragment) == ("", "", "", "")
        lines = (repository / unquote(uri.path)).read_text().splitlines()
        assert 1 <= region["startLine"] <= len(lines)
        assert 1 <= region["startColumn"] <= len(lines[region["startLine"] - 1])


def test_a_column_counts_characters(tmp_path: Path) -> None:
    build = lay(tmp_path) / "engines" / "red"
    edit(
        build / "marks.yaml",
        "{length: 9.4255 in, mark: {from: 0.005",
        '{note: "𝄞𝄞é", length: 9.4255 in, mark: {from: 0.005',
    )
    found = next(result for result in results(one(build)) if result["ruleId"] == "mark-on-tip")
    region = locations(found)[0]["region"]
    line = (build / "marks.yaml").read_text().splitlines()[region["startLine"] - 1]
    assert line[region["startColumn"] - 1 :].startswith("0.005 in")
    assert log(one(build))["columnKind"] == "unicodeCodePoints"


def test_every_rule_is_described_and_found_by_its_index(done: Run) -> None:
    rules = log(done)["tool"]["driver"]["rules"]
    assert [rule["id"] for rule in rules] == ["input", *(rule.id for rule in done.context.rules.rules)]
    for rule in rules:
        assert all(rule[part]["text"].strip() for part in ("shortDescription", "fullDescription", "help"))
    assert all(rules[result["ruleIndex"]]["id"] == result["ruleId"] for result in results(done))


def test_no_message_holds_a_link_or_a_placeholder(done: Run) -> None:
    """SARIF 2.1.0, 3.11.5 and 3.11.6."""
    messages = [result["message"]["text"] for result in results(done)]
    assert any("[d] (e) {{0}}" in message for message in messages)
    assert not [message for message in messages if "](" in message or "{" in message.replace("{{", "")]


def test_fingerprints_are_one_each_and_outlive_lines_and_values(tmp_path: Path) -> None:
    build = lay(tmp_path) / "engines" / "red"
    before = one(build)
    edit(build / "marks.yaml", "length_gauge:", "# one more line\nlength_gauge:")
    edit(build / "marks.yaml", "mark: {from: 0.005 in, to: 0.032 in}", "mark: {from: 0.006 in, to: 0.032 in}")
    after = one(build)
    assert prints(before) == prints(after)
    assert len(set(prints(after))) == len(prints(after))
    assert results(before) != results(after)


def test_a_copy_of_a_build_has_fingerprints_of_its_own(tmp_path: Path) -> None:
    build = lay(tmp_path) / "engines" / "red"
    assert not set(prints(one(build))) & set(prints(one(copied(build, "twin"))))


def test_related_places_have_ids_of_their_own(done: Run) -> None:
    with_more = [result for result in results(done) if "relatedLocations" in result]
    assert with_more
    for result in with_more:
        ids = [place["id"] for place in result["relatedLocations"]]
        assert ids == list(range(1, len(ids) + 1))


def test_every_place_of_a_finding_is_reported_the_first_as_its_own(done: Run) -> None:
    found = [(one.rule, len(one.places) - 1) for one in findings_for(done) if one.concerns_ci]
    written = [(result["ruleId"], len(result.get("relatedLocations", []))) for result in results(done)]
    assert sorted(written) == sorted(found)
    assert {len(result["locations"]) for result in results(done)} == {1}


def test_what_blocks_comes_first(done: Run) -> None:
    levels = [result["level"] for result in results(done)]
    assert levels == sorted(levels, key=["error", "warning", "none"].index)


def test_beyond_what_code_scanning_takes_only_warnings_are_left_out(done: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    blocking = sum(result["level"] == "error" for result in results(done))
    monkeypatch.setattr(sarif, "MOST_RESULTS", blocking)
    assert {result["level"] for result in results(done)} == {"error"}
    [note] = log(done)["invocations"][0]["toolExecutionNotifications"]
    assert "more results are left out" in note["message"]["text"]


def test_each_rule_has_a_page_if_the_team_names_their_address(tmp_path: Path) -> None:
    top = lay(tmp_path)
    assert not [rule for rule in log(one(top))["tool"]["driver"]["rules"] if "helpUri" in rule]
    edit(top / "buildcheck.yaml", "rules: [shop]", "rules: [shop]\nrule_pages: https://example.org/rules/")
    rules = log(one(top))["tool"]["driver"]["rules"][1:]
    assert {rule["helpUri"] for rule in rules} == {f"https://example.org/rules/{rule['id']}" for rule in rules}


def test_a_repository_that_cannot_be_read_ends_the_run_as_2(tmp_path: Path) -> None:
    edit(lay(tmp_path) / "buildcheck.yaml", "rules: [shop]", "rules: [gone]")
    assert log(one(tmp_path))["invocations"] == [{"executionSuccessful": False, "exitCode": 2}]


def test_what_was_conceded_is_left_out(repository: Path) -> None:
    red, leave = (one(repository / "engines" / name) for name in ("red", "leave"))
    assert "mark-centred" in {result["ruleId"] for result in results(red)}
    assert [result.kind for result in leave.builds[0].results if result.concession] == ["fail"]
    assert "mark-centred" not in {result["ruleId"] for result in results(leave)}


def test_the_run_says_whether_everything_could_be_judged(done: Run, shipped: Run) -> None:
    assert log(done)["invocations"] == [{"executionSuccessful": False, "exitCode": 2}]
    assert log(shipped)["invocations"] == [{"executionSuccessful": True, "exitCode": 0}]
