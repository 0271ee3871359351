"""Limits in the units of the build: a rule may state one for inch builds and one for metric builds."""

from __future__ import annotations

from pathlib import Path

import pytest
from rewritten import copied

from buildcheck.app.run import run
from buildcheck.cli.main import main

Output = pytest.CaptureFixture[str]
RULE = """\
id: gap
title: Clearance of the pushrod
for_each: valve_type
quantity: clearances.{{valve}}.pushrod_to_head
at_least: {limit}
why: A worn pushrod breaks.
fix: Ease the guide hole.
source: common practice, no published source
examples:
  - {{given: {{clearances.intake.pushrod_to_head: 2 in}}, gives: pass}}
  - {{given: {{clearances.intake.pushrod_to_head: 0.001 in}}, gives: fail}}
"""


@pytest.fixture
def shop(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A metric and an inch build, and a folder for rules."""
    monkeypatch.chdir(tmp_path)
    (tmp_path / "rules").mkdir()
    (tmp_path / "buildcheck.yaml").write_text("rules: [rules/]\n")
    copied(tmp_path, "tests/builds/vee_eight_mm").rename(tmp_path / "metric")
    copied(tmp_path, "example_build").rename(tmp_path / "inch")
    return tmp_path


def limits(build: str) -> set[str]:
    checked = run([Path(build)]).builds[0]
    assert checked.problems == ()
    return {bound.limit.text for rule in checked.rules.rules if rule.id == "gap" for bound in [
        checked.limits.in_force(rule)["at_least"]]}  # fmt: skip


def problems(shop: Path, limit: str) -> list[str]:
    (shop / "rules" / "gap.yaml").write_text(RULE.format(limit=limit))
    return [str(problem.message) for problem in run([shop / "inch"]).problems]


def test_each_build_has_the_limit_of_its_units(shop: Path) -> None:
    assert problems(shop, "{inch: 0.040 in, metric: 1.0 mm}") == []
    assert limits("inch") == {"0.040 in"}
    assert limits("metric") == {"1.0 mm"}


def test_the_limit_shown_decides(shop: Path, capsys: Output) -> None:
    clearances = shop / "metric" / "clearances.yaml"
    text = clearances.read_text()
    clearances.write_text(
        text.replace(
            "pushrod_to_head: 1.2 mm",
            "pushrod_to_head: {value: 0.753 mm, gauge: {name: gauge blocks, uncertainty: 0.002 mm}}",
        )
    )
    assert clearances.read_text() != text
    (shop / "buildcheck.yaml").write_text("{}")
    results = [
        one
        for one in run([shop / "metric"]).builds[0].results
        if one.rule == "pushrod-to-head" and one.subject.valve == "exhaust"
    ]
    assert {one.kind for one in results} == {"pass"}, "0.753 mm is less than 0.030 in and more than 0.75 mm"
    assert {round(one.bounds["at_least"].si, 9) for one in results} == {0.00075}


def test_units_of_the_build_file_decide_what_is_shown(shop: Path, capsys: Output) -> None:
    build = shop / "inch" / "build.yaml"
    (shop / "buildcheck.yaml").write_text("{}")
    build.write_text(f"units: metric\n{build.read_text()}")
    main(["check", "inch"])
    assert "240.03 mm" in capsys.readouterr().out


def test_a_team_limit_may_name_both_for_each_valve_type(shop: Path) -> None:
    assert problems(shop, "0.040 in") == []
    both = "{inch: {intake: 0.050 in, exhaust: 0.060 in}, metric: {intake: 1.3 mm, exhaust: 1.5 mm}}"
    (shop / "buildcheck.yaml").write_text(f"rules: [rules/]\nlimits: {{gap: {{at_least: {both}, because: ours}}}}\n")
    assert limits("inch") == {"intake 0.050 in, exhaust 0.060 in"}
    assert limits("metric") == {"intake 1.3 mm, exhaust 1.5 mm"}


@pytest.mark.parametrize(
    ("limit", "message"),
    [
        ("{inch: 0.040 in}", "a limit of a length can be written as {inch: 0.060 in, metric: 1.5 mm}"),
        ("{inch: 0.040 in, metric: 2 mm}", "inch 0.040 in and metric 2 mm differ by more than 10%"),
        (
            "{intake: 0.040 in}",
            "'exhaust' is missing: write one value, or {intake: …, exhaust: …}, or {inch: …, metric: …}",
        ),
    ],
)
def test_half_a_limit_is_refused(shop: Path, limit: str, message: str) -> None:
    assert problems(shop, limit) == [message]


def test_explain_shows_both_of_no_build_and_one_of_a_build(shop: Path, capsys: Output) -> None:
    main(["explain", "coil-bind-clearance"])
    assert "at least: 0.060 in (metric builds: 1.5 mm), set by the rule" in capsys.readouterr().out
    main(["explain", "coil-bind-clearance", "metric"])
    assert "at least: 1.5 mm, set by the rule" in capsys.readouterr().out
