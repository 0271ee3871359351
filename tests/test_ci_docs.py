"""The workflow files of docs/ci.md: valid for their CI, and their shell steps run in a repository."""

from __future__ import annotations

import json
import os
import re
import shutil
import subprocess
import sys
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import pytest
from check_jsonschema import main as check_jsonschema
from history import commit, git, replace
from ruamel.yaml import YAML

ROOT = Path(__file__).parent.parent
PAGE = (ROOT / "docs" / "ci.md").read_text()
GITHUB, COMMENT, GITLAB = re.findall(r"^```yaml\n(.*?)^```$", PAGE, re.MULTILINE | re.DOTALL)
SKELETON = (ROOT / "buildcheck" / "cli" / "skeleton" / "workflow.yaml").read_text()
BINARIES = Path(sys.executable).parent
RECORDER = """\
#!/bin/sh
printf '%s\\n' "$*" >> "$GH_LOG"
case "$*" in
  *pulls*) echo 7 ;;
  *"issues/7/comments --jq"*) cat "$GH_COMMENTS" ;;
esac
"""
"""Stands for GitHub's own command, which needs its server: notes its arguments and answers two questions."""


def loaded(text: str) -> Any:
    return YAML(typ="safe").load(text)


def github_steps(text: str = GITHUB, job: str = "buildcheck") -> dict[str, str]:
    steps = loaded(text)["jobs"][job]["steps"]
    return {step["name"]: step["run"] for step in steps if "run" in step and step["name"] != "Install"}


@dataclass(frozen=True)
class Checkout:
    """A repository as CI has checked it out, with the tool installed."""

    folder: Path
    base: str

    def run(self, step: str, **variables: str) -> subprocess.CompletedProcess[str]:
        """One step as the runners start it: bash, stopping at the first command that fails."""
        path = f"{self.folder.parent}:{BINARIES}:{os.environ['PATH']}"
        own = {
            "GITHUB_STEP_SUMMARY": str(self.folder.parent / "summary.md"),
            "CI_MERGE_REQUEST_DIFF_BASE_SHA": self.base,
        }
        environment = {**os.environ, "PATH": path, "FILES": "https://example.org/blob/main", **own, **variables}
        command = ["bash", "-e", "-o", "pipefail", "-c", step]
        return subprocess.run(command, cwd=self.folder, env=environment, capture_output=True, text=True, check=False)

    @property
    def summary(self) -> str:
        return (self.folder.parent / "summary.md").read_text()


Clone = Callable[[str, int], Checkout]


