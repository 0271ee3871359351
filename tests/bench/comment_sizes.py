"""Sizes of the comment of a pull request that changes 1, 7 and 31 builds: ``python tests/bench/comment_sizes.py``.

Once by a shared part, once by a mark off the tip and another lobe lift in each build.
"""

from __future__ import annotations

import sys
import tempfile
from contextlib import chdir, redirect_stdout
from io import StringIO
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent.parent))

from history import commit, replace
from shared_spring import folder, write_builds

from buildcheck.cli.main import main

COUNTS = (1, 7, 31)


def comment(before: str, after: str) -> str:
    """The comment in the current folder."""
    with redirect_stdout(StringIO()) as text:
        main(["compare", before, after, "--format", "markdown"])
    return text.getvalue()


def change_each(top: Path, count: int) -> None:
    """Tag ``own``: every build gets a mark off the tip and another lobe lift, no two of them the same."""
    for number in range(count):
        build = top / folder(number)
        near, far = 5 + number % 9, 32 + number % 9
        replace(build / "marks.yaml", "{from: 0.145 in, to: 0.172 in}", f"{{from: 0.{near:03} in, to: 0.{far:03} in}}")
        replace(build / "cam.yaml", "lobe_lift: 0.280 in", f"lobe_lift: 0.{285 + number % 10} in")
    commit(top, "own")


def sizes(top: Path, count: int) -> list[int]:
    """Bytes of the comment if a shared part of so many builds changed, and if each changed by itself."""
    write_builds(top, count)
    change_each(top, count)
    with chdir(top):
        return [len(comment(*pair).encode()) for pair in (("before", "after"), ("after", "own"))]


if __name__ == "__main__":
    print("| Builds changed | By a shared part, bytes | Each by itself, bytes |\n|---|---|---|")
    for count in COUNTS:
        with tempfile.TemporaryDirectory() as name:
            shared, own = sizes(Path(name), count)
        print(f"| {count} | {shared} | {own} |", flush=True)
