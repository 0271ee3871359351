"""``explain`` and ``rules``: what they mention rules, quantities, fields and stages, and of limits in force."""

from __future__ import annotations

import re
import shutil
from functools import cache
from pathlib import Path

import pytest
from judging import Judged
from rewritten import Edit

from buildcheck.build.build_folder import STAGES
from buildcheck.cli.main import main
from buildcheck.output.explain.explain_field import explain_field
from buildcheck.output.explain.explain_quantity import explain_quantity, formulas_of
from buildcheck.output.explain.explain_rule import explain_rule
from buildcheck.output.explain.explain_stage import MEANINGS
from buildcheck.registry.quantity_table import QUANTITIES
from buildcheck.rules.limits import Limits
from buildcheck.rules.rule_loader import load_rules
from buildcheck.schema.fields import field_kinds

Captured = pytest.CaptureFixture[str]
ROOT = Path(__file__).parent.parent
RULES = load_rules()[0]
DEEP_LIFT = """\
id: deep-lift
title: Valve lift within what the guides take
for_each: valve_type
quantity: valve_lift
at_most: 0.500 in
level: warning
due: ordering
why: A long lift on short guides wears them oval.
fix: Fit longer guides, or a cam of less lift.
source: common practice, no published source
examples: [{given: {valve_lift: 0.45 in}, gives: pass}, {given: {valve_lift: 0.55 in}, gives: %s}]
"""


@pytest.fixture
def shop(tmp_path: Path) -> Path:
    shutil.copytree(ROOT / "example_build", tmp_path / "dunlin")
    (tmp_path / "shop-rules").mkdir()
    (tmp_path / "shop-rules/deep-lift.yaml").write_text(DEEP_LIFT % "fail", encoding="utf-8")
    limits = "limits: {quench: {at_most: 0.070 in, because: iron heads only}}\n"
    (tmp_path / "buildcheck.yaml").write_text(f"rules: [shop-rules]\n{limits}", encoding="utf-8")
    return tmp_path


def result(capsys: Captured, *words: str | Path) -> list[str]:
    assert main([str(word) for word in words]) == 0
    return capsys.readouterr().out.splitlines()


def test_every_rule_shows_why_what_to_do_and_every_example() -> None:
    for rule in RULES.rules:
        lines = list(explain_rule(rule, Limits()))
        assert lines[0].startswith(f"{rule.id}: ")
        for head in ("judges: ", "why: ", "what to do", "source: "):
            assert any(line.startswith(head) for line in lines), (rule.id, head)
        assert len(lines) - lines.index("examples:") - 1 == len(rule.examples), rule.id


def test_limits_in_force_are_reported_with_who_set_them_where_and_why(capsys: Captured, shop: Path) -> None:
    lines = result(capsys, "explain", "quench", shop)
    assert "at least: 0.035 in (metric builds: 0.9 mm), set by the rule (rules/compression/quench.yaml:6:18)" in lines
    at = lines.index("at most: 0.070 in, set by the team in buildcheck.yaml (buildcheck.yaml:2:28)")
    assert lines[at + 1 : at + 3] == ["  because iron heads only", "  in place of 0.060 in, set by the rule"]


def test_a_build_s_own_limit_wins(capsys: Captured, shop: Path) -> None:
    build = shop / "dunlin/build.yaml"
    text = build.read_text(encoding="utf-8")
    build.write_text(text.replace("\nlimits:", "\nx:").partition("\nx:")[0] + "\n", encoding="utf-8")
    with build.open("a", encoding="utf-8") as file:
        file.write("limits: {quench: {at_most: 0.080 in, because: as cast}}\n")
    lines = result(capsys, "explain", "quench", shop / "dunlin")
    assert any(line.startswith("at most: 0.080 in, set by the build (build.yaml:") for line in lines)


def test_every_quantity_says_what_it_is() -> None:
    for name, quantity in QUANTITIES.items():
        lines = list(explain_quantity(name, quantity, RULES))
        assert lines[0] == f"{name}: {quantity.title}"
        assert lines[2].rstrip().endswith((".", ":")), name


