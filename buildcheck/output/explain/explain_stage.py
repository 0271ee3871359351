"""Explains the stages: what each means, and which rules block from it on."""

from __future__ import annotations

from collections.abc import Iterator
from types import MappingProxyType

from buildcheck.build.build_folder import STAGES
from buildcheck.rules.rule import Rule, RuleSet

MEANINGS = MappingProxyType(
    {
        "planning": "parts are being chosen; few entries are required",
        "measuring": "marks and lengths are being read; bad trials stay on record",
        "ordering": "pushrods are about to be ordered",
        "assembled": "tightened to torque with the running parts",
        "closed": "checked again warm; the build is complete",
    }
)


def explain_stages(rules: RuleSet) -> Iterator[str]:
    """Each stage with the rules that count from it on, failing errors first."""
    yield "stages: a rule applies from its stage on; later stages keep the rules of earlier ones"
    for stage in STAGES:
        yield f"{stage}: {MEANINGS[stage]}"
        due = [rule for rule in rules.rules if rule.due == stage]
        for rule in sorted(due, key=lambda rule: (rule.level != "error", rule.level, rule.id)):
            yield f"  {_rule_line(rule)}"
        if not due:
            yield "  no further rule"
    yield "at every stage: files are readable and agree with each other; no contact"


def _rule_line(rule: Rule) -> str:
    blocks = "blocks" if rule.level == "error" else rule.level
    opens = " also while it cannot be determined" if rule.level == "error" and rule.open_blocks else ""
    return f"{rule.id} ({blocks}{opens}): {rule.title}"
