"""Named limits: order and advice look them up by name; a rule that replaces a shipped one keeps or drops its limit."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest
from rewritten import ROOT, copied, results

import buildcheck
from buildcheck.app.build_check import CheckedBuild
from buildcheck.app.run import run
from buildcheck.build.named_limits import NAMED_LIMITS, NOTHING
from buildcheck.cli.main import main
from buildcheck.core.package_data import rules_dir, schemas_dir
from buildcheck.core.subject import Subject
from buildcheck.rules.rule_loader import load_rules

PACKAGE = Path(buildcheck.__file__).parent
CENTRED = (rules_dir() / "marks" / "mark-centred.yaml").read_text(encoding="utf-8")
CONTROLS = "controls: mark_centre_limit\n"
VALVE = Subject(1, "intake")
EXAMPLES_IN_HELP = {Path("cli/commands/explain.py")}


def test_no_shipped_rule_id_is_written_in_the_package_outside_its_rule_file() -> None:
    ids = [path.stem for path in rules_dir().rglob("*.yaml") if "-" in path.stem]  # the others are common words
    assert len(ids) > 50
    any_id = re.compile(rf"(?<![\w-])({'|'.join(map(re.escape, ids))})(?![\w-])")
    files = [path for path in PACKAGE.rglob("*.py") if path.relative_to(PACKAGE) not in EXAMPLES_IN_HELP]
    assert len(files) > 100
    found = {path.name: any_id.findall(path.read_text(encoding="utf-8")) for path in files}
    assert {name: ids for name, ids in found.items() if ids} == {}


def test_each_named_limit_is_controlled_by_one_shipped_rule_and_known_to_the_schema() -> None:
    rules, problems = load_rules()
    assert problems == ()
    assert sorted(rule.controls for rule in rules.rules if rule.controls) == sorted(NAMED_LIMITS)
    schema = json.loads((schemas_dir() / "rule.schema.json").read_text(encoding="utf-8"))
    assert schema["properties"]["controls"]["enum"] == sorted([*NAMED_LIMITS, NOTHING])


def shop(top: Path, *edits: tuple[str, str], name: str = "mark-centred") -> Path:
    """A build in a repository whose own rule takes the place of mark-centred, with each (old, new) put in place."""
    text = CENTRED.replace("for_each:", "replaces: true\nfor_each:", 1).partition("examples:")[0] + (
        "examples:\n"
        "  - {given: {mark_offset: 0 in, tip_diameter: 9 in}, gives: pass}\n"
        "  - {given: {mark_offset: 9 in, tip_diameter: 1 in}, gives: fail}\n"
    )
    for old, new in edits:
        assert old in text, old
        text = text.replace(old, new, 1)
    (top / "shop-rules").mkdir()
    (top / "shop-rules" / f"{name}.yaml").write_text(text, encoding="utf-8")
    (top / "buildcheck.yaml").write_text("rules: [shop-rules]\n", encoding="utf-8")
    return copied(top, "example_build")


def checked(build: Path) -> CheckedBuild:
    """The build, checked by the rules of its repository, which load without a problem."""
    done = run([build])
    assert done.problems == ()
    return done.builds[0]


def problem(build: Path) -> str:
    [found] = run([build]).problems
    return f"{found.place}: {found.message}"


TIGHTER = ("at_most: tip_diameter / 6", "at_most: tip_diameter / 60")


@pytest.mark.parametrize("edits", [(TIGHTER,), (TIGHTER, (CONTROLS, ""))])
def test_a_rule_that_replaces_one_keeps_its_named_limit(tmp_path: Path, edits: tuple[tuple[str, str], ...]) -> None:
    shipped = checked(copied(tmp_path, "example_build")).facts.bound("mark_centre_limit", VALVE)
    (tmp_path / "own").mkdir()
    own = checked(shop(tmp_path / "own", *edits)).facts.bound("mark_centre_limit", VALVE)
    assert own.si == pytest.approx(shipped.si / 10)


def test_a_limit_that_a_rule_drops_is_named_where_the_order_needs_it(tmp_path: Path) -> None:
    found = checked(shop(tmp_path, (CONTROLS, "controls: nothing\n")))
    assert found.verdict != "pass"
    reasons = {subject: why.reason for subject, why in found.order.unknown}
    assert reasons[VALVE].startswith("no rule controls the limit mark_centre_limit")
    assert {one.kind for one in results(found, "length-orderable")} == {"open"}


def test_a_report_lists_a_dropped_limit_among_the_loosened(tmp_path: Path) -> None:
    build = shop(tmp_path, (CONTROLS, "controls: nothing\n"))
    main(["report", str(build)])
    text = (build / "REPORT.md").read_text(encoding="utf-8")
    assert "| controls mark\\_centre\\_limit → **nothing** |" in text.partition("## Limits loosened")[2]


def test_another_rule_can_take_over_a_limit_that_was_dropped(tmp_path: Path) -> None:
    build = shop(tmp_path, (CONTROLS, "controls: nothing\n"))
    own = CENTRED.replace("id: mark-centred", "id: a-centre").replace("title: ", "title: Shop's ")
    (tmp_path / "shop-rules" / "a-centre.yaml").write_text(own, encoding="utf-8")
    assert checked(build).facts.bound("mark_centre_limit", VALVE).si > 0


def test_two_rules_cannot_control_one_limit(tmp_path: Path) -> None:
    edits = (("id: mark-centred", "id: a-centre"), ("replaces: true\n", ""))
    result = problem(shop(tmp_path, *edits, name="a-centre"))
    assert result.startswith("shop-rules/a-centre.yaml:2:1: mark-centred controls mark_centre_limit already")


OTHER = (("quantity: abs(mark_offset)", "quantity: mark_width"), ("{mark_offset: 0 in", "{mark_width: 0 in"))


@pytest.mark.parametrize(
    ("edits", "line", "words"),
    [
        (
            (("at_most: tip_diameter / 6\nloosest: 0.100 in", "at_least: 0 in\nnote: none"),),
            9,
            "is the at_most of its rule: write at_most",
        ),
        (
            (
                ("abs(mark_offset)", "abs(mark_offset) / tip_diameter"),
                ("tip_diameter / 6\nloosest: 0.100 in", "0.1\nnote: none"),
            ),
            9,
            "is a length",
        ),
        (
            (*OTHER, ("{mark_offset: 9 in", "{mark_width: 9 in"), (CONTROLS, "")),
            2,
            "write 'controls: mark_centre_limit' to keep that, or 'controls: nothing' to drop it",
        ),
    ],
)
def test_a_rule_that_cannot_control_the_limit_is_a_problem_at_its_line(
    tmp_path: Path, edits: tuple[tuple[str, str], ...], line: int, words: str
) -> None:
    result = problem(shop(tmp_path, *edits))
    assert result.startswith(f"shop-rules/mark-centred.yaml:{line}:")
    assert words in result


def test_explain_shows_what_else_a_rule_controls(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    what = NAMED_LIMITS["mark_centre_limit"].controls
    assert main(["explain", "mark-centred", str(ROOT / "example_build")]) == 0
    assert f"also controls: {what} (mark_centre_limit)\n" in capsys.readouterr().out
    build = shop(tmp_path, (CONTROLS, "controls: nothing\n"))
    assert main(["explain", "mark-centred", str(build)]) == 0
    result = f"also controls: nothing; the shipped rule controls {what} (mark_centre_limit)\n"
    assert result in capsys.readouterr().out
