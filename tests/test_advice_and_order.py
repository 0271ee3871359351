"""Advice and order in one voice: where the one says 'order nothing before', the other is open, and only there."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from plain_tip import most_to_the_far_side, rise_to_middle
from rewritten import copied
from twin import FILES, lay_out, mark

from buildcheck.cli.main import main

ARM, LIFT = 36.0, 6.8 * 1.35
EIGHT = "mark: {from: 3.25 mm, to: 4.10 mm}, shut_at: 3.40 mm, open_at: 3.60 mm"
WAITS, STAYS = "Do not order yet", "before you order or not at all"


@pytest.fixture
def outcome(capsys: pytest.CaptureFixture[str]) -> Any:
    """Gives the advice on one valve of a build and what check says of it, both as JSON."""

    def one(build: Path, valve: str = "1/intake") -> tuple[dict[str, Any], dict[str, Any]]:
        capsys.readouterr()
        main(["advise", str(build), "--valve", valve, "--format", "json"])
        [advice] = json.loads(capsys.readouterr().out)["advice"]
        main(["check", str(build), "--format", "json"])
        [checked] = json.loads(capsys.readouterr().out)["builds"]
        return advice, checked

    return one


def result(checked: dict[str, Any], rule: str, cylinder: int = 1) -> dict[str, Any]:
    who = {"cylinder": cylinder, "valve": "intake"}
    [found] = [one for one in checked["results"] if one["rule"] == rule and one["subject"] == who]
    return dict(found)


@pytest.mark.parametrize("mount", ["shaft", "pedestal"])
@pytest.mark.parametrize(
    ("near", "far", "stays"),
    [(2.0, 4.4, True), (3.6, 5.8, True), (1.4, 4.0, False), (1.0, 4.0, False), (4.7, 6.7, False), (5.0, 7.9, False)],
)
def test_a_plain_tips_shim_holds_up_the_order_where_the_advice_says_so(
    outcome: Any, tmp_path: Path, near: float, far: float, stays: bool, mount: str
) -> None:
    rockers = FILES["rockers"].replace("mount: shaft", f"mount: {mount}")
    advice, checked = outcome(lay_out(tmp_path, mark(near, far), rockers=rockers))
    assert advice["step"]["action"] == "change height"
    assert advice["step"]["may_stay"] is stays
    waits = WAITS in advice["texts"]["next"] or "Wrong parts: stop and check" in advice["texts"]["next"]
    assert (waits, STAYS in advice["texts"]["next"]) == (not stays, stays)
    assert (checked["verdict"] == "pass") is stays
    assert ("length" in advice["texts"]) is stays
    assert f" the {'stand' if mount == 'shaft' else 'pedestal'}" in advice["texts"]["cure"]


@pytest.mark.parametrize(
    ("shut", "opened", "action", "stays"),
    [(3.30, 3.80, "change height", True), (3.10, 3.90, "change height", False), (3.50, 3.60, "none", False)],
)
def test_a_rollers_shim_does_likewise(
    outcome: Any, tmp_path: Path, shut: float, opened: float, action: str, stays: bool
) -> None:
    near = shut - 0.05
    lines = f"mark: {{from: {near:.2f} mm, to: 4.20 mm}}, shut_at: {shut} mm, open_at: {opened} mm"
    build = copied(tmp_path, "tests/builds/vee_eight_mm", ("marks.yaml", EIGHT, lines))
    advice, checked = outcome(build, "3/intake")
    assert (advice["step"]["action"], advice["step"]["may_stay"]) == (action, stays)
    is_open = result(checked, "length-orderable", 3)["kind"] == "open"
    assert (WAITS in advice["texts"]["next"]) is is_open
    assert is_open is (action == "change height" and not stays)


def test_the_report_does_not_say_both(tmp_path: Path) -> None:
    build = lay_out(tmp_path, mark(3.6, 5.8))
    assert main(["report", str(build)]) == 0
    text = (build / "REPORT.md").read_text()
    assert "Ready to order" in text
    assert WAITS not in text
    assert "The mark is acceptable; this centres it." in text


@pytest.mark.parametrize(("near", "far"), [(2.0, 4.4), (3.6, 5.8), (4.7, 6.7), (1.0, 4.0)])
def test_a_plain_tips_shim_puts_its_mark_in_the_middle(outcome: Any, tmp_path: Path, near: float, far: float) -> None:
    advice, checked = outcome(lay_out(tmp_path, mark(near, far)))
    rise = rise_to_middle(ARM, LIFT, far - near, (near + far) / 2 - 4.0)
    step, shim = advice["step"], checked["quantities"]["shim_for_mark"]["1/intake"]
    assert step["height"]["si"] / 0.001 == pytest.approx(rise, abs=1e-6)
    assert shim["si"] == step["height"]["si"]
    assert step["length"]["si"] / 0.001 == pytest.approx(rise * (1 + 1 / 1.35), abs=1e-6)


@pytest.mark.parametrize(
    ("near", "far", "how", "stays"),
    [(1.3, 3.3, "centres", False), (1.6, 3.8, "centres", False), (2.0, 4.1, "is sure to centre", True)],
)
def test_a_mark_that_no_shim_centres_is_reported_how_far_one_moves_it(
    outcome: Any, tmp_path: Path, near: float, far: float, how: str, stays: bool
) -> None:
    advice, checked = outcome(lay_out(tmp_path, mark(near, far)))
    most = most_to_the_far_side(ARM, LIFT, far - near)
    expected = f"o shim {how} this mark: raising the pivot moves it by at most {most:.3f} mm"
    assert advice["step"]["action"] == "move the centre"
    centring = "Fit a rocker with another pivot-to-tip length, or correct the stand position."
    assert advice["texts"]["cure"] == f"N{expected}. {centring}"
    assert advice["texts"]["next"].startswith("The mark is acceptable.") is stays
    assert "1/intake" not in checked["quantities"].get("shim_for_mark", {})
    assert (checked["verdict"] == "pass") is stays
    if near == 1.3:
        assert expected in result(checked, "length-orderable")["message"]


@pytest.mark.parametrize(("near", "far", "action"), [(0, 4.0, "change height"), (0, 2.0, "move the centre")])
def test_a_mark_that_ran_off_gets_a_first_step_or_none(
    outcome: Any, tmp_path: Path, near: float, far: float, action: str
) -> None:
    advice, checked = outcome(lay_out(tmp_path, mark(near, far)))
    assert (advice["step"]["action"], advice["step"]["may_stay"]) == (action, False)
    assert checked["verdict"] == "fail"
    if action == "change height":
        assert advice["texts"]["cure"].startswith("It is 5.825 mm that the stand lacks or has too much")
        assert "Wrong parts: stop and check" in advice["texts"]["next"]
        assert "The mark ran off the tip, so this is only a first step." in advice["texts"]["next"]
    else:
        assert "no shim centres it" in advice["texts"]["cure"]


def test_a_mark_as_wide_as_its_tip_requires_a_wider_one(outcome: Any, tmp_path: Path) -> None:
    advice, checked = outcome(lay_out(tmp_path, mark(0, 8.0)))
    assert (advice["step"]["action"], advice["needs_work"], checked["verdict"]) == ("wider tip", True, "fail")
    assert "Fit a lash cap with a wider flat" in advice["texts"]["cure"]
    assert advice["texts"]["next"] == "Keep the pushrod length, fit it, and take a new mark."


BARE, SHIMMED = "length: 229.10 mm", "length: 230.84 mm, shim: 1.0 mm, mark: {from: 2.0 mm, to: 6.0 mm}"


@pytest.mark.parametrize(
    ("earlier", "fitted", "rule", "expected"),
    [
        ("", "", "length-orderable", "correct rockers.yaml if it is fitted"),
        ("", "shim: 1.0 mm\n", "fixed-mount-mark-moved", "If the shim changed, enter it in each trial"),
        (", shim: 0 mm", "shim: 1.0 mm\n", "", ""),
    ],
)
def test_a_shim_fitted_as_advised_accuses_nobody(
    outcome: Any, tmp_path: Path, earlier: str, fitted: str, rule: str, expected: str
) -> None:
    first = f"{BARE}{earlier}, mark: {{from: 1.2 mm, to: 4.0 mm}}"
    build = lay_out(tmp_path, first, SHIMMED, rockers=FILES["rockers"] + fitted)
    _, checked = outcome(build)
    assert (checked["verdict"] == "pass") is (rule == "")
    if rule:
        assert expected in result(checked, rule)["message"]


def test_the_advice_says_where_a_shim_is_to_be_written(outcome: Any, tmp_path: Path) -> None:
    [note] = [one for one in outcome(lay_out(tmp_path, mark(1.0, 4.0)))[0]["notes"] if one.startswith("Enter the shim")]
    assert "Enter in each earlier trial the shim of that day (shim: 0 in for none)" in note
