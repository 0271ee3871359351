"""Parts that do not fit each other: springs, lifts and heights; typing errors, as a rule.

The figures are common practice, no published source.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator

from buildcheck.build.facts import Facts
from buildcheck.core.subject import VALVE_TYPES, Subject
from buildcheck.quantities.implausible_readings import Finding, places_of
from buildcheck.quantities.warm_engine import HEIGHTS_APART, height_mismatch
from buildcheck.units.quantity import show

STEMS_APART = 0.020 * 0.0254
PAD_LEAST = 0.25
"""Radius of a pad tip over its pivot-to-tip length."""
SPRING_LEAST, SPRING_MOST = 0.05, 0.8
"""How far a spring is compressed with the valve closed, over its installed height."""


def spring_compression(facts: Facts) -> Iterator[Finding]:
    """A spring's seat force over its rate: how far it is compressed with the valve closed."""
    for valve in VALVE_TYPES:
        spring = f"heads.springs.{valve}"
        height, force, rate = (facts.optional(f"{spring}.{key}") for key in ("installed_height", "seat_force", "rate"))
        if height is None or force is None or rate is None or rate.si <= 0:
            continue
        if not SPRING_LEAST <= force.si / rate.si / height.si <= SPRING_MOST:
            low, high = (show(share * height.si, "length", facts.system) for share in (SPRING_LEAST, SPRING_MOST))
            found = show(force.si / rate.si, "length", facts.system)
            yield (
                places_of(force, rate, height),
                f"{spring}: seat_force / rate, expected {low} to {high} from its installed height, found {found}",
            )


def pad_radius(facts: Facts) -> Iterator[Finding]:
    """A pad curved far more tightly than its rocker is long."""
    radius, arm = facts.optional("rockers.tip.radius"), facts.optional("rockers.valve_arm")
    kind = facts.node("rockers.tip.type")
    if kind is None or kind.value != "pad" or radius is None or arm is None or radius.si >= PAD_LEAST * arm.si:
        return
    least, found = (show(one, "length", facts.system) for one in (PAD_LEAST * arm.si, radius.si))
    yield places_of(radius, arm), f"radius of the pad tip, expected at least {least} from valve_arm, found {found}"


def oil_holes(facts: Facts) -> Iterator[Finding]:
    """Pushrods without an oil hole, to be fitted in place of a checking pushrod that has one."""
    ordered, checker = (facts.optional(path) for path in ("pushrods.ends.oil_hole", "pushrods.checker.ends.oil_hole"))
    if ordered is not None and checker is not None and ordered.si == 0 < checker.si:
        found = show(checker.si, "length", facts.system)
        yield (
            places_of(ordered, checker),
            f"pushrods.ends.oil_hole, expected one as in the checker ({found}), found none",
        )


def measured_lift(facts: Facts) -> Iterator[Finding]:
    """A measured valve lift against lobe lift times ratio, lash subtracted or not, beyond the uncertainty."""
    springs = facts.node("marks.springs")
    share = 0.05 if springs is not None and springs.value == "checking" else 0.10
    for valve in VALVE_TYPES:
        subject = Subject(None, valve)
        paths = ("clearances.{valve}.valve_lift", "cam.{valve}.lobe_lift", "rockers.ratio")
        lift, lobe, ratio = (facts.optional(path, subject) for path in paths)
        if lift is None or lobe is None or ratio is None:
            continue
        lash = facts.optional("cam.{valve}.lash", subject)
        most = lobe.si * ratio.si
        least = most - (lash.si if lash is not None else 0.0)
        short, over = (1 - share) * least - lift.si, lift.si - (1 + share) * most
        if max(short, over) > lift.expanded:
            low, high, found = (show(one, "length", facts.system) for one in (least, most, lift.si))
            yield (
                places_of(lift, lobe, ratio),
                f"valve lift of the {valve}, expected {low} to {high} from lobe_lift and ratio, found {found}",
            )


def heights(facts: Facts) -> Iterator[Finding]:
    """The heights of block and head together against the length of the pushrods."""
    for valve in VALVE_TYPES:
        apart_by = height_mismatch(facts, Subject(None, valve))
        if apart_by is not None and abs(apart_by.share) > HEIGHTS_APART:
            length, found = (show(one, "length", facts.system) for one in (apart_by.rod, apart_by.heights))
            yield (
                apart_by.places,
                f"block.height + heads.height, expected about {length} from the pushrods, found {found}",
            )
            return


def stem_heights(facts: Facts) -> Iterator[Finding]:
    """Stem heights of one valve type that differ while one pushrod length is to serve them."""
    for valve in VALVE_TYPES:
        subjects = [Subject(cylinder, valve) for cylinder in range(1, facts.cylinders + 1)]
        known = [height for one in subjects if (height := facts.optional("heads.each.stem_height", one)) is not None]
        lengths = {
            round(one.si, 7) for each in subjects if (one := facts.get_or_none("chosen_length", each)) is not None
        }
        if len(known) < 2 or len(lengths) > 1:
            continue
        low, high = min(known, key=lambda one: one.si), max(known, key=lambda one: one.si)
        if high.si - low.si > STEMS_APART:
            most, found = (show(one, "length", facts.system) for one in (STEMS_APART, high.si - low.si))
            yield (
                places_of(low, high),
                f"{valve} stem heights, expected within {most} of each other for one pushrod length, found {found}",
            )


CHECKS: tuple[Callable[[Facts], Iterator[Finding]], ...] = (
    spring_compression, pad_radius, oil_holes, measured_lift, heights, stem_heights,
)  # fmt: skip
