"""No test holds a time against a constant: machines differ by a factor of three, and the suite must pass on all."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

HERE = Path(__file__).parent
CLOCKS = {"monotonic", "perf_counter", "process_time", "thread_time", "time", "getrusage"}


def timed_names(tree: ast.Module) -> set[str]:
    """Names that hold a time: assigned from an expression that reads a clock, or from such a name."""
    found: set[str] = set()
    assignments = [node for node in ast.walk(tree) if isinstance(node, ast.Assign)]
    for _ in range(3):
        for node in assignments:
            if reads_a_clock(node.value, found):
                found |= {one.id for target in node.targets for one in ast.walk(target) if isinstance(one, ast.Name)}
    return found


def reads_a_clock(node: ast.AST, names: set[str]) -> bool:
    calls = {
        one.func.attr for one in ast.walk(node) if isinstance(one, ast.Call) and isinstance(one.func, ast.Attribute)
    }
    return bool(calls & CLOCKS) or any(isinstance(one, ast.Name) and one.id in names for one in ast.walk(node))


def timed_against_a_constant(source: str) -> Iterator[int]:
    """Lines that assert that a time is below or above what is only numbers."""
    if not any(f".{clock}(" in source for clock in CLOCKS):
        return
    tree = ast.parse(source)
    names = timed_names(tree)
    for node in ast.walk(tree):
        if not isinstance(node, ast.Assert):
            continue
        for test in (one for one in ast.walk(node) if isinstance(one, ast.Compare)):
            sides = [test.left, *test.comparators]
            numbers = [one for one in sides if all(isinstance(part, NUMBERS) for part in ast.walk(one))]
            if numbers and any(reads_a_clock(side, names) for side in sides):
                yield test.lineno


NUMBERS = (ast.Constant, ast.BinOp, ast.operator, ast.UnaryOp, ast.unaryop)


FILES = [path for path in sorted(HERE.rglob("*.py")) if "bench" not in path.relative_to(HERE).parts]


def test_no_test_asserts_an_absolute_time() -> None:
    found = [f"{path.name}:{line}" for path in FILES for line in timed_against_a_constant(path.read_text("utf-8"))]
    assert len(FILES) > 100
    assert found == []


def test_no_program_that_a_test_starts_must_end_within_a_fixed_time() -> None:
    limits = re.compile(r"\btimeout=\d")
    found = [path.name for path in FILES if path != Path(__file__) and limits.search(path.read_text("utf-8"))]
    assert found == []


def test_such_an_assertion_is_found() -> None:
    bad = "import time\nstart = time.process_time()\nspent = time.process_time() - start\nassert spent < 5 * 2\n"
    good = bad.replace("5 * 2", "5 * usual")
    assert list(timed_against_a_constant(bad)) == [4]
    assert list(timed_against_a_constant(good)) == []
