"""The questions about one trial, in the order in which it is taken, and the trial that their answers make."""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal
from typing import Any

from buildcheck.advice.reading_doubts import Doubt, doubts
from buildcheck.build.facts import Facts
from buildcheck.build.new_reading import trial_values
from buildcheck.build.states import is_earlier, state_of
from buildcheck.build.trials import trial_nodes, valve_entry
from buildcheck.cli.dialogue import BackError, ask, ask_yes, say
from buildcheck.core.subject import Subject
from buildcheck.record import Record
from buildcheck.units.typed_value import typed_length, typed_number, typed_pair

Answers = dict[str, Any]

_FEEL = {"g": "", "gone": "", "sl": "slack", "slack": "slack", "t": "tight", "tight": "tight"}
UNIT = {"inch": "inches", "metric": "mm"}


class Question(Record):
    """One question: its text and explanation, how an answer is read, and whether it applies after other answers."""

    key: str
    text: str
    explanation: str
    read: Callable[[str], Any]
    applies: Callable[[Answers], bool] = lambda answers: True


def questions(facts: Facts, subject: Subject) -> tuple[Question, ...]:
    """The questions about a trial of a valve, in the units of its build.

    A shim belongs to a pedestal or shaft, a name to one of several checking pushrods, contact lines to a roller tip.
    """
    shims, checkers = _word(facts, "rockers.mount") in ("pedestal", "shaft"), facts.node("pushrods.checkers")
    return (
        _SEATED,
        *((_shim_question(facts, subject),) if shims else ()),
        _FELT,
        _length_question(facts.system),
        *((_checker_question(list(checkers.entries)),) if checkers is not None else ()),
        *_mark_questions(facts.system, _word(facts, "rockers.tip.type") != "pad"),
    )


def _word(facts: Facts, path: str) -> str:
    node = facts.node(path)
    return str(node.value) if node is not None else ""


def _shim_question(facts: Facts, subject: Subject) -> Question:
    """A trial gets a shim of its own only if it differs from the one in rockers.yaml."""
    unit, last, usual = UNIT[facts.system], _last_shim(facts, subject), facts.node("rockers.shim")
    present = last or (str(usual.value) if usual is not None else f"0 {unit}")
    return Question(
        "shim", f"Shim in {unit} (y: {present})",
        f"The shim under this rocker in this trial, below zero for metal removed. y: still {present}.",
        lambda text: last if text in ("y", "yes") else typed_length(text, facts.system),
    )  # fmt: skip


def _last_shim(facts: Facts, subject: Subject) -> str:
    """The shim that the last trial gives itself; empty if it gives none or was made before a part was changed."""
    entry = valve_entry(facts, subject)
    last = next(reversed(trial_nodes(facts, subject)), None)
    shim = last.get("shim") if last is not None else None
    return str(shim.value) if shim is not None and not is_earlier(facts, state_of(facts, last, entry)) else ""


def _length_question(system: str) -> Question:
    return Question(
        "setting", f"Length in {UNIT[system]}, or turns (9.25t)",
        "The gauge reading of the checking pushrod, or its turns with a t. Another unit can be typed: 5/16 in.",
        lambda text: _setting(text, system),
    )  # fmt: skip


def _checker_question(names: list[str]) -> Question:
    return Question(
        "checker", f"Checking pushrod ({'/'.join(names)})",
        "The checking pushrod that was turned, by its name in pushrods.yaml.",
        lambda text: _one_of(names, text), lambda answers: isinstance(answers.get("setting"), Decimal),
    )  # fmt: skip


def _mark_questions(system: str, roller: bool) -> tuple[Question, ...]:
    unit = UNIT[system]
    return (
        Question(
            "mark", f"Mark from-to in {unit} (n: none)",
            "From the pivot-side edge of the tip to the near and to the far edge of the mark, such as .151-.182.",
            lambda text: _pair(text, system), _marked,
        ),
        Question(
            "lines", f"Lines closed,open in {unit} (n: none)",
            "From the pivot-side edge of the tip to the contact line with the valve closed and at full lift.",
            lambda text: _pair(text, system), lambda answers: roller and _marked(answers) and bool(answers["mark"]),
        ),
    )  # fmt: skip


def ask_trial(facts: Facts, subject: Subject, found: tuple[Question, ...], answers: Answers) -> None:
    """Ask every question that applies and put the answers in. ``b`` goes one back; at the first, BackError."""
    at = 0
    while at < len(found):
        question = found[at]
        if not question.applies(answers):
            at += 1
            continue
        try:
            answers[question.key] = _certain(facts, subject, question, answers)
            at += 1
        except BackError:
            answers.pop(question.key, None)
            at = max((n for n in range(at) if found[n].key in answers), default=-1)
            if at < 0:
                raise
            answers.pop(found[at].key)


def values_of(answers: Answers, **more: str) -> dict[str, Any]:
    """The values of a trial as marks.yaml takes them."""
    setting = answers.get("setting", "")
    turns = setting if isinstance(setting, Decimal) else None
    length = setting if isinstance(setting, str) else ""
    words: dict[str, Any] = {key: answers.get(key, "") for key in ("feel", "shim", "checker")} | more
    return trial_values(length, turns, answers.get("mark"), answers.get("lines"), **words)


def _certain(facts: Facts, subject: Subject, question: Question, answers: Answers) -> Any:
    """An answer that nothing rules out: a doubtful one is questioned at once."""
    while True:
        answer = ask(question.text, question.explanation, question.read)
        while (doubt := _doubt(facts, subject, answers | {question.key: answer})) is not None:
            say(f"{doubt.reason[:1].upper()}{doubt.reason[1:]}.")
            if not doubt.meant or not ask_yes(f"Did you mean {doubt.meant}?", "n: enter it again."):
                break
            answer = _replaced(answer, doubt.key, doubt.meant)
        else:
            return answer


def _doubt(facts: Facts, subject: Subject, answers: Answers) -> Doubt | None:
    """Answers are taken only without a doubt, so a doubt is always about the last one."""
    return next(doubts(facts, subject, values_of(answers)), None)


def _replaced(answer: Any, key: str, meant: str) -> Any:
    if key == "mark":
        return answer[::-1]
    if key in ("from", "shut_at"):
        return meant, answer[1]
    return (answer[0], meant) if key in ("to", "open_at") else meant


def _marked(answers: Answers) -> bool:
    return not answers.get("feel")


def _seated(text: str) -> bool:
    if text not in ("y", "yes"):
        raise ValueError("Seat it and turn the crank to the stop, then enter y.")
    return True


def _feel(text: str) -> str:
    if text not in _FEEL:
        raise ValueError("Enter g, sl or t.")
    return _FEEL[text]


def _setting(text: str, system: str) -> str | Decimal:
    turns = text.removesuffix("urns").removesuffix(" t").removesuffix("t")
    return typed_number(turns) if turns != text else typed_length(text, system)


def _pair(text: str, system: str) -> tuple[str, str] | None:
    return None if text in ("n", "none") else typed_pair(text, system)


def _one_of(names: list[str], text: str) -> str:
    if text not in names:
        raise ValueError(f"Enter {' or '.join(names)}.")
    return text


_SEATED = Question(
    "seated", "Seated, lifter on base circle? (y)",
    "The crank is at this stop and the pushrod sits in lifter, guide and rocker: y.", _seated,
)  # fmt: skip
_FELT = Question(
    "feel", "Clearance gone, slack, tight? (g/sl/t)",
    "g: the clearance has just gone. sl: it is still felt. t: none is left. One trial of each of the last two "
    "makes a bracket.", _feel,
)  # fmt: skip
