"""Many builds checked on all processors: each is turned into what a format needs of it and dropped again."""

from __future__ import annotations

import gc
import os
import signal
import sys
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any, Protocol

from buildcheck.app.build_check import Checked
from buildcheck.app.run import Frame, Plan, shown
from buildcheck.core.escape import one_line

if TYPE_CHECKING:
    from multiprocessing.connection import Connection

FEWEST_EACH = 8
"""Builds for one process: below that, starting another takes longer than it saves."""

SELDOM = 200_000
"""So many objects more than before, some builds' worth, and circles among them are looked for after all."""

Part = Callable[[Frame, Checked], Any]


Before = tuple[str, int]


class Store(Protocol):
    """Where parts of earlier runs are kept."""

    def taken(self, build: Path) -> tuple[int, Any] | None:
        """The exit code and part of a build that is as it was; None where it must be checked."""

    def before(self, build: Path) -> Before:
        """What a build's own files are, and when, before it is checked."""

    def keep(self, build: Path, checked: Checked, told: tuple[int, Any], before: Before) -> None:
        """Keep the part of a build that was checked."""


@dataclass(frozen=True, slots=True)
class _Work:
    """What is done with each build: it is judged as planned, and turned into a part, if that is not kept."""

    plan: Plan
    part: Part
    kept: Store | None

    def told(self, folder: Path) -> tuple[int, Any]:
        taken = self.kept.taken(folder) if self.kept is not None else None
        return self._checked(folder) if taken is None else taken

    def _checked(self, folder: Path) -> tuple[int, Any]:
        before = self.kept.before(folder) if self.kept is not None else ("", 0)
        try:
            checked = self.plan.check(folder)
            told = checked.exit_code, self.part(self.plan.frame, checked)
        except Exception as error:  # wrong code, which must not take along what is told of other builds
            return self._crashed(folder, error)
        if self.kept is not None:
            self.kept.keep(folder, checked, told, before)
        return told

    def _crashed(self, folder: Path, error: Exception) -> tuple[int, Any]:
        """A build that could not be judged through our own fault: an error of its own, never a verdict."""
        from traceback import print_exception

        print_exception(error)
        print(f"buildcheck: internal error, {one_line(shown(folder))} was not judged", file=sys.stderr)
        checked = self.plan.unjudged(folder, f"internal error, no build was judged: {type(error).__name__}: {error}")
        return checked.exit_code, self.part(self.plan.frame, checked)


def parts(plan: Plan, part: Part, kept: Store | None = None) -> Iterator[tuple[int, Any]]:
    """Each build's exit code and its part, in the plan's order whoever checked it."""
    with _garbage_seldom():
        yield from _parts(_Work(plan, part, kept), plan.folders)


def _parts(work: _Work, folders: Sequence[Path]) -> Iterator[tuple[int, Any]]:
    processes = min(_processors(), len(folders) // FEWEST_EACH)
    if processes < 2:
        yield from map(work.told, folders)
        return
    pipes = [_start(work, folders[first::processes]) for first in range(processes)]
    for number, folder in enumerate(folders):
        try:
            yield pipes[number % processes].recv()
        except EOFError:
            raise RuntimeError(f"the process that checks {folder} has ended") from None


def _processors() -> int:
    """Those that this process may use; one where processes cannot be forked: rules are read once only."""
    if not hasattr(os, "fork") or sys.platform == "darwin":  # forking is not safe there
        return 1
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1


def _start(work: _Work, folders: Sequence[Path]) -> Connection:
    """A process that checks its builds in order, as far ahead as its pipe has room."""
    from multiprocessing import get_context

    forked = get_context("fork")
    here, there = forked.Pipe(duplex=False)
    forked.Process(target=_run, args=(work, folders, there), daemon=True).start()
    there.close()
    return here


def _run(work: _Work, folders: Sequence[Path], pipe: Connection) -> None:
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # whoever started us is told, and ends us
    for folder in folders:
        pipe.send(work.told(folder))


@contextmanager
def _garbage_seldom() -> Iterator[None]:
    """What is loaded by now stays, and a build holds no circles: looking for them all along is a third of all time."""
    often = gc.get_threshold()
    gc.freeze()
    gc.set_threshold(SELDOM, *often[1:])
    try:
        yield
    finally:
        gc.unfreeze()
        gc.set_threshold(*often)
