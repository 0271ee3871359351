"""The tables of figures in DEVELOPERS.md: an experiment writes its own between two marks, and the tests read it."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

DOCUMENT = Path(__file__).parent.parent.parent / "DEVELOPERS.md"


def write(name: str, lines: Sequence[str]) -> None:
    """Put the lines of a table in place of the old ones, and print them."""
    before, begin, rest = DOCUMENT.read_text(encoding="utf-8").partition(f"<!-- {name} -->\n")
    _, end, after = rest.partition(f"<!-- end of {name} -->\n")
    table = "\n".join(lines)
    DOCUMENT.write_text(f"{before}{begin}\n{table}\n\n{end}{after}", encoding="utf-8")
    print(table)


def rows(name: str) -> list[list[str]]:
    """The cells of each row of a table, without its head."""
    text = DOCUMENT.read_text(encoding="utf-8").partition(f"<!-- {name} -->\n")[2].partition("<!-- end of")[0]
    return [line.strip("| ").split(" | ") for line in text.splitlines() if line.startswith("| ")][1:]
