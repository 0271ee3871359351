"""Small ways past the check: numbers in another base, names that act in Markdown."""

from __future__ import annotations

from pathlib import Path

import pytest
from judged import copied, judged

from buildcheck.output.markdown import md


@pytest.mark.parametrize("written", ["0x1", "0o1"])
def test_a_cylinder_in_another_base_is_refused(tmp_path: Path, written: str) -> None:
    build = copied("example_build", tmp_path)
    marks = build / "marks.yaml"
    marks.write_text(
        marks.read_text(encoding="utf-8").replace("cylinder: 1", f"cylinder: {written}", 1), encoding="utf-8"
    )
    found = judged(build)
    assert found.exit_code == 2
    assert "in another base: write 1" in found.problems[0].message


@pytest.mark.parametrize("text", [":tada:", ":+1:", ":100:", ":Heart_eyes:", "#12", "GH-12", "@name", "a/b#12"])
def test_a_name_acts_in_no_markdown(text: str) -> None:
    shown = md(text)
    assert "&#8203;" in shown
    assert text not in shown


def test_a_place_is_shown_as_it_is() -> None:
    assert md("marks.yaml:21:42: error") == "marks.yaml:21:42: error"
