"""Limits in force: the build's before the team's before the rule's, each traced to where it stands."""

from __future__ import annotations

from pathlib import Path

import pytest
from judging import Judged
from rewritten import Edit, copied, rewritten

from buildcheck.app.build_check import CheckedBuild
from buildcheck.app.run import Run, run
from buildcheck.core.problem import Problem

SIX = "example_build"
OWN = "  coil-bind-clearance:\n    at_least: 0.080 in\n"
RULE, SIDE = "coil-bind-clearance", "at_least"
MEASURED = 1.700 - 0.448 - 29.2 / 25.4  # intake, in


def limit(value: str) -> Edit:
    """The build's own limit in place of the one that the example has."""
    return ("build.yaml", OWN, f"  coil-bind-clearance:\n    at_least: {value}\n")


def in_team(tmp_path: Path, settings: str, *edits: Edit) -> Run:
    (tmp_path / "buildcheck.yaml").write_text(settings, encoding="utf-8")
    return run([copied(tmp_path / "engines", SIX, *edits)])


def bound(found: CheckedBuild, side: str = SIDE) -> tuple[str, str, str]:
    own = found.limits.in_force(found.rules[RULE])[side]
    return own.limit.text, own.origin, own.because


def test_the_build_s_limit_counts_and_says_why(tmp_path: Path) -> None:
    [found] = in_team(
        tmp_path, "limits: {coil-bind-clearance: {at_least: 0.070 in, because: the club's habit}}\n"
    ).builds
    text, origin, because = bound(found)
    assert (text, origin) == ("0.080 in", "build")
    assert because.startswith("the data sheet of the springs requires it")


def test_the_team_s_limit_counts_where_the_build_has_none(tmp_path: Path) -> None:
    settings = "limits: {coil-bind-clearance: {at_least: 0.070 in, because: the club's habit}}\n"
    without = ("build.yaml", "limits:\n" + OWN, "note: |\n")
    [found] = in_team(tmp_path, settings, without).builds
    assert bound(found) == ("0.070 in", "team", "the club's habit")


def test_the_rule_s_own_limit_names_its_source(tmp_path: Path) -> None:
    [found] = in_team(tmp_path, "report: REPORT.md\n", ("build.yaml", "limits:\n" + OWN, "note: |\n")).builds
    assert bound(found) == ("0.060 in", "rule", "common practice, no published source")


@pytest.mark.parametrize("key", ["note", "part"])
def test_a_remark_among_the_limits_hides_none_of_them(tmp_path: Path, key: str) -> None:
    found = rewritten(tmp_path, SIX, ("build.yaml", "limits:\n", f"limits:\n  {key}: agreed in spring\n"))
    assert (found.problems, bound(found)[:2]) == ((), ("0.080 in", "build"))


@pytest.mark.parametrize(("value", "kind"), [("0.085 in", "pass"), ("2.9 mm", "fail"), ("0.100 in", "open")])
def test_the_limit_in_force_decides(judged: Judged, value: str, kind: str) -> None:
    result = judged(SIX, limit(value)).result(RULE, "intake")
    assert result["kind"] == kind
    assert result["value"]["si"] == pytest.approx(MEASURED * 0.0254)


def test_limits_by_valve_type(judged: Judged) -> None:
    kinds = judged(SIX, limit("{intake: 0.085 in, exhaust: 0.120 in}")).kinds(RULE)
    assert kinds == {"intake": "pass", "exhaust": "fail"}


def test_a_limit_for_one_valve_type_alone_is_refused(judged: Judged) -> None:
    result = judged(SIX, limit("{intake: 0.050 in}"))
    assert (result.code, result.build["results"]) == (2, [])
    assert "'exhaust' is missing" in result.build["errors"][0]["message"]


@pytest.mark.parametrize(
    ("value", "loosened"),
    [
        ("0.050 in", True),
        ("1.523 mm", True),
        ("1.524 mm", False),
        ("0.070 in", False),
        ("{intake: 0.070 in, exhaust: 0.059 in}", True),
        ("{intake: 0.060 in, exhaust: 0.061 in}", False),
        ("valve_lift / 10", True),
        ("valve_lift / 5", False),
    ],
)
def test_what_lets_through_more_than_the_rule_is_loosened(tmp_path: Path, value: str, loosened: bool) -> None:
    found = run([copied(tmp_path, SIX, limit(value))]).builds[0]
    assert found.problems == ()
    assert found.limits.loosened(found.rules[RULE], SIDE, found.facts) == loosened


