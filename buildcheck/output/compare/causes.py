"""What flipped a verdict: new inputs, or new rules and limits, separated by judging the one under the other."""

from __future__ import annotations

from collections.abc import Mapping

from buildcheck.app.build_check import CheckedBuild
from buildcheck.build.build_folder import Build
from buildcheck.core.subject import Subject
from buildcheck.core.value import Value
from buildcheck.formulas.decision import noise
from buildcheck.output.compare.severity import state
from buildcheck.record import Record, replace
from buildcheck.rules.results import Result
from buildcheck.rules.rule import BOUNDS, Rule
from buildcheck.rules.rule_diff import differences
from buildcheck.yamlio.documents import Node


class Transition(Record):
    """One rule's results on one subject: before, after, and as the new inputs fare under the old rules and limits."""

    was: Result | None
    now: Result | None
    between: Result | None


def under_old_limits(new: Build, old: Build) -> Build:
    """The new build with the limits that the old one had set for itself; just as it is where they are the same."""
    root, before = new.roots.get("build"), old.roots.get("build")
    limits = before.get("limits") if before is not None else None
    if root is None or not isinstance(root.value, dict) or root.get("limits") == limits:
        return new
    remaining: dict[str, Node] = {key: node for key, node in root.value.items() if key != "limits"}
    if limits is not None:
        remaining["limits"] = limits
    return replace(new, roots={**new.roots, "build": root._replace(value=remaining)})


def by_rule(checked: CheckedBuild) -> dict[str, dict[Subject, Result]]:
    """A build's results by rule and subject."""
    found: dict[str, dict[Subject, Result]] = {}
    for result in checked.results:
        found.setdefault(result.rule, {})[result.subject] = result
    return found


def causes(rule_id: str, before: CheckedBuild, after: CheckedBuild, transition: Transition) -> tuple[str, ...]:
    """One or more of: rule added, rule removed, rule, limit, another limit, stage, concession, inputs."""
    if (rule_id in before.rules) != (rule_id in after.rules):
        return ("rule added",) if rule_id in after.rules else ("rule removed",)
    by_rules = state(transition.between) != state(transition.now)
    by_inputs = state(transition.between) != state(transition.was)
    found = _rule_causes(rule_id, before, after) if by_rules else ()
    return (*found, *(_input_causes(before, after, transition) if by_inputs else ()))


def _rule_causes(rule_id: str, before: CheckedBuild, after: CheckedBuild) -> tuple[str, ...]:
    old, new = before.rules[rule_id], after.rules[rule_id]
    definition_changed = any(one.what not in BOUNDS for one in differences(old, new))
    possible = {"rule": definition_changed, "limit": _limit_texts(before, old) != _limit_texts(after, new)}
    return tuple(cause for cause, is_one in possible.items() if is_one) or ("another limit",)


def _input_causes(before: CheckedBuild, after: CheckedBuild, transition: Transition) -> tuple[str, ...]:
    was, between = transition.was, transition.between
    if was is None or between is None:
        return ("inputs",)
    possible = {
        "stage": was.due_now != between.due_now and before.options.stage != after.options.stage,
        "concession": was.concession != between.concession,
        "inputs": _values_differ(was, between),
    }
    return tuple(cause for cause, is_one in possible.items() if is_one) or ("inputs",)


def _limit_texts(checked: CheckedBuild, rule: Rule) -> Mapping[str, str]:
    return {revision: bound.limit.text for revision, bound in checked.limits.in_force(rule).items()}


def _values_differ(was: Result, now: Result) -> bool:
    """Whether the value, its uncertainty, or a limit that leans on inputs came out otherwise."""
    if was.value is None or now.value is None:
        return was.value is not now.value or was.reason != now.reason
    pairs = [(was.value, now.value)]
    pairs += [(was.bounds[revision], now.bounds[revision]) for revision in was.bounds if revision in now.bounds]
    return any(_differ(old, new) for old, new in pairs)


def _differ(old: Value, new: Value) -> bool:
    sizes = [(old.si, new.si), (old.expanded, new.expanded)]
    return any(abs(a - b) > noise(a, b) for a, b in sizes) or old.sign_known != new.sign_known
