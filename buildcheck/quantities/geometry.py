"""Named quantities of the rocker's geometry: how far from mid-lift, and what would cure it."""

from __future__ import annotations

from collections.abc import Iterator

from buildcheck.build.changes import pivot_is_free as pivot_is_free
from buildcheck.build.facts import Facts
from buildcheck.build.trials import (
    KEEP_BOTH,
    LINES,
    Trial,
    is_hydraulic,
    mark_slip,
    refuse_contact,
    same_type,
    trials,
    why_no_length,
)
from buildcheck.core.problem import Place
from buildcheck.core.subject import Subject
from buildcheck.core.value import NotApplicable, Undecided, Value, derive, exact, remarks, with_uncertainty
from buildcheck.formulas import height_fit as fitting
from buildcheck.formulas import linkage, mark, pad_tip, rocker
from buildcheck.quantities.base_circle_window import refuse_off_heel
from buildcheck.quantities.marks import is_roller, offset_of, tip_diameter, width_of
from buildcheck.quantities.valvetrain import gross_lift
from buildcheck.units.quantity import show

INCLINATION_SHARE = 0.05
"""Expanded share by which an unknown pushrod inclination can shift the length a height asks for (ordinary case)."""

INCLINATION_UNTOLD = "pushrod inclination not entered: a turn may change the preload by 5 % more or less"

LEAST_STANDARD = 5e-6
"""Standard uncertainty (m) taken for readings that state none, so that trials can be weighed at all."""

TWO_HEIGHTS = (
    "the earlier trials fit two different pivot heights: take the last mark again, or read the contact lines with "
    "the valve closed and at full lift"
)
READ_CONTACTS = "this mark does not show it: read the contact lines with the valve closed and at full lift"


class OutOfReach(Undecided):
    """No height of the pivot brings the mark to the middle."""


def mark_width_least(facts: Facts, subject: Subject) -> Value:
    """The narrowest mark that a roller tip can leave, m."""
    _roller_only(facts)
    arm, lift = facts.field("rockers.valve_arm"), gross_lift(facts, subject)
    return derive("length", rocker.mark_width_least, arm, lift)


def fit(facts: Facts, subject: Subject) -> fitting.Fit:
    """All trials of a valve with a roller tip, fitted together."""
    found: fitting.Fit = facts.once(("fit", subject), lambda: _fit(facts, subject))
    return found


def _fit(facts: Facts, subject: Subject) -> fitting.Fit:
    refuse_contact(facts, subject)
    if not any(trial.shows_height_error for trial in fitted_trials(facts, subject)):
        places = tuple(trial.place for trial in trials(facts, subject))
        raise Undecided(_left_out(facts, subject) or KEEP_BOTH, places)
    return fitting.fit_trials(readings(facts, subject), roller(facts, subject))


def height_error(facts: Facts, subject: Subject) -> Value:
    """How far the pivot sits below its best height, m: positive too low; its sign may stay unknown."""
    _roller_only(facts)
    places = tuple(trial.place for trial in trials(facts, subject))
    if not any(trial.mark or trial.contacts for trial in trials(facts, subject)):
        raise _no_height_reason(facts, subject, places)
    try:
        found = fit(facts, subject)
    except ValueError as error:
        raise Undecided(str(error), places) from error
    if found.inconsistent:
        raise Undecided(
            "the trials disagree: a pushrod was not seated, or the lifter was off the base circle; measure again",
            places,
        )
    if found.lower_bound:
        raise Undecided("the mark ran off the tip: the height error is large, its size is unknown", places)
    low, best, high = _span(found.solutions)
    one_height = found.sign_known or low < 0 < high or len(found.solutions) == 1
    if not (one_height or _mirrored(*found.solutions)):
        raise Undecided(TWO_HEIGHTS, places)
    q = best if one_height else abs(best)
    spread = max(high - best, best - low) / 2
    return Value(
        q,
        "length",
        {f"the fit of the trials of {subject.text}": spread},
        places,
        remarks(_left_out(facts, subject), *_lone_lines(facts, subject)),
        one_height,
    )


def _span(solutions: tuple[fitting.Solution, ...]) -> tuple[float, float, float]:
    """Low end, best and high end: of the best solution, or of both where they all but meet at zero."""
    best, low, high = solutions[0], min(s.low for s in solutions), max(s.high for s in solutions)
    inner = max(s.low for s in solutions) - min(s.high for s in solutions)
    if low < 0 < high and inner < min(s.high - s.low for s in solutions) / 2:
        return low, (low + high) / 2, high
    return best.low, best.q, best.high


def _mirrored(one: fitting.Solution, other: fitting.Solution) -> bool:
    """Whether two solutions are one magnitude of unknown sign: the last trial's own width leaves no others."""
    return one.low <= -other.q <= one.high and other.low <= -one.q <= other.high


def signed_height_error(facts: Facts, subject: Subject) -> Value:
    """The height error where its sign can be told; else Undecided, saying which reading would."""
    q = facts.get("height_error", subject)
    if not q.sign_known and abs(q.si) > q.expanded:
        raise Undecided(READ_CONTACTS, q.places)
    return q