def test_an_upper_limit_is_loosened_upwards(tmp_path: Path) -> None:
    for number, (value, loosened) in enumerate([("0.200 in", True), ("0.050 in", False)]):
        own = ("build.yaml", "limits:\n", f"limits:\n  length-spread: {{at_most: {value}, because: a trial}}\n")
        found = run([copied(tmp_path / str(number), SIX, own)]).builds[0]
        assert found.limits.loosened(found.rules["length-spread"], "at_most", found.facts) == loosened


@pytest.mark.parametrize(
    ("limits", "place", "message"),
    [
        ("{coil-bind-clearanse: {at_least: 1 in, because: tried}}", "1:31", "there is no rule coil-bind-clearanse"),
        ("{coil-bind-clearance: {at_most: 1 in, because: tried}}", "1:41", "has no such side: it has at_least"),
        ("{coil-bind-clearance: {at_least: 1 N, because: tried}}", "1:42", "a force cannot be the limit of a length"),
        ("{coil-bind-clearance: {at_least: 1 inn, because: tried}}", "1:42", "was expected"),
        ("{quench: {at_least: {intake: 1 in, exhaust: 1 in}, because: tried}}", "1:29", "cannot be that of each build"),
        ("{coil-bind-clearance: {at_least: 1 in}}", "1:31", "because"),
        ("{coil-bind-clearance: {because: tried}}", "1:31", "at_least"),
    ],
)
def test_a_wrong_limit_of_the_team_is_reported_at_its_place_and_nothing_is_judged(
    tmp_path: Path, limits: str, place: str, message: str
) -> None:
    found = in_team(tmp_path, f"limits: {limits}\n")
    problems: tuple[Problem, ...] = found.problems
    assert (found.exit_code, found.builds) == (2, ())
    assert [(str(one.place), message in one.message) for one in problems] == [(f"buildcheck.yaml:{place}", True)], (
        problems
    )


def test_a_wrong_limit_of_a_build_leaves_that_build_unjudged(judged: Judged) -> None:
    result = judged(SIX, limit("80 lbf"))
    assert (result.code, result.build["results"]) == (2, [])
    assert [(one["file"], one["line"], one["column"]) for one in result.build["errors"]] == [("build.yaml", 14, 15)]


@pytest.mark.parametrize(
    ("written", "message"),
    [
        ("mark-on-tip: {at_least: -5 in, because: tried}", "mark-on-tip may be set to 0.010 in at the loosest"),
        ("mark-centred: {at_most: 0.200 in, because: tried}", "mark-centred may be set to 0.100 in at the loosest"),
        ("mark-on-tip: {at_least: 0.020 in, because: .}", "write the reason, or the role, in words"),
        ('mark-on-tip: {at_least: 0.020 in, because: "\u200b"}', "write the reason, or the role, in words"),
    ],
)
def test_no_limit_is_set_beyond_what_is_plausible_or_without_a_reason(
    judged: Judged, written: str, message: str
) -> None:
    result = judged(SIX, ("build.yaml", "limits:\n", f"limits:\n  {written}\n"))
    assert result.code == 2
    assert message in result.build["errors"][0]["message"]


def test_a_count_that_must_be_zero_cannot_be_loosened(judged: Judged) -> None:
    result = judged(SIX, ("build.yaml", "limits:\n", "limits:\n  parts-consistent: {at_most: 9, because: tried}\n"))
    assert "parts-consistent cannot be loosened" in result.build["errors"][0]["message"]


def test_arithmetic_beyond_the_loosest_value_is_held_to_it(judged: Judged) -> None:
    loose = ("build.yaml", "limits:\n", "limits:\n  mark-centred: {at_most: tip_diameter * 9, because: tried}\n")
    assert judged(SIX, loose).result("mark-centred", "1/intake")["at_most"]["text"] == "0.1000 in"
