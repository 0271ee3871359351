"""Results and quantities as lines of JSON, put together from pieces that recur: most of a build's JSON repeats."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping, Sequence
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


def enclosed(opening: str, rows: Sequence[str], closing: str) -> list[str]:
    """The lines of a long field, its brackets at the first and the last."""
    if not rows:
        return [f"{opening.rstrip()}{closing}"]
    lines = list(rows)
    lines[0] = opening + lines[0]
    lines[-1] += closing
    return lines


class BuildRows:
    """The rows of one build. A value that is a quantity and is judged by a rule is put into text once."""

    def __init__(self, checked: CheckedBuild) -> None:
        self._checked = checked
        self._system = checked.facts.system
        self._known: dict[int, str] = {}

    def results(self, results: Iterable[Result]) -> list[str]:
        """Results, a line each."""
        return [
            _inapplicable_row(*result[:6], result.reason.explanation, result.place)
            if isinstance(result.reason, NotApplicableBecause)
            else self._result(result)
            for result in results
        ]

    def quantities(self) -> list[str]:
        """Every quantity that can be determined, by name: its value, or its values by subject."""
        return [f'"{name}": {self._quantity(name, values)}' for name, values in quantities(self._checked.facts)]

    def _result(self, result: Result) -> str:
        message = encoded(sentence(self._checked, result))
        places = [_place_pairs(place) for place in result.places]
        cause = self._checked.causes.get((result.rule, result.subject)) if result.kind != "pass" else None
        return (
            f'{{{_head(*result[:6])}, {self._figures(result)}, "message": {message}, '
            f'{places[0]}, "places": [{{{"}, {".join(places)}}}], '
            f'"concession": {_concession(result)}{_because_of(cause) if cause is not None else ""}}}'
        )

    def _figures(self, result: Result) -> str:
        value, margin, system = result.value, result.margin, self._system
        if value is None:
            return '"value": null, "margin": null'
        limits = "".join([_limit_text(side, limit.si, limit.kind, system) for side, limit in result.bounds.items()])
        distance = _amount(margin, spread_kind(value.kind), system) if margin is not None else "null"
        return f'"value": {{{self._value(value)}}}{limits}, "margin": {distance}'

    def _quantity(self, name: str, values: Mapping[Subject, Value]) -> str:
        at = self._checked.facts.quantities[name].found_at
        rows = {
            subject.key: f"{{{self._value(value)}{self._found_at(at, subject) if at else ''}}}"
            for subject, value in values.items()
        }
        return rows[""] if "" in rows else keyed(rows)

    def _found_at(self, name: str, subject: Subject) -> str:
        """The crank angle at which a value was found, under ``at``."""
        angle = self._checked.facts.get_or_none(name, subject)
        return f', "at": {_amount(angle.si, angle.kind, self._system)}' if angle is not None else ""

    def _value(self, value: Value) -> str:
        text = self._known.get(id(value))
        if text is None:
            text = self._known[id(value)] = _value_pairs(value, self._system)
        return text


def _because_of(cause: Result) -> str:
    return f', "because_of": {{"rule": {encoded(cause.rule)}, "subject": {_subject(cause.subject)}}}'


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
    return f', "{side}": {_amount(si, kind, system)}'


def _amount(si: float, kind: str, system: str) -> str:
    """A number with its text: ``si``, or ``deg`` for angles. ValueError for one that is not finite."""
    unit = "deg" if kind == "angle" else "si"
    return f'{{"{unit}": {si!r}, "text": "{show(si, kind, system, 0)}"}}'


def _value_pairs(value: Value, system: str) -> str:
    """A value without braces; plain ASCII without quotation marks. ValueError for a number that is not finite."""
    si, kind, expanded = value.si, value.kind, value.expanded
    if not isfinite(expanded):
        raise ValueError(f"{expanded} has no place in JSON")
    unit = "deg" if kind == "angle" else "si"
    text = f'"{unit}": {si!r}, "text": "{show(si, kind, system, 0)}", "expanded_uncertainty_{unit}": {expanded!r}'
    return text if value.sign_known else f'{text}, "sign": "unknown"'


def _concession(result: Result) -> str:
    conceded = result.concession
    if conceded is None:
        return "null"
    fields = {"up_to": conceded.up_to, "because": conceded.because, "accepted_by": conceded.accepted_by}
    return encoded({**fields, **place_fields(conceded.place)})


def subject_fields(subject: Subject) -> dict[str, Any]:
    """Cylinder and valve, as far as it has them."""
    pairs = {"cylinder": subject.cylinder, "valve": subject.valve}
    return {key: value for key, value in pairs.items() if value is not None}


def place_fields(place: Place) -> dict[str, Any]:
    """File, line and column."""
    return {"file": place.file, "line": place.line, "column": place.column}
