"""Results for scripts: one JSON object, keys as documented, in a stable order."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Sequence
from typing import Any

from buildcheck import __version__
from buildcheck.app.build_check import CheckedBuild, quantities
from buildcheck.app.run import RuleContext
from buildcheck.core.problem import Place, Problem
from buildcheck.core.subject import Subject
from buildcheck.core.value import Value
from buildcheck.ordering.assumed_risk import known_order_risk
from buildcheck.ordering.order import OrderLine
from buildcheck.output.finding_wording import sentence
from buildcheck.output.loosened import Loosened, loosened_limits
from buildcheck.output.value_wording import spread_kind
from buildcheck.rules.results import Result
from buildcheck.units.display import percent_above
from buildcheck.units.quantity import show

SCHEMA_ID = "buildcheck:results:1"
"""The schema of the whole object: `buildcheck schemas --print` shows it."""
_encode = json.JSONEncoder(ensure_ascii=False, allow_nan=False).encode


def render_build(context: RuleContext, checked: CheckedBuild) -> str:
    """One build."""
    return _escaped(_lines(_build(checked, checked.results)))


def render_findings(context: RuleContext, checked: CheckedBuild) -> str:
    """One build without the results that pass or do not apply."""
    return _escaped(_lines(_build(checked, [one for one in checked.results if one.kind in ("fail", "open")])))


def render_document(context: RuleContext, problems: Sequence[Problem], parts: Iterable[str]) -> Iterator[str]:
    """The whole run, a result and a quantity a line."""
    separator = "\n"
    yield f'{{"schema": "{SCHEMA_ID}", "version": "{__version__}",\n"builds": ['
    for own in parts:
        yield separator + own
        separator = ",\n"
    yield f'],\n"errors": {_escaped(_lines([problem_fields(one) for one in problems]))}}}\n'


def _lines(data: Any, depth: int = 2) -> str:
    """JSON with what is nested deeper on one line."""
    if not depth or not isinstance(data, dict | list) or not data:
        return _encode(data)
    if isinstance(data, list):
        return _rows(data)
    return "{" + ",\n".join(f"{_encode(key)}: {_lines(one, depth - 1)}" for key, one in data.items()) + "}"


def _rows(rows: list[dict[str, Any]]) -> str:
    """Objects of the same keys, one a line: their first key begins no other, and no text has a bare quotation mark."""
    row = f'{{"{next(iter(rows[0]))}": '
    return "[\n" + _encode(rows)[1:-1].replace(f"}}, {row}", f"}},\n{row}") + "]"


def document(name: str, data: dict[str, Any]) -> str:
    """A whole object that names its schema, such as ``buildcheck:plan:1``, and the version that wrote it."""
    return dumped({"schema": f"buildcheck:{name}:1", "version": __version__, **data})


def dumped(data: Any) -> str:
    """JSON as people can read it; what no eye sees, or UTF-8 cannot carry, is escaped."""
    return _escaped(json.dumps(data, ensure_ascii=False, indent=2, allow_nan=False)) + "\n"


def _escaped(text: str) -> str:
    if text.replace("\n", "").isprintable():
        return text
    return "".join(each if each == "\n" or each.isprintable() else json.dumps(each)[1:-1] for each in text)


def amount(si: float, kind: str, system: str) -> dict[str, Any]:
    """A number with its text: ``si``, or ``deg`` for angles."""
    return {"deg" if kind == "angle" else "si": si, "text": show(si, kind, system)}


def _build(checked: CheckedBuild, results: Sequence[Result]) -> dict[str, Any]:
    system = checked.facts.system
    return {
        "folder": checked.build.display_path,
        "name": checked.build.name,
        "stage": checked.options.stage,
        "verdict": checked.verdict,
        "concessions": len({result.concession for result in checked.results if result.concession is not None}),
        "results": [_result(checked, result) for result in results],
        "quantities": _quantities(checked) if not checked.problems else {},
        "order": {
            "lines": [line_fields(line, system) for line in checked.order.lines],
            "risk": _risk(known_order_risk(checked.facts)),
            "open": [{**subject_fields(subject), "reason": why.reason} for subject, why in checked.order.unknown],
        },
        "accepted": _accepted(checked),
        "loosened": [_loosened(one) for one in loosened_limits(checked)],
        "errors": [problem_fields(problem) for problem in checked.problems],
    }


def _risk(risk: float | None) -> dict[str, Any] | None:
    """Chance that a pushrod does not suit an assumed valve; None if none is assumed, or if it cannot be determined."""
    return {"si": risk, "text": f"below {percent_above(risk)}"} if risk is not None else None


def _accepted(checked: CheckedBuild) -> dict[str, Any] | None:
    """Since when the build is accepted, whether that counts, and what differs inside and outside its folder."""
    one = checked.acceptance
    if one is None:
        return None
    return {"on": one.accepted_on, "counts": one.counts, "inside": list(one.inside), "outside": list(one.outside)}


def _loosened(limit: Loosened) -> dict[str, Any]:
    """A limit that lets through more than the one it displaced, with its reason."""
    return {
        "rule": limit.rule,
        "side": limit.side,
        "own": limit.shipped,
        "now": limit.in_force,
        "by": limit.by,
        "because": limit.because,
    }


def _result(checked: CheckedBuild, result: Result) -> dict[str, Any]:
    system = checked.facts.system
    kind = result.value.kind if result.value is not None else "count"
    return {
        "rule": result.rule,
        "kind": result.kind,
        "level": result.level,
        "blocks": result.blocks,
        "due": result.due,
        "subject": subject_fields(result.subject),
        "value": value_fields(result.value, system) if result.value is not None else None,
        **{side: amount(limit.si, limit.kind, system) for side, limit in result.bounds.items()},
        "margin": amount(result.margin, spread_kind(kind), system) if result.margin is not None else None,
        "message": sentence(checked, result),
        **place_fields(result.place),
        "places": [place_fields(place) for place in result.places],
        "concession": _concession(result),
        **_because_of(checked, result),
    }


def _because_of(checked: CheckedBuild, result: Result) -> dict[str, Any]:
    """The rule and subject of the cause, if the result is a consequence of another one."""
    cause = checked.causes.get((result.rule, result.subject))
    return {"because_of": {"rule": cause.rule, "subject": subject_fields(cause.subject)}} if cause is not None else {}


def value_fields(value: Value, system: str) -> dict[str, Any]:
    key = "expanded_uncertainty_deg" if value.kind == "angle" else "expanded_uncertainty_si"
    fields = {**amount(value.si, value.kind, system), key: value.expanded}
    return fields if value.sign_known else {**fields, "sign": "unknown"}


def _quantities(checked: CheckedBuild) -> dict[str, Any]:
    found: dict[str, Any] = {}
    for name, subject, value in quantities(checked.facts):
        fields = value_fields(value, checked.facts.system) | _found_at(checked, name, subject)
        if subject.key:
            found.setdefault(name, {})[subject.key] = fields
        else:
            found[name] = fields
    return found


def _found_at(checked: CheckedBuild, name: str, subject: Subject) -> dict[str, Any]:
    """The crank angle at which a quantity was found, under ``at``."""
    at = checked.facts.quantities[name].found_at
    angle = checked.facts.get_or_none(at, subject) if at else None
    return {"at": amount(angle.si, angle.kind, checked.facts.system)} if angle is not None else {}


def line_fields(line: OrderLine, system: str) -> dict[str, Any]:
    """One order line."""
    hole = line.length.gauge_hole
    return {
        "length": amount(line.length.stated, "length", system),
        "stated_as": line.length.stated_as,
        **({"gauge_hole": str(hole.value)} if hole is not None else {}),
        "count": line.count,
        "spares": line.spares,
        "serves": [subject_fields(subject) for subject in line.serves],
        "assumed": [subject_fields(subject) for subject in line.assumed],
        "stock": line.length.stock,
    }


def _concession(result: Result) -> dict[str, Any] | None:
    conceded = result.concession
    if conceded is None:
        return None
    fields = {"up_to": conceded.up_to, "because": conceded.because, "accepted_by": conceded.accepted_by}
    return {**fields, **place_fields(conceded.place)}


def subject_fields(subject: Subject) -> dict[str, Any]:
    """Cylinder and valve, as far as it has them."""
    pairs = {"cylinder": subject.cylinder, "valve": subject.valve}
    return {key: value for key, value in pairs.items() if value is not None}


def place_fields(place: Place) -> dict[str, Any]:
    """File, line and column."""
    return {"file": place.file, "line": place.line, "column": place.column}


def problem_fields(problem: Problem) -> dict[str, Any]:
    """An error with its place and the key's path."""
    return {**place_fields(problem.place), "path": problem.path, "message": problem.message}
