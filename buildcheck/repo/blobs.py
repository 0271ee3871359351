"""What git's objects hold, by git's names for it."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import IO

from buildcheck.core.usage_error import UsageError
from buildcheck.repo.git import git_process
from buildcheck.yamlio.yaml_text import LIMIT_BYTES

_AT_ONCE = 50
"""So many names fit into any pipe: git reads all of them before its answers fill the pipe back."""
_CHUNK = 1 << 16


def blob_contents(top: Path, blobs: Sequence[str]) -> dict[str, bytes]:
    """What blobs hold; of one larger than a file may be, as much as shows that. UsageError if git lacks one."""
    if not blobs:
        return {}
    found: dict[str, bytes] = {}
    with git_process(top, "cat-file", "--batch") as (questions, answers):
        for first in range(0, len(blobs), _AT_ONCE):
            some = blobs[first : first + _AT_ONCE]
            questions.write("".join(f"{blob}\n" for blob in some).encode())
            questions.flush()
            found |= {blob: _next_content(answers, top) for blob in some}
    return found


def _next_content(answers: IO[bytes], top: Path) -> bytes:
    """Read one answer: a line with the size, the content, and a line end. EOFError if git ends before that."""
    if not (line := answers.readline()):
        raise EOFError
    *_, size = line.split()
    if size == b"missing":
        raise UsageError(f"git lacks files of an earlier commit in {top}, as in a partial clone: 'git fetch --refetch'")
    expected = min(int(size), LIMIT_BYTES + 1)
    if len(content := answers.read(expected)) < expected:
        raise EOFError
    rest = int(size) - len(content) + 1
    while rest > 0 and (skipped := answers.read(min(rest, _CHUNK))):
        rest -= len(skipped)
    return content
