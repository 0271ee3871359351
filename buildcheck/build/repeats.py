"""Readings of one zero-lash length that were repeated, and how well they repeat: today, and as a rule in the shop."""

from __future__ import annotations

from collections.abc import Iterator

from buildcheck.build.facts import Facts
from buildcheck.core.value import Undecided
from buildcheck.formulas.assumed_valves import pooled_deviation
from buildcheck.formulas.decision import resolution_uncertainty
from buildcheck.formulas.repeatability import WORSE_DAY, Sample, scatter_chance
from buildcheck.formulas.sample import deviation_of
from buildcheck.record import Record
from buildcheck.units.quantity import in_si, parse, parse_thread
from buildcheck.yamlio.documents import Node

REPEATABILITY = "repeatability"
"""How a source of uncertainty ends that is the shop's repeatability."""
TURNS = "checker turns"
"""The gauge of a length that was counted in turns of the checking pushrod."""


class Observer(Record):
    """What and who took a reading: the name of the gauge and of the reader, as written; empty if not written."""

    gauge: str
    by: str

    @property
    def spelling(self) -> tuple[str, str]:
        """Both without case, spaces and marks: readers that differ in nothing else are likely one."""
        return _plain(self.gauge), _plain(self.by)


def todays_repeats(facts: Facts) -> dict[Observer, Sample]:
    """How well this build's repeats agree, by observer: standard deviation (m), pooled, and degrees of freedom.

    Repeats are readings of one valve in one state, over one shim, cap and lifter, on a fixed mount, without a bracket.
    """
    return facts.once("today's repeats", _pooled, facts)


def usual_repeats(facts: Facts, observer: Observer) -> Sample | None:
    """The shop's repeatability for an observer, m and degrees of freedom; None if the build uses none."""
    known = [(Observer(entry.word("gauge"), entry.word("by")), entry) for entry in _entries(facts, "readings")]
    alike = [(one, entry) for one, entry in known if one.spelling == observer.spelling]
    alike.sort(key=lambda pair: pair[0] != observer)
    return _sample(alike[0][1]) if alike else None


def usual_between_valves(facts: Facts) -> Sample | None:
    """The shop's standard deviation between valves (m) on this mount and its degrees of freedom; None if unknown."""
    mount = facts.node("rockers.mount")
    for entry in _entries(facts, "valves"):
        if mount is not None and entry.word("mount") == mount.value:
            return _sample(entry)
    return None


def compared_repeats(facts: Facts) -> list[tuple[Observer, Sample, Sample]]:
    """Each observer's repeats of today beside the usual ones, as far as both are known."""
    today = todays_repeats(facts)
    pairs = ((observer, today[observer], usual_repeats(facts, observer)) for observer in today)
    return [(observer, measured, usual) for observer, measured, usual in pairs if usual is not None]


def is_worse_day(facts: Facts) -> bool:
    """Whether today's repeats scatter more than usual: one F test a build, 1 % false alarms."""
    return facts.once("worse day", _is_worse, facts)


def repeatability(facts: Facts, trial: Node) -> Sample | None:
    """How well a trial's reading repeats: as usual in the shop, on a worse day as today; None if nothing is known."""
    if not _entries(facts, "readings"):
        return None
    observer = observer_of(facts, trial)
    usual = usual_repeats(facts, observer)
    if usual is None:
        return None
    return todays_repeats(facts).get(observer, usual) if is_worse_day(facts) else usual


def observer_of(facts: Facts, trial: Node) -> Observer:
    """The gauge and the reader of a trial's length."""
    if trial.get("length") is None:
        return Observer(TURNS, trial.word("by"))
    gauge = _gauge(facts, trial)
    return Observer(gauge.word("name") if gauge is not None else "", trial.word("by"))


def least_deviation(facts: Facts, gauge: Node | None) -> float:
    """Smallest standard deviation that a gauge can show, m: none without a stated resolution."""
    text = gauge.word("resolution") if gauge is not None else ""
    return resolution_uncertainty(in_si(text, "length")[0]) if text else 0.0


def _is_worse(facts: Facts) -> bool:
    pairs = compared_repeats(facts)
    return bool(pairs) and scatter_chance([today for _, today, _ in pairs], [usual for *_, usual in pairs]) < WORSE_DAY


def _pooled(facts: Facts) -> dict[Observer, Sample]:
    samples: dict[Observer, list[Sample]] = {}
    for observer, values in _groups(facts).values():
        if len(values) > 1:
            samples.setdefault(observer, []).append((deviation_of(values), float(len(values) - 1)))
    least = least_deviation(facts, facts.node("marks.length_gauge"))
    return {observer: _pool(deviations, least) for observer, deviations in samples.items()}


def _pool(samples: list[Sample], least: float) -> Sample:
    deviation, freedom = pooled_deviation(*zip(*samples, strict=True))
    return max(deviation, least), freedom


def _groups(facts: Facts) -> dict[tuple[object, ...], tuple[Observer, list[float]]]:
    """Lengths that were read alike, m as the gauge or the turns show them."""
    found: dict[tuple[object, ...], tuple[Observer, list[float]]] = {}
    valves = facts.node("marks.valves")
    try:
        entries = valves.items if valves is not None and not facts.pivot_is_free else []
    except Undecided:
        return found
    for entry in entries:
        for trial in _read_alone(entry):
            observer, length = observer_of(facts, trial), _length(facts, trial)
            if length is not None:
                found.setdefault((_setting(entry, trial), observer), (observer, []))[1].append(length)
    return found


def _read_alone(entry: Node) -> Iterator[Node]:
    trials = entry.get("trials")
    for trial in trials.items if trials is not None else ():
        if not any(trial.get(key) is not None for key in ("void", "feel", "known_pushrod")):
            yield trial


def _setting(entry: Node, trial: Node) -> tuple[str, ...]:
    """What must be the same for two readings to be repeats: valve, state, and what the trial itself says of parts."""
    state = trial.word("state") or entry.word("state")
    parts = (str(_written(trial.get(key))) for key in ("shim", "lash_cap", "lifter", "lifter_cup_height", "springs"))
    return entry.word("cylinder"), entry.word("valve"), state, trial.word("checker"), *parts


def _written(node: Node | None) -> object:
    if node is None:
        return ""
    if isinstance(node.value, str) and node.value[:1].isdigit():
        return parse(node.value, "length").si
    return {key: _written(child) for key, child in node.entries.items()} or str(node.value)


def _length(facts: Facts, trial: Node) -> float | None:
    if (read := trial.get("length")) is not None:
        return facts.reading(read, "length").si
    turns, name = trial.get("turns"), trial.word("checker")
    thread = facts.node(f"pushrods.checkers.{name}.thread" if name else "pushrods.checker.thread")
    if turns is None or thread is None:
        return None
    return facts.reading(turns, "ratio").si * float(parse_thread(str(thread.value)).pitch)


def _gauge(facts: Facts, trial: Node) -> Node | None:
    name = trial.word("length_gauge")
    return facts.node(f"marks.length_gauges.{name}") if name else facts.node("marks.length_gauge")


def _entries(facts: Facts, key: str) -> list[Node]:
    node = facts.node(f"marks.shop.{key}")
    return node.items if node is not None else []


def _sample(entry: Node) -> Sample:
    return in_si(entry.word("deviation"), "length")[0], float(entry.word("freedom"))


def _plain(name: str) -> str:
    return "".join(letter for letter in name.casefold() if letter.isalnum())
