"""Rules and settings from a stranger are data: whatever they hold, nothing runs, each error is reported at its line."""

from __future__ import annotations

from pathlib import Path

import pytest
from attacked import Call

RULE = """\
id: shop-gap
title: Gap
for_each: valve
applies: {cam.lifter.type: [hydraulic flat]}
quantity: preload
at_least: 0.010 in
level: error
due: ordering
why: Metal meets.
fix: Take metal off.
source: common practice, no published source
examples:
  - {given: {preload: 0.020 in}, gives: pass}
  - {given: {preload: 0.001 in}, gives: fail}
"""
EXPRESSIONS = [
    "__import__('os').system('touch pwned')", "().__class__.__bases__", "preload.__class__", "preload.si",
    "preload()",
    "open('/etc/passwd')", "eval(preload)", "exec(1)", "getattr(preload, 'x')", "lambda: preload",
    "[preload]", "preload[0]",
    "{preload}", "{valve}", "cam.{valve}", "cam.{lobe}.lash", "cam..lifter", "cam.lifter.", ".preload",
    "preload.", "self",
    "preload ** 2", "9**9**9", "preload ^ 2", "preload // 2", "preload % 2", "preload & 1", "preload | 1", "~preload",
    "preload << 9", "preload == preload", "preload > 1 in", "preload = 1 in", "preload := 1 in", "not preload",
    "preload and preload", "preload if 1 else 2", "preload; preload", "preload, preload", "preload preload",
    "'preload'",
    '"preload"', "`preload`", "f'{preload}'", "%s", "$preload", "${preload}", "$(touch pwned)", "{{ preload }}",
    "{% include 'x' %}", "<b>preload</b>", "preload!", "preload?", "@preload", "#", "\\", "abs", "abs()",
    "abs(preload",
    "abs(preload))", "abs preload", "max(preload, 1 in)", "sqrt(preload)", "preload +", "* preload",
    "(preload", "preload)",
    "()", "preload + 1", "preload + 1 lbf", "preload - cam.lifter.type", "cam.lifter.type", "cam.lifter",
    "cam", "marks",
    "build.name", "block.firing_order", "rockers.adjuster_thread", "valve", "nan", "inf", "e", "pi", "1e400 in",
    "preload + 1e99 in", "preload + 010 in", "preload + 1_000 in", "0x10 in", "1/2", "preload + ½ in", "−preload",
    "рreload", "preload\u200b", "preload\u202e", "prel\u0000oad", "ﬁeld", "preload × 2",
    "(" * 30 + "preload" + ")" * 30,
    "abs(" * 25 + "preload" + ")" * 25, "preload" + "+preload" * 40, "a" * 100_000, "1" * 199, "1e99*1e99*1e99*1e99",
]  # fmt: skip
CHANGES = [
    ("id: shop-gap", "id: other-gap"), ("id: shop-gap", "id: ../shop-gap"), ("id: shop-gap", 'id: "shop-gap\\n"'),
    ("id: shop-gap", "id: [shop-gap]"), ("for_each: valve", "for_each: everything"), ("for_each: valve",
    "for_each: build"),
    ("for_each: valve", "for_each: valve\nreplaces: true"), ("level: error", "level: fatal"), ("level: error",
    "level: 1"),
    ("due: ordering", "due: never"), ("why: Metal meets.", "why: ''"), ("title: Gap", 'title: "a\\nb"'),
    ("title: Gap", "title: {a: b}"), ("at_least: 0.010 in", "at_least: 0.010"), ("at_least: 0.010 in",
    "at_least: 1 lbf"),
    ("at_least: 0.010 in", "note: no limit at all"), ("at_least: 0.010 in", "at_least: {}"),
    ("at_least: 0.010 in", "at_least: {intake: 0.010 in}"), ("at_least: 0.010 in", "at_least: {note: a, part: b}"),
    ("at_least: 0.010 in", "at_least: .nan"), ("at_least: 0.010 in", "at_least: 1e400"),
    ("at_least: 0.010 in", "at_least: []"),
    ("at_least: 0.010 in", "at_least: unknown_name"), ("at_least: 0.010 in", "at_least: true"),
    ("applies: {cam.lifter.type: [hydraulic flat]}", "applies: {cam.lifter.type: []}"),
    ("applies: {cam.lifter.type: [hydraulic flat]}", "applies: {cam.lifter.kind: [x]}"),
    ("applies: {cam.lifter.type: [hydraulic flat]}", "applies: {preload: [x]}"),
    ("applies: {cam.lifter.type: [hydraulic flat]}", "applies: {cam.lifter.type: [hydraulic flatt]}"),
    ("applies: {cam.lifter.type: [hydraulic flat]}", "applies: {cam.lifter: [x]}"),
    ("applies: {cam.lifter.type: [hydraulic flat]}", "applies: [cam]"),
    ("applies: {cam.lifter.type: [hydraulic flat]}", "applies: {marks.valves.valve: [intake]}"),
    ("quantity: preload", "quantity: marks.valves.trials.length"),
    ("quantity: preload", "quantity: [preload]"), ("quantity: preload", "quantity: !!python/name:os.system preload"),
    ("quantity: preload", "quantity: &a preload"), ("quantity: preload", "quantity: preload\nquantity: lash"),
    ("examples:", "examples: []\nnote:"), ("examples:", "run: touch pwned\nexamples:"),
    ("examples:", "template: report.md.j2\nexamples:"), (RULE, ""), (RULE, "# nothing\n"), (RULE, "- 1\n"),
    (RULE, "a: *b\n"),
    (RULE, "[" * 300), (RULE, "x" * 300_000), (RULE, RULE + "---\n" + RULE), (RULE, RULE.replace("\n", "\n\t")),
]  # fmt: skip


