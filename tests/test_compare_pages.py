"""A comparison as it is read: what stands on its page, in which order, and where long lists are folded."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from history import commit, git, write_history

from buildcheck.cli.main import main

Page = Callable[..., list[str]]


@pytest.fixture(scope="module")
def history(tmp_path_factory: pytest.TempPathFactory) -> Path:
    top = tmp_path_factory.mktemp("history")
    write_history(top)
    return top


@pytest.fixture
def page(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], history: Path) -> Page:
    """The lines that ``compare`` writes, in the repository with the long history or in another."""

    def compare(*words: str, top: Path = history) -> list[str]:
        monkeypatch.chdir(top)
        main(["compare", *words])
        return capsys.readouterr().out.splitlines()

    return compare


def begin(lines: list[str], beginnings: list[str]) -> bool:
    """Whether each line begins as told, and there is none more."""
    return [line[: len(result)] for line, result in zip(lines, beginnings, strict=True)] == beginnings


SWAPPED = [
    "trial-added → swapped-head: 1 build changed, 1 did not; 2 new results block",
    "  pass → fail: engines/dunlin  blocks: coil-bind-clearance (intake and exhaust)",
    "",
    "engines/dunlin: pass → fail. Not ready to order: 2 checks failed.",
    "  marks.yaml lists no states of the engine: its readings are assumed to apply to the present parts",
    "  inputs",
    "    engines/dunlin/heads.yaml:5:17: chamber_volume: 78 cc → 74 cc",
    "    engines/dunlin/heads.yaml:11:19: valves.intake.tip_diameter: 0.310 in +/- 0.002 in → 7.874 mm +/- 0.002 in,",
    "    engines/dunlin/heads.yaml:16:19: valves.exhaust.tip_diameter: 0.310 in +/- 0.002 in → 7.874 mm +/- 0.002 in,",
    "    engines/dunlin/heads.yaml:28:23: springs.intake.coil_bind_height: 29.2 mm → 1.190 in",
    "    engines/dunlin/heads.yaml:38:23: springs.exhaust.coil_bind_height: 29.2 mm → 1.190 in",
    "  1 note changed too",
    "  verdicts",
    "    engines/dunlin/heads.yaml:33:23: blocks now: intake and exhaust: passes → fails, worst on exhaust: coil",
    "  quantities changed by more than their uncertainty",
    "    Coil-bind clearance (intake): 0.1024 in ± 0.0100 in → 0.0620 in ± 0.0100 in",
    "    Coil-bind clearance (exhaust): 0.0944 in ± 0.0100 in → 0.0540 in ± 0.0100 in",
    "    Compression ratio: 8.759 → 9.082",
    "    Dynamic compression ratio: 7.31 → 7.573",
    "    Coil-bind height, measured minus calculated (intake and exhaust): -0.0009 in → 0.0395 in",
    "  order",
    "    12 pushrods + 1 spare of 9.450 in (gauge length) → do not order",
]
LIMITS = [
    "swapped-head → limits-changed: 1 build changed, 1 did not; nothing new blocks",
    "  fail → pass: engines/dunlin  loosened or conceded: coil-bind-clearance at least 0.080 in → 0.040 in",
    "engines/dunlin/heads.yaml:33:23: warning: coil-bind-clearance, intake and exhaust: passes only because of:",
    "",
    "engines/dunlin: fail → pass. Ready to order.",
    "  marks.yaml lists no states of the engine: its readings are assumed to apply to the present parts",
    "  limits",
    "    engines/dunlin/build.yaml:14:15: limits.coil-bind-clearance.at_least: 0.080 in → 0.040 in",
    "  verdicts",
    "    engines/dunlin/heads.yaml:33:23: better: intake and exhaust: fails → passes, worst on exhaust, because of: ",
    "  order",
    "    do not order → 12 pushrods + 1 spare of 9.450 in (gauge length)",
]
TIGHTENED = [
    "  undecided → fail: engines/sheldrake  blocks: mark-centred (intake 3; exhaust 1, 2, 3); retainer-to-seal",
    "  pass → undecided: engines/teal  blocks: mark-centred (cylinder 3 intake)",
    "rule mark-centred changed: at_most tip_diameter / 6 → 0.009 in",
    "",
    "engines/sheldrake: undecided → fail. Not ready to order: 1 check failed and 9 undecided.",
    "  marks.yaml lists no states of the engine: its readings are assumed to apply to the present parts",
    "  verdicts",
    "    engines/sheldrake/marks.yaml:51:22: blocks now: cylinder 3 exhaust: passes → fails, because of: limit: mark",
    "    engines/sheldrake/marks.yaml:14:3: blocks now: the build: passes → undecided, blocks, because of: another",
    "    engines/sheldrake/marks.yaml:26:9: blocks now: exhaust 1, 2, 3: passes → undecided, blocks, first of them",
    "    engines/sheldrake/marks.yaml:29:42: blocks now: intake 3; exhaust 1, 2: passes → undecided, blocks, worst on",
    "    engines/sheldrake/marks.yaml:26:9: worse: exhaust: passes → undecided, because of: another limit: pushrod",
    "  quantities changed by more than their uncertainty",
    "    no longer determined: Chosen pushrod length (exhaust 1, 2, 3); ",
]


def test_inputs_verdicts_and_what_moved(page: Page) -> None:
    lines = page("trial-added", "swapped-head")
    assert begin(lines, SWAPPED)
    assert lines[13].endswith(" [coil-bind-clearance]")


def test_limits_stand_by_themselves(page: Page) -> None:
    assert begin(page("swapped-head", "limits-changed"), LIMITS)


def test_a_rule_of_the_team_and_what_it_does_to_the_order(page: Page) -> None:
    assert begin(page("deleted-file", "rule-tightened")[1:15], TIGHTENED)


def test_what_only_came_to_apply_is_without_a_place(page: Page) -> None:
    lines = [line for line in page("rule-tightened", "concession") if "concession-in-use" in line]
    assert lines == ["    the build: not applicable → passes: concession-in-use"]


def test_the_team_and_the_builds_on_the_page_for_a_pull_request(page: Page) -> None:
    lines = page("limits-changed", "rule-tightened", "--format", "markdown")
    assert [line for line in lines if line.startswith(("###", "<details>"))] == [
        "### Dangers", "### Rules and limits of the team", "### Effect of the team's rules, limits and settings",
        "### engines/sheldrake: pass → fail", "### What to do", "<details><summary>Other verdicts (6)</summary>",
        "<details><summary>Quantities that changed by more than their uncertainty (1)</summary>",
        "<details><summary>Readings without states (1)</summary>",
    ]  # fmt: skip
    assert r"- rule mark-centred changed: at\_most tip\_diameter / 6 → 0.009 in" in lines
    assert "Renamed from engines/dunlin. Not ready to order: 1 check failed and 9 undecided." in lines
    assert "- clearances.yaml:3: this file was removed" in lines


def test_a_verdict_and_an_input_on_that_page(page: Page) -> None:
    lines = page("trial-added", "swapped-head", "--format", "markdown")
    [flip] = [line for line in lines if line.startswith("- ✗ ")]
    assert flip.startswith("- ✗ **coil-bind-clearance**, intake and exhaust: passes → fails, worst on exhaust. Coil")
    assert flip.endswith(" (heads.yaml:33)")
    inputs = lines.index("Changed:")
    assert lines[inputs + 2] == r"- heads.yaml:5: chamber\_volume: 78 cc → 74 cc"
    assert "- engines/dunlin: 1 note changed too" in lines


def test_a_limit_that_was_loosened_comes_before_everything_else_on_that_page(page: Page) -> None:
    lines = page("swapped-head", "limits-changed", "--format", "markdown")
    headings = [line for line in lines if line.startswith("###")]
    assert headings == ["### Passes only because its terms were relaxed", "### engines/dunlin: fail → pass"]
    came = page("rule-tightened", "concession", "--format", "markdown")
    assert "- engines/sheldrake: the build: not applicable → passes: concession-in-use" in came


def test_inputs_beyond_the_first_six_are_folded(tmp_path: Path, page: Page) -> None:
    git(tmp_path, "init", "--quiet")
    (tmp_path / "build.yaml").write_text("name: X\nstage: planning\n")
    for tag, depth in (("old", 0), ("new", 1)):
        each = "".join(f"  - {{cylinder: {n}, deck_clearance: {depth} mm}}\n" for n in range(1, 13))
        (tmp_path / "block.yaml").write_text(f"cylinders: 12\neach:\n{each}")
        commit(tmp_path, tag)
    lines = page("old", "new", "--format", "markdown", top=tmp_path)
    assert "- 6 more below, under Inputs" in lines
    assert "<details><summary>Inputs (6)</summary>" in lines
    assert sum("deck\\_clearance: 0 mm → 1 mm" in line for line in lines) == 12


def test_what_cannot_be_read_is_reported_on_both_pages(tmp_path: Path, page: Page) -> None:
    git(tmp_path, "init", "--quiet")
    (tmp_path / "build.yaml").write_text("name: X\nstage: planning\n")
    commit(tmp_path, "good")
    (tmp_path / "build.yaml").write_text("name: X\nstage: sailing\n")
    commit(tmp_path, "bad")
    lines = page("good", "bad", "--format", "markdown", top=tmp_path)
    assert any(line.startswith("- ✗ build.yaml:2:") for line in lines)
    assert any(line.startswith("build.yaml:2:8: error: stage: ") for line in page("good", "bad", top=tmp_path))
