"""The measuring plan gives the crank angles for lift and drop, for the valves that motion.yaml still lacks."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from rewritten import ROOT, copied

from buildcheck.cli.main import main
from buildcheck.yamlio.documents import plain, read


def plain_or_none(text: str) -> Any:
    root = read(text.encode(), "").root
    return plain(root) if root is not None else None


EMPTY = ("motion.yaml", "", "# nothing read yet\n")


@pytest.mark.parametrize("format_", ["text", "markdown"])
def test_a_build_with_an_empty_motion_file_shows_where_to_read(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], format_: str
) -> None:
    build = copied(tmp_path, "example_build", EMPTY)
    assert main(["plan", str(build), "--format", format_]) == 0
    found = [line for line in capsys.readouterr().out.splitlines() if "for motion.yaml" in line]
    assert len(found) == 2
    assert "cylinder 1 intake" in found[0]
    assert "330 deg to 390 deg" in found[0]
    assert "one drop at 370 deg" in found[0]
    assert "one drop at 350 deg" in found[1]


def test_json_gives_every_crank_angle_and_that_of_the_drop(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    build = copied(tmp_path, "example_build", EMPTY)
    assert main(["plan", str(build), "--format", "json"]) == 0
    intake, exhaust = json.loads(capsys.readouterr().out)["motion"]
    cranks = [crank["deg"] for crank in intake["cranks"]]
    assert cranks == [*range(330, 395, 5), *range(425, 510, 5)]
    assert (intake["cylinder"], intake["valve"], intake["drop"]["deg"]) == (1, "intake", 370)
    assert (exhaust["valve"], exhaust["drop"]["deg"]) == ("exhaust", 350)


def test_the_page_to_print_has_a_box_for_each_reading(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    build = copied(tmp_path, "example_build", EMPTY)
    assert main(["plan", str(build), "--format", "html"]) == 0
    own = capsys.readouterr().out.split("<section")[-2]
    assert "Cylinder 1 intake: lift and drop for motion.yaml" in own
    assert own.count("<td></td>") == 30 + 1
    assert "<th>Drop to the piston at 370 deg</th>" in own
    assert "Stop at the first resistance" in own


def partly(crank: range, drop: str = "") -> str:
    """motion.yaml of an intake that was read over some crank angles."""
    lifts = [f"      - {{crank: {each} deg, lift: {0.02 + n / 50:.2f} in{drop}}}\n" for n, each in enumerate(crank)]
    return f"valves:\n  - cylinder: 1\n    valve: intake\n    at: valve\n    readings:\n{''.join(lifts)}"


def test_what_is_read_already_is_left_out(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    build = copied(tmp_path, "example_build", ("motion.yaml", "", partly(range(330, 365, 5))))
    assert main(["plan", str(build), "--format", "text"]) == 0
    shown = capsys.readouterr().out
    assert "cylinder 1 intake, for motion.yaml: read the lift at 365 deg to 390 deg and at 425 deg to 505 deg" in shown
    assert main(["plan", str(build), "--format", "html"]) == 0
    assert capsys.readouterr().out.split("<section")[-2].count("<td></td>") == 23 + 1
    assert main(["plan", str(build), "--into", "motion.yaml"]) == 0
    assert (build / "motion.yaml").read_text().count("#- cylinder: 1") == 1, "no second entry for the intake"


def test_a_drop_that_was_read_is_not_planned_again(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    build = copied(tmp_path, "example_build", ("motion.yaml", "", partly(range(370, 375, 5), ", drop: 0.1 in")))
    assert main(["plan", str(build), "--format", "json"]) == 0
    intake, exhaust = json.loads(capsys.readouterr().out)["motion"]
    assert (intake["drop"], exhaust["drop"]["deg"]) == (None, 350)
    assert 370 not in [crank["deg"] for crank in intake["cranks"]]


def test_a_valve_with_a_drop_alone_is_not_laid_out_again(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Two entries of one valve would contradict each other once the second is filled in."""
    drop = "valves:\n  - {cylinder: 1, valve: intake, at: valve, readings: [{crank: 370 deg, drop: 0.1 in}]}\n"
    build = copied(tmp_path, "example_build", ("motion.yaml", "", drop))
    assert main(["plan", str(build), "--into", "motion.yaml"]) == 0
    assert capsys.readouterr().err == "motion.yaml: 1 valve laid out, 1 already there\n"
    assert "#  valve: intake" not in (build / "motion.yaml").read_text()
    assert main(["plan", str(build)]) == 0
    shown = capsys.readouterr().out
    assert "intake, for motion.yaml: read the lift at 330 deg to 390 deg and at 425 deg to 505 deg" in shown
    assert "one drop at 370 deg" not in shown


def test_what_other_files_lack_needs_no_further_reading(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    own = (ROOT / "tests/builds/inline_six_closed/motion.yaml").read_text(encoding="utf-8")
    build = copied(tmp_path, "example_build", ("motion.yaml", "", own))
    assert main(["plan", str(build), "--format", "text"]) == 0
    assert "motion.yaml" not in capsys.readouterr().out


@pytest.mark.parametrize("empty", ["# nothing read yet\n", "gauge: {name: dial indicator}", "valves: []\n"])
def test_into_lays_out_readings_as_comments_once(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], empty: str
) -> None:
    build = copied(tmp_path, "example_build", ("motion.yaml", "", empty))
    before = plain_or_none(empty)
    assert main(["plan", str(build), "--into", "motion.yaml"]) == 0
    text = (build / "motion.yaml").read_text()
    assert text.startswith(empty.rstrip("\n"))
    assert plain_or_none(text) == before
    assert "#    - {crank: 370 deg, lift: , drop: }" in text
    assert main(["plan", str(build), "--into", str(build / "motion.yaml")]) == 0
    assert (build / "motion.yaml").read_text() == text
    assert capsys.readouterr().err.splitlines() == [
        "motion.yaml: 2 valves laid out, 0 already there", "motion.yaml: 0 valves laid out, 2 already there",
    ]  # fmt: skip


def test_an_entry_that_was_laid_out_can_be_filled_in(tmp_path: Path) -> None:
    build = copied(tmp_path, "example_build")
    assert main(["plan", str(build), "--into", "motion.yaml"]) == 0
    filled = (build / "motion.yaml").read_text().replace("lift: ,", "lift: 0 in,").replace("lift: }", "lift: 0 in}")
    filled = filled.replace("drop: }", "drop: 0.1 in}").replace("#valves", "valves").replace("  #", "  ")
    root = plain_or_none(filled)
    assert [(one["cylinder"], one["valve"], len(one["readings"])) for one in root["valves"]] == [
        (1, "intake", 30), (1, "exhaust", 30),
    ]  # fmt: skip
    assert root["valves"][0]["readings"][8] == {"crank": "370 deg", "lift": "0 in", "drop": "0.1 in"}


@pytest.mark.parametrize("folder", ["example_build", "tests/builds/inline_six_closed"])
def test_without_the_file_or_with_its_readings_the_plan_is_as_before(
    folder: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["plan", str(ROOT / folder), "--format", "text"]) == 0
    assert "motion.yaml" not in capsys.readouterr().out
