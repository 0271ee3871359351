"""Which verdicts flipped between two states, and whether inputs, a rule, a limit, the stage or a concession did it."""

from __future__ import annotations

from dataclasses import dataclass

from buildcheck.check import Checked
from buildcheck.compare.aligned import aligned
from buildcheck.findings import Place
from buildcheck.formulas.decision import noise
from buildcheck.results import Result
from buildcheck.rule import Rule
from buildcheck.subjects import Subject
from buildcheck.values import Value

UNJUDGED = "not judged"
_GRAVITY = ("passes", "not applicable", UNJUDGED, "conceded", "open", "fails, not blocking", "open, blocks", "fails")


@dataclass(frozen=True, slots=True)
class Flip:
    """One rule's word on some subjects before and after; ``message`` is the worse state's where it is not a pass."""

    rule: str
    title: str
    subjects: tuple[Subject, ...]
    before: str
    after: str
    causes: tuple[str, ...]
    message: str
    place: Place
    blocks_anew: bool

    @property
    def is_worse(self) -> bool:
        """Whether the new word is graver than the old."""
        return _GRAVITY.index(self.after) > _GRAVITY.index(self.before)

    @property
    def by_inputs(self) -> bool:
        """Whether a changed input has any part in it."""
        return "inputs" in self.causes


def flips(before: Checked, after: Checked) -> tuple[Flip, ...]:
    """All flipped verdicts, what blocks anew first; none where a state cannot be judged."""
    if before.problems or after.problems:
        return ()
    old, new = _by_rule(before), _by_rule(after)
    found: dict[tuple[object, ...], list[tuple[Subject, Result | None, Result | None]]] = {}
    for rule in sorted(old.keys() | new.keys()):
        for subject, was, now in aligned(old.get(rule, {}), new.get(rule, {})):
            if state(was) != state(now):
                causes = _causes(rule, before, after, was, now)
                key = (rule, state(was), state(now), causes, _message(was, now))
                found.setdefault(key, []).append((subject, was, now))
    return tuple(sorted((_flip(before, after, group) for group in found.values()), key=_order))


def state(result: Result | None) -> str:
    """A result in two words at most, by what it means for the build."""
    if result is None:
        return UNJUDGED
    if result.concession is not None and not result.blocks:
        return "conceded"
    if result.kind == "fail":
        return "fails" if result.blocks else "fails, not blocking"
    if result.kind == "open":
        return "open, blocks" if result.blocks else "open"
    return {"pass": "passes", "notApplicable": "not applicable"}[result.kind]


def _by_rule(checked: Checked) -> dict[str, dict[Subject, Result]]:
    found: dict[str, dict[Subject, Result]] = {}
    for result in checked.results:
        found.setdefault(result.rule, {})[result.subject] = result
    return found


def _flip(before: Checked, after: Checked, group: list[tuple[Subject, Result | None, Result | None]]) -> Flip:
    _, was, now = group[0]
    told = now or was
    assert told is not None
    rules = after.rules if told.rule in after.rules else before.rules
    causes = _causes(told.rule, before, after, was, now)
    return Flip(
        rule=told.rule,
        title=rules[told.rule].title,
        subjects=tuple(subject for subject, _, _ in group),
        before=state(was),
        after=state(now),
        causes=causes,
        message=_message(was, now),
        place=told.place,
        blocks_anew=now is not None and now.blocks and not (was is not None and was.blocks),
    )


def _order(flip: Flip) -> tuple[object, ...]:
    return not flip.blocks_anew, not flip.is_worse, -_GRAVITY.index(flip.after), flip.rule, flip.subjects[0].order


def _message(was: Result | None, now: Result | None) -> str:
    told = now if now is not None and now.kind in ("fail", "open", "notApplicable") else was
    return told.message if told is not None and told.kind != "pass" else ""


def _causes(rule_id: str, before: Checked, after: Checked, was: Result | None, now: Result | None) -> tuple[str, ...]:
    if (rule_id in before.rules) != (rule_id in after.rules):
        return ("rule added",) if rule_id in after.rules else ("rule removed",)
    old, new = before.rules[rule_id], after.rules[rule_id]
    if was is None or now is None:
        return ("inputs",)
    causes = {
        "rule": meaning(old) != meaning(new),
        "limit": _limits(before, old) != _limits(after, new),
        "stage": was.due_now != now.due_now and before.terms.stage != after.terms.stage,
        "concession": was.concession != now.concession,
        "inputs": _read_otherwise(before, after, was, now),
    }
    return tuple(cause for cause, is_one in causes.items() if is_one) or ("inputs",)


def meaning(rule: Rule) -> tuple[object, ...]:
    """What a rule says besides its limits and its words."""
    how = (rule.for_each, dict(rule.applies), rule.quantity_text, rule.level, rule.due)
    return *how, rule.open_blocks, rule.at_zero


def _limits(checked: Checked, rule: Rule) -> dict[str, str]:
    return {side: bound.limit.text for side, bound in checked.limits.in_force(rule).items()}


def _read_otherwise(before: Checked, after: Checked, was: Result, now: Result) -> bool:
    """Whether the value, its uncertainty, or a limit of the same wording came out otherwise."""
    if was.value is None or now.value is None:
        return was.value is not now.value or was.message != now.message
    same_limits = _limits(before, before.rules[was.rule]) == _limits(after, after.rules[now.rule])
    pairs = [(was.value, now.value)]
    pairs += [(was.bounds[side], now.bounds[side]) for side in was.bounds if same_limits and side in now.bounds]
    return any(_differ(old, new) for old, new in pairs)


def _differ(old: Value, new: Value) -> bool:
    sizes = [(old.si, new.si), (old.expanded, new.expanded)]
    return any(abs(a - b) > noise(a, b) for a, b in sizes) or old.sign_known != new.sign_known
