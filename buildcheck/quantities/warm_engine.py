"""Named quantities of the warm engine: how the gap at the pushrod grows, and what preload and lash become."""

from __future__ import annotations

from typing import NamedTuple

from buildcheck.build.facts import Facts
from buildcheck.build.length_conventions import minus, plus
from buildcheck.build.trials import same_type, trials
from buildcheck.core.problem import Place
from buildcheck.core.subject import Subject
from buildcheck.core.value import NotApplicable, Undecided, Value, derive, exact, remarks, with_uncertainty
from buildcheck.formulas import thermal_expansion as growth
from buildcheck.quantities.materials import metal, metal_as_such

ASSEMBLY = exact(293.15, "temperature").with_remark("assembly at 68 degF (20 degC) assumed")
RUNNING = exact(366.4833, "temperature").with_remark("running at 200 degF (93 degC) assumed")
"""Taken where build.yaml has no temperatures: common practice, no published source."""

HEIGHTS_APART = 0.2
"""Block height + head height and the pushrod's length differ by less than this share: common practice."""


def gap_growth(facts: Facts, subject: Subject) -> Value:
    """Growth of the gap at the pushrod in the warm engine, m, with block, head and pushrod at running temperature.

    The valve tip is assumed to rise with the pivot unless length, material and temperature of the stem are entered. An
    exhaust stem runs far hotter than its head, so without them its gap cannot be determined.
    """
    assembly = facts.optional("build.temperatures.assembly") or ASSEMBLY
    running = facts.optional("build.temperatures.running") or RUNNING
    rise, head = minus(running, assembly), _coefficient(facts, "heads.material")
    pivot = facts.once("growth up to the pivot", _pivot_growth, facts, head, rise)
    unexplained = _unexplained_growth(height_mismatch(facts, subject), head, rise)
    rod = _grown(_rod_length(facts, subject), _coefficient(facts, "pushrods.material"), rise)
    excess = _stem_excess(facts, subject, assembly, head, rise)
    ratio = facts.field("rockers.ratio", subject)
    remark = remarks(assembly.remark, running.remark, excess.remark)
    gap = derive(
        "length",
        lambda up, long, r, more: growth.gap_growth(up, long, r, up + more),
        pivot, rod, ratio, excess,
        remark=remark,
    )  # fmt: skip
    return with_uncertainty(gap, unexplained, f"heights against pushrod {subject.key}")


def _pivot_growth(facts: Facts, head: Value, rise: Value) -> Value:
    """How far the pivot of a rocker rises with the block and the head, m: the same for both valve types."""
    block_grows = _grown(facts.field("block.height"), _coefficient(facts, "block.material"), rise)
    return plus(block_grows, _grown(facts.field("heads.height"), head, rise))


def preload_hot(facts: Facts, subject: Subject) -> Value:
    """Preload in the warm engine, m: the cold preload less the growth of the gap."""
    if not facts.is_hydraulic:
        raise NotApplicable("solid lifters have lash, not preload")
    gap = facts.get("gap_growth", Subject(None, subject.valve))
    return derive("length", growth.preload_hot, facts.get("preload", subject), gap, remark=gap.remark)


def lash_hot(facts: Facts, subject: Subject) -> Value:
    """Lash at the valve of the warm engine, m.

    It is as entered if the cam card states it hot, otherwise the cold lash plus the growth of the gap.
    """
    lash = _lash_set(facts, subject)
    if stated_hot(facts):
        return lash
    gap, ratio = facts.get("gap_growth", Subject(None, subject.valve)), facts.field("rockers.ratio", subject)
    length_reason = (
        ""
        if facts.node("cam.lash_at") is not None
        else "lash_at is not entered: the lash of the cam card is taken as cold"
    )
    return derive("length", growth.lash_hot, lash, gap, ratio, remark=remarks(length_reason, gap.remark))


def _lash_set(facts: Facts, subject: Subject) -> Value:
    """The lash as set, or by the card while an adjuster has not been set; without one the rod decides."""
    try:
        return facts.get("lash", subject)
    except Undecided:
        if facts.text("rockers.adjuster") == "none":
            raise
        return facts.field("cam.{valve}.lash", subject)


def stated_hot(facts: Facts) -> bool:
    """Whether the cam card states the lash for a warm engine; cold if it gives none."""
    at = facts.node("cam.lash_at")
    return at is not None and at.value == "hot"


