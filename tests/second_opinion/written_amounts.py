"""A build's files read a second time: plain YAML and a small reader of amounts, nothing of the product's."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from math import sqrt
from pathlib import Path
from typing import Any

from ruamel.yaml import YAML

METRES = {"in": 0.0254, "mm": 0.001}
AMOUNT = re.compile(r"(-?)(?:(\d+) )?(\d+/\d+|\d+(?:\.\d+)?) ?(in|mm|deg)")


@dataclass(frozen=True)
class Amount:
    """A length in m or an angle in degrees, and its standard uncertainty; zero where none is written."""

    si: float
    u: float = 0.0


def amount(text: str) -> Amount:
    """What ``9.412 in +/- 0.002 in`` says: the written uncertainty is expanded, k = 2."""
    first, _, second = text.partition(" +/- ")
    return Amount(one(first), one(second) / 2 if second else 0.0)


def one(text: str) -> float:
    found = AMOUNT.fullmatch(text)
    assert found, text
    sign, whole, figure, unit = found.groups()
    return float(Fraction(figure) + int(whole or 0)) * METRES.get(unit, 1.0) * (-1 if sign else 1)


def gauge(entry: Mapping[str, Any] | None) -> float:
    """Standard uncertainty of a reading: half the gauge's expanded one, else resolution over the root of twelve."""
    if entry is None:
        return 0.0
    return one(entry["uncertainty"]) / 2 if "uncertainty" in entry else one(entry["resolution"]) / sqrt(12)


def pitch(thread: str) -> float:
    """Metres a turn of ``1/4-28`` or ``M6x1``."""
    metric = re.fullmatch(r"M\d+x([\d.]+)", thread)
    return float(metric[1]) * 0.001 if metric else 0.0254 / float(thread.split("-")[1])


def files(folder: Path) -> dict[str, Any]:
    """Every file of a build by its name."""
    return {file.stem: YAML(typ="safe", pure=True).load(file) for file in sorted(folder.glob("*.yaml"))}


def of_type(entry: Any, valve: str) -> Any:
    """A value given once, or for each valve type."""
    return entry[valve] if isinstance(entry, dict) and valve in entry else entry
