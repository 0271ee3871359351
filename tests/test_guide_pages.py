"""The guides for people: their commands run in order, and the program prints every line that they show."""

from __future__ import annotations

import io
import re
import shlex
import shutil
from contextlib import redirect_stderr, redirect_stdout
from pathlib import Path

import pytest

from buildcheck.cli.main import main
from buildcheck.output.reference.drawings import DRAWINGS

ROOT = Path(__file__).parent.parent
NAMES = ("at-the-bench", "faq", "for-the-reviewer")
PAGES = {name: (ROOT / f"docs/{name}.md").read_text(encoding="utf-8") for name in NAMES}
BLOCK = re.compile(r"^```(\w+)\n(.*?)^```$", re.MULTILINE | re.DOTALL)
TAUGHT = ("contact-lines", "degree-wheel", "free-and-fixed-pivot", "pivot-heights", "pushrod-lengths", "reading-a-mark",
          "roller-and-pad", "six-marks", "slack-and-tight")  # fmt: skip


def printed(line: str) -> str:
    """What one line of a page prints, errors too; ``cp -r`` copies a folder."""
    program, *words = shlex.split(line, comments=True)
    if program == "cp":
        shutil.copytree(words[1], words[2])
        return ""
    assert program == "buildcheck"
    with redirect_stdout(io.StringIO()) as out, redirect_stderr(out):
        main(words)
    return out.getvalue()


@pytest.mark.parametrize("name", NAMES)
def test_its_commands_print_what_it_shows(name: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    shutil.copytree(ROOT / "example_build", tmp_path / "example_build")
    monkeypatch.chdir(tmp_path)
    result, absent, shown = "", [], 0
    for kind, text in BLOCK.findall(PAGES[name]):
        if kind == "sh":
            result = "".join(printed(line) for line in text.splitlines() if line.strip())
            continue
        assert kind == "text"
        shown += 1
        absent += [line for line in text.splitlines() if line not in result.splitlines()]
    assert absent == []
    assert shown >= 2, "a page shows what its commands print"


def test_the_bench_page_begins_with_safety() -> None:
    first = re.search(r"^## (.*)$", PAGES["at-the-bench"], re.MULTILINE)
    assert first is not None
    assert first[1] == "Safety first"
    assert "witness mark" in PAGES["at-the-bench"]


def test_the_bench_page_shows_each_drawing_with_its_text_alternative() -> None:
    pictures = dict(re.findall(r"!\[([^\]]*)\]\(reference/drawings/([\w-]+)\.svg\)", PAGES["at-the-bench"]))
    names = {name: alt for alt, name in pictures.items()}
    assert set(TAUGHT) <= set(names)
    assert [
        name for name, alt in names.items() if f"<desc>{alt}</desc>".replace("'", "&#x27;") not in DRAWINGS[name].svg
    ] == []


def test_the_bench_page_explains_all_six_marks() -> None:
    assert re.findall(r"^\| (\d) \|", PAGES["at-the-bench"], re.MULTILINE) == list("123456")


def test_the_page_on_readings_shows_the_answer_to_its_first_command(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    shutil.copytree(ROOT / "example_build", tmp_path / "engines" / "dunlin")
    monkeypatch.chdir(tmp_path)
    (_, command), (_, answer) = BLOCK.findall((ROOT / "docs/record.md").read_text(encoding="utf-8"))[:2]
    assert printed(command) == answer
