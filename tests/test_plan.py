"""``plan`` on engines of four to twelve cylinders, each held against a search through every half degree of crank."""

from __future__ import annotations

from itertools import combinations
from pathlib import Path

import pytest
from planned import ENGINES, EXHAUST, INTAKE, make_plan, planned

from buildcheck.cli.main import main

ROOT = Path(__file__).parent.parent
Valve = tuple[int, str]


def noses(engine: str, advance: float) -> dict[Valve, tuple[float, float]]:
    """Where each lobe's nose stands and for how long it opens, from the overlap that follows each firing."""
    _, order, gaps = ENGINES[engine]
    found, crank = {}, 0.0
    for cylinder, gap in zip(order, gaps or [720 / len(order)] * len(order), strict=True):
        overlap = crank + 360
        found[cylinder, "intake"] = overlap + INTAKE[0] - advance, INTAKE[1]
        found[cylinder, "exhaust"] = overlap - EXHAUST[0] - advance, EXHAUST[1]
        crank += gap
    first = found[1, "intake"][0] - 360 - INTAKE[0] + advance
    return {valve: (nose - first, duration) for valve, (nose, duration) in found.items()}


def on_heel(crank: float, lobe: tuple[float, float], margin: float) -> bool:
    off = abs((crank - lobe[0] + 360) % 720 - 360)
    return off >= lobe[1] / 2 + margin


def fewest(lobes: dict[Valve, tuple[float, float]], margin: float) -> int:
    half_degrees = range(1440)
    sets = {frozenset(valve for valve, lobe in lobes.items() if on_heel(h / 2, lobe, margin)) for h in half_degrees}
    largest = [own for own in sets if not any(own < other for other in sets)]
    sizes = range(1, len(lobes) + 1)
    return next(
        k for k in sizes if any(len(frozenset().union(*some)) == len(lobes) for some in combinations(largest, k))
    )


@pytest.mark.parametrize(("margin", "advance"), [(10, 0.0), (60, 4.0), (140, 0.0)])
@pytest.mark.parametrize("engine", ENGINES)
def test_fewest_stops_with_every_valve_on_its_base_circle_once(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], engine: str, margin: int, advance: float
) -> None:
    stops = planned(capsys, make_plan(tmp_path, engine, margin, advance))["stops"]
    lobes = noses(engine, advance)
    served = [(stop["crank"]["deg"], (one["cylinder"], one["valve"])) for stop in stops for one in stop["valves"]]
    assert sorted(valve for _, valve in served) == sorted(lobes)
    assert [valve for crank, valve in served if not on_heel(crank, lobes[valve], margin)] == []
    assert len(stops) == fewest(lobes, margin)
    assert [stop["crank"]["deg"] for stop in stops] == sorted(stop["crank"]["deg"] for stop in stops)


