"""Many builds checked on all processors: each is turned into what a format needs of it and dropped again."""

from __future__ import annotations

import gc
import os
import signal
import sys
from collections import deque
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from copyreg import pickle
from pathlib import Path
from types import MappingProxyType
from typing import TYPE_CHECKING, Any, Protocol

from buildcheck.app.build_check import CheckedBuild
from buildcheck.app.rule_context import RuleContext
from buildcheck.app.run import RunPlan, display_path
from buildcheck.core.escape import one_line
from buildcheck.core.usage_error import UsageError
from buildcheck.record import Record

if TYPE_CHECKING:
    from concurrent.futures import Future

MIN_BUILDS_EACH = 8
"""Builds for one process: below that, starting another takes longer than it saves."""

GC_THRESHOLD = 200_000
"""So many objects more than before, some builds' worth, and circles among them are looked for after all."""

MOST_PROCESSES = 60
"""Windows waits for 61 at most."""

MOST_AHEAD = 4
"""Builds for each process that may be finished and wait to be written: memory stays the same for any number."""

START_METHOD = "fork" if sys.platform == "linux" else "spawn"
"""A forked process has all that was read; one that is spawned, where forking is not safe, gets it pickled."""

Renderer = Callable[[RuleContext, CheckedBuild], Any]


Snapshot = tuple[str, int]


class Cache(Protocol):
    """Where parts of earlier runs are kept."""

    def load(self, build: Path) -> tuple[int, Any] | None:
        """The exit code and part of a build that has not changed; None where it must be checked."""

    def snapshot(self, build: Path) -> Snapshot:
        """What a build's own files are, and when, before it is checked."""

    def store(self, build: Path, checked: CheckedBuild, result: tuple[int, Any], snapshot: Snapshot) -> None:
        """Keep the part of a build that was checked."""


class Job(Record):
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
        except UsageError as error:  # git lacks a file, or cannot read it
            return self._unjudged(folder, str(error))
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
        return self._unjudged(folder, f"internal error, no build was judged: {type(error).__name__}: {error}")

    def _unjudged(self, folder: Path, why: str) -> tuple[int, Any]:
        checked = self.plan.crashed(folder, why)
        return checked.exit_code, self.render_build(self.plan.context, checked)


_job: Job | None = None
"""What a process of the pool does with the folders that it gets."""


def rendered_builds(plan: RunPlan, render_build: Renderer, cache: Cache | None = None) -> Iterator[tuple[int, Any]]:
    """Each build's exit code and its part, in the plan's order whoever checked it."""
    with _rare_garbage_collection():
        yield from _rendered_builds(Job(plan, render_build, cache), plan.folders)


def _rendered_builds(job: Job, folders: Sequence[Path]) -> Iterator[tuple[int, Any]]:
    processes = min(_processor_count(), MOST_PROCESSES, len(folders) // MIN_BUILDS_EACH)
    if processes < 2:
        return map(job.result, folders)
    return pooled(job, folders, processes, START_METHOD)


def pooled(job: Job, folders: Sequence[Path], processes: int, start_method: str) -> Iterator[tuple[int, Any]]:
    """The builds' results in their order, from so many processes, which are never far ahead of the reader."""
    from concurrent.futures import BrokenExecutor, ProcessPoolExecutor
    from multiprocessing import get_context

    pickle(MappingProxyType, lambda proxy: (_frozen, (dict(proxy),)))  # it cannot be pickled by itself
    pool = ProcessPoolExecutor(processes, get_context(start_method), _start_process, (job,))
    ahead: deque[Future[tuple[int, Any]]] = deque()
    try:
        for folder in folders:
            ahead.append(pool.submit(_result, folder))
            if len(ahead) > MOST_AHEAD * processes:
                yield ahead.popleft().result()
        while ahead:
            yield ahead.popleft().result()
    except BrokenExecutor:
        raise RuntimeError("a process that checks builds has ended") from None
    finally:
        pool.shutdown(cancel_futures=True)


def _processor_count() -> int:
    """Those that this process may use."""
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1


def _frozen(mapping: dict[Any, Any]) -> MappingProxyType[Any, Any]:
    return MappingProxyType(mapping)


def _start_process(job: Job) -> None:
    global _job
    _job = job
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # the parent process handles SIGINT


def _result(folder: Path) -> tuple[int, Any]:
    assert _job is not None
    return _job.result(folder)


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
