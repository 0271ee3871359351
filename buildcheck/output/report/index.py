"""The team's overview: one table of all builds of a repository, with verdict, stage, open points and order."""

from __future__ import annotations

from collections.abc import Iterator
from urllib.parse import quote

from buildcheck.app.build_check import CheckedBuild
from buildcheck.app.run import Run
from buildcheck.core.plural import counted
from buildcheck.output.markdown import md
from buildcheck.output.wording import line_text, verdict_text


def render_index(run: Run) -> str:
    """The overview's text: one row a build in order of the folders, the same to the byte on every machine."""
    verdicts = [checked.verdict for checked in run.builds]
    counts = ", ".join(f"{verdicts.count(word)} {word}" for word in ("fail", "open", "pass") if word in verdicts)
    head = ["# Builds", "", f"{counted(len(run.builds), 'build')}: {counts}.", ""]
    table = ["| Build | Stage | Verdict | Order |", "|---|---|---|---|"]
    return "".join(f"{line}\n" for line in [*head, *table, *(_row(run, checked) for checked in run.builds)])


def _row(run: Run, checked: CheckedBuild) -> str:
    repository = run.context.repository
    folder = checked.build.folder.resolve().relative_to(repository.root.resolve()).as_posix()
    link = quote(f"{folder}/{repository.report_name}".removeprefix("./"))
    name = f"[{md(checked.build.name)}]({link})<br>{md(folder)}"
    verdict = f"**{checked.verdict}**: {md('; '.join(_points(checked)))}"
    return f"| {name} | {checked.options.stage} | {verdict} | {md('; '.join(_ordered(checked)))} |"


def _points(checked: CheckedBuild) -> Iterator[str]:
    yield verdict_text(checked)
    findings = [result for result in checked.results if result.is_finding and result.concession is None]
    if rules := {result.rule for result in findings if not result.blocks}:
        yield f"{counted(len(rules), 'rule')} to review (not blocking)"


def _ordered(checked: CheckedBuild) -> Iterator[str]:
    """How far the order is: nothing, proposed, chosen or delivered, and the valves still without a length."""
    if checked.problems:
        yield "not determined"
        return
    if checked.verdict == "fail":
        yield "do not order"
        return
    if checked.informing:
        yield "as accepted"
        return
    lines = [line_text(line, checked.facts.system) for line in checked.order.lines]
    if lines:
        yield f"{_state(checked)}: {', '.join(lines)}"
    if checked.order.unknown:
        yield f"{counted(len(checked.order.unknown), 'valve')} without a length"
    if not lines and not checked.order.unknown:
        yield "nothing yet"


def _state(checked: CheckedBuild) -> str:
    if checked.facts.node("as_built.delivered") is not None:
        return "delivered"
    return "chosen" if checked.facts.node("pushrods.chosen") is not None else "proposed"
