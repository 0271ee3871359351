"""Annotations on the lines of a pull request, as GitHub's workflow commands; nothing else is printed."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from buildcheck.app.build_check import CheckedBuild
from buildcheck.app.rule_context import RuleContext
from buildcheck.core.problem import Place, Problem
from buildcheck.output.annotation import Annotation, annotated, findings_for, from_top, input_annotations
from buildcheck.output.wording import outcome_text

SHOWN = 10
"""So many annotations of a kind are shown for one step; the rest is in its log only."""
_COMMANDS = {"error": "error", "warning": "warning", "note": "notice"}
_IN_TEXT = {"%": "%25", "\r": "%0D", "\n": "%0A"}
_IN_PROPERTY = {**_IN_TEXT, ":": "%3A", ",": "%2C"}


def render_build(context: RuleContext, checked: CheckedBuild) -> list[Annotation]:
    """A build's verdict, then its findings."""
    folder = from_top(context, checked.build.folder)
    place = Place("build.yaml").rebased_on(folder)
    verdict = annotated("verdict", "note", outcome_text(checked), [place], folder, "")
    found = findings_for(context, checked, together=True)
    return [verdict, *(one for one in found if one.concerns_ci or one.accepted)]


def render_document(
    context: RuleContext, problems: Sequence[Problem], parts: Iterable[list[Annotation]]
) -> Iterator[str]:
    """What blocks, then warnings, then each build's verdict and what was conceded or loosened: failing builds first."""
    found = [*input_annotations(context, problems), *(one for annotations in parts for one in annotations)]
    failing = {one.build for one in found if one.level == "error"}
    found.sort(key=lambda one: (one.build not in failing, one.rule != "verdict", one.places, one.rule))
    for level in _COMMANDS:
        yield from (f"{line}\n" for line in _capped(level, [one for one in found if one.level == level]))


def _capped(level: str, found: list[Annotation]) -> Iterator[str]:
    """Findings of a level; where more are found than shown, the last one shown says so."""
    last = SHOWN - 1 if len(found) > SHOWN else SHOWN
    yield from (_annotation(one) for one in found[:last])
    if len(found) > SHOWN:
        rest = f"{len(found) - last} more of this kind are not shown as annotations: all are in the step's log"
        yield f"::{_COMMANDS[level]} title=buildcheck::{_escaped(rest, _IN_TEXT)}"
    yield from (_annotation(one) for one in found[last:])


def _annotation(one: Annotation) -> str:
    place = one.places[0]
    properties = {"file": place.file, "line": place.line, "col": place.column, "title": one.rule}
    listed = ",".join(f"{name}={_escaped(str(value), _IN_PROPERTY)}" for name, value in properties.items())
    return f"::{_COMMANDS[one.level]} {listed}::{_escaped(one.message, _IN_TEXT)}"


def _escaped(text: str, codes: dict[str, str]) -> str:
    return "".join(codes.get(character, character) for character in text)
