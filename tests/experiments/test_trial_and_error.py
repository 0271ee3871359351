"""Builders who follow the advice: from YAML to an accepted mark, on engines that share no formula with the tool."""

from __future__ import annotations

from pathlib import Path
from random import Random

import from_brackets
import pytest
from documented import rows
from engines import PACK, Design, design, valve
from thorough import number
from trial_and_error import KINDS, OFF, Bench, ask, drawn

from buildcheck.advice.valve_advice import Advice, advice
from buildcheck.app.build_check import CheckedBuild


class Steady(Random):
    """Draws engines as any other, but reads them without noise."""

    def gauss(self, mu: float = 0.0, sigma: float = 1.0) -> float:
        return mu


def bench(shared: Design, random: Random, off: float, lines: bool) -> Bench:
    one = Bench(valve(shared, random, off), lines)
    one.mark(one.valve.length(PACK), PACK)
    if lines:
        one.read_lines()
    return one


def result(found: CheckedBuild) -> list[Advice]:
    return advice(found.facts)


@pytest.mark.parametrize("kind", KINDS)
def test_the_first_engines_of_a_row_are_as_good_as_the_table_shows(kind: str) -> None:
    [(share, most, away)] = [(row[3], row[5], row[6]) for row in rows("trial and error") if row[:2] == [kind, "0.150"]]
    found = drawn(number(1, 8), kind, 0.150)
    late = [one for one in found if not one.accepted or one.trials > 3]
    assert len(late) <= round(204 * (1 - float(share.removesuffix(" %")) / 100))
    assert max(one.trials for one in found) <= int(most)
    assert sum(one.astray for one in found) <= int(away)


@pytest.mark.parametrize(("kind", "off"), [("roller, nut; marks alone", 0.20), ("roller, pedestal; marks alone", 0.10)])
def test_from_brackets_too(kind: str, off: float) -> None:
    [(share, most, far)] = [row[3:] for row in rows("from brackets") if row[:2] == [kind, f"{off:.3f}"]]
    found, too_far = from_brackets.drawn(number(1, 6), kind, off)
    assert from_brackets.accepted_soon(found) == pytest.approx(float(share.removesuffix(" %")) / 100)
    assert max(one.trials for one in found) <= int(most)
    assert too_far <= int(far)


def test_the_tables_have_every_row() -> None:
    assert [row[:2] for row in rows("trial and error")] == [[kind, f"{off:.3f}"] for kind in KINDS for off in OFF]
    brackets = [[kind, f"{off:.3f}"] for kind, (_, offs) in from_brackets.KINDS.items() for off in offs]
    assert [row[:2] for row in rows("from brackets")] == brackets


@pytest.mark.parametrize("kind", [{}, {"fixed": True}, {"pad_tip": True}])
def test_inches_and_millimetres_decide_alike(kind: dict[str, bool], tmp_path: Path) -> None:
    random = Random(str(kind))
    shared = design(random, **kind)
    benches = [bench(shared, random, off, off > 0) for off in (0.150, -0.150, 0.050, -0.020)]
    inch, metric = (ask(shared, benches, tmp_path, unit) for unit in ("in", "mm"))
    assert [(one.rule, one.subject, one.kind) for one in inch.results] == [
        (one.rule, one.subject, one.kind) for one in metric.results
    ]
    for one, other in zip(result(inch), result(metric), strict=True):
        assert (one.step.action, one.step.trial, one.basis) == (other.step.action, other.step.trial, other.basis)
        if one.step.length is not None and other.step.length is not None:
            assert one.step.length.si == pytest.approx(other.step.length.si, abs=1e-8)


@pytest.mark.parametrize("off", [0.150, -0.080])
def test_lengthening_then_shortening_returns(off: float, tmp_path: Path) -> None:
    random = Steady(str(off))
    shared = design(random)
    once = bench(shared, random, off, lines=True)
    back = Bench(once.valve, True, [*once.trials])
    first = float(str(once.trials[0]["length"]))
    back.mark(first + 0.060, PACK)
    back.read_lines()
    back.mark(first, PACK)
    back.read_lines()
    one, other = result(ask(shared, [once, back], tmp_path))
    assert one.step.reading == pytest.approx(other.step.reading, abs=0.004 * 0.0254)
    assert one.height_error is not None
    assert other.height_error is not None
    assert other.height_error.si == pytest.approx(one.height_error.si, abs=0.002 * 0.0254)


def test_from_either_length_the_advice_aims_at_the_same_pushrod(tmp_path: Path) -> None:
    random = Steady(7)
    shared = design(random)
    short = bench(shared, random, 0.150, lines=True)
    long = Bench(short.valve, True)
    long.mark(float(str(short.trials[0]["length"])) + 0.300, PACK)
    long.read_lines()
    aims = [one.step.reading for one in result(ask(shared, [short, long], tmp_path))]
    assert aims[0] == pytest.approx(aims[1], abs=0.010 * 0.0254)


def test_the_truth_lies_in_what_the_advice_claims(tmp_path: Path) -> None:
    random, held, of = Random("held"), 0, 0
    for _ in range(number(2, 12)):
        shared = design(random)
        benches = [bench(shared, random, random.uniform(-0.2, 0.2), lines=True) for _ in range(6)]
        for one, own in zip(result(ask(shared, benches, tmp_path)), benches, strict=True):
            assert one.height_error is not None
            held += abs(one.height_error.si / 0.0254 - own.errors[-1]) <= one.height_error.expanded / 0.0254
            of += 1
    assert held >= 0.9 * of, f"{held} of {of}"