def test_a_quantity_names_the_formulas_behind_it_without_python(capsys: Captured) -> None:
    lines = result(capsys, "explain", "coil_bind_clearance", ROOT)
    assert "formula coil_bind_clearance:" in lines
    assert not any(">>>" in line for line in lines)
    assert "rules that use it: coil-bind-clearance" in lines
    assert sum(bool(formulas_of(quantity.compute)) for quantity in QUANTITIES.values()) > len(QUANTITIES) / 3


@pytest.mark.parametrize(
    ("field", "expected"),
    [
        ("heads.springs.{valve}.rate", "file: heads.yaml, key springs.intake.rate"),
        ("cam.lifter.type", "write: hydraulic flat or hydraulic roller or solid flat or solid roller"),
        ("block.firing_order", "range: 1 to 32"),
        ("rate", "  heads.springs.exhaust.rate"),
    ],
)  # fmt: skip
def test_a_field_shows_what_to_write(capsys: Captured, field: str, expected: str) -> None:
    assert expected in result(capsys, "explain", field, ROOT)


def test_stages_list_every_rule_under_the_one_from_which_it_counts(capsys: Captured) -> None:
    assert tuple(MEANINGS) == STAGES
    lines = result(capsys, "explain", "stage", ROOT)
    heads = [line.partition(":")[0] for line in lines]
    for rule in RULES.rules:
        here = next(index for index, line in enumerate(lines) if line.startswith(f"  {rule.id} ("))
        assert [head for head in heads[:here] if head in STAGES][-1] == rule.due


def test_an_unknown_topic_is_answered_with_near_ones(capsys: Captured) -> None:
    assert main(["explain", "mark-centerd", str(ROOT)]) == 2
    assert "did you mean mark-centred" in capsys.readouterr().err


@pytest.mark.parametrize(("topic", "near"), [("lobelift", "lobe_lift"), ("valve-arm", "valve_arm")])
def test_a_fields_own_name_is_near_too(capsys: pytest.CaptureFixture[str], topic: str, near: str) -> None:
    assert main(["explain", topic]) == 2
    assert f"did you mean {near}" in capsys.readouterr().err


def test_rules_lists_the_shop_s_beside_the_shipped_ones(capsys: Captured, shop: Path) -> None:
    lines = result(capsys, "rules", shop)
    assert len(lines) == len(RULES.rules) + 1
    assert next(line for line in lines if "(shop-rules/deep-lift.yaml)" in line).startswith("deep-lift ")


def test_rules_runs_the_examples_of_every_rule_in_force(capsys: Captured, shop: Path) -> None:
    examples = sum(len(rule.examples) for rule in RULES.rules) + 2
    assert result(capsys, "rules", "--test", shop) == [
        f"{len(RULES.rules) + 1} rules, {examples} examples: all results as expected"
    ]


def test_an_example_that_ends_otherwise_fails_at_its_place(capsys: Captured, shop: Path) -> None:
    rule = (DEEP_LIFT % "fail").replace("0.55 in", "0.40 in")
    (shop / "shop-rules/deep-lift.yaml").write_text(rule, encoding="utf-8")
    assert main(["rules", "--test", str(shop)]) == 1
    assert "shop-rules/deep-lift.yaml:11:57: error: examples[1]: is pass, expected fail" in capsys.readouterr().out


@pytest.mark.parametrize("command", [["rules"], ["rules", "--test"], ["explain", "quench"]])
def test_a_rule_that_cannot_be_read_is_reported_and_ends_with_2(
    capsys: Captured, shop: Path, command: list[str]
) -> None:
    (shop / "shop-rules/deep-lift.yaml").write_text((DEEP_LIFT % "fail").replace("0.500 in", "3 lbf"), encoding="utf-8")
    assert main([*command, str(shop)]) == 2
    captured = capsys.readouterr()
    assert "shop-rules/deep-lift.yaml:5:10: error: at_most: a force cannot be the limit of a length" in "".join(
        captured
    )


def test_a_shop_rule_takes_a_shipped_one_s_place_only_where_it_says_so(capsys: Captured, shop: Path) -> None:
    shipped = (
        (ROOT / "rules/compression/quench.yaml")
        .read_text(encoding="utf-8")
        .replace("{inch: 0.060 in, metric: 1.5 mm}", "0.050 in")
    )
    (shop / "shop-rules/quench.yaml").write_text(shipped, encoding="utf-8")
    assert main(["rules", str(shop)]) == 2
    assert "write 'replaces: true' to replace it" in capsys.readouterr().out
    (shop / "shop-rules/quench.yaml").write_text(f"{shipped}replaces: true\n", encoding="utf-8")
    assert any("quench" in line and "(shop-rules/quench.yaml)" in line for line in result(capsys, "rules", shop))


