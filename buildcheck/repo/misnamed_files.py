"""Finds files that look like a build's or a rule but are called otherwise: they would go unread in silence."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path, PurePath

from buildcheck.core.problem import Place, Problem
from buildcheck.repo.file_tree import Tree

_NEAR = 0.8
_ENDINGS = (".yaml", ".yml")


def misnamed_files(existing: Sequence[str], names: Sequence[str]) -> Iterator[Problem]:
    """Files of a build folder that are called almost as those of these names, which would be read."""
    for name in existing:
        expected = _expected_name(name, names)
        if expected and (_folded(name) == _folded(expected) or expected not in existing):
            yield Problem(
                Place(name), "", f"is not read: rename it to {expected}, or to a name that cannot be mistaken"
            )


def misnamed_rules(folder: Path, quoted: str, tree: Tree) -> Iterator[Problem]:
    """Files of a rule folder with an ending that is not read."""
    for below, existing in tree.walk(folder):
        for name in existing:
            if name.lower().endswith(_ENDINGS) and not name.endswith(".yaml"):
                place = Place((PurePath(quoted) / below / name).as_posix())
                yield Problem(place, "", "is not read: a rule is one file <id>.yaml")


def _expected_name(name: str, names: Sequence[str]) -> str:
    stem, dot, ending = name.lower().rpartition(".")
    if f"{dot}{ending}" not in _ENDINGS or name in {f"{known}.yaml" for known in names}:
        return ""
    from difflib import get_close_matches

    close = get_close_matches(stem.replace("-", "_").replace(" ", "_"), names, 1, _NEAR)
    return f"{close[0]}.yaml" if close else ""


def _folded(name: str) -> str:
    return name.lower().replace("-", "_").replace(" ", "_").removesuffix(".yaml").removesuffix(".yml")
