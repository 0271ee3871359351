"""Readings and results of the demo that the drawings show, taken from its files and from the program."""

from __future__ import annotations

import io
import re
import shutil
from contextlib import redirect_stdout
from pathlib import Path
from tempfile import TemporaryDirectory

from buildcheck.cli.main import main

ROOT = Path(__file__).parent.parent.parent
ROW = re.compile(r"mark: \{from: ([\d.]+) in, to: ([\d.]+) in\}, shut_at: ([\d.]+) in, open_at: ([\d.]+) in")
GOOD, BAD = (match[0] for match in list(ROW.finditer((ROOT / "README.md").read_text(encoding="utf-8")))[:2])
"""The reading of the demo and the one that replaces it, as the README writes them."""


def _numbers(row: str) -> tuple[float, ...]:
    match = ROW.fullmatch(row)
    assert match is not None
    return tuple(float(number) for number in match.groups())


GOOD_EDGES, GOOD_LINES = _numbers(GOOD)[:2], _numbers(GOOD)[2:]
BAD_EDGES, BAD_LINES = _numbers(BAD)[:2], _numbers(BAD)[2:]


def printed(*words: str) -> str:
    """What the program prints on a call."""
    with redirect_stdout(io.StringIO()) as out:
        main(list(words))
    return out.getvalue()


def bad_mark_finding() -> str:
    """The first error of the demo once its mark is moved to the edge, as the text output writes it."""
    with TemporaryDirectory() as folder:
        build = shutil.copytree(ROOT / "example_build", Path(folder) / "example_build")
        marks = build / "marks.yaml"
        marks.write_text(marks.read_text(encoding="utf-8").replace(GOOD, BAD), encoding="utf-8")
        out = printed("check", str(build))
    (line,) = [line for line in out.splitlines() if "[mark-on-tip" in line]
    return line[line.index("example_build/") :]


def order_lengths() -> dict[str, str]:
    """The ordered length of the demo in each convention, as the order for the supplier states it."""
    order = " ".join(printed("report", "--order", str(ROOT / "example_build")).split())
    names = {"gauge": r"Length: ([\d.]+ in)", "overall": r"measures ([\d.]+ in) over both ends",
             "full": r"and ([\d.]+ in) over full balls", "hole": r"with holes of ([\d.]+ in)"}  # fmt: skip
    found = {name: re.search(pattern, order) for name, pattern in names.items()}
    return {name: match[1] for name, match in found.items() if match is not None}
