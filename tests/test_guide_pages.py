"""The guides for people: safety first, each drawing with its text alternative, six marks explained."""

from __future__ import annotations

import re
from pathlib import Path

from buildcheck.output.reference.drawings import DRAWINGS

ROOT = Path(__file__).parent.parent
BENCH = (ROOT / "docs/at-the-bench.md").read_text(encoding="utf-8")
TAUGHT = ("contact-lines", "degree-wheel", "free-and-fixed-pivot", "pivot-heights", "pushrod-lengths", "reading-a-mark",
          "roller-and-pad", "six-marks", "slack-and-tight")  # fmt: skip


def test_the_bench_page_begins_with_safety() -> None:
    first = re.search(r"^## (.*)$", BENCH, re.MULTILINE)
    assert first is not None
    assert first[1] == "Safety first"
    assert "witness mark" in BENCH


def test_the_bench_page_shows_each_drawing_with_its_text_alternative() -> None:
    pictures = dict(re.findall(r"!\[([^\]]*)\]\(reference/drawings/([\w-]+)\.svg\)", BENCH))
    names = {name: alt for alt, name in pictures.items()}
    assert set(TAUGHT) <= set(names)
    assert [
        name for name, alt in names.items() if f"<desc>{alt}</desc>".replace("'", "&#x27;") not in DRAWINGS[name].svg
    ] == []


def test_the_bench_page_explains_all_six_marks() -> None:
    assert re.findall(r"^\| (\d) \|", BENCH, re.MULTILINE) == list("123456")


def test_the_reviewer_finds_in_a_report_what_the_page_names() -> None:
    page = (ROOT / "docs/for-the-reviewer.md").read_text(encoding="utf-8")
    named = re.findall(r"^\d\. \*\*(.*?)\*\*", page, re.MULTILINE)
    report = (ROOT / "example_build/REPORT.md").read_text(encoding="utf-8")
    assert len(named) == 3
    assert [name for name in named if f"\n## {name}\n" not in report] == []
    assert "no limit loosened by team or build" in report
