"""The first screen of a red build: the cause and what to do come first, its consequences are folded under it."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from rewritten import Edit, copied

from buildcheck.cli.main import main

SIX, EIGHT = "example_build", "tests/builds/vee_eight_mm"
MARK = "mark: {{from: {:.3f} in, to: {:.3f} in}}, shut_at: {:.3f} in, open_at: {:.3f} in"
THIRD_INTAKE = (0.148, 0.176, 0.152, 0.153)
THIRD_EXHAUST = [
    ("marks.yaml", "{from: 0.151 in, to: 0.182 in}", "{from: 0.251 in, to: 0.282 in}"),
    ("marks.yaml", "shut_at: 0.157 in\n", "shut_at: 0.257 in\n"),
    ("marks.yaml", "open_at: 0.158 in\n", "open_at: 0.258 in\n"),
]
LIMIT, LINES = 240, 8


def marked(edges: tuple[float, ...], by: float) -> Edit:
    """The same mark elsewhere on the tip."""
    return "marks.yaml", MARK.format(*edges), MARK.format(*(edge + by for edge in edges))


MISPLACED = [marked((0.145, 0.172, 0.153, 0.150), -0.140)]
TYPED_AGAIN = [("marks.yaml", "length: 191.79 mm, mark", "length: 193.79 mm, mark")]
TYPED_ONCE = [("marks.yaml", "length: 191.76 mm", "length: 193.76 mm")]
COIL_BIND = 2 * [  # intake and exhaust
    ("heads.yaml", "    other_load: {force: 214 lbf, height: 1.250 in}\n", ""),
    ("heads.yaml", "    force_when_new: 98 lbf\n", ""),
    ("heads.yaml", "installed_height: 1.700 in", "installed_height: 1.590 in"),
]
COARSE = [
    (
        "marks.yaml",
        "caliper, resolution: 0.0005 in, uncertainty: 0.002",
        "rule, resolution: 0.0005 in, uncertainty: 0.020",
    )
]
WRONG_UNIT = [("heads.yaml", "tip_diameter: 0.310 in +/- 0.002 in         #", "tip_diameter: 0.310 mm #")]


def screen(tmp_path: Path, capsys: pytest.CaptureFixture[str], folder: str, edits: list[Edit]) -> list[str]:
    main(["check", str(copied(tmp_path, folder, *edits))])
    return [re.sub(r"^\S*build/", "", line) for line in capsys.readouterr().out.splitlines()]


def findings(lines: list[str]) -> list[str]:
    """The messages of a screen, without place, rules and verdict."""
    return [re.sub(r"^\S+: (?:error|warning|note): | \[[^]]*\]$", "", line.strip()) for line in lines[:-1]]


@pytest.mark.parametrize(
    ("folder", "edits", "cause", "first", "verdict"),
    [
        (
            SIX,
            MISPLACED,
            "0.0050 in ± 0.0030 in (edge nearer the pivot); minimum 0.0300 in",
            "no pushrod length corrects it",
            "Not ready to order",
        ),
        (
            EIGHT,
            TYPED_AGAIN,
            "trial 1 at 191.77 mm agrees with the other exhaust valves, trial 2 at 193.79 mm is suspect",
            "Check the entries for a typing error",
            "Correct the error above",
        ),
        (
            EIGHT,
            TYPED_ONCE,
            "length 193.76 mm entered, 191.68 mm to 191.81 mm on the other 5",
            "Check the entry for a typing error",
            "Correct the error above",
        ),
        (SIX, COIL_BIND, "coil-bind clearance at full lift", "Do not run this spring", "Not ready"),
        (
            SIX,
            COARSE,
            "0.0200 in (pushrods are sold in steps of 0.0500 in); maximum 0.0125 in",
            "with a finer tool",
            "2 warnings that do not block",
        ),
    ],
)
def test_cause_and_first_step_are_in_the_first_two_lines(
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
    folder: str,
    edits: list[Edit],
    cause: str,
    first: str,
    verdict: str,
) -> None:
    lines = screen(tmp_path, capsys, folder, edits)
    assert len(lines) <= LINES
    assert cause in lines[0]
    assert first in lines[1]
    assert verdict in lines[-1]
    assert max(map(len, findings(lines))) <= LIMIT


def test_a_wrong_unit_is_named_with_the_likely_ones(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    lines = screen(tmp_path, capsys, SIX, WRONG_UNIT)
    assert "0.310 mm is implausible for valve tip diameter" in lines[0]
    assert "did you mean 0.31 in" in lines[0]
    assert "Do not order. Correct the error above, then check again" in lines[-1]


def test_marks_off_to_opposite_sides_raise_the_question_of_swapped_rockers(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    lines = screen(tmp_path, capsys, SIX, [marked(THIRD_INTAKE, -0.100), *THIRD_EXHAUST])
    assert lines[1].startswith(
        "  help: The exhaust mark is too far from the pivot, the intake mark too near: are the rockers of cylinder 3 "
    )
    assert max(map(len, findings(lines))) <= LIMIT


def test_a_typing_error_sends_nobody_to_a_finer_gauge(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert not any("finer gauge" in line for line in screen(tmp_path, capsys, EIGHT, TYPED_AGAIN))


def test_springs_that_bind_are_not_to_be_fitted(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    lines = screen(tmp_path, capsys, SIX, COIL_BIND)
    assert lines[2].startswith("  effect: Not possible until corrected: trial with the final springs and lifters")
    assert not any("the final " in line for line in lines[3:-1])


def test_the_readme_s_red_demo_fits_one_screen(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    lines = screen(tmp_path, capsys, SIX, MISPLACED)
    assert len(lines) <= LINES
    assert max(len(f"{SIX}/{line}") for line in lines) <= LIMIT
