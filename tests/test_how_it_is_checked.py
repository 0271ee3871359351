"""docs/how-it-is-checked.md names sources that its tests name, and figures that the other pages have."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
PAGE = (ROOT / "docs/how-it-is-checked.md").read_text(encoding="utf-8")
README = (ROOT / "README.md").read_text(encoding="utf-8")
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
COMMON_PRACTICE = "common practice, no published source"


def rows(heading: str) -> list[list[str]]:
    """The cells of the table below a heading, without its head."""
    section = PAGE.partition(f"## {heading}\n")[2].partition("\n## ")[0]
    return [line.strip("| ").split(" | ") for line in section.splitlines() if line.startswith("| ")][1:]


def rows_of(name: str) -> list[list[str]]:
    """The cells of a table of DEVELOPERS.md between its two marks, without its head."""
    table = DEVELOPERS.partition(f"<!-- {name} -->")[2].partition("<!-- end")[0]
    return [line.strip("| ").split(" | ") for line in table.splitlines() if line.startswith("| ")][1:]


PRINTED = rows("Printed values")


def spaced(text: str) -> str:
    """A text without the marks of line breaks within docstrings and comments."""
    return re.sub(r"[\s#\"]+", " ", text)


@pytest.mark.parametrize("row", PRINTED, ids=lambda row: row[2][:40])
def test_the_named_test_names_the_source(row: list[str]) -> None:
    _, _, source, _, link = row
    name = re.fullmatch(r"\[(.*)\]\(\.\./tests/\1\)", link)
    assert name is not None
    assert spaced(source) in spaced((ROOT / "tests" / name[1]).read_text(encoding="utf-8"))


@pytest.mark.parametrize("row", [row for row in PRINTED if row[3] in ("memory", "secondary")], ids=lambda row: row[2])
def test_what_was_not_seen_is_marked_in_the_test_too(row: list[str]) -> None:
    text = (ROOT / "tests" / row[4][1:].partition("]")[0]).read_text(encoding="utf-8")
    assert {"memory": "from memory", "secondary": "secondary source"}[row[3]] in text


def test_every_row_says_how_far_it_was_seen() -> None:
    assert {row[3] for row in PRINTED} == {"text", "copy", "secondary", "memory"}


def test_the_readme_counts_the_rows() -> None:
    assert f"{len(PRINTED)} printed values" in README


def test_most_rules_have_no_published_source() -> None:
    rules = [" ".join(path.read_text(encoding="utf-8").split()) for path in (ROOT / "rules").rglob("*.yaml")]
    assert f"Most shipped rules carry the note '{COMMON_PRACTICE}'" in PAGE
    assert sum(COMMON_PRACTICE in text for text in rules) > len(rules) / 2


def test_the_figures_of_the_simulated_trials_are_those_of_the_table() -> None:
    found = rows_of("trial and error")
    least = f"at least {min(float(row[3].removesuffix(' %')) for row in found):g} %"
    away = f"{sum(int(row[6]) for row in found)} of {sum(int(row[2]) for row in found)}"
    assert {row[2] for row in found} == {"204"}
    assert f"{len(found)} cases of 204 valves | {least} good within 3 trials, {away} moved away" in PAGE
    assert f"moved {away} pivots further away" in README
    assert f"204 valves in each of {len(found)} cases" in README
    assert least in README


def test_the_figures_of_the_brackets_are_those_of_the_table() -> None:
    found = rows_of("from brackets")
    least = f"at least {min(float(row[3].removesuffix(' %')) for row in found):g} %"
    assert {row[5] for row in found} == {"0"}
    assert (
        f"{len(found)} cases of {found[0][2]} valves | {least} good within 3 marks, no probe beyond its limits" in PAGE
    )


def test_the_figure_of_the_typing_errors_is_that_of_their_page() -> None:
    noticed = re.search(r"\(([\d.]+ %) noticed\)", (ROOT / "docs/robustness.md").read_text(encoding="utf-8"))
    assert noticed is not None
    assert f"{noticed[1]} noticed" in PAGE
