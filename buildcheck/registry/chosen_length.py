"""Named quantities of the length chosen: its misfit, the preload or lash it gives, what it measures overall."""

from __future__ import annotations

from buildcheck.build.facts import Facts
from buildcheck.build.field_lookup import applies_to
from buildcheck.build.length_conventions import from_measured, minus, to_measured
from buildcheck.build.zero_lash_readings import counted
from buildcheck.core.plural import plural
from buildcheck.core.subject import Subject
from buildcheck.core.value import NotApplicable, Undecided, Value, derive, exact, remarks, with_uncertainty
from buildcheck.ordering.allowed_lengths import LengthRequirement, measured_peers
from buildcheck.ordering.order import length_for, proposed_length, requirements_of, stock, stock_places
from buildcheck.quantities.lengths import adjuster_turns, preload_aim, rod_tolerance, turned
from buildcheck.quantities.warm_engine import stated_hot
from buildcheck.units.quantity import show
from buildcheck.yamlio.documents import Node


def chosen_length(facts: Facts, subject: Subject) -> Value:
    """Chosen pushrod length of a valve, m: the one entered, or the one that the order proposes."""
    chosen = facts.node("pushrods.chosen")
    if chosen is None:
        return proposed_length(facts, subject)
    node = _chosen_node(chosen, subject)
    if node is None:
        raise Undecided(
            f"pushrods.chosen has no length for cylinder {subject.cylinder} {subject.valve}", (chosen.place,)
        )
    return to_measured(facts, facts.reading(node, "length"), chosen.word("stated_as"), chosen.get("gauge_hole"))


def preload(facts: Facts, subject: Subject) -> Value:
    """Distance that the plunger of the lifter is pressed down, m."""
    if not facts.is_hydraulic:
        raise NotApplicable("solid lifters have lash, not preload")
    if facts.text("rockers.adjuster") != "none":
        turns = adjuster_turns(facts, subject)
        if turns is None:
            return preload_aim(facts).with_remark("the aim")
        return turned(facts, subject, counted(turns, f"turns of the adjuster of {subject.text}"))
    zero, chosen = facts.get("zero_lash_length_to_run", subject), facts.get("chosen_length", subject)
    return with_uncertainty(minus(chosen, zero), rod_tolerance(facts), "length tolerance of the pushrods").with_remark(
        zero.remark
    )


def rod_length_overall(facts: Facts, subject: Subject) -> Value:
    """Overall length of the longest pushrod chosen for a valve or valve type, m: the one that buckles first."""
    valves = (
        [subject] if subject.cylinder else [other for other in facts.subjects("valve") if other.valve == subject.valve]
    )
    if not valves:
        raise facts.missing("block.cylinders")
    lengths = [facts.get("chosen_length", other) for other in valves]
    longest = max(lengths, key=lambda value: value.si)
    return from_measured(facts, longest, "overall", None)


def length_misfit(facts: Facts, subject: Subject) -> Value:
    """Distance of the chosen or proposed length from the range that the valve allows, m.

    Zero inside the range. If no stock length fits, it is the distance of the nearest stock length.
    """
    known, unknown = requirements_of(facts)
    for other, reason in unknown:
        if other == subject:
            raise reason
    need = next(need for need in known if need.subject == subject)
    chosen, available = facts.get("chosen_length", subject), length_for(facts, subject)
    assumed = _assumed_as(facts, need, known) if need.assumed else ""
    if not chosen.places and not available.stock and stock(facts):
        nearest = min(stock(facts), key=lambda available: need.distance_outside(available.measured))
        length = show(available.stated, "length", facts.system)
        made = f"no stock length fits, made to length {length} {available.stated_as}"
        return Value(need.distance_outside(nearest.measured), "length", {}, stock_places(facts), made + assumed)
    off, required = need.distance_outside(chosen.si), facts.get_or_none("length_asked", subject)
    remark = [f"{_allowed(facts, need)}{assumed}" if off else "", required.remark if required is not None else ""]
    return Value(off, "length", {}, chosen.places, remarks(*remark))


def _allowed(facts: Facts, need: LengthRequirement) -> str:
    """The lengths that a valve allows, as the build measures its rods."""
    ends = [" to ".join(show(end, "length", facts.system) for end in span) for span in need.intervals]
    return f"allowed: {' or '.join(ends)} {facts.text('pushrods.measured_as')}"


def _assumed_as(facts: Facts, need: LengthRequirement, known: list[LengthRequirement]) -> str:
    like = [str(one.subject.cylinder) for one in measured_peers(facts, need.subject, known)]
    return f"; assumed as on {plural(len(like), 'cylinder')} {', '.join(like)}: measure this one"


def lash(facts: Facts, subject: Subject) -> Value:
    """Lash at the valve, m, cold or hot as the cam card states it.

    It is as set, or as a pushrod without an adjuster leaves it. The tolerance of the pushrod, times the rocker ratio,
    is part of its uncertainty.
    """
    if facts.is_hydraulic:
        raise NotApplicable("hydraulic lifters run without lash")
    if (as_set := facts.optional("as_built.each.lash", subject)) is not None:
        return as_set
    if facts.text("rockers.adjuster") != "none":
        raise Undecided("the adjuster sets the lash: enter the lash that was set in as_built.yaml")
    zero, chosen = facts.get("zero_lash_length_to_run", subject), facts.get("chosen_length", subject)
    ratio = facts.field("rockers.ratio", subject)
    grown = facts.get("gap_growth", Subject(None, subject.valve)) if stated_hot(facts) else exact(0.0, "length")
    left = derive("length", lambda zero, rod, r, gap: (zero - rod + gap) * r, zero, chosen, ratio, grown)
    return with_uncertainty(left, rod_tolerance(facts) * ratio.si, "length tolerance of the pushrods")


def adjuster_position(facts: Facts, subject: Subject) -> Value:
    """Distance of the adjusting screw from its design position, m, with the chosen pushrod.

    Positive: screwed out towards the pushrod.
    """
    if facts.text("rockers.adjuster") != "screw":
        raise NotApplicable("the rocker has no screw")
    position = minus(facts.get("length_asked", subject), facts.get("chosen_length", subject))
    return with_uncertainty(position, rod_tolerance(facts), "length tolerance of the pushrods")


def lash_tolerance(facts: Facts, subject: Subject) -> Value:
    """Tolerance of the lash, m: as entered, or 0.002 in (common practice, no published source)."""
    if facts.is_hydraulic:
        raise NotApplicable("hydraulic lifters run without lash")
    return facts.optional("cam.lash_tolerance") or exact(0.0000508, "length")


def _chosen_node(chosen: Node, subject: Subject) -> Node | None:
    each = chosen.get("each")
    for entry in each.items if each is not None else ():
        if applies_to(entry, subject):
            return entry.get("length")
    return chosen.get(subject.valve or "")
