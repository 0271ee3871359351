"""Trials that are made only to learn, and cures of a fixed pivot: none is larger than the bench allows."""

from __future__ import annotations

from pathlib import Path

import pytest
from bench import GAUGES, PEDESTAL, STUD, judged, trials

from buildcheck.advice.probe import MOST_LENGTH, MOST_SHIM
from buildcheck.advice.valve_advice import Advice, advice
from buildcheck.build.facts import Facts
from buildcheck.formulas.carried_reading import predicted_mark
from buildcheck.output.advice_wording import lines
from buildcheck.quantities.valvetrain import gross_lift

INCH = 0.0254
LIFT = 0.280 * 1.6
EDGE_LIMIT = 0.030
ERRORS = (0.005, 0.020, 0.045, 0.060, 0.080, 0.110, -0.030, -0.070, -0.120)


def marks(q: float, shifted: float, length: float = 9.400) -> str:
    near, far = predicted_mark(1.550, LIFT, q, 1.5338 - shifted, 0.310)
    return f"length: {length} in, mark: {{from: {near:.4f} in, to: {far:.4f} in}}"


def advised(tmp_path: Path, rockers: str, *entries: str) -> tuple[Facts, list[Advice]]:
    found = judged(tmp_path, *entries, rockers=rockers)
    return found.facts, advice(found.facts)


@pytest.mark.parametrize("rockers", [STUD, PEDESTAL], ids=["stud", "pedestal"])
@pytest.mark.parametrize("shifted", [0.0, 0.055, -0.055])
def test_no_probe_leaves_what_the_bench_allows(tmp_path: Path, rockers: str, shifted: float) -> None:
    """Six cylinders at a time, each with its own height error."""
    proposed = 0
    for number, some in enumerate((ERRORS[:6], ERRORS[6:])):
        entries = [trials(marks(q, shifted), cylinder=1 + at) for at, q in enumerate(some)]
        facts, found = advised(tmp_path / str(number), rockers, *entries)
        for q, one in zip(some, found, strict=True):
            if one.step.action == "read contacts" and one.step.height is not None:
                proposed += 1
                assert_permitted(facts, one, q, shifted)
    assert proposed or shifted


def assert_permitted(facts: Facts, one: Advice, q: float, shifted: float) -> None:
    assert one.step.height is not None
    rise = one.step.height.si
    if one.free:
        assert one.step.length is not None
        assert abs(one.step.length.si) <= MOST_LENGTH
        assert 0 <= (one.step.turns_in_all or 0) <= 20
    else:
        assert 0 < rise <= MOST_SHIM
    assert gross_lift(facts, one.subject).si / INCH == pytest.approx(LIFT)
    near, far = predicted_mark(1.550, LIFT, q - rise / INCH, 1.5338 - shifted, 0.310)
    assert min(near, 0.310 - far) > EDGE_LIMIT


def test_a_nearly_perfect_mark_is_never_answered_by_a_thick_shim(tmp_path: Path) -> None:
    """Near the narrowest mark a sign would take an inch of shim: then the contact lines alone are proposed."""
    widths = (0.0205, 0.0215, 0.0225, 0.0240)
    rows = [f"length: 9.4 in, mark: {{from: {0.155 - w / 2} in, to: {0.155 + w / 2} in}}" for w in widths]
    coarse = GAUGES.replace("uncertainty: 0.003 in", "uncertainty: 0.008 in")
    entries = [trials(row, cylinder=at) for at, row in enumerate(rows, 1)]
    found = advice(judged(tmp_path, *entries, gauges=coarse, rockers=PEDESTAL).facts)
    assert {(one.step.action, one.step.height) for one in found} == {("read contacts", None)}


def low(by: float) -> str:
    """A trial with both contact lines that show a pivot too low by so much, inches."""
    near, far = predicted_mark(1.550, LIFT, by, 1.5338, 0.310)
    shut = (1.550**2 - (by + LIFT / 2) ** 2) ** 0.5 - 1.5338 + 0.155
    full = (1.550**2 - (by - LIFT / 2) ** 2) ** 0.5 - 1.5338 + 0.155
    mark = f"mark: {{from: {near:.4f} in, to: {far:.4f} in}}"
    return f"length: 9.4 in, {mark}, shut_at: {shut:.4f} in, open_at: {full:.4f} in"


def cure(tmp_path: Path, by: float) -> dict[str, str]:
    facts, [one] = advised(tmp_path, PEDESTAL, trials(low(by)))
    return dict(lines(one, facts.system))


def test_shims_come_in_stock_sizes(tmp_path: Path) -> None:
    assert cure(tmp_path, 0.0872)["cure"].startswith("Fit a shim of 0.0850 in (calculated 0.087")


def test_a_pivot_that_comes_down_needs_a_shorter_checker_first(tmp_path: Path) -> None:
    said = cure(tmp_path, -0.080)["cure"]
    assert "Before the pivot comes down, shorten the checking pushrod by 0.1" in said
    assert "otherwise a solid lifter holds the valve open by 0.2" in said  # 0.080 (1 + 1.6)


@pytest.mark.parametrize("by", [0.140, -0.140])
def test_a_pivot_off_by_more_than_any_shim_means_wrong_parts(tmp_path: Path, by: float) -> None:
    said = cure(tmp_path, by)
    assert said["next"].startswith("Wrong parts: stop and check, and do not order yet.")
    assert "Fit a shim" not in said["cure"]
