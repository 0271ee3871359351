"""Readings of motion.yaml: lift against crank angle and drops to the piston, as read on the engine of their time."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise
from math import hypot

from buildcheck.build.facts import Facts
from buildcheck.build.states import State, state_of
from buildcheck.build.usual_gauges import DIAL
from buildcheck.core.reason import Cause, MissingInput
from buildcheck.core.subject import Subject
from buildcheck.core.value import Contradiction, Missing, NotApplicable, Undecided, Value, derive, exact
from buildcheck.formulas.cam import CYCLE, turn
from buildcheck.formulas.sample import median_of
from buildcheck.record import Record
from buildcheck.yamlio.documents import Node

WHEEL = 1.0
"""Usual expanded uncertainty of a crank angle read on a degree wheel, deg (common practice, no published source)."""
MARK = 2.3
"""Expanded uncertainty of top dead centre by a timing mark, deg: up to 2 deg off either way, 2 * 2/sqrt(3)."""
STOP = "piston stop"
NOT_READ = "no readings of it in motion.yaml"


class Reading(Record):
    """One line of readings: crank angle after overlap TDC (deg), and lift and drop (m) as far as they were read."""

    angle: Value
    lift: Value | None
    drop: Value | None


class MotionEntry(Record):
    """The readings of one valve, with the indicator on the valve or the lifter; ``state`` of the engine then."""

    subject: Subject
    node: Node
    state: State | None
    lash: Value
    readings: tuple[Reading, ...]

    @property
    def lifts(self) -> list[Reading]:
        """The readings with a lift."""
        return [one for one in self.readings if one.lift is not None]

    @property
    def drops(self) -> list[Reading]:
        """The readings with a drop."""
        return [one for one in self.readings if one.drop is not None]


def has_entry(facts: Facts, subject: Subject, at: str) -> bool:
    """Whether motion.yaml has readings of a valve with the indicator at valve or lifter."""
    return bool(_nodes(facts, subject, at))


def motion_entry(facts: Facts, subject: Subject, at: str) -> MotionEntry:
    """The readings of one valve with the indicator at ``valve`` or ``lifter``.

    NotApplicable if there are none, Contradiction if there are two sets for one state of the engine.
    """
    if "motion" not in facts.build.roots:
        raise NotApplicable(NOT_READ)
    return facts.once(("motion", subject, at), _entry, facts, subject, at)


def _entry(facts: Facts, subject: Subject, at: str) -> MotionEntry:
    nodes = _nodes(facts, subject, at)
    if not nodes:
        raise NotApplicable(NOT_READ)
    named = [state_of(facts, node) for node in nodes]
    last = max(range(len(nodes)), key=lambda i: (_index(named[i]), i))
    twin = next((i for i in range(last) if _index(named[i]) == _index(named[last])), None)
    if twin is not None:
        places = (nodes[last].place, nodes[twin].place)
        raise Contradiction(f"two sets of lift at the {at} of one valve: keep one, or name the state of each", places)
    node = nodes[last]
    lash, angle_zero = node.get("lash"), _zero(facts)
    tdc = facts.get("firing_tdc", Subject(subject.cylinder))
    readings = tuple(_readings(facts, node, tdc, angle_zero))
    at_rest = facts.reading(lash, "length") if lash is not None else exact(0.0, "length")
    return MotionEntry(subject, node, named[last], at_rest, readings)


def _index(state: State | None) -> int:
    return state.index if state is not None else -1


def motion_entries(facts: Facts, subject: Subject) -> list[Node]:
    """The entries of one valve in motion.yaml, wherever the indicator was and whatever state they name."""
    if "motion" not in facts.build.roots:
        return []
    return facts.once("motion entries", _by_valve, facts).get((str(subject.cylinder), subject.valve or ""), [])


def _by_valve(facts: Facts) -> dict[tuple[str, str], list[Node]]:
    found: dict[tuple[str, str], list[Node]] = {}
    for node in _items(facts.node("motion.valves")):
        found.setdefault((node.word("cylinder"), node.word("valve")), []).append(node)
    return found


def _nodes(facts: Facts, subject: Subject, at: str) -> list[Node]:
    return [node for node in motion_entries(facts, subject) if node.word("at") == at]


def _items(node: Node | None) -> Sequence[Node]:
    return node.items if node is not None else ()


def _readings(facts: Facts, node: Node, tdc: Value, zero: Value) -> Iterator[Reading]:
    gauge, before, angle = facts.node("motion.gauge"), None, 0.0
    for entry in _items(node.get("readings")):
        crank = _crank(facts, entry.entries["crank"])
        place = crank.si - tdc.si - CYCLE / 2
        angle = turn(0.0, place) if before is None else angle + (crank.si - before) % CYCLE
        before = crank.si
        shifted = derive("angle", lambda read, off, at=angle, c=crank.si: at + read - c + off, crank, zero)
        lift, drop = (entry.get(key) for key in ("lift", "drop"))
        yield Reading(
            shifted,
            facts.reading(lift, "length", gauge, DIAL) if lift is not None else None,
            facts.reading(drop, "length", gauge, DIAL) if drop is not None else None,
        )


def _crank(facts: Facts, node: Node) -> Value:
    """A crank angle with the uncertainty of the wheel, unless it states its own."""
    crank = facts.reading(node, "angle")
    wheel = facts.optional("motion.wheel.uncertainty")
    usual = wheel.si if wheel is not None else WHEEL
    return crank if crank.parts else crank._replace(parts={str(node.place): usual / 2})


def _zero(facts: Facts) -> Value:
    """How far the wheel may be off top dead centre, the same in all readings, deg."""
    wheel = facts.optional("motion.wheel.uncertainty")
    stated = wheel.si if wheel is not None else WHEEL
    expanded = stated if found_by_stop(facts) else (stated**2 + MARK**2) ** 0.5
    return Value(0.0, "angle", {"top dead centre on the degree wheel": expanded / 2})


def found_by_stop(facts: Facts) -> bool:
    """Whether top dead centre was found by a piston stop."""
    node = facts.node("motion.wheel.tdc")
    return node is not None and node.value == STOP


class Fault(Record):
    """A reading that cannot follow the one before it, with what to do about it."""

    node: Node
    explanation: str


def reading_faults(facts: Facts, subject: Subject, at: str) -> list[Fault]:
    """Crank angles out of order or repeated, lifts that fall on the way up or rise on the way down beyond U, drops
    at a lifter."""
    nodes = _items(motion_entry(facts, subject, at).node.get("readings"))
    found = [*_disorder(facts, nodes)] or [*_reversals(motion_entry(facts, subject, at), nodes)]
    return [*found, *_drops_at_lifter(nodes)] if at == "lifter" else found


def _drops_at_lifter(nodes: Sequence[Node]) -> Iterator[Fault]:
    for node in nodes:
        if (drop := node.get("drop")) is not None:
            what = f"drop {drop.value} is entered at the lifter"
            yield Fault(drop, f"{what}: a drop is read at the valve, enter it with at: valve")


def _disorder(facts: Facts, nodes: Sequence[Node]) -> Iterator[Fault]:
    turned = 0.0
    for node, after in pairwise(nodes):
        first, second = (each.entries["crank"] for each in (node, after))
        step = (facts.reading(second, "angle").si - facts.reading(first, "angle").si) % CYCLE
        if step == 0:
            yield Fault(second, f"crank {second.value} is entered twice: keep one of the two readings")
        elif step > CYCLE / 2 or (turned := turned + step) >= CYCLE:
            yield Fault(second, f"crank {second.value} follows {first.value}: enter the readings in running order")


def _reversals(entry: MotionEntry, nodes: Sequence[Node]) -> Iterator[Fault]:
    """Lifts that turn back beyond U. A wider ``+/-`` of one of them excuses it no more than the others'."""
    read = [(one, node) for one, node in zip(entry.readings, nodes, strict=True) if one.lift]
    lifts = [one.lift for one, _ in read if one.lift is not None]
    top = max(range(len(lifts)), key=lambda i: lifts[i].si, default=0)
    usual = median_of([lift.expanded for lift in lifts]) if lifts else 0.0
    for i in range(1, len(lifts)):
        wrong_way = (lifts[i - 1].si - lifts[i].si) * (1 if i <= top else -1)
        doubt = hypot(*(min(lift.expanded, usual) for lift in lifts[i - 1 : i + 1]))
        if wrong_way > doubt:
            way = "falls on the way up" if i <= top else "rises on the way down"
            lift, crank = (read[i][1].entries[key] for key in ("lift", "crank"))
            found = f"lift {lift.value} at {crank.value} {way}"
            yield Fault(lift, f"{found}: read this crank angle and the one before again")


def usable(facts: Facts, subject: Subject, at: str) -> MotionEntry:
    """The readings of one valve if none of them is at fault; Undecided otherwise, caused by ``lift_faults``."""
    entry = motion_entry(facts, subject, at)
    if faults := reading_faults(facts, subject, at):
        cause = Cause("lift_faults", subject)
        fault = faults[0]
        raise Undecided(fault.explanation, (fault.node.place,), cause, "the other valves are not affected")
    return entry


def missing_lift(entry: MotionEntry) -> Missing:
    """What is needed if there are drops alone."""
    cranks = ", ".join(one.word("crank") for one in _items(entry.node.get("readings")))
    text = f"without lift a drop is the gap at crank {cranks} alone: read the lift every 5 deg around the overlap"
    return Missing(MissingInput(text, "motion.valves.readings.lift"), (entry.node.place,))
