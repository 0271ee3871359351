"""Every fenced block of the documents is followed: its commands run in order, and the program prints what it shows.

The few blocks that need a fresh clone, an edit by hand or the machines of a CI are listed with the test for each.
"""

from __future__ import annotations

from pathlib import Path

import pytest
from documents import ELSEWHERE, FOLLOWED, PAGES, ROOT, blocks, follower_in


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
def test_a_page_can_be_followed(page: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    follower = follower_in(tmp_path, monkeypatch)
    absent = [f"{block}: {line}" for block, lines in follower.follow_page(page) for line in lines]
    assert absent == [], "run: python tests/documents.py, then read what it changed"
    text = (ROOT / page).read_text(encoding="utf-8")
    hidden = [output for output in follower.failed if output.splitlines()[0] not in text]
    assert hidden == [], "a command fails, and the page hides it"


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
