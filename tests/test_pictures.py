"""Pictures of the marks: drawn when requested, kept current from then on, safe and the same on every machine."""

from __future__ import annotations

from pathlib import Path
from xml.etree import ElementTree

import pytest
from bench import PAD_TIP, PEDESTAL, lay_out, trials

from buildcheck.cli.main import main
from buildcheck.output.report.mark_drawing import Strip, draw

GOOD = "length: 9.400 in, mark: {from: 0.146 in, to: 0.163 in}, shut_at: 0.1465 in, open_at: 0.1465 in"
LOW = "length: 9.400 in, mark: {from: 0.140 in, to: 0.176 in}, shut_at: 0.1401 in, open_at: 0.165 in"
WIDE = "length: 9.400 in, mark: {from: 0.140 in, to: 0.180 in}"
SVG = "{http://www.w3.org/2000/svg}"


def pictured(folder: Path, row: str, **files: str) -> tuple[Path, ElementTree.Element]:
    build = lay_out(folder, trials(row), **files)
    assert main(["report", "--pictures", str(build)]) == 0
    return build, ElementTree.parse(build / "marks/1-intake.svg").getroot()


def texts(picture: ElementTree.Element) -> list[str]:
    return [str(text.text) for text in picture.iter(f"{SVG}text")][1:-2]


def test_none_are_drawn_unless_requested(tmp_path: Path) -> None:
    build = lay_out(tmp_path, trials(GOOD))
    assert main(["report", str(build)]) == 0
    assert not (build / "marks").exists()
    assert "svg" not in (build / "REPORT.md").read_text()


def test_the_report_links_them_with_what_they_show(tmp_path: Path) -> None:
    build, picture = pictured(tmp_path, GOOD)
    _, line = [line for line in (build / "REPORT.md").read_text().splitlines() if line.startswith("![")]
    assert line == f"![cylinder 1 intake: {'; '.join(texts(picture))}](marks/1-intake.svg)"


def test_mark_as_read_then_predicted_then_narrowest(tmp_path: Path) -> None:
    _, picture = pictured(tmp_path, LOW)
    assert [text.split(",")[0] for text in texts(picture)] == [
        "mark as read", "predicted 0.1508 in longer", "narrowest possible",
    ]  # fmt: skip
    read, ahead, least = list(picture.iter(f"{SVG}rect"))[2::2]
    assert float(read.attrib["x"]) == pytest.approx(20 + 320 * 0.140 / 0.310, abs=0.06)
    assert float(read.attrib["width"]) == pytest.approx(320 * 0.036 / 0.310, abs=0.06)
    assert float(ahead.attrib["width"]) == pytest.approx(float(least.attrib["width"]), abs=0.1)
    assert float(least.attrib["width"]) < 0.7 * float(read.attrib["width"])


def test_nothing_is_predicted_while_the_sign_is_unknown(tmp_path: Path) -> None:
    assert len(texts(pictured(tmp_path, WIDE)[1])) == 1


def test_a_shim_is_predicted_on_a_fixed_mount(tmp_path: Path) -> None:
    assert texts(pictured(tmp_path, LOW, rockers=PEDESTAL)[1])[1].startswith("predicted 0.0930 in higher,")


def test_a_pad_tip_is_predicted_in_the_middle_and_has_no_narrowest(tmp_path: Path) -> None:
    _, picture = pictured(tmp_path, "length: 9.400 in, mark: {from: 0.020 in, to: 0.220 in}", rockers=PAD_TIP)
    assert [text.split(",")[0] for text in texts(picture)][1:] == ["predicted 0.1340 in longer"]
    low, high = texts(picture)[1].split(", ")[1].replace(" in", "").split(" to ")
    assert (float(low) + float(high)) / 2 == pytest.approx(0.155, abs=0.0001)


def test_once_drawn_they_are_kept_current(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    build, _ = pictured(tmp_path, GOOD)
    assert main(["report", "--check", str(build)]) == 0
    (build / "marks/1-intake.svg").write_text("<svg/>")
    assert main(["report", "--check", str(build)]) == 1
    assert "marks/1-intake.svg:1:1: error: is stale, or was edited by hand" in capsys.readouterr().out
    assert main(["report", str(build)]) == 0
    assert main(["report", "--check", str(build)]) == 0


def test_they_are_the_same_to_the_byte_each_time(tmp_path: Path) -> None:
    one, other = (pictured(tmp_path / name, LOW)[0] / "marks/1-intake.svg" for name in "ab")
    assert one.read_bytes() == other.read_bytes()
    assert b"\r" not in one.read_bytes()


def test_text_in_a_picture_is_escaped() -> None:
    picture = draw('<script>alert("x")</script>', [Strip("a & b\x1b]0;", (-0.2, 1.4), "solid")])
    root = ElementTree.fromstring(picture)
    assert [each.tag for each in root.iter() if "script" in each.tag] == []
    assert texts(root) == ["a & b\\x1b]0;"]
    band = list(root.iter(f"{SVG}rect"))[2]
    assert (band.attrib["x"], band.attrib["width"]) == ("20.0", "320.0")


def test_each_strip_has_its_own_room_and_the_middle_of_the_tip_is_marked() -> None:
    root = ElementTree.fromstring(
        draw("title", [Strip("one", (0.25, 0.5), "solid"), Strip("two", (0.0, 1.0), "outlined")])
    )
    wide, tall = float(root.attrib["width"]), float(root.attrib["height"])
    paper, *rects = [{key: float(one.get(key, "0")) for key in ("x", "y", "width", "height")}
                     for one in root.iter(f"{SVG}rect")]  # fmt: skip
    title, one, two, *legend = [float(text.attrib["y"]) for text in root.iter(f"{SVG}text")]
    tips, bands = rects[::2], rects[1::2]
    assert (paper["width"], paper["height"], root.attrib["viewBox"]) == (wide, tall, f"0 0 {wide:g} {tall:g}")
    assert [
        (tip["x"] + tip["width"] / 2, band["y"], band["height"]) for tip, band in zip(tips, bands, strict=True)
    ] == [(wide / 2, tip["y"], tip["height"]) for tip in tips]
    assert [band["x"] + band["width"] / 2 for band in bands] == [tips[0]["x"] + tips[0]["width"] * 0.375, wide / 2]
    ends = [tip["y"] + tip["height"] for tip in tips]
    assert title < one < tips[0]["y"] < ends[0] < two < tips[1]["y"] < ends[1] < min(legend) == max(legend) < tall
    middles = [path.attrib["d"] for path in root.iter(f"{SVG}path") if "stroke-dasharray" in path.attrib]
    assert middles == [f"M{wide / 2:g} {tip['y'] - 3:g}v{tip['height'] + 6:g}" for tip in tips]


def test_nothing_is_drawn_through_a_link(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    build, elsewhere = lay_out(tmp_path, trials(GOOD)), tmp_path / "elsewhere"
    elsewhere.mkdir()
    (build / "marks").symlink_to(elsewhere)
    assert main(["report", "--pictures", str(build)]) == 2
    assert "marks is a link" in capsys.readouterr().err
    assert list(elsewhere.iterdir()) == []


def test_a_picture_has_the_title_that_a_screen_reader_says() -> None:
    assert "<title>a &amp; b</title>" in draw("a & b", [Strip("one", (0.25, 0.5), "solid")])
