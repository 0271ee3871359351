"""``report --index``: one table of all builds, with verdict, stage, open points and order."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
from history import replace
from markdown_it import MarkdownIt

from buildcheck.cli.main import main

ROOT = Path(__file__).parent.parent


@pytest.fixture
def team(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    (tmp_path / "buildcheck.yaml").write_text("report: BUILD.md\n", encoding="utf-8")
    for source in (ROOT / "example_build", ROOT / "tests" / "builds" / "inline_four_pad"):
        shutil.copytree(source, tmp_path / "my engines" / source.name)
    monkeypatch.chdir(tmp_path)
    return tmp_path


def _rows(path: Path) -> list[str]:
    return [line for line in path.read_text(encoding="utf-8").splitlines() if line.startswith("| [")]


def test_one_row_a_build_wherever_one_is(team: Path) -> None:
    assert main(["report", "--index", "my engines/example_build"]) == 0
    first, second = _rows(team / "BUILDS.md")
    assert first.startswith("| [Dunlin, straight six of the safety launch](my%20engines/example_build/BUILD.md)")
    assert "| ordering | **pass**: Ready to order" in first
    assert "proposed: 12 pushrods + 1 spare of 9.450 in (gauge length)" in first
    assert "inline\\_four\\_pad" in second


def test_open_points_chosen_lengths_and_errors(team: Path) -> None:
    replace(
        team / "my engines" / "example_build" / "pushrods.yaml",
        "spares: 1",
        "spares: 1\nchosen: {intake: 9.450 in, exhaust: 9.450 in, stated_as: gauge, gauge_hole: 0.120 in}",
    )
    replace(team / "my engines" / "inline_four_pad" / "cam.yaml", "lobe_lift", "lobe_lif")
    assert main(["report", "--index"]) == 2
    first, second = _rows(team / "BUILDS.md")
    assert "chosen: 12 pushrods + 1 spare of 9.450 in (gauge length)" in first
    assert "**fail**: Cannot be judged" in second
    assert second.endswith("| not determined |")


def test_its_name_may_be_set_and_it_is_checked(team: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (team / "buildcheck.yaml").write_text("index: ENGINES.md\n", encoding="utf-8")
    assert main(["report", "--index", "--check"]) == 1
    assert "ENGINES.md:1:1: error: is missing; run 'buildcheck report --index .'" in capsys.readouterr().out
    assert main(["report", "--index"]) == main(["report", "--index", "--check"]) == 0
    replace(team / "my engines" / "example_build" / "build.yaml", "stage: ordering", "stage: measuring")
    assert main(["report", "--index", "--check"]) == 1
    assert "is stale, or was edited by hand" in capsys.readouterr().out


def test_a_hostile_name_stays_in_its_cell(team: Path) -> None:
    build = team / "my engines" / "example_build" / "build.yaml"
    replace(build, "name: Dunlin, straight six of the safety launch", "name: '](x) | <b> @a'")
    assert main(["report", "--index"]) == 0
    (row,) = [row for row in _rows(team / "BUILDS.md") if "example" in row]
    html = MarkdownIt("gfm-like").render(f"| | | | |\n|---|---|---|---|\n{row}\n")
    assert html.count("<td>") == 4
    assert '<a href="my%20engines/example_build/BUILD.md">](x) | &lt;b&gt;' in html
