"""Readings, gauges and stock lists that do not fit the rest of their file: typing errors, as a rule.

The figures are common practice, no published source.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from decimal import Decimal
from itertools import chain

from buildcheck.build.facts import Facts
from buildcheck.build.usual_gauges import usual_uncertainty
from buildcheck.core.problem import Place
from buildcheck.core.subject import Subject, valve_type
from buildcheck.core.value import Value
from buildcheck.formulas.cam import CYCLE, apart
from buildcheck.formulas.sample import median_of
from buildcheck.units.quantity import QuantityError, in_si, parse, show
from buildcheck.yamlio.nodes import Node

Finding = tuple[tuple[Place, ...], str]

GAUGE_LEAST, GAUGE_MOST = 0.9, 12.0
"""An expanded uncertainty over the resolution of its gauge: it includes the resolution."""
FINER_THAN_USUAL = 0.2
"""A gauge is hardly five times finer than the usual one of its kind."""
READINGS = ("marks", "clearances")
_STATED = re.compile("[+±]")
"""What announces the uncertainty of a value."""
FINEST = Decimal("0.0001") * Decimal("0.0254")
"""No reading at the bench is more certain (m): a fifth of the usual uncertainty of a micrometer."""
NARROWEST = 0.7
"""The width of a mark over that of the contact band: nothing leaves a narrower mark than the band itself."""
LENGTHS_APART = 0.2
"""Lengths of one build lie within this share of their median."""
STOCK_RATIO, STOCK_STEP = 2.0, 0.2 * 0.0254
CHECKER_THREAD = 0.25
"""The travel of an adjustable checking pushrod over its length."""
NEAR_MIDDLE, SAME_STOP = 45.0, 3.0
"""How far from the middle of the base circle a valve is usually measured, and two valves at one stop, degrees."""
ON_THE_MARK = 0.5
"""How near to firing top dead centre an angle counts as read there, degrees."""


def gauges(facts: Facts) -> Iterator[Finding]:
    """A gauge's uncertainty beside its resolution."""
    for node in chain.from_iterable(facts.build.nodes.values()):
        if not isinstance(node.value, dict) or "uncertainty" not in node.value:
            continue
        resolution, uncertainty = (_length(node.get(key)) for key in ("resolution", "uncertainty"))
        if resolution is None or uncertainty is None or resolution.si <= 0:
            continue
        least = max(GAUGE_LEAST * resolution.si, usual_uncertainty(node.word("name"), 0.0) * FINER_THAN_USUAL)
        if not least <= uncertainty.si <= GAUGE_MOST * resolution.si:
            low, high = (show(one, "length", facts.system, 1) for one in (least, GAUGE_MOST * resolution.si))
            basis = f"resolution {show(resolution.si, 'length', facts.system, 1)}"
            found = show(uncertainty.si, "length", facts.system, 1)
            name = node.word("name") or "gauge"
            yield (
                places_of(uncertainty, resolution),
                f"uncertainty of {name}, expected {low} to {high} from its {basis}, found {found}",
            )


def exact_readings(facts: Facts) -> Iterator[Finding]:
    """A reading with an uncertainty that no gauge at the bench has, such as none at all."""
    for node in chain.from_iterable(facts.build.nodes.get(name, ()) for name in READINGS):
        if not isinstance(node.value, str) or not _STATED.search(node.value):
            continue
        try:
            amount = parse(node.value, "length")
        except QuantityError:
            continue
        if amount.expanded is not None and amount.expanded < FINEST:
            least, found = (show(float(one), "length", facts.system, 1) for one in (FINEST, amount.expanded))
            yield (node.place,), f"uncertainty of a reading, expected at least {least}, found {found}"


def trial_lengths(facts: Facts) -> Iterator[Finding]:
    """A length read on a trial beside the others of the build."""
    read = [length for _, trial in _trials(facts) if (length := _length(trial.get("length"))) is not None]
    if not read:
        return
    usual = median_of(length.si for length in read)
    for length in read:
        if abs(length.si / usual - 1) > LENGTHS_APART:
            low, high = (
                show(usual * share, "length", facts.system) for share in (1 - LENGTHS_APART, 1 + LENGTHS_APART)
            )
            found = show(length.si, "length", facts.system)
            yield length.places, f"trial length, expected {low} to {high} from the other trials, found {found}"


def contact_lines(facts: Facts) -> Iterator[Finding]:
    """A contact line or a mark's edge beyond the valve tip, on any trial."""
    for subject, trial in _trials(facts):
        tip = facts.get_or_none("tip_diameter", valve_type(subject.valve))
        for key in ("shut_at", "open_at"):
            line = _length(trial.get(key))
            if tip is not None and line is not None and line.si > tip.si:
                most, found = (show(one.si, "length", facts.system) for one in (tip, line))
                yield places_of(line, tip), f"{key}, expected at most {most} from the valve tip diameter, found {found}"