def length_per_height(facts: Facts, subject: Subject) -> Value:
    """Pushrod length for each unit of pivot height: 1 + 1/R, or exact with lean and inclination given."""
    return _inclined(facts, derive("ratio", linkage.length_per_height, *_slants(facts, subject)))


def _slants(facts: Facts, subject: Subject) -> tuple[Value, Value, Value]:
    """Rocker ratio, stud lean and pushrod inclination, upright where not written."""
    upright = exact(0.0, "angle")
    lean, inclination = facts.optional("rockers.stud_lean"), facts.optional("pushrods.inclination")
    return facts.field("rockers.ratio", subject), lean or upright, inclination or upright


def _inclined(facts: Facts, value: Value) -> Value:
    """The same value, less sure where the pushrod's inclination is not written."""
    unknown = 0.0 if facts.node("pushrods.inclination") is not None else INCLINATION_SHARE * abs(value.si)
    return with_uncertainty(value, unknown, "pushrod inclination not given")


def length_change_for_mark(facts: Facts, subject: Subject) -> Value:
    """Change of pushrod length that the mark asks for on a stud with nut, m: longer positive."""
    if not pivot_is_free(facts):
        raise NotApplicable("the pivot height is fixed: a shim moves this mark, a pushrod does not")
    refuse_off_heel(facts, subject)
    factor = length_per_height(facts, subject)
    if is_roller(facts):
        return derive("length", lambda q, f: q * f, signed_height_error(facts, subject), factor)
    return derive("length", lambda t, f: t * f, pad_tip_raise(facts, subject), factor)


def pad_tip_raise(facts: Facts, subject: Subject) -> Value:
    """Height by which to raise the pivot to centre a pad tip's mark, m; where none does, to bring it nearest."""
    found: Value = facts.once(
        ("pad raise", subject), lambda: derive("length", pad_tip.pad_tip_rise_to_centre, *_pad_tip_mark(facts, subject))
    )
    return found


def refuse_out_of_reach(facts: Facts, subject: Subject) -> None:
    """Raises OutOfReach where no height of the pivot is sure to bring a pad tip's mark to the middle."""
    mark = _pad_tip_mark(facts, subject)
    farthest = derive("length", _pad_tip_farthest, *mark)
    if farthest.si - farthest.expanded < 0 and abs(mark[3].si) > mark[3].expanded:
        most = show(max(farthest.si - mark[3].si, 0.0), "length", facts.system)
        what = "pushrod length" if pivot_is_free(facts) else "shim"
        sure = "centres" if farthest.si < 0 else "is sure to centre"
        raise OutOfReach(f"no {what} {sure} this mark: raising the pivot moves it by at most {most}", mark[3].places)


def _pad_tip_farthest(valve_arm: float, lift: float, width: float, centre: float, lean: float) -> float:
    return pad_tip.pad_tip_centre(
        valve_arm, lift, width, centre, lean, pad_tip.pad_tip_rise_to_farthest(valve_arm, lift, width, centre, lean)
    )


def _pad_tip_mark(facts: Facts, subject: Subject) -> tuple[Value, ...]:
    """What the place of a pad tip's mark at another height of the pivot is reckoned from."""
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
    """Shim for the mark under a fixed rocker, m; negative: metal off, or a lash cap of as much."""
    if pivot_is_free(facts):
        raise NotApplicable("the nut sets the pivot height: the pushrod length moves the mark")
    if not is_roller(facts):
        refuse_out_of_reach(facts, subject)
        return pad_tip_raise(facts, subject)
    return signed_height_error(facts, subject)


def preload_per_turn(facts: Facts, subject: Subject) -> Value:
    """Plunger travel for one turn of the adjuster past zero lash, m: a nut lowers the pivot, a screw is the rod's."""
    adjuster = facts.text("rockers.adjuster")
    if adjuster == "none":
        raise NotApplicable("there is no adjuster")
    pitch = facts.pitch("rockers.adjuster_thread")
    return _pulled_down(facts, subject, pitch) if adjuster == "nut" else pitch


def preload_by_bolt(facts: Facts, subject: Subject) -> Value:
    """Preload that a pedestal's bolt tells, m: its turns from zero lash to seated, by what each takes up."""
    turns = facts.optional("rockers.bolt_turns")
    if turns is None or not is_hydraulic(facts):
        raise NotApplicable("no bolt_turns are entered" if turns is None else "solid lifters have lash, not preload")
    per_turn = _pulled_down(facts, subject, facts.pitch(holding_thread(facts)))
    remark = remarks(f"{turns.si:g} turns of the bolt", per_turn.remark)
    return derive("length", lambda n, each: n * each, turns, per_turn, remark=remark)


def holding_thread(facts: Facts) -> str:
    """The field that names the thread of the nut or bolt that holds the rocker; an adjusting screw holds nothing."""
    return "rockers.bolt_thread" if facts.text("rockers.adjuster") == "screw" else "rockers.adjuster_thread"


