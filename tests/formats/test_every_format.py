"""Every format of every command on a green, a red and an unreadable repository, judged by a public schema or parser.

The JSON is judged by the schema that it names. GitLab publishes no schema of its report: its documented fields are in
test_gitlab.py. GitHub's annotations are read as its documentation describes them (test_github.py).
"""

from __future__ import annotations

import json
import re
import shutil
from collections.abc import Callable
from itertools import pairwise
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import pytest
from altered import EIGHT, FLAT, PAD_TIP, SIX, as_it_is
from history import commit, git
from jsonschema import Draft202012Validator
from markdown_it import MarkdownIt
from referencing import Registry, Resource
from repositories import AT_EDGE, ON_TIP, ROOT, edit, junit_schema, sarif_schema
from test_github import parsed
from test_gitlab import DOCUMENTED

from buildcheck import __version__
from buildcheck.advice.measuring_plan import make_plan
from buildcheck.advice.valve_advice import advice
from buildcheck.advice.what_if import what_if
from buildcheck.cli.commands.check import FORMATS
from buildcheck.cli.main import main
from buildcheck.output import advice_json, what_if_output
from buildcheck.output.plan.plan_json import write as write_plan
from buildcheck.schema.fields import schema_by_id

Output = pytest.CaptureFixture[str]
NAMES = ("advice", "comparison", "plan", "results", "what-if")
SCHEMAS = {f"buildcheck:{name}:1": schema_by_id(f"buildcheck:{name}:1") for name in NAMES}
REGISTRY: Registry[Any] = Registry().with_resources(
    [(schema_id, Resource.from_contents(schema)) for schema_id, schema in SCHEMAS.items()]
)
STATES = {"green": 0, "red": 1, "unreadable": 2}
"""State of the repository -> exit code. Each is a commit with this tag."""
PLACES = {"red": ("engines/dunlin/marks.yaml", 21), "unreadable": ("engines/dunlin/cam.yaml", 3)}


def json_faults(data: Any) -> list[str]:
    """What is wrong with an object by the schema that it names."""
    named = Draft202012Validator(SCHEMAS[data["schema"]], registry=REGISTRY)
    return [error.message for error in named.iter_errors(data)]


def sarif_errors(text: str) -> list[tuple[str, int]]:
    log = json.loads(text)
    assert list(sarif_schema().iter_errors(log)) == []
    failed = [one for one in log["runs"][0]["results"] if one["level"] == "error"]
    at = [one["locations"][0]["physicalLocation"] for one in failed]
    return [(place["artifactLocation"]["uri"], place["region"]["startLine"]) for place in at]


def junit_errors(text: str) -> list[tuple[str, int]]:
    tree = ElementTree.fromstring(text.encode())
    junit_schema().validate(tree)
    bodies = [one.text or "" for kind in ("failure", "error") for one in tree.iter(kind)]
    return [place for body in bodies for place in gnu_places(body)]


def gitlab_errors(text: str) -> list[tuple[str, int]]:
    issues = json.loads(text)
    Draft202012Validator(DOCUMENTED).validate(issues)
    at = [one["location"] for one in issues if one["severity"] == "blocker"]
    return [(place["path"], place["lines"]["begin"]) for place in at]


def github_errors(text: str) -> list[tuple[str, int]]:
    found = [one.properties for line in text.splitlines() if (one := parsed(line)).name == "error"]
    return [(one["file"], int(one["line"])) for one in found]


def json_errors(text: str) -> list[tuple[str, int]]:
    data = json.loads(text)
    assert (data["schema"], data["version"], json_faults(data)) == ("buildcheck:results:1", __version__, [])
    found = [
        one for build in data["builds"] for one in [*build["results"], *build["errors"]] if one.get("blocks", True)
    ]
    return [(f"engines/dunlin/{one['file']}", one["line"]) for one in found]


def summary_errors(text: str) -> list[tuple[str, int]]:
    inline = [token for token in MarkdownIt("gfm-like").parse(text) if token.type == "inline"]
    words = ["".join(child.content for child in token.children or ()).replace("\u200b", "") for token in inline]
    return [place for level, at in pairwise(words) if level == "error" for place in gnu_places(at)]


