"""Lists and parts as long as a file may be: refused, or worked through soon."""

from __future__ import annotations

from pathlib import Path

import pytest
from attacked import Call
from judged import copied

RANGE = "  - {from: 1 in, to: 150 in, step: 0.001 in, stated_as: overall}\n"
TRIAL = "      - {length: 9.35 in, mark: {from: 0.136 in, to: 0.172 in}, shut_at: 0.15 in, open_at: 0.15 in}\n"
VALVE = "  - {cylinder: 1, valve: intake, trials: [{length: 9.4 in}]}\n"
EACH = "{cylinder: 1, valve: intake, stem_height: 1.7 in}, "
LONG = [
    ("pushrods", "stock:\n", "stock:\n" + RANGE * 2000, 2),
    ("pushrods", "stock:\n", "stock:\n" + RANGE * 19, 1),
    ("marks", "    trials:\n", "    trials:\n" + TRIAL * 1000, 2),
    ("marks", "    trials:\n", "    trials:\n" + TRIAL * 20, 1),
    ("marks", "valves:\n", "valves:\n" + VALVE * 1500, 2),
    ("marks", "valves:\n", "valves:\n" + VALVE * 50, 1),
    ("heads", "springs:\n", f"each: [{EACH * 2000}]\nsprings:\n", 2),
    ("heads", "springs:\n", f"each: [{EACH * 250}]\nsprings:\n", 1),
    ("block", "firing_order: [", "firing_order: [" + "1, " * 15_000, 2),
    ("block", "cylinders: 6", "cylinders: 32", 1),
    ("block", "cylinders: 6", "cylinders: 100000000000000000000", 2),
]


@pytest.mark.parametrize(("file", "old", "new", "code"), LONG, ids=range(len(LONG)))
def test_a_list_ends_soon(file: str, old: str, new: str, code: int, call: Call, tmp_path: Path) -> None:
    path = copied("example_build", tmp_path) / f"{file}.yaml"
    text = path.read_text()
    assert old in text
    path.write_text(text.replace(old, new, 1))
    ended = call("check")
    assert (ended.code, bool(ended.errors)) == (code, True)
    assert ended.cost < 120


def test_parts_that_bring_a_flood_are_refused(call: Call, tmp_path: Path) -> None:
    (tmp_path / "buildcheck.yaml").write_text("note: x\n")
    (tmp_path / "parts").mkdir()
    (tmp_path / "parts" / "flood.yaml").write_text(f"zz: [{'a, ' * 15_000}]\n")
    build = copied("example_build", tmp_path)
    uses = "".join(f"  z{number}: {{uses: parts/flood.yaml}}\n" for number in range(190))
    (build / "as_built.yaml").write_text(f"running_check:\n{uses}")
    ended = call("check")
    assert ended.code == 2
    assert "parts bring more than 20000 values into this build" in ended.out
    assert ended.cost < 160


def test_parts_that_use_each_other_in_a_ring_are_refused(call: Call, tmp_path: Path) -> None:
    (tmp_path / "buildcheck.yaml").write_text("note: x\n")
    build = copied("example_build", tmp_path)
    for one, other in (("a", "b"), ("b", "a")):
        (tmp_path / f"{one}.yaml").write_text(f"uses: {other}.yaml\n")
    (build / "cam.yaml").write_text("uses: a.yaml\n")
    ended = call("check")
    assert (ended.code, "a.yaml uses itself" in ended.out) == (2, True)
