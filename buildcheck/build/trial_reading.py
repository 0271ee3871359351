"""One trial as read from marks.yaml: its length, mark and contact lines, and how it was taken."""

from __future__ import annotations

from buildcheck.build.facts import Facts
from buildcheck.build.states import state_of, was
from buildcheck.build.trial import Trial
from buildcheck.build.usual_gauges import MARK
from buildcheck.build.zero_lash_readings import length_read, with_feel
from buildcheck.core.subject import Subject
from buildcheck.core.value import Contradiction, Undecided, Value, exact
from buildcheck.yamlio.documents import Node

LINES = ("shut_at", "open_at")


GIVES_WAY = "a hydraulic lifter can give way while marking"


KEEP_BOTH = (
    f"{GIVES_WAY}: add a trial on a solid checking lifter, or a hydraulic lifter with its plunger blocked; the "
    "trial with the running parts stays last"
)


NO_LENGTH = "no trial of this valve has a zero-lash length: enter length or turns"
LIFTER_UNTOLD = "marks.yaml does not name the lifter of the trials: the running lifter is assumed"


def read_trial(facts: Facts, subject: Subject, entry: Node | None, node: Node, number: int) -> Trial:
    def entered(key: str) -> Node | None:
        return node.get(key) or facts.node(f"marks.{key}")

    def word(key: str) -> str:
        found = entered(key)
        return str(found.value) if found is not None else ""

    cup = entered("lifter_cup_height") if _usual_lifter(facts, node) else node.get("lifter_cup_height")
    lines = [key for key in LINES if node.get(key) is not None]
    turns, state, cap = entered("turns_of_crank"), state_of(facts, node, entry), node.get("lash_cap")
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
        across=_on_tip(facts, node.get("across")),
        feel=node.word("feel"),
        gauge=" ".join((node.word("length_gauge"), node.word("checker"), "turns" if node.get("turns") else "")),
        checker=node.word("checker"),
    )


def _on_tip(facts: Facts, node: Node | None) -> Value | None:
    return facts.reading(node, "length", facts.node("marks.mark_gauge"), MARK) if node is not None else None


def _length_in(facts: Facts, node: Node | None, key: str) -> Value | None:
    found = node.get(key) if node is not None else None
    return facts.reading(found, "length") if found is not None else None


def mark_of(facts: Facts, trial: Node) -> tuple[Value, Value] | None:
    """The edges of a trial's mark, m from the valve tip edge on the pivot side."""
    return facts.once(("mark", trial.place), _pair, facts, trial.get("mark"), "from", "to")


def _usual_lifter(facts: Facts, node: Node) -> bool:
    """Whether a trial stood on the lifter of all: a cup height is that of the lifter that it is written beside."""
    fitted, usual = node.get("lifter"), facts.node("marks.lifter")
    return fitted is None or usual is None or fitted.value == usual.value


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
