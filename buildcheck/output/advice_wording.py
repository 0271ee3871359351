"""The advice in words, as it is read at the bench: one short text for each thing it says."""

from __future__ import annotations

from collections.abc import Iterator

from buildcheck.advice.next_step import Step
from buildcheck.advice.valve_advice import Advice
from buildcheck.output.correction_wording import as_sentence, cure, length_text, longer_or_shorter, shown_size, side
from buildcheck.output.value_wording import value_text

HOW_TO_READ = (
    "Read the contact lines with checking springs only. Press the valve clear of the roller, ink the tip and let "
    "the valve up. Press it clear again and read the line. Valve closed: shut_at. Full lift: open_at."
)
BAND = (
    "The contact band is not subtracted. Ink the tip, press the rocker down once without turning the crank, and "
    "enter the width as contact_band."
)
NEVER_LONGER = "Never fit a longer pushrod on this mount: it holds the valve open."
MOVED = (
    "With one shim the mark cannot move on this mount. Enter a missing shim; otherwise tighten the rocker to the "
    "maker's torque and repeat. A pushrod that is too long can hold the valve off its seat."
)
SHIM_WRITTEN = (
    "Enter the shim with the new trial (marks.yaml) and as fitted (rockers.yaml). Enter in each earlier trial the "
    "shim of that day (shim: 0 in for none); without it the present shim is assumed."
)
TRIALS_GONE = (
    "Enter the change as a new state in marks.yaml: earlier trials are then carried over or void. Enter a lash cap "
    "in heads.yaml too."
)
WEAK = "The width hardly changes near its minimum and does not show too low or too high. Both contact lines decide it."
FIT_THAT = "Fit it, tighten to the maker's torque, find zero lash again and take a new mark. Do not order yet."
CHECK_PARTS = "Compare rocker, stand, head and valve length with the parts list, and the entries with the notes."
NO_ROD_MOVES = (
    "On this mount the pushrod cannot move the mark: its length sets only preload or lash, or the screw position."
)


def lines(advice: Advice, system: str, fails: str = "", blocked: bool = False) -> list[tuple[str, str]]:
    """All findings on one valve, as pairs of heading and text; ``fails``: the rule that fails there, and its fix.

    While a rule fails, no step says that the valve is good; while one blocks (``blocked``), no length is shown.
    """
    rows = [
        ("mark", mark(advice, system)),
        ("pivot", pivot(advice, system)),
        ("cure", cure(advice, system)),
        ("next", fails if fails and advice.step.action == "none" else to_do(advice, system)),
        ("sure", sure(advice, system)),
        ("length", "" if blocked else length(advice, system)),
        ("adjuster", "" if blocked else adjuster(advice, system)),
    ]
    return [(heading, text) for heading, text in rows if text]


def mark(advice: Advice, system: str) -> str:
    """Where the mark lies, and how wide it is."""
    parts = []
    if advice.width is not None:
        least = f" (narrowest possible {length_text(advice.least.si, system)})" if advice.least is not None else ""
        parts.append(f"{value_text(advice.width, system)} wide{least}")
    if advice.moved:
        parts.append(advice.moved)
    if advice.offset is not None:
        parts.append(f"centre {side(advice.offset, system)}")
    if advice.margin is not None:
        clear = advice.margin.si > 0
        parts.append(
            f"{length_text(advice.margin.si, system)} clear of the edge" if clear else "off the valve tip edge"
        )
    return ", ".join(parts) or ("" if advice.marked else "no mark in the last trial")


def pivot(advice: Advice, system: str) -> str:
    """How far the pivot is off, with its sign, or why that is unknown."""
    error = advice.height_error
    if error is None:
        return advice.reason if advice.step.action != "fill in" else ""
    basis = f"{advice.basis}, {error.remark}" if error.remark else advice.basis
    if abs(error.si) <= error.expanded:
        return f"at mid-lift to within {length_text(abs(error.si) + error.expanded, system)} ({basis})"
    way = "low or too high" if not error.sign_known else "low" if error.si > 0 else "high"
    return f"{shown_size(error, system)} too {way} ({basis})"


