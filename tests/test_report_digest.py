"""A report depends on the values it was made from and on nothing else: no comment, order, quotes or unused rule."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from functools import cache
from pathlib import Path
from random import Random

import pytest
from altered import CLOSED, EIGHT, FLAT, PAD_TIP, SIX, as_it_is, shipped
from rewritten import copied

from buildcheck.app.build_check import CheckedBuild, check_build
from buildcheck.build.build_folder import read_build
from buildcheck.output.report.digests import report_digest
from buildcheck.output.report.freshness import report_differs
from buildcheck.output.report.render import render
from buildcheck.record import replace
from buildcheck.rules.rule import Fix, Rule, RuleSet
from buildcheck.yamlio.documents import read_file
from buildcheck.yamlio.nodes import Node

BUILDS = (SIX, EIGHT, FLAT, PAD_TIP, CLOSED)


def in_flow_style(node: Node, random: Random) -> str:
    """A node on one line: keys in another order, every word in quotes, every number as written."""
    if isinstance(node.value, dict):
        keys = random.sample(sorted(node.value), len(node.value))
        return "{" + ", ".join(f'"{key}": {in_flow_style(node.value[key], random)}' for key in keys) + "}"
    if isinstance(node.value, list):
        return "[" + ", ".join(in_flow_style(item, random) for item in node.value) + "]"
    return json.dumps(node.value) if isinstance(node.value, str) else node.text


def rewrite(file: Path, random: Random) -> None:
    root = read_file(file, file.name).root
    assert root is not None
    file.write_text(in_flow_style(root, random) + "\n", encoding="utf-8")


def comment(file: Path, random: Random) -> None:
    lines = file.read_text(encoding="utf-8").splitlines(keepends=True)
    added = "".join("# a comment moves every line below it\n" * random.randint(1, 4))
    file.write_bytes((added + "".join(lines) + "\n\n# and one at the end\n").replace("\n", "\r\n").encode())


@cache
def current(folder: str) -> str:
    """The report of a build as it is in the repository."""
    return render(as_it_is(folder))


@pytest.mark.parametrize("folder", BUILDS)
def test_comments_order_quotes_and_line_endings_keep_a_report_current(folder: str, tmp_path: Path) -> None:
    build, random = copied(tmp_path, folder), Random(folder)
    for file in sorted(build.glob("*.yaml")):
        rewrite(file, random)
        comment(file, random)
    after = check_build(read_build(build, folder), shipped().rules, {})
    assert after.problems == ()
    assert report_differs(render(after), current(folder)) == ""


def changed_once(node: Node) -> Iterator[Node]:
    """The node with one of its values changed, each in turn."""
    if isinstance(node.value, dict):
        for key, child in node.value.items():
            yield from (node._replace(value={**node.value, key: other}) for other in changed_once(child))
    elif isinstance(node.value, list):
        for at, child in enumerate(node.value):
            for other in changed_once(child):
                yield node._replace(value=[*node.value[:at], other, *node.value[at + 1 :]])
    else:
        yield node._replace(value=f"{node.value}0", text=f"{node.text}0")


def value_digest(checked: CheckedBuild, roots: Mapping[str, Node]) -> str:
    """The digest of a report if no rule were in force: the rules are not what these values change."""
    build = replace(checked.build, roots=roots)
    return report_digest(replace(checked, build=build, rules=RuleSet(()), judge=tuple))


@pytest.mark.parametrize("folder", BUILDS)
def test_every_changed_value_makes_a_report_stale(folder: str) -> None:
    checked = as_it_is(folder)
    roots = checked.build.roots
    digests = [
        value_digest(checked, {**roots, name: other}) for name, root in roots.items() for other in changed_once(root)
    ]
    assert len(digests) > 50
    assert len({value_digest(checked, roots), *digests}) == len(digests) + 1


def reported_with(folder: str, rule: Rule) -> str:
    """The build's report where one more rule is shipped, or another in place of one with the same id."""
    others = [one for one in shipped().rules.rules if one.id != rule.id]
    rules = RuleSet(tuple(sorted([*others, rule], key=lambda one: one.id)))
    return render(check_build(as_it_is(folder).build, rules, {}))


def test_a_new_shipped_rule_counts_only_where_it_applies() -> None:
    added = replace(shipped().rules["mark-full-contact"], id="new-one", source="a source of its own")
    assert report_differs(reported_with(SIX, added), current(SIX)) == ""
    assert "is stale" in report_differs(reported_with(PAD_TIP, added), current(PAD_TIP))


CHANGES = [
    {"title": "Another title"}, {"fixes": (Fix({}, "Another fix."),)}, {"source": "another source"}, {"level": "note"},
    {"due": "closed"}, {"quantity_text": "abs(mark_offset) + 0 in"}, {"at_zero": "fails"}, {"open_blocks": False},
    {"concedable": False}, {"controls": ""}, {"caution": "Another caution."}, {"area": "springs"},
]  # fmt: skip


@pytest.mark.parametrize("change", CHANGES, ids=[next(iter(change)) for change in CHANGES])
def test_a_changed_term_of_a_rule_that_applies_makes_a_report_stale(change: dict[str, object]) -> None:
    other = reported_with(SIX, replace(shipped().rules["mark-centred"], **change))  # type: ignore[arg-type]
    assert "is stale" in report_differs(other, current(SIX))


@pytest.mark.parametrize("words", [{"why": "Another reason."}, {"examples": ()}])
def test_what_a_report_does_not_show_of_a_rule_does_not_count(words: dict[str, object]) -> None:
    other = reported_with(SIX, replace(shipped().rules["mark-centred"], **words))  # type: ignore[arg-type]
    assert report_differs(other, current(SIX)) == ""


def test_the_digest_is_the_only_one_and_hidden() -> None:
    text = current(SIX)
    assert text.endswith(f"\n<!-- made from {report_digest(as_it_is(SIX))} -->\n")
    assert text.count("<!--") == 1
