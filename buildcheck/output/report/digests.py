"""Digests of what a report was made from, blind to line endings."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from hashlib import sha256
from pathlib import Path

from buildcheck.app.build_check import Checked
from buildcheck.core.files import read_regular, real
from buildcheck.yamlio.yaml_text import LIMIT_BYTES

SHOWN = 16


def digest(contents: Iterable[bytes]) -> str:
    """First 16 hexadecimal digits of the SHA-256 over contents with LF line endings.

    >>> digest([b"a\\r\\n"]) == digest([b"a\\n"])
    True
    """
    total = sha256()
    for content in contents:
        total.update(content.replace(b"\r\n", b"\n") + b"\0")
    return total.hexdigest()[:SHOWN]


def input_digests(checked: Checked) -> dict[str, str]:
    """Each file of the build that was read, by name, and each shared part that it uses and that can be read."""
    paths = {f"{name}.yaml": checked.build.folder / f"{name}.yaml" for name in checked.build.roots}
    paths = dict(sorted(paths.items())) | dict(sorted(checked.build.parts.items()))
    read = {name: _content(path) for name, path in paths.items()}
    return {name: digest([content]) for name, content in read.items() if content is not None}


def _content(path: Path) -> bytes | None:
    """As much of a file as is ever read, links followed."""
    try:
        return read_regular(real(path), LIMIT_BYTES + 1)
    except (OSError, ValueError):
        return None


def frame_digests(sources: Mapping[str, Iterable[Path]]) -> dict[str, str]:
    """The rules that come with the tool, the team's own and the team's settings, each as one."""
    return {name: digest(path.read_bytes() for path in files) for name, files in sources.items()}
