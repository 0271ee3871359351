"""A shipped rule that the team replaced, or a limit that a build undercut: reported where it lets more through."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from rewritten import Edit, copied

from buildcheck.cli.main import main
from buildcheck.core.package_data import rules_dir
from buildcheck.output.compare.comparison import _rule_difference
from buildcheck.rules.rule import Rule
from buildcheck.rules.rule_diff import differences
from buildcheck.rules.rule_loader import load_rules

SHIPPED = (rules_dir() / "springs" / "coil-bind-clearance.yaml").read_text(encoding="utf-8")


def own_rule(*edits: tuple[str, str]) -> str:
    """The shipped rule in a team's words, with the examples that a rule must have and no others."""
    text = SHIPPED.partition("examples:")[0] + (
        "examples:\n"
        "  - {given: {coil_bind_clearance: 9 in}, gives: pass}\n"
        "  - {given: {coil_bind_clearance: 0 in}, gives: fail}\n"
    )
    for old, new in (("for_each:", "replaces: true\nfor_each:"), *edits):
        assert old in text, old
        text = text.replace(old, new, 1)
    return text


@pytest.fixture
def shop(tmp_path: Path) -> Path:
    """A repository's root whose settings name a folder of rules."""
    (tmp_path / "shop-rules").mkdir()
    (tmp_path / "buildcheck.yaml").write_text("rules: [shop-rules]\n", encoding="utf-8")
    return tmp_path


def reported(top: Path, build: Path) -> str:
    main(["report", str(build)])
    return (build / "REPORT.md").read_text(encoding="utf-8")


def section(report: str, heading: str) -> list[str]:
    """The rows of a section's table, without what they say why."""
    rows = report.partition(heading)[2].partition("\n\n#")[0].partition("</details>")[0]
    return [row.rpartition(" | ")[0] for row in rows.splitlines() if re.match(r"\| \**[a-z]+-", row)]


LIMIT = "{inch: 0.060 in, metric: 1.5 mm}"
LAXER = ((f"at_least: {LIMIT}", "at_least: 0.001 in"), ("level: error", "level: note"), ("at_zero: contact\n", ""))


def test_a_replaced_rule_that_lets_more_through_is_among_the_loosened(shop: Path) -> None:
    (shop / "shop-rules" / "coil-bind-clearance.yaml").write_text(own_rule(*LAXER), encoding="utf-8")
    text = reported(shop, copied(shop, "example_build", ("build.yaml", "limits:", "note: |")))
    assert "no limit loosened by team or build" not in text
    assert section(text, "## Limits loosened") == [
        "| **coil-bind-clearance**, by the rule file of the team | at least 0.060 in → **0.001 in**",
        "| **coil-bind-clearance**, by the rule file of the team | level error → **note**",
        "| **coil-bind-clearance**, by the rule file of the team | at zero contact → **as any value**",
    ]
    assert "see shop-rules/coil-bind-clearance.yaml |" in text


@pytest.mark.parametrize(
    ("edit", "expected"),
    [
        (("level: error", "level: note"), "level error → note"),
        (("due: ordering", "due: closed"), "due ordering → closed"),
        (("for_each:", "applies: {rockers.mount: [shaft]}\nfor_each:"), "applies always → rockers.mount shaft"),
    ],
)
def test_the_verdict_names_what_a_replaced_rule_lets_through(
    shop: Path, capsys: pytest.CaptureFixture[str], edit: tuple[str, str], expected: str
) -> None:
    (shop / "shop-rules" / "coil-bind-clearance.yaml").write_text(own_rule(edit), encoding="utf-8")
    copied(shop, "example_build", ("build.yaml", "limits:", "note: |"))
    main(["check", str(shop)])
    verdict = capsys.readouterr().out.splitlines()[-1]
    place = "see shop-rules/coil-bind-clearance.yaml"
    assert f"1 limit loosened: coil-bind-clearance {expected} by the rule file of the team, {place}" in verdict


def test_a_replaced_rule_that_is_stricter_is_among_the_tightened(shop: Path) -> None:
    stricter = own_rule((f"at_least: {LIMIT}", "at_least: 0.065 in"))
    (shop / "shop-rules" / "coil-bind-clearance.yaml").write_text(stricter, encoding="utf-8")
    text = reported(shop, copied(shop, "example_build", ("build.yaml", "limits:", "note: |")))
    assert "no limit loosened by team or build" in text
    assert section(text, "Limits tightened") == [
        "| coil-bind-clearance, by the rule file of the team | at least 0.060 in → 0.065 in"
    ]


def test_where_another_question_is_requested_nobody_can_tell_and_it_counts_as_loosened(shop: Path) -> None:
    other = own_rule(
        ("quantity: coil_bind_clearance", "quantity: valve_lift"),
        ("{coil_bind_clearance: 9 in}", "{valve_lift: 9 in}"),
        ("{coil_bind_clearance: 0 in}", "{valve_lift: 0 in}"),
    )
    (shop / "shop-rules" / "coil-bind-clearance.yaml").write_text(other, encoding="utf-8")
    text = reported(shop, copied(shop, "example_build", ("build.yaml", "limits:", "note: |")))
    assert section(text, "## Limits loosened") == [
        "| **coil-bind-clearance**, by the rule file of the team | quantity coil\\_bind\\_clearance → **valve\\_lift**"
    ]


