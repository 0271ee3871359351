"""Words a result: what was found, the limit, and what to do. No other module puts a typed reason into words."""

from __future__ import annotations

from collections.abc import Iterable
from functools import lru_cache

from buildcheck.app.build_check import CheckedBuild
from buildcheck.core.reason import (
    ConsequenceOf,
    Inconclusive,
    MissingInput,
    NotApplicableBecause,
    NotDetermined,
    NotProven,
    OutsideLimit,
    Reason,
    underlying,
)
from buildcheck.core.subject import BUILD, Subject
from buildcheck.core.value import FEW_READINGS, Value
from buildcheck.output.correction_wording import fix_text
from buildcheck.output.value_wording import decimals_more, limits_text, spread_kind, value_and_remark
from buildcheck.record import Record
from buildcheck.rules.results import Result, VoidConcession
from buildcheck.rules.rule import Rule
from buildcheck.units.quantity import show

UNDECIDED = "Undecided: the uncertainty spans the limit."
MORE_VALVES = "more measured valves would"
KEPT = 1_000
"""Titles kept as they are inside a sentence."""


def message(checked: CheckedBuild, result: Result) -> str:
    """The message of one of a build's results."""
    return result_text(checked.rules[result.rule], result, checked.facts.system)


def fact(checked: CheckedBuild, result: Result) -> str:
    """What was found and its limit, without what to do about it."""
    return result_text(checked.rules[result.rule], result._replace(fix=None), checked.facts.system)


def sentence(checked: CheckedBuild, result: Result) -> str:
    """The message with its subject in front."""
    return with_subject(result.subject, message(checked, result))


def with_subject(subject: Subject, text: str) -> str:
    """A message with its subject in front."""
    name = subject.text
    return f"{name}: {text}" if name else text


def result_text(rule: Rule, result: Result, system: str) -> str:
    """The message of a rule's result, in the build's unit system (``inch`` or ``metric``).

    On a subject it follows a valve and a colon: ``mark width 0.060 in; maximum 0.050 in``; a count is its remark alone.
    On the build it opens with the title: ``Quench clearance: 0.030 in; minimum 0.035 in``.
    """
    value, on_subject = result.value, result.subject != BUILD
    title = f"{in_sentence(rule.title)} " if on_subject else f"{rule.title}: "
    if value is None:
        return _without_value(title, result, system)
    is_remark = value.kind == "count" and value.remark and on_subject
    text = _decided("" if is_remark else title, result, value, system)
    return f"{text.rstrip('.')}. {void_text(result.void)}" if result.void is not None else text


def _without_value(title: str, result: Result, system: str) -> str:
    """Why there is nothing to judge, or what is known without being proven."""
    match underlying(result.reason):
        case NotApplicableBecause(explanation):
            return explanation
        case NotProven(explanation, found):
            return f"{title}{found}. Undecided: {explanation}."
        case reason:
            lack, named = lacking(result, system), isinstance(reason, MissingInput) and reason.begins_with_name
            return f"{title}cannot be determined. {lack if named else capitalised(lack)}"


@lru_cache(maxsize=KEPT)
def in_sentence(title: str) -> str:
    """A title inside a sentence: ``Mark width`` is ``mark width``."""
    return f"{title[:1].lower()}{title[1:]}" if title[1:2].islower() else title


def capitalised(text: str) -> str:
    """A text as a sentence begins, unless its first word is a file or a key."""
    first = text.partition(" ")[0].rstrip(":,").replace("-", "")
    return text if not first.isalpha() else f"{text[:1].upper()}{text[1:]}"


def lacking(result: Result, system: str, brief: bool = False) -> str:
    """What an undecided result lacks; ``brief`` shortens a missing field's path to its last key."""
    if result.value is not None and isinstance(result.reason, Inconclusive):
        return _reading_needed(result, result.value, result.reason, system)
    return _explained(result.reason, brief)


def void_text(void: VoidConcession) -> str:
    """Why a concession does not hold."""
    if void.up_to is None:
        return f"The concession at {void.place} is void: contact, or a mark that reaches the edge, cannot be conceded."
    return f"The concession at {void.place} is void: it accepts {void.up_to} at worst."


def _explained(reason: Reason | None, brief: bool) -> str:
    match reason:
        case ConsequenceOf(_, inner):
            return _explained(inner, brief)
        case MissingInput(explanation, _, needed, unaffected):
            field = f" ({needed.rpartition('.')[2] if brief else needed} is needed)" if needed else ""
            return _clauses(f"{explanation}{field}", unaffected)
        case NotDetermined(explanation, unaffected):
            return _clauses(explanation, unaffected)
        case None | Inconclusive() | OutsideLimit():
            return ""
        case _:
            return reason.explanation


def _clauses(*parts: str) -> str:
    return "; ".join(filter(None, parts))


def _decided(head: str, result: Result, value: Value, system: str) -> str:
    finer = _decimals(result, value, system)
    counted = value.kind == "count"
    limits = "" if counted else f"; {limits_text(result.bounds, system, finer)}"
    text = f"{head}{value_and_remark(value, system, finer)}{limits}"
    match result.reason:
        case None:
            return text
        case OutsideLimit(short):
            side = "over" if short and _is_above(result, value) else "short"
            missed = "" if counted else f" ({show(short, spread_kind(value.kind), system, finer)} {side})"
            return f"{text}{missed}. {fix_text(result.fix)}".strip()
        case _:
            return f"{text}. {undecided_text(lacking(result, system))}"


def undecided_text(needed: str) -> str:
    """That a result is undecided, and what would decide it, such as ``a reading good to 0.005 in would``."""
    if needed == MORE_VALVES:
        return "Undecided until more are measured."
    return f"{UNDECIDED}{f' {needed[:1].upper()}{needed[1:]} decide it.' if needed else ''}"


def _is_above(result: Result, value: Value) -> bool:
    most = result.bounds.get("at_most")
    return most is not None and value.si > most.si


def _decimals(result: Result, value: Value, system: str) -> int:
    return 0 if result.kind == "pass" else decimals_more(value, result.bounds, result.margin, system)


def _reading_needed(result: Result, value: Value, reason: Inconclusive, system: str) -> str:
    if reason.needed is None:
        return ""
    if any(source.startswith(FEW_READINGS) for source in value.parts):
        return MORE_VALVES
    needed = show(reason.needed, spread_kind(value.kind), system, _decimals(result, value, system))
    return f"a reading good to {needed} would"


class Group(Record):
    """Results of one rule with the same message for several subjects, written once."""

    first: Result
    subjects: tuple[Subject, ...]
    message: str


def grouped(checked: CheckedBuild, results: Iterable[Result]) -> list[Group]:
    """Results with the same rule, kind and message as one, in the order of their first; those due by place too."""
    groups: dict[tuple[object, ...], list[Result]] = {}
    for result in results:
        places = result.places if result.due_now else ()
        text = message(checked, result)
        key = (text, result.rule, result.kind, result.blocks, places, result.concession)
        groups.setdefault(key, []).append(result)
    return [Group(alike[0], tuple(one.subject for one in alike), str(key[0])) for key, alike in groups.items()]
