"""Results and quantities as lines of JSON, put together from pieces that recur: most of a build's JSON repeats."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from functools import lru_cache
from json.encoder import encode_basestring
from math import isfinite
from typing import Any

from buildcheck.app.build_check import CheckedBuild, quantities
from buildcheck.core.problem import Place
from buildcheck.core.reason import NotApplicableBecause
from buildcheck.core.subject import Subject
from buildcheck.core.value import Value
from buildcheck.output.finding_wording import sentence, with_subject
from buildcheck.output.value_wording import spread_kind
from buildcheck.rules.results import Result
from buildcheck.units.quantity import show

_encode = json.JSONEncoder(ensure_ascii=False, allow_nan=False).encode
KEPT = 4_096
"""Pieces kept once written."""


def escaped(text: str) -> str:
    """JSON in which what no eye sees, or UTF-8 cannot carry, is escaped; line breaks between its parts stay."""
    if (text.isascii() and "\x7f" not in text) or text.replace("\n", "").isprintable():
        return text
    return "".join(each if each == "\n" or each.isprintable() else json.dumps(each)[1:-1] for each in text)


def encoded(data: Any) -> str:
    """JSON on one line."""
    return escaped(encode_basestring(data) if isinstance(data, str) else _encode(data))


def listed(rows: Iterable[str]) -> str:
    """A list with an item a line."""
    text = ",\n".join(rows)
    return f"[\n{text}]" if text else "[]"


def keyed(fields: Mapping[str, str], separator: str = ", ") -> str:
    """An object of values that are JSON already."""
    return "{" + separator.join([f'"{key}": {text}' for key, text in fields.items()]) + "}"


def result_row(checked: CheckedBuild, result: Result) -> str:
    """One result."""
    if isinstance(result.reason, NotApplicableBecause):
        return _inapplicable_row(*result[:6], result.reason.explanation, result.place)
    system = checked.facts.system
    value = _value(result.value, system) if result.value is not None else "null"
    limits = [_limit_text(side, limit.si, limit.kind, system) for side, limit in result.bounds.items()]
    figures = f'"value": {value}{"".join(limits)}, "margin": {_margin(result, system)}'
    message = f'"message": {encoded(sentence(checked, result))}'
    return f"{{{_head(*result[:6])}, {figures}, {message}, {_ending(checked, result)}}}"


def _ending(checked: CheckedBuild, result: Result) -> str:
    """Where to look, who conceded it, and the cause if the result is a consequence of another one."""
    places = [_place_pairs(place) for place in result.places]
    text = f'{places[0]}, "places": [{{{"}, {".join(places)}}}], "concession": {_concession(result)}'
    cause = checked.causes.get((result.rule, result.subject))
    if cause is None:
        return text
    return f'{text}, "because_of": {{"rule": {encoded(cause.rule)}, "subject": {_subject(cause.subject)}}}'


@lru_cache(maxsize=KEPT)
def _inapplicable_row(
    rule: str, kind: str, level: str, blocks: bool, due: str, subject: Subject, explanation: str, place: Place
) -> str:
    """A result without a value, the same in every build that the rule does not apply to for the same reason."""
    head, where = _head(rule, kind, level, blocks, due, subject), _place_pairs(place)
    message = encoded(with_subject(subject, explanation))
    rest = f'"message": {message}, {where}, "places": [{{{where}}}], "concession": null'
    return f'{{{head}, "value": null, "margin": null, {rest}}}'


@lru_cache(maxsize=KEPT)
def _head(rule: str, kind: str, level: str, blocks: bool, due: str, subject: Subject) -> str:
    fields = {"rule": rule, "kind": kind, "level": level, "blocks": blocks, "due": due}
    return f'{encoded(fields)[1:-1]}, "subject": {_subject(subject)}'


@lru_cache(maxsize=KEPT)
def _subject(subject: Subject) -> str:
    return encoded(subject_fields(subject))


@lru_cache(maxsize=KEPT)
def _place_pairs(place: Place) -> str:
    """The fields of a place without their braces."""
    return encoded(place_fields(place))[1:-1]


@lru_cache(maxsize=KEPT)
def _limit_text(side: str, si: float, kind: str, system: str) -> str:
    """A limit, the same for all subjects of a rule."""
    return f', "{side}": {amount_text(si, kind, system)}'


def amount_text(si: float, kind: str, system: str) -> str:
    """A number with its text: ``si``, or ``deg`` for angles."""
    return f"{{{_amount_pairs(si, kind, system)}}}"


def _amount_pairs(si: float, kind: str, system: str) -> str:
    """The number and its text: plain ASCII without quotation marks, and a ValueError for one that is not finite."""
    return f'"{"deg" if kind == "angle" else "si"}": {si!r}, "text": "{show(si, kind, system)}"'


def _number(number: float) -> str:
    if not isfinite(number):
        raise ValueError(f"{number} has no place in JSON")
    return repr(number)


def _value(value: Value, system: str, at: str = "") -> str:
    unit = "deg" if value.kind == "angle" else "si"
    number = f"{_amount_pairs(value.si, value.kind, system)}, "
    uncertainty = f'"expanded_uncertainty_{unit}": {_number(value.expanded)}'
    sign = "" if value.sign_known else ', "sign": "unknown"'
    return f"{{{number}{uncertainty}{sign}{at}}}"


def _margin(result: Result, system: str) -> str:
    if result.margin is None:
        return "null"
    kind = result.value.kind if result.value is not None else "count"
    return amount_text(result.margin, spread_kind(kind), system)


def _concession(result: Result) -> str:
    conceded = result.concession
    if conceded is None:
        return "null"
    fields = {"up_to": conceded.up_to, "because": conceded.because, "accepted_by": conceded.accepted_by}
    return encoded({**fields, **place_fields(conceded.place)})


def quantity_rows(checked: CheckedBuild) -> dict[str, str]:
    """Every quantity that can be determined, by name: its value, or its values by subject."""
    found: dict[str, dict[str, str]] = {}
    for name, subject, value in quantities(checked.facts):
        found.setdefault(name, {})[subject.key] = _quantity(checked, name, subject, value)
    return {name: values[""] if "" in values else keyed(values) for name, values in found.items()}


def _quantity(checked: CheckedBuild, name: str, subject: Subject, value: Value) -> str:
    """A value and the crank angle at which it was found, under ``at``."""
    system, at = checked.facts.system, checked.facts.quantities[name].found_at
    angle = checked.facts.get_or_none(at, subject) if at else None
    found_at = f', "at": {amount_text(angle.si, angle.kind, system)}' if angle is not None else ""
    return _value(value, system, found_at)


def subject_fields(subject: Subject) -> dict[str, Any]:
    """Cylinder and valve, as far as it has them."""
    pairs = {"cylinder": subject.cylinder, "valve": subject.valve}
    return {key: value for key, value in pairs.items() if value is not None}


def place_fields(place: Place) -> dict[str, Any]:
    """File, line and column."""
    return {"file": place.file, "line": place.line, "column": place.column}
