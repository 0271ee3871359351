"""Good builds written otherwise, in units, order, quotes, comments and line ends: no result and no order moves."""

from __future__ import annotations

import json
import random
import re
from collections.abc import Callable
from decimal import Decimal
from pathlib import Path

import pytest
from judged import BUILDS, as_it_is, copied, judged
from thorough import pairs

from buildcheck.app.build_check import CheckedBuild
from buildcheck.yamlio.documents import read
from buildcheck.yamlio.nodes import Node

_VALUE = r"(?<![\w./])(\d+\.\d+|\d+)"
Rewrite = Callable[[str], str]


def to_millimetres(text: str) -> str:
    return re.sub(_VALUE + r" in\b", lambda found: f"{Decimal(found[1]) * Decimal('25.4')} mm", text)


def to_thou(text: str) -> str:
    return re.sub(_VALUE + r" in\b", lambda found: f"{(Decimal(found[1]) * 1000).normalize():f} thou", text)


def to_inch_marks(text: str) -> str:
    return re.sub(r"(?<=: )(\d+\.\d+) in\b(?=[,}\n])", r"""'\1"'""", text)


def with_more_zeros(text: str) -> str:
    return re.sub(r"(?<![\w.])(\d+\.\d+) (in|mm|lbf|N|deg)\b", r"\g<1>00 \2", text)


def to_newtons(text: str) -> str:
    return re.sub(_VALUE + r" lbf\b(?!/)", lambda found: f"{Decimal(found[1]) * Decimal('4.4482216152605')} N", text)


def with_comments(text: str) -> str:
    return "# a\n\n" + re.sub(r"(?m)^(\w[\w ]*:)", r"# b: {c\n\1", text) + "\n# d"


def with_line_ends_of_windows(text: str) -> str:
    return "\ufeff" + text.replace("\n", "\r\n")


def in_another_order(text: str) -> str:
    parts = re.split(r"(?m)^(?=\w)", text)
    return parts[0] + "".join(f"{part.rstrip()}\n" for part in reversed(parts[1:]))


def as_json(text: str) -> str:
    return json.dumps(_data(text), indent=1, ensure_ascii=False)


def as_json_shuffled(text: str) -> str:
    data = _data(text)
    keys = list(data)
    random.Random(7).shuffle(keys)
    return json.dumps({key: data[key] for key in keys}, ensure_ascii=True)


def with_notes(text: str) -> str:
    return re.sub(r"(?m)^(?:note|part):.*\n", "", text) + 'note: "pass: 5 in | <b> fail"\npart: \'{"a": 1}\'\n'


def _data(text: str) -> dict[str, object]:
    root = read(text.encode(), "f.yaml").root
    assert root is not None
    data = _written(root)
    assert isinstance(data, dict)
    return data


def _written(node: Node) -> object:
    if isinstance(node.value, dict):
        return {key: _written(child) for key, child in node.value.items()}
    if isinstance(node.value, list):
        return [_written(child) for child in node.value]
    return node.value if node.value is None or isinstance(node.value, str | int) else float(node.value)


REWRITES: list[Rewrite] = [
    to_millimetres, to_thou, to_inch_marks, with_more_zeros, to_newtons, with_comments, with_line_ends_of_windows,
    in_another_order, as_json, as_json_shuffled, with_notes,
]  # fmt: skip


def outcome(found: CheckedBuild) -> tuple[object, ...]:
    results = {(one.rule, one.subject.key, one.kind, one.level, one.blocks) for one in found.results}
    lines = [(round(line.length.stated, 9), line.count, line.spares, line.serves) for line in found.order.lines]
    return found.problems, found.verdict, results, lines


def test_there_are_over_forty() -> None:
    assert len(REWRITES) * len(BUILDS) > 40


@pytest.mark.parametrize(("build", "rewrite"), pairs(BUILDS, list(REWRITES)))
def test_a_build_written_otherwise_is_the_same(rewrite: Rewrite, build: str, tmp_path: Path) -> None:
    folder, changed = copied(build, tmp_path), 0
    for path in folder.glob("*.yaml"):
        text = path.read_text(encoding="utf-8")
        path.write_bytes(rewrite(text).encode())
        changed += rewrite(text) != text
    assert changed or rewrite in (to_millimetres, to_thou, to_inch_marks, to_newtons)
    assert outcome(judged(folder)) == outcome(as_it_is(build))
