"""What one value may be beside another, or by itself, in any engine: outside it a typing error is likely.

All figures are common practice, no published source. They are wide on purpose: an unusual engine passes, a decimal
point or a unit in the wrong place does not. Only the nominal value counts, so a stated uncertainty changes nothing.
"""

from __future__ import annotations

from typing import NamedTuple


class Ratio(NamedTuple):
    """``found`` is expected between ``low`` and ``high`` times ``basis``; both name a field's path or a quantity.

    ``without_seal`` takes the place of ``high`` on valves without stem seals.
    """

    found: str
    basis: str
    low: float
    high: float
    without_seal: float | None = None


class PlausibleSpan(NamedTuple):
    """``found`` is expected from ``low`` to ``high``, written with their unit; ``depends_on``: the keys behind it."""

    found: str
    low: str
    high: str
    depends_on: tuple[str, ...] = ()


class Finest(NamedTuple):
    """``found`` is zero or at least ``least`` in size: nothing finer can be measured or is made."""

    found: str
    least: str


_SPRING = "heads.springs.{valve}"
_CARD = "cam.{valve}"
_CLEARANCE = "clearances.{valve}"
_ANY = float("inf")

RATIOS = (
    Ratio("block.rod_length", "block.stroke", 1.3, 2.6),
    Ratio("block.bore", "block.stroke", 0.3, 2.5),
    Ratio("block.deck_clearance", "block.bore", -0.05, 0.014),
    Ratio("heads.gasket.bore", "block.bore", 0.98, 1.2),
    Ratio("heads.gasket.thickness", "block.bore", 0.003, 0.06),
    Ratio("cam.base_circle_diameter", f"{_CARD}.lobe_lift", 1.0, 12.0),
    Ratio("cam.lifter.preload.at_most", "cam.lifter.preload.at_least", 1.0, 9.0),
    Ratio("cam.lifter.travel", "cam.lifter.preload.at_most", 1.0, 9.0),
    Ratio("cam.lifter.cup_height", "cam.base_circle_diameter", 0.3, 6.0),
    Ratio("cam.lash_tolerance", f"{_CARD}.lash", 0.0, 0.6),
    Ratio(f"{_CARD}.seat_force.at_most", f"{_CARD}.seat_force.at_least", 1.0, 4.0),
    Ratio(f"{_CARD}.open_force.at_most", f"{_CARD}.seat_force.at_most", 1.0, 7.0),
    Ratio(f"{_CLEARANCE}.piston_to_valve", "valve_lift", 0.0, 2.5),
    Ratio(f"{_CLEARANCE}.rocker_to_retainer", "valve_lift", 0.0, 1.0),
    Ratio(f"{_CLEARANCE}.rocker_to_stud", "valve_lift", 0.0, 1.5),
    Ratio(f"{_CLEARANCE}.pushrod_to_head", "pushrods.diameter", 0.0, 1.0),
    Ratio("retainer_to_seal_clearance", "valve_lift", -_ANY, 3.0, 5.0),
    Ratio(f"{_SPRING}.installed_height", f"{_SPRING}.coil_bind_height", 1.0, 2.5),
    Ratio(f"{_SPRING}.force_when_new", f"{_SPRING}.seat_force", 0.9, 2.0),
    Ratio("heads.valves.{valve}.stem_length", f"{_SPRING}.installed_height", 1.2, 8.0),
    Ratio("heads.valves.{valve}.stem_temperature", "build.temperatures.running", 1.0, _ANY),
    Ratio("build.temperatures.running", "build.temperatures.assembly", 1.03, _ANY),
    Ratio("as_built.running_check.temperature", "build.temperatures.assembly", 1.03, _ANY),
    Ratio("pushrods.length_tolerance", "pushrods.diameter", 0.0, 0.1),
    Ratio("rockers.adjuster_range", "rockers.valve_arm", 0.0, 0.4),
    Ratio("rockers.tip.radius", "rockers.valve_arm", 0.05, 1.0),
    Ratio("rockers.torque.at_most", "rockers.torque.at_least", 1.0, 3.0),
    Ratio("as_built.each.adjuster_turns", "rockers.adjuster_turns", 0.2, 5.0),
)
"""Temperatures are compared in kelvin: 1.03 is some 9 K above the workshop."""

SPANS = (
    PlausibleSpan("build.temperatures.assembly", "40 degF", "110 degF"),
    PlausibleSpan("cam.duration_at", "0.002 in", "0.055 in"),
    PlausibleSpan("cam.lash_tolerance", "0.0005 in", "0.02 in"),
    PlausibleSpan("compression_ratio", "5.5", "23", ("chamber_volume", "deck_clearance", "piston_volume")),
    PlausibleSpan("delivered_run_out", "0.0005 in", "0.2 in"),
    PlausibleSpan("engagement", "0.1", "4"),
    PlausibleSpan("marks.contact_band", "0.003 in", "0.1 in"),
    PlausibleSpan("marks.turns_of_crank", "1", "8"),
    PlausibleSpan("marks.zero_lash_repeatability", "0.0005 in", "0.02 in"),
    PlausibleSpan("motion.wheel.uncertainty", "0.2 deg", "3 deg"),
    PlausibleSpan("pushrods.inclination", "0 deg", "25 deg"),
    PlausibleSpan("pushrods.length_tolerance", "0.0005 in", "0.015 in"),
    PlausibleSpan("rockers.adjuster_turns", "0.1", "4"),
)

FINEST = (
    Finest("pushrods.inclination", "0.7 deg"),
    Finest("rockers.shim", "0.005 in"),
    Finest("stackup.changes.block_milled", "0.001 in"),
    Finest("stackup.changes.head_milled", "0.001 in"),
    Finest("stackup.changes.lifter_cup_lower", "0.001 in"),
    Finest("stackup.changes.pedestal_raised", "0.001 in"),
    Finest("stackup.changes.tip_higher", "0.001 in"),
)
