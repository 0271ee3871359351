"""The order as a text for the supplier, the labels, and when there is none."""

from __future__ import annotations

from pathlib import Path

import pytest
from rewritten import ROOT, copied

from buildcheck.cli.main import main

Output = pytest.CaptureFixture[str]


def printed(capsys: Output, *words: str, code: int = 0) -> tuple[str, str]:
    assert main(["report", *words]) == code
    shown = capsys.readouterr()
    return shown.out, shown.err


def test_the_order_of_the_demo(capsys: Output) -> None:
    assert printed(capsys, "--order", str(ROOT / "example_build"))[0] == (
        "Pushrod order for: Dunlin, straight six of the safety launch\n\n"
        "13 pushrods: 12 and 1 spare\n"
        "  Length:              9.450 in (240.03 mm), gauge length, between two gauge cups with holes of 0.120 in\n"
        "  Tolerance on length: +/- 0.002 in\n"
        "  Diameter:            5/16 in\n"
        "  Wall:                0.065 in\n"
        "  Material:            steel\n"
        "  Yield strength:      60 ksi\n"
        "  Both ends:           ball of 5/32 in radius, oil hole 0.080 in\n\n"
        "Before you make or send them, please confirm:\n"
        "- 9.450 in is a gauge length, between two gauge cups with holes of 0.120 in. Does your gauge have holes "
        "of 0.120 in? The same pushrod measures 9.464 in over both ends and 9.474 in over full balls. If not, which "
        "length do you state for it?\n"
    )


def test_the_report_has_the_same_data(capsys: Output) -> None:
    report = " ".join((ROOT / "example_build/REPORT.md").read_text(encoding="utf-8").split())
    order, _ = printed(capsys, "--order", str(ROOT / "example_build"))
    assert order.splitlines()[-1].removeprefix("- ") in report
    assert "tolerance on length +/- 0.002 in; diameter 5/16 in; wall 0.065 in; material steel" in report


def test_different_ends_and_two_lengths(capsys: Output) -> None:
    order, _ = printed(capsys, "--order", str(ROOT / "tests/builds/flat_four_solid"))
    assert "  End at the rocker:   cup of 5/32 in radius\n" in order
    assert "measures 10.602 in over full balls." in order
    order, _ = printed(capsys, "--order", str(ROOT / "tests/builds/vee_eight_mm"))
    assert order.count("10 pushrods: 8 and 2 spares\n") == 2
    assert "192.00 mm (7.559 in), full-ball length" in order
    assert "193.00 mm (7.598 in), full-ball length" in order


def test_a_label_for_each_valve_if_lengths_differ(capsys: Output) -> None:
    labels, _ = printed(capsys, "--labels", str(ROOT / "tests/builds/vee_eight_mm"))
    assert labels.splitlines()[:2] == [
        "cylinder 1 intake: 192.00 mm (full ball)",
        "cylinder 1 exhaust: 193.00 mm (full ball)",
    ]
    assert len(labels.splitlines()) == 16
    labels, note = printed(capsys, "--labels", str(ROOT / "example_build"))
    assert labels == ""
    assert "all valves get the same length: no labels are needed" in note


def test_what_is_assumed_is_shown_to_the_builder_and_not_to_the_supplier(capsys: Output) -> None:
    order, note = printed(capsys, "--order", str(ROOT / "example_build"))
    assert "assumed" not in order
    assert "4 of 12 valves are not measured; they are assumed" in note


def test_there_is_no_order_while_a_rule_blocks_or_before_its_stage(tmp_path: Path, capsys: Output) -> None:
    bad = ("marks.yaml", "from: 0.145 in, to: 0.172 in", "from: 0.005 in, to: 0.032 in")
    order, note = printed(capsys, "--order", str(copied(tmp_path / "bad", "example_build", bad)), code=1)
    assert order == ""
    assert note.startswith("buildcheck: no order: Not ready to order: ")
    early = ("build.yaml", "stage: ordering", "stage: measuring")
    order, note = printed(capsys, "--order", str(copied(tmp_path / "early", "example_build", early)), code=1)
    assert (order, "judged from stage ordering on" in note) == ("", True)


def test_what_only_prints_checks_and_writes_nothing(capsys: Output) -> None:
    _, note = printed(capsys, "--order", "--check", str(ROOT / "example_build"), code=2)
    assert "leave --check out" in note
