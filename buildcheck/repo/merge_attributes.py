"""How git merges generated files: it keeps one version whole and reports a conflict; it never mixes their lines."""

from __future__ import annotations

import os
from collections.abc import Iterable, Sequence
from pathlib import Path

from buildcheck.core.files import real
from buildcheck.core.usage_error import UsageError
from buildcheck.repo.git import git

ATTRIBUTES = ".gitattributes"
_TEXT = """\
# If two branches change one of these files, git keeps the version of the current branch and reports a conflict.
# Then: buildcheck report (for {index} also buildcheck report --index), git add, git commit.
"""


def attributes_text(report: str, index: str, pictures: str) -> str:
    """The lines for git's own driver, which needs no set-up in a clone; for a report, the overview and pictures."""
    patterns = (_quoted(report), _quoted(index), f"**/{pictures}/*.svg")
    return _TEXT.format(index=index) + "".join(f"{pattern} merge=binary\n" for pattern in patterns)


def folders_without_driver(root: Path, files: Sequence[Path]) -> list[Path]:
    """The folders of files that git would merge line by line and that have no attributes yet; none outside git."""
    bare = [file for file in files if not os.path.lexists(file.parent / ATTRIBUTES)]
    inside = [path for path in map(real, bare) if path.is_relative_to(real(root))]
    try:
        given = b"".join(os.fsencode(path) + b"\0" for path in inside)
        found = git(root, "check-attr", "-z", "--stdin", "merge", given=given) if inside else b""
    except UsageError:
        return []
    return list(dict.fromkeys(Path(os.fsdecode(path)).parent for path in _unspecified(found.split(b"\0")[:-1])))


def _unspecified(answers: list[bytes]) -> Iterable[bytes]:
    """The paths without the attribute, of git's answers path, attribute, value."""
    return (path for path, value in zip(answers[::3], answers[2::3], strict=True) if value == b"unspecified")


def _quoted(name: str) -> str:
    return f'"{name}"' if " " in name else name