def to_do(advice: Advice, system: str) -> str:
    """What to do next."""
    step = advice.step
    match step.action:
        case "none":
            good = "The mark is good. " if advice.marked else ""
            return f"{good}No further trial is needed."
        case "change length":
            return f"{_set_checker(step, system)}, set zero lash and take a new mark.{_why(step)}"
        case "change height" if step.wrong_parts and not step.may_stay:
            return f"Wrong parts: stop and check, and do not order yet. {CHECK_PARTS}{_why(step)}"
        case "change height":
            if step.may_stay:
                return f"{_stays(advice)}. Fit it before you order or not at all: it changes the pushrod length."
            return f"{FIT_THAT}{_why(step)}"
        case "read contacts":
            return f"Read both contact lines{_instead(advice, system)}.{_why(step)}"
        case "repeat":
            return f"Repeat trial {step.trial}: {step.why} (pushrod not seated, or lifter off the base circle)."
        case "finer gauge":
            needed = f", good to {length_text(step.good_to, system)}" if step.good_to else ""
            return f"Another trial does not help. Read the tip with a finer gauge{needed}."
        case "move the centre":
            stays = "The mark is acceptable. To centre it, leave" if step.may_stay else "Leave"
            return f"{stays} the pushrod as it is, correct the rocker or its position and take a new mark."
        case "take a mark":
            return as_sentence(step.why) if step.why else "Set zero lash, turn the crank twice and take a mark."
        case "wider tip":
            return "Keep the pushrod length, fit it, and take a new mark."
        case "fill in":
            return f"Fill in first: {step.why}."
        case "clear the retainer" | "mark again":
            return f"Take a new mark: {step.why}."


def sure(advice: Advice, system: str) -> str:
    """How sure the length is."""
    if not advice.sure:
        return ""
    unknown = advice.height_error is not None and not advice.height_error.sign_known
    return f"length ± {length_text(advice.sure, system)}{' (sign unknown)' if unknown else ''}"


def notes(advice: Advice) -> Iterator[str]:
    """What is true of the mount and of the method, and would settle what is open; the same for many valves."""
    if not advice.free:
        yield NO_ROD_MOVES
    if advice.moved:
        yield MOVED
    if advice.step.action == "change height" and advice.step.height is not None:
        yield SHIM_WRITTEN if advice.step.height.si >= 0 else TRIALS_GONE
    if advice.step.action == "read contacts":
        yield from [] if advice.free else [NEVER_LONGER]
        yield HOW_TO_READ
    if advice.basis == "width alone" and advice.needs_work:
        yield WEAK
        if advice.width is not None and advice.width.remark:
            yield BAND


def length(advice: Advice, system: str) -> str:
    """The valve's required pushrod length so far; nothing while that is about to change."""
    changes = advice.step.action in ("change height", "read contacts", "repeat") and not advice.step.may_stay
    if advice.length_asked is None or changes:
        return ""
    remark = f"; {advice.length_asked.remark}" if advice.length_asked.remark else ""
    return f"required length {value_text(advice.length_asked, system)}, preload or lash included{remark}"


def adjuster(advice: Advice, system: str) -> str:
    """Turns past zero lash."""
    if advice.turns is None or advice.preload is None:
        return ""
    return f"{advice.turns:.2f} turns past zero lash for {length_text(advice.preload.si, system)} of preload"


def _set_checker(step: Step, system: str) -> str:
    if step.turns is None or step.turns_in_all is None:
        return (
            f"Set the checking pushrod to {length_text(step.reading, system)}"
            if step.reading
            else "Change the checking pushrod"
        )
    way = "out" if step.turns > 0 else "in"
    reading = length_text(step.reading or 0.0, system)
    return f"Turn the checker {abs(step.turns):.2f} turns {way}, to {step.turns_in_all:.2f} ({reading} over the gauge)"


def _instead(advice: Advice, system: str) -> str:
    """The trial that may serve where the contact lines cannot be read."""
    step = advice.step
    if step.height is None or step.length is None:
        return ""
    if not advice.free:
        return f"; or take one more mark with {length_text(step.height.si, system)} more shim"
    way = "out" if step.length.si > 0 else "in"
    known = step.turns is not None and step.turns_in_all is not None
    turns = f" ({abs(step.turns or 0.0):.2f} turns {way}, to {step.turns_in_all:.2f})" if known else ""
    return f"; or take one more mark {length_text(abs(step.length.si), system)} {longer_or_shorter(step.length)}{turns}"


def _stays(advice: Advice) -> str:
    """What the order does not wait for: a pivot's height, or a plain tip's mark."""
    if advice.roller:
        return "The pivot height is acceptable; this brings it to mid-lift"
    return "The mark is acceptable; this centres it"


def _why(step: Step) -> str:
    return f" ({as_sentence(step.why)})" if step.why else ""
