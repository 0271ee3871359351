"""Advice on a build that is not filled in: which file is lacking, never that a valve must be marked again for it."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest
from bench import DEMO

from buildcheck.cli.main import main


@pytest.fixture
def build(tmp_path: Path) -> Path:
    return Path(shutil.copytree(DEMO, tmp_path / "engine"))


def out(capsys: pytest.CaptureFixture[str], *call: str) -> tuple[int, str, str]:
    capsys.readouterr()
    code = main(["advise", *call])
    result = capsys.readouterr()
    return code, result.out, result.err


@pytest.mark.parametrize(
    ("file", "needed"),
    [("heads", "heads.valves.intake.tip_diameter"), ("cam", "cam.intake.lobe_lift")],
)
def test_what_a_mark_is_held_against_is_to_be_filled_in(
    build: Path, capsys: pytest.CaptureFixture[str], file: str, needed: str
) -> None:
    (build / f"{file}.yaml").unlink()
    code, result, _ = out(capsys, str(build), "--valve", "1/intake")
    assert code == 0
    assert f"next     Fill in first: {file}.yaml does not exist yet ({needed} is needed)." in result
    assert result.count("does not exist yet") == 1
    assert "no mark in the last trial" not in result
    assert "Mark again" not in result


def test_a_valve_without_a_mark_says_so(build: Path, capsys: pytest.CaptureFixture[str]) -> None:
    marks = build / "marks.yaml"
    marks.write_text(marks.read_text().replace("mark: {from: 0.138 in, to: 0.165 in}, ", "", 1))
    assert "mark     no mark in the last trial" in out(capsys, str(build), "--valve", "2/intake")[1]


@pytest.mark.parametrize(("file", "needed"), [("rockers", "rockers.tip.type"), ("block", "block.cylinders")])
def test_without_rockers_or_block_there_is_no_advice_yet(
    build: Path, capsys: pytest.CaptureFixture[str], file: str, needed: str
) -> None:
    (build / f"{file}.yaml").unlink()
    expected = f"o advice yet: {file}.yaml does not exist yet ({needed} is needed)"
    code, result, _ = out(capsys, str(build))
    assert code == 0
    assert f"N{expected}." in result
    assert "Not measured" not in result
    code, _, error = out(capsys, str(build), "--valve", "1/intake")
    assert code == 2
    assert f"n{expected}" in error
    data = json.loads(out(capsys, str(build), "--format", "json")[1])
    assert (data["advice"], data["lacking"]) == ([], f"{file}.yaml does not exist yet ({needed} is needed)")


@pytest.mark.parametrize("written", [True, False])
def test_with_nothing_measured_the_plan_is_named(
    build: Path, capsys: pytest.CaptureFixture[str], written: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(build.parent)
    marks = build / "marks.yaml"
    marks.unlink()
    if written:
        marks.write_text("valves: []\n")
    file = "" if written else "marks.yaml does not exist yet; "
    expected = f"measured yet: {file}'buildcheck plan engine' shows where to turn the crank"
    assert f"No valve is {expected}." in out(capsys, "engine")[1]
    assert f"cylinder 1 intake is not {expected}" in out(capsys, "engine", "--valve", "1/intake")[2]
