"""Where the rocker's screw stood while measuring: written it is calculated in, not written it is said."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from rewritten import Edit, copied

from buildcheck.cli.main import main

WRITTEN = "screw_at: 0.020 in\n"
SILENT: tuple[Edit, ...] = (("rockers.yaml", WRITTEN, ""),)
SAID = "screw_at is not entered: the screw is assumed to be at its required position"


def out(capsys: pytest.CaptureFixture[str], *call: str) -> str:
    capsys.readouterr()
    main(list(call))
    return capsys.readouterr().out


def adjuster(capsys: pytest.CaptureFixture[str], build: Path) -> list[dict[str, Any]]:
    [found] = json.loads(out(capsys, "check", str(build), "--format", "json"))["builds"]
    return [one for one in found["results"] if one["rule"] == "adjuster-in-range"]


@pytest.mark.parametrize(("edits", "expected"), [(SILENT, True), ((), False)], ids=["silent", "written"])
def test_a_stand_that_is_not_written_is_remarked_on(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], edits: tuple[Edit, ...], expected: bool
) -> None:
    build = copied(tmp_path, "tests/builds/flat_four_solid", *edits)
    result = adjuster(capsys, build)
    assert result
    assert {SAID in one["message"] for one in result} == {expected}
    assert {one["kind"] for one in result} == {"pass"}
    assert (SAID in out(capsys, "advise", str(build), "--valve", "1/intake")) is expected
    assert main(["report", str(build)]) == 0
    assert (f"; {SAID}." in (build / "REPORT.md").read_text()) is expected
    assert (
        "Set the rocker screws to their required position" in out(capsys, "plan", str(build), "--format", "json")
    ) is expected


def test_the_stand_is_included(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """0.020 in out towards the pushrod: that much longer a pushrod is requested."""
    asked = []
    for number, edits in enumerate(((), SILENT)):
        build = copied(tmp_path / str(number), "tests/builds/flat_four_solid", *edits)
        [found] = json.loads(out(capsys, "check", str(build), "--format", "json"))["builds"]
        asked.append(found["quantities"]["length_asked"]["1/intake"]["si"])
    assert asked[0] - asked[1] == pytest.approx(0.020 * 0.0254)


def test_no_other_rocker_has_a_screw_to_speak_of(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    build = copied(tmp_path, "example_build")
    assert "screw" not in out(capsys, "plan", str(build), "--format", "json")
    assert SAID not in out(capsys, "check", str(build), "--format", "json")