def narrow_marks(facts: Facts) -> Iterator[Finding]:
    """A mark narrower than the ink leaves when nothing moves."""
    band = facts.optional("marks.contact_band")
    for _, trial in _trials(facts) if band is not None else ():
        mark = trial.get("mark")
        first, last = (_length(mark.get(key)) if mark is not None else None for key in ("from", "to"))
        if band is None or first is None or last is None or last.si - first.si >= NARROWEST * band.si:
            continue
        least, found = (show(one, "length", facts.system) for one in (band.si, last.si - first.si))
        yield (
            places_of(last, first, band),
            f"width of a mark, expected at least {least}, the contact_band, found {found}",
        )


def crank_angles(facts: Facts) -> Iterator[Finding]:
    """A crank angle far from the middle of its base circle, at no other valve's angle and at no usual stop.

    The measuring plan stops at top dead centres. An angle of zero may be one that was not read, unless it is firing
    top dead centre of its cylinder or other valves are read at top dead centres too.
    """
    valves = facts.node("marks.valves")
    cranks = [(entry, crank) for entry in valves.items if (crank := entry.get("crank"))] if valves is not None else []
    angles = [in_si(str(crank.value), "angle")[0] for _, crank in cranks]
    tops = [facts.cylinders > 0 and _off_multiple(one, CYCLE / facts.cylinders) <= SAME_STOP for one in angles]
    for angle, top, (entry, crank) in zip(angles, tops, cranks, strict=True):
        subject = Subject(int(entry.word("cylinder")), entry.word("valve"))
        middle = facts.get_or_none("heel_middle", subject)
        if middle is None or apart(angle, middle.si) <= NEAR_MIDDLE:
            continue
        alone = sum(apart(angle, other) <= SAME_STOP for other in angles) == 1
        usual = top and (angle != 0 or sum(tops) > 1 or _at_firing(facts, subject, angle))
        if alone and not usual:
            yield (
                (crank.place,),
                (
                    f"crank of {subject.text}, expected about {middle.si:.0f} deg, the middle of its base circle, "
                    f"found {angle:g} deg"
                ),
            )


def _at_firing(facts: Facts, subject: Subject, angle: float) -> bool:
    firing = facts.get_or_none("firing_tdc", Subject(subject.cylinder))
    return firing is not None and apart(angle, firing.si) < ON_THE_MARK


def _off_multiple(angle: float, step: float) -> float:
    """How far an angle is from the nearest multiple of a step, deg.

    >>> _off_multiple(602.0, 120.0)
    2.0
    """
    return abs(angle - step * round(angle / step))


def stock_lists(facts: Facts) -> Iterator[Finding]:
    """A stock list with uncommon steps, or with lengths that no one engine type uses."""
    stock = facts.node("pushrods.stock")
    for entry in stock.items if stock is not None else ():
        first, last, step = (_length(entry.get(key)) for key in ("from", "to", "step"))
        if first is None or last is None or step is None:
            continue
        if step.si > STOCK_STEP:
            most, found = (show(one, "length", facts.system) for one in (STOCK_STEP, step.si))
            yield step.places, f"step of a stock list, expected at most {most}, found {found}"
        if last.si > STOCK_RATIO * first.si:
            most, found = (show(one, "length", facts.system) for one in (STOCK_RATIO * first.si, last.si))
            yield places_of(last, first), f"last length of a stock list, expected at most {most}, found {found}"


def checker_threads(facts: Facts) -> Iterator[Finding]:
    """A checking pushrod that would turn out by more than a quarter of its length."""
    zero, most = (facts.optional(f"pushrods.checker.{key}") for key in ("length_at_zero_turns", "most_turns"))
    if zero is None or most is None or facts.node("pushrods.checker.thread") is None:
        return
    pitch = facts.pitch("pushrods.checker.thread")
    turns = CHECKER_THREAD * zero.si / pitch.si
    if most.si > turns:
        yield (
            places_of(most, zero),
            f"most_turns of the checking pushrod, expected at most {turns:.0f} from its length, found {most.si:g}",
        )


def _trials(facts: Facts) -> list[tuple[Subject, Node]]:
    """The trials of all valves as written, each with its valve."""
    return facts.once("written trials", _read_trials, facts)


def _read_trials(facts: Facts) -> list[tuple[Subject, Node]]:
    valves, found = facts.node("marks.valves"), []
    for entry in valves.items if valves is not None else ():
        subject, trials = Subject(int(entry.word("cylinder")), entry.word("valve")), entry.get("trials")
        found += [(subject, trial) for trial in trials.items] if trials is not None else []
    return found


def _length(node: Node | None) -> Value | None:
    """A length as written, None where none is, or where it cannot be read."""
    if node is None or not isinstance(node.value, str):
        return None
    try:
        return Value(in_si(node.value, "length")[0], "length", {}, (node.place,))
    except QuantityError:
        return None


def places_of(*values: Value) -> tuple[Place, ...]:
    return tuple(dict.fromkeys(place for value in values for place in value.places))


CHECKS: tuple[Callable[[Facts], Iterator[Finding]], ...] = (
    gauges, exact_readings, trial_lengths, contact_lines, narrow_marks, crank_angles, stock_lists, checker_threads,
)  # fmt: skip
