"""Pictures of measured motion beside the report: curves, centrelines, least gap and limit, each with its text."""

from __future__ import annotations

from xml.etree import ElementTree

from rewritten import as_it_is

from buildcheck.output.report.pictures import Picture, pictures

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
