"""Measures one build among many against the same build in a repository of its own: CPU and wall, rounds in turn.

Run by hand, never by the tests: ``python tests/bench/thousand.py [ROUNDS] [BUILDS…]`` (default 5 rounds, 10 and 1000).
The Python that runs it is the one that is measured: of a checkout, or of an environment that holds the wheel.
"""

from __future__ import annotations

import subprocess
import sys
import tempfile
from pathlib import Path
from statistics import median

from ratios import BUILDCHECK, compile_code, make, spent

ONE = "engines/engine-00000"
WHO = ("-c", "user.name=T", "-c", "user.email=t@example.invalid", "-c", "core.hooksPath=/dev/null")
WHAT = {
    "hook of the builds, one touched": ("check --touched", "check"),
    "hook of the reports, one touched": ("report --check --touched", "report --check"),
    f"`check {ONE}`": (f"check {ONE}", "check"),
    f"`advise {ONE}`": (f"advise {ONE}", "check"),
    f"`report {ONE}`": (f"report {ONE}", "check"),
    "`compare HEAD`, one changed": ("compare HEAD", "check"),
    "hook of the builds, nothing staged": ("check --touched", "check"),
}
"""What is measured: the call among many, and the one in a repository with a single build."""


def git(top: Path, *words: str) -> None:
    """Run git as somebody."""
    subprocess.run(["git", *WHO, *words], cwd=top, check=True)


def committed(top: Path, count: int) -> Path:
    """A repository of so many builds with their reports, where one of them is changed and staged."""
    make(top / "engines", count)
    git(top, "init", "-q")
    subprocess.run([*BUILDCHECK, "report"], cwd=top, check=False, capture_output=True)
    git(top, "add", "--all")
    git(top, "commit", "-q", "-m", "builds")
    with open(top / ONE / "cam.yaml", "a", encoding="utf-8") as cam:
        cam.write("note: looked at again\n")
    subprocess.run([*BUILDCHECK, "report", ONE], cwd=top, check=False, capture_output=True)
    git(top, "add", "--all")
    return top


def row(what: str, many: Path, single: Path, rounds: int) -> str:
    """One row of the table: CPU of both, and of CPU and wall the ratio of the minima and the median of the ratios."""
    ours, base = ([*BUILDCHECK, *call.split()] for call in WHAT[what])
    pairs = [(spent([ours], many), spent([base], single)) for _ in range(rounds)]
    cpu, single_cpu = min(one[0] for one, _ in pairs), min(other[0] for _, other in pairs)
    cells = [f"{cpu:.3f} s | {single_cpu:.3f} s"]
    for kind in (0, 1):
        least = min(one[kind] for one, _ in pairs) / min(other[kind] for _, other in pairs)
        cells.append(f"{least:.2f} | {median(one[kind] / other[kind] for one, other in pairs):.2f}")
    return " | ".join(cells)


def main(rounds: int, counts: list[int]) -> None:
    """Print the table."""
    compile_code()
    with tempfile.TemporaryDirectory() as scratch:
        single = committed(Path(scratch) / "single", 1)
        print("| What | builds | CPU | on its own | CPU: minimum | median | wall: minimum | median |")
        print("|---|---|---|---|---|---|---|---|")
        for count in counts:
            many = committed(Path(scratch) / str(count), count)
            for what in WHAT:
                if what.endswith("nothing staged"):
                    git(many, "reset", "-q")
                print(
                    f"| {what} | {count} | {row(what, many, single, 1 if 'nothing' in what else rounds)} |", flush=True
                )


if __name__ == "__main__":
    words = [int(word) for word in sys.argv[1:]]
    main(words[0] if words else 5, words[1:] or [10, 1000])
