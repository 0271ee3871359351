"""Named quantities that a mark shows by itself, and how far it may be trusted."""

from __future__ import annotations

from buildcheck.build.facts import Facts
from buildcheck.build.mark_plausibility import last_mark, mark_slip, refuse_contact, refuse_unmarked
from buildcheck.build.trial import Trial
from buildcheck.build.trial_reading import GIVES_WAY, KEEP_BOTH, LINES
from buildcheck.build.trials import last_marked, trials
from buildcheck.core.subject import Subject
from buildcheck.core.value import Contradiction, NotApplicable, Undecided, Value, derive, difference, exact
from buildcheck.formulas import mark
from buildcheck.units.quantity import show


def tip_diameter(facts: Facts, subject: Subject) -> Value:
    """Diameter of the flat that the rocker bears on, m: that of the lash cap if one is fitted."""
    cap = facts.optional("heads.valves.{valve}.lash_cap.diameter", subject)
    return cap or facts.field("heads.valves.{valve}.tip_diameter", subject)


def mark_offset(facts: Facts, subject: Subject) -> Value:
    """Distance of the mark centre from the tip centre, m. Positive: towards the far side."""
    return offset_of(facts, subject, last_mark(facts, subject))


def offset_of(facts: Facts, subject: Subject, trial: Trial) -> Value:
    """The centre of one trial's mark from the tip's, m, positive away from the pivot."""
    return facts.once(("offset", subject, trial.number, trial.predicted), _offset, facts, subject, trial)


def _offset(facts: Facts, subject: Subject, trial: Trial) -> Value:
    edges = edges_of(facts, subject, trial)
    offset = derive("length", mark.mark_offset, *edges, tip_diameter(facts, subject), remark="")
    return offset.with_remark(direction(offset.si))


def mark_edge_margin(facts: Facts, subject: Subject) -> Value:
    """Smallest distance from the mark to the edge of the valve tip, m, with the uncertainty of the nearer edge.

    A mark that ends beyond the tip has run off the tip; its other rules are then undecided. Contradiction if 'to' is
    smaller than 'from'.
    """
    last = last_marked(trials(facts, subject))
    edges = edges_of(facts, subject, last) if last.predicted else last.mark
    slip = mark_slip(facts, subject, edges) if edges is not None else None
    if edges is None or slip is None:
        edges = edges_of(facts, subject, last_mark(facts, subject))
    elif edges[0].si > edges[1].si:
        raise Contradiction(slip.reason, slip.places)
    else:
        refuse_contact(facts, subject)
    read = (*edges, tip_diameter(facts, subject))
    near = derive("length", lambda *at: mark.edge_margins(*at)[0], *read)
    far = derive("length", lambda *at: mark.edge_margins(*at)[1], *read)
    nearest = min(near, far, key=lambda side: side.si)
    off = near.si - far.si
    side = f"edge {'farther from' if off > 0 else 'nearer'} the pivot" if direction(off) else ""
    return nearest._replace(remark="; ".join(filter(None, (nearest.remark, side))))


def mark_width(facts: Facts, subject: Subject) -> Value:
    """Width that the rocker swept, m: the width of the mark less its contact band."""
    return width_of(facts, subject, last_mark(facts, subject))


def width_of(facts: Facts, subject: Subject, trial: Trial) -> Value:
    """Width swept in one trial, m: its mark less its contact band."""
    return facts.once(("width", subject, trial.number, trial.predicted), _width, facts, subject, trial)


def _width(facts: Facts, subject: Subject, trial: Trial) -> Value:
    edges = edges_of(facts, subject, trial)
    if mark.reaches_edge(edges[0].si, edges[1].si, tip_diameter(facts, subject).si):
        raise Undecided("the mark reaches the valve tip edge, so its width is only a lower bound", (trial.place,))
    if trial.lifter == "hydraulic":
        known = any(one.shows_height_error for one in trials(facts, subject))
        raise Undecided(GIVES_WAY if known else KEEP_BOTH, (trial.place,))
    band = facts.optional("marks.contact_band") or exact(0.0, "length")
    remark = "" if band.si else "contact band not subtracted"
    return derive("length", mark.mark_width, *edges, band, remark=remark)


