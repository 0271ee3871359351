"""JUnit XML: a suite for each build, a test case for each rule and subject."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from xml.etree import ElementTree
from xml.etree.ElementTree import Element, SubElement

from buildcheck.app.build_check import CheckedBuild
from buildcheck.app.rule_context import RuleContext
from buildcheck.core.escape import one_line
from buildcheck.core.problem import Place, Problem
from buildcheck.output.annotation import INPUT, from_top
from buildcheck.output.finding_wording import message
from buildcheck.output.loosened import loosened_limits
from buildcheck.output.wording import level_text, message_text
from buildcheck.rules.results import Result

_STATES = {"failures": "failure", "errors": "error", "skipped": "skipped"}


def render_build(context: RuleContext, checked: CheckedBuild) -> str:
    """Failures are what blocks, errors what cannot be read; all else that did not pass is skipped, and says why."""
    return _suite(from_top(context, checked.build.folder), checked.problems, checked)


def render_document(context: RuleContext, problems: Sequence[Problem], parts: Iterable[str]) -> Iterator[str]:
    """The suites of all builds, the repository's own before them."""
    yield '<?xml version="1.0" encoding="UTF-8"?>\n<testsuites name="buildcheck">\n'
    if problems:
        yield _suite(from_top(context, context.repository.root), problems, None)
    yield from parts
    yield "</testsuites>\n"


def _suite(folder: str, problems: Iterable[Problem], checked: CheckedBuild | None) -> str:
    name = "repository" if folder == "." else one_line(folder)
    suite = Element("testsuite", name=name)
    for problem in problems:
        case = _case(suite, f"{INPUT}: {problem.place} {problem.path}")
        _tell(case, "error", INPUT, problem.message, problem.place.rebased_on(folder))
    if checked is not None:
        for result in checked.results:
            case = _case(suite, f"{result.rule}: {result.subject.text or 'the build'}")
            _judged(case, folder, result, message_text(result, message(checked, result)))
        for limit in loosened_limits(checked):
            case = _case(suite, f"limit loosened: {limit.rule} {limit.side}")
            _tell(case, "skipped", "loosened", limit.text, Place("build.yaml").rebased_on(folder))
    _count(suite)
    ElementTree.indent(suite, level=1)
    return f"  {ElementTree.tostring(suite, encoding='unicode')}\n"


def _count(suite: Element) -> None:
    """Numbers cases of one name apart, and writes how many there are in each state."""
    times: Counter[str] = Counter()
    for case in suite:
        name = case.get("name", "")
        times[name] += 1
        case.set("name", f"{name} ({times[name]})" if times[name] > 1 else name)
    suite.set("tests", str(len(suite)))
    for attribute, state in _STATES.items():
        suite.set(attribute, str(len(suite.findall(f"testcase/{state}"))))


def _judged(case: Element, folder: str, result: Result, text: str) -> None:
    place = result.place.rebased_on(folder)
    if result.blocks:
        _tell(case, "failure", result.kind, text, place)
    elif result.kind != "pass":
        _tell(case, "skipped", level_text(result) if result.kind == "fail" else result.kind, text, place)


def _case(suite: Element, name: str) -> Element:
    return SubElement(suite, "testcase", classname=suite.get("name", ""), name=one_line(name).rstrip())


def _tell(case: Element, state: str, kind: str, text: str, place: Place) -> None:
    text = one_line(text)
    SubElement(case, state, type=kind, message=text).text = f"{one_line(str(place))}: {text}"
