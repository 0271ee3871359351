"""Four whole builds, each from a known truth: what was read fits it, and the order is the one that it requires."""

from __future__ import annotations

import json
import shutil
from collections.abc import Iterator, Mapping
from functools import cache
from pathlib import Path
from random import Random
from typing import Any

import pytest
from simulate import Key, Train, as_read, best_order, ideal, length_read, trial
from truths import DUNLIN, FLAT_FOUR, INLINE_FOUR, VEE_EIGHT

from buildcheck.app.build_check import CheckedBuild
from buildcheck.app.run import run
from buildcheck.core.subject import Subject
from buildcheck.units.quantity import parse
from buildcheck.yamlio.documents import plain

ROOT = Path(__file__).parent.parent
BUILDS: dict[str, Train] = {
    "example_build": DUNLIN,
    "tests/builds/flat_four_solid": FLAT_FOUR,
    "tests/builds/inline_four_pad": INLINE_FOUR,
    "tests/builds/vee_eight_mm": VEE_EIGHT,
}
HELD_BY_ALL = {
    "coil-bind-clearance", "compression-plausible", "crank-turned-twice", "gauge-fine-enough", "length-orderable",
    "length-spread", "mark-centred", "mark-near-centre", "mark-on-tip", "parts-consistent", "pushrod-buckling",
    "quench", "retainer-to-seal", "second-cylinder-checked",
}  # fmt: skip
GROWN = ("head_height", "gasket_thickness")
LINES = ("shut_at", "open_at")
each_build = pytest.mark.parametrize("folder", BUILDS)


@cache
def checked(folder: str) -> CheckedBuild:
    found = run([ROOT / folder])
    assert found.problems == ()
    return found.builds[0]


def measured(folder: str) -> Iterator[tuple[Key, list[dict[str, Any]]]]:
    for entry in plain(checked(folder).build.roots["marks"])["valves"]:
        yield (int(entry["cylinder"]), entry["valve"]), entry["trials"]


def read(train: Train, text: str) -> float:
    return float(parse(text, "length").si) / train.unit


def stood_at(folder: str, train: Train, one: Mapping[str, Any]) -> float:
    if "length" in one:
        return read(train, one["length"])
    checker = plain(checked(folder).build.roots["pushrods"])["checker"]
    pitch = {"1/4-28": 1 / 28, "M6x1": 1.0}[checker["thread"]]
    return read(train, checker["length_at_zero_turns"].split(" +/-")[0]) + float(one["turns"]) * pitch


@each_build
def test_ready_to_order(folder: str) -> None:
    found = checked(folder)
    assert (found.verdict, found.build.stage, found.build.problems) == ("pass", "ordering", ())


@each_build
def test_passes_because_the_rules_were_met_and_not_because_nothing_was_judged(folder: str) -> None:
    results = checked(folder).results
    held = {rule: {result.kind for result in results if result.rule == rule} for rule in HELD_BY_ALL}
    assert {rule: kinds for rule, kinds in held.items() if not {"pass"} <= kinds <= {"pass", "notApplicable"}} == {}


def ordered(train: Train, found: CheckedBuild) -> dict[tuple[int | None, str | None], float]:
    return {
        (one.cylinder, one.valve): round(line.length.stated / train.unit, 6)
        for line in found.order.lines
        for one in line.serves + line.assumed
    }


@each_build
def test_order_is_the_one_that_the_truth_requires(folder: str) -> None:
    found = checked(folder)
    assert ordered(BUILDS[folder], found) == best_order(BUILDS[folder])
    assert all(line.length.stock for line in found.order.lines)


def read_again(folder: str, train: Train, random: Random) -> dict[str, Any]:
    """The build's marks.yaml as another reader would have written it on the same engine."""
    marks: dict[str, Any] = plain(checked(folder).build.roots["marks"])
    unit = "in" if train.unit > 0.01 else "mm"

    def quoted(exact: float, gauge: dict[str, str]) -> str:
        step, expanded = read(train, gauge["resolution"]), read(train, gauge["uncertainty"])
        return f"{as_read(exact, step, expanded / 3, random):.4f} {unit}"

    for entry in marks["valves"]:
        key = int(entry["cylinder"]), entry["valve"]
        for one in entry["trials"]:
            shim = read(train, one["shim"]) if "shim" in one else None
            if not train.pivot_free:
                one["length"] = quoted(length_read(train, key, shim), marks["length_gauge"])
            true = trial(train, key, stood_at(folder, train, one), shim)
            if "mark" in one:
                one["mark"] = {
                    edge: quoted(at, marks["mark_gauge"]) for edge, at in {"from": true.start, "to": true.end}.items()
                }
            one |= {line: quoted(getattr(true, line), marks["mark_gauge"]) for line in LINES if line in one}
    return marks