def _pulled_down(facts: Facts, subject: Subject, pitch: Value) -> Value:
    """Plunger travel for one turn that lowers the pivot, m."""
    upright = "" if facts.node("pushrods.inclination") is not None else INCLINATION_UNTOLD
    return _inclined(facts, derive("length", linkage.preload_per_turn, pitch, *_slants(facts, subject), remark=upright))


def _roller_only(facts: Facts) -> None:
    if not is_roller(facts):
        raise NotApplicable("a pad tip has no narrowest mark: its mark is centred")


def _no_height_reason(facts: Facts, subject: Subject, places: tuple[Place, ...]) -> Exception:
    others = (trial for other in same_type(facts, subject) if other != subject for trial in _trials_of(facts, other))
    lone = "".join(f"; {line}" for line in _lone_lines(facts, subject))
    if any(trial.mark or trial.contacts for trial in others):
        return NotApplicable(f"no mark was taken, assumed to match the marked valves of its type{lone}")
    return Undecided(f"no trial has a mark{lone}", places)


def _trials_of(facts: Facts, subject: Subject) -> tuple[Trial, ...]:
    try:
        return trials(facts, subject)
    except (NotApplicable, Undecided):
        return ()


def roller(facts: Facts, subject: Subject) -> fitting.Roller:
    """What is known of a valve's rocker, for the fit."""
    band = facts.optional("marks.contact_band")
    return fitting.Roller(
        valve_arm=facts.field("rockers.valve_arm").si,
        lift=gross_lift(facts, subject).si,
        length_per_height=length_per_height(facts, subject).si if pivot_is_free(facts) else None,
        contact_band=band.si if band is not None else None,
        u_band=band.expanded / 2 if band is not None else 0.0,
    )


def reference_trial(facts: Facts, subject: Subject) -> Trial:
    """The trial of whose height and length all speaks that is asked for: the last.

    Under a nut the last with a length; with a plain tip there, one whose mark is as wide as its sweep goes before.
    """
    own = trials(facts, subject)
    if not pivot_is_free(facts):
        return own[-1]
    candidates = [trial for trial in own if trial.length is not None]
    if not candidates:
        raise why_no_length(own)
    wide = [] if is_roller(facts) else [trial for trial in candidates if trial.width_counts]
    return (wide or candidates)[-1]


def fitted_trials(facts: Facts, subject: Subject) -> list[Trial]:
    """The trials that are fitted: those with a mark or contact lines, and the last, of which the answer speaks.

    Where the length moves the pivot, one whose length cannot be held against the last's tells nothing.
    """
    free, last = pivot_is_free(facts), reference_trial(facts, subject)
    candidates = [trial for trial in trials(facts, subject) if trial.mark or trial.contacts or trial is last]
    return [trial for trial in candidates if not free or trial.length is not None]


def _left_out(facts: Facts, subject: Subject) -> str:
    """Says which trials with a reading the fit does without."""
    fitted = fitted_trials(facts, subject)
    read = [trial for trial in trials(facts, subject) if trial.mark or trial.contacts]
    numbers = " and ".join(str(trial.number) for trial in read if trial not in fitted)
    return f"trial {numbers} not used: it lacks length or lifter_cup_height" if numbers else ""


def _lone_lines(facts: Facts, subject: Subject) -> Iterator[str]:
    """Says which contact lines are written without the other one, which tells nothing."""
    for trial in trials(facts, subject):
        if trial.lone_line:
            [other] = set(LINES) - {trial.lone_line}
            yield f"{trial.lone_line} of trial {trial.number} not used: {other} is missing"


def readings(facts: Facts, subject: Subject) -> list[fitting.Trial]:
    """The trials of in_fit, for the fit. Raises Undecided where the mark of one of them cannot be."""
    tip, own = tip_diameter(facts, subject).si, fitted_trials(facts, subject)
    for trial in own:
        if trial.mark is not None and (slip := mark_slip(facts, subject, trial.mark)) is not None:
            raise slip
    return [_reading(trial, tip) for trial in own]


def _reading(trial: Trial, tip: float) -> fitting.Trial:
    read = [value for pair in (trial.mark, trial.contacts) if pair for value in pair]
    edges = (trial.mark[0].si, trial.mark[1].si) if trial.mark is not None and trial.width_counts else None
    return fitting.Trial(
        length=trial.length.si if trial.length is not None else 0.0,
        mark=edges,
        contacts=(trial.contacts[0].si, trial.contacts[1].si) if trial.contacts else None,
        u_edge=max([LEAST_STANDARD, *(value.expanded / 2 for value in read)]),
        u_length=trial.length.expanded / 2 if trial.length is not None else 0.0,
        shim=trial.pivot_height.si,
        u_shim=trial.pivot_height.expanded / 2,
        lift_less=trial.lift_less.si,
        at_edge=edges is not None and mark.reaches_edge(*edges, tip),
    )
