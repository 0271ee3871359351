"""Readings judged twice: crank angles, marks, trials, springs, rods delivered and what was set, by other means."""

from __future__ import annotations

from collections import defaultdict

import pytest
from drawn_readings import half_a_card
from events_again import overlap
from fits_again import fitted, moved
from read_twice import READ, ReadTwice, read_builds
from rules_again import Judged
from thorough import over_all_draws

each_build = pytest.mark.parametrize("name", READ)


@pytest.fixture(scope="module")
def builds(tmp_path_factory: pytest.TempPathFactory) -> dict[str, ReadTwice]:
    return read_builds(tmp_path_factory.mktemp("read"))


@each_build
def test_the_files_are_read_without_complaint(builds: dict[str, ReadTwice], name: str) -> None:
    assert builds[name].outcome["errors"] == []


@each_build
def test_every_rule_ends_alike(builds: dict[str, ReadTwice], name: str) -> None:
    for again in builds[name].judged:
        found = builds[name].result(again.rule, again.valve, again.cylinder)
        assert found["kind"] == again.kind, (again, found["message"])


@each_build
def test_every_value_is_the_same(builds: dict[str, ReadTwice], name: str) -> None:
    for again in builds[name].judged:
        if isinstance(again, Judged):
            value = builds[name].result(again.rule, again.valve, again.cylinder)["value"]
            found = value.get("si", value.get("deg"))
            assert found == pytest.approx(again.value.nominal_value, rel=1e-6, abs=1e-9), again
            if not _folded(builds[name], again):
                doubt = value.get("expanded_uncertainty_si", value.get("expanded_uncertainty_deg"))
                assert doubt == pytest.approx(2 * again.value.std_dev, rel=0.02), again


def _folded(build: ReadTwice, again: Judged) -> bool:
    """Whether a crank angle stood so near the middle of heel or lift that its doubt reaches over to the other end."""
    if again.rule != "measured-on-heel":
        return False
    assert again.cylinder
    start, end = build.cam.heel((again.cylinder, again.valve), 0.0)
    half = (end - start) % 720 / 2
    far = min(half - again.value.nominal_value, 360 - half + again.value.nominal_value)
    return bool(far < 2 * again.value.std_dev)


@each_build
def test_the_pivot_is_as_high(builds: dict[str, ReadTwice], name: str) -> None:
    """Both ends of what the readings allow; where the product tells no sign, of the magnitude alone."""
    for one in builds[name].fitted:
        result = builds[name].quantity("height_error", one.valve)
        if one.agree == {"pass"} and not one.two:
            assert result
            runs = one.scan.held
            low, high = one.magnitudes if result.get("sign") == "unknown" else (runs[0][0], runs[-1][1])
            best = result["si"]
            assert low - one.slack < best < high + one.slack, one.valve.key
            assert max(high - best, best - low) == pytest.approx(result["expanded_uncertainty_si"], abs=one.slack), (
                one.valve.key
            )


@each_build
def test_trials_agree_and_pivots_are_at_mid_lift_alike(builds: dict[str, ReadTwice], name: str) -> None:
    build = builds[name]
    at_mid_lift = "geometry-at-mid-lift" if build.engine.nut else "geometry-fixed-mount"
    for one in build.fitted:
        cylinder, valve = one.valve.key
        ended = build.result("trial-consistency", valve, cylinder)["kind"]
        assert ended in one.agree, one.valve.key
        stands = one.at_mid_lift if ended == "pass" else {"open"}
        assert build.result(at_mid_lift, valve, cylinder)["kind"] in stands, one.valve.key


@each_build
def test_a_mark_brought_to_its_narrowest_lies_as_far_off(builds: dict[str, ReadTwice], name: str) -> None:
    """From the height that was told, which is held against the second opinion's by itself."""
    build = builds[name]
    for valve in build.valves:
        ended = build.result("off-centre-at-narrowest", valve.key[1], valve.key[0])
        result, height = (build.quantity(name, valve) for name in ("offset_at_narrowest", "height_error"))
        if result is None or height is None:
            assert ended["kind"] in ("open", "notApplicable")
        else:
            one = fitted(valve)
            assert one
            centre, expanded = one.centre(height["si"], height["expanded_uncertainty_si"])
            assert result["si"] == pytest.approx(centre, abs=1e-9)
            assert result["expanded_uncertainty_si"] == pytest.approx(expanded, rel=0.01)
            room, doubt = valve.tip.nominal_value / 6 - abs(centre), expanded
            assert ended["kind"] == ("pass" if room >= doubt else "fail" if room < -doubt else "open")


@each_build
def test_marks_under_a_fixed_pivot_stay_alike(builds: dict[str, ReadTwice], name: str) -> None:
    for valve in builds[name].valves:
        ended = builds[name].result("fixed-mount-mark-moved", valve.key[1], valve.key[0])["kind"]
        assert ended in ({"notApplicable"} if builds[name].engine.nut else moved(valve)), valve.key


@each_build
def test_a_card_in_degrees_of_cam_is_found_out(builds: dict[str, ReadTwice], name: str) -> None:
    """A valve that stays open for less than the stroke it serves has half its duration written; the others have not."""
    found = builds[name].result("events-plausible", "", None)
    assert (found["kind"] == "fail") == half_a_card(int(name.split()[1]))


@each_build
def test_the_cams_events_are_reported_alike(builds: dict[str, ReadTwice], name: str) -> None:
    for event, degrees in overlap(builds[name].cam):
        found = builds[name].outcome["quantities"][event]
        for one in [found] if "deg" in found else found.values():
            assert one["deg"] == pytest.approx(degrees, abs=1e-9), event


@over_all_draws
def test_every_rule_ends_in_every_way_somewhere(builds: dict[str, ReadTwice]) -> None:
    """Counts are sure, so those rules end open only where nothing was written."""
    ends = defaultdict(set)
    for build in builds.values():
        for found in build.outcome["results"]:
            ends[found["rule"]].add(found["kind"])
    three = (
        "measured-on-heel", "geometry-at-mid-lift", "geometry-fixed-mount", "mark-position-hint", "mark-full-contact",
        "off-centre-at-narrowest", "trial-consistency", "fixed-mount-mark-moved", "crank-turned-twice", "mark-trusted",
        "piston-to-valve", "spring-rate-agrees", "rocker-torque", "thread-engagement", "delivered-run-out",
        "delivered-as-ordered",
    )  # fmt: skip
    assert {rule: {"pass", "fail", "open"} - ends[rule] for rule in three} == {rule: set() for rule in three}
    assert {"pass", "fail"} <= ends["delivered-enough"] & ends["events-plausible"] & ends["lines-inside-mark"]


@over_all_draws
def test_hardly_a_verdict_hangs_on_how_readings_are_weighed(builds: dict[str, ReadTwice]) -> None:
    found = [one for build in builds.values() for one in build.fitted]
    sure = [len(one.agree) == 1 and len(one.at_mid_lift) == 1 for one in found]
    assert len(found) > 150
    assert sum(sure) >= 0.9 * len(sure)
