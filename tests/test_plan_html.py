"""The printed bench sheet: one file, everything on it, and in a real browser no box cut by the end of a page."""

from __future__ import annotations

import re
import shutil
import subprocess
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import pytest
from planned import make_plan
from pypdf import PdfReader
from rewritten import ROOT, copied
from thorough import sample

from buildcheck.cli.main import main
from buildcheck.output.cautions import AT_THE_BENCH
from buildcheck.output.plan.plan_drawings import degree_wheel, mark_key

BROWSER = next(filter(None, map(shutil.which, ("chromium", "chromium-browser", "google-chrome"))), None)
POINTS_PER_MM = 72 / 25.4
PAPERS = {"A4": (595, 842), "Letter": (612, 792)}


def sheet(capsys: pytest.CaptureFixture[str], build: Path) -> str:
    assert main(["plan", str(build), "--format", "html"]) == 0
    return capsys.readouterr().out


class Tags(HTMLParser):
    """What the page opens and closes, and its text."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.opened: list[str] = []
        self.left_open: list[str] = []
        self.attributes: dict[str, str | None] = {}
        self.text = ""
        self.feed(page)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.opened.append(tag)
        self.attributes |= dict(attrs)
        if tag not in ("meta", "br", "path", "rect", "circle", "line"):
            self.left_open.append(tag)

    def handle_endtag(self, tag: str) -> None:
        if tag not in ("path", "rect", "circle", "line"):
            assert self.left_open.pop() == tag

    def handle_data(self, data: str) -> None:
        self.text += f"{data} "


def test_one_file_with_cautions_a_block_for_each_stop_and_drawings(capsys: pytest.CaptureFixture[str]) -> None:
    page = sheet(capsys, ROOT / "example_build")
    tags = Tags(page)
    assert tags.left_open == []
    assert not {"src", "href", "onload"} & tags.attributes.keys()
    assert not {"script", "link", "img", "iframe"} & set(tags.opened)
    assert "url(" not in page
    assert [caution for _, caution in AT_THE_BENCH if caution.replace("'", "&#x27;") not in page] == []
    assert tags.opened.count("section") == page.count('<svg class="wheel"') == 2
    assert tags.opened.count("tbody") == 12
    assert page.count("<td></td>") == 12 * 3 * 5
    assert page.count('<svg class="key"') == 1


def test_a_name_cannot_become_markup(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    name = ("build.yaml", "name: Dunlin, straight six of the safety launch", "name: <script>alert(1)</script>")
    page = sheet(capsys, copied(tmp_path, "example_build", name))
    assert "<script" not in page
    assert "&lt;script&gt;alert(1)&lt;/script&gt;" in page


@pytest.mark.parametrize(("crank", "hand"), [(0, (60, 20)), (90, (100, 60)), (540, (60, 100)), (630, (20, 60))])
def test_the_hand_of_the_degree_wheel(crank: float, hand: tuple[float, float]) -> None:
    drawing = degree_wheel(crank)
    [found] = re.findall(r'x2="([\d.]+)" y2="([\d.]+)" stroke="#000" stroke-width="4"', drawing)
    assert tuple(map(float, found)) == hand
    assert f"of the {'first' if crank < 360 else 'second'} turn" in drawing


def test_a_pad_tip_has_no_contact_lines(capsys: pytest.CaptureFixture[str]) -> None:
    assert "full lift" in mark_key(roller=True)
    assert "full lift" not in mark_key(roller=False)
    page = sheet(capsys, ROOT / "tests/builds/inline_four_pad")
    assert "Line closed" not in page
    assert page.count("<td></td>") == 8 * 3 * 3


def test_a_bolted_rocker_has_a_box_for_its_shim(capsys: pytest.CaptureFixture[str]) -> None:
    """Marks at another shim are marks at another height: without it the row does not show which."""
    page = sheet(capsys, ROOT / "tests/builds/vee_eight_mm")
    assert page.count("<th>Shim</th>") == page.count('<section class="stop"') > 0
    assert page.count("<td></td>") == 16 * 3 * 6


def printed(folder: Path, page: str, paper: str) -> PdfReader:
    """The page as the browser prints it on a paper."""
    (folder / "plan.html").write_text(page.replace("size: portrait", f"size: {paper} portrait"), encoding="utf-8")
    command = [str(BROWSER), "--headless", "--no-sandbox", "--disable-gpu", f"--user-data-dir={folder / 'profile'}"]
    command += ["--no-pdf-header-footer", f"--print-to-pdf={folder / 'plan.pdf'}", (folder / "plan.html").as_uri()]
    subprocess.run(command, check=True, capture_output=True)
    return PdfReader(folder / "plan.pdf")


def trial_numbers(page: Any) -> list[tuple[str, float]]:
    """The numbers in the narrow column, with their height above the foot of the page in mm, top down."""
    found: list[tuple[str, float]] = []

    def visit(text: str, matrix: list[float], position: list[float], *_: Any) -> None:
        if text.strip() in ("1", "2", "3") and matrix[3] < 0:
            found.append((text.strip(), (matrix[5] + matrix[3] * position[5]) / POINTS_PER_MM))

    page.extract_text(visitor_text=visit)
    return sorted(found, key=lambda one: -one[1])


@pytest.mark.skipif(BROWSER is None, reason="no browser is installed here")
@pytest.mark.parametrize(("paper", "engine"), sample([("Letter", "vee twelve"), ("A4", "six in line")], 1))
def test_no_box_is_cut_at_the_end_of_a_page(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], paper: str, engine: str
) -> None:
    build = ROOT / "example_build" if engine == "six in line" else make_plan(tmp_path / "build", engine)
    pdf = printed(tmp_path, sheet(capsys, build), paper)
    assert {tuple(round(float(side)) for side in page.mediabox[2:]) for page in pdf.pages} == {PAPERS[paper]}
    valves = 0
    for page in pdf.pages:
        numbers, named = trial_numbers(page), len(re.findall(r"\d+ (?:intake|exhaust)\n", page.extract_text()))
        assert [number for number, _ in numbers] == ["1", "2", "3"] * named
        assert all(height - 11 >= 12 - 4 for _, height in numbers)
        valves += named
    assert valves == (12 if engine == "six in line" else 24)
