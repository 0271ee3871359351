"""No string that a user can see holds a word from the list of banned words; titles and findings are short."""

from __future__ import annotations

import ast
import json
import re
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path

import pytest
from ruamel.yaml import YAML
from sources import nodes

from buildcheck.cli.main import main

ROOT = Path(__file__).parent.parent
BANNED = re.compile(
    r"\b(?:told|tells|reckoned|anew|besides|wants|asks for|asked for|stands|whose|in the way|in the making|as it was"
    r"|dearest|this instrument cannot|misses it by|slip of the pen|push rods?)\b",
    re.IGNORECASE,
)
BUILDS = ["example_build", *sorted(f"tests/builds/{each.name}" for each in (ROOT / "tests/builds").iterdir())]
DATA = ["rules/**/*.yaml", "schemas/*.json", "buildcheck/cli/starter/*", "buildcheck/cli/skeleton/**/*"]
PAGES = [
    "README.md",
    "DEVELOPERS.md",
    "docs/**/*.md",
    "docs/**/*.svg",
    "example_build/REPORT.md",
    "tests/builds/*/REPORT.md",
]
COMMANDS = [
    "advise",
    "check",
    "compare",
    "completion",
    "explain",
    "learn",
    "plan",
    "record",
    "report",
    "rules",
    "schemas",
    "start",
]
TITLE, FINDING = 60, 240


def banned(text: str) -> list[str]:
    return [line.strip() for line in text.splitlines() if BANNED.search(line)]


def strings(module: Path) -> Iterator[str]:
    """The string constants of a module, without docstrings."""
    alone = {node.value for node in nodes(module) if isinstance(node, ast.Expr)}
    for node in nodes(module):
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and node not in alone:
            yield node.value


def output(capsys: pytest.CaptureFixture[str], *words: str) -> str:
    capsys.readouterr()
    with suppress(SystemExit):
        main(list(words))
    return capsys.readouterr().out


def rules() -> Iterator[dict[str, str]]:
    yaml = YAML(typ="safe")
    for path in sorted((ROOT / "rules").rglob("*.yaml")):
        yield yaml.load(path.read_text(encoding="utf-8"))


def test_the_banned_words_are_found() -> None:
    assert banned("It tells nothing.\nA good line.\nThe push rod stands.") == [
        "It tells nothing.",
        "The push rod stands.",
    ]
    assert banned("The stand is tight.") == []


@pytest.mark.parametrize("package", sorted(each.name for each in (ROOT / "buildcheck").iterdir() if each.is_dir()))
def test_no_string_of_the_code_holds_a_banned_word(package: str) -> None:
    modules = (ROOT / "buildcheck" / package).rglob("*.py")
    assert {f"{module.name}: {text}" for module in modules for text in strings(module) if banned(text)} == set()


@pytest.mark.parametrize("pattern", [*DATA, *PAGES])
def test_no_shipped_text_holds_a_banned_word(pattern: str) -> None:
    files = [path for path in ROOT.glob(pattern) if path.is_file()]
    assert files
    assert {path.name: found for path in files if (found := banned(path.read_text(encoding="utf-8")))} == {}


@pytest.mark.parametrize("command", COMMANDS)
def test_no_help_holds_a_banned_word(command: str, capsys: pytest.CaptureFixture[str]) -> None:
    text = output(capsys, command, "--help")
    assert text
    assert banned(text) == []


@pytest.mark.parametrize("folder", BUILDS)
@pytest.mark.parametrize("command", ["check", "advise", "plan"])
def test_no_output_holds_a_banned_word(folder: str, command: str, capsys: pytest.CaptureFixture[str]) -> None:
    text = output(capsys, command, str(ROOT / folder))
    assert text
    assert banned(text) == []


def test_no_explanation_holds_a_banned_word(capsys: pytest.CaptureFixture[str]) -> None:
    for topic in ("stage", "preload", "cam.advance", "rockers.adjuster_thread"):
        assert banned(output(capsys, "explain", topic, str(ROOT / "example_build"))) == []


def test_titles_are_short() -> None:
    assert [rule["id"] for rule in rules() if len(rule["title"]) > TITLE] == []


@pytest.mark.parametrize("folder", BUILDS)
def test_findings_are_short(folder: str, capsys: pytest.CaptureFixture[str]) -> None:
    [build] = json.loads(output(capsys, "check", str(ROOT / folder), "--format", "json"))["builds"]
    assert build["results"]
    assert [one["message"] for one in build["results"] if len(one["message"]) > FINDING] == []
