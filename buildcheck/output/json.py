"""Results for scripts: one JSON object, keys as documented, in a stable order."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any

from buildcheck import __version__
from buildcheck.app.build_check import CheckedBuild
from buildcheck.app.rule_context import RuleContext
from buildcheck.core.problem import Problem
from buildcheck.core.value import Value
from buildcheck.ordering.assumed_risk import known_order_risk
from buildcheck.ordering.order import OrderLine
from buildcheck.output.json_rows import (
    BuildRows,
    enclosed,
    encoded,
    escaped,
    keyed,
    listed,
    place_fields,
    subject_fields,
)
from buildcheck.output.loosened import Loosened, loosened_limits
from buildcheck.rules.results import Result
from buildcheck.units.display import percent_above
from buildcheck.units.quantity import show

SCHEMA_ID = "buildcheck:results:1"
"""The schema of the whole object: `buildcheck schemas --print` shows it."""


def render_build(context: RuleContext, checked: CheckedBuild) -> bytes:
    """One build, in UTF-8 already: encoded once, by the process that checked it."""
    return _rendered(checked, checked.results)


def render_findings(context: RuleContext, checked: CheckedBuild) -> bytes:
    """One build without the results that pass or do not apply."""
    return _rendered(checked, checked.unmet)


def render_document(context: RuleContext, problems: Sequence[Problem], parts: Iterable[bytes]) -> Iterator[bytes]:
    """The whole run, a result and a quantity a line."""
    separator, pages = b"\n", context.repository.rule_page("{rule}")
    address = f', "rule_pages": {encoded(pages)}' if pages else ""
    yield f'{{"schema": "{SCHEMA_ID}", "version": "{__version__}"{address},\n"builds": ['.encode()
    for part in parts:
        yield separator
        yield part
        separator = b",\n"
    yield f'],\n"errors": {_problem_rows(problems)}}}\n'.encode()


def document(name: str, data: dict[str, Any]) -> str:
    """A whole object that names its schema, such as ``buildcheck:plan:1``, and the version that wrote it."""
    return dumped({"schema": f"buildcheck:{name}:1", "version": __version__, **data})


def dumped(data: Any) -> str:
    """JSON as people can read it; what no eye sees, or UTF-8 cannot carry, is escaped."""
    return escaped(json.dumps(data, ensure_ascii=False, indent=2, allow_nan=False)) + "\n"


def amount(si: float, kind: str, system: str) -> dict[str, Any]:
    """A number with its text: ``si``, or ``deg`` for angles."""
    return {"deg" if kind == "angle" else "si": si, "text": show(si, kind, system)}


def _rendered(checked: CheckedBuild, results: Iterable[Result]) -> bytes:
    """A build's lines, put together once: they are long."""
    rows = BuildRows(checked)
    lines = [
        f'{{"folder": {encoded(checked.build.display_path)}',
        f'"name": {encoded(checked.build.name)}',
        f'"stage": {encoded(checked.options.stage)}',
        f'"verdict": {encoded(checked.verdict)}',
        f'"concessions": {len({one.concession for one in checked.unmet if one.concession is not None})}',
        *enclosed('"results": [\n', rows.results(results), "]"),
        *enclosed('"quantities": {', rows.quantities() if not checked.problems else [], "}"),
        f'"order": {_spread(_order(checked))}',
        f'"accepted": {_spread(_accepted(checked))}',
        f'"loosened": {listed(encoded(_loosened(one)) for one in loosened_limits(checked))}',
        f'"errors": {_problem_rows(checked.problems)}}}',
    ]
    return ",\n".join(lines).encode()


def _spread(fields: Mapping[str, Any] | None) -> str:
    """An object with a field a line."""
    return "null" if fields is None else keyed({key: encoded(value) for key, value in fields.items()}, ",\n")


def _problem_rows(problems: Iterable[Problem]) -> str:
    return listed(encoded(problem_fields(one)) for one in problems)


def _order(checked: CheckedBuild) -> dict[str, Any]:
    """What to order, how sure that is, and the valves for which no length is known."""
    return {
        "lines": [line_fields(line, checked.facts.system) for line in checked.order.lines],
        "risk": _risk(known_order_risk(checked.facts)),
        "open": [{**subject_fields(subject), "reason": why.reason} for subject, why in checked.order.unknown],
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


def value_fields(value: Value, system: str) -> dict[str, Any]:
    key = "expanded_uncertainty_deg" if value.kind == "angle" else "expanded_uncertainty_si"
    fields = {**amount(value.si, value.kind, system), key: value.expanded}
    return fields if value.sign_known else {**fields, "sign": "unknown"}


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


def problem_fields(problem: Problem) -> dict[str, Any]:
    """An error with its place and the key's path."""
    return {**place_fields(problem.place), "path": problem.path, "message": problem.message}
