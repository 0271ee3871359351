"""What several tests share: a build copied, changed in a few places, and checked by the command itself."""

from __future__ import annotations

import gc
import json
import os
import shutil
import sys
from collections.abc import Generator
from pathlib import Path

import pytest
from garage import Garage, lay_out
from judging import Judged, Outcome
from memory import write_in_memory
from rewritten import Edit, copied

from buildcheck.cli.main import main

SLOW = frozenset(
    [
        "test_accepted",
        "test_advice_and_order",
        "test_advise",
        "test_as_built_log",
        "test_assumed_calibration",
        "test_bench_values",
        "test_bounds",
        "test_carried_coverage",
        "test_check_formats",
        "test_ci_docs",
        "test_commands_in_text",
        "test_compare",
        "test_compare_causes",
        "test_compare_comment",
        "test_compare_history",
        "test_compare_pages",
        "test_compare_reached",
        "test_compare_relaxed",
        "test_computed_twice",
        "test_concessions",
        "test_cross_checks",
        "test_documents",
        "test_dropped_builds",
        "test_evasions",
        "test_every_format",
        "test_facts",
        "test_files",
        "test_first_day",
        "test_fuzz",
        "test_hook",
        "test_insertion",
        "test_junit",
        "test_learn",
        "test_limits",
        "test_listed_disk",
        "test_many_builds",
        "test_measuring_plan",
        "test_merge_reports",
        "test_motion",
        "test_motion_coverage",
        "test_motion_plan",
        "test_moved_curves",
        "test_never_green",
        "test_next_readings",
        "test_no_code_no_network",
        "test_order",
        "test_outlier",
        "test_output",
        "test_pad_tip",
        "test_parsers",
        "test_part_witness",
        "test_pictures",
        "test_plan",
        "test_plan_entries",
        "test_plan_html",
        "test_planned_twice",
        "test_prepared_rules",
        "test_reading_hostile",
        "test_readings_twice",
        "test_readme",
        "test_recipes",
        "test_record",
        "test_record_motion",
        "test_record_states",
        "test_record_table",
        "test_record_walk",
        "test_report_currency",
        "test_report_digest",
        "test_report_golden",
        "test_report_layout",
        "test_repository_evasions",
        "test_required_length",
        "test_result_cache",
        "test_result_cache_oddities",
        "test_results_json",
        "test_rocker",
        "test_run",
        "test_running_parts",
        "test_sarif",
        "test_settings_twice",
        "test_staged_head",
        "test_staged_random",
        "test_staged_tree",
        "test_states_reported",
        "test_summary",
        "test_touched",
        "test_touched_blocks",
        "test_touched_random",
        "test_touched_unseen",
        "test_trial_and_error",
        "test_trial_rules",
        "test_trials_read",
        "test_typing_errors",
        "test_unreachable",
        "test_what_if",
        "test_wider_uncertainty",
        "test_workers",
        "test_writes",
        "test_yaml_through_check",
    ]
)
"""Test files that start processes, make repositories, simulate engines or take seconds: not in ``-m "not slow"``."""


BARE_GIT = {
    "GIT_TEMPLATE_DIR": "",
    "GIT_CONFIG_COUNT": "1",
    "GIT_CONFIG_KEY_0": "maintenance.auto",
    "GIT_CONFIG_VALUE_0": "false",
}
"""Repositories without git's sample hooks, and commits that start no housekeeping."""


def pytest_configure() -> None:
    """Keeps compiled modules, as Python does by default: each of the many processes that tests start needs them.

    Compiling them in every process, as ``PYTHONDONTWRITEBYTECODE`` demands, would double the time of the suite.
    """
    os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
    sys.dont_write_bytecode = False
    gc.set_threshold(200_000)  # collecting thousands of tests leaves no garbage to search for
    os.environ.update(BARE_GIT)
    write_in_memory()


@pytest.hookimpl(wrapper=True)
def pytest_collect_file(file_path: Path) -> Generator[None, list[pytest.Collector], list[pytest.Collector]]:
    """Modules of tests hold no doctests: they are not searched for them."""
    found = yield
    return [one for one in found if type(one) is pytest.Module or not file_path.name.startswith(("conftest", "test_"))]


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Slow files come first, so that no worker idles at the end while another one is busy with one of them."""
    items.sort(key=lambda item: item.path.stem not in SLOW)
    for item in items:
        if item.path.stem in SLOW:
            item.add_marker(pytest.mark.slow)


@pytest.fixture
def judged(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Judged:
    """``judged("example_build", ("marks.yaml", old, new), options=["--strict"])``."""

    def judge(folder: str, *edits: Edit, options: list[str] | None = None) -> Outcome:
        build = copied(tmp_path / str(len(list(tmp_path.iterdir()))), folder, *edits)
        capsys.readouterr()
        code = main(["check", str(build), "--format", "json", *(options or [])])
        result = capsys.readouterr()
        assert result.err == ""
        [found] = json.loads(result.out)["builds"]
        return Outcome(code, found)

    return judge


@pytest.fixture(scope="session")
def laid_out(tmp_path_factory: pytest.TempPathFactory) -> Garage:
    folder = tmp_path_factory.mktemp("garage")
    (folder / "garage").mkdir()
    garage = Garage(folder / "garage", folder / "home")
    lay_out(garage)
    return garage


@pytest.fixture
def garage(laid_out: Garage, tmp_path: Path) -> Garage:
    """A repository of a test's own, hooks installed."""
    shutil.copytree(laid_out.root, tmp_path / "garage", symlinks=True)
    return Garage(tmp_path / "garage", Path(laid_out.environment["PRE_COMMIT_HOME"]))