@pytest.fixture
def shop(tmp_path: Path) -> Path:
    """A repository whose settings name a folder of rules."""
    (tmp_path / "shop").mkdir()
    (tmp_path / "buildcheck.yaml").write_text("rules: [shop]\n")
    (tmp_path / "engine").mkdir()
    (tmp_path / "engine" / "build.yaml").write_text("name: Eider\nstage: planning\npurpose: x\n")
    return tmp_path / "shop"


def quoted(text: str) -> str:
    return '"' + "".join(f"\\U{ord(c):08x}" if not c.isalnum() or ord(c) > 126 else c for c in text) + '"'


def all_refused(texts: list[str], call: Call, shop: Path) -> None:
    """Each text is a rule file of its own; each must be reported at its place."""
    for number, text in enumerate(texts):
        (shop / f"shop-{number}.yaml").write_text(text.replace("shop-gap", f"shop-{number}"), encoding="utf-8")
    ended = call("check")
    assert ended.code == 2
    result = {line.split(":")[0] for line in ended.errors}
    assert [text for number, text in enumerate(texts) if f"shop/shop-{number}.yaml" not in result] == []
    assert ended.cost < 10 * len(texts)
    assert not Path("pwned").exists()


def test_the_rule_itself_is_sound(call: Call, shop: Path) -> None:
    (shop / "shop-gap.yaml").write_text(RULE)
    assert call("check").code == 0


def test_there_are_well_over_a_hundred() -> None:
    assert len(set(EXPRESSIONS)) + len(set(CHANGES)) > 140


def test_arithmetic_that_is_none(call: Call, shop: Path) -> None:
    all_refused([RULE.replace("quantity: preload", f"quantity: {quoted(text)}") for text in EXPRESSIONS], call, shop)


def test_limits_that_are_none(call: Call, shop: Path) -> None:
    limits = [text for text in EXPRESSIONS if text != "1/2"]
    all_refused([RULE.replace("0.010 in", quoted(text), 1) for text in limits], call, shop)


def test_rules_that_are_none(call: Call, shop: Path) -> None:
    all_refused([RULE.replace(old, new) for old, new in CHANGES], call, shop)


def test_numbers_beyond_all_sense_decide_nothing(call: Call, shop: Path) -> None:
    text = RULE.replace("quantity: preload", "quantity: 1e99 * 1e99 * 1e99 * 1e99").replace("0.010 in", "1")
    (shop / "shop-gap.yaml").write_text(
        text.replace("for_each: valve", "for_each: build").replace("applies", "note: x #")
    )
    ended = call("check", "--stage", "ordering", "--format", "json")
    assert ended.code == 1
    assert "The result of the arithmetic is not a sensible number" in ended.out


def test_a_folder_of_thousands_of_rules_is_not_read_to_its_end(call: Call, shop: Path) -> None:
    for number in range(600):
        (shop / f"r-{number}.yaml").write_text("- 1\n")
    ended = call("check")
    assert (ended.code, "holds more than 500 rules" in ended.out) == (2, True)
    assert ended.cost < 120


@pytest.mark.parametrize(
    "name", ["shop-gap.yml", "shop-gap.YAML", "Shop-Gap.yaml", "shop gap.yaml", "-rf.yaml", "a\nb.yaml"]
)
def test_a_rule_file_by_another_name_does_not_drop_out(name: str, call: Call, shop: Path) -> None:
    (shop / "other.yaml").write_text(RULE.replace("shop-gap", "other"))
    (shop / name).write_text(RULE)
    ended = call("check")
    assert ended.code == 2
    assert len(ended.errors) == 1
