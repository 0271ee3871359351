"""Failures for code scanning, in SARIF 2.1.0 (OASIS): each rule with its help, each failure with all its places."""

from __future__ import annotations

import os
from collections.abc import Iterable, Iterator, Sequence
from typing import Any
from urllib.parse import quote

from buildcheck import __version__
from buildcheck.app.build_check import CheckedBuild
from buildcheck.app.rule_context import RuleContext
from buildcheck.core.escape import one_line
from buildcheck.core.problem import Place, Problem
from buildcheck.output.annotation import INPUT, Annotation, findings_for, input_annotations
from buildcheck.output.correction_wording import fix_text
from buildcheck.output.json import dumped
from buildcheck.rules.rule import Rule

MOST_RESULTS = 25_000
"""Code scanning takes so many results in one run."""
SCHEMA = "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json"


def render_build(context: RuleContext, checked: CheckedBuild) -> tuple[int, list[Annotation]]:
    """A build's exit code, unreadable data, what blocks, warnings, and loosened limits.

    Conceded results, other undecided ones and those that are not due are left out.
    """
    return checked.exit_code, [one for one in findings_for(context, checked) if one.concerns_ci]


def render_document(
    context: RuleContext, problems: Sequence[Problem], parts: Iterable[tuple[int, list[Annotation]]]
) -> Iterator[str]:
    """One run with its rules and all failures: what blocks first, within what code scanning takes."""
    rules = [_unreadable(), *(_rule(rule, context.repository.rule_page(rule.id)) for rule in context.rules.rules)]
    index = {rule["id"]: number for number, rule in enumerate(rules)}
    found, code = input_annotations(context, problems), 2 if problems else 0
    for own_code, results in parts:
        found += results
        code = max(code, own_code)
    found.sort(key=lambda one: (one.review, one.level != "error"))
    left_out = len(found) - MOST_RESULTS
    driver = {"name": "buildcheck", "semanticVersion": __version__, "rules": rules}
    log = {
        "tool": {"driver": driver},
        "invocations": [{"executionSuccessful": code != 2, "exitCode": code, **_notified(left_out)}],
        "columnKind": "unicodeCodePoints",
        "results": [_result(one, index[one.rule]) for one in found[:MOST_RESULTS]],
    }
    yield dumped({"version": "2.1.0", "$schema": SCHEMA, "runs": [log]})


def _notified(left_out: int) -> dict[str, Any]:
    """Says how many results are not in the file."""
    if left_out <= 0:
        return {}
    text = f"{left_out} more results are left out: code scanning takes {MOST_RESULTS} in one run"
    return {"toolExecutionNotifications": [{"level": "warning", "message": _message(text)}]}


def _result(one: Annotation, index: int) -> dict[str, Any]:
    first, *others = (_location(place, path) for place, path in zip(one.places, one.paths, strict=True))
    related = [
        {"id": number, **location, "message": {"text": "a value or limit that this result comes from"}}
        for number, location in enumerate(others, 1)
    ]
    return {
        "ruleId": one.rule,
        "ruleIndex": index,
        "kind": "review" if one.review else "fail",
        "level": "none" if one.review else one.level,
        "message": _message(one.message if one.failed or one.review else f"Undecided: {one.message}"),
        "locations": [first],
        **({"relatedLocations": related} if related else {}),
        "partialFingerprints": {"ruleBuildData/v1": one.fingerprint},
    }


def _location(place: Place, path: str) -> dict[str, Any]:
    """A place; the file of its URI is named byte for byte, as the file system has it."""
    uri = quote(os.fsencode(path))
    region = {"startLine": place.line, "startColumn": place.column}
    return {"physicalLocation": {"artifactLocation": {"uri": uri, "uriBaseId": "%SRCROOT%"}, "region": region}}


def _rule(rule: Rule, address: str) -> dict[str, Any]:
    page = {"helpUri": address} if address else {}
    fix = f"{fix_text(rule.fix)} Source: {rule.source}."
    return {**_described(rule.id, rule.title, rule.why, fix, rule.level, rule.area), **page}


def _unreadable() -> dict[str, Any]:
    why = "Nothing is judged in a build while one of its files cannot be read or contradicts another."
    fix = "Write the value as the message says, at the place that it names."
    return _described(INPUT, "Data that can be read and believed", why, fix, "error", INPUT)


def _described(name: str, title: str, why: str, fix: str, level: str, area: str) -> dict[str, Any]:
    return {
        "id": name,
        "shortDescription": _message(title),
        "fullDescription": _message(why),
        "help": _message(fix),
        "defaultConfiguration": {"level": level},
        "properties": {"tags": [area]},
    }


def _message(text: str) -> dict[str, str]:
    """A plain text message: braces doubled (3.11.5), and nothing in it that reads as a link (3.11.6)."""
    return {"text": one_line(text).replace("{", "{{").replace("}", "}}").replace("](", "] (")}
