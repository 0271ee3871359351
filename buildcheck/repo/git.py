"""Asks git; where it cannot answer, the call is wrong. Nothing is fetched, locked or written."""

from __future__ import annotations

import os
from collections.abc import Callable, Container, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import IO, TYPE_CHECKING, NamedTuple

from buildcheck.core.usage_error import UsageError

if TYPE_CHECKING:
    import subprocess

_PATHSPECS = {f"GIT_{kind}_PATHSPECS": "0" for kind in ("GLOB", "ICASE", "LITERAL", "NOGLOB")}
_PLAIN = {"GIT_OPTIONAL_LOCKS": "0", "GIT_NO_LAZY_FETCH": "1", "GIT_NO_REPLACE_OBJECTS": "1", "LC_ALL": "C"}
_QUIET = {**_PATHSPECS, **_PLAIN}
"""No locks, no fetching, and objects as they are: a replaced one would be judged, and the true one committed."""

_SAFE = ("-c", "safe.bareRepository=explicit", "-c", "core.fsmonitor=false", "-c", "core.hooksPath=/dev/null")
"""No file of the repository may name a program to run, nor may folders inside it pose as repositories."""

_EXACT = ("-c", "core.ignoreCase=false")
"""A file that differs from a tracked one in case only is listed too: the disk may hold both."""


def git(folder: Path, *words: str, given: bytes = b"", fine: Container[int] = (0,)) -> bytes:
    """What a git command answers in a folder; UsageError with git's own words where it ends with another code."""
    run = _run(folder, words, given)
    if run.returncode not in fine:
        raise _failure(folder, words, run.stderr)
    return run.stdout


class Answer(NamedTuple):
    """What git writes, and what it warns of."""

    output: bytes
    warnings: bytes


@contextmanager
def git_meanwhile(folder: Path, *words: str, fine: Container[int] = (0,)) -> Iterator[Callable[[], Answer]]:
    """A git command that runs while other things are done; the answer is waited for when it is needed, once."""
    with _started(folder, words) as process:

        def answer() -> Answer:
            output, errors = process.communicate()
            if process.returncode not in fine:
                raise _failure(folder, words, errors)
            return Answer(output, errors)

        yield answer


def top_of(folder: Path) -> Path:
    """The top of the working tree that holds a folder."""
    return Path(os.fsdecode(git(folder, "rev-parse", "--show-toplevel")).rstrip("\n")).resolve()


def top_and_head(folder: Path) -> tuple[Path, str] | None:
    """The top of the working tree that holds a folder, and its commit; None before the first commit."""
    run = _run(folder, ("rev-parse", "--show-toplevel", "HEAD^{commit}"))
    top, _, commit = os.fsdecode(run.stdout).rstrip("\n").rpartition("\n")
    return (Path(top).resolve(), commit) if run.returncode == 0 else None


def commit_named(folder: Path, revision: str) -> str:
    """The commit that a revision names, empty where it names none."""
    run = _run(folder, ("rev-parse", "--verify", "--quiet", "--end-of-options", f"{revision}^{{commit}}"))
    return os.fsdecode(run.stdout).strip() if run.returncode == 0 else ""


@contextmanager
def git_process(folder: Path, *words: str) -> Iterator[tuple[IO[bytes], IO[bytes]]]:
    """A git command that answers questions until it is left: where they are written, and where it answers.

    An EOFError while the answers are read means that git has ended: it becomes UsageError with git's own words.
    """
    with _started(folder, words) as process:
        assert process.stdin is not None
        assert process.stdout is not None
        try:
            yield process.stdin, process.stdout
        except (BrokenPipeError, EOFError) as error:
            raise _failure(folder, words, process.communicate()[1]) from error


def _failure(folder: Path, words: tuple[str, ...], errors: bytes) -> UsageError:
    return UsageError(f"git {words[0]} fails in {folder}: {os.fsdecode(errors).strip()}")


def _run(folder: Path, words: tuple[str, ...], given: bytes = b"") -> subprocess.CompletedProcess[bytes]:
    import subprocess

    with _started(folder, words) as process:
        output, errors = process.communicate(given)
    return subprocess.CompletedProcess(words, process.returncode, output, errors)


def _started(folder: Path, words: tuple[str, ...]) -> subprocess.Popen[bytes]:
    import subprocess  # which a check of named builds does without

    try:
        return subprocess.Popen(
            ["git", *_SAFE, *_EXACT, *words],
            cwd=folder,
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            env={**os.environ, **_QUIET},
        )
    except FileNotFoundError as error:
        raise UsageError("git is needed for this, and is not installed") from error
