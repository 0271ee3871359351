"""GitHub's annotations, read back as its runner reads workflow commands."""

from __future__ import annotations

import re
from dataclasses import dataclass
from pathlib import Path

from repositories import copied, edit, findings_for, lay, one, written

from buildcheck.app.run import Run
from buildcheck.core.escape import one_line
from buildcheck.output import github
from buildcheck.output.github import SHOWN

write = written(github)

COMMANDS = {"error": "error", "warning": "warning", "notice": "note"}


@dataclass(frozen=True)
class Command:
    """A workflow command as the runner understands it."""

    name: str
    properties: dict[str, str]
    data: str


def unescaped(text: str, codes: str) -> str:
    """Percent codes of the documented set, the percent sign's own last."""
    for character in f"{codes}%":
        text = text.replace(f"%{ord(character):02X}", character)
    return text


def parsed(line: str) -> Command:
    found = re.match(r"::([a-z]+)(?: (.*?))?::(.*)", line)
    assert found is not None
    pairs = (pair.split("=", 1) for pair in (found[2] or "").split(",") if pair)
    return Command(found[1], {key: unescaped(text, "\r\n:,") for key, text in pairs}, unescaped(found[3], "\r\n"))


def commands(run: Run) -> list[Command]:
    text = write(run)
    assert text.isprintable() or set(filter(lambda one: not one.isprintable(), text)) == {"\n"}
    return [parsed(line) for line in text.splitlines()]


def test_every_finding_is_read_back_whole_at_its_place(done: Run) -> None:
    found = {(COMMANDS[c.name], c.properties.get("file"), c.properties.get("line"), c.data) for c in commands(done)}
    for finding in (each for each in findings_for(done, together=True) if each.concerns_ci or each.accepted):
        place = finding.places[0]
        assert (finding.level, place.file, str(place.line), finding.message) in found


def test_nothing_but_annotations_is_said(done: Run) -> None:
    keys = {tuple(command.properties) for command in commands(done)}
    assert {command.name for command in commands(done)} == set(COMMANDS)
    assert keys == {("file", "line", "col", "title"), ("title",)}


def test_harm_is_shown_as_written(done: Run) -> None:
    title = one_line(done.context.rules["harm"].title)[1:]
    assert [c for c in commands(done) if title in c.data and c.properties["title"] == "harm"]


def test_errors_come_first(done: Run) -> None:
    order = [list(COMMANDS).index(command.name) for command in commands(done)]
    assert order == sorted(order)
    assert set(order) == {0, 1, 2}


def test_the_last_annotation_shown_says_how_many_are_not(done: Run) -> None:
    errors = [command for command in commands(done) if command.name == "error"]
    left = len(errors) - SHOWN
    assert left > 0
    assert errors[SHOWN - 1].data.startswith(f"{left} more of this kind")


def test_ten_are_all_shown(tmp_path: Path) -> None:
    build = copied(lay(tmp_path) / "engines" / "torn", "ten")
    edit(build / "cam.yaml", "oddity_0: 1\noddity_1: 1\n", "")
    errors = [command for command in commands(one(build)) if command.name == "error"]
    assert len(errors) == SHOWN
    assert not [command for command in errors if "more of this kind" in command.data]


def test_each_build_has_its_verdict(done: Run) -> None:
    verdicts = [command.properties["file"] for command in commands(done) if command.properties["title"] == "verdict"]
    assert len(verdicts) == len(done.builds)


def test_no_notice_goes_before_the_verdicts(done: Run) -> None:
    titles = [command.properties["title"] for command in commands(done) if command.name == "notice"]
    assert titles[: len(done.builds)] == ["verdict"] * len(done.builds)