@pytest.fixture(scope="module")
def origin(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A branch ``main``, and two pull requests as GitHub merges them: one good, one with a bad mark."""
    top = tmp_path_factory.mktemp("origin")
    git(top, "init", "--quiet", "--initial-branch=main")
    shutil.copytree(ROOT / "example_build", top / "engines" / "dunlin")
    for tag in ("older", "base"):
        (top / "notes.txt").write_text(tag)
        commit(top, tag)
    marks = top / "engines" / "dunlin" / "marks.yaml"
    for branch, old, new in (
        ("good", "turns_of_crank: 2", "turns_of_crank: 2    # by hand"),
        ("bad", "mark: {from: 0.145 in, to: 0.172 in}", "mark: {from: 0.005 in, to: 0.032 in}"),
    ):
        git(top, "checkout", "--quiet", "-b", f"pull-{branch}", "base")
        replace(marks, old, new)
        commit(top, f"change-{branch}")
        git(top, "checkout", "--quiet", "-b", f"merge-{branch}", "base")
        git(top, "merge", "--quiet", "--no-ff", "--no-edit", f"pull-{branch}")
    return top


@pytest.fixture
def clone(origin: Path, tmp_path: Path) -> Clone:
    def shallow(branch: str, depth: int) -> Checkout:
        words = ["--quiet", "--no-tags", f"--depth={depth}", f"--branch=merge-{branch}", f"file://{origin}", "checkout"]
        git(tmp_path, "clone", *words)
        return Checkout(tmp_path / "checkout", git(origin, "rev-parse", "base").strip())

    return shallow


@pytest.mark.parametrize(
    ("text", "schema"),
    [(GITHUB, "vendor.github-workflows"), (COMMENT, "vendor.github-workflows"), (GITLAB, "vendor.gitlab-ci")],
)
def test_the_files_are_valid_for_their_ci(tmp_path: Path, text: str, schema: str) -> None:
    def verdict(content: str) -> int:
        (tmp_path / "ci.yml").write_text(content)
        call = ["--builtin-schema", schema, str(tmp_path / "ci.yml")]
        return int(check_jsonschema(call, standalone_mode=False) or 0)

    assert verdict(text) == 0
    assert verdict(text.replace("    steps:", "    stops:").replace("  script:", "  scripts:")) != 0


def depth(text: str) -> int:
    """The fetch depth that the workflow states."""
    checkout, *_ = loaded(text)["jobs"]["buildcheck"]["steps"]
    return int(checkout["with"]["fetch-depth"])


def test_every_step_passes_on_a_good_change_in_a_shallow_clone(clone: Clone) -> None:
    checkout = clone("good", depth(GITHUB))
    for name, step in github_steps().items():
        done = checkout.run(step)
        assert (done.returncode, done.stderr) == (0, ""), name
    assert "<!-- nothing changed -->" in checkout.summary
    assert "Ready to order" in checkout.summary


def test_the_workflow_of_a_new_repository_has_the_same_steps_and_tests_the_rules() -> None:
    own = github_steps(SKELETON)
    assert own.pop("Examples of all rules") == "buildcheck rules --test"
    assert own.items() <= github_steps().items()
    assert set(github_steps()) - set(own) == {"Summary", "Failures for code scanning"}
    assert depth(SKELETON) == depth(GITHUB)


def test_a_bad_mark_stops_the_job_and_is_shown_everywhere(clone: Clone) -> None:
    checkout = clone("bad", depth(GITHUB))
    done = {name: checkout.run(step) for name, step in github_steps().items()}
    assert {name for name, one in done.items() if one.returncode} == {"Builds", "Reports are current"}
    assert "::error file=engines/dunlin/marks.yaml,line=" in done["Builds"].stdout
    comment = (checkout.folder / "comment.md").read_text()
    assert "**pass → fail**" in comment
    assert "https://example.org/blob/main/engines/dunlin/marks.yaml#L21" in comment
    assert comment in checkout.summary
    assert "mark-on-tip" in checkout.summary.replace(comment, "")
    assert "mark-on-tip" in (checkout.folder / "buildcheck.sarif").read_text().split('"results"')[1]


def test_a_stale_overview_stops_the_job(clone: Clone) -> None:
    checkout = clone("good", depth(GITHUB))
    step = github_steps()["The overview is current, if there is one"]
    (checkout.folder / "BUILDS.md").write_text("| Build | Stage | Verdict | Order |\n")
    assert checkout.run(step).returncode == 1


def test_gitlabs_job_compares_in_a_shallow_clone_and_writes_its_artifacts_before_it_stops(clone: Clone) -> None:
    checkout, job = clone("bad", 1), loaded(GITLAB)["buildcheck"]
    codes = [checkout.run(step).returncode for step in job["script"] if "pip install" not in step]
    assert codes == [0, 0, 0, 0, 1, 1]
    reports = job["artifacts"]["reports"]
    issues = json.loads((checkout.folder / reports["codequality"]).read_text())
    assert "mark-on-tip" in {issue["check_name"] for issue in issues if issue["severity"] == "blocker"}
    assert list(ElementTree.parse(checkout.folder / reports["junit"]).iter("failure"))
    assert "**pass → fail**" in (checkout.folder / "comment.md").read_text()


@pytest.mark.parametrize(
    ("old", "comment", "request_sent"),
    [
        ("", "<!-- buildcheck compare -->\n**1 build changed**\n", "--method POST repos/o/r/issues/7/comments"),
        ("41\n", "<!-- buildcheck compare -->\n**1 build changed**\n", "--method PATCH repos/o/r/issues/comments/41"),
        (
            "41\n",
            "<!-- buildcheck compare -->\n<!-- nothing changed -->\n",
            "--method PATCH repos/o/r/issues/comments/41",
        ),
        ("", "<!-- buildcheck compare -->\n<!-- nothing changed -->\n", ""),
    ],
)
def test_one_comment_is_posted_updated_or_left_out(tmp_path: Path, old: str, comment: str, request_sent: str) -> None:
    (tmp_path / "gh").write_text(RECORDER)
    (tmp_path / "gh").chmod(0o755)
    (tmp_path / "comments").write_text(old)
    (tmp_path / "checkout").mkdir()
    (tmp_path / "checkout" / "comment.md").write_text(comment)
    log = tmp_path / "log"
    names = {"REPOSITORY": "o/r", "OWNER": "someone", "BRANCH": "topic", "GH_LOG": str(log)}
    step = github_steps(COMMENT, "comment")["Post or update it"]
    done = Checkout(tmp_path / "checkout", "").run(step, GH_COMMENTS=str(tmp_path / "comments"), **names)
    assert (done.returncode, done.stderr) == (0, "")
    sent = [line for line in log.read_text().splitlines() if "--method P" in line]
    assert [line.removeprefix("api ").removesuffix(" -F body=@comment.md") for line in sent] == [request_sent] * bool(
        request_sent
    )


def test_the_tool_is_installed_by_address_and_revision() -> None:
    command = 'python -m pip install "buildcheck @ git+URL-OF-THIS-REPOSITORY@REVISION"'
    assert PAGE.count(command) == 2
    assert "v0.1.0" not in PAGE + SKELETON + (ROOT / "README.md").read_text()
