"""Many builds checked on all processors: each is turned into what a format needs of it and dropped again."""

from __future__ import annotations

import gc
import os
import signal
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any

from buildcheck.check import Checked
from buildcheck.run import Frame, Plan

if TYPE_CHECKING:
    from multiprocessing.connection import Connection

FEWEST_EACH = 8
"""Builds for one process: below that, starting another takes longer than it saves."""

SELDOM = 200_000
"""So many objects more than before, some builds' worth, and circles among them are looked for after all."""

Part = Callable[[Frame, Checked], Any]


def parts(plan: Plan, part: Part) -> Iterator[tuple[int, Any]]:
    """Each build's exit code and its part, in the plan's order whoever checked it."""
    with _garbage_seldom():
        yield from _parts(plan, part)


def _parts(plan: Plan, part: Part) -> Iterator[tuple[int, Any]]:
    processes = min(_processors(), len(plan.folders) // FEWEST_EACH)
    if processes < 2:
        for folder in plan.folders:
            yield _part(plan, part, folder)
        return
    pipes = [_start(plan, part, plan.folders[first::processes]) for first in range(processes)]
    for number, folder in enumerate(plan.folders):
        try:
            yield pipes[number % processes].recv()
        except EOFError:
            raise RuntimeError(f"the process that checks {folder} has died") from None


def _processors() -> int:
    """Those that this process may use; one where processes cannot be forked: rules are read once only."""
    if not hasattr(os, "fork") or sys.platform == "darwin":  # forking is not safe there
        return 1
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1


def _start(plan: Plan, part: Part, folders: tuple[Path, ...]) -> Connection:
    """A process that checks its builds in order, as far ahead as its pipe has room."""
    from multiprocessing import get_context

    forked = get_context("fork")
    here, there = forked.Pipe(duplex=False)
    forked.Process(target=_work, args=(plan, part, folders, there), daemon=True).start()
    there.close()
    return here


def _work(plan: Plan, part: Part, folders: tuple[Path, ...], pipe: Connection) -> None:
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # whoever started us is told, and ends us
    for folder in folders:
        pipe.send(_part(plan, part, folder))


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


def _part(plan: Plan, part: Part, folder: Path) -> tuple[int, Any]:
    checked = plan.check(folder)
    return checked.exit_code, part(plan.frame, checked)