def lash_at_assembly(facts: Facts, subject: Subject) -> Value:
    """The stated lash as it is in the cold engine, m: one stated hot is less by R times what the gap grows.

    If a screw takes up the growth and it is unknown, the stated lash is used, with a remark.
    """
    stated = facts.field("cam.{valve}.lash", subject)
    if not stated_hot(facts):
        return stated
    try:
        gap = facts.get("gap_growth", Subject(None, subject.valve))
    except Undecided as reason:
        if facts.text("rockers.adjuster") == "none":
            raise
        return stated.with_remark(f"thermal expansion is not subtracted from the hot lash: {reason.reason}")
    return derive("length", lambda hot, grown, r: hot - r * grown, stated, gap, facts.field("rockers.ratio", subject))


class HeightMismatch(NamedTuple):
    """Block height + head height, and the pushrod's length, m; ``share`` is how far apart they are over the latter."""

    heights: float
    rod: float
    share: float
    places: tuple[Place, ...]


def height_mismatch(facts: Facts, subject: Subject) -> HeightMismatch | None:
    """The two heights of a valve type against the length of its pushrod; None if one of them is not known."""
    block, head = facts.optional("block.height"), facts.optional("heads.height")
    if block is None or head is None:
        return None
    try:
        rod = _rod_length(facts, subject).si
    except (Undecided, NotApplicable):
        return None
    heights = block.si + head.si
    return HeightMismatch(heights, rod, heights / rod - 1, (*block.places, *head.places))


def _unexplained_growth(mismatch: HeightMismatch | None, head: Value, rise: Value) -> float:
    """Growth of what the two heights lack of the pushrod's length, or exceed it by, m: an uncertainty (k = 2).

    Raises Undecided if they are more than a fifth apart: one of the heights is wrong.
    """
    if mismatch is None:
        return 0.0
    if abs(mismatch.share) > HEIGHTS_APART:
        raise Undecided(
            "block.height and heads.height do not add up to the pushrod's length: correct the wrong one",
            mismatch.places,
        )
    return abs(mismatch.heights - mismatch.rod) * head.si * abs(rise.si)


def _grown(length: Value, coefficient: Value, rise: Value) -> Value:
    return derive("length", growth.growth, length, coefficient, rise)


def _coefficient(facts: Facts, path: str) -> Value:
    """A part's coefficient of expansion; two parts of one material may be two alloys, so each has its own doubt."""
    node = facts.node(path)
    if node is None:
        raise facts.missing(path)
    try:
        material = (metal_as_such if path.endswith("stem_material") else metal)(str(node.value))
    except ValueError as error:
        raise Undecided(str(error), (node.place,)) from error
    found = growth.expansion(material)
    parts = {f"expansion of {path}": found.expanded / 2}
    remark = f"{material} assumed to expand by ({found.coefficient * 1e6:g} ± {found.expanded * 1e6:g})e-6 per K"
    return Value(found.coefficient, "ratio", parts, (node.place,), remark)


def _rod_length(facts: Facts, subject: Subject) -> Value:
    """The first length measured of this valve type: a rod's growth hardly minds which."""
    for other in same_type(facts, subject):
        try:
            lengths = [trial.length for trial in trials(facts, other) if trial.length is not None]
        except NotApplicable:
            continue
        if lengths:
            return lengths[-1]
    raise Undecided(f"no {subject.valve} pushrod length is measured yet (marks.yaml)")


def _stem_excess(facts: Facts, subject: Subject, assembly: Value, head: Value, rise: Value) -> Value:
    """How much further than the pivot the tip rises, m; none where an intake stem's figures are not written."""
    paths = [f"heads.valves.{subject.valve}.{key}" for key in ("stem_length", "stem_material", "stem_temperature")]
    absent = [path for path in paths if facts.node(path) is None]
    if absent and subject.valve == "intake":
        return exact(0.0, "length").with_remark("the valve tip is assumed to rise with the rocker pivot")
    if absent:
        raise facts.missing(absent[0])
    length, stem = facts.field(paths[0]), _coefficient(facts, paths[1])
    hotter = minus(facts.field(paths[2]), assembly)
    return derive("length", growth.stem_excess, length, stem, hotter, head, rise, remark=f"a stem of {stem.remark}")
