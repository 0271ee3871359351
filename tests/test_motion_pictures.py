"""Pictures of measured motion beside the report: curves, centrelines, least gap and limit, each with its text."""

from __future__ import annotations

from pathlib import Path
from xml.etree import ElementTree

import numpy as np
from motion_engines import INCH
from rewritten import as_it_is
from test_motion import checked, engine
from test_motion import motion as motion_text

from buildcheck.advice.what_if import what_if
from buildcheck.output.report.picture import Picture
from buildcheck.output.report.pictures import pictures
from buildcheck.output.value_wording import value_text

GAP = "Minimum piston gap over the curve"
SIX = "tests/builds/inline_six_closed"


def motion() -> dict[str, Picture]:
    names = ("lift-1", "gap-1-intake", "gap-1-exhaust")
    return {one.path.removeprefix("marks/").removesuffix(".svg"): one for one in pictures(as_it_is(SIX))
            if any(name in one.path for name in names)}  # fmt: skip


def test_a_cylinder_has_its_lift_and_each_valve_its_gap() -> None:
    found = motion()
    assert set(found) == {"lift-1", "gap-1-intake", "gap-1-exhaust"}
    assert "least gap 0.1393 in ± 0.0016 in at 4 deg after TDC; minimum 0.0800 in" in found["gap-1-intake"].alt
    assert found["lift-1"].alt.count("centreline") == 2


def test_the_gap_shows_what_a_moved_cam_would_do_as_advise_computes_it() -> None:
    found, six = motion(), as_it_is(SIX)
    for valve, way, assumed in (("intake", "advanced", "4 deg"), ("exhaust", "retarded", "-4 deg")):
        effects = what_if(six.facts, [f"cam_advance={assumed}"]).effects
        [effect] = [one for one in effects if (one.subject.key, one.title) == (f"1/{valve}", GAP)]
        least = value_text(effect.then, "inch")
        picture = found[f"gap-1-{valve}"]
        assert picture.alt.endswith(f"; cam {way} 4 deg, least gap {least}")
        assert f">short dashes: cam {way} 4 deg, least gap {least}</text>" in picture.svg
        assert picture.svg.count("<circle") == 2


def test_a_what_if_beyond_the_readings_is_not_drawn(tmp_path: Path) -> None:
    found = checked(tmp_path, motion_text(engine(), angles=(-20, -10, -5, 0, 5, 10), drops=(5,)))
    [gap] = [one for one in pictures(found) if "gap-1-intake" in one.path]
    assert gap.alt.endswith("; minimum 0.0800 in")
    assert gap.svg.count("<circle") == 1


def test_every_picture_is_black_and_white_with_title_and_description() -> None:
    for one in motion().values():
        root = ElementTree.fromstring(one.svg)
        texts = {each.tag.rpartition("}")[2]: each.text or "" for each in root}
        assert texts["title"]
        assert texts["desc"] in one.alt
        colours = {each.get(key) for each in root.iter() for key in ("fill", "stroke")}
        assert colours <= {None, "none", "#000", "#fff"}


def test_lines_stay_inside_the_picture_and_differ_without_colour() -> None:
    for one in motion().values():
        root = ElementTree.fromstring(one.svg)
        paths = [each for each in root.iter() if each.tag.endswith("path") and each.get("stroke-width") == "1.5"]
        dashes = [each.get("stroke-dasharray") for each in paths]
        assert len(set(dashes)) == len(dashes) >= 2
        numbers = [float(word) for each in paths for word in each.attrib["d"][1:].replace("L", " ").split()]
        assert all(0 <= x <= 480 for x in numbers[::2])
        assert all(20 <= y <= 300 for y in numbers[1::2])


def test_a_build_without_motion_has_no_such_picture() -> None:
    assert not [one for one in pictures(as_it_is("example_build")) if "gap-" in one.path or "lift-" in one.path]


def pictured(tmp_path: Path, text: str) -> dict[str, Picture]:
    found = pictures(checked(tmp_path, text))
    return {one.path.removeprefix("marks/").removesuffix(".svg"): one for one in found}


def test_a_nose_that_was_not_passed_is_in_the_description(tmp_path: Path) -> None:
    found = pictured(tmp_path, motion_text(engine(), angles=tuple(range(-40, 80, 5)), drops=(5,)))
    last = float(engine().valve_lift(np.array(75.0))) / INCH
    expected = f"cylinder 1: measured lift: intake lift read up to {last:.4f} in, nose not passed"
    assert found["lift-1"].alt == expected
    assert "centreline" not in found["lift-1"].svg


def test_drops_alone_make_no_picture(tmp_path: Path) -> None:
    drop = "valves:\n  - {cylinder: 1, valve: intake, at: valve, readings: [{crank: 370 deg, drop: 0.188 in}]}\n"
    assert not [name for name in pictured(tmp_path, drop) if name.startswith(("lift", "gap"))]
