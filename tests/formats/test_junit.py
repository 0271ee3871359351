"""JUnit against the XML schema in wide use, and against the exit code."""

from __future__ import annotations

from pathlib import Path
from xml.etree import ElementTree
from xml.etree.ElementTree import Element

import pytest
from repositories import git_init, junit_schema, one, written
from thorough import sample

from buildcheck.app.run import Run
from buildcheck.core.escape import one_line
from buildcheck.output import junit

write = written(junit)


def suites(run: Run) -> Element:
    return ElementTree.fromstring(write(run).encode())


@pytest.mark.parametrize("name", ["done", "shipped"])
def test_it_is_valid(name: str, request: pytest.FixtureRequest) -> None:
    schema = junit_schema()
    run: Run = request.getfixturevalue(name)
    text = write(Run(run.context, sample(run.builds, 2), run.problems))
    schema.validate(ElementTree.fromstring(text.encode()))
    assert not schema.is_valid(ElementTree.fromstring(text.replace(' name="', ' title="')))


def test_there_is_a_case_for_each_rule_and_subject(done: Run) -> None:
    for checked, suite in zip(done.builds, suites(done), strict=True):
        names = [case.get("name") for case in suite]
        assert len(set(names)) == len(names) == len(checked.results) + len(checked.problems)


def test_failures_are_what_blocks_and_errors_what_cannot_be_read(done: Run, shipped: Run) -> None:
    for run in (done, shipped):
        for checked, suite in zip(run.builds, suites(run), strict=True):
            assert int(suite.get("failures", "")) == sum(result.blocks for result in checked.results)
            assert int(suite.get("errors", "")) == len(checked.problems)


def test_the_counts_are_those_of_the_cases(done: Run) -> None:
    for suite in suites(done):
        assert int(suite.get("tests", "")) == len(suite.findall("testcase"))
        assert int(suite.get("skipped", "")) == len(suite.findall("testcase/skipped"))


def test_only_what_passed_has_nothing_to_say(done: Run) -> None:
    passed = sum(result.kind == "pass" for checked in done.builds for result in checked.results)
    assert len([case for case in suites(done).iter("testcase") if not len(case)]) == passed


def test_harm_is_shown_as_written(done: Run) -> None:
    title = one_line(done.context.rules["harm"].title)[1:]
    failures = [failure for failure in suites(done).iter("failure") if title in failure.get("message", "")]
    assert failures
    assert all(title in (failure.text or "") for failure in failures)
    assert not list(suites(done).iter("b"))


@pytest.mark.parametrize(
    ("build", "name", "failures"),
    [
        ("red", "mark-on-tip: cylinder 1 intake", ("failure", "fail")),
        ("red", "quench: the build", None),
        ("leave", "mark-centred: cylinder 1 intake", ("skipped", "note")),
        ("green", "second-cylinder-checked: intake", None),
        ("green", "mark-full-contact: cylinder 1 intake", ("skipped", "notApplicable")),
        ("green", "oil-seen: the build", ("skipped", "open")),
        ("torn", "input: cam.yaml:3:1 oddity_0", ("error", "input")),
    ],
)
def test_a_case_is_named_after_rule_and_subject_and_shows_how_it_ended(
    done: Run, build: str, name: str, failures: tuple[str, str] | None
) -> None:
    [case] = [
        one
        for one in suites(done).iter("testcase")
        if one.get("classname") == f"engines/{build}" and one.get("name") == name
    ]
    assert [(one.tag, one.get("type")) for one in case] == ([failures] if failures else [])


def test_a_build_that_is_its_own_repository_is_named_so(tmp_path: Path) -> None:
    (tmp_path / "build.yaml").write_text("name: X\nstage: sailing\n")
    git_init(tmp_path)
    [suite] = suites(one(tmp_path))
    assert {suite.get("name"), *(case.get("classname") for case in suite)} == {"repository"}
