"""The zero-lash length that one trial gives: by gauge, by turns of the checker, or by a known pushrod."""

from __future__ import annotations

from functools import partial

from buildcheck.build.facts import Facts
from buildcheck.build.length_conventions import measured_on_checker, to_measured
from buildcheck.build.repeats import REPEATABILITY, repeatability
from buildcheck.build.usual_gauges import CLEARANCE, LENGTH
from buildcheck.core.subject import Subject
from buildcheck.core.value import Undecided, Value, derive, exact, with_uncertainty
from buildcheck.formulas import linkage, zero_lash
from buildcheck.formulas.carried_reading import SHARE
from buildcheck.formulas.pushrod_length import checker_length
from buildcheck.formulas.repeatability import repeat_uncertainty
from buildcheck.units.quantity import parse_thread
from buildcheck.yamlio.documents import Node

TURN = 1 / 8
"""Expanded uncertainty of counted turns of bolt, nut or screw: common practice, no published source."""

FIXED_ONLY = "a known pushrod gives the zero-lash length on a fixed mount only: use the checking pushrod on this stud"
NO_PLUNGER = "enter plunger: top or bottom, where the lifter's plunger was during the feeler reading"
NO_TRAVEL = (
    "dry clearance needs the plunger's travel: enter lifter.travel in cam.yaml, or read with the plunger at its top"
)
NOT_READ = "enter the feeler gap or the bolt_turns that go with the known pushrod"


def checker_node(facts: Facts, trial: Node | None) -> Node | None:
    """The checking pushrod of a trial: the one it names, else the only one."""
    name = trial.word("checker") if trial is not None else ""
    return facts.node(f"pushrods.checkers.{name}") if name else facts.node("pushrods.checker")


def length_read(facts: Facts, subject: Subject, trial: Node, lifter: str) -> Value | None:
    """The length as read, in the convention of ``measured_as``; None if the trial has none. Without the feel's part."""
    if (known := trial.get("known_pushrod")) is not None:
        return _by_known_pushrod(facts, subject, trial, known, lifter)
    if trial.get("length") is not None or trial.get("turns") is not None:
        return measured_on_checker(facts, _on_checker(facts, trial), trial.word("checker"))
    return None


def with_feel(facts: Facts, trial: Node, length: Value) -> Value:
    """The length with how well the feel for zero lash repeats: as the shop's readings show, else as it is stated."""
    if (sample := repeatability(facts, trial)) is not None:
        return with_uncertainty(length, repeat_uncertainty(*sample), f"{trial.place} {REPEATABILITY}")
    feel = facts.optional("marks.zero_lash_repeatability")
    return with_uncertainty(length, feel.si, f"{trial.place} feel") if feel is not None else length


def counted(turns: Value, source: str) -> Value:
    """Counted turns with their usual uncertainty, if none is stated."""
    return turns if turns.parts else with_uncertainty(turns, TURN, source)


def _on_checker(facts: Facts, trial: Node) -> Value:
    read = trial.get("length")
    if read is not None:
        name = trial.word("length_gauge")
        gauge = facts.node(f"marks.length_gauges.{name}") if name else facts.node("marks.length_gauge")
        return facts.reading(read, "length", gauge, LENGTH)
    checker, turns = checker_node(facts, trial), trial.get("turns")
    assert turns is not None
    path = f"pushrods.checkers.{trial.word('checker')}" if trial.word("checker") else "pushrods.checker"
    zero, thread = (checker.get(key) if checker is not None else None for key in ("length_at_zero_turns", "thread"))
    if zero is None or thread is None:
        raise facts.missing(f"{path}.{'thread' if zero is not None else 'length_at_zero_turns'}")
    pitch = exact(float(parse_thread(str(thread.value)).pitch), "length")._replace(places=(thread.place,))
    return derive("length", checker_length, facts.reading(zero, "length"), facts.reading(turns, "ratio"), pitch)


def _by_known_pushrod(facts: Facts, subject: Subject, trial: Node, known: Node, lifter: str) -> Value:
    if facts.pivot_is_free:
        raise Undecided(FIXED_ONLY, (known.place,))
    read = known.get("length")
    assert read is not None
    length = to_measured(facts, facts.reading(read, "length"), known.word("stated_as"), known.get("gauge_hole"))
    if (feeler := trial.get("feeler")) is not None:
        return _by_feeler(facts, subject, trial, length, facts.reading(feeler, "length", None, CLEARANCE), lifter)
    if (turns := trial.get("bolt_turns")) is not None:
        return _by_bolt(facts, subject, length, counted(facts.reading(turns, "ratio"), f"{turns.place}"))
    raise Undecided(NOT_READ, (known.place,))


def _by_feeler(facts: Facts, subject: Subject, trial: Node, length: Value, gap: Value, lifter: str) -> Value:
    ratio = facts.field("rockers.ratio", subject)
    found = derive("length", zero_lash.from_feeler, length, gap, ratio, _travel_left(facts, trial, lifter))
    return with_uncertainty(found, SHARE * abs(gap.si) / ratio.si, f"{trial.place} lever")


def _travel_left(facts: Facts, trial: Node, lifter: str) -> Value:
    """How far the plunger was below its upper stop, m."""
    gives_way = lifter == "hydraulic" or (not lifter and facts.text("cam.lifter.type").startswith("hydraulic"))
    plunger = trial.word("plunger")
    if not gives_way or plunger == "top":
        return exact(0.0, "length")
    if not plunger:
        raise Undecided(NO_PLUNGER, (trial.place,))
    travel = facts.optional("cam.lifter.travel")
    if travel is None:
        raise Undecided(NO_TRAVEL, (trial.place,))
    return travel


def _by_bolt(facts: Facts, subject: Subject, length: Value, turns: Value) -> Value:
    upright = exact(0.0, "angle")
    slants = facts.optional("rockers.stud_lean") or upright, facts.optional("pushrods.inclination") or upright
    thread = "rockers.bolt_thread" if facts.text("rockers.adjuster") == "screw" else "rockers.adjuster_thread"
    sides = turns, facts.pitch(thread), facts.field("rockers.ratio", subject), *slants
    taken_up = derive("length", partial(_taken_up), *sides)
    taken_up = with_uncertainty(taken_up, SHARE * abs(taken_up.si), f"{length.places} lever")
    return derive("length", zero_lash.from_bolt_turns, length, taken_up)


def _taken_up(turns: float, pitch: float, ratio: float, lean: float, slant: float) -> float:
    return turns * linkage.preload_per_turn(pitch, ratio, lean, slant)
