"""Lays out the measuring plan of a build: its stops in crank order, and the cam's events for each cylinder."""

from __future__ import annotations

from collections.abc import Mapping

from buildcheck.build.facts import Facts
from buildcheck.build.trials import measured
from buildcheck.core.subject import VALVE_TYPES, Subject
from buildcheck.core.value import NotApplicable
from buildcheck.formulas.base_circle import Heel, on_heel
from buildcheck.formulas.cam import CYCLE, apart, companion, turn
from buildcheck.formulas.crank_stops import Valve, measuring_plan
from buildcheck.quantities.base_circle_window import MARGIN, reach
from buildcheck.quantities.lengths import screw_at_missing
from buildcheck.record import Record

Window = tuple[float, float]

BOLTED = ("pedestal", "shaft")


class ValveStop(Record):
    """One valve to measure: its base circle in crank deg from and to, and whether marks.yaml has a reading of it."""

    subject: Subject
    heel: Window
    measured: bool


class Stop(Record):
    """One stop of the crank, deg after cylinder 1's firing TDC; ``reference`` gives it from the nearest firing TDC."""

    crank: float
    reference: str
    valves: tuple[ValveStop, ...]


class Timing(Record):
    """When a cylinder fires and its valves move, crank deg; ``both_shut`` is None where they never are together."""

    cylinder: int
    fires: float
    events: Mapping[str, float]
    both_shut: Window | None
    companion: int | None


class MeasuringPlan(Record):
    """The whole plan. ``margins`` are what each valve type's base circle is cut by at either end, deg.

    ``screws``: where the rockers' screws stand is not written.
    """

    stops: tuple[Stop, ...]
    timings: tuple[Timing, ...]
    margins: Mapping[str, float]
    roller: bool
    bolted: bool
    screws: bool

    @property
    def valves(self) -> list[ValveStop]:
        """All valves of the plan, in the order in which they are measured."""
        return [valve for stop in self.stops for valve in stop.valves]


def make_plan(facts: Facts, left: bool = False) -> MeasuringPlan:
    """The plan for all valves, or for those ``left`` without a reading.

    Raises Undecided where cylinders, firing order or the cam card do not show where the base circles are.
    """
    subjects = [subject for subject in facts.subjects("valve") if not (left and measured(facts, subject))]
    if not facts.cylinders:
        raise facts.missing("block.cylinders")
    timings = tuple(_timing(facts, subject) for subject in facts.subjects("cylinder"))
    heels = {_valve(subject): _heel(facts, subject) for subject in subjects}
    stops = []
    for stop in measuring_plan(heels):
        crank = _readable(stop.crank, [heels[valve] for valve in stop.valves], [one.fires for one in timings])
        at_stop = sorted((Subject(*valve) for valve in stop.valves), key=lambda subject: subject.order)
        stops.append(Stop(crank, _reference(crank, timings), tuple(_bench(facts, subject) for subject in at_stop)))
    margins = {valve: facts.bound(MARGIN, Subject(1, valve)).si for valve in VALVE_TYPES}
    stops.sort(key=lambda stop: stop.crank)  # to the whole degree, the last of two turns may be the first
    roller, bolted = _word(facts, "tip.type") != "pad", _word(facts, "mount") in BOLTED
    return MeasuringPlan(tuple(stops), timings, margins, roller, bolted, screw_at_missing(facts))


def _word(facts: Facts, key: str) -> str:
    """A word of rockers.yaml, which need not be there yet."""
    node = facts.node(f"rockers.{key}")
    return str(node.value) if node is not None else ""


def _bench(facts: Facts, subject: Subject) -> ValveStop:
    window = facts.get("heel_from", subject).si, facts.get("heel_to", subject).si
    return ValveStop(subject, window, measured(facts, subject))


def _timing(facts: Facts, subject: Subject) -> Timing:
    fires = facts.get("firing_tdc", subject).si
    after = {
        "intake opens": 360 - facts.get("intake_opens").si,
        "intake closes": 540 + facts.get("intake_closes").si,
        "exhaust opens": 180 - facts.get("exhaust_opens").si,
        "exhaust closes": 360 + facts.get("exhaust_closes").si,
    }
    try:
        shut = facts.get("both_shut_from", subject).si, facts.get("both_shut_to", subject).si
    except NotApplicable:
        shut = None
    others = {other.cylinder or 0: facts.get("firing_tdc", other).si for other in facts.subjects("cylinder")}
    events = {event: (fires + angle) % CYCLE for event, angle in after.items()}
    return Timing(subject.cylinder or 0, fires, events, shut, companion(subject.cylinder or 0, others))


def _heel(facts: Facts, subject: Subject) -> Heel:
    return Heel(facts.get("heel_middle", subject).si, reach(facts, subject).si)


def _valve(subject: Subject) -> Valve:
    return subject.cylinder or 0, subject.valve or ""


def _readable(crank: float, heels: list[Heel], marks: list[float]) -> float:
    """The nearest top dead centre if every valve of the stop is on its base circle there, as dampers have marks for it.

    Otherwise the angle to the whole degree, or to as many decimals as keep every valve on its base circle.
    """
    nearest = min(marks, key=lambda mark: (apart(crank, mark), mark))
    rounded = (nearest, *(round(crank, decimals) % CYCLE for decimals in (0, 1, 2)))
    return next((angle for angle in rounded if all(on_heel(angle, heel) for heel in heels)), crank)


def _reference(crank: float, timings: tuple[Timing, ...]) -> str:
    near = min(timings, key=lambda one: (apart(crank, one.fires), one.cylinder))
    past = turn(near.fires, crank)
    where = f"the firing TDC of cylinder {near.cylinder}"
    return f"{abs(past):g} deg {'past' if past > 0 else 'before'} {where}" if past else f"at {where}"
