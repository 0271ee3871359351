"""Concessions (ISO 9000): leave to use what misses a rule, bound to rule, subject and worst accepted value."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from buildcheck.build.facts import Facts
from buildcheck.core.concession import Concession, IdleConcession
from buildcheck.core.problem import Place, Problem
from buildcheck.core.subject import Subject
from buildcheck.core.value import Value
from buildcheck.formulas.decision import noise
from buildcheck.record import Record, replace
from buildcheck.rules.expression import Literal
from buildcheck.rules.judging import decision
from buildcheck.rules.limit_reader import RuleError, limit
from buildcheck.rules.results import Result, VoidConcession
from buildcheck.rules.rule import Rule, RuleSet
from buildcheck.yamlio.documents import Node, find, plain

IDLE = "idle_concessions"
"""The named quantity that counts concessions which cover nothing."""

_REQUIRED_KEYS = {"valve": ("cylinder", "valve"), "valve_type": ("valve",), "cylinder": ("cylinder",), "build": ()}
_ALLOWED_KEYS = {**_REQUIRED_KEYS, "valve_type": ("cylinder", "valve"), "build": ("cylinder",)}


class Granted(Record):
    """One entry of concessions.yaml; ``up_to`` is None where its rule is gone.

    ``until`` is the stage from which on it no longer counts; ``ended`` if the build is judged at that stage or later.
    """

    rule: str
    subject: Subject
    up_to: Value | None
    concession: Concession
    until: str = ""
    ended: bool = False

    @property
    def text(self) -> str:
        """Rule and subject in words."""
        return ", ".join(part for part in (self.rule, self.subject.text) if part)

    def applies_to(self, rule: str, subject: Subject) -> bool:
        """Whether it is for a rule and a subject; one for a valve type covers its cylinders where they differ."""
        granted = self.subject
        return (
            not self.ended
            and self.rule == rule
            and granted.cylinder in (None, subject.cylinder)
            and granted.valve in (None, subject.valve)
        )


class IdleFacts:
    """A build's facts as one idle concession sees them: each of them is reported by itself."""

    def __init__(self, facts: Facts, idle: IdleConcession) -> None:
        self._facts = facts
        self._idle = idle
        self.system = facts.system

    def lookup(self, name: str, subject: Subject) -> Value:
        """A named quantity or a field of the build; 1 for the concession itself."""
        if name != IDLE:
            return self._facts.lookup(name, subject)
        return Value(1.0, "count", {}, (self._idle.place,), f"{self._idle.text}: {self._idle.reason}")

    def word(self, path: str, subject: Subject) -> str:
        """A field as written."""
        return self._facts.word(path, subject)


def read_concessions(root: Node | None, rules: RuleSet) -> tuple[list[Granted], list[Problem]]:
    """The entries of concessions.yaml, and those that cannot be meant."""
    granted: dict[tuple[str, Subject], Granted] = {}
    problems: list[Problem] = []
    for index, entry in enumerate(root.items if root is not None else ()):
        try:
            one = _granted(entry, rules)
            twin = granted.setdefault((one.rule, one.subject), one)
            if twin is not one:
                raise RuleError(entry.place, "", f"{one.text} is conceded twice, first at {twin.concession.place}")
        except RuleError as error:
            path = f"[{index}].{error.problem.path}".rstrip(".")
            problems.append(replace(error.problem, path=path))
    return list(granted.values()), problems


def _granted(entry: Node, rules: RuleSet) -> Granted:
    data = plain(entry)
    subject = Subject(data.get("cylinder"), data.get("valve"))
    concession = Concession(str(data["up_to"]), " ".join(data["because"].split()), data["accepted_by"], entry.place)
    if data["rule"] not in rules:
        return Granted(data["rule"], subject, None, concession)
    rule = rules[data["rule"]]
    if not rule.concedable:
        raise RuleError(
            _place(entry, "rule"),
            "rule",
            f"{rule.id} checks whether the data are consistent: a concession is not possible",
        )
    _refuse_subject(entry, rule)
    return Granted(rule.id, subject, _up_to(entry, rule), concession, data.get("until", ""))