def text_errors(text: str) -> list[tuple[str, int]]:
    lines = [line for line in text.splitlines() if not re.match(r"  (help|effect|page): ", line)]
    assert all(re.match(r"\S+:\d+:\d+: (error|warning|note): .+ \[.+\]$", line) for line in lines)
    return [place for line in lines if ": error: " in line for place in gnu_places(line)]


def gnu_places(text: str) -> list[tuple[str, int]]:
    return [(file, int(line)) for file, line in re.findall(r"([\w/.]+\.yaml):(\d+)", text)]


JUDGES: dict[str, Callable[[str], list[tuple[str, int]]]] = {
    "github": github_errors, "gitlab": gitlab_errors, "json": json_errors, "junit": junit_errors,
    "sarif": sarif_errors, "summary": summary_errors, "text": text_errors,
}  # fmt: skip


@pytest.fixture(scope="module")
def top(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """One repository with a commit for each state."""
    folder = tmp_path_factory.mktemp("states")
    git(folder, "init", "--quiet", "--initial-branch=main")
    build = folder / "engines" / "dunlin"
    shutil.copytree(ROOT / "example_build", build)
    commit(folder, "green")
    edit(build / "marks.yaml", ON_TIP, AT_EDGE)
    commit(folder, "red")
    edit(build / "cam.yaml", "lifter:", "oddity: 1\nlifter:")
    commit(folder, "unreadable")
    return folder


@pytest.fixture(params=STATES)
def state(request: pytest.FixtureRequest, top: Path, monkeypatch: pytest.MonkeyPatch) -> str:
    git(top, "checkout", "--quiet", request.param)
    monkeypatch.chdir(top)
    return str(request.param)


def test_every_format_has_a_judge() -> None:
    assert JUDGES.keys() == FORMATS.keys()


@pytest.mark.parametrize("form", FORMATS)
def test_check_is_valid_and_names_what_blocks_at_its_line(state: str, form: str, capsys: Output) -> None:
    assert main(["check", "--format", form]) == STATES[state]
    errors = JUDGES[form](capsys.readouterr().out)
    assert errors == [] if state == "green" else PLACES[state] in errors


@pytest.mark.parametrize("before", ["green", "unreadable"])
def test_a_comparison_is_valid_in_json_and_markdown(state: str, before: str, capsys: Output) -> None:
    main(["compare", before, "--format", "json"])
    data = json.loads(capsys.readouterr().out)
    assert (data["schema"], data["version"], json_faults(data)) == ("buildcheck:comparison:1", __version__, [])
    assert bool(data["builds"]) == (state != before)
    main(["compare", before, "--format", "markdown"])
    tokens = MarkdownIt("gfm-like").parse(capsys.readouterr().out)
    assert bool([one for one in tokens if one.type == "table_open"]) == bool(data["builds"])


@pytest.mark.parametrize("words", [["plan"], ["advise"], ["advise", "--with", "tip_higher=0.2 mm"]])
def test_the_other_commands_end_with_2_on_what_they_cannot_read(state: str, words: list[str], capsys: Output) -> None:
    code = main([words[0], "engines/dunlin", *words[1:], "--format", "json"])
    text = capsys.readouterr().out
    assert code == (2 if state == "unreadable" else 0)
    assert json_faults(json.loads(text)) == [] if code == 0 else text_errors(text) != []


@pytest.mark.parametrize("folder", [SIX, EIGHT, FLAT, PAD_TIP])
def test_plan_and_advice_name_their_schema_on_every_mount_and_tip(folder: str) -> None:
    found = as_it_is(folder)
    supposed = what_if(found.facts, ["tip_higher=0.2 mm"])
    plan, advised = write_plan(found, make_plan(found.facts)), advice_json.write(found, advice(found.facts))
    for name, text in (("plan", plan), ("advice", advised), ("what-if", what_if_output.data(found, supposed))):
        data = json.loads(text)
        assert (data["schema"], data["version"], json_faults(data)) == (f"buildcheck:{name}:1", __version__, [])
        assert json_faults({**data, "added": 1}) != []


def test_every_schema_is_one() -> None:
    assert {path.name.partition(".")[0] for path in (ROOT / "schemas/json").iterdir()} == set(NAMES)
    for schema in SCHEMAS.values():
        Draft202012Validator.check_schema(schema)
