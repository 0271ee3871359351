"""``report --update``: writes what is not current and then fails, so that a hook stops the commit once."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
from history import ROOT, git, replace
from ruamel.yaml import YAML

from buildcheck.cli.main import main


@pytest.fixture
def build(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    git(tmp_path, "init", "--quiet")
    shutil.copytree(ROOT / "example_build", tmp_path / "dunlin")
    git(tmp_path, "add", "--all")
    monkeypatch.chdir(tmp_path)
    return tmp_path / "dunlin"


def test_a_stale_report_is_written_once(build: Path, capsys: pytest.CaptureFixture[str]) -> None:
    replace(build / "marks.yaml", "to: 0.173 in}}", "to: 0.174 in}}")
    assert main(["report", "--check"]) == 1
    assert main(["report", "--update"]) == 1
    assert "dunlin/REPORT.md: written" in capsys.readouterr().err
    assert main(["report", "--update"]) == 0
    assert main(["report", "--check"]) == 0


def test_a_report_outside_the_commit_fails_and_is_left_as_it_is(build: Path) -> None:
    git(build, "rm", "--quiet", "--cached", "REPORT.md")
    before = (build / "REPORT.md").stat().st_mtime_ns
    assert main(["report", "--update", "--touched"]) == 1
    assert (build / "REPORT.md").stat().st_mtime_ns == before


def test_check_and_update_exclude_each_other(build: Path) -> None:
    assert main(["report", "--check", "--update"]) == 2


def test_the_hook_runs_it() -> None:
    hooks = YAML(typ="safe").load((ROOT / ".pre-commit-hooks.yaml").read_text())
    assert {hook["id"]: hook["entry"] for hook in hooks}["buildcheck-report-update"] == (
        "buildcheck report --update --touched"
    )
    assert all(hook["always_run"] and not hook["pass_filenames"] and hook["require_serial"] for hook in hooks)
