"""The cam's card: what engines have of each event, to the degree, and when every cylinder fires."""

from __future__ import annotations

from pathlib import Path

import pytest
from altered import EIGHT, SIX, facts
from rewritten import Edit

from buildcheck.core.subject import BUILD, Subject
from buildcheck.core.value import Contradiction, Undecided


def card(opens: float, closes: float, valve: str) -> Edit:
    """The demo's card with one valve's events, deg: its duration and centreline follow from them."""
    duration = opens + closes + 180
    centreline = duration / 2 - opens if valve == "intake" else duration / 2 - closes
    old = {"intake": ("264", "107"), "exhaust": ("268", "113")}[valve]
    block = "  duration: {} deg\n  centreline: {} deg\n"
    return ("cam.yaml", block.format(*old), block.format(f"{duration:g}", f"{centreline:g}"))


OPENS, CLOSES = "before top dead centre (-30 to 80 deg is usual)", "after bottom dead centre (0 to 120 deg is usual)"
SHUT, GONE = "after top dead centre (-30 to 80 deg is usual)", "before bottom dead centre (0 to 120 deg is usual)"
EVENTS = [
    ("intake", 0, f"intake opens {{:.1f}} deg {OPENS}", (80.0, 64.0), (80.5, 64.0)),
    ("intake", 0, f"intake opens {{:.1f}} deg {OPENS}", (-30.0, 30.0), (-30.5, 31.5)),
    ("intake", 1, f"intake closes {{:.1f}} deg {CLOSES}", (60.0, 120.0), (60.0, 120.5)),
    ("exhaust", 0, f"exhaust opens {{:.1f}} deg {GONE}", (120.0, 60.0), (120.5, 60.0)),
    ("exhaust", 1, f"exhaust closes {{:.1f}} deg {SHUT}", (64.0, 80.0), (64.0, 80.5)),
    ("exhaust", 1, f"exhaust closes {{:.1f}} deg {SHUT}", (31.0, -30.0), (32.0, -30.5)),
]


@pytest.mark.parametrize(("valve", "place", "text", "usual", "odd"), EVENTS)
def test_an_event_beyond_what_engines_have_is_reported_to_the_degree(
    tmp_path: Path, valve: str, place: int, text: str, usual: tuple[float, float], odd: tuple[float, float]
) -> None:
    good = facts(tmp_path / "usual", SIX, card(*usual, valve)).get("implausible_events")
    assert text.format(usual[place]) not in good.remark
    bad = facts(tmp_path / "odd", SIX, card(*odd, valve)).get("implausible_events")
    assert text.format(odd[place]) in bad.remark.split("; ")
    assert bad.si == len(bad.remark.split("; ")) > good.si - 1
    assert {place.file for place in bad.places} == {"cam.yaml"}


@pytest.mark.parametrize(
    ("centreline", "expected"),
    [
        ("147", ""),  # (107 + 147)/2 = 127; ahead by (147 - 107)/2 = 20
        ("153", ""),  # 130, as far as is usual
        ("153.5", "lobe separation is 130.2 deg (90 to 130 deg is usual)"),
        ("73", ""),  # 90
        ("72.5", "lobe separation is 89.8 deg (90 to 130 deg is usual)"),
    ],
)
def test_lobes_too_far_apart_or_too_near_are_reported(tmp_path: Path, centreline: str, expected: str) -> None:
    edit = ("cam.yaml", "centreline: 113 deg", f"centreline: {centreline} deg")
    found = facts(tmp_path, SIX, edit).get("implausible_events").remark
    assert expected in found
    assert ("lobe separation" in found) == bool(expected)


@pytest.mark.parametrize(
    ("advance", "ahead"), [("12 deg", None), ("12.5 deg", "15.5"), ("-18 deg", None), ("-18.5 deg", "-15.5")]
)
def test_a_cam_too_far_ahead_or_behind_is_reported(tmp_path: Path, advance: str, ahead: str | None) -> None:
    """The demo's lobes stand (113 − 107)/2 = 3 degrees ahead by themselves."""
    found = facts(tmp_path, SIX, ("cam.yaml", "duration_at: 0.006 in\n", f"advance: {advance}\n")).get(
        "implausible_events"
    )
    result = f"cam advance is {ahead} deg (-15 to 15 deg is usual)"
    assert (result in found.remark) == (ahead is not None)
    assert ("cam advance" in found.remark) == (ahead is not None)


