"""Limits that do more than judge: order, advice and quantities look them up by name, whichever rule sets them."""

from __future__ import annotations

from buildcheck.record import Record

NOTHING = "nothing"
"""What a rule writes under ``controls`` to drop the named limit of the rule that it replaces."""


class NamedLimit(Record):
    """Which side of a rule it is, of which kind and for whom, and what else it controls."""

    side: str
    kind: str
    for_each: str
    controls: str


NAMED_LIMITS = {
    "assumed_risk_limit": NamedLimit(
        "at_most", "ratio", "build", "the risk up to which an order may rest on assumed valves"
    ),
    "base_circle_margin": NamedLimit(
        "at_least", "angle", "valve", "the crank angles at which 'plan' lets a valve be measured; readings outside them"
    ),
    "length_spread_limit": NamedLimit(
        "at_most", "length", "valve_type", "whether 'advise' has the contact lines read to settle the length"
    ),
    "mark_centre_limit": NamedLimit(
        "at_most", "length", "valve", "the lengths that the order allows for a valve; the next step in 'advise'"
    ),
    "mark_edge_limit": NamedLimit("at_least", "length", "valve", "the lengths that the order allows for a valve"),
    "mark_target": NamedLimit(
        "at_most", "length", "valve", "the offset from which on 'advise' moves the mark of a pad tip"
    ),
    "piston_to_valve_limit": NamedLimit(
        "at_least", "length", "valve_type", "the limit of the piston gap over the lift curve"
    ),
    "pivot_height_adjustable": NamedLimit(
        "at_most", "length", "valve", "the lengths that the order allows for a valve; the next step in 'advise'"
    ),
    "pivot_height_fixed": NamedLimit(
        "at_most", "length", "valve", "whether the order waits for a shim; the next step in 'advise'"
    ),
}
"""Name -> the limit, in order of the names."""
