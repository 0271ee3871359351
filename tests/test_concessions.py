"""Concessions: bound to rule, subject and worst accepted value; each that is void, idle or impossible is reported."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
from rewritten import Worded

from buildcheck.app.build_check import CheckedBuild
from buildcheck.app.run import run
from buildcheck.output.report.render import render

ROOT = Path(__file__).parent.parent
CENTRED = " {rule: mark-centred, cylinder: 1, valve: intake, up_to: %s, because: tips dressed, accepted_by: foreman}"


@pytest.fixture
def build(tmp_path: Path) -> Path:
    """The example with cylinder 1's intake mark 0.1065 in off the tip's centre, towards the pivot."""
    folder = tmp_path / "engine"
    shutil.copytree(ROOT / "example_build", folder)
    _replace(folder / "marks.yaml", "{from: 0.145 in, to: 0.172 in}", "{from: 0.035 in, to: 0.062 in}")
    return folder


def _replace(path: Path, old: str, new: str) -> None:
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new, 1), encoding="utf-8")


def _checked(build: Path, *entries: str, strict: bool = False) -> CheckedBuild:
    (build / "concessions.yaml").write_text("".join(f"-{entry}\n" for entry in entries), encoding="utf-8")
    return run([build], strict=strict).builds[0]


def _one(checked: CheckedBuild, rule: str, key: str = "") -> Worded:
    return next(Worded(checked, one) for one in checked.results if one.rule == rule and one.subject.key == key)


def _idle(checked: CheckedBuild) -> list[str]:
    own = [Worded(checked, one) for one in checked.results if one.rule == "concession-in-use" and one.kind == "fail"]
    return [f"{one.place} {one.message}" for one in own]


def test_without_a_concession_the_mark_blocks(build: Path) -> None:
    checked = run([build]).builds[0]
    assert _one(checked, "mark-centred", "1/intake").blocks
    assert checked.verdict == "fail"


def test_a_value_not_worse_than_accepted_does_not_block_and_stays_a_failure(build: Path) -> None:
    result = _one(_checked(build, CENTRED % "0.1065 in"), "mark-centred", "1/intake")
    assert (result.kind, result.level, result.blocks) == ("fail", "error", False)
    assert result.concession is not None
    assert (result.concession.up_to, result.concession.accepted_by) == ("0.1065 in", "foreman")
    assert str(result.concession.place) == "concessions.yaml:1:3"


def test_what_follows_from_the_conceded_value_can_be_determined(build: Path) -> None:
    checked = _checked(build, CENTRED % "0.110 in")
    assert checked.verdict == "pass"
    assert checked.order.lines


def test_a_worse_value_voids_it_and_the_message_says_so(build: Path) -> None:
    result = _one(_checked(build, CENTRED % "0.106 in"), "mark-centred", "1/intake")
    assert (result.kind, result.blocks, result.concession) == ("fail", True, None)
    assert result.message.endswith("The concession at concessions.yaml:1:3 is void: it accepts 0.106 in at worst.")


def test_the_report_says_that_it_is_void(build: Path) -> None:
    report = render(_checked(build, CENTRED % "0.106 in"))
    (cure,) = [line for line in report.splitlines() if line.startswith("- **Do:** ") and "is void" in line]
    assert cure.endswith(" The concession at concessions.yaml:1:3 is void: it accepts 0.106 in at worst.")


def test_it_speaks_of_its_own_valve_only(build: Path) -> None:
    checked = _checked(build, (CENTRED % "0.110 in").replace("intake", "exhaust"))
    assert _one(checked, "mark-centred", "1/intake").blocks
    assert "mark-centred, cylinder 1 exhaust: the rule is met" in _idle(checked)[0]


def test_a_value_that_straddles_its_limit_is_covered_as_a_worse_one_would_be(build: Path) -> None:
    _replace(build / "marks.yaml", "{from: 0.035 in, to: 0.062 in}", "{from: 0.090 in, to: 0.117 in}")
    bare = _one(run([build]).builds[0], "mark-centred", "1/intake")
    assert (bare.kind, bare.blocks) == ("open", True)
    covered = _one(_checked(build, CENTRED % "0.060 in"), "mark-centred", "1/intake")
    assert (covered.kind, covered.blocks, covered.concession is not None) == ("open", False, True)


@pytest.mark.parametrize(("up_to", "covered"), [("0.090 in", True), ("0.010 in", False)])
def test_of_two_sides_only_the_one_that_was_accepted(build: Path, up_to: str, covered: bool) -> None:
    _replace(build / "heads.yaml", "thickness: 1.07 mm", "thickness: 2.00 mm")
    entry = f" {{rule: quench, up_to: {up_to}, because: as cast, accepted_by: foreman}}"
    result = _one(_checked(build, entry), "quench")
    assert result.kind == "fail"
    assert (result.concession is not None) == covered


@pytest.mark.parametrize(
    ("entry", "words"),
    [
        ("rule: quench, up_to: 0.050 in", "write the worst value accepted, below 0.035 in or above 0.060 in"),
        ("rule: retainer-to-seal, valve: intake, up_to: 0.060 in", "write the worst value accepted, below 0.050 in"),
    ],
)
def test_a_worst_value_that_meets_the_limit_is_refused(build: Path, entry: str, words: str) -> None:
    checked = _checked(build, f" {{{entry}, because: as cast, accepted_by: foreman}}")
    assert checked.exit_code == 2
    assert [problem.message for problem in checked.problems if words in problem.message]


def test_contact_is_never_conceded(build: Path) -> None:
    _replace(build / "heads.yaml", "coil_bind_height: ", "coil_bind_height: 1.5 in # ")
    entry = " {rule: coil-bind-clearance, valve: intake, up_to: -1 in, because: no, accepted_by: foreman}"
    result = _one(_checked(build, entry), "coil-bind-clearance", "intake")
    assert result.blocks
    assert "is void: contact, or a mark that reaches the edge, cannot be conceded" in result.message


@pytest.mark.parametrize(
    ("entry", "reason"),
    [
        (" {rule: mark-widht, up_to: 1 in, because: tried, accepted_by: boss}", "there is no rule mark-widht"),
        (CENTRED.replace("cylinder: 1", "cylinder: 2") % "1 in", "the rule is met"),
        (CENTRED.replace("cylinder: 1", "cylinder: 9") % "1 in", "this build has no such subject"),
        (CENTRED.replace("cylinder: 1", "cylinder: 4") % "1 in", "the rule does not apply there"),
        (" {rule: delivered-run-out, up_to: 1 in, because: tried, accepted_by: boss}", "there is no reading yet"),
    ],
)
def test_one_that_covers_nothing_is_reported_at_its_place(build: Path, entry: str, reason: str) -> None:
    found = _idle(_checked(build, CENTRED % "0.110 in", entry))
    assert [result.partition(" ")[0] for result in found] == ["concessions.yaml:2:3"]
    assert reason in found[0]


def test_an_idle_one_warns_and_blocks_only_where_warnings_do(build: Path) -> None:
    entry = " {rule: gone, up_to: 1 in, because: tried, accepted_by: boss}"
    assert _checked(build, CENTRED % "0.110 in", entry).verdict == "pass"
    strict = _checked(build, CENTRED % "0.110 in", entry, strict=True)
    assert [r.rule for r in strict.results if r.blocks and r.rule == "concession-in-use"] == ["concession-in-use"]


@pytest.mark.parametrize(
    ("entry", "place", "message"),
    [
        (
            " {rule: parts-consistent, up_to: 1, because: tried, accepted_by: boss}",
            "1:10",
            "a concession is not possible",
        ),
        (CENTRED % "3 lbf", "1:59", "a force cannot be the limit of a length"),
        (CENTRED % "mark_width", "1:59", "write the worst value accepted, with its unit"),
        (
            " {rule: mark-width, valve: intake, up_to: 1 in, because: tried, accepted_by: boss}",
            "1:3",
            "enter cylinder and valve",
        ),
        (" {rule: quench, valve: intake, up_to: 1 in, because: tried, accepted_by: boss}", "1:25", "leave valve out"),
    ],
)
def test_one_that_cannot_be_meant_is_an_error_at_its_place(build: Path, entry: str, place: str, message: str) -> None:
    problems = _checked(build, entry).problems
    assert [str(problem.place) for problem in problems] == [f"concessions.yaml:{place}"]
    assert message in problems[0].message


def test_twice_for_the_same_is_an_error(build: Path) -> None:
    problems = _checked(build, CENTRED % "0.110 in", CENTRED % "0.120 in").problems
    assert [problem.message for problem in problems] == [
        "mark-centred, cylinder 1 intake is conceded twice, first at concessions.yaml:1:3"
    ]


@pytest.mark.parametrize(("up_to", "covered"), [("0.102 in", True), ("0.103 in", False)])
def test_of_a_least_value_only_what_is_not_less_than_accepted(build: Path, up_to: str, covered: bool) -> None:
    """1.700 − 1.6·0.280 − 29.2/25.4 = 0.1024 in, where 0.120 in is requested."""
    _replace(build / "build.yaml", "at_least: 0.080 in", "at_least: 0.120 in")
    entry = f" {{rule: coil-bind-clearance, valve: intake, up_to: {up_to}, because: mild cam, accepted_by: foreman}}"
    result = _one(_checked(build, entry), "coil-bind-clearance", "intake")
    assert (result.kind, result.blocks, result.concession is not None) == ("fail", not covered, covered)


DECK = """\
id: deck
title: Piston below the deck
for_each: cylinder
quantity: block.deck_clearance
at_most: 0.1 mm
level: error
due: planning
why: It squeezes nothing from so far down.
fix: Deck the block.
source: common practice, no published source
examples: [{given: {block.deck_clearance: 0 mm}, gives: pass}, {given: {block.deck_clearance: 1 mm}, gives: fail}]
"""


def _of_deck(build: Path, who: str) -> CheckedBuild:
    (build.parent / "shop").mkdir()
    (build.parent / "shop" / "deck.yaml").write_text(DECK)
    (build.parent / "buildcheck.yaml").write_text("rules: [shop]\n")
    return _checked(build, f" {{rule: deck, {who}up_to: 0.2 mm, because: tried, accepted_by: boss}}")


def test_of_a_rule_for_each_cylinder_one_cylinder_is_conceded(build: Path) -> None:
    checked = _of_deck(build, "cylinder: 3, ")
    blocks = {result.subject.key: result.blocks for result in checked.results if result.rule == "deck"}
    assert blocks == {str(cylinder): cylinder != 3 for cylinder in range(1, 7)}


@pytest.mark.parametrize(
    ("who", "expected"),
    [
        ("", "deck applies to each cylinder: enter cylinder"),
        ("cylinder: 3, valve: intake, ", "deck applies to each cylinder: leave valve out"),
    ],
)
def test_of_a_rule_for_each_cylinder_no_more_and_no_less_is_said(build: Path, who: str, expected: str) -> None:
    assert [problem.message for problem in _of_deck(build, who).problems] == [expected]


@pytest.mark.parametrize(("mount", "kind"), [("stud", "fail"), ("shaft", "notApplicable")])
def test_a_rule_of_the_team_on_idle_ones_sees_the_build_as_other_rules_do(build: Path, mount: str, kind: str) -> None:
    rule = (ROOT / "rules" / "team" / "concession-in-use.yaml").read_text(encoding="utf-8")
    (build.parent / "shop").mkdir()
    (build.parent / "shop" / "no-idle.yaml").write_text(
        rule.replace("concession-in-use", "no-idle").replace(
            "for_each: build", f"for_each: build\napplies: {{rockers.mount: {mount}}}"
        )
    )
    (build.parent / "buildcheck.yaml").write_text("rules: [shop]\n")
    checked = _checked(build, CENTRED % "0.110 in", " {rule: gone, up_to: 1 in, because: tried, accepted_by: boss}")
    assert {result.kind for result in checked.results if result.rule == "no-idle"} == {kind}