@pytest.mark.parametrize(
    ("name", "degrees"),
    [("intake_opens", 25 + 4), ("intake_closes", 59 - 4), ("exhaust_opens", 67 + 4), ("exhaust_closes", 21 - 4),
     ("overlap", 46), ("lobe_separation", 110)],
)  # fmt: skip
def test_a_cam_four_degrees_ahead_does_all_of_it_earlier(tmp_path: Path, name: str, degrees: float) -> None:
    """Of 264 and 268 degrees about 107 and 113."""
    found = facts(tmp_path, SIX, ("cam.yaml", "duration_at: 0.006 in\n", "advance: 4 deg\n"))
    assert found.get(name).si == pytest.approx(degrees)


GAPS = [90, 150, 90, 150, 90, 150]


@pytest.mark.parametrize("intervals", [None, GAPS])
def test_every_cylinder_fires_as_far_on_as_those_before_it(tmp_path: Path, intervals: list[int] | None) -> None:
    written = ", ".join(f"{gap} deg" for gap in intervals or [])
    found = facts(tmp_path, SIX, ("block.yaml", "", f"firing_intervals: [{written}]\n" if intervals else "# even\n"))
    at = 0
    for cylinder, gap in zip((1, 5, 3, 6, 2, 4), intervals or [120] * 6, strict=True):
        assert found.get("firing_tdc", Subject(cylinder)).si == pytest.approx(at)
        assert found.get("heel_middle", Subject(cylinder, "intake")).si == pytest.approx((at + 107) % 720)
        assert found.get("heel_middle", Subject(cylinder, "exhaust")).si == pytest.approx((at - 113) % 720)
        at += gap


@pytest.mark.parametrize(
    "edit",
    [
        ("block.yaml", "", "firing_intervals: [120 deg, 120 deg, 120 deg, 120 deg, 120 deg, 110 deg]\n"),
        ("block.yaml", "", "firing_intervals: [360 deg, 360 deg]\n"),
        ("block.yaml", "[1, 5, 3, 6, 2, 4]", "[1, 5, 3, 6, 2]"),
        ("block.yaml", "[1, 5, 3, 6, 2, 4]", "[1, 5, 3, 6, 2, 2]"),
        ("block.yaml", "[1, 5, 3, 6, 2, 4]", "[5, 3, 6, 2, 4, 7]"),
    ],
)
def test_a_firing_order_that_cannot_be_contradicts_at_its_place(tmp_path: Path, edit: Edit) -> None:
    with pytest.raises(Contradiction) as result:
        facts(tmp_path, SIX, edit).get("firing_tdc", Subject(4))
    assert {place.file for place in result.value.places} == {"block.yaml"}


@pytest.mark.parametrize(("bank", "cylinder"), [("left", 1), ("right", 5)])
def test_a_vees_second_bank_counts_from_cylinder_ones_firing_too(bank: str, cylinder: int, tmp_path: Path) -> None:
    """1-5-4-8-6-3-7-2: number 5 fires 90 degrees after number 1."""
    found = facts(tmp_path, EIGHT).get("firing_tdc", Subject(cylinder))
    assert found.si == pytest.approx({"left": 0, "right": 90}[bank])


@pytest.mark.parametrize(
    ("stated_at", "result"), [("0.0199 in", True), ("0.020 in", False), ("0.51 mm", False), ("0.006 in", True)]
)
def test_durations_off_the_seat_tell_no_dynamic_compression(tmp_path: Path, stated_at: str, result: bool) -> None:
    found = facts(tmp_path, SIX, ("cam.yaml", "duration_at: 0.006 in", f"duration_at: {stated_at}"))
    if result:
        assert 1 < found.get("dynamic_compression_ratio", BUILD).si < found.get("compression_ratio", BUILD).si
    else:
        with pytest.raises(Undecided, match="not seat to seat"):
            found.get("dynamic_compression_ratio", BUILD)
