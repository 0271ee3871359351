"""Reads one YAML file into nodes that know where they stand; what cannot be read becomes a Problem."""

from __future__ import annotations

import os
from collections.abc import Iterator, Sequence
from decimal import Decimal
from functools import lru_cache
from pathlib import Path, PurePosixPath
from typing import Any

from buildcheck.core.files import read_regular
from buildcheck.core.problem import Place, Problem
from buildcheck.yamlio.composer import compose
from buildcheck.yamlio.nodes import Document, Node, dotted
from buildcheck.yamlio.yaml_text import LIMIT_BYTES, decode

__all__ = ["Document", "Node", "dotted", "find", "folder_of", "plain", "read", "read_file", "unreadable"]

KEPT = 16
"""Files kept once read: a part that the next build uses too, or a file that is the same in the state before."""


@lru_cache(maxsize=KEPT)
def read(data: bytes, file: str) -> Document:
    """Read one file's bytes; ``file`` is the relative POSIX path that places speak of."""
    text, problems = decode(data, file)
    if text is None:
        return Document(file, None, tuple(problems))
    if not text.strip():
        return Document(file, None, (*problems, Problem(Place(file), "", "is empty: fill it in, or delete it")))
    root, more = compose(text, file)
    return Document(file, root, tuple(sorted([*problems, *more])), text)


def read_file(path: Path, file: str) -> Document:
    """Read a regular file that lies, links followed, under the folder that ``file`` is relative to."""
    try:
        data = _regular_bytes(path, file)
    except RuntimeError:  # how Python before 3.13 reports a loop
        return unreadable(file, "it is a link that leads back to itself")
    except OSError as error:
        return unreadable(file, error.strerror or type(error).__name__)
    except ValueError as error:
        return unreadable(file, str(error))
    return read(data, file)


def unreadable(file: str, reason: str) -> Document:
    """A document that could not be read, and why."""
    return Document(file, None, (Problem(Place(file), "", f"cannot be read: {reason}"),))


def _regular_bytes(path: Path, file: str) -> bytes:
    """At most one byte more than the limit, from inside the folder."""
    if path.name == file and not path.is_symlink():
        return read_regular(path, LIMIT_BYTES + 1)
    if ".." not in path.parts and not any(map(os.path.islink, _up_to_home(path.absolute(), file))):
        return read_regular(path, LIMIT_BYTES + 1)
    target = path.resolve(strict=True)
    if not target.is_relative_to(folder_of(path.absolute(), file).resolve()):
        raise ValueError("it is a link to outside its folder; copy the file here")
    return read_regular(target, LIMIT_BYTES + 1)


def folder_of(path: Path, file: str) -> Path:
    """The folder that ``file`` is relative to, from where the file lies."""
    return path.parents[_depth(path, file) - 1]


def _depth(path: Path, file: str) -> int:
    """How many names at the end of a path lie below the folder that ``file`` is relative to."""
    parts = PurePosixPath(file).parts
    return len(parts) if path.parts[-len(parts) :] == parts else 1


def _up_to_home(path: Path, file: str) -> Iterator[str]:
    """A path and the folders above it, as far as they lie below the folder that ``file`` is relative to."""
    step = str(path)
    for _ in range(_depth(path, file)):
        yield step
        step = os.path.dirname(step)


def plain(node: Node) -> Any:
    """Plain data for the JSON Schema validator: decimals become floats, places are left behind."""
    value = node.value
    if isinstance(value, str):
        return value
    if isinstance(value, dict):
        return {key: plain(child) for key, child in value.items()}
    if isinstance(value, list):
        return [plain(child) for child in value]
    return float(value) if isinstance(value, Decimal) else value


def find(node: Node, path: Sequence[str | int]) -> Node | None:
    """The node at a path of keys and list positions, None where there is none."""
    for step in path:
        child: Node | None = None
        if isinstance(node.value, dict) and isinstance(step, str):
            child = node.value.get(step)
        elif isinstance(node.value, list) and isinstance(step, int) and 0 <= step < len(node.value):
            child = node.value[step]
        if child is None:
            return None
        node = child
    return node
