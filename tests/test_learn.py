"""Repeatability of the shop: learned from all builds, written as a part, used by a build; the test for a worse day."""

from __future__ import annotations

import random
import shutil
from pathlib import Path
from statistics import stdev

import pytest
from rewritten import ROOT, kinds
from scipy import stats

from buildcheck.app.build_check import CheckedBuild
from buildcheck.app.run import run
from buildcheck.build.repeats import Observer, todays_repeats, usual_repeats
from buildcheck.cli.main import main
from buildcheck.core.subject import Subject
from buildcheck.formulas.assumed_valves import pooled_deviation
from buildcheck.formulas.repeatability import WORSE_DAY, repeat_uncertainty, scatter_chance
from buildcheck.ordering.assumed_risk import assumed_groups, order_risk
from buildcheck.output.finding_wording import message
from buildcheck.output.wording import risk_freedom_shown

INCH = 0.0254
HEAD = """\
length_gauge: {name: caliper, resolution: 0.0005 in, uncertainty: 0.001 in}
springs: checking
lifter: locked
turns_of_crank: 2
"""


def entry(cylinder: int, *trials: str, valve: str = "intake") -> str:
    rows = "".join(f"      - {{{trial}}}\n" for trial in trials)
    return f"  - cylinder: {cylinder}\n    valve: {valve}\n    trials:\n{rows}"


def engine(top: Path, name: str, *entries: str, head: str = HEAD) -> Path:
    """A vee of eight on a pedestal in the shop's repository, with readings of its own."""
    folder = top / "engines" / name
    shutil.copytree(ROOT / "tests/builds/vee_eight_mm", folder)
    (folder / "marks.yaml").write_text(f"{head}valves:\n{''.join(entries)}", encoding="utf-8")
    (top / "buildcheck.yaml").write_text("builds: [engines/*]\n", encoding="utf-8")
    return folder


def lengths(*inches: float, by: str = "MK") -> list[str]:
    return [f"length: {one:.4f} in, by: {by}" for one in inches]


def shop(folder: Path, readings: str = "", valves: str = "") -> None:
    """Lets a build use what the shop knows."""
    marks = folder / "marks.yaml"
    marks.write_text(f"shop:\n{readings}{valves}{marks.read_text(encoding='utf-8')}", encoding="utf-8")


def checked(folder: Path) -> CheckedBuild:
    return run([folder]).builds[0]


ONE, TWO, THREE = (7.500, 7.503, 7.502), (7.498, 7.502), (7.510, 7.512)


