"""The layout of the package: imports go down, no cycles, no name twice, and DEVELOPERS.md describes it."""

from __future__ import annotations

import ast
import re
from collections import Counter
from collections.abc import Iterator
from functools import cache
from graphlib import CycleError, TopologicalSorter
from pathlib import Path

import pytest
from sources import MODULES, ROOT, nodes, tree

PACKAGES = (
    "cli", "output", "app", "advice", "rules", "registry", "ordering", "quantities",
    "build", "repo", "schema", "yamlio", "core", "units", "formulas",
)  # fmt: skip
"""From the command line down."""
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")


def imported(path: Path) -> Iterator[str]:
    """The modules of ours that a module imports, inside functions too."""
    for node in nodes(path):
        if isinstance(node, ast.Import):
            names = [one.name for one in node.names]
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path}: relative import"
            below = [f"{node.module}.{one.name}" for one in node.names]
            names = [name if name in MODULES else str(node.module) for name in below]
        else:
            continue
        yield from (name for name in names if name in MODULES)


@cache
def imports() -> dict[str, set[str]]:
    return {name: set(imported(path)) - {name} for name, path in MODULES.items()}


def package(module: str) -> str:
    """The package below ``buildcheck`` in which a module lies; empty for the modules at the top."""
    parents = MODULES[module].relative_to(ROOT / "buildcheck").parts[:-1]
    return parents[0] if parents else ""


def test_the_packages_are_those_of_the_layout():
    assert {package(name) for name in MODULES} - {""} == set(PACKAGES)


@pytest.mark.parametrize("name", PACKAGES)
def test_a_package_imports_only_from_those_below_it(name):
    below = {"", *PACKAGES[PACKAGES.index(name) :]}
    upward = {(module, used) for module in MODULES if package(module) == name for used in imports()[module]}
    assert {pair for pair in upward if package(pair[1]) not in below} == set()


def test_the_base_of_all_records_imports_nothing_of_ours():
    assert imports()["buildcheck.record"] == set()


def test_no_modules_import_each_other_in_a_circle():
    try:
        TopologicalSorter(imports()).prepare()
    except CycleError as error:
        pytest.fail(" -> ".join(error.args[1]))


def test_no_two_modules_share_a_name():
    commands = "buildcheck.cli.commands."
    names = Counter(name.rpartition(".")[2] for name in MODULES if not name.startswith(commands))
    assert [name for name, count in names.items() if count > 1] == []


def test_no_two_classes_share_a_name():
    names = Counter(node.name for path in MODULES.values() for node in nodes(path) if isinstance(node, ast.ClassDef))
    assert names["Trial"] == 1
    assert [name for name, count in names.items() if count > 1] == []


def identifiers(path: Path) -> Iterator[str]:
    """The names that a module gives: functions, arguments and variables."""
    for node in nodes(path):
        if isinstance(node, ast.FunctionDef):
            yield node.name
        elif isinstance(node, ast.arg):
            yield node.arg
        elif isinstance(node, ast.Name) and isinstance(node.ctx, ast.Store):
            yield node.id


WEAK = re.compile(r"_?(?:own|told|said|asked|wanted|stand|eyes)")
"""Names that mean something else in every module."""


def test_no_name_means_something_else_in_every_module():
    assert WEAK.fullmatch("own")
    assert [(name, weak) for name, path in MODULES.items() for weak in identifiers(path) if WEAK.fullmatch(weak)] == []


def test_the_table_of_packages_repeats_their_docstrings():
    expected = []
    for name in (name for name in MODULES if MODULES[name].name == "__init__.py" and name != "buildcheck"):
        text = ast.get_docstring(tree(MODULES[name])) or ""
        assert text, name
        assert "\n" not in text, name
        expected.append((name.removeprefix("buildcheck.").replace(".", "/"), text.replace("``", "`")))
    rows = re.findall(r"^\| `([a-z/]+)/` \| (.+) \|$", DEVELOPERS, re.M)
    assert sorted(rows) == sorted(expected)
    assert [name for name, _ in rows if "/" not in name] == list(PACKAGES)


def test_every_path_in_the_document_exists():
    paths = re.findall(r"`((?:buildcheck|tests|rules|schemas|docs)/[A-Za-z0-9_./-]*)`", DEVELOPERS)
    assert "buildcheck/rules/judging.py" in paths
    assert [path for path in paths if not (ROOT / path).exists()] == []
