"""Repositories to tell CI about: a green and a red build, an unreadable one, and one that means harm."""

from __future__ import annotations

import json
import shutil
import subprocess
from collections.abc import Callable
from functools import cache
from pathlib import Path
from types import ModuleType

import xmlschema
from jsonschema import Draft4Validator

from buildcheck.app.run import Run, run
from buildcheck.output import annotation as told_of
from buildcheck.output.annotation import Annotation

ROOT = Path(__file__).parents[2]
BUILDS = [ROOT / "example_build", *sorted((ROOT / "tests" / "builds").iterdir())]
ON_TIP, AT_EDGE = "mark: {from: 0.145 in, to: 0.172 in}", "mark: {from: 0.005 in, to: 0.032 in}"
FOLDER = "::error::x,y%25]]>|{0}"
HARM = r"]]> <b>|</b> ::error::x %0A::set-env name=A::b ##[error]c [d](e) {0} \e[31m\u202E\uFFFE `f` @g $h"
CONCEDED = """\
- {rule: mark-centred, cylinder: 1, valve: intake, up_to: 0.15 in, because: raced once, accepted_by: the engineer}
- {rule: mark-width, cylinder: 2, valve: intake, up_to: 0.2 in, because: of old, accepted_by: the engineer}
- {rule: mark-width, cylinder: 3, valve: intake, up_to: 0.2 in, because: of old, accepted_by: the engineer}
"""
RULE = f"""\
id: harm
title: "Title {HARM}"
for_each: valve_type
quantity: valve_lift
at_least: 9 in
level: error
due: planning
why: "Why {HARM}"
fix: "Fix {HARM}"
source: common practice, no published source
examples:
  - {{given: {{valve_lift: 9.5 in}}, gives: pass}}
  - {{given: {{valve_lift: 0.5 in}}, gives: fail}}
"""


@cache
def sarif_schema() -> Draft4Validator:
    """The OASIS schema."""
    text = (ROOT / "tests" / "third_party" / "sarif-2.1.0-rtm.5.json").read_text(encoding="utf-8")
    return Draft4Validator(json.loads(text), format_checker=Draft4Validator.FORMAT_CHECKER)


@cache
def junit_schema() -> xmlschema.XMLSchema:
    """The schema of JUnit's results in wide use."""
    return xmlschema.XMLSchema(str(ROOT / "tests" / "third_party" / "junit-10.xsd"))


def git_init(folder: Path) -> None:
    subprocess.run(["git", "init", "-q", str(folder)], check=True)


def lay(repository: Path) -> Path:
    """A git repository with five builds and a team's rule."""
    green = repository / "engines" / "green"
    shutil.copytree(ROOT / "example_build", green)
    red = copied(green, "red")
    edit(red / "marks.yaml", ON_TIP, AT_EDGE)
    leave = copied(red, "leave")
    (leave / "concessions.yaml").write_text(CONCEDED)
    copied(green, "torn")
    lines = "".join(f"oddity_{number}: 1\n" for number in range(12))
    edit(green.with_name("torn") / "cam.yaml", "lifter:", f"{lines}lifter:")
    copied(green, FOLDER)
    edit(green.with_name(FOLDER) / "build.yaml", "name: ", f'? "{HARM}"\n: 1\nname: ')
    (repository / "buildcheck.yaml").write_text("rules: [shop]\n")
    (repository / "shop").mkdir()
    (repository / "shop" / "harm.yaml").write_text(RULE)
    git_init(repository)
    return repository


def copied(build: Path, name: str) -> Path:
    return Path(shutil.copytree(build, build.with_name(name)))


def edit(path: Path, old: str, new: str) -> None:
    text = path.read_text()
    assert old in text
    path.write_text(text.replace(old, new, 1))


def one(build: Path) -> Run:
    return run([build])


def decoded(text: str | bytes) -> str:
    """What a format yields, as text: json yields bytes."""
    return text if isinstance(text, str) else text.decode()


def written(form: ModuleType) -> Callable[[Run], str]:
    """What a format writes of a run, as the check command has it written."""

    def write(done: Run) -> str:
        parts = (form.render_build(done.context, checked) for checked in done.builds)
        return "".join(map(decoded, form.render_document(done.context, done.problems, parts)))

    return write


def findings_for(done: Run, together: bool = False) -> list[Annotation]:
    """All that CI is reported of a run."""
    builds = (one for checked in done.builds for one in told_of.findings_for(done.context, checked, together))
    return [*told_of.input_annotations(done.context, done.problems), *builds]