def test_explain_says_which_shipped_rule_is_replaced_and_in_what(
    shop: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (shop / "shop-rules" / "coil-bind-clearance.yaml").write_text(own_rule(*LAXER), encoding="utf-8")
    assert main(["explain", "coil-bind-clearance", str(shop)]) == 0
    lines = capsys.readouterr().out.splitlines()
    result = "at_least 0.060 in → 0.001 in, level error → note, at_zero contact → as any value"
    assert f"  replaces rules/springs/coil-bind-clearance.yaml (shipped): {result}" in lines
    assert "  in place of 0.060 in, the shipped rule's" in lines


TEAM = "limits: {coil-bind-clearance: {at_least: 0.090 in, because: two springs failed at 0.080}}\n"


@pytest.mark.parametrize(
    ("own", "heading", "row"),
    [
        ("0.080 in", "## Limits loosened", "| **coil-bind-clearance**, by the build | {} → **0.080 in**"),
        ("0.095 in", "Limits tightened", "| coil-bind-clearance, by the build | {} → 0.095 in"),
    ],
)
def test_a_build_s_limit_is_held_against_the_team_s_that_it_displaces(
    tmp_path: Path, own: str, heading: str, row: str
) -> None:
    (tmp_path / "buildcheck.yaml").write_text(TEAM, encoding="utf-8")
    edit: Edit = ("build.yaml", "at_least: 0.080 in", f"at_least: {own}")
    text = reported(tmp_path, copied(tmp_path, "example_build", edit))
    assert section(text, heading) == [row.format("at least 0.060 in → 0.090 in by the team")]
    assert ("no limit loosened by team or build" in text) == (heading == "Limits tightened")


def test_explain_shows_every_limit_that_was_displaced(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "buildcheck.yaml").write_text(TEAM, encoding="utf-8")
    build = copied(tmp_path, "example_build")
    assert main(["explain", "coil-bind-clearance", str(build)]) == 0
    lines = capsys.readouterr().out.splitlines()
    at = lines.index("  in place of 0.090 in, set by the team in buildcheck.yaml")
    assert lines[at + 1] == "  in place of 0.060 in, set by the rule"


def rule(folder: Path, *edits: tuple[str, str]) -> Rule:
    folder.mkdir()
    (folder / "coil-bind-clearance.yaml").write_text(own_rule(*edits), encoding="utf-8")
    rules, problems = load_rules([(folder, "shop-rules")])
    assert problems == ()
    return rules["coil-bind-clearance"]


@pytest.mark.parametrize(
    ("edit", "text", "laxer"),
    [
        (("level: error", "level: warning"), "level error → warning", True),
        (("due: ordering", "due: closed"), "due ordering → closed", True),
        (("due: ordering", "due: planning"), "due ordering → planning", False),
        (("at_zero: contact", "at_zero: fails"), "at_zero contact → fails", True),
        (("level: error", "level: error\nopen: allowed"), "open blocks → allowed", True),
        (("level: error", "level: error\nconcession: refused"), "concession allowed → refused", False),
        (
            ("level: error", "level: error\napplies: {cam.lifter.type: [solid flat, solid roller]}"),
            "applies always → cam.lifter.type solid flat or solid roller",
            True,
        ),
        (("for_each: valve_type", "for_each: valve"), "for_each valve_type → valve", True),
        ((f"at_least: {LIMIT}", "at_most: 0.060 in"), "at_least 0.060 in → none", True),
    ],
)
def test_each_term_of_a_rule_is_reported_with_whether_it_lets_more_through(
    tmp_path: Path, edit: tuple[str, str], text: str, laxer: bool
) -> None:
    old, new = rule(tmp_path / "old"), rule(tmp_path / "new", edit)
    [first, *rest] = differences(old, new)
    assert (first.text, first.laxer) == (text, laxer)
    assert [one.text for one in rest] == (["at_most none → 0.060 in"] if "at_most" in edit[1] else [])
    assert list(differences(old, old)) == []


def test_compare_shows_every_term_that_changed(tmp_path: Path) -> None:
    old = rule(tmp_path / "old")
    new = rule(tmp_path / "new", *LAXER, ("title: ", "title: Ours, "))
    assert _rule_difference(old, new) == (
        "at_least 0.060 in → 0.001 in, level error → note, at_zero contact → as any value, its text"
    )


def test_the_verdict_names_every_limit_that_was_displaced(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "buildcheck.yaml").write_text(TEAM, encoding="utf-8")
    main(["check", str(copied(tmp_path, "example_build"))])
    chain = "coil-bind-clearance at least 0.060 in → 0.090 in by the team → 0.080 in by the build, because "
    assert chain in capsys.readouterr().out.splitlines()[-1]
