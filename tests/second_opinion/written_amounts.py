"""A build's files read a second time: plain YAML and a small reader of amounts, nothing of the product's."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from math import sqrt
from pathlib import Path
from typing import Any

from ruamel.yaml import YAML

INCH, LBF = 0.0254, 4.4482216152605
UNITS = {
    "": 1.0, "in": INCH, "mm": 0.001, "deg": 1.0, "cc": 1e-6, "lbf": LBF, "N": 1.0, "lbf/in": LBF / INCH,
    "N/mm": 1000.0, "ksi": 6894757.293168361, "MPa": 1e6, "ft-lb": LBF * 12 * INCH, "Nm": 1.0,
}  # fmt: skip
"""NIST SP 811 (2008), App. B; ksi is lbf over the square inch."""
AMOUNT = re.compile(r"(-?)(?:(\d+) )?(\d+/\d+|\d+(?:\.\d+)?) ?(\D*)")


@dataclass(frozen=True)
class Amount:
    """An amount in SI, an angle in degrees, and its standard uncertainty; zero where none is written."""

    si: float
    u: float = 0.0


def quantity(text: str) -> Amount:
    """What ``9.412 in +/- 0.002 in`` says: the written uncertainty is expanded, k = 2."""
    first, _, second = text.partition(" +/- ")
    return Amount(one(first), one(second) / 2 if second else 0.0)


def one(text: str) -> float:
    found = AMOUNT.fullmatch(text)
    assert found, text
    sign, whole, figure, unit = found.groups()
    return float(Fraction(figure) + int(whole or 0)) * UNITS[unit] * (-1 if sign else 1)


def gauge(entry: Mapping[str, Any] | None) -> float:
    """Standard uncertainty of a reading: half the gauge's expanded one, else resolution over the root of twelve.

    A resolution alone is never better than half of what such a gauge usually has: a caliper 0.001 in, a loupe 0.003 in
    (common practice, no published source); without a gauge it is taken for a caliper.
    """
    if entry is None:
        return 0.0005 * 0.0254
    if "uncertainty" in entry:
        return one(entry["uncertainty"]) / 2
    usual = 0.0015 if "loupe" in entry["name"] else 0.0005
    return max(one(entry["resolution"]) / sqrt(12), usual * 0.0254)


def pitch(thread: str) -> float:
    """Metres a turn of ``1/4-28`` or ``M6x1``."""
    metric = re.fullmatch(r"M\d+x([\d.]+)", thread)
    return float(metric[1]) * 0.001 if metric else 0.0254 / float(thread.split("-")[1])


def files(folder: Path) -> dict[str, Any]:
    """Every file of a build by its name; those that are JSON read as such, which is quicker."""
    texts = {file.stem: file.read_text(encoding="utf-8") for file in sorted(folder.glob("*.yaml"))}
    yaml = YAML(typ="safe", pure=True)
    return {name: json.loads(text) if text.startswith("{") else yaml.load(text) for name, text in texts.items()}


def of_type(entry: Any, valve: str) -> Any:
    """A value given once, or for each valve type."""
    return entry[valve] if isinstance(entry, dict) and valve in entry else entry
