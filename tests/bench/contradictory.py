"""How much longer a check takes if one trial of many contradicts the others: ``python tests/bench/contradictory.py``.

An engine of 64 valves with 23 trials each, first with trials that agree, then with one wrong trial on each valve. The
ratio of the two CPU times is printed; issue: at most ten.
"""

from __future__ import annotations

import shutil
import sys
import tempfile
import time
from pathlib import Path

from buildcheck.app.build_check import CheckedBuild, check_build
from buildcheck.app.rule_context import rule_context_for
from buildcheck.build.build_folder import read_build

ROOT = Path(__file__).parents[2]
DEMO = ROOT / "example_build"
CYLINDERS, TRIALS, WRONG = 32, 23, 11
ARM, LIFT, BAND = 1.550, {"intake": 0.448, "exhaust": 0.456}, 0.012


def trial(valve: str, number: int, wrong: bool) -> str:
    """One trial as marks.yaml has it, its width as the geometry leaves it, 0.006 in of pushrod after the last."""
    length = 9.36 + 0.006 * number
    error = (9.43 - length) / (1 + 1 / 1.6)
    sine = error + LIFT[valve] / 2, error - LIFT[valve] / 2
    reach = [(ARM**2 - one**2) ** 0.5 for one in sine]
    top = ARM if sine[0] * sine[1] < 0 else max(reach)
    width = top - min(reach) + BAND + (0.060 if wrong else 0.0)
    first = 0.150 - width / 2
    return f"      - {{length: {length:.4f} in, mark: {{from: {first:.4f} in, to: {first + width:.4f} in}}}}"


def laid_out(to: Path, wrong: bool) -> Path:
    """The demo's parts on an engine of 32 cylinders, each valve with its trials."""
    folder = Path(shutil.copytree(DEMO, to, ignore=shutil.ignore_patterns("REPORT*")))
    block = (folder / "block.yaml").read_text(encoding="utf-8")
    order = ", ".join(str(number) for number in range(1, CYLINDERS + 1))
    block = block.replace("cylinders: 6", f"cylinders: {CYLINDERS}").replace("[1, 5, 3, 6, 2, 4]", f"[{order}]")
    (folder / "block.yaml").write_text(block, encoding="utf-8")
    head = (folder / "marks.yaml").read_text(encoding="utf-8").partition("valves:\n")[0] + "valves:\n"
    for cylinder in range(1, CYLINDERS + 1):
        for valve in ("intake", "exhaust"):
            rows = [trial(valve, number, wrong and number == WRONG) for number in range(TRIALS)]
            head += "\n".join([f"  - cylinder: {cylinder}", f"    valve: {valve}", "    trials:", *rows]) + "\n"
    (folder / "marks.yaml").write_text(head, encoding="utf-8")
    for name in ("clearances.yaml", "stackup.yaml"):
        (folder / name).unlink()
    return folder


def checked(folder: Path) -> tuple[CheckedBuild, float]:
    """The build judged, and the CPU time that it took (s)."""
    rules, started = rule_context_for(DEMO).rules, time.process_time()
    found = check_build(read_build(folder, folder.name), rules, {})
    return found, time.process_time() - started


def in_doubt(found: CheckedBuild) -> int:
    """How many valves have contradictory trials."""
    return sum(one.kind == "fail" for one in found.results if one.rule == "trial-consistency")


def ratio() -> tuple[float, int, int]:
    """CPU time with wrong trials over that without, and the number of contradictory valves in both."""
    with tempfile.TemporaryDirectory() as name:
        good, usual = checked(laid_out(Path(name) / "good", wrong=False))
        bad, long = checked(laid_out(Path(name) / "bad", wrong=True))
    return long / usual, in_doubt(bad), in_doubt(good)


def main() -> int:
    """Prints the ratio; 1 if it is above ten."""
    found, wrong, agreeing = ratio()
    print(f"one wrong trial on each of {2 * CYLINDERS} valves of {TRIALS} trials: {found:.2f} x the check of good ones")
    print(f"valves with contradictory trials: {wrong} and {agreeing}")
    return int(found > 10)


if __name__ == "__main__":
    sys.exit(main())
