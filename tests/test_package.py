"""What is published: source distribution and wheel with all their data, valid metadata, one place for the version."""

from __future__ import annotations

import re
import tarfile
import zipfile
from pathlib import Path

import pytest
from hatchling.builders.sdist import SdistBuilder
from hatchling.builders.wheel import WheelBuilder
from history import ROOT, git
from packaging.metadata import Metadata
from ruamel.yaml import YAML

from buildcheck import __version__

DOCS = ROOT / "docs"


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("wheel")
    return Path(next(WheelBuilder(str(ROOT)).build(directory=str(folder), versions=["standard"])))


@pytest.fixture(scope="module")
def sources(tmp_path_factory: pytest.TempPathFactory) -> set[str]:
    folder = tmp_path_factory.mktemp("sdist")
    archive = next(SdistBuilder(str(ROOT)).build(directory=str(folder)))
    with tarfile.open(archive) as opened:
        return {name.partition("/")[2] for name in opened.getnames()}


@pytest.fixture(scope="module")
def metadata(wheel: Path) -> Metadata:
    with zipfile.ZipFile(wheel) as opened:
        [name] = [name for name in opened.namelist() if name.endswith(".dist-info/METADATA")]
        return Metadata.from_email(opened.read(name), validate=True)


def tracked(*folders: str) -> set[str]:
    return set(git(ROOT, "ls-files", "--", *folders).splitlines())


def test_the_wheel_holds_the_package_and_its_data(wheel: Path) -> None:
    with zipfile.ZipFile(wheel) as opened:
        names = set(opened.namelist())
    assert tracked("buildcheck") <= names
    assert {f"buildcheck/data/{name}" for name in tracked("schemas", "rules")} <= names
    assert not [name for name in names if name.startswith(("tests/", "docs/"))]


def test_the_sources_hold_all_that_the_tests_need(sources: set[str]) -> None:
    folders = ("buildcheck", "docs", "example_build", "rules", "schemas", "tests")
    assert tracked(*folders, "LICENSE", "README.md", "DEVELOPERS.md", "hatch_build.py", "pyproject.toml") <= sources
    assert not [name for name in sources if name.startswith((".venv", ".git/"))]


def test_the_metadata_is_valid_and_its_version_is_written_once(metadata: Metadata) -> None:
    assert (metadata.name, str(metadata.version)) == ("buildcheck", __version__)
    assert metadata.license_expression == "MIT"
    assert metadata.classifiers
    assert "Programming Language :: Python :: 3.11" in metadata.classifiers
    assert __version__ not in (ROOT / "pyproject.toml").read_text(encoding="utf-8")


def test_the_package_page_has_no_relative_link(metadata: Metadata) -> None:
    assert metadata.description
    links = re.findall(r"\]\(([^)]*)\)", metadata.description)
    assert [link for link in links if not link.startswith("https://")] == []


def test_no_document_promises_a_tag() -> None:
    tags = set(git(ROOT, "tag").split())
    pages = [ROOT / "README.md", *sorted(DOCS.glob("*.md")), *sorted((ROOT / "buildcheck/cli/skeleton").iterdir())]
    named = {tag for page in pages for tag in re.findall(r"(?:rev: |@)(v\d[\w.]*)", page.read_text(encoding="utf-8"))}
    assert named - tags - {"v4", "v5", "v3"} == set(), "actions of the CI service have versions of their own"


def test_the_changelog_names_every_hook_and_the_security_page_a_way_to_report() -> None:
    hooks = YAML(typ="safe").load((ROOT / ".pre-commit-hooks.yaml").read_text(encoding="utf-8"))
    assert {hook["id"] for hook in hooks} == {"buildcheck", "buildcheck-report", "buildcheck-report-update"}
    assert "buildcheck-report-update" in (DOCS / "changelog.md").read_text(encoding="utf-8")
    assert "## Report a problem" in (DOCS / "security.md").read_text(encoding="utf-8")
