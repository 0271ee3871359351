"""Rule files: a wrong one is a problem at its own line and column, before any build is read."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from buildcheck.core.problem import Problem
from buildcheck.rules.rule_loader import load_rules

RULE = """\
id: shop-gap
title: Gap
for_each: valve_type
quantity: coil_bind_clearance - 0.010 in
at_least: 0.060 in
level: error
due: ordering
why: Metal meets.
fix: Take metal off.
source: common practice, no published source
examples:
  - {given: {coil_bind_clearance: 0.090 in}, gives: pass}
  - {given: {coil_bind_clearance: 0.050 in}, gives: fail}
"""
Load = Callable[..., tuple[Problem, ...]]


@pytest.fixture
def load(tmp_path: Path) -> Load:
    """Problems of the shop's one rule, with each (old, new) put in place."""

    def loaded(*edits: tuple[str, str], name: str = "shop-gap") -> tuple[Problem, ...]:
        text = RULE
        for old, new in edits:
            assert old in text
            text = text.replace(old, new, 1)
        (tmp_path / f"{name}.yaml").write_text(text, encoding="utf-8")
        return load_rules([(tmp_path, "shop")])[1]

    return loaded


def test_the_rule_itself_is_sound(load: Load) -> None:
    assert load() == ()


SIDES = "at_least: {intake: 0.060 in, exhaust: 0.050 in}"


@pytest.mark.parametrize(
    ("least", "most", "crossed"),
    [
        ("at_least: 0.060 in", "at_most: 0.050 in", True),
        ("at_least: 0.060 in", "at_most: 1 mm", True),
        ("at_least: 0.060 in", "at_most: {intake: 0.070 in, exhaust: 0.050 in}", True),
        (SIDES, "at_most: 0.055 in", True),
        (SIDES, "at_most: {intake: 0.060 in, exhaust: 0.040 in}", True),
        (SIDES, "at_most: {intake: 0.060 in, exhaust: 0.050 in}", False),
        ("at_least: 0.060 in", "at_most: 1.524 mm", False),
        ("at_least: 0.060 in", "at_most: heads.springs.{valve}.installed_height", False),
    ],
)
def test_a_least_above_the_most_is_reported_at_its_line(load: Load, least: str, most: str, crossed: bool) -> None:
    """Whether the rule's examples still hold is not asked here."""
    result = [one for one in load(("at_least: 0.060 in", f"{least}\n{most}")) if "no value would pass" in one.message]
    assert [(str(one.place), one.path) for one in result] == [("shop/shop-gap.yaml:6:10", "at_most")] * crossed


@pytest.mark.parametrize(
    ("edit", "place", "message"),
    [
        (("coil_bind_clearance - 0.010 in", "coil_bind_clearence"), "4:11", "did you mean coil_bind_clearance?"),
        (
            ("coil_bind_clearance - 0.010 in", "heads.springs.{valve}.rates"),
            "4:11",
            "neither a named quantity nor a field",
        ),
        (("coil_bind_clearance - 0.010 in", "coil_bind_clearance +"), "4:11", "at character 22, found the end"),
        (("0.010 in", "10 lbf"), "4:11", "a length and a force cannot be subtracted"),
        (("0.010 in", "spring_force_open"), "4:11", "a length and a force cannot be subtracted"),
        (("coil_bind_clearance - 0.010 in", "coil_bind_clearance * coil_bind_clearance"), "4:11", "compound"),
        (("coil_bind_clearance - 0.010 in", "cam.lifter.type"), "4:11", "text is not a value"),
        (("coil_bind_clearance - 0.010 in", "mark_offset"), "4:11", "write 'for_each: valve'"),
        (("for_each: valve_type", "for_each: build"), "4:11", "write 'for_each: valve_type'"),
        (("for_each: valve_type", "for_each: cylinder"), "4:11", "write 'for_each: valve_type'"),
        (("at_least: 0.060 in", "at_least: 60 lbf"), "5:11", "a force cannot be the limit of a length"),
        (("at_least: 0.060 in", "at_least: 0.060"), "5:11", "a ratio cannot be the limit of a length"),
        (("at_least: 0.060 in", "at_least: 0.060 inn"), "5:11", "at character 7, found 'inn'"),
        (("at_least: 0.060 in", "at_least: {intake: 0.060 in, exhaust: 1 N}"), "5:39", "a force cannot be the limit"),
        (("at_least: 0.060 in", "at_most: valve_liift"), "5:10", "did you mean valve_lift?"),
        (("id: shop-gap", "id: shop-gop"), "1:5", "call the file shop-gop.yaml"),
    ],
)
def test_a_wrong_rule_is_reported_at_its_line(load: Load, edit: tuple[str, str], place: str, message: str) -> None:
    [problem] = load(edit)
    assert (str(problem.place), message in problem.message) == (f"shop/shop-gap.yaml:{place}", True), problem


