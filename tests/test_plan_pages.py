"""The bench sheet's tables of a four worked out by hand, and how a stop is told from a top dead centre."""

from __future__ import annotations

from pathlib import Path

import pytest
from planned import ENGINES, make_plan, planned

from buildcheck.cli.main import main

FOUR = "four in line"


def page(capsys: pytest.CaptureFixture[str], folder: Path) -> list[str]:
    assert main(["plan", str(folder)]) == 0
    return capsys.readouterr().out.splitlines()


def rows(lines: list[str], heading: str) -> list[list[str]]:
    """The cells of the table that follows a heading, without its ruler."""
    start = next(n for n, line in enumerate(lines) if line.startswith(heading))
    table = [line for line in lines[start + 1 :] if line.startswith(("|", "## "))]
    end = next((n for n, line in enumerate(table) if line.startswith("## ")), len(table))
    return [[cell.strip() for cell in line.split("|")[1:-1]] for line in table[:end] if not line.startswith("|---")]


def test_a_stop_has_a_row_with_blanks_for_each_of_its_valves(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Intake 1: nose at 360 + 108 deg, open for 270; its heel, 140 deg cut off, from 603 + 140 to 333 − 140.

    Exhaust 3 fires at 180: nose at 180 + 360 − 116 deg, open for 280; from 564 + 140 to 284 − 140.
    """
    lines = page(capsys, make_plan(tmp_path, FOUR, 140))
    head, *valves = rows(lines, "## Stop 1: crank at 86 deg")
    assert head == ["Valve", "On base circle", "Crank", "Length or turns", "Mark from", "Mark to", "Line, valve closed",
                    "Line, full lift", "Pushrod seated", "Clear of retainer", "Two turns", "In marks.yaml"]  # fmt: skip
    assert valves == [
        ["1 intake", "23 to 193 deg", *["______"] * 6, *["☐"] * 3, ""],
        ["3 exhaust", "704 to 144 deg", *["______"] * 6, *["☐"] * 3, ""],
    ]
    assert "86 deg past the firing TDC of cylinder 1; degree wheel at 86 deg of the first turn." in lines
    assert lines[lines.index("## At every valve") + 2].startswith("1. Measure each valve at its own stop")


@pytest.mark.parametrize(("margin", "shut"), [(140, "never"), (10, "613 to 94 deg")])
def test_events_of_a_cylinder_in_its_row(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], margin: int, shut: str
) -> None:
    """Both closed: from 603 deg, where the intake closes, to 104, where the exhaust opens, cut at either end."""
    head, first, *others = rows(page(capsys, make_plan(tmp_path, FOUR, margin)), "## Cam events by cylinder")
    assert head == ["Cylinder", "Fires", "Intake opens", "Intake closes", "Exhaust opens", "Exhaust closes",
                    "Both closed", "On overlap as it fires"]  # fmt: skip
    assert first == ["1", "0 deg", "333 deg", "603 deg", "104 deg", "384 deg", shut, "cylinder 4"]
    assert [(row[0], row[1], row[-1]) for row in others] == [
        ("2", "540 deg", "cylinder 3"), ("3", "180 deg", "cylinder 2"), ("4", "360 deg", "cylinder 1"),
    ]  # fmt: skip


def test_on_an_odd_twin_no_cylinder_is_on_overlap_as_the_other_fires(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    twin = make_plan(tmp_path, "vee twin, odd-fire, written from cylinder 2")
    assert [row[-1] for row in rows(page(capsys, twin), "## Cam events")[1:]] == ["none", "none"]


@pytest.mark.parametrize("margin", [10, 140])
@pytest.mark.parametrize("engine", ENGINES)
def test_a_stop_is_reported_from_the_nearest_firing_top_dead_centre(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], engine: str, margin: int
) -> None:
    found = planned(capsys, make_plan(tmp_path, engine, margin))
    fires = {one["cylinder"]: one["fires"]["deg"] for one in found["cylinders"]}
    for stop in found["stops"]:
        past = {cylinder: (stop["crank"]["deg"] - at + 360) % 720 - 360 for cylinder, at in fires.items()}
        near = min(sorted(past), key=lambda cylinder: abs(past[cylinder]))
        side = "past" if past[near] > 0 else "before"
        where = f"the firing TDC of cylinder {near}"
        assert stop["beside"] == (f"{abs(past[near]):g} deg {side} {where}" if past[near] else f"at {where}")


@pytest.mark.parametrize("engine", ENGINES)
def test_a_stop_is_at_a_top_dead_centre_if_every_valve_is_on_its_base_circle_there(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], engine: str
) -> None:
    for margin in (10, 140):
        found = planned(capsys, make_plan(tmp_path, engine, margin))
        fires = [one["fires"]["deg"] for one in found["cylinders"]]
        for stop in found["stops"]:
            nearest = min(fires, key=lambda at: (abs((stop["crank"]["deg"] - at + 360) % 720 - 360), at))
            at_mark = [inside(nearest, valve["heel"]) for valve in stop["valves"]]
            assert all(at_mark) == (stop["crank"]["deg"] == nearest)


def inside(crank: float, heel: dict[str, dict[str, float]]) -> bool:
    """Whether an angle is in a base circle's window, which may go on through 720 deg."""
    start, end = heel["from"]["deg"], heel["to"]["deg"]
    return (crank - start) % 720 <= (end - start) % 720 + 1e-9


def test_a_stop_at_a_top_dead_centre_is_reported(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Lobes of one duration, as far before as after overlap: the heels that they share lie about a firing TDC."""
    cam = make_plan(tmp_path, FOUR) / "cam.yaml"
    cam.write_text(cam.read_text().replace("280 deg", "270 deg").replace("116 deg", "108 deg"))
    result = [(stop["crank"]["deg"], stop["beside"]) for stop in planned(capsys, tmp_path)["stops"]]
    assert result == [(0.0, "at the firing TDC of cylinder 1"), (360.0, "at the firing TDC of cylinder 4")]


@pytest.mark.parametrize("engine", ["six in line", "vee eight"])
def test_valves_of_a_stop_go_by_cylinder_the_intake_first(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], engine: str
) -> None:
    for stop in planned(capsys, make_plan(tmp_path, engine))["stops"]:
        own = [(one["cylinder"], one["valve"]) for one in stop["valves"]]
        assert own == sorted(own, key=lambda valve: (valve[0], valve[1] == "exhaust"))
        assert len({cylinder for cylinder, _ in own}) < len(own)
