"""Values, files, rules and marks made up at random: an answer or a refusal, never a crash. tests/fuzz.py runs more."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Callable, Iterator
from functools import cache
from json import loads
from pathlib import Path
from typing import NamedTuple

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from judged import BUILDS, ROOT, copied, judged, shipped
from thorough import number

from buildcheck.app.build_check import CheckedBuild
from buildcheck.core.subject import BUILD, Subject
from buildcheck.core.value import Undecided, Value
from buildcheck.output import json, text
from buildcheck.output.report.render import render
from buildcheck.registry.quantity_table import QUANTITIES
from buildcheck.rules.dimensions import KindError
from buildcheck.rules.expression import ExpressionError, expression
from buildcheck.schema.fields import field_kinds
from buildcheck.units.quantity import KINDS, QuantityError, check_format
from buildcheck.yamlio.documents import read
from buildcheck.yamlio.nodes import Node

EXAMPLES = int(os.environ.get("FUZZ_EXAMPLES", number(15, 40)))
bounded = settings(max_examples=EXAMPLES, deadline=None, suppress_health_check=list(HealthCheck))
slow = settings(bounded, max_examples=max(EXAMPLES // 12, 2))

NUMBERS = [
    "0",
    "-1",
    "1",
    "0.001",
    "0.5",
    "5",
    "20",
    "99",
    "400",
    "1e15",
    "1e-12",
    "-0",
    "1/2",
    "1 1/2",
    "9,4",
    ".nan",
    "~",
    "",
]
UNITS = ["", " in", " mm", '"', " thou", " lbf", " N", " lbf/in", " deg", " degF", " cc", " cu in", " %", " furlong"]
WORDS = [
    "[]", "{}", "true", "stud", "shaft", "pedestal", "none", "screw", "nut", "gauge", "full ball", "overall",
    "pad", "roller",
    "solid flat", "hydraulic roller", "cup", "ball", "assembled", "closed", "planning", "vee", "flat", "3/8-24",
    "M8x1.25", "steel",
    "running", "checking", "solid", "locked", "hydraulic", "cold", "hot", "0.5 in +/- 0.4 in", "'\U0001f600'",
    '"\\e[2J"',
]  # fmt: skip
values = st.one_of(st.builds("{}{}".format, st.sampled_from(NUMBERS), st.sampled_from(UNITS)), st.sampled_from(WORDS))
lengths = st.builds("{:.4f} in".format, st.floats(0, 3))


def outputs(found: CheckedBuild) -> None:
    """Everything that is written of a build."""
    shown = "".join(text.render_document(shipped(), (), [text.render_build(shipped(), found)]))
    data = b"".join(json.render_document(shipped(), (), [json.render_build(shipped(), found)]))
    assert all(line.isprintable() for line in shown.splitlines())
    assert loads(data)["builds"][0]["verdict"] == found.verdict
    assert render(found)
    assert found.verdict != "pass" or not found.problems


def leaves(node: Node) -> Iterator[Node]:
    """All scalars that are written on one line."""
    children = [*node.entries.values(), *node.items]
    for child in children:
        yield from leaves(child)
    if not children and node.text and "\n" not in node.text:
        yield node


@cache
def places(build: str) -> list[tuple[str, int, int, str]]:
    """File, line, column and text of every plain value of a build."""
    found = []
    for path in sorted((ROOT / build).glob("*.yaml")):
        root = read(path.read_bytes(), path.name).root
        assert root is not None
        lines = path.read_text(encoding="utf-8").split("\n")
        for leaf in leaves(root):
            line, column = leaf.place.line - 1, leaf.place.column - 1
            if lines[line][column:].startswith(leaf.text):
                found.append((path.name, line, column, leaf.text))
    return found


@pytest.mark.parametrize("build", BUILDS)
@slow
@given(st.data())
def test_any_value_anywhere_in_a_build(build: str, data: st.DataObject) -> None:
    changes = data.draw(st.lists(st.tuples(st.sampled_from(places(build)), values), min_size=1, max_size=2))
    with tempfile.TemporaryDirectory() as name:
        folder = copied(build, Path(name))
        for (file, line, column, old), new in changes:
            lines = (folder / file).read_text(encoding="utf-8").split("\n")
            lines[line] = lines[line][:column] + new + lines[line][column + len(old) :]
            (folder / file).write_text("\n".join(lines), encoding="utf-8")
        outputs(judged(folder))


@pytest.mark.parametrize("build", BUILDS)
@slow
@given(st.lists(st.tuples(lengths, lengths, lengths, lengths, st.floats(1, 20)), min_size=1, max_size=4))
def test_any_marks(build: str, rows: list[tuple[str, str, str, str, float]]) -> None:
    trials = [
        f"      - {{length: {over:.4f} in, mark: {{from: {a}, to: {b}}}, shut_at: {c}, open_at: {d}}}"
        for a, b, c, d, over in rows
    ]
    with tempfile.TemporaryDirectory() as name:
        folder = copied(build, Path(name))
        head, _, rest = (folder / "marks.yaml").read_text(encoding="utf-8").partition("    trials:\n")
        rest = rest[rest.index("  - ", rest.index("\n  - ")) :]
        (folder / "marks.yaml").write_text(f"{head}    trials:\n" + "\n".join(trials) + f"\n{rest}", encoding="utf-8")
        outputs(judged(folder))


def refusal(call: Callable[[], object]) -> str:
    """What a value is refused with, empty where it is taken."""
    try:
        call()
    except QuantityError as error:
        return str(error)
    return ""


@bounded
@given(st.text(max_size=70), st.sampled_from(sorted(KINDS)))
def test_any_text_as_a_value(written: str, kind: str) -> None:
    assert refusal(lambda: check_format(kind, written)).isprintable()


@bounded
@given(st.binary(max_size=200) | st.text(alphabet="ab1: -?,[]{}#&*!|>'\"%@`\n\t\\~.<é\x85\u2028", max_size=200))
def test_any_file(data: bytes | str) -> None:
    document = read(data.encode() if isinstance(data, str) else data, "f.yaml")
    assert all(problem.message.isprintable() and problem.place.line >= 1 for problem in document.problems)


NAMES = [*QUANTITIES, *list(field_kinds())[::7], "cam.{valve}.lobe_lift", "nothing"]
ATOMS = st.sampled_from(NAMES) | st.builds("{}{}".format, st.sampled_from(NUMBERS), st.sampled_from(UNITS))
SIGNS = st.sampled_from("+-*/^%")
SUMS = st.builds("abs({} {} {}) {} ({} {} {})".format, ATOMS, SIGNS, ATOMS, SIGNS, ATOMS, SIGNS, ATOMS)
PIECES = st.lists(ATOMS | st.sampled_from(["+", "-", "*", "/", "(", ")", "abs(", "**", ","]), max_size=12).map(" ".join)


class Alike(NamedTuple):
    """Every name has the same value, each with an uncertainty of its own."""

    size: float

    def lookup(self, name: str, subject: Subject) -> Value:
        return Value(self.size, "ratio", {name: self.size / 7})


@bounded
@given(SUMS | PIECES | st.text(alphabet="ab(){}.+-*/ 1e9_in", max_size=60), st.floats(-1e200, 1e200))
def test_any_arithmetic(written: str, size: float) -> None:
    try:
        tree = expression(written)
        value = tree.evaluate(Alike(size), BUILD)
    except (ExpressionError, KindError, QuantityError, Undecided):
        return
    assert abs(value.si) < float("inf")
