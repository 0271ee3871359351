"""What grows with heat, and what has changed since an older length was right: drawn by lot, at times left out."""

from __future__ import annotations

from collections.abc import Callable
from random import Random
from typing import Any

Said = Callable[..., str]
"""Inches, and their expanded uncertainty, as the build writes them."""
VALVES = ("intake", "exhaust")
METALS = ["grey cast iron", "aluminium alloy", "steel"]
STEMS = ["steel", "austenitic stainless steel", "martensitic stainless steel", "titanium alloy"]


def parts(random: Random, text: Said) -> tuple[dict[str, Any], dict[str, Any], dict[str, Any], dict[str, Any]]:
    """Block and head with their heights, each valve's stem, and the temperatures."""
    block = perhaps(random, 0.95, material=random.choice(METALS)) | perhaps(random, 0.95, height=text(5.3, 0.02))
    head = perhaps(random, 0.95, material=random.choice(METALS)) | perhaps(random, 0.95, height=text(4.2, 0.02))
    stems = {
        valve: perhaps(random, share, **_stem(random, text, valve))
        for valve, share in zip(VALVES, (0.5, 0.85), strict=True)
    }
    cold = random.choice(["60 degF", "18 degC", "21 degC +/- 2 degC"])
    warm = random.choice(["200 degF", "92 degC", "88 degC +/- 6 degC", "190 degF +/- 10 degF"])
    return block, head, stems, perhaps(random, 0.9, temperatures={"assembly": cold, "running": warm})


def _stem(random: Random, text: Said, valve: str) -> dict[str, Any]:
    warm = random.uniform(110, 150) if valve == "intake" else random.uniform(240, 420)
    doubt = random.choice(["", " +/- 15 degC"])
    stem = STEMS[round(warm) % len(STEMS)]
    return {"stem_length": text(4.9, 0.01), "stem_material": stem, "stem_temperature": f"{warm:.0f} degC{doubt}"}


def changes(random: Random, text: Said, length: float, nut: bool) -> dict[str, Any]:
    """An older length near this one, and what was cut, swapped or raised since."""
    cut, base, cup = random.uniform(0.005, 0.03), random.uniform(0.0, 0.06), random.uniform(-0.01, 0.01)
    sizes = {
        "block_milled": text(cut, 0.001), "head_milled": text(0.01),
        "gasket_thickness": {"was": text(0.02), "is": text(0.042)},
        "base_circle_diameter": {"was": text(1.2, 0.001), "is": text(1.2 - base)}, "lifter_cup_lower": text(cup, 0.002),
        "head_height": {"was": text(4.1, 0.002), "is": text(4.12, 0.002)}, "tip_higher": text(0.03),
    }  # fmt: skip
    sizes |= {} if nut else {"pedestal_raised": text(0.02)}
    chosen = {name: size for name, size in sizes.items() if random.random() < 0.5}
    stated = random.choice([{"stated_as": "overall"}, {"stated_as": "gauge", "gauge_hole": text(0.14)}])
    old = {valve: text(length + 0.03 + random.uniform(-0.04, 0.04), 0.002) for valve in VALVES}
    preload = perhaps(random, 0.9, preload=text(random.choice([0.0, 0.03]), random.choice([0.0, 0.004])))
    return {"baseline": old | preload | stated, "changes": chosen}


def perhaps(random: Random, share: float, **entries: Any) -> dict[str, Any]:
    """These entries, or none of them."""
    return entries if random.random() < share else {}
