"""Measures buildcheck against check-jsonschema on the same files: ratios of CPU and wall time, in turn, medians.

Run by hand, never by the tests: ``python tests/bench/ratios.py [BUILDS] [ROUNDS]`` (default 1000 and 5). Both are
installed by pip into an environment of their own: a wheel holds what a checkout does not.
"""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Sequence
from pathlib import Path
from resource import RUSAGE_CHILDREN, getrusage
from statistics import median

from buildcheck.yamlio.parsers import COMPILED

ROOT = Path(__file__).parents[2]
SOURCES = [ROOT / "example_build", *sorted((ROOT / "tests" / "builds").iterdir())]
FILES = ("block", "build", "cam", "heads", "marks", "pushrods", "rockers")
IMPORTS = "import buildcheck.cli.commands.check, buildcheck.output.text, ruamel.yaml" + ".cyaml" * COMPILED
EVENTS = """
from pathlib import Path
from ruamel.yaml.cyaml import CParser
for path in Path().rglob("*.yaml"):
    parser = CParser(path.read_text(encoding="utf-8"))
    while parser.get_event() is not None:
        pass
"""
BUILDCHECK = [sys.executable, "-m", "buildcheck"]


def compile_code() -> None:
    """What pip does when it installs, and an editable install leaves to the first run."""
    subprocess.run([sys.executable, "-m", "compileall", "-q", str(ROOT / "buildcheck")], check=True)


def make(folder: Path, count: int) -> None:
    """So many builds of seven files each, taken in turn from the demo and the test builds, each with its own name."""
    for number in range(count):
        build = folder / f"engine-{number:05}"
        build.mkdir(parents=True)
        source = SOURCES[number % len(SOURCES)]
        for name in FILES:
            text = (source / f"{name}.yaml").read_text(encoding="utf-8")
            text = text.replace("name: ", f"name: {number} ", 1) if name == "build" else text
            (build / f"{name}.yaml").write_text(text, encoding="utf-8")


def spent(calls: Sequence[Sequence[str]], folder: Path) -> tuple[float, float]:
    """CPU and wall seconds of some processes, one after another."""
    environment = {name: value for name, value in os.environ.items() if name != "PYTHONPATH"}
    before, started = getrusage(RUSAGE_CHILDREN), time.perf_counter()
    for call in calls:
        subprocess.run(
            call, cwd=folder, env=environment, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, check=False
        )
    after = getrusage(RUSAGE_CHILDREN)
    cpu = after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime
    return cpu, time.perf_counter() - started


def yardstick(home: Path) -> Callable[[Path], list[list[str]]]:
    """The calls of check-jsonschema that hold every file of all builds against its schema: one a schema."""
    subprocess.run([sys.executable, "-m", "venv", str(home)], check=True)
    subprocess.run([str(home / "bin" / "pip"), "install", "-q", "check-jsonschema", str(ROOT)], check=True)
    tool = str(home / "bin" / "check-jsonschema")

    def calls(folder: Path) -> list[list[str]]:
        schemas = {name: str(ROOT / "schemas" / f"{name}.schema.json") for name in FILES}
        found = {name: sorted(map(str, folder.rglob(f"{name}.yaml"))) for name in FILES}
        return [[tool, "--schemafile", schemas[name], *found[name]] for name in FILES]

    return calls


def compared(title: str, ours: list[list[str]], theirs: list[list[str]], folder: Path, rounds: int) -> str:
    """One row of the table: medians of rounds taken in turn."""
    pairs = [(spent(ours, folder), spent(theirs, folder)) for _ in range(rounds)]
    least = min(one[0] for one, _ in pairs) / min(other[0] for _, other in pairs)
    cpu = median(one[0] / other[0] for one, other in pairs)
    wall = median(one[1] / other[1] for one, other in pairs)
    seconds = median(one[1] for one, _ in pairs), median(other[1] for _, other in pairs)
    return f"| {title} | {seconds[0]:.3f} s | {seconds[1]:.3f} s | {least:.2f} | {cpu:.2f} | {wall:.2f} |"


def main(count: int, rounds: int) -> None:
    """Print the table."""
    compile_code()
    with tempfile.TemporaryDirectory() as scratch:
        folder = Path(scratch)
        calls = yardstick(folder / "yardstick")
        buildcheck = [str(folder / "yardstick" / "bin" / "python"), "-m", "buildcheck"]
        make(folder / "one", 1)
        make(folder / "many", count)
        one, bare = folder / "one" / "engine-00000", [[sys.executable, "-c", "pass"]]
        print("| What | ours | theirs | CPU, minimum | CPU, median | wall |\n|---|---|---|---|---|---|")
        print(compared("check one build, against one call a schema", [[*buildcheck, "check"]], calls(one), one, rounds))
        print(compared("check one build, against one call", [[*buildcheck, "check"]], calls(one)[:1], one, rounds))
        for word in ("--version", "--help"):
            print(compared(f"{word}, against bare Python", [[*buildcheck, word]], bare, one, rounds))
        many, there = [*buildcheck, "check", "--format", "json"], folder / "many"
        few, theirs = max(rounds // 3, 1), calls(there)
        print(compared(f"check {count} builds, JSON", [many], theirs, there, few))
        print(compared(f"check {count} builds, JSON, --findings", [[*many, "--findings"]], theirs, there, few))
        print(compared(f"check {count} builds, text", [[*buildcheck, "check"]], theirs, there, few))
        again = [[*many, "--cache-dir", str(folder / "kept")]]
        spent(again, there)
        print(compared(f"check {count} builds again, results kept", again, theirs, there, few))
        print(compared("no less: bare Python and our imports", [[sys.executable, "-c", IMPORTS]], bare, one, rounds))
        if COMPILED:
            events = [[sys.executable, "-c", EVENTS]]
            print(compared("no less: the files' YAML events, compiled", events, theirs, there, few))


if __name__ == "__main__":
    main(*(int(word) for word in [*sys.argv[1:], *["1000", "5"][len(sys.argv) - 1 :]]))