def test_a_stop_within_half_a_degree_of_two_turns_comes_first(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Number 1 is best measured at 719.75 deg, which a degree wheel shows as 0."""
    folder = make_plan(tmp_path, "vee twin, odd-fire, written from cylinder 2", advance=2.0)
    edits = {"block": ("[2, 1]", "[1, 2]", "315 deg, 405 deg", "270 deg, 450 deg")}
    edits["cam"] = ("duration: 270 deg, centreline: 108", "duration: 253 deg, centreline: 111",
                    "duration: 280 deg, centreline: 116", "duration: 341 deg, centreline: 108")  # fmt: skip
    for name, (one, its, other, new) in edits.items():
        file = folder / f"{name}.yaml"
        file.write_text(file.read_text().replace(one, its).replace(other, new))
    assert [stop["crank"]["deg"] for stop in planned(capsys, folder)["stops"]] == [0, 270]


@pytest.mark.parametrize("engine", ENGINES)
def test_events_of_each_cylinder_are_where_its_lobes_end(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], engine: str
) -> None:
    lobes = noses(engine, 4.0)
    for one in planned(capsys, make_plan(tmp_path, engine, advance=4.0))["cylinders"]:
        for valve in ("intake", "exhaust"):
            nose, duration = lobes[one["cylinder"], valve]
            assert one[f"{valve}_opens"]["deg"] == pytest.approx((nose - duration / 2) % 720)
            assert one[f"{valve}_closes"]["deg"] == pytest.approx((nose + duration / 2) % 720)
        own = [lobes[one["cylinder"], valve] for valve in ("intake", "exhaust")]
        for end, beyond in (("from", -1), ("to", 1)):
            edge = one["both_shut"][end]["deg"]
            assert all(on_heel(edge, lobe, 10) for lobe in own)
            assert not all(on_heel(edge + beyond, lobe, 10) for lobe in own)


def test_companion_cylinders_of_a_four(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """US Department of the Army, TM 10-3930-671-24, valve clearance check.

    Number 1 at firing TDC, number 4 on overlap.
    """
    cylinders = planned(capsys, make_plan(tmp_path, "four in line"))["cylinders"]
    assert {one["cylinder"]: one["companion"] for one in cylinders} == {1: 4, 2: 3, 3: 2, 4: 1}


@pytest.mark.parametrize("kind", ["markdown", "text"])
def test_the_sheet_names_every_stop_and_every_valve(capsys: pytest.CaptureFixture[str], kind: str) -> None:
    found = planned(capsys, ROOT / "example_build")
    assert main(["plan", str(ROOT / "example_build"), "--format", kind]) == 0
    sheet = capsys.readouterr().out
    for stop in found["stops"]:
        assert f"crank at {stop['crank']['deg']:g} deg" in sheet
        assert stop["beside"][1:] in sheet
    if kind == "markdown":
        rows = [line for line in sheet.splitlines() if "______" in line]
        assert len(rows) == 12
        assert all(len(row.split("|")) == len(rows[0].split("|")) for row in rows)
        assert all(text in sheet for text in found["watch"])
        assert "Disconnect battery and ignition" in sheet
        assert sum(row.endswith("| yes |") for row in rows) == 8


def test_only_valves_left_to_measure(capsys: pytest.CaptureFixture[str]) -> None:
    stops = planned(capsys, ROOT / "example_build", "--left")["stops"]
    left = {(one["cylinder"], one["valve"]) for stop in stops for one in stop["valves"]}
    assert left == {(4, "intake"), (5, "intake"), (2, "exhaust"), (4, "exhaust")}


def test_bolted_and_plain_tipped_rockers_have_their_own_checks(capsys: pytest.CaptureFixture[str]) -> None:
    for folder, bolted, roller in (("vee_eight_mm", True, True), ("inline_four_pad", False, False)):
        assert main(["plan", str(ROOT / "tests/builds" / folder)]) == 0
        sheet = capsys.readouterr().out
        assert ("Bolted down" in sheet, "Line, full lift" in sheet) == (bolted, roller)


@pytest.mark.parametrize(
    ("file", "old", "new", "expected"),
    [
        (
            "cam",
            "intake:",
            "duration_at: 0.050 in\nintake:",
            "cam.yaml:3:14: error: the measuring plan needs it",
        ),
        ("cam", "duration: 270 deg, ", "", "cam.yaml:3:9: error: the measuring plan needs it"),
        ("block", "firing_order", "note", "block.yaml:1:1: error: "),
    ],
)
def test_what_does_not_tell_a_base_circle_is_named_at_its_place(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], file: str, old: str, new: str, expected: str
) -> None:
    path = make_plan(tmp_path, "four in line") / f"{file}.yaml"
    path.write_text(path.read_text().replace(old, new, 1))
    assert main(["plan", str(tmp_path)]) == 2
    assert expected in capsys.readouterr().out


def test_names_from_the_files_give_no_orders_to_the_sheet(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = make_plan(tmp_path, "four in line") / "build.yaml"
    path.write_text(path.read_text().replace("name: four in line", 'name: "a|b\\e[31m <b>@x"'))
    assert main(["plan", str(tmp_path)]) == 0
    assert capsys.readouterr().out.startswith(r"# Measuring plan: a\|b\\x1b\[31m \<b\>\@")


def test_one_build_at_a_time(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["plan", str(ROOT / "tests/builds")]) == 2
    assert "one build at a time" in capsys.readouterr().err