def test_repeats_are_pooled_by_gauge_and_reader_over_all_builds(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    engine(tmp_path, "smew", entry(1, *lengths(*ONE)), entry(2, *lengths(*TWO, by="AB")))
    engine(tmp_path, "teal", entry(1, *lengths(*THREE)))
    assert main(["learn", str(tmp_path)]) == 0
    deviation, freedom = pooled_deviation([stdev(ONE), stdev(THREE)], [2, 1])
    rows = capsys.readouterr().out.splitlines()
    assert f"  caliper, MK  {deviation * 25.4:.4f} mm  {freedom} degrees of freedom, 2 samples" in rows
    assert f"  caliper, AB  {stdev(TWO) * 25.4:.4f} mm  1 degree of freedom, 1 sample" in rows
    assert rows[-1] == "Learned from 2 builds."


def test_readings_of_other_states_valves_shims_or_that_are_void_are_no_repeats(tmp_path: Path) -> None:
    shimmed = "length: 7.600 in, shim: 0.5 mm, by: MK"
    void = "length: 7.700 in, by: MK, void: smeared"
    folder = engine(tmp_path, "smew", entry(1, *lengths(*TWO), shimmed, void), entry(2, *lengths(7.9)))
    found = todays_repeats(checked(folder).facts)
    assert found == {Observer("caliper", "MK"): (pytest.approx(stdev(TWO) * INCH), 1.0)}


def test_the_spread_between_valves_is_pooled_by_mount_within_banks(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    left, right = (7.500, 7.504, 7.506), (7.530, 7.533)
    rows = [entry(n, *lengths(one)) for n, one in zip((1, 2, 3), left, strict=True)]
    rows += [entry(n, *lengths(one)) for n, one in zip((5, 6), right, strict=True)]
    engine(tmp_path, "smew", *rows)
    assert main(["learn", str(tmp_path)]) == 0
    deviation, _ = pooled_deviation([stdev(left), stdev(right)], [2, 1])
    assert f"  pedestal  {deviation * 25.4:.4f} mm  3 degrees of freedom, 1 sample" in capsys.readouterr().out


def test_a_part_is_written_used_and_written_again(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    folder = engine(tmp_path, "smew", entry(1, *lengths(*ONE)), entry(5, *lengths(7.5)), entry(2, *lengths(7.501)))
    before = checked(folder).facts.get("zero_lash_length", Subject(2, "intake")).expanded
    for _ in range(2):
        assert main(["learn", str(tmp_path), "--write"]) == 0
    assert "engines/smew" not in capsys.readouterr().out
    part = (tmp_path / "parts" / "repeatability.yaml").read_text(encoding="utf-8")
    assert f'  - {{gauge: "caliper", by: "MK", deviation: {stdev(ONE) * 25.4:.5f} mm, freedom: 2}}\n' in part
    assert checked(folder).facts.get("zero_lash_length", Subject(2, "intake")).expanded == before
    marks = folder / "marks.yaml"
    marks.write_text(f"shop: {{uses: parts/repeatability.yaml}}\n{marks.read_text(encoding='utf-8')}", encoding="utf-8")
    found = checked(folder)
    assert found.problems == ()
    t = stats.t.ppf(0.975, 2) * round(stdev(ONE) * 25.4, 5) / 1000
    length = found.facts.get("zero_lash_length", Subject(2, "intake"))
    assert length.expanded == pytest.approx((t**2 + (0.001 * INCH) ** 2) ** 0.5, rel=1e-6)
    mean = found.facts.get("zero_lash_length", Subject(1, "intake"))
    assert mean.expanded == pytest.approx(((t**2 + (0.001 * INCH) ** 2) / 3) ** 0.5, rel=1e-6)


def test_nothing_else_is_overwritten_and_nothing_is_written_while_a_build_cannot_be_read(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = engine(tmp_path, "smew", entry(1, *lengths(*ONE)))
    before = (folder / "marks.yaml").read_text(encoding="utf-8")
    assert main(["learn", str(tmp_path), "--write", "engines/smew/marks.yaml"]) == 2
    assert "was not written by 'buildcheck learn': name another file" in capsys.readouterr().err
    assert main(["learn", str(tmp_path), "--write", "../out.yaml"]) == 2
    assert "--write takes a path from the repository's root" in capsys.readouterr().err
    assert (folder / "marks.yaml").read_text(encoding="utf-8") == before
    (folder / "marks.yaml").write_text(before.replace("7.5000 in", "7.5000"), encoding="utf-8")
    assert main(["learn", str(tmp_path), "--write"]) == 2
    assert "marks.yaml:9:18: error: valves[0].trials[0].length:" in capsys.readouterr().out
    assert not (tmp_path / "parts").exists()


def test_names_that_differ_in_case_or_spaces_alone_are_suggested_as_one(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    engine(tmp_path, "smew", entry(1, *lengths(*ONE)), entry(2, *lengths(*TWO, by='"mk "')))
    assert main(["learn", str(tmp_path)]) == 0
    assert "note: 'caliper, MK' and 'caliper, mk ' look like one: use one spelling" in capsys.readouterr().out


def test_a_reader_written_otherwise_is_still_known_and_the_exact_name_comes_first(tmp_path: Path) -> None:
    folder = engine(tmp_path, "smew", entry(1, *lengths(*ONE)))
    row = "    - {{gauge: caliper, by: {}, deviation: 0.00{} in, freedom: {}}}\n"
    shop(folder, f"  readings:\n{row.format('mk', 1, 1)}{row.format('MK', 2, 2)}")
    facts = checked(folder).facts
    assert usual_repeats(facts, Observer("caliper", "MK")) == (pytest.approx(0.002 * INCH), 2.0)
    assert usual_repeats(facts, Observer("Caliper", "m.k.")) == (pytest.approx(0.001 * INCH), 1.0)
    assert usual_repeats(facts, Observer("tape", "MK")) is None


def test_a_mount_or_a_reader_that_the_shops_part_names_twice_blocks(tmp_path: Path) -> None:
    folder = engine(tmp_path, "smew", entry(1, *lengths(*ONE)))
    row = "    - {gauge: caliper, by: MK, deviation: 0.001 in, freedom: 9}\n"
    mount = "    - {mount: pedestal, deviation: 0.002 in, freedom: 30}\n"
    shop(folder, f"  readings:\n{row}{row}", f"  valves:\n{mount}{mount.replace('0.002', '0.020')}")
    found = checked(folder)
    [result] = [one for one in found.results if one.rule == "parts-consistent"]
    assert (result.kind, result.blocks) == ("fail", True)
    assert "the shop's readings list caliper, MK twice: keep one" in message(found, result)
    assert "the shop's valves list pedestal twice: keep one" in message(found, result)


def test_a_worse_day_is_reported_once_a_build_and_then_its_own_scatter_counts(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    bad = (7.490, 7.500, 7.512)
    usual = "  readings:\n    - {gauge: caliper, by: MK, deviation: 0.001 in, freedom: 30}\n"
    for name, repeats, kind, deviation, freedom in (
        ("good", ONE, "pass", 0.001, 30),
        ("bad", bad, "fail", stdev(bad), 2),
    ):
        folder = engine(tmp_path, name, entry(1, *lengths(*repeats)), entry(2, *lengths(7.501)))
        shop(folder, usual)
        found = checked(folder)
        assert kinds(found, "repeats-as-usual") == {kind}
        t = stats.t.ppf(0.975, freedom) * deviation * INCH
        single = found.facts.get("zero_lash_length", Subject(2, "intake"))
        assert single.expanded == pytest.approx((t**2 + (0.001 * INCH) ** 2) ** 0.5, rel=1e-6)
    assert main(["check", str(tmp_path / "engines" / "bad")]) == 1
    said = "caliper by MK: today's standard deviation 0.2798 mm (2 degrees of freedom), usually 0.0254 mm (30)"
    assert said in capsys.readouterr().out


def test_without_the_shop_no_day_is_worse(tmp_path: Path) -> None:
    assert kinds(checked(engine(tmp_path, "smew", entry(1, *lengths(*ONE)))), "repeats-as-usual") == set()


def test_the_shops_spread_joins_the_engines_own_and_its_degrees_of_freedom_are_shown(tmp_path: Path) -> None:
    rows = [entry(n, *lengths(7.500 + n / 1000), valve=valve) for n in (1, 2, 5, 6) for valve in ("intake", "exhaust")]
    folder = engine(tmp_path, "smew", *rows)
    alone = assumed_groups(checked(folder).facts)[0]
    shop(folder, valves="  valves:\n    - {mount: pedestal, deviation: 0.003 in, freedom: 5}\n")
    found = checked(folder)
    group = assumed_groups(found.facts)[0]
    assert (group.freedom, group.usual_freedom) == (alone.freedom + 5, 5)
    assert group.deviation == pytest.approx(pooled_deviation([alone.deviation, 0.003 * INCH], [alone.freedom, 5])[0])
    shown = "7 degrees of freedom (intake, 5 from the shop) and 7 (exhaust, 5 from the shop)"
    assert risk_freedom_shown(found) == shown


def test_an_engine_of_which_the_valves_differ_more_than_the_shops_is_judged_by_its_own(tmp_path: Path) -> None:
    """0.010 in against 0.001 in of 30 degrees of freedom: pooled, the risk would look small."""
    rows = [entry(n, *lengths(7.500 + n / 100), valve=valve) for n in (1, 2, 3, 5) for valve in ("intake", "exhaust")]
    folder = engine(tmp_path, "smew", *rows)
    alone = assumed_groups(checked(folder).facts)[0]
    shop(folder, valves="  valves:\n    - {mount: pedestal, deviation: 0.001 in, freedom: 30}\n")
    assert assumed_groups(checked(folder).facts)[0] == alone
    assert alone.usual_freedom == 0


def test_with_the_shops_spread_two_readings_are_enough_for_a_risk(tmp_path: Path) -> None:
    rows = [entry(n, *lengths(7.500 + n / 1000), valve=valve) for n in (1, 5) for valve in ("intake", "exhaust")]
    folder = engine(tmp_path, "smew", *rows)
    assert kinds(checked(folder), "assumed-valves-safe") == {"open"}
    shop(folder, valves="  valves:\n    - {mount: pedestal, deviation: 0.002 in, freedom: 30}\n")
    assert 0 < order_risk(checked(folder).facts) < 0.05


def test_u_of_a_mean_is_student_by_scipy_over_the_root_of_its_readings() -> None:
    assert repeat_uncertainty(0.002, 7, 3) == pytest.approx(stats.t.ppf(0.975, 7) * 0.002 / 3**0.5)
    with pytest.raises(ValueError, match="readings"):
        repeat_uncertainty(0.002, 7, 0)


def test_the_chance_of_a_worse_day_is_f_by_scipy() -> None:
    assert scatter_chance([(0.003, 4)], [(0.001, 12)]) == pytest.approx(stats.f.sf(9, 4, 12))


@pytest.mark.parametrize("observers", [1, 3])
def test_fewer_than_three_in_two_hundred_usual_days_are_called_worse(observers: int) -> None:
    """4,000 days of 4 degrees of freedom an observer against a shop of 20: 1.5 % at most."""
    draw, worse = random.Random(observers), 0

    def sample(freedom: int) -> tuple[float, float]:
        return (sum(draw.gauss(0, 1) ** 2 for _ in range(freedom)) / freedom) ** 0.5, float(freedom)

    for _ in range(4000):
        today, usual = [sample(4) for _ in range(observers)], [sample(20) for _ in range(observers)]
        worse += scatter_chance(today, usual) < WORSE_DAY
    assert worse / 4000 < 0.015
