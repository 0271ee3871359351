"""Every fenced block of the documents is followed: its commands run in order, and the program prints what it shows.

The few blocks that need a fresh clone, an edit by hand or the machines of a CI are listed with the test for each.
"""

from __future__ import annotations

import shutil
from itertools import pairwise
from pathlib import Path

import pytest
from documents import ROOT, Block, Follower, blocks

PAGES = [path.relative_to(ROOT).as_posix() for path in (ROOT / "README.md", *sorted((ROOT / "docs").glob("*.md")))]
FOLLOWED = [page for page in PAGES if blocks(page)]
ELSEWHERE = {
    (
        "README.md",
        "example_build/marks.yaml:21:42: error",
    ): "test_readme.py::test_four_steps_from_green_to_red_and_back",
    ("README.md", "   - {length: 9.4255 in"): "test_readme.py::test_four_steps_from_green_to_red_and_back",
    ("README.md", "# .pre-commit-config.yaml"): "test_readme.py::test_the_hooks_of_the_readme_exist",
    ("README.md", "python3 -m venv .venv && .venv/bin/pip install -q -e '.[test]'"): (
        "test_readme.py::test_the_test_command_sets_up_and_runs_pytest"
    ),
    ("docs/ci.md", "name: buildcheck\n"): "test_ci_docs.py::test_the_files_are_valid_for_their_ci",
    ("docs/ci.md", "name: buildcheck comment\n"): "test_ci_docs.py::test_the_files_are_valid_for_their_ci",
    ("docs/ci.md", "buildcheck:\n  image:"): "test_ci_docs.py::test_the_files_are_valid_for_their_ci",
}
"""Page and beginning of a block -> the test that holds it."""


def holders(block: Block) -> list[str]:
    """The tests that hold a block in place of this one."""
    return [test for (page, begin), test in ELSEWHERE.items() if page == block.page and block.text.startswith(begin)]


@pytest.fixture
def follower(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Follower:
    """Somebody with a fresh checkout, where the demo lies."""
    shutil.copytree(ROOT / "example_build", tmp_path / "example_build")
    monkeypatch.chdir(tmp_path)
    return Follower(monkeypatch, tmp_path / "home")


def answers(block: Block) -> str:
    """What is typed at the prompts of a conversation, which ends with q."""
    typed = [line.removeprefix("> ") for line in block.text.splitlines() if line.startswith("> ")]
    return "".join(f"{line}\n" for line in [*typed, "q"])


@pytest.mark.parametrize("page", PAGES)
def test_no_page_has_the_marks_of_a_merge(page: str) -> None:
    text = (ROOT / page).read_text(encoding="utf-8")
    assert [line for line in text.splitlines() if line.startswith(("<<<<<<< ", ">>>>>>> "))] == []


@pytest.mark.parametrize("page", FOLLOWED)
def test_a_file_to_write_is_named_in_the_sentence_above_it(page: str) -> None:
    """The name behind the language of a block is not shown by a browser."""
    text = (ROOT / page).read_text(encoding="utf-8")
    above = {block.file: text.partition(f"```{block.kind} {block.file}\n")[0] for block in blocks(page) if block.file}
    assert [file for file, before in above.items() if f"`{file}`" not in before.rpartition("```\n")[2]] == []


def test_the_rule_of_the_team_page_is_under_ten_lines() -> None:
    (rule,) = [block for block in blocks("docs/team.md") if block.file.startswith("shop-rules/")]
    assert len(rule.text.splitlines()) < 10


@pytest.mark.parametrize("page", FOLLOWED)
def test_a_page_can_be_followed(page: str, follower: Follower) -> None:
    own = [block for block in blocks(page) if not holders(block)]
    absent = [
        line
        for block, after in pairwise([*own, Block(page, 0, "", "", "")])
        for line in follower.follow(block, answers(after))
    ]
    assert absent == []
    text = (ROOT / page).read_text(encoding="utf-8")
    assert [output for output in follower.failed if output not in text] == [], "a command fails, and the page hides it"


def test_what_is_held_elsewhere_is_there_once_and_so_is_its_test() -> None:
    every = [block for page in FOLLOWED for block in blocks(page)]
    held = [
        (page, begin)
        for page, begin in ELSEWHERE
        for block in every
        if page == block.page and block.text.startswith(begin)
    ]
    assert sorted(held) == sorted(ELSEWHERE)
    tests = {name.split("::")[0]: name.split("::")[1] for name in ELSEWHERE.values()}
    assert [name for file, name in tests.items() if f"def {name}(" not in (ROOT / "tests" / file).read_text()] == []
