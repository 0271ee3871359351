"""What builders write is shown as text: in Markdown, at the terminal and to CI, whatever it holds."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from attacked import Call
from history import commit, git
from hypothesis import given
from hypothesis import strategies as st
from markdown_it import MarkdownIt
from markdown_it.token import Token
from payloads import PAYLOADS
from thorough import pairs

from buildcheck.output.markdown import md

PLACES = ["{}", "# {}", "- {}", "| {} | b |\n|---|---|\n| {} | c |", "> {} x", "a ({}) b"]
GFM = MarkdownIt("gfm-like", {"html": True, "linkify": True})
assert GFM.linkify is not None
GFM.linkify.set({"fuzzy_link": False})  # GitHub makes links of http, www and mail, not of any word with a dot
PLAIN = ("text", "text_special", "softbreak", "hardbreak")


def shape(tokens: list[Token] | None) -> Iterator[tuple[str, int]]:
    """What a text is made of, words left out."""
    for token in tokens or []:
        if token.type not in PLAIN:
            yield token.type, token.nesting
        yield from shape(token.children)


def shape_of(text: str) -> list[tuple[str, int]]:
    return list(shape(GFM.parse(text)))


@pytest.mark.parametrize("place", PLACES)
def test_no_value_becomes_markup(place: str) -> None:
    expected = shape_of(place.replace("{}", "plain"))
    for payload in PAYLOADS:
        assert shape_of(place.replace("{}", md(payload))) == expected, payload


@given(st.text(alphabet="ab1 \n\t\\|`*_~#>-+=.()[]{}<>!&@$:/\"'^;%w\u2028\u202e\x1b", max_size=30))
def test_no_text_at_all_becomes_markup(text: str) -> None:
    quoted = md(text)
    assert quoted.isprintable()
    for place in PLACES[1:4]:
        assert shape_of(place.replace("{}", quoted)) == shape_of(place.replace("{}", "plain")) or not quoted.strip()


def test_what_is_shown_reads_as_it_was_written() -> None:
    for payload in ("a|b", "<b>", "5/16 in # *", "@team", "www.a.bc", "&lt;", "- x", "[a](b)"):
        (inline,) = [token for token in GFM.parse(f"# {md(payload)}") if token.type == "inline"]
        assert "".join(child.content for child in inline.children or []).replace("\u200b", "") == payload


BUILD = """\
name: {0}
stage: assembled
purpose: {0}
limits: {{coil-bind-clearance: {{at_least: 0.070 in, because: {0}}}}}
note: {0}
"""
CONCESSION = "- {{rule: mark-centred, cylinder: 1, valve: intake, up_to: 0.060 in, because: {0}, accepted_by: {0}}}\n"
GAUGES = ["name: 12 in caliper", "name: loupe with graticule"]
RULE = """\
id: shop-gap
title: {0}
for_each: valve
quantity: preload
at_least: 1 in
level: error
due: ordering
why: {0}
fix: {0}
source: {0}
caution: {0}
examples:
  - {{given: {{preload: 2 in}}, gives: pass}}
  - {{given: {{preload: 0.1 in}}, gives: fail}}
"""


def quoted(text: str) -> str:
    return '"' + "".join(f"\\U{ord(c):08x}" for c in text) + '"'


def report_of(text: str, folder: Path, call: Call) -> str:
    """The report of the demo with a text in every place that takes one."""
    build = folder / "engine"
    for name in ("block", "cam", "clearances", "heads", "marks", "pushrods", "rockers", "stackup"):
        own = (Path(__file__).parents[2] / "example_build" / f"{name}.yaml").read_text()
        for gauge in GAUGES:
            own = own.replace(gauge, f"name: {quoted(text)}")
        build.mkdir(exist_ok=True)
        (build / f"{name}.yaml").write_text(own)
    (build / "build.yaml").write_text(BUILD.format(quoted(text)))
    (build / "concessions.yaml").write_text(CONCESSION.format(quoted(text)))
    (folder / "shop").mkdir(exist_ok=True)
    (folder / "shop" / "shop-gap.yaml").write_text(RULE.format(quoted(text)))
    (folder / "buildcheck.yaml").write_text("rules: [shop]\n")
    assert call("report").code == 0
    return (build / "REPORT.md").read_text()


def test_no_report_is_remade_by_what_it_mentions(call: Call, tmp_path: Path) -> None:
    expected = shape_of(report_of("plain", tmp_path, call))
    assert len(expected) > 1000
    one_line = [payload.replace("\n", " ").replace("\r", " ").strip() for payload in PAYLOADS]
    assert shape_of(report_of(" ".join(one_line), tmp_path, call)) == expected


COMMANDS = [
    ["check"], ["advise", "engine"], ["compare", "HEAD", "--format", "markdown"], ["compare", "HEAD"],
    ["advise", "engine", "--with", "head_milled=0.010 in"], ["plan", "engine", "--format", "text"],
    ["explain", "shop-gap"], ["check", "--stage", "closed"], ["plan", "engine"],
]  # fmt: skip
ORDERS = ["::error::x", " ::add-mask::x", "##[error]x\u202e\x1b[2J"]


@pytest.mark.parametrize("payload", ORDERS)
def test_nothing_at_the_terminal_gives_orders(payload: str, call: Call, tmp_path: Path) -> None:
    report_of(payload, tmp_path, call)
    git(tmp_path, "init", "-q")
    commit(tmp_path, "all")
    marks = tmp_path / "engine/marks.yaml"
    marks.write_text(marks.read_text().replace("from: 0.145 in", "from: 0.146 in"))
    for words in [words for other, words in pairs(ORDERS, COMMANDS) if other == payload]:
        ended = call(*words)
        assert (ended.code in (0, 1), ended.out != "") == (True, True), ended.err
        assert not [line for line in ended.out.split("\n") if line.lstrip().startswith(("::", "##["))], words
