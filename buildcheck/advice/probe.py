"""A trial made only to learn a sign, if it harms nothing and its mark stays clear of the valve tip edge."""

from __future__ import annotations

from buildcheck.build.facts import Facts
from buildcheck.build.length_conventions import measured_on_checker
from buildcheck.core.subject import Subject
from buildcheck.core.value import NotApplicable, Undecided, exact
from buildcheck.formulas.carried_reading import pivot_offset_from_mark, predicted_mark
from buildcheck.formulas.mark import edge_margins
from buildcheck.quantities import height_trials, pushrod_inclination
from buildcheck.quantities.marks import edges_of, tip_diameter
from buildcheck.quantities.valvetrain import gross_lift

MOST_LENGTH = 0.100 * 0.0254
"""Most by which a probe may change a pushrod, m: common practice, no published source."""

MOST_SHIM = 0.060 * 0.0254
"""Most shim that a probe may add, m: common practice, no published source."""


def permitted_probe(facts: Facts, subject: Subject, rise: float) -> float | None:
    """The rise of the pivot, m, by which a probe may separate two signs: as given, else as much lower; else None.

    On a fixed mount only a shim can be added. With a nut the pushrod may be longer or shorter.
    """
    free = facts.pivot_is_free
    sides = (rise, -rise) if free else (rise,)
    return next((side for side in sides if _is_permitted(facts, subject, side, free)), None)


def _is_permitted(facts: Facts, subject: Subject, rise: float, free: bool) -> bool:
    if not free:
        return rise <= MOST_SHIM and _stays_on_tip(facts, subject, rise)
    length = rise * pushrod_inclination.length_per_height(facts, subject).si
    in_range = abs(length) <= MOST_LENGTH and in_checker_range(facts, subject, length)
    return in_range and _stays_on_tip(facts, subject, rise)


def in_checker_range(facts: Facts, subject: Subject, change: float) -> bool:
    """Whether the checking pushrod can be changed by so much, m, from the trial that the advice refers to."""
    stood = height_trials.reference_trial(facts, subject)
    path = f"pushrods.checkers.{stood.checker}" if stood.checker else "pushrods.checker"
    if stood.length is None or facts.node(path) is None:
        return True
    zero, pitch = facts.field(f"{path}.length_at_zero_turns").si, facts.pitch(f"{path}.thread").si
    reading = stood.length.si + change - measured_on_checker(facts, exact(0.0, "length"), stood.checker).si
    turns, most = (reading - zero) / pitch, facts.optional(f"{path}.most_turns")
    return turns >= 0 and (most is None or turns <= most.si)


def _stays_on_tip(facts: Facts, subject: Subject, rise: float) -> bool:
    """Whether the mark to expect keeps its limit from the edge, whichever sign the height error has."""
    try:
        limit = facts.bound("mark_edge_limit", subject)
        error, trial = facts.get("height_error", subject), height_trials.reference_trial(facts, subject)
        edges, tip = edges_of(facts, subject, trial), tip_diameter(facts, subject)
        arm, lift = facts.field("rockers.valve_arm").si, gross_lift(facts, subject).si
    except (NotApplicable, Undecided):
        return False
    guard = max(edge.expanded for edge in edges)
    for q in {error.si, -error.si}:
        offset = pivot_offset_from_mark(arm, lift, q, (edges[0].si, edges[1].si), tip.si)
        near, far = predicted_mark(arm, lift, q - rise, offset, tip.si)
        # the width as read includes the contact band; the predicted sweep does not
        band = max(edges[1].si - edges[0].si - _sweep(arm, lift, q), 0.0)
        if min(edge_margins(near - band / 2, far + band / 2, tip.si)) - guard < limit.si:
            return False
    return True


def _sweep(arm: float, lift: float, q: float) -> float:
    near, far = predicted_mark(arm, lift, q, arm, 0.0)
    return far - near
