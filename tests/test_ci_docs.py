"""The workflow files of docs/ci.md: valid for their CI, and their shell steps run in a repository."""

from __future__ import annotations

import json
import os
import re
import shutil
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import pytest
from ruamel.yaml import YAML

ROOT = Path(__file__).parent.parent
GITHUB, GITLAB = re.findall(r"^```yaml\n(.*?)^```$", (ROOT / "docs" / "ci.md").read_text(), re.MULTILINE | re.DOTALL)
BINARIES = Path(sys.executable).parent


def loaded(text: str) -> Any:
    return YAML(typ="safe").load(text)


def github_steps() -> dict[str, str]:
    steps = loaded(GITHUB)["jobs"]["buildcheck"]["steps"]
    return {step["name"]: step["run"] for step in steps if "run" in step}


@dataclass(frozen=True)
class Checkout:
    """A repository as CI has checked it out, with the tool installed."""

    folder: Path

    def run(self, step: str) -> subprocess.CompletedProcess[str]:
        """One step as the runners start it: bash, stopping at the first command that fails."""
        path = f"{BINARIES}:{os.environ['PATH']}"
        environment = {**os.environ, "PATH": path, "GITHUB_STEP_SUMMARY": str(self.folder / "summary.md")}
        command = ["bash", "-e", "-o", "pipefail", "-c", step]
        return subprocess.run(command, cwd=self.folder, env=environment, capture_output=True, text=True, check=False)

    def spoil(self) -> None:
        marks = self.folder / "engines" / "dunlin" / "marks.yaml"
        text = marks.read_text().replace("mark: {from: 0.145 in, to: 0.172 in}", "mark: {from: 0.005 in, to: 0.032 in}")
        marks.write_text(text)


@pytest.fixture
def checkout(tmp_path: Path) -> Checkout:
    shutil.copytree(ROOT / "example_build", tmp_path / "engines" / "dunlin")
    for command in (["init", "-q"], ["add", "-A"]):
        subprocess.run(["git", *command], cwd=tmp_path, check=True)
    return Checkout(tmp_path)


@pytest.mark.parametrize(("text", "schema"), [(GITHUB, "vendor.github-workflows"), (GITLAB, "vendor.gitlab-ci")])
def test_the_files_are_valid_for_their_ci(tmp_path: Path, text: str, schema: str) -> None:
    def verdict(content: str) -> int:
        (tmp_path / "ci.yml").write_text(content)
        command = [sys.executable, "-m", "check_jsonschema", "--builtin-schema", schema, str(tmp_path / "ci.yml")]
        return subprocess.run(command, capture_output=True, check=False).returncode

    assert verdict(text) == 0
    assert verdict(text.replace("      - ", "      ? ").replace("  script:", "  scripts:")) != 0


def test_every_step_passes_on_a_good_build(checkout: Checkout) -> None:
    for name, step in github_steps().items():
        if name != "Install":
            done = checkout.run(step)
            assert (done.returncode, done.stderr) == (0, ""), name
    assert "Ready to order" in (checkout.folder / "summary.md").read_text()
    assert json.loads((checkout.folder / "buildcheck.sarif").read_text())["version"] == "2.1.0"


def test_a_bad_mark_stops_the_job_and_is_told_everywhere(checkout: Checkout) -> None:
    checkout.spoil()
    done = {name: checkout.run(step) for name, step in github_steps().items() if name != "Install"}
    failed = {name for name, one in done.items() if one.returncode}
    assert failed == {"Builds", "Reports are current"}
    assert "::error file=engines/dunlin/marks.yaml,line=" in done["Builds"].stdout
    assert "mark-on-tip" in (checkout.folder / "summary.md").read_text()
    assert "mark-on-tip" in (checkout.folder / "buildcheck.sarif").read_text().split('"results"')[1]


def test_gitlabs_job_writes_its_artifacts_before_it_stops(checkout: Checkout) -> None:
    checkout.spoil()
    job = loaded(GITLAB)["buildcheck"]
    codes = [checkout.run(step).returncode for step in job["script"] if "pip install" not in step]
    assert codes == [0, 0, 1, 1]
    reports = job["artifacts"]["reports"]
    issues = json.loads((checkout.folder / reports["codequality"]).read_text())
    assert "mark-on-tip" in {issue["check_name"] for issue in issues if issue["severity"] == "blocker"}
    assert list(ElementTree.parse(checkout.folder / reports["junit"]).iter("failure"))


def test_the_tool_is_installed_by_name_and_version() -> None:
    version = subprocess.run([BINARIES / "buildcheck", "--version"], capture_output=True, text=True, check=True).stdout
    wanted = f'python -m pip install "buildcheck @ git+URL-OF-THIS-REPOSITORY@v{version.split()[1]}"'
    assert github_steps()["Install"] == wanted
    assert wanted in loaded(GITLAB)["buildcheck"]["script"]