@cache
def words_that_read() -> set[str]:
    """Words of what the source quotes without blanks, such as paths and keys: not what explain and prose say."""
    files = [path for path in (ROOT / "buildcheck").rglob("*.py") if path.parent.name != "explain"]
    texts = [text for path in files for text in re.findall(r'"([^"\s]+)"', path.read_text(encoding="utf-8"))]
    return {word for text in texts for word in re.findall(r"\w+", text)}


NAMED = {word for rule in RULES.rules for name in rule.names() for word in name.split(".")}


def test_a_field_of_which_nothing_is_computed_says_so() -> None:
    """Its key is in the source that reads builds, or in a rule, or it says that nobody reads it."""
    where = (
        "let a rule or quantity read it, or write its ending into KEPT in buildcheck/output/explain/explain_field.py"
    )
    read = words_that_read() | NAMED
    last = {field: list(explain_field(field, RULES))[-1] for field in field_kinds()}
    unread = [field for field in last if field.rpartition(".")[2] not in read]
    assert [field for field in unread if "record for the reader" not in last[field]] == [], where


@pytest.mark.parametrize(
    ("folder", "edit"),
    [
        ("tests/builds/vee_eight_mm", ("rockers.yaml", "radius: 6.0 mm", "radius: 6.5 mm")),
        (
            "tests/builds/vee_eight_mm",
            ("heads.yaml", "installed_height: 45.4 mm", "installed_height: 45.4 mm, stem_height: 52 mm"),
        ),
        ("example_build", ("marks.yaml", "name: 12 in caliper", "name: micrometer")),
    ],
)
def test_what_is_kept_for_the_reader_changes_no_result(judged: Judged, folder: str, edit: Edit) -> None:
    def result(*edits: Edit) -> tuple[object, object]:
        build = judged(folder, *edits).build
        return [(one["rule"], one["subject"], one["kind"], one["value"]) for one in build["results"]], build["order"]

    assert result(edit) == result()


@pytest.mark.parametrize(
    ("field", "kept"),
    [("heads.each.stem_height", True), ("rockers.tip.radius", True), ("heads.valves.intake.lash_cap.thickness", True),
     ("heads.gasket.thickness", False), ("rockers.bolt_turns", False), ("cam.lifter.travel", False)],
)  # fmt: skip
def test_explain_says_what_is_kept_for_the_reader_alone(capsys: Captured, field: str, kept: bool) -> None:
    last = result(capsys, "explain", field, ROOT)[-1]
    assert ("no quantity is computed from it: it is a record for the reader" in last) is kept


def test_a_build_s_own_limits_are_reported_of_its_files_too(capsys: Captured) -> None:
    expected = []
    for path in ("example_build", "example_build/build.yaml", "example_build/marks.yaml"):
        assert main(["explain", "coil-bind-clearance", str(ROOT / path)]) == 0
        expected.append(capsys.readouterr().out)
    assert "0.080 in" in expected[0]
    assert expected[1:] == expected[:1] * 2


@pytest.mark.parametrize(
    ("field", "expected"),
    [
        ("cam.advance", "write: an angle with its unit, one of deg"),
        ("marks.valves.trials.turns", "write: a number without a unit"),
        ("block.cylinders", "write: a whole number"),
    ],
)
def test_what_to_write_has_the_right_article_and_unit(
    field: str, expected: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["explain", field]) == 0
    assert f"\n{expected}" in capsys.readouterr().out


def test_a_metric_builder_meets_no_inch_in_the_explanation_of_a_rule(capsys: pytest.CaptureFixture[str]) -> None:
    build = str(ROOT / "tests/builds/inline_four_pad")
    for rule in ("coil-bind-clearance", "drops-agree", "mark-on-tip", "predicted-agrees", "preload-in-range"):
        assert main(["explain", rule, build]) == 0
        text = capsys.readouterr().out
        assert re.findall(r"\d in\b", text) == []
        assert " mm" in text
