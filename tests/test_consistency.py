"""Files that cannot speak of one engine: each slip named and counted at its place; what only looks like one is not."""

from __future__ import annotations

from pathlib import Path

import pytest
from altered import EIGHT, FLAT, SIX, facts
from rewritten import Edit

MARK = "mark: {from: 0.145 in, to: 0.172 in}"
STOCK = "from: 9.000 in\n    to: 9.900 in\n    step: 0.050 in"

SLIPS: list[tuple[str, Edit, str, str]] = [
    (SIX, ("block.yaml", "[1, 5, 3, 6, 2, 4]", "[1, 5, 3, 6, 2]"), "block.yaml:5:15",
     "firing_order must list each of the 6 cylinders once"),
    (SIX, ("block.yaml", "[1, 5, 3, 6, 2, 4]", "[1, 5, 3, 6, 2, 7]"), "block.yaml:5:15",
     "firing_order must list each of the 6 cylinders once"),
    (SIX, ("block.yaml", "", "firing_intervals: [144 deg, 144 deg, 144 deg, 144 deg, 144 deg]\n"), "block.yaml:14:19",
     "5 firing_intervals for 6 cylinders"),
    (SIX, ("block.yaml", "", "firing_intervals: [120 deg, 120 deg, 120 deg, 120 deg, 120 deg, 119 deg]\n"),
     "block.yaml:14:19", "firing_intervals must add up to 720 deg"),
    (EIGHT, ("block.yaml", "right: [5, 6, 7, 8]", "right: [5, 6, 7, 9]"), "block.yaml:4:8",
     "banks must list each of the 8 cylinders once"),
    (EIGHT, ("block.yaml", "right: [5, 6, 7, 8]", "right: [5, 6, 7]"), "block.yaml:4:8",
     "banks must list each of the 8 cylinders once"),
    (SIX, ("marks.yaml", "cylinder: 6", "cylinder: 7"), "marks.yaml:55:15",
     "marks.yaml lists cylinder 7, the engine has 6"),
    (SIX, ("clearances.yaml", "cylinder: 4,", "cylinder: 14,"), "clearances.yaml:17:16",
     "clearances.yaml lists cylinder 14, the engine has 6"),
    (SIX, ("pushrods.yaml", "", "chosen: {each: [{cylinder: 8, valve: intake, length: 9.4 in}], stated_as: overall}\n"),
     "pushrods.yaml:25:28", "pushrods.yaml lists cylinder 8, the engine has 6"),
    (SIX, ("marks.yaml", "cylinder: 2", "cylinder: 1"), "marks.yaml:30:5",
     "marks.yaml lists cylinder 1 intake twice"),
    (SIX, ("clearances.yaml", "", "  - {cylinder: 4, valve: exhaust, pushrod_to_head: 0.039 in, note: again}\n"),
     "clearances.yaml:18:5", "clearances.yaml lists cylinder 4 exhaust pushrod_to_head twice"),
    (SIX, ("cam.yaml", "at_least: 0.020 in, at_most: 0.060 in}", "at_least: 0.061 in, at_most: 0.060 in}"),
     "cam.yaml:5:23", "cam.lifter.preload.at_least is more than cam.lifter.preload.at_most"),
    (EIGHT, ("cam.yaml", "aim: 1.00 mm", "aim: 1.51 mm"), "cam.yaml:3:55",
     "the preload target is outside the lifter preload range"),
    (EIGHT, ("cam.yaml", "aim: 1.00 mm", "aim: 0.49 mm"), "cam.yaml:3:55",
     "the preload target is outside the lifter preload range"),
    (SIX, ("heads.yaml", "coil_bind_height: 29.2 mm", "coil_bind_height: 43.19 mm"), "heads.yaml:28:23",
     "heads.springs.intake.coil_bind_height is more than heads.springs.intake.installed_height"),
    (SIX, ("cam.yaml", "base_circle_diameter: 1.230 in", "base_circle_diameter: 0.284 in"), "cam.yaml:18:14",
     "cam.exhaust.lobe_lift is more than cam.base_circle_diameter"),
    (EIGHT, ("cam.yaml", "travel: 3.8 mm", "travel: 1.49 mm"), "cam.yaml:3:41",
     "cam.lifter.preload.at_most is more than cam.lifter.travel"),
    (SIX, ("pushrods.yaml", "wall: 0.065 in", "wall: 0.1563 in"), "pushrods.yaml:4:7",
     "pushrods.wall is more than half of pushrods.diameter"),
    (SIX, ("marks.yaml", "turns: 9.25", "turns: 16.25"), "marks.yaml:45:16",
     "the thread of the checking pushrod ends at 16 turns (most_turns)"),
    (SIX, ("pushrods.yaml", "most_turns: 16", "most_turns: 9"), "marks.yaml:45:16",
     "the thread of the checking pushrod ends at 9 turns (most_turns)"),
    (SIX, ("marks.yaml", "length: 9.3500 in", "length: 9.7500 in"), "marks.yaml:19:18",
     "the checking pushrod does not reach this length: it would be 18.2 turns out"),
    (SIX, ("marks.yaml", "length: 9.3500 in", "length: 9.0500 in"), "marks.yaml:19:18",
     "the checking pushrod does not reach this length: it would be -1.4 turns out"),
    (SIX, ("pushrods.yaml", "ball_radius: 5/32 in, oil_hole: 0.080 in", "ball_radius: 5/16 in, oil_hole: 0.080 in"),
     "pushrods.yaml:7:33",
     "the ball is twice as wide as its pushrod: enter the radius, half the ball diameter"),
    (FLAT, ("pushrods.yaml", "ball_radius: 3/16 in", "ball_radius: 3/8 in"), "pushrods.yaml:7:37",
     "the ball is twice as wide as its pushrod: enter the radius, half the ball diameter"),
    (SIX, ("marks.yaml", MARK, "mark: {from: 0.172 in, to: 0.145 in}"), "marks.yaml:21:42",
     "cylinder 1 intake, trial 3: 'to' is smaller than 'from': are they swapped? 'from' is the edge on the pivot side"),
    (SIX, ("marks.yaml", "{from: 0.136 in, to: 0.172 in}", "{from: 0.172 in, to: 0.136 in}"), "marks.yaml:19:42",
     "cylinder 1 intake, trial 1: 'to' is smaller than 'from': are they swapped? 'from' is the edge on the pivot side"),
    (EIGHT, ("marks.yaml", "{from: 3.20 mm, to: 4.05 mm}", "{from: 3.20 mm, to: 40.5 mm}"), "marks.yaml:20:55",
     "cylinder 1 intake, trial 3: the mark ends at 40.50 mm, and the tip at 7.000 mm (is a unit or digit wrong?)"),
    (SIX, ("marks.yaml", "{from: 0.136 in, to: 0.172 in}", "{from: 0.136 in, to: 1.72 in}"), "marks.yaml:19:56",
     "cylinder 1 intake, trial 1: the mark ends at 1.720 in, and the tip at 0.3100 in (is a unit or digit wrong?)"),
    (SIX, ("pushrods.yaml", STOCK, STOCK.replace("9.900", "8.999")), "pushrods.yaml:19:5",
     "'from' is larger than 'to': are they swapped?"),
    (SIX, ("pushrods.yaml", STOCK, STOCK.replace("9.000", "7.899").replace("0.050", "0.001")), "pushrods.yaml:19:5",
     "enter the shortest and the longest pushrod and a step above zero, at most 2000 lengths"),
]  # fmt: skip


