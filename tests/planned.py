"""Engines of four to twelve cylinders of which only block and cam are known, and what ``plan`` says of them."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from buildcheck.cli.main import main

INTAKE, EXHAUST = (108.0, 270.0), (116.0, 280.0)
ENGINES: dict[str, tuple[str, list[int], list[float] | None]] = {
    "four in line": ("inline", [1, 3, 4, 2], None),
    "flat four": ("flat", [1, 3, 2, 4], None),
    "six in line": ("inline", [1, 5, 3, 6, 2, 4], None),
    "flat six": ("flat", [1, 4, 5, 2, 3, 6], None),
    "vee six, odd-fire": ("vee", [1, 6, 5, 4, 3, 2], [90.0, 150.0] * 3),
    "vee twin, odd-fire, written from cylinder 2": ("vee", [2, 1], [315.0, 405.0]),
    "vee eight": ("vee", [1, 8, 4, 3, 6, 5, 7, 2], None),
    "vee twelve": ("vee", [1, 7, 5, 11, 3, 9, 6, 12, 2, 8, 4, 10], None),
}


def make_plan(folder: Path, engine: str, margin: int = 10, advance: float = 0.0) -> Path:
    """An engine of which only block and cam are known, written to a folder; degrees."""
    layout, order, gaps = ENGINES[engine]
    count = len(order)
    banks = f"banks: {{left: {list(range(1, count, 2))}, right: {list(range(2, count + 1, 2))}}}\n"
    block = f"layout: {layout}\ncylinders: {count}\nfiring_order: {order}\n{banks if layout != 'inline' else ''}"
    block += f"firing_intervals: [{', '.join(f'{gap:g} deg' for gap in gaps)}]\n" if gaps else ""
    lobe = "lobe_lift: 0.300 in, duration: {1:g} deg, centreline: {0:g} deg"
    cam = f"lifter: {{type: hydraulic flat}}\nadvance: {advance:g} deg\nintake: {{{lobe.format(*INTAKE)}}}\n"
    cam += f"exhaust: {{{lobe.format(*EXHAUST)}}}\n"
    limit = f"limits: {{measured-on-heel: {{at_least: {margin} deg, because: a trial}}}}\n"
    folder.mkdir(exist_ok=True)
    for name, text in {"build": f"name: {engine}\nstage: planning\n{limit}", "block": block, "cam": cam}.items():
        (folder / f"{name}.yaml").write_text(text)
    return folder


def planned(capsys: pytest.CaptureFixture[str], folder: Path, *more: str) -> dict[str, Any]:
    """What ``plan`` shows scripts of a build."""
    assert main(["plan", str(folder), "--format", "json", *more]) == 0
    found: dict[str, Any] = json.loads(capsys.readouterr().out)
    return found
