"""What is said of faulty files: the exact place, path and message of each."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from buildcheck.schema.fields import schema_names
from buildcheck.schema.validation import validate
from buildcheck.yamlio.documents import read

FOLDER = Path(__file__).parent / "schema_faults"


def faults() -> Iterator[tuple[str, str, str]]:
    """File's name, its text, and what is said: a caret stands under the place, path and message behind it."""
    for path in sorted(FOLDER.glob("*.txt")):
        for case in path.read_text(encoding="utf-8").rstrip("\n").split("\n\n"):
            lines = case.split("\n")
            messages = next(i for i, line in enumerate(lines) if line.lstrip().startswith("^ "))
            marked = lines.pop(messages)
            yield path.stem, "\n".join(lines) + "\n", f"{messages}:{marked.index('^') + 1} {marked.lstrip(' ^')}"


FAULTS = list(faults())


def test_faults_of_every_file_are_reported() -> None:
    assert {name for name, _, _ in FAULTS} == set(schema_names()) - {"rule"}
    assert len(FAULTS) >= 80


@pytest.mark.parametrize(("name", "text", "expected"), FAULTS)
def test_a_fault_is_named_at_its_place(name: str, text: str, expected: str) -> None:
    document = read(text.encode(), f"{name}.yaml")
    assert document.root is not None
    assert document.problems == ()
    [problem] = validate(name, document.root, document.file)
    assert problem.place.file == f"{name}.yaml"
    assert f"{problem.place.line}:{problem.place.column} {problem.path}: {problem.message}" == expected


def messages(name: str, text: str) -> list[str]:
    document = read(text.encode(), f"{name}.yaml")
    assert document.root is not None
    return [f"{p.place.line}:{p.place.column} {p.path}" for p in validate(name, document.root, document.file)]


def test_all_faults_are_reported_at_once_in_the_order_of_their_places() -> None:
    text = "mount: stand\nadjuster_thread: 8\ntip: {type: roler}\nratio: 1.6\nextra: 1\n"
    expected = ["1:1 valve_arm", "1:8 mount", "2:18 adjuster_thread", "3:6 tip.radius", "3:13 tip.type", "5:1 extra"]
    assert messages("rockers", text) == expected


def test_an_odd_value_is_cut_and_its_control_characters_are_spelled_out() -> None:
    document = read(b'name: x\nstage: "\\e[31m' + b"a" * 100 + b'"\n', "build.yaml")
    assert document.root is not None
    [problem] = validate("build", document.root, "build.yaml")
    found = problem.message.removeprefix("found '").split("'")[0]
    assert found == "\\x1b[31m" + "a" * 54 + "…"


def test_an_odd_key_is_spelled_out_in_path_and_message() -> None:
    document = read(b'name: x\nstage: planning\n"a\\e\\n": 1\n', "build.yaml")
    assert document.root is not None
    [problem] = validate("build", document.root, "build.yaml")
    assert problem.path == r"a\x1b\n"
    assert problem.message.startswith(r"unknown key 'a\x1b\n'; known here: name, stage, units")


@pytest.mark.parametrize("number", ["1" + "0" * 400, "1e999", ".inf", "-.inf", ".nan", ".NaN"])
@pytest.mark.parametrize("key", ["ratio", "adjuster_turns"])
def test_a_number_beyond_measure_is_refused(key: str, number: str) -> None:
    text = f"mount: stud\nadjuster: nut\n{key}: {number}\nvalve_arm: 39 mm\ntip: {{type: roller, radius: 6 mm}}\n"
    text += "" if key == "ratio" else "ratio: 1.6\n"
    assert f"3:{len(key) + 3} {key}" in messages("rockers", text)


def test_a_rule_needs_a_limit_and_examples_that_pass_and_fail() -> None:
    head = (
        "id: x\ntitle: t\nfor_each: valve\nquantity: preload\nlevel: error\ndue: ordering\nwhy: w\nfix: f\nsource: s\n"
    )
    assert messages("rule", head + "examples: [{given: {preload: 1 mm}, gives: pass}]\n") == ["1:1 ", "10:11 examples"]
    both = "examples: [{given: {preload: 1 mm}, gives: pass}, {given: {preload: 3 mm}, gives: fail}]\n"
    assert messages("rule", head + "at_zero: contact\n" + both) == []
    assert messages("rule", head + "at_least: {intake: 1 mm, exhaust: 2}\n" + both) == []
