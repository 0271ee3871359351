"""The strip chart of required, allowed and ordered lengths: drawn to scale, with a text alternative and a table."""

from __future__ import annotations

from pathlib import Path
from xml.etree import ElementTree

import pytest
from altered import EIGHT, SIX, altered
from rewritten import copied

from buildcheck.cli.main import main
from buildcheck.output.report.length_chart import draw_lengths, scale
from buildcheck.output.report.length_picture import length_chart
from buildcheck.output.report.length_rows import LengthRow, length_rows

SVG = "{http://www.w3.org/2000/svg}"
INCH = 0.0254
ROWS = [
    LengthRow("intake 1", (9.45 * INCH, 0.02 * INCH), ((9.40 * INCH, 9.50 * INCH),), 9.46 * INCH),
    LengthRow("intake 2", None, ((9.42 * INCH, 9.48 * INCH),), 9.46 * INCH),
]


def parsed(rows: list[LengthRow]) -> ElementTree.Element:
    return ElementTree.fromstring(draw_lengths("Lengths", "all of them", rows, ("9.400 in", "9.500 in")))


def test_everything_is_drawn_on_one_scale() -> None:
    """From 9.40 to 9.50 in over 350 units from 110: 3500 an inch."""
    root = parsed(ROWS)
    _, one, two = root.iter(f"{SVG}rect")
    assert (float(one.attrib["x"]), float(one.attrib["width"])) == pytest.approx((110, 350))
    assert (float(two.attrib["x"]), float(two.attrib["width"])) == pytest.approx((180, 210))
    [dot] = root.iter(f"{SVG}circle")
    assert float(dot.attrib["cx"]) == pytest.approx(285)
    line, *ordered = [path.attrib["d"] for path in root.iter(f"{SVG}path")]
    assert line == "M215.0 44H355.0"
    assert ordered == ["M320.0 34v20", "M320.0 54v20"]


def test_the_scale_holds_uncertainty_limits_and_order() -> None:
    beyond = [LengthRow("intake 1", (1.0, 0.25), ((0.9, 1.1),), 1.5)]
    assert scale(beyond) == (0.75, 1.5)
    assert parsed([LengthRow("intake 1", (1.0, 0.0), (), None)]).find(f"{SVG}circle").attrib["cx"] == "285.0"  # type: ignore[union-attr]


def test_title_and_text_alternative_are_those_of_a_screen_reader_and_escaped() -> None:
    root = ElementTree.fromstring(draw_lengths("a & b", "<one>\x1b", ROWS, ("1 in", "2 in")))
    assert [root.findtext(f"{SVG}{tag}") for tag in ("title", "desc")] == ["a & b", "<one>\\x1b"]


def test_the_report_links_the_chart_first_with_its_text(tmp_path: Path) -> None:
    build = copied(tmp_path, SIX)
    assert main(["report", "--pictures", str(build)]) == 0
    first = next(
        line for line in (build / "REPORT.md").read_text(encoding="utf-8").splitlines() if line.startswith("![")
    )
    assert first == (
        "![Required and ordered lengths. intake: required 9.449 in to 9.473 in; all allow 9.392 in to 9.530 in; "
        "ordered 9.464 in. exhaust: required 9.459 in to 9.476 in; all allow 9.395 in to 9.540 in; ordered 9.464 in.]"
        "(marks/lengths.svg)"
    )
    root = ElementTree.parse(build / "marks" / "lengths.svg").getroot()
    assert len(list(root.iter(f"{SVG}circle"))) == 8
    assert len(list(root.iter(f"{SVG}rect"))) == 1 + 12
    assert main(["report", "--check", str(build)]) == 0


def test_the_table_of_valves_has_the_figures_of_the_chart(tmp_path: Path) -> None:
    build = copied(tmp_path, SIX)
    assert main(["report", str(build)]) == 0
    rows = (build / "REPORT.md").read_text(encoding="utf-8").splitlines()
    assert "| 1 intake | 9.379 in to 9.541 in |" in rows
    assert "| 2 exhaust | 9.395 in to 9.540 in |" in rows


def test_two_lengths_ordered_lie_in_what_their_valves_allow(tmp_path: Path) -> None:
    rows = length_rows(altered(tmp_path, EIGHT)).values()
    assert len({row.ordered for row in rows}) == 2
    assert all(low <= row.ordered <= high for row in rows for low, high in row.allowed if row.ordered is not None)


def test_without_a_length_there_is_no_chart(tmp_path: Path) -> None:
    found = altered(tmp_path, EIGHT, ("marks.yaml", "valves:\n", "valves: []\nnote: |\n"))
    assert length_chart(found) is None
