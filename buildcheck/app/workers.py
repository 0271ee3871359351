"""Many builds checked on all processors: each is turned into what a format needs of it and dropped again."""

from __future__ import annotations

import gc
import os
import signal
import sys
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any, Protocol

from buildcheck.app.build_check import CheckedBuild
from buildcheck.app.run import RuleContext, RunPlan, display_path
from buildcheck.core.escape import one_line
from buildcheck.record import Record

if TYPE_CHECKING:
    from multiprocessing.connection import Connection

MIN_BUILDS_EACH = 8
"""Builds for one process: below that, starting another takes longer than it saves."""

GC_THRESHOLD = 200_000
"""So many objects more than before, some builds' worth, and circles among them are looked for after all."""

Renderer = Callable[[RuleContext, CheckedBuild], Any]


Snapshot = tuple[str, int]


class Cache(Protocol):
    """Where parts of earlier runs are kept."""

    def load(self, build: Path) -> tuple[int, Any] | None:
        """The exit code and part of a build that is as it was; None where it must be checked."""

    def snapshot(self, build: Path) -> Snapshot:
        """What a build's own files are, and when, before it is checked."""

    def store(self, build: Path, checked: CheckedBuild, result: tuple[int, Any], snapshot: Snapshot) -> None:
        """Keep the part of a build that was checked."""


class _Job(Record):
    """What is done with each build: it is judged as planned, and turned into a part, if that is not kept."""

    plan: RunPlan
    render_build: Renderer
    cache: Cache | None

    def result(self, folder: Path) -> tuple[int, Any]:
        load = self.cache.load(folder) if self.cache is not None else None
        return self._check_and_store(folder) if load is None else load

    def _check_and_store(self, folder: Path) -> tuple[int, Any]:
        snapshot = self.cache.snapshot(folder) if self.cache is not None else ("", 0)
        try:
            checked = self.plan.check(folder)
            result = checked.exit_code, self.render_build(self.plan.context, checked)
        except Exception as error:  # wrong code, which must not remove the results of other builds
            return self._crashed(folder, error)
        if self.cache is not None:
            self.cache.store(folder, checked, result, snapshot)
        return result

    def _crashed(self, folder: Path, error: Exception) -> tuple[int, Any]:
        """A build that could not be judged through our own fault: an error of its own, never a verdict."""
        from traceback import print_exception

        print_exception(error)
        print(f"buildcheck: internal error, {one_line(display_path(folder))} was not judged", file=sys.stderr)
        checked = self.plan.crashed(folder, f"internal error, no build was judged: {type(error).__name__}: {error}")
        return checked.exit_code, self.render_build(self.plan.context, checked)


def rendered_builds(plan: RunPlan, render_build: Renderer, cache: Cache | None = None) -> Iterator[tuple[int, Any]]:
    """Each build's exit code and its part, in the plan's order whoever checked it."""
    with _rare_garbage_collection():
        yield from _rendered_builds(_Job(plan, render_build, cache), plan.folders)


def _rendered_builds(job: _Job, folders: Sequence[Path]) -> Iterator[tuple[int, Any]]:
    processes = min(_processor_count(), len(folders) // MIN_BUILDS_EACH)
    if processes < 2:
        yield from map(job.result, folders)
        return
    pipes = [_start_process(job, folders[first::processes]) for first in range(processes)]
    for number, folder in enumerate(folders):
        try:
            yield pipes[number % processes].recv()
        except EOFError:
            raise RuntimeError(f"the process that checks {folder} has ended") from None


def _processor_count() -> int:
    """Those that this process may use; one where processes cannot be forked: rules are read once only."""
    if not hasattr(os, "fork") or sys.platform == "darwin":  # forking is not safe there
        return 1
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1


def _start_process(job: _Job, folders: Sequence[Path]) -> Connection:
    """A process that checks its builds in order, as far ahead as its pipe has room."""
    from multiprocessing import get_context

    forked = get_context("fork")
    parent_end, child_end = forked.Pipe(duplex=False)
    forked.Process(target=_run_process, args=(job, folders, child_end), daemon=True).start()
    child_end.close()
    return parent_end


def _run_process(job: _Job, folders: Sequence[Path], pipe: Connection) -> None:
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # the parent process handles SIGINT and ends this one
    for folder in folders:
        pipe.send(job.result(folder))


@contextmanager
def _rare_garbage_collection() -> Iterator[None]:
    """What is loaded by now stays, and a build holds no circles: looking for them all along is a third of all time."""
    thresholds = gc.get_threshold()
    gc.freeze()
    gc.set_threshold(GC_THRESHOLD, *thresholds[1:])
    try:
        yield
    finally:
        gc.unfreeze()
        gc.set_threshold(*thresholds)
