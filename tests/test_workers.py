"""Many builds on all processors: the same bytes as on one; and the bar that a terminal gets meanwhile."""

from __future__ import annotations

import gc
import io
import os
import shutil
import subprocess
import sys
import time
from pathlib import Path

import pytest

from buildcheck.app.build_check import CheckedBuild
from buildcheck.app.rule_context import RuleContext
from buildcheck.app.run import plan_run
from buildcheck.app.workers import MIN_BUILDS_EACH, MOST_AHEAD, Job, pooled, rendered_builds
from buildcheck.cli.main import main
from buildcheck.cli.progress import Progress
from buildcheck.output import json
from buildcheck.output.result_cache import ResultCache

ROOT = Path(__file__).parent.parent
BUILDS = [ROOT / "example_build", *sorted((ROOT / "tests" / "builds").iterdir())]


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Enough builds for two processes and one over, of differing sizes, one of them torn."""
    shop = tmp_path_factory.mktemp("shop")
    for number in range(2 * MIN_BUILDS_EACH + 1):
        if number < len(BUILDS):
            shutil.copytree(BUILDS[number], shop / f"build_{number}")
        else:
            (shop / f"build_{number}").mkdir()
            shutil.copy2(BUILDS[0] / "build.yaml", shop / f"build_{number}")
    (shop / "build_3" / "cam.yaml").write_text("lifter: [\n")
    return shop


def result(shop: Path, form: str, processors: set[int]) -> tuple[int, bytes]:
    command = [sys.executable, "-m", "buildcheck.cli.main", "check", str(shop), "--format", form]
    done = subprocess.run(
        command,
        capture_output=True,
        check=False,
        preexec_fn=lambda: os.sched_setaffinity(0, processors),
    )
    return done.returncode, done.stdout


@pytest.mark.skipif(sys.platform != "linux", reason="processors are told apart on Linux only")
def test_all_processors_tell_the_same_as_one(shop: Path) -> None:
    several = result(shop, "json", os.sched_getaffinity(0))
    assert several == result(shop, "json", {min(os.sched_getaffinity(0))})
    assert several[0] == 2
    assert len(several[1]) > 1000


def test_a_process_that_dies_is_no_verdict(shop: Path) -> None:
    if len(os.sched_getaffinity(0)) < 2:
        pytest.skip("one processor")

    def dies(context: RuleContext, checked: CheckedBuild) -> None:
        os._exit(3)

    with pytest.raises(RuntimeError, match="has ended"):
        list(rendered_builds(plan_run([shop]), dies))


def test_spawned_processes_give_the_same_results(shop: Path, tmp_path: Path) -> None:
    """As on macOS and Windows; ``shop`` is checked by forked ones."""
    plan = plan_run([shop])
    folders = plan.folders[:3]
    job = Job(plan, json.render_build, ResultCache(tmp_path, plan, "json"))
    results = list(pooled(job, folders, 2, "spawn"))
    assert results == [Job(plan, json.render_build, None).result(folder) for folder in folders]
    assert list(map(job.result, folders)) == results, "from the cache that the processes filled"
    assert len(list(tmp_path.iterdir())) == len(folders)


def test_processes_wait_for_the_reader(shop: Path, tmp_path: Path) -> None:
    def leaves_a_file(context: RuleContext, checked: CheckedBuild) -> None:
        (tmp_path / f"{time.monotonic_ns()} {os.getpid()}").touch()

    plan = plan_run([shop])
    results = pooled(Job(plan, leaves_a_file, None), plan.folders[3:4] * 1000, 2, "fork")
    next(results)
    assert 1 <= len(list(tmp_path.iterdir())) <= 2 * MOST_AHEAD + 1
    results.close()


class Terminal(io.StringIO):
    def isatty(self) -> bool:
        return True


def test_a_terminal_gets_a_bar_that_is_wiped() -> None:
    terminal = Terminal()
    progress = Progress(4, terminal, after=0)
    progress.step()
    progress.clear()
    progress.clear()
    assert terminal.getvalue() == f"\r[{'#' * 7:<30}] 1 of 4 builds\r\x1b[K"


def test_nothing_else_gets_a_bar() -> None:
    stream = io.StringIO()
    progress = Progress(1, stream, after=0)
    progress.step()
    progress.clear()
    assert stream.getvalue() == ""


def test_garbage_is_collected_as_before_once_all_is_reported(tmp_path: Path) -> None:
    shutil.copytree(ROOT / "example_build", tmp_path / "dunlin")
    often = gc.get_threshold()
    assert main(["check", str(tmp_path)]) == 0
    assert gc.get_threshold() == often
    assert gc.get_freeze_count() == 0


@pytest.mark.parametrize("build", BUILDS, ids=lambda path: path.name)
def test_a_build_that_was_reported_is_gone_without_a_search_for_garbage(build: Path) -> None:
    planned = plan_run([build])
    gc.disable()
    gc.freeze()  # the search looks at what is made from here on
    try:
        json.render_build(planned.context, planned.check(planned.folders[0]))
        assert gc.collect() == 0
    finally:
        gc.unfreeze()
        gc.enable()
