"""What corrects a mark, in words: another pushrod, a shim, metal off, a lash cap or another rocker."""

from __future__ import annotations

from collections.abc import Iterator

from buildcheck.advice.next_step import MOST_SHIM
from buildcheck.advice.valve_advice import Advice
from buildcheck.core.value import Value
from buildcheck.output.value_wording import value_text
from buildcheck.quantities.marks import direction
from buildcheck.rules.rule import Fix
from buildcheck.units.quantity import show

WIDER_TIP = (
    "The mark is in the middle and still reaches the edge. No setting keeps it on this tip. Fit a lash cap with a "
    "wider flat, or rockers with a narrower mark."
)


def cure(advice: Advice, system: str) -> str:
    """What puts the mark right: pushrod, shim, metal off, lash cap, or none of them."""
    step, rows = advice.step, []
    if step.action == "change length" and step.length is not None:
        rows.append(f"Use a pushrod {shown_size(step.length, system)} {longer_or_shorter(step.length)}.")
    if step.action == "change height":
        rows += _shimmed(advice, system)
    if advice.off_centre is not None:
        where = side(advice.off_centre, system)
        rows.append(
            f"At its narrowest the mark would still be {where}; no pushrod length corrects that. {centring(advice)}"
        )
    elif step.action == "wider tip":
        rows.append(WIDER_TIP)
    elif step.action == "move the centre" and step.why:
        rows.append(f"{as_sentence(step.why)} {centring(advice)}")
    return " ".join(rows)


def repair(advice: Advice, system: str) -> str:
    """What puts a mark right after it repeats, short enough for a finding; empty if the advice has no correction."""
    if advice.off_centre is not None:
        return f"no pushrod length corrects it. {centring(advice)}"
    text = cure(advice, system)
    return f"{text[:1].lower()}{text[1:]}"


def fix_text(fix: Fix | None, advised: str = "") -> str:
    """What to do about a failure; ``advised`` replaces what the rule gives if it repeats. Empty without a fix."""
    if fix is None or not fix.if_it_repeats:
        return fix.text if fix is not None else ""
    return f"{fix.text} If the result repeats, {advised or fix.if_it_repeats}"


def centring(advice: Advice) -> str:
    """What moves a mark along the rocker arm; a guide plate or a lash cap does not.

    Source: a guide plate that moves the tip sideways by d on an arm a shortens the arm along the valve by
    a - sqrt(a*a - d*d), for example 0.0012 in for 0.060 in on 1.55 in.
    """
    angle = " or angle" if advice.mount == "stud" else ""
    return f"Fit a rocker with another pivot-to-tip length, or correct the {_carrier(advice)} position{angle}."


def _shimmed(advice: Advice, system: str) -> Iterator[str]:
    step, under = advice.step, _carrier(advice)
    if step.height is None or step.length is None:
        return
    size, rod = shown_size(step.height, system), length_text(abs(step.length.si), system)
    if step.wrong_parts and not step.may_stay:
        most = length_text(MOST_SHIM, system)
        yield f"It is {size} that the {under} lacks or has too much, more than any shim should correct ({most})."
        return
    if step.why:
        first = f"fit a shim of about {size} under" if step.height.si >= 0 else f"remove about {size} from"
        yield f"First step: {first} the {under}. The pushrod then changes by about {rod}."
        return
    if step.height.si >= 0:
        stock = step.shim or step.height.si
        longer = length_text(step.length.si * stock / step.height.si, system)
        yield f"Fit a shim of {length_text(stock, system)} (calculated {size}) under the {under}."
        yield f"The pushrod is then {longer} longer."
        return
    yield f"Remove {size} from the {under} (the pushrod is then {rod} shorter)"
    if step.length_with_cap is not None:
        shorter = length_text(abs(step.length_with_cap.si), system)
        yield f"or fit a lash cap of that thickness (pushrod {shorter} shorter)."
    if step.held_open is not None:
        yield (
            f"Before the pivot comes down, shorten the checking pushrod by {rod}: otherwise a solid lifter holds the "
            f"valve open by {length_text(step.held_open, system)}."
        )


def _carrier(advice: Advice) -> str:
    return "stand" if advice.mount == "shaft" else advice.mount


def shown_size(value: Value, system: str) -> str:
    """A value without its sign, with its uncertainty."""
    return value_text(Value(abs(value.si), value.kind, value.parts), system)


def side(offset: Value, system: str) -> str:
    """How far from the middle of the tip, and in which direction."""
    nothing = length_text(abs(offset.si), system) == length_text(0.0, system)
    return "in the middle" if nothing else f"{shown_size(offset, system)} {direction(offset.si)}"


def longer_or_shorter(change: Value) -> str:
    """The direction of a change in length."""
    return "longer" if change.si > 0 else "shorter"


def length_text(si: float, system: str) -> str:
    """A length without its uncertainty."""
    return show(si, "length", system)


def as_sentence(reason: str) -> str:
    """A reason with a capital and a full stop."""
    return f"{reason[:1].upper()}{reason[1:]}."
