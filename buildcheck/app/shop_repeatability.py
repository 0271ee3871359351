"""What all builds show together: how well readings repeat by gauge and reader, and how much valves differ by mount."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import NamedTuple, TypeVar

from buildcheck.app.build_check import CheckedBuild
from buildcheck.app.rule_context import RuleContext
from buildcheck.build.facts import Facts
from buildcheck.build.repeats import Observer, todays_repeats
from buildcheck.core.problem import Problem
from buildcheck.core.subject import VALVE_TYPES, Subject
from buildcheck.formulas.assumed_valves import pooled_deviation
from buildcheck.formulas.repeatability import Sample
from buildcheck.formulas.spread import by_bank, deviation_within_banks
from buildcheck.ordering.allowed_lengths import bank_of
from buildcheck.record import Record
from buildcheck.registry.length_spread import required_lengths

Key = TypeVar("Key")


class BuildSamples(NamedTuple):
    """Of one build: its samples, m and degrees of freedom; how many lengths did not belong; problems in its files."""

    folder: str
    system: str
    repeats: Mapping[Observer, Sample]
    between: Sequence[tuple[str, Sample]]
    left_out: int
    problems: tuple[Problem, ...]


class Pooled(Record):
    """A pooled standard deviation, m, with its degrees of freedom and the number of samples behind it."""

    deviation: float
    freedom: float
    samples: int


class Shop(Record):
    """Everything learned: repeatability by observer, spread between valves by mount, names that look like one."""

    readings: Mapping[Observer, Pooled]
    valves: Mapping[str, Pooled]
    builds: int
    left_out: int
    alike: tuple[tuple[Observer, ...], ...]
    system: str


def samples(context: RuleContext, checked: CheckedBuild) -> BuildSamples:
    """What one build adds."""
    facts = checked.facts
    if checked.problems:
        return BuildSamples(checked.build.display_path, facts.system, {}, [], 0, checked.problems)
    odd = [valve for valve in facts.subjects("valve") if _is_odd(facts, valve)]
    mount = facts.node("rockers.mount")
    between = [
        (str(mount.value), sample)
        for valve in VALVE_TYPES
        if mount is not None and (sample := _between(facts, valve, odd)) is not None
    ]
    return BuildSamples(checked.build.display_path, facts.system, todays_repeats(facts), between, len(odd), ())


def pool(builds: Sequence[BuildSamples]) -> Shop:
    """All builds together, weighted by their degrees of freedom."""
    readings = _pooled([(observer, sample) for one in builds for observer, sample in one.repeats.items()])
    valves = _pooled([pair for one in builds for pair in one.between])
    metric = sum(one.system == "metric" for one in builds)
    return Shop(
        readings={one: readings[one] for one in sorted(readings, key=lambda one: (one.gauge, one.by))},
        valves={mount: valves[mount] for mount in sorted(valves)},
        builds=len(builds),
        left_out=sum(one.left_out for one in builds),
        alike=tuple(_alike(readings)),
        system="metric" if 2 * metric > len(builds) else "inch",
    )


def _between(facts: Facts, valve: str, odd: Sequence[Subject]) -> Sample | None:
    """Deviation between a build's valves of one type, within its banks; None if no degree of freedom is left."""
    known = {one: value.si for one, value in required_lengths(facts, Subject(None, valve)).items() if one not in odd}
    banks = by_bank([*known.values()], [bank_of(facts, one.cylinder) for one in known])
    deviation, freedom = deviation_within_banks([*banks.values()])
    return (deviation, float(freedom)) if freedom else None


def _is_odd(facts: Facts, valve: Subject) -> bool:
    found = facts.get_or_none("length_outlier", valve)
    return found is not None and found.si > 0


def _pooled(pairs: Iterable[tuple[Key, Sample]]) -> dict[Key, Pooled]:
    groups: dict[Key, list[Sample]] = {}
    for key, sample in pairs:
        groups.setdefault(key, []).append(sample)
    return {
        key: Pooled(*pooled_deviation(*zip(*samples, strict=True)), len(samples)) for key, samples in groups.items()
    }


def _alike(observers: Iterable[Observer]) -> Iterator[tuple[Observer, ...]]:
    """Observers with names that differ in case, spaces or marks alone."""
    groups: dict[tuple[str, str], list[Observer]] = {}
    for observer in observers:
        groups.setdefault(observer.spelling, []).append(observer)
    yield from (tuple(same) for _, same in sorted(groups.items()) if len(same) > 1)
