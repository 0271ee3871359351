"""Text patched at a position: nothing else changes, on all our files and on drawn ones, by two judges."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path
from random import Random
from typing import Any

import pytest
import tree_sitter_yaml
from hostile.payloads import PAYLOADS
from thorough import number, sample
from tree_sitter import Language, Parser
from tree_sitter import Node as Syntax

from buildcheck.yamlio.documents import plain, read
from buildcheck.yamlio.entry_text import flow_text
from buildcheck.yamlio.insertion import Splice, UnsupportedLayoutError, add_key, append_item, insert_item, replace_value
from buildcheck.yamlio.spans import Span, spans

ROOT = Path(__file__).parent.parent
CORPUS = sorted(
    path
    for folder in ("example_build", "tests/builds", "tests/schema_examples", "buildcheck/cli/starter")
    for path in (ROOT / folder).rglob("*.yaml")
)
CONCRETE = Parser(Language(tree_sitter_yaml.language()))
TRIAL = {"turns": 9, "mark": {"from": "0.151 in", "to": "0.182 in"}, "note": "a: 'b' # c", "on": "2026-11-20"}
ENTRY = {"cylinder": 12, "valve": "exhaust", "trials": [TRIAL]}


def leaves(node: Syntax) -> Iterator[Syntax]:
    """Every token and comment of the concrete syntax, in order."""
    if node.child_count == 0:
        yield node
    for child in node.children:
        yield from leaves(child)


def tokens(text: str, start: int, end: int) -> list[tuple[str, str]] | None:
    """Kind and text of everything written outside a range of bytes; None if the judge cannot read the text."""
    data = text.encode()
    tree = CONCRETE.parse(data)
    if tree.root_node.has_error:
        return None
    found = [leaf for leaf in leaves(tree.root_node) if leaf.end_byte > leaf.start_byte]
    return [(one.type, data[one.start_byte : one.end_byte].decode().rstrip()) for one in found
            if not start <= one.start_byte < end and not start < one.end_byte <= end]  # fmt: skip


def judge(text: str, splice: Splice) -> bool:
    """Both judges on one patch; whether the concrete-syntax one could read the text."""
    new = splice.apply(text)
    start, end = splice.start, splice.end
    assert new.startswith(text[:start])
    assert new.endswith(text[end:])
    before = tokens(text, len(text[:start].encode()), len(text[:end].encode()))
    if before is None:
        return False
    behind = len(text[:start].encode()) + len(splice.text.encode())
    assert tokens(new, len(text[:start].encode()), behind) == before
    return True


def places(at: Span, path: tuple[str | int, ...] = ()) -> Iterator[tuple[tuple[str | int, ...], Span]]:
    yield path, at
    for key, child in (*enumerate(at.items), *at.entries.items()):
        yield from places(child, (*path, key))


def patch(text: str, path: tuple[str | int, ...], at: Span) -> Splice:
    """A value added to a list or mapping, or written in place of another."""
    if at.is_list:
        return append_item(text, path, TRIAL if at.items and at.items[0].is_mapping else "word")
    return add_key(text, path, "added", TRIAL) if at.is_mapping else replace_value(text, path, "0.135 in")


def patches(text: str) -> Iterator[Splice]:
    """A patch at every list of a text, and at some of its mappings and values."""
    root = spans(text)
    found = [] if root is None else [(path, at) for path, at in places(root) if not at.block_text]
    lists = [(path, at) for path, at in found if at.is_list]
    for path, at in [*lists[:4], *[one for one in found if one not in lists][:: number(51, 17)]]:
        yield patch(text, path, at)


def test_every_kind_of_position_of_every_file_takes_a_value_and_nothing_else_changes() -> None:
    texts = [path.read_text(encoding="utf-8") for path in sample(CORPUS, 40)]
    judged = [judge(text, splice) for text in texts for splice in patches(text)]
    assert len(judged) > number(60, 150)
    assert all(judged)


STYLES = ("\n", "\r\n")


def drawn(value: Any, random: Random, indent: int, flow: bool) -> str:
    """A value as YAML in a drawn style: braces or block, quotes, comments, wide dashes, blank lines."""
    if not isinstance(value, dict | list) or not value:
        return _scalar(value, random)
    if flow or random.random() < 0.3:
        return _braces(value, random)
    space, lines = " " * indent, []
    for key, child in value.items() if isinstance(value, dict) else ((None, item) for item in value):
        lead = f"{space}{key}:" if key is not None else f"{space}-"
        below = drawn(child, random, indent + random.choice([1, 2, 4]), False)
        if "\n" in below or below.startswith(" "):
            lines.append(f"{lead}{_comment(random)}\n{below}")
        else:
            lines.append(f"{lead} {below}{_comment(random)}")
        lines += [""] * (random.random() < 0.1) + [f"{space}  # {key}: - deeper"] * (random.random() < 0.1)
    return "\n".join(lines)


def _braces(value: Any, random: Random) -> str:
    if isinstance(value, list):
        return f"[{', '.join(drawn(item, random, 0, True) for item in value)}]"
    inside = ", ".join(f"{key}: {drawn(child, random, 0, True)}" for key, child in value.items())
    return f"{{{inside}{',' if random.random() < 0.2 else ''}}}"


def _comment(random: Random) -> str:
    return random.choice(["", "", "", "   # from: [0, {x: 1}]"])


def _scalar(value: Any, random: Random) -> str:
    return (
        json.dumps(value)
        if not isinstance(value, str) or random.random() < 0.4
        else "'" + value.replace("'", "''") + "'"
    )


def marks(random: Random) -> str:
    trial = {"length": "9.4 in", "mark": {"from": "0.1 in", "to": "0.2 in"}, "note": "it's: # 1"}
    entries = [
        {"cylinder": n, "valve": "intake", "trials": [trial] * random.randint(1, 3)}
        for n in range(random.randint(1, 3))
    ]
    data = {"springs": "checking", "valves": entries, "note": "the end"}
    keys = random.sample(list(data), 3)
    text = drawn({key: data[key] for key in keys}, random, 0, False) + random.choice(["", "\n", "\n\n# the end\n"])
    return text.replace("\n", random.choice(STYLES))


@pytest.mark.parametrize("seed", range(2))
def test_drawn_files_keep_every_byte(seed: int) -> None:
    random, judged = Random(seed), []
    for _ in range(number(10, 30)):
        text = marks(random)
        before = plain(read(text.encode(), "marks.yaml").root)
        entry = append_item(text, ("valves",), ENTRY)
        trial = append_item(text, ("valves", 0, "trials"), TRIAL)
        judged += [judge(text, splice) for splice in (entry, trial, add_key(text, ("valves", 0), "crank", "107 deg"))]
        after = plain(read(trial.apply(text).encode(), "marks.yaml").root)
        assert after["valves"][0]["trials"] == [*before["valves"][0]["trials"], TRIAL]
        assert entry.text.count("\r\n") == (entry.text.count("\n") if "\r\n" in text else 0)
    assert sum(judged) > 0.9 * len(judged)


def test_a_first_entry_replaces_empty_brackets() -> None:
    text = "springs: checking\nvalves: []   # none yet\n# the end\n"
    assert append_item(text, ("valves",), ENTRY).apply(text) == (
        "springs: checking\nvalves:   # none yet\n  - cylinder: 12\n    valve: exhaust\n    trials:\n"
        "      - {turns: 9, mark: {from: 0.151 in, to: 0.182 in}, note: \"a: 'b' # c\", on: 2026-11-20}\n# the end\n"
    )


def test_a_comment_below_a_trial_stays_below_it() -> None:
    text = "trials:\n  - {turns: 9}\n    # repeated\n\n# next\nnote: x"
    assert append_item(text, ("trials",), {"turns": 8}).apply(text) == (
        "trials:\n  - {turns: 9}\n    # repeated\n  - {turns: 8}\n\n# next\nnote: x"
    )


@pytest.mark.parametrize("text", ["a: |\n  x\n", "a: >+\n  x\n\n\n# e\n", "a: |-\n  x", "a: 'x\n  y'\n"])
def test_behind_a_text_of_several_lines(text: str) -> None:
    before = plain(read(text.encode(), "").root)
    assert plain(read(add_key(text, (), "b", 1).apply(text).encode(), "").root) == {**before, "b": 1}


def test_what_leaves_no_position_is_refused() -> None:
    with pytest.raises(UnsupportedLayoutError, match="a is not one plain value"):
        replace_value("a: [1]\n", ("a",), 2)
    with pytest.raises(UnsupportedLayoutError, match="leaves no position"):
        add_key("? a\n: 1\n? b\n", (), "c", 2)


@pytest.mark.parametrize("payload", PAYLOADS)
def test_hostile_texts_around_and_inside_a_new_entry(payload: str) -> None:
    comment = "".join(c for c in payload if c.isprintable())
    text = f"note: {flow_text(payload)}\nvalves:\n  - cylinder: 1 # {comment}\n    # {comment}\n# {comment}\npart: x\n"
    before = plain(read(text.encode(), "").root)
    splice = append_item(text, ("valves",), {"cylinder": 2, "note": payload})
    new = splice.apply(text)
    assert new == text[: splice.start] + splice.text + text[splice.end :]
    assert splice.start == splice.end
    after = plain(read(new.encode(), "").root)
    assert after == {**before, "valves": [{"cylinder": 1}, {"cylinder": 2, "note": payload}]}


@pytest.mark.parametrize(
    ("text", "index", "expected"),
    [
        ("r:\n  - {c: 1}\n  - {c: 3} # three\n", 1, "r:\n  - {c: 1}\n  - {c: 2}\n  - {c: 3} # three\n"),
        ("r:\n  - {c: 1}\n    # of one\n  - c: 3\n", 1, "r:\n  - {c: 1}\n    # of one\n  - {c: 2}\n  - c: 3\n"),
        ("r:\r\n- {c: 3}\r\n", 0, "r:\r\n- {c: 2}\r\n- {c: 3}\r\n"),
        ("r: [{c: 1}, {c: 3}]\n", 1, "r: [{c: 1}, {c: 2}, {c: 3}]\n"),
        ("r: [{c: 3}]", 0, "r: [{c: 2}, {c: 3}]"),
        ("r:\n  - {c: 1}", 1, "r:\n  - {c: 1}\n  - {c: 2}"),
    ],
)
def test_an_item_goes_before_another_one(text: str, index: int, expected: str) -> None:
    splice = insert_item(text, ("r",), index, {"c": 2})
    judge(text, splice)
    assert splice.apply(text) == expected
