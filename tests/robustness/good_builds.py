"""Good builds drawn from the shipped ones, and how many of them get a warning that their values do not fit.

``python tests/robustness/good_builds.py [COUNT]`` prints it; 1000 when left out. Each build is a shipped one with
every part drawn again: the whole engine larger or smaller, its parts by themselves, gauges of the trade, clearances
and temperatures as they are found in a workshop, and crank angles as builders choose them.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator
from random import Random

from written_values import BUILDS, WrittenValue, checked_with_all, written_values

from buildcheck.output.finding_wording import message
from buildcheck.units.number import leading_number, tidy

RULE = "values-agree"
TOGETHER = {
    "block.bore": ("block.bore", "heads.gasket.bore", "block.piston_volume", "heads.chamber_volume", "block.stroke"),
    "length": (
        "block.height", "heads.height", "marks.valves.trials.length", "pushrods.checker.length_at_zero_turns",
        "pushrods.stock.from", "pushrods.stock.to", "stackup.baseline", "stackup.changes.head_height",
        "as_built.delivered.length", "pushrods.checker.thread",
    ),
    "tip": (
        "heads.valves", "marks.valves.trials.mark", "marks.valves.trials.shut_at", "marks.valves.trials.open_at",
        "marks.contact_band",
    ),
    "spring": ("heads.springs", "cam.intake.seat_force", "cam.exhaust.seat_force", "cam.intake.open_force"),
    "rocker": ("rockers.valve_arm", "rockers.tip"),
    "gasket": ("heads.gasket.thickness", "stackup.changes.gasket_thickness"),
    "base": ("cam.base_circle_diameter", "stackup.changes.base_circle_diameter"),
    "preload": ("cam.lifter.preload", "cam.lifter.travel"),
    "torque": ("rockers.torque", "as_built.each.rocker_torque"),
}  # fmt: skip
"""Fields that are drawn together, by the beginning of their paths; every other field is drawn by itself."""
LEFT = (
    "build.temperatures", "as_built.running_check", "rockers.ratio", "marks.turns_of_crank", "cam.advance",
    "marks.valves.trials.turns", "pushrods.checker.most_turns", "heads.springs.intake.coils",
    "heads.springs.exhaust.coils", "heads.valves.intake.stem_temperature", "heads.valves.exhaust.stem_temperature",
    "block.firing_intervals", "cam.intake.centreline", "cam.exhaust.centreline",
)  # fmt: skip
"""Fields that no size of engine changes."""
GAUGES = (("0.0005 in", "0.001 in"), ("0.001 in", "0.002 in"), ("0.01 mm", "0.03 mm"), ("0.05 mm", "0.08 mm"),
          ("0.02 mm", "0.04 mm"), ("0.001 in", "0.006 in"))  # fmt: skip
"""Resolution and expanded uncertainty of calipers, feeler blades, loupes and dial indicators."""
POWER = {"length": 1, "volume": 3, "force": 2, "rate": 1, "torque": 3, "pressure": 0, "angle": 0, "temperature": 0}


def drawn(number: int) -> tuple[str, dict[WrittenValue, str]]:
    """A shipped build, and what is written in place of its values."""
    random = Random(number)
    folder = BUILDS[number % len(BUILDS)]
    size = random.uniform(0.6, 1.6)
    factors: dict[str, float] = {}
    gauges = dict.fromkeys(("length_gauge", "mark_gauge", "gauge"), random.choice(GAUGES))
    stop = random.random() < 0.3
    texts: dict[WrittenValue, str] = {}
    for value in written_values(folder):
        text = _again(random, value, size, factors, gauges, stop)
        if text:
            texts[value] = text
    return folder, texts


def _again(
    random: Random,
    value: WrittenValue,
    size: float,
    factors: dict[str, float],
    gauges: dict[str, tuple[str, str]],
    stop: bool,
) -> str:
    field = value.field
    if field.startswith(LEFT):
        return _temperature(random, field)
    *_, owner, key = f".{field}".split(".")
    if key in ("resolution", "uncertainty"):
        return gauges[owner][key == "uncertainty"] if field.count(".") == 2 and owner in gauges else ""
    if key == "crank":
        return _crank(random, value, stop)
    if field.startswith("clearances."):
        return _scaled(value, size * random.uniform(0.8, 2.0 if "seal" not in key else 1.3))
    if key == "deck_clearance":
        return f"{random.uniform(-0.1, 1.0) * size:.2f} mm"
    if key == "inclination":
        return random.choice(["0 deg", f"{random.uniform(1, 18):.0f} deg"])
    if key in ("length_tolerance", "zero_lash_repeatability", "step", "duration_at", "lash_tolerance", "oil_hole"):
        return _scaled(value, random.uniform(0.6, 2.0))
    return _scaled(
        value,
        size ** POWER.get(value.kind, 0) * _factor(random, field, factors) ** (3 if value.kind == "volume" else 1),
    )


def _factor(random: Random, field: str, factors: dict[str, float]) -> float:
    group = next((name for name, fields in TOGETHER.items() if field.startswith(fields)), field)
    return factors.setdefault(group, random.uniform(0.88, 1.14))


def _temperature(random: Random, field: str) -> str:
    if field == "build.temperatures.assembly":
        return f"{random.uniform(45, 100):.0f} degF"
    return f"{random.uniform(160, 230):.0f} degF" if field == "build.temperatures.running" else ""


def _crank(random: Random, value: WrittenValue, stop: bool) -> str:
    """Near the middle of the base circle, as written; or all valves of a build at a few stops of a plan."""
    angle = float(leading_number(tidy(value.text))[0])
    return f"{(round(angle / 240) * 240 + 3) % 720:g} deg" if stop else f"{(angle + random.gauss(0, 12)) % 720:.0f} deg"


def _scaled(value: WrittenValue, factor: float) -> str:
    number, rest = leading_number(tidy(value.text))
    digits = max(-int(number.as_tuple().exponent), 0) + 1
    return f"{float(number) * factor:.{digits}f} {rest.strip()}".strip()


def warned(numbers: range) -> Iterator[tuple[int, str]]:
    """The drawn builds that get a warning, or cannot be read, each with the message."""
    for number in numbers:
        checked = checked_with_all(*drawn(number))
        if checked.problems:
            yield number, f"refused: {checked.problems[0].message}"
        for one in checked.results:
            if one.rule == RULE and one.kind == "fail":
                yield number, message(checked, one)


def main() -> int:
    """Draws them and prints each warning, and how many builds have one."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 1000
    found = list(warned(range(count)))
    for number, words in found:
        print(number, words)
    print(f"{len(found)} of {count} good builds get a warning or are refused")
    return 0


if __name__ == "__main__":
    sys.exit(main())
