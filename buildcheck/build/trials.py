"""The trials of one valve as read from marks.yaml: lengths, marks, contact readings, and how they were taken."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from buildcheck.build.brackets import bracketed
from buildcheck.build.carried_trials import as_it_is_now, carried_over, needs_prediction
from buildcheck.build.facts import Facts
from buildcheck.build.field_lookup import applies_to
from buildcheck.build.length_conventions import minus, plus
from buildcheck.build.states import state_of, void_since, was
from buildcheck.build.trial import Trial as Trial
from buildcheck.build.trial import VoidReading
from buildcheck.build.usual_gauges import MARK
from buildcheck.build.zero_lash_readings import length_read, with_feel
from buildcheck.core.problem import Place
from buildcheck.core.subject import Subject
from buildcheck.core.value import Contradiction, NotApplicable, Undecided, Value, difference, exact
from buildcheck.units.quantity import show
from buildcheck.yamlio.documents import Node

PAST_EDGE = 0.005 * 0.0254
"""Least length (m) by which a mark must end beyond the tip to be none: common practice, no published source."""

LINES = ("shut_at", "open_at")
GIVES_WAY = "a hydraulic lifter can give way while marking"
KEEP_BOTH = (
    f"{GIVES_WAY}: add a trial on a solid checking lifter, or a hydraulic lifter with its plunger blocked; the "
    "trial with the running parts stays last"
)

NO_LENGTH = "no trial of this valve has a zero-lash length: enter length or turns"
LIFTER_UNTOLD = "marks.yaml does not name the lifter of the trials: the running lifter is assumed"


def valve_entry(facts: Facts, subject: Subject) -> Node | None:
    """The valve's entry in marks.yaml."""
    found: Node | None = facts.once(("entry", subject), lambda: _entry(facts, subject))
    return found


def _entry(facts: Facts, subject: Subject) -> Node | None:
    valves = facts.node("marks.valves")
    return next((entry for entry in valves.items if applies_to(entry, subject)), None) if valves is not None else None


def trials(facts: Facts, subject: Subject) -> tuple[Trial, ...]:
    """All trials of a valve, in order.

    Raises NotApplicable for a valve that was not measured while another of its type was (a rule
    requires it from a later stage on), Undecided where none of its type was.
    """
    own: tuple[Trial, ...] = facts.once(("trials", subject), lambda: _read(facts, subject))
    if own:
        return own
    if any(measured(facts, other) for other in same_type(facts, subject)):
        raise NotApplicable("not measured, assumed to match the measured valves of its type")
    marks = facts.node("marks")
    places = (marks.place,) if marks is not None else (Place("build.yaml"),)
    void = "; ".join(void_causes(facts, subject))
    what = f"no {subject.valve} reading applies: {void}" if void else f"no {subject.valve} valve is measured yet"
    raise Undecided(f"{what} (marks.yaml)", places)


def last_mark(facts: Facts, subject: Subject) -> Trial:
    """The trial whose mark is judged: the last one that has a mark, so that a later one without hides nothing.

    A mark made on the retainer is worthless.
    """
    last = last_marked(trials(facts, subject))
    refuse_unmarked(facts, subject, last)
    return last


def last_marked(own: Sequence[Trial]) -> Trial:
    """The last trial with a mark; the last of all if none has one."""
    return next((trial for trial in reversed(own) if trial.mark is not None or trial.predicted), own[-1])


def refuse_unmarked(facts: Facts, subject: Subject, trial: Trial) -> None:
    """NotApplicable or Undecided where a trial has no mark to go by."""
    if trial.mark is None and not trial.predicted:
        which = "the last trial" if trial is trials(facts, subject)[-1] else f"trial {trial.number}"
        if any(marked(facts, other) for other in same_type(facts, subject)):
            raise NotApplicable(f"no mark was taken on {which}, assumed to match the marked valves of its type")
        raise Undecided(f"{which} has no mark", (trial.place,))
    if trial.mark is not None and (slip := mark_slip(facts, subject, trial.mark)) is not None:
        raise slip
    refuse_contact(facts, subject)


def mark_slip(facts: Facts, subject: Subject, mark: tuple[Value, Value]) -> Undecided | None:
    """Why no tip can bear a mark as it is written; none where one can. One that just passes the edge has run off.

    What rests on such a mark is open. That it cannot be is a contradiction, and blocks at every stage.
    """
    first, last = mark
    if first.si > last.si:
        reason = "'to' is smaller than 'from': are they swapped? 'from' is the edge on the pivot side"
        return Undecided(reason, first.places)
    tip = facts.get_or_none("tip_diameter", subject)
    if tip is None:
        return None
    beyond = difference(last, tip)
    if beyond.si <= max(beyond.expanded, PAST_EDGE):
        return None
    ends, ended = (show(length.si, "length", facts.system) for length in (last, tip))
    return Undecided(f"the mark ends at {ends}, and the tip at {ended} (is a unit or digit wrong?)", last.places)


