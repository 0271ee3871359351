"""What a rule decides by, as plain data: two rules with the same terms judge every build alike."""

from __future__ import annotations

from typing import Any

from buildcheck.rules.limits import Limits
from buildcheck.rules.rule import Rule


def deciding_terms(rule: Rule, limits: Limits) -> list[Any]:
    """Its quantity and conditions, what its limit controls, and every limit that was set for it."""
    stated = {
        side: [[bound.limit.text, bound.origin, bound.because] for bound in limits.stated(rule, side)]
        for side in rule.bounds
    }
    decides = [rule.for_each, dict(rule.applies), rule.quantity_text, rule.at_zero, rule.open_blocks, rule.concedable]
    decides += rule.follows
    return [decides, rule.controls, stated]