def test_limits_by_valve_type_need_a_valve(load: Load) -> None:
    build = ("for_each: valve_type", "for_each: build"), ("coil_bind_clearance - 0.010 in", "quench")
    [problem] = load(*build, ("at_least: 0.060 in", "at_least: {intake: 0.040 in, exhaust: 0.040 in}"))
    assert (str(problem.place), "valve type" in problem.message) == ("shop/shop-gap.yaml:5:11", True)


def test_a_note_beside_limits_by_valve_type_is_no_limit(load: Load) -> None:
    assert (
        load(("at_least: 0.060 in", "at_least: {intake: 0.060 in, exhaust: 0.070 in, note: as the works has it}")) == ()
    )


def test_a_rule_applies_by_fields_and_not_by_what_is_computed(load: Load) -> None:
    [problem] = load(("for_each: valve_type\n", "for_each: valve_type\napplies: {roller_tip: 1}\n"))
    assert (problem.path, problem.place.line) == ("applies.roller_tip", 4)


@pytest.mark.parametrize("words", ["shoe", "[shoe]", "[roller, shoe]"])
def test_the_old_word_for_a_pad_tip_is_refused_with_the_present_one(load: Load, words: str) -> None:
    [problem] = load(("for_each: valve_type\n", f"for_each: valve_type\napplies: {{rockers.tip.type: {words}}}\n"))
    assert (str(problem.place).rsplit(":", 1)[0], problem.path) == ("shop/shop-gap.yaml:4", "applies.rockers.tip.type")
    assert problem.message == "rockers.tip.type never holds 'shoe': it holds roller, pad; did you mean pad?"


def test_a_twin_of_a_shipped_rule_says_that_it_replaces_it(load: Load) -> None:
    twin = ("id: shop-gap", "id: coil-bind-clearance")
    [problem] = load(twin, name="coil-bind-clearance")
    assert "replaces: true" in problem.message
    assert load(twin, ("level: error", "level: error\nreplaces: true"), name="coil-bind-clearance") == ()


def test_there_must_be_something_to_replace(load: Load) -> None:
    [problem] = load(("level: error", "level: error\nreplaces: true"))
    assert "there is no rule shop-gap to replace" in problem.message


def test_one_wrong_rule_hides_no_other(load: Load, tmp_path: Path) -> None:
    (tmp_path / "shop-gup.yaml").write_text(RULE.replace("shop-gap", "shop-gup").replace("0.060 in", "6 lbf"), "utf-8")
    problems = load(("0.010 in", "10 lbf"))
    assert [problem.place.file for problem in problems] == ["shop/shop-gap.yaml", "shop/shop-gup.yaml"]


VARIANT = "fix:\n  - when: {rockers.mount: stud}\n    text: Straighten the stud.\n"


def test_the_last_variant_of_a_fix_fits_every_build(load: Load) -> None:
    """Without it a failure could be shown without anything to do."""
    edit = ("fix: Take metal off.\n", VARIANT)
    assert [problem.message for problem in load(edit)] == ["every variant but the last needs 'when', the last has none"]
    assert load(("fix: Take metal off.\n", f"{VARIANT}  - text: Take metal off.\n")) == ()


def test_a_word_that_a_field_never_holds_is_answered_with_the_one_meant(load: Load) -> None:
    [problem] = load(("level: error", "level: error\napplies: {rockers.tip.type: shoe}"))
    assert problem.message == "rockers.tip.type never holds 'shoe': it holds roller, pad; did you mean pad?"
    assert (problem.place.line, problem.place.column) == (7, 29)