def last_with_length(facts: Facts, subject: Subject) -> Trial:
    """The last trial that zero lash was found on; the last of all where it was found on none."""
    return _with_length(trials(facts, subject))


def why_no_length(own: Sequence[Trial]) -> Undecided:
    """Why no trial of a valve has a length: what hinders the last one that was read, else that none was."""
    obstructed = [trial.length_reason for trial in own if trial.length_reason.reason != NO_LENGTH]
    return (obstructed or [own[-1].length_reason])[-1].copy_without_traceback()


def refuse_contact(facts: Facts, subject: Subject) -> None:
    """Undecided where the rocker touches the retainer: every mark of that valve is a false reading."""
    gap = facts.optional("clearances.{valve}.rocker_to_retainer", subject)
    if gap is not None and gap.si <= 0:
        raise Undecided("the rocker touches the spring retainer, so every mark of this valve is false", gap.places)


def same_type(facts: Facts, subject: Subject) -> list[Subject]:
    """All valves of the subject's type."""
    return [other for other in facts.subjects("valve") if other.valve == subject.valve]


def marked(facts: Facts, subject: Subject) -> bool:
    """Whether a trial of the valve has a mark, read or predicted."""
    return measured(facts, subject) and any(one.mark or one.predicted for one in trials(facts, subject))


def measured(facts: Facts, subject: Subject) -> bool:
    """Whether the valve has a trial that is not void."""
    entry = valve_entry(facts, subject)
    node = entry.get("trials") if entry is not None else None
    return node is not None and len(void_readings(facts, subject)) < len(node.items)


def void_readings(facts: Facts, subject: Subject) -> tuple[VoidReading, ...]:
    """The trials of a valve that are void: by what changed since, or as the file states."""
    found: tuple[VoidReading, ...] = facts.once(("void", subject), lambda: tuple(_void(facts, subject)))
    return found


def _void(facts: Facts, subject: Subject) -> Iterator[VoidReading]:
    entry = valve_entry(facts, subject)
    node = entry.get("trials") if entry is not None else None
    for number, trial in enumerate(node.items if node is not None else (), 1):
        reason = trial.word("void")
        if not reason and (since := void_since(facts, subject, state_of(facts, trial, entry))) is not None:
            reason = since.reason
        if reason:
            yield VoidReading(subject, number, reason, trial.place, not trial.word("void"))


def void_causes(facts: Facts, subject: Subject) -> list[str]:
    """Which cylinders of a valve type have void readings alone, and why: one text for each cause."""
    causes: dict[str, list[str]] = {}
    for other in same_type(facts, subject):
        void = void_readings(facts, other)
        if void and not measured(facts, other):
            causes.setdefault(void[-1].reason, []).append(str(other.cylinder))
    return [
        f"cylinder{'s' if len(of) > 1 else ''} {', '.join(of)}: readings void, {reason}"
        for reason, of in causes.items()
    ]


def is_hydraulic(facts: Facts) -> bool:
    """Whether the lifters to be run have a plunger."""
    return facts.text("cam.lifter.type").startswith("hydraulic")


def stands_in(facts: Facts, trial: Trial) -> bool:
    """Whether another kind of lifter than the one to be run stood in the bore; a locked one is a hydraulic one."""
    return trial.lifter != "" and is_hydraulic(facts) == (trial.lifter == "solid")


def cup_step(facts: Facts, trial: Trial) -> Value:
    """Cup height of the lifter measured on, less that of the one to be run, m."""
    runs = facts.optional("cam.lifter.cup_height")
    if trial.cup_height is not None and runs is not None:
        return minus(trial.cup_height, runs)
    if trial.cup_height is not None or stands_in(facts, trial):
        raise Undecided(
            "a checking lifter was used: enter its lifter_cup_height in marks.yaml and the cup_height of the "
            "running lifter (plunger at its top) in cam.yaml",
            (trial.place,),
        )
    length_reason = not trial.lifter and is_hydraulic(facts)
    return exact(0.0, "length").with_remark(LIFTER_UNTOLD if length_reason else "")


def _read(facts: Facts, subject: Subject) -> tuple[Trial, ...]:
    entry = valve_entry(facts, subject)
    node = entry.get("trials") if entry is not None else None
    void = {one.number for one in void_readings(facts, subject)}
    read = [
        _carried(facts, subject, entry, trial, _trial(facts, subject, entry, trial, number))
        for number, trial in enumerate(node.items if node is not None else (), 1)
        if number not in void
    ]
    closed = bracketed(facts, read)
    own = [_on_lifter_of(facts, _with_length(closed), trial) for trial in closed]
    return (*own, as_it_is_now(own)) if needs_prediction(own) else tuple(own)