@each_build
@pytest.mark.parametrize("seed", [1, 2])
def test_another_reader_orders_the_same_pushrods(folder: str, seed: int, tmp_path: Path) -> None:
    shutil.copytree(ROOT / folder, tmp_path / "build")
    marks = read_again(folder, BUILDS[folder], Random(seed))
    (tmp_path / "build" / "marks.yaml").write_text(json.dumps(marks), encoding="utf-8")
    found = run([tmp_path / "build"]).builds[0]
    assert (found.verdict, ordered(BUILDS[folder], found)) == ("pass", best_order(BUILDS[folder]))


@each_build
def test_only_valves_that_were_not_measured_are_assumed(folder: str) -> None:
    lines = checked(folder).order.lines
    assumed = {(one.cylinder, one.valve) for line in lines for one in line.assumed}
    assert assumed == BUILDS[folder].valves.keys() - dict(measured(folder)).keys()


@each_build
def test_marks_are_what_the_gauge_reads_of_the_truth(folder: str) -> None:
    train = BUILDS[folder]
    gauge = read(train, plain(checked(folder).build.roots["marks"])["mark_gauge"]["uncertainty"])
    away = []
    for key, trials in measured(folder):
        for one in (one for one in trials if "mark" in one):
            shim = read(train, one["shim"]) if "shim" in one else None
            true = trial(train, key, stood_at(folder, train, one), shim)
            quoted = {"start": one["mark"]["from"], "end": one["mark"]["to"]}
            quoted |= {name: one[name] for name in LINES if name in one}
            away += [(read(train, text) - getattr(true, name)) / gauge for name, text in quoted.items()]
    assert max(map(abs, away)) <= 1.5


@pytest.mark.parametrize("folder", [folder for folder, train in BUILDS.items() if not train.pivot_free])
def test_zero_lash_lengths_are_what_the_gauge_reads_of_the_truth(folder: str) -> None:
    train = BUILDS[folder]
    for key, trials in measured(folder):
        for one in trials:
            shim = read(train, one["shim"]) if "shim" in one else None
            assert abs(stood_at(folder, train, one) - length_read(train, key, shim)) <= 0.0025 * 0.0254 / train.unit


@each_build
def test_length_asked_finds_the_ideal_pushrod_within_its_uncertainty(folder: str) -> None:
    train, facts = BUILDS[folder], checked(folder).facts
    for key, _ in measured(folder):
        asked = facts.get("length_asked", Subject(*key))
        wanted = (ideal(train, key) - train.measured_less) * train.unit
        assert abs(asked.si - wanted) <= 1.5 * asked.expanded, key


@pytest.mark.parametrize("folder", [folder for folder in BUILDS if "pad" not in folder])
def test_height_error_finds_the_pivot_within_its_uncertainty(folder: str) -> None:
    train, facts = BUILDS[folder], checked(folder).facts
    for key, trials in measured(folder):
        if "mark" not in trials[-1]:
            continue
        found = facts.get("height_error", Subject(*key))
        true = train.valves[key].low
        if train.pivot_free:
            true = (train.valves[key].length - train.hidden - stood_at(folder, train, trials[-1])) / train.per_height
        assert abs(found.si - (true if found.sign_known else abs(true)) * train.unit) <= 1.5 * found.expanded, key


def test_the_example_warns_of_little() -> None:
    results = checked("example_build").results
    assert len([one for one in results if one.level == "warning"]) <= 2


def test_old_pushrods_and_what_has_changed_since_lead_to_the_same_length() -> None:
    stackup = plain(checked("example_build").build.roots["stackup"])
    changes = stackup["changes"]
    grown = sum(read(DUNLIN, changes[key]["is"]) - read(DUNLIN, changes[key]["was"]) for key in GROWN)
    lower = read(DUNLIN, changes["lifter_cup_lower"]) - read(DUNLIN, changes["block_milled"])
    predicted = read(DUNLIN, stackup["baseline"]["intake"]) + grown + lower
    for key in DUNLIN.valves:
        assert abs(predicted + DUNLIN.stated_less - ideal(DUNLIN, key)) < 0.010
