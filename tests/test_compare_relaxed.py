"""What ``compare`` shows of a build that passes only because its terms were relaxed, or on readings of old parts."""

from __future__ import annotations

import json
import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from history import ROOT, commit, git, replace

from buildcheck.cli.main import main

Compare = Callable[..., tuple[int, Any]]
BUILD = Path("engines/dunlin")
WORN = ("coil_bind_height: 29.2 mm", "coil_bind_height: 1.190 in")
LIMIT = ("at_least: 0.080 in", "at_least: 0.040 in")


@pytest.fixture(scope="module")
def origin(tmp_path_factory: pytest.TempPathFactory) -> Path:
    top = tmp_path_factory.mktemp("origin")
    git(top, "init", "--quiet", "--initial-branch=main")
    shutil.copytree(ROOT / "example_build", top / BUILD)
    commit(top, "good")
    replace(top / BUILD / "heads.yaml", *WORN)
    commit(top, "worn")
    return top


@pytest.fixture
def top(origin: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    shutil.copytree(origin, tmp_path / "own")
    monkeypatch.chdir(tmp_path / "own")
    return tmp_path / "own"


@pytest.fixture
def compared(capsys: pytest.CaptureFixture[str]) -> Compare:
    def compare(*words: str) -> tuple[int, Any]:
        code = main(["compare", *words, "--format", "json"])
        return code, json.loads(capsys.readouterr().out)["builds"]

    return compare


def test_a_loosened_limit_is_the_only_reason_for_passing(top: Path, compared: Compare) -> None:
    replace(BUILD / "build.yaml", *LIMIT)
    code, [build] = compared("worn")
    assert (code, build["verdict"]["after"]) == (0, "pass")
    [relaxed] = build["passes_only_because"]
    assert (relaxed["rule"], relaxed["causes"], relaxed["passes"]) == ("coil-bind-clearance", ["loosened limit"], True)
    assert relaxed["terms"] == "at least 0.080 in → 0.040 in"
    assert "minimum 0.0800 in" in relaxed["message"]
    assert compared("worn", "--strict")[0] == 1


def test_inputs_and_the_limit_changed_together(top: Path, compared: Compare) -> None:
    """The build passed before and passes now: only the old limit shows that it should not."""
    replace(BUILD / "build.yaml", *LIMIT)
    assert [one["rule"] for one in compared("good")[1][0]["passes_only_because"]] == ["coil-bind-clearance"]


def test_a_loosened_limit_that_changes_no_verdict_is_a_change(top: Path, compared: Compare) -> None:
    git(top, "checkout", "--quiet", "good")
    Path("buildcheck.yaml").write_text("limits: {quench: {at_most: 0.070 in, because: iron heads}}\n")
    code, builds = compared("good")
    assert [one["loosened"][0]["after"] for one in builds] == ["0.070 in"]
    assert (code, compared("good", "--strict")[0]) == (0, 0)


def test_an_earlier_stage_is_the_only_reason_for_passing(
    top: Path, compared: Compare, capsys: pytest.CaptureFixture[str]
) -> None:
    replace(BUILD / "build.yaml", "stage: ordering", "stage: planning")
    _, [build] = compared("worn")
    relaxed = {one["rule"]: one for one in build["passes_only_because"]}["coil-bind-clearance"]
    assert relaxed["causes"] == ["earlier stage"]
    assert relaxed["terms"] == "stage ordering → planning"
    assert main(["compare", "worn"]) == 0
    verdict = capsys.readouterr().out.splitlines()[1]
    assert verdict.endswith("engines/dunlin  only because of an earlier stage: stage ordering → planning")


def test_a_replaced_rule_is_the_only_reason_for_passing(top: Path, compared: Compare) -> None:
    shipped = next((ROOT / "rules").rglob("coil-bind-clearance.yaml")).read_text(encoding="utf-8")
    Path("shop").mkdir()
    own = shipped.replace("level: error", "level: warning\nreplaces: true", 1)
    Path("shop/coil-bind-clearance.yaml").write_text(own, encoding="utf-8")
    Path("buildcheck.yaml").write_text("rules: [shop/]\n")
    _, [build] = compared("worn")
    [relaxed] = build["passes_only_because"]
    assert (relaxed["causes"], relaxed["passes"]) == (["replaced rule"], False)
    assert relaxed["terms"] == "level error → warning"


def test_a_concession_is_named_and_is_no_loosened_limit(top: Path, capsys: pytest.CaptureFixture[str]) -> None:
    entry = "- {rule: coil-bind-clearance, valve: VALVE, up_to: 0.040 in, because: idles, accepted_by: the foreman}\n"
    text = "".join(entry.replace("VALVE", valve) for valve in ("intake", "exhaust"))
    (BUILD / "concessions.yaml").write_text(text)
    assert main(["compare", "worn", "--strict"]) == 0
    [row] = [line for line in capsys.readouterr().out.splitlines() if line.startswith("  fail → pass: ")]
    assert "loosened or conceded: coil-bind-clearance: conceded by the foreman up to 0.040 in" in row


@pytest.mark.parametrize(
    ("file", "old", "new", "titles"),
    [
        ("rockers.yaml", "valve_arm: 1.550 in", "valve_arm: 1.500 in", {"pivot-to-tip length"}),
        ("heads.yaml", "chamber_volume: 78 cc", "chamber_volume: 77 cc", set()),
        ("rockers.yaml", "valve_arm: 1.550 in", "valve_arm: 39.37 mm", set()),
    ],
)
def test_parts_changed_and_readings_did_not(
    top: Path, compared: Compare, file: str, old: str, new: str, titles: set[str]
) -> None:
    git(top, "checkout", "--quiet", "good")
    replace(BUILD / file, old, new)
    _, builds = compared("good")
    found = [part for build in builds for part in build["parts_changed_readings_not"]]
    assert {one["part"] for one in found} == titles
    assert bool(titles) == (compared("good", "--strict")[0] == 1)


def test_the_first_lines_come_in_order_of_rank(top: Path, capsys: pytest.CaptureFixture[str]) -> None:
    replace(BUILD / "build.yaml", *LIMIT)
    replace(BUILD / "rockers.yaml", "valve_arm: 1.550 in", "valve_arm: 1.545 in")
    main(["compare", "worn"])
    lines = capsys.readouterr().out.splitlines()
    first = [next(i for i, line in enumerate(lines) if words in line) for words in (
        "  fail → ", "only because of: loosened limit", "readings unchanged: ", "  inputs",
    )]  # fmt: skip
    assert first == sorted(first)
    assert first[0] == 1