def _carried(facts: Facts, subject: Subject, entry: Node | None, node: Node, trial: Trial) -> Trial:
    """The trial on the engine as it is now; without a length if that cannot be computed."""
    try:
        state = state_of(facts, node, entry)
        return carried_over(facts, subject, trial, state, trial.cup_height is not None or stands_in(facts, trial))
    except Contradiction:
        raise
    except Undecided as reason:
        return replace(trial, length=None, length_reason=reason.copy_without_traceback())


def _with_length(own: Sequence[Trial]) -> Trial:
    return next((trial for trial in reversed(own) if trial.length is not None), own[-1])


def _on_lifter_of(facts: Facts, last: Trial, trial: Trial) -> Trial:
    if trial.length is None or _lifter(trial) == _lifter(last):
        return trial
    try:
        step = minus(cup_step(facts, trial), cup_step(facts, last))
    except Undecided as reason:
        return replace(trial, length=None, length_reason=reason.copy_without_traceback())
    return replace(trial, length=plus(trial.length, step))


def _lifter(trial: Trial) -> tuple[str, float | None]:
    return trial.lifter, trial.cup_height.si if trial.cup_height is not None else None


def _trial(facts: Facts, subject: Subject, entry: Node | None, node: Node, number: int) -> Trial:
    def own(key: str) -> Node | None:
        return node.get(key) or facts.node(f"marks.{key}")

    def word(key: str) -> str:
        found = own(key)
        return str(found.value) if found is not None else ""

    cup = own("lifter_cup_height") if _usual_lifter(facts, node) else node.get("lifter_cup_height")
    lines = [key for key in LINES if node.get(key) is not None]
    turns, state, cap = own("turns_of_crank"), state_of(facts, node, entry), node.get("lash_cap")
    at_state = was(facts, state, "rockers.shim", subject) if state is not None else None
    shim = node.get("shim") or at_state or facts.node("rockers.shim")
    length, length_reason = _length(facts, subject, node, word("lifter"))
    return Trial(
        number=number,
        place=node.place,
        length=length,
        length_reason=length_reason,
        mark=mark_of(facts, node),
        contacts=_pair(facts, node, *LINES),
        lone_line=lines[0] if len(lines) == 1 else "",
        shim=facts.reading(shim, "length") if shim is not None else exact(0.0, "length"),
        springs=word("springs"),
        lifter=word("lifter"),
        cup_height=facts.reading(cup, "length") if cup is not None else None,
        crank_turns=facts.reading(turns, "count") if turns is not None else None,
        own_shim=node.get("shim") is not None,
        cap=_length_in(facts, cap, "thickness"),
        cap_diameter=_length_in(facts, cap, "diameter"),
        feel=node.word("feel"),
        gauge=" ".join((node.word("length_gauge"), node.word("checker"), "turns" if node.get("turns") else "")),
        checker=node.word("checker"),
    )


def _length_in(facts: Facts, node: Node | None, key: str) -> Value | None:
    found = node.get(key) if node is not None else None
    return facts.reading(found, "length") if found is not None else None


def mark_of(facts: Facts, trial: Node) -> tuple[Value, Value] | None:
    """The edges of a trial's mark, m from the tip's edge on the pivot side."""
    return _pair(facts, trial.get("mark"), "from", "to")


def _usual_lifter(facts: Facts, node: Node) -> bool:
    """Whether a trial stood on the lifter of all: a cup height is that of the lifter that it is written beside."""
    own, usual = node.get("lifter"), facts.node("marks.lifter")
    return own is None or usual is None or own.value == usual.value


def _length(facts: Facts, subject: Subject, node: Node, lifter: str) -> tuple[Value | None, Undecided]:
    """A trial's length, or why there is none: its mark and lines count without it."""
    length_reason = Undecided(NO_LENGTH, (node.place,))
    try:
        length = length_read(facts, subject, node, lifter)
    except Contradiction:
        raise
    except Undecided as reason:
        return None, reason.copy_without_traceback()
    if length is None or node.get("feel") is not None or node.get("known_pushrod") is not None:
        return length, length_reason
    return with_feel(facts, node, length), length_reason


def _pair(facts: Facts, node: Node | None, first: str, second: str) -> tuple[Value, Value] | None:
    one, other = (node.get(first), node.get(second)) if node is not None else (None, None)
    if one is None or other is None:
        return None
    gauge = facts.node("marks.mark_gauge")
    return facts.reading(one, "length", gauge, MARK), facts.reading(other, "length", gauge, MARK)
