"""Writes every drawing of the documentation: ``python tests/drawings/draw.py``."""

from __future__ import annotations

from pathlib import Path

from figures import FIGURES

FOLDER = Path(__file__).parent.parent.parent / "docs" / "drawings"


def write_all() -> None:
    """Each drawing into ``docs/drawings``."""
    FOLDER.mkdir(exist_ok=True)
    for name, figure in FIGURES.items():
        (FOLDER / f"{name}.svg").write_text(figure(), encoding="utf-8", newline="\n")


if __name__ == "__main__":
    write_all()
