"""Failures for code scanning, in SARIF 2.1.0 (OASIS): each rule with its help, each failure with all its places."""

from __future__ import annotations

import os
from typing import Any
from urllib.parse import quote

from buildcheck import __version__
from buildcheck.escape import one_line
from buildcheck.findings import Place
from buildcheck.formats.json import dumped
from buildcheck.formats.told import INPUT, Told, told
from buildcheck.rule import Rule
from buildcheck.run import Run

SCHEMA = "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json"


def write(run: Run) -> str:
    """The failures of a run and what could not be read; open and conceded results are left out."""
    rules = [_unreadable(), *(_rule(rule) for rule in run.frame.rules.rules)]
    index = {rule["id"]: number for number, rule in enumerate(rules)}
    found = [one for one in told(run) if one.failed and not one.accepted]
    driver = {"name": "buildcheck", "semanticVersion": __version__, "rules": rules}
    whole = {
        "tool": {"driver": driver},
        "invocations": [{"executionSuccessful": run.exit_code != 2, "exitCode": run.exit_code}],
        "columnKind": "unicodeCodePoints",
        "results": [_result(one, index[one.rule]) for one in found],
    }
    return dumped({"version": "2.1.0", "$schema": SCHEMA, "runs": [whole]})


def _result(one: Told, index: int) -> dict[str, Any]:
    first, *others = one.places
    related = [
        {"id": number, **_location(place), "message": {"text": "a value or limit that this result comes from"}}
        for number, place in enumerate(others, 1)
    ]
    return {
        "ruleId": one.rule,
        "ruleIndex": index,
        "kind": "fail",
        "level": one.level,
        "message": _message(one.message),
        "locations": [_location(first)],
        **({"relatedLocations": related} if related else {}),
        "partialFingerprints": {"ruleBuildData/v1": one.fingerprint},
    }


def _location(place: Place) -> dict[str, Any]:
    uri = quote(os.fsencode(place.file))
    region = {"startLine": place.line, "startColumn": place.column}
    return {"physicalLocation": {"artifactLocation": {"uri": uri, "uriBaseId": "%SRCROOT%"}, "region": region}}


def _rule(rule: Rule) -> dict[str, Any]:
    return _described(rule.id, rule.title, rule.why, f"{rule.fix} Source: {rule.source}.", rule.level, rule.area)


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
