"""Explains the stages: what each means, and which rules block from it on."""

from __future__ import annotations

from collections.abc import Iterator
from types import MappingProxyType

from buildcheck.build.build_folder import STAGES
from buildcheck.rules.rule import Rule, RuleSet

MEANINGS = MappingProxyType(
    {
        "planning": "parts are being chosen; little need be written",
        "measuring": "marks and lengths are being read; bad trials are kept",
        "ordering": "money is about to be spent on push rods",
        "assembled": "torqued down with the parts to be run",
        "closed": "gone over warm; the build is done",
    }
)


def explain_stages(rules: RuleSet) -> Iterator[str]:
    """Each stage with the rules that count from it on, failing errors first."""
    yield "stages: a rule counts from the stage on at which it is due; later stages keep what earlier ones demand"
    for stage in STAGES:
        yield f"{stage}: {MEANINGS[stage]}"
        due = [rule for rule in rules.rules if rule.due == stage]
        for rule in sorted(due, key=lambda rule: (rule.level != "error", rule.level, rule.id)):
            yield f"  {_rule_line(rule)}"
        if not due:
            yield "  no rule more"
    yield "at every stage: files that can be read, agree with each other, and no contact"


def _rule_line(rule: Rule) -> str:
    blocks = "blocks" if rule.level == "error" else rule.level
    opens = " also while it cannot be determined" if rule.level == "error" and rule.open_blocks else ""
    return f"{rule.id} ({blocks}{opens}): {rule.title}"