@pytest.mark.parametrize(("folder", "edit", "place", "expected"), SLIPS, ids=range(len(SLIPS)))
def test_a_slip_is_named_at_its_place(tmp_path: Path, folder: str, edit: Edit, place: str, expected: str) -> None:
    found = facts(tmp_path, folder, edit).get("inconsistencies")
    assert expected in found.remark.split("; ")
    assert found.si == len(found.remark.split("; "))
    assert place in map(str, found.places)


NO_SLIPS: list[tuple[str, Edit]] = [
    (SIX, ("marks.yaml", "turns: 9.25", "turns: 16")),
    (SIX, ("pushrods.yaml", "  most_turns: 16\n", "")),
    (SIX, ("marks.yaml", "length: 9.3500 in", "length: 9.0800 in")),
    (FLAT, ("pushrods.yaml", "", "checker: {most_turns: 10}\n")),
    (FLAT, ("pushrods.yaml", "ball_radius: 3/16 in", "ball_radius: 5/16 in")),
    (FLAT, ("pushrods.yaml", "diameter: 3/8 in\n", "")),
    (SIX, ("block.yaml", "", "firing_intervals: [120 deg, 100 deg, 140 deg, 120 deg, 110.5 deg, 129.5 deg]\n")),
    (SIX, ("cam.yaml", "at_least: 0.020 in, at_most: 0.060 in", "at_least: 1.524 mm, at_most: 0.060 in")),
    (EIGHT, ("cam.yaml", "aim: 1.00 mm", "aim: 0.50 mm")),
    (EIGHT, ("cam.yaml", "travel: 3.8 mm", "travel: 1.50 mm")),
    (EIGHT, ("cam.yaml", "aim: 1.00 mm", "aim: 1.50 mm")),
    (SIX, ("heads.yaml", "coil_bind_height: 29.2 mm", "coil_bind_height: 1.700 in")),
    (SIX, ("pushrods.yaml", "wall: 0.065 in", "wall: 5/32 in")),
    (SIX, ("marks.yaml", MARK, "mark: {from: 0.172 in, to: 4.3688 mm}")),
    (SIX, ("marks.yaml", MARK, "mark: {from: 0.285 in, to: 0.3149 in}")),
    (SIX, ("marks.yaml", MARK, "mark: {from: 0.285 in +/- 0.010 in, to: 0.3199 in +/- 0.010 in}")),
    (SIX, ("pushrods.yaml", STOCK, "from: 9.000 in\n    to: 9.000 in\n    step: 0.050 in")),
    (SIX, ("pushrods.yaml", STOCK, STOCK.replace("9.000", "7.900").replace("0.050", "0.001"))),
    (SIX, ("clearances.yaml", "", "  - {cylinder: 4, valve: exhaust, rocker_to_stud: 0.080 in, note: another gap}\n")),
    (SIX, ("clearances.yaml", "", "  - {cylinder: 4, valve: intake, pushrod_to_head: 0.040 in}\n")),
    (EIGHT, ("heads.yaml", "", "  - {cylinder: 3, valve: intake, note: twice spoken of, installed_height: 45.1 mm}\n")),
    (FLAT, ("block.yaml", "banks: {right: [1, 3], left: [2, 4]}", "banks: {right: [3, 1], left: [4, 2]}")),
]  # fmt: skip


@pytest.mark.parametrize(("folder", "edit"), NO_SLIPS, ids=range(len(NO_SLIPS)))
def test_what_only_looks_like_a_slip_is_none(tmp_path: Path, folder: str, edit: Edit) -> None:
    found = facts(tmp_path, folder, edit).get("inconsistencies")
    assert (found.si, found.remark) == (0, "")


def test_slips_in_several_files_are_counted_and_shown_together(tmp_path: Path) -> None:
    edits = [("marks.yaml", "cylinder: 6", "cylinder: 7"), ("pushrods.yaml", "wall: 0.065 in", "wall: 4 mm")]
    found = facts(tmp_path, SIX, *edits).get("inconsistencies")
    assert found.si == 2
    assert {place.file for place in found.places} == {"marks.yaml", "pushrods.yaml"}
