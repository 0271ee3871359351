"""Named quantities of what moves a mark: pushrod length, shim, and how one acts on the other."""

from __future__ import annotations

from buildcheck.build.facts import Facts
from buildcheck.core.subject import Subject
from buildcheck.core.value import NotApplicable, Undecided, Value, derive, exact
from buildcheck.formulas import pad_tip
from buildcheck.quantities.base_circle_window import refuse_off_heel
from buildcheck.quantities.height_trials import reference_trial
from buildcheck.quantities.marks import offset_of, width_of
from buildcheck.quantities.pivot_height import signed_height_error
from buildcheck.quantities.pushrod_inclination import length_per_height
from buildcheck.quantities.valvetrain import gross_lift
from buildcheck.units.quantity import show


class OutOfReach(Undecided):
    """No height of the pivot brings the mark to the middle."""


def length_change_for_mark(facts: Facts, subject: Subject) -> Value:
    """Change of pushrod length that corrects the mark on a stud with a nut, m. Positive: longer."""
    if not facts.pivot_is_free:
        raise NotApplicable("the pivot height is fixed: a shim moves this mark, a pushrod does not")
    refuse_off_heel(facts, subject)
    factor = length_per_height(facts, subject)
    if facts.is_roller:
        return derive("length", lambda q, f: q * f, signed_height_error(facts, subject), factor)
    return derive("length", lambda t, f: t * f, pad_tip_raise(facts, subject), factor)


def pad_tip_raise(facts: Facts, subject: Subject) -> Value:
    """Height by which to raise the pivot to centre a pad tip's mark, m; where none does, to bring it nearest."""
    return facts.once(("pad raise", subject), _pad_tip_raise, facts, subject)


def _pad_tip_raise(facts: Facts, subject: Subject) -> Value:
    return derive("length", pad_tip.pad_tip_rise_to_centre, *_pad_tip_mark(facts, subject))


def refuse_out_of_reach(facts: Facts, subject: Subject) -> None:
    """Raises OutOfReach where no height of the pivot is sure to bring a pad tip's mark to the middle."""
    mark = _pad_tip_mark(facts, subject)
    farthest = derive("length", _pad_tip_farthest, *mark)
    if farthest.si - farthest.expanded < 0 and abs(mark[3].si) > mark[3].expanded:
        most = show(max(farthest.si - mark[3].si, 0.0), "length", facts.system)
        what = "pushrod length" if facts.pivot_is_free else "shim"
        sure = "centres" if farthest.si < 0 else "is sure to centre"
        raise OutOfReach(f"no {what} {sure} this mark: raising the pivot moves it by at most {most}", mark[3].places)


def _pad_tip_farthest(valve_arm: float, lift: float, width: float, centre: float, lean: float) -> float:
    return pad_tip.pad_tip_centre(
        valve_arm, lift, width, centre, lean, pad_tip.pad_tip_rise_to_farthest(valve_arm, lift, width, centre, lean)
    )


def _pad_tip_mark(facts: Facts, subject: Subject) -> tuple[Value, ...]:
    """What the place of a pad tip's mark at another height of the pivot is computed from."""
    arm, lift, lean = rocker_and_lean(facts, subject)
    trial = reference_trial(facts, subject)
    width = width_of(facts, subject, trial)
    if width.si <= width.expanded:
        raise Undecided(
            "the mark is narrower than its uncertainty, so it does not show how far to raise the pivot", width.places
        )
    return arm, lift, width, offset_of(facts, subject, trial), lean


def rocker_and_lean(facts: Facts, subject: Subject) -> tuple[Value, Value, Value]:
    """The rocker's arm and the lift that it sweeps, m, and the stud's lean, degrees; upright where not written."""
    lean = facts.optional("rockers.stud_lean") or exact(0.0, "angle")
    return facts.field("rockers.valve_arm"), gross_lift(facts, subject), lean


def shim_for_mark(facts: Facts, subject: Subject) -> Value:
    """Shim that corrects the mark under a fixed rocker, m.

    Negative: remove as much metal, or fit a lash cap of that height.
    """
    if facts.pivot_is_free:
        raise NotApplicable("the nut sets the pivot height: the pushrod length moves the mark")
    if not facts.is_roller:
        refuse_out_of_reach(facts, subject)
        return pad_tip_raise(facts, subject)
    return signed_height_error(facts, subject)