def _refuse_subject(entry: Node, rule: Rule) -> None:
    given = [key for key in ("cylinder", "valve") if entry.get(key) is not None]
    needed, known = _REQUIRED_KEYS[rule.for_each], _ALLOWED_KEYS[rule.for_each]
    if lacking := [key for key in needed if key not in given]:
        words = f"{rule.id} applies to each {rule.for_each.replace('_', ' ')}: enter {' and '.join(needed)}"
        raise RuleError(entry.place, lacking[0], words)
    for key in given:
        if key not in known:
            words = f"{rule.id} applies to each {rule.for_each.replace('_', ' ')}: leave {key} out"
            raise RuleError(_place(entry, key), key, words)


def _up_to(entry: Node, rule: Rule) -> Value:
    node = find(entry, ["up_to"])
    assert node is not None
    tree = limit(node, rule.for_each, rule.kind, entry, ["up_to"]).tree(None)
    if not isinstance(tree, Literal):
        raise RuleError(node.place, "up_to", "write the worst value accepted, with its unit")
    return tree.value


def concede(results: Iterable[Result], granted: Sequence[Granted]) -> tuple[list[Result], tuple[IdleConcession, ...]]:
    """Results with the concessions that cover them, and the concessions that cover nothing."""
    results = list(results)
    if not granted:
        return results, ()
    narrow_first = sorted(granted, key=lambda one: (one.subject.cylinder is None, one.concession.place))
    taken = {id(result): one for one in reversed(narrow_first) for result in results if _wants(result, one)}
    used = list(taken.values())
    idle = [
        IdleConcession(one.text, _why_idle(one, results), one.concession.place) for one in granted if one not in used
    ]
    return [_conceded(result, taken.get(id(result))) for result in results], tuple(idle)


def loosened(limit: Value, side: str, granted: Sequence[Granted]) -> Value:
    """The limit that a conceded valve's other values follow from: the worst accepted one, where that is looser."""
    worst = [limit, *(one.up_to for one in granted if one.up_to is not None)]
    return (min if side == "at_least" else max)(worst, key=lambda value: value.si)


def _wants(result: Result, one: Granted) -> bool:
    return result.kind in ("fail", "open") and result.value is not None and one.applies_to(result.rule, result.subject)


def _conceded(result: Result, one: Granted | None) -> Result:
    if one is None:
        return result
    places = (*result.places, one.concession.place)
    if void := _void(result, one):
        return result._replace(places=places, void=void)
    return result._replace(blocks=False, concession=one.concession, places=places)


def _void(result: Result, one: Granted) -> VoidConcession | None:
    """A concession that does not hold: its worst accepted value replaces the limit on each side that is missed."""
    if result.final:
        return VoidConcession(one.concession.place, None)
    if all(_met(result, one, side) for side in _missed(result)):
        return None
    return VoidConcession(one.concession.place, one.concession.up_to)


def _missed(result: Result) -> Iterator[str]:
    assert result.value is not None
    yield from (side for side, bound in result.bounds.items() if decision(result.value, {side: bound})[0] != "pass")


def _met(result: Result, one: Granted, side: str) -> bool:
    assert result.value is not None
    assert one.up_to is not None
    room = result.value.si - one.up_to.si if side == "at_least" else one.up_to.si - result.value.si
    return room >= -noise(result.value.si, one.up_to.si)


def _why_idle(one: Granted, results: list[Result]) -> str:
    if one.up_to is None:
        return f"there is no rule {one.rule}; 'buildcheck rules' lists them"
    if one.ended:
        return f"it ended with stage {one.until}"
    covered = [result for result in results if one.applies_to(result.rule, result.subject)]
    if not covered:
        return "this build has no such subject, or the value is the same for all cylinders"
    if any(result.kind == "open" for result in covered):
        return "there is no reading yet"
    return "the rule is met" if any(result.kind == "pass" for result in covered) else "the rule does not apply there"


def _place(entry: Node, key: str) -> Place:
    node = find(entry, [key])
    return node.place if node is not None else entry.place
