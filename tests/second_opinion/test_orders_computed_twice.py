"""The whole order computed twice: by the product, and from the trade's definitions alone, by other means."""

from __future__ import annotations

import io
import json
from contextlib import redirect_stdout
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
from allowed_lengths import Allowed, Engine
from drawn_builds import lay_out
from fewest_lengths import Key, Stated, ordered, widened, with_those_assumed
from written_amounts import files

from buildcheck.cli import main

ROOT = Path(__file__).parent.parent.parent
SHIPPED = ["example_build", *(f"tests/builds/{one.name}" for one in sorted((ROOT / "tests/builds").iterdir()))]
DRAWN = [f"drawn {number}" for number in range(60)]
FREE, FIXED = 0.004 * 0.0254, 0.0002 * 0.0254
"""How far two ways of weighing the same readings may part at an interval's end, m: where marks are fitted, or not."""
each_build = pytest.mark.parametrize("name", [*SHIPPED, *DRAWN])


@dataclass(frozen=True)
class Twice:
    """A build with what the product told of it, and what the second computation found."""

    told: dict[str, Any]
    engine: Engine
    wanted: dict[Key, Allowed]

    @property
    def slack(self) -> float:
        return FREE if self.engine.nut else FIXED

    @property
    def measured(self) -> set[Key]:
        return {(entry["cylinder"], entry["valve"]) for entry in self.engine.said["marks"]["valves"]}

    def lengths(self) -> dict[Key, Stated | None]:
        """What the product orders for each valve."""
        return {
            (one["cylinder"], one["valve"]): _stated(line)
            for line in self.told["order"]["lines"]
            for one in (*line["serves"], *line["assumed"])
        }


def _stated(line: dict[str, Any]) -> Stated | None:
    return (round(line["length"]["si"], 9), line["stated_as"], line.get("gauge_hole") or "") if line["stock"] else None


@pytest.fixture(scope="module")
def builds(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Twice]:
    """All of them, checked by one command."""
    top = tmp_path_factory.mktemp("drawn")
    folders = {name: lay_out(top / name.replace(" ", "-"), number) for number, name in enumerate(DRAWN)}
    folders |= {name: ROOT / name for name in SHIPPED}
    told = {Path(one["folder"]).name: one for paths in ([top], SHIPPED) for one in _checked([str(p) for p in paths])}
    return {name: _twice(told[folder.name], folder) for name, folder in folders.items()}


def _checked(paths: list[str]) -> list[dict[str, Any]]:
    with redirect_stdout(io.StringIO()) as out:
        main(["check", *paths, "--format", "json"])
    return list(json.loads(out.getvalue())["builds"])


def _twice(told: dict[str, Any], folder: Path) -> Twice:
    engine = Engine(files(folder))
    return Twice(told, engine, with_those_assumed(engine))


@each_build
def test_the_files_are_read_without_complaint(builds: dict[str, Twice], name: str) -> None:
    assert builds[name].told["errors"] == []
    assert builds[name].told["order"]["open"] == []


@each_build
def test_every_measured_valve_asks_for_the_same_length(builds: dict[str, Twice], name: str) -> None:
    one = builds[name]
    asked = one.told["quantities"]["length_asked"]
    for key in one.measured:
        found = asked["{}/{}".format(*key)]
        allowance = 0.25 * found["expanded_uncertainty_si"] if one.engine.nut else 1e-9
        assert found["si"] == pytest.approx(one.wanted[key].asked, abs=allowance), key


@each_build
def test_the_same_rods_are_ordered(builds: dict[str, Twice], name: str) -> None:
    """Save where a stock length lies so near an interval's end that the weighing decides."""
    one = builds[name]
    either = [ordered(one.engine, widened(one.wanted, by)) for by in (-one.slack, one.slack)]
    if either[0] == either[1]:
        sure = {key for key, want in one.wanted.items() if key in one.measured or want.spans}
        found = one.lengths()
        assert {key: found[key] for key in sure} == {key: either[0][key] for key in sure}
    else:
        assert one.lengths().keys() == one.wanted.keys()


def test_hardly_a_build_is_decided_by_the_weighing(builds: dict[str, Twice]) -> None:
    steady = [
        ordered(one.engine, widened(one.wanted, -one.slack)) == ordered(one.engine, widened(one.wanted, one.slack))
        for one in builds.values()
    ]
    assert sum(steady) >= 0.9 * len(steady)


def test_the_draw_is_as_wide_as_it_says(builds: dict[str, Twice]) -> None:
    said = [one.engine.said for one in builds.values()]
    seen = {(one["rockers"]["mount"], one["rockers"]["adjuster"], one["cam"]["lifter"]["type"]) for one in said}
    assert len(seen) == 20
    rods = {(one["pushrods"]["measured_as"], one["pushrods"]["stock"][0]["stated_as"]) for one in said}
    assert len(rods) == 9
    lines = [line for one in builds.values() for line in one.told["order"]["lines"]]
    assert {line["stock"] for line in lines} == {True, False}
    assert any(len(one.told["order"]["lines"]) > 2 for one in builds.values())


@each_build
def test_every_line_counts_its_valves_and_carries_the_spares_asked_for(builds: dict[str, Twice], name: str) -> None:
    one = builds[name]
    for line in one.told["order"]["lines"]:
        assert line["count"] == len(line["serves"]) + len(line["assumed"])
        assert line["spares"] == one.engine.said["pushrods"].get("spares", 0)
    assert sum(line["count"] for line in one.told["order"]["lines"]) == 2 * one.engine.said["block"]["cylinders"]