def lines_off_mark(facts: Facts, subject: Subject) -> Value:
    """Distance of a contact line outside the mark of the same trial, beyond both uncertainties, m. Zero inside.

    It does not apply to a mark on a lifter that gives way, because that mark does not reach the line at full lift.
    """
    trial = last_mark(facts, subject)
    if trial.mark is None or trial.contacts is None or not trial.width_counts:
        raise NotApplicable("the last trial lacks both contact lines, or a mark as wide as the sweep")
    near, far = trial.mark
    out = [
        (difference(*pair), key, line)
        for key, line in zip(LINES, trial.contacts, strict=True)
        for pair in ((near, line), (line, far))
    ]
    off, key, line = max(out, key=lambda each: each[0].si - each[0].expanded)
    beyond = max(off.si - off.expanded, 0.0)
    ends = " to ".join(show(edge.si, "length", facts.system) for edge in trial.mark)
    remark = f"{key} {show(line.si, 'length', facts.system)}, mark {ends}" if beyond else "both inside"
    return Value(beyond, "length", {}, (*line.places, *near.places), remark)


def roller_tip(facts: Facts, subject: Subject) -> Value:
    """1 if the tip of the rocker is a roller, 0 if it is a pad.

    A limit that holds for rollers only is multiplied by it.
    """
    return exact(float(facts.is_roller), "count")


def retainer_contact(facts: Facts, subject: Subject) -> Value:
    """1 if the rocker was found to touch the spring retainer, 0 if it is clear."""
    gap = facts.field("clearances.{valve}.rocker_to_retainer", subject)
    return Value(
        float(gap.si <= 0), "count", {}, gap.places, f"the rocker {'touches' if gap.si <= 0 else 'clears'} the retainer"
    )


_CENTRED = 1e-9
"""A mark centre less than this off the tip centre, m, is the arithmetic's own."""
_CHECKING = {
    "locked": "a lifter made solid for checking",
    "solid": "a solid checking lifter",
    "hydraulic": "a hydraulic lifter",
}


def stand_ins(facts: Facts, subject: Subject) -> Value:
    """Number of checking parts (springs, lifter) that were fitted in the trial that is judged.

    ``a solid checking lifter`` is one in an engine that runs on hydraulic lifters.
    """
    trial = last_marked(trials(facts, subject))
    if not trial.springs or not trial.lifter:
        raise Undecided("springs and lifter used while measuring are missing in marks.yaml", (trial.place,))
    runs = "hydraulic" if facts.is_hydraulic else "solid"
    fitted = ["checking springs"] if trial.springs == "checking" else []
    fitted += [_CHECKING.get(trial.lifter, trial.lifter)] if trial.lifter != runs else []
    wrong = " and ".join(fitted)
    remark = f"last trial made with {wrong}, not with the final ones" if fitted else "yes"
    return Value(float(len(fitted)), "count", {}, (trial.place,), remark)


def crank_turns(facts: Facts, subject: Subject) -> Value:
    """Turns of the crank made for the mark that is judged."""
    trial = last_mark(facts, subject)
    if trial.crank_turns is None:
        raise Undecided("turns_of_crank is missing in marks.yaml", (trial.place,))
    return trial.crank_turns


def edges_of(facts: Facts, subject: Subject, trial: Trial) -> tuple[Value, Value]:
    """The edges of one trial's mark. Raises NotApplicable or Undecided where there is none to go by."""
    refuse_unmarked(facts, subject, trial)
    if trial.predicted:
        return facts.get("predicted_mark_near", subject), facts.get("predicted_mark_far", subject)
    assert trial.mark is not None
    return trial.mark


def direction(off_centre: float) -> str:
    """In which direction a mark lies off the tip centre, m; empty if it is centred."""
    return "" if abs(off_centre) < _CENTRED else ("away from the pivot" if off_centre > 0 else "towards the pivot")
