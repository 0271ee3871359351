"""Limits by family, between the team's and the build's own; concessions that end with a stage."""

from __future__ import annotations

import json
import shutil
from pathlib import Path
from typing import Any

import pytest
from history import ROOT, replace

from buildcheck.cli.main import main

TEAM = "limits: {quench: {at_most: 0.080 in, because: the team}}\n"
FAMILY = "families:\n  - {when: {%s}, limits: {quench: {at_most: 0.075 in, because: the family}}}\n"
SIX = "block.layout: inline, block.cylinders: [6]"


@pytest.fixture
def top(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    shutil.copytree(ROOT / "example_build", tmp_path / "dunlin")
    monkeypatch.chdir(tmp_path)
    return tmp_path


def quench(capsys: pytest.CaptureFixture[str]) -> Any:
    main(["check", "--format", "json"])
    [build] = json.loads(capsys.readouterr().out)["builds"]
    return next(result for result in build["results"] if result["rule"] == "quench")["at_most"]["text"]


@pytest.mark.parametrize(
    ("when", "limit"),
    [(SIX, "0.075 in"), ("block.layout: [vee, flat]", "0.080 in"), ("rockers.shim: 1 mm", "0.080 in")],
)
def test_a_family_overrides_the_team_for_builds_that_match(
    top: Path, capsys: pytest.CaptureFixture[str], when: str, limit: str
) -> None:
    (top / "buildcheck.yaml").write_text(TEAM + FAMILY % when)
    assert quench(capsys).startswith(limit[:5])


def test_the_build_overrides_its_family_and_explain_shows_the_chain(
    top: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (top / "buildcheck.yaml").write_text(TEAM + FAMILY % SIX)
    replace(top / "dunlin" / "build.yaml", "limits:\n", "limits:\n  quench: {at_most: 0.070 in, because: this one}\n")
    assert quench(capsys).startswith("0.070")
    main(["explain", "quench", "dunlin"])
    lines = capsys.readouterr().out.splitlines()
    at = next(number for number, line in enumerate(lines) if line.startswith("at most: 0.070 in"))
    chain = [line.strip() for line in lines[at + 1 : at + 5]]
    assert chain[0] == "because this one"
    assert [line.split(",")[0] for line in chain[1:3]] == ["in place of 0.075 in", "in place of 0.080 in"]
    assert chain[3].startswith("in place of ")


@pytest.mark.parametrize("when", ["block.layuot: vee", "preload: 1 mm", "block.layout: round"])
def test_a_condition_that_cannot_be_meant_is_an_error_at_its_place(
    top: Path, capsys: pytest.CaptureFixture[str], when: str
) -> None:
    (top / "buildcheck.yaml").write_text(FAMILY % when)
    assert main(["check"]) == 2
    assert "buildcheck.yaml:2:" in capsys.readouterr().out


@pytest.mark.parametrize(("until", "code"), [("assembled", 0), ("ordering", 1), ("measuring", 1)])
def test_a_concession_ends_with_its_stage(top: Path, capsys: pytest.CaptureFixture[str], until: str, code: int) -> None:
    replace(top / "dunlin" / "heads.yaml", "coil_bind_height: 29.2 mm", "coil_bind_height: 1.190 in")
    entry = (
        "- {rule: coil-bind-clearance, valve: %s, up_to: 0.040 in, because: idles, accepted_by: foreman, until: %s}\n"
    )
    text = "".join(entry % (valve, until) for valve in ("intake", "exhaust"))
    (top / "dunlin" / "concessions.yaml").write_text(text)
    assert main(["check"]) == code
    assert (f"it ended with stage {until}" in capsys.readouterr().out) == bool(code)
