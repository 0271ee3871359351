"""Turns the words of a ``record`` call into readings, with the units of the build."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from decimal import Decimal
from shlex import join
from typing import Any, TypeVar

from buildcheck.advice.motion_doubts import motion_doubts
from buildcheck.advice.reading_doubts import Doubt, doubts
from buildcheck.build.facts import Facts
from buildcheck.build.new_motion import NewMotion
from buildcheck.build.new_reading import NewClearance, NewTrial, VoidTrial, trial_values
from buildcheck.cli.reading_names import OF_BOTH, OF_MOTION, OF_TRIAL
from buildcheck.core.escape import one_line
from buildcheck.core.subject import Subject
from buildcheck.core.usage_error import UsageError
from buildcheck.record import Record
from buildcheck.schema.fields import field_schema
from buildcheck.units.number import QuantityError
from buildcheck.units.typed_value import typed_angle, typed_length, typed_number, typed_pair

T = TypeVar("T")
Reading = NewTrial | VoidTrial | NewClearance | NewMotion

_MAKES_A_TRIAL = ("length", "turns", "known", "mark", "lines", "shim")
_MOVED = ("lift", "drop")
_KNOWN = re.compile(r"(.*?)[\s,]+(overall|full ball|gauge)(?:[\s,]+(\S.*))?", re.IGNORECASE)


class UnusableError(ValueError):
    """A word of the call that is no such value, with the option that it belongs to."""


class Typed(Record):
    """What was typed for one valve, by option."""

    subject: Subject
    entered: Mapping[str, Any]

    @property
    def text(self) -> str:
        """The call's words for this reading, ready to be typed again."""
        words = [self.subject.key] if self.subject.key else []
        for name in (*OF_TRIAL, *OF_MOTION, *OF_BOTH, "void"):
            given = self.entered[name]
            words += [f"--{name}", *([given] if isinstance(given, str) else given)] if given else []
        for name in ("clearance", "correct"):
            words += [word for each in self.entered[name] for word in (f"--{name}", each)]
        words += ["--state", self.entered["state"]] if self.entered["state"] else []
        return join(words)

    def one(self, name: str) -> str:
        """The value of an option that may come in several words."""
        given = self.entered[name] or ""
        return given if isinstance(given, str) else " ".join(given)


def readings(typed: Typed, facts: Facts, state: str, today: Callable[[], str]) -> list[Reading]:
    """The readings of one call: a trial, a void trial, clearances, or lift and drop at one crank angle.

    ``state`` of the engine, if it has several.

    Raises UnusableError for a value that cannot be read or a valve that the engine lacks, UsageError for options
    that do not belong together.
    """
    if facts.cylinders and typed.subject not in facts.subjects("valve"):
        raise UnusableError(f"this engine has no {typed.subject.text}")
    moved, is_trial = any(map(typed.one, _MOVED)), any(map(typed.one, _MAKES_A_TRIAL))
    if sum([bool(typed.entered["void"]), bool(typed.entered["clearance"]), is_trial, moved]) != 1:
        raise UsageError(
            "enter one reading: a trial (--length, --turns or --known, --mark), --lift or --drop at a --crank angle, "
            "--void, or --clearance"
        )
    if typed.entered["type"] and not typed.entered["clearance"]:
        raise UsageError("--type belongs to --clearance: a trial is of one valve")
    if typed.entered["void"]:
        return [_void(typed)]
    if typed.entered["clearance"]:
        return [_clearance(typed, each, facts.system, state) for each in typed.entered["clearance"]]
    if moved:
        motion = _motion(typed, facts.system, state)
        _refuse_doubtful(motion_doubts(facts, motion))
        return [motion]
    if strange := [name for name in OF_MOTION if typed.one(name)]:
        raise UsageError(f"--{strange[0]} belongs to --lift or --drop")
    trial = _trial(typed, facts.system, today)
    _refuse_doubtful(doubts(facts, trial.subject, trial.values))
    return [trial]


def _refuse_doubtful(found: Iterator[Doubt]) -> None:
    for doubt in found:
        raise UnusableError(doubt.text)


def _motion(typed: Typed, system: str, state: str) -> NewMotion:
    if strange := [name for name in OF_TRIAL if typed.one(name)]:
        raise UsageError(f"--{strange[0]} belongs to a trial; with --lift or --drop use --note")
    if not typed.one("crank"):
        raise UsageError("enter the crank angle of the reading, such as --crank 470")
    values = {"crank": _read(typed, "crank", typed_angle)}
    values |= {name: length for name in _MOVED if (length := _length(typed, name, system))}
    values |= {"note": note} if (note := typed.one("note")) else {}
    return NewMotion(typed.subject, typed.one("at") or "valve", values, _length(typed, "lash", system), state)


def _length(typed: Typed, name: str, system: str) -> str:
    return _read(typed, name, lambda text: typed_length(text, system)) if typed.one(name) else ""


def _trial(typed: Typed, system: str, today: Callable[[], str]) -> NewTrial:
    def length(name: str) -> str:
        return _length(typed, name, system)

    def pair(name: str) -> tuple[str, str] | None:
        return _read(typed, name, lambda text: typed_pair(text, system)) if typed.one(name) else None

    def number(name: str) -> Decimal | None:
        return _read(typed, name, typed_number) if typed.one(name) else None

    known = _read(typed, "known", lambda text: _known(text, system)) if typed.one("known") else None
    words = {name: typed.one(name) for name in ("feel", "plunger", "checker", "by", "note")}
    lengths = {name: length(name) for name in ("feeler", "shim", "across")}
    values = trial_values(
        length("length"), number("turns"), pair("mark"), pair("lines"), known, number("bolt"), pair("cap"),
        **lengths, on=typed.one("on") or today(), **words,
    )  # fmt: skip
    return NewTrial(typed.subject, values, _read(typed, "crank", typed_angle) if typed.one("crank") else "")


def _known(text: str, system: str) -> dict[str, str]:
    """A known pushrod: its length, the length convention and, for a gauge length, the hole of the gauge."""
    if (found := _KNOWN.fullmatch(text)) is None:
        raise QuantityError(f"{text!r} is no known pushrod: write it like 9.400 overall or 9.400 gauge 0.120")
    length, convention, hole = found.groups()
    known = {"length": typed_length(length, system), "stated_as": convention.lower()}
    return known | ({"gauge_hole": typed_length(hole, system)} if hole else {})


def _void(typed: Typed) -> VoidTrial:
    number, reason = typed.entered["void"]
    if not (number.isascii() and number.isdecimal()):
        raise UnusableError(f"--void: enter the number of the trial and the reason, not {one_line(number)!r}")
    return VoidTrial(typed.subject, int(number), reason)


def _clearance(typed: Typed, text: str, system: str, state: str) -> NewClearance:
    name, equals, length = text.partition("=")
    if not equals or not _is_clearance(name):
        raise UnusableError(f"--clearance: enter a name and a length, such as piston_to_valve=0.135, not {text!r}")
    subject = Subject(None, typed.subject.valve) if typed.entered["type"] else typed.subject
    try:
        return NewClearance(subject, name, typed_length(length, system), state)
    except QuantityError as error:
        raise UnusableError(f"--clearance {name}: {error}") from error


def _is_clearance(name: str) -> bool:
    try:
        return name not in ("note", "part") and bool(field_schema(f"clearances.intake.{name}"))
    except (KeyError, ValueError):
        return False


def _read(typed: Typed, name: str, read: Callable[[str], T]) -> T:
    try:
        return read(typed.one(name))
    except QuantityError as error:
        raise UnusableError(f"--{name}: {error}") from error
