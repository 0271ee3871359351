"""Commands within the sentences of the documents: each is one that the program takes, and whole ones are run."""

from __future__ import annotations

import re
import shlex
import shutil
from functools import cache
from pathlib import Path

import pytest
from documents import ROOT, Follower, code_spans
from history import git

from buildcheck.cli.arguments import COMMANDS, RENAMED, parser_for

PAGES = ["README.md", "DEVELOPERS.md", *(path.relative_to(ROOT).as_posix() for path in (ROOT / "docs").rglob("*.md"))]
PLACEHOLDER = re.compile(r"\[[^\]]*\]|…|\b[A-Z]{2,}\b")
LEFT_OUT = {"advise": "BUILD", "compare": "BASE", "plan": "BUILD", "record": "BUILD", "start": "DIR"}
"""Command -> what it needs and a sentence may leave out."""


@cache
def spans() -> list[str]:
    """Every piece of code within a sentence."""
    return sorted({span for page in PAGES for span in code_spans(page)})


def written() -> list[str]:
    """Commands with a word more than their name."""
    return [span for span in spans() if span.removeprefix("buildcheck ").split(" ")[0] in COMMANDS and " " in span]


def words_of(span: str) -> list[str]:
    """The words of a command, without those that are optional."""
    words = shlex.split(re.sub(r"\[[^\]]*\]", "", span).replace("SHELL", "bash"))
    return words[words[0] == "buildcheck" :]


def is_taken(words: list[str]) -> bool:
    try:
        parser_for(words).parse_args(words)
    except SystemExit:
        return False
    return True


def test_each_command_in_a_sentence_is_one_that_the_program_takes() -> None:
    assert len(written()) > 50
    refused = []
    for span in written():
        words = words_of(span)
        if not is_taken(words) and not is_taken([*words, LEFT_OUT.get(words[0], "--no-such-option")]):
            refused.append(span)
    assert refused == []


def test_a_command_that_the_program_does_not_have_is_noticed() -> None:
    assert not is_taken(["report", "--colour"])


def test_an_option_in_a_sentence_is_one_of_a_command(capsys: pytest.CaptureFixture[str]) -> None:
    for command in COMMANDS:
        with pytest.raises(SystemExit):
            parser_for([command]).parse_args([command, "--help"])
    offered = {*re.findall(r"--[a-z-]+", capsys.readouterr().out), *RENAMED, "--version", "--no-verify"}
    written = {found[0] for span in spans() if (found := re.match(r"--[a-z-]+", span))}
    assert len(written) > 20
    assert written <= offered


def test_the_whole_commands_in_sentences_run(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    for folder in ("example_build", "tests/builds/inline_six_closed"):
        shutil.copytree(ROOT / folder, tmp_path / folder)
    git(tmp_path, "init", "-q")
    git(tmp_path, "add", "--all")
    monkeypatch.chdir(tmp_path)
    follower = Follower(monkeypatch, tmp_path / "home")
    whole = [span for span in written() if re.match(r"buildcheck \S+ ", span) and not PLACEHOLDER.search(span)]
    for span in whole:
        follower.run(span)
    assert len(whole) > 10
    assert follower.failed == []
