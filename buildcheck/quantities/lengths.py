"""Named quantities of pushrod lengths, all in the convention of ``measured_as``: zero lash, asked, chosen, preload."""

from __future__ import annotations

from buildcheck.build.facts import Facts
from buildcheck.build.length_conventions import plus
from buildcheck.build.repeats import REPEATABILITY
from buildcheck.build.stand_in_lifters import cup_step
from buildcheck.build.trial import Trial
from buildcheck.build.trials import last_with_length, same_type, trials, why_no_length
from buildcheck.core.subject import Subject
from buildcheck.core.value import NotApplicable, Undecided, Value, derive, difference, remarks, with_uncertainty
from buildcheck.formulas import pushrod_length as rods
from buildcheck.formulas.sample import deviation_of, median_of
from buildcheck.quantities.base_circle_window import refuse_off_heel
from buildcheck.quantities.height_trials import reference_trial
from buildcheck.quantities.warm_engine import lash_at_assembly
from buildcheck.units.quantity import show

NO_SCREW_AT = "screw_at is not entered: the screw is assumed to be at its required position"

NO_REPEAT = "zero lash was not found with the shim of the last trial: find it with this shim"


def zero_lash_length(facts: Facts, subject: Subject) -> Value:
    """Length of the checking pushrod at which the clearance is just gone on the base circle, m; fixed mounts only.

    Trials with the shim of the last one are repeats: the result is their mean, on the lifter of the last trial with a
    length. A repeat on another lifter of unknown height is left out. The standard deviation of the mean is part of the
    uncertainty, unless the repeatability of the shop is known, which each reading then has already.
    """
    lengths = [_length(trial) for trial in _repeats(facts, subject)]
    share = 1 / len(lengths)
    total = derive("length", lambda *each: sum(each) * share, *lengths)
    known = all(any(source.endswith(REPEATABILITY) for source in length.parts) for length in lengths)
    spread = (
        deviation_of([value.si for value in lengths]) / len(lengths) ** 0.5 if len(lengths) > 1 and not known else 0.0
    )
    return with_uncertainty(total, 2 * spread, f"spread of trials {subject.key}")


def repeat_range(facts: Facts, subject: Subject) -> Value:
    """Range of the lengths that the zero-lash length is the mean of, m: the longest less the shortest."""
    ranked = sorted(_repeats(facts, subject), key=lambda trial: _length(trial).si)
    if len(ranked) < 2:
        raise NotApplicable("zero lash was found at one length only")
    apart = difference(_length(ranked[-1]), _length(ranked[0]), "")
    ends = sorted((ranked[0], ranked[-1]), key=lambda trial: trial.number)
    suspect = _suspect(facts, subject, ends) if apart.si > 3 * apart.expanded else None
    return apart.with_remark(", ".join(_reading_shown(facts, subject, one, suspect) for one in ends))


def _reading_shown(facts: Facts, subject: Subject, trial: Trial, suspect: Trial | None) -> str:
    """A trial's length, and whether the other valves of the type support it."""
    support = "is suspect" if trial is suspect else f"agrees with the other {subject.valve} valves"
    text = f"trial {trial.number} at {show(_length(trial).si, 'length', facts.system)}"
    return f"{text} {support}" if suspect else text


def _suspect(facts: Facts, subject: Subject, ends: list[Trial]) -> Trial | None:
    """Of two readings that disagree, the one that the other valves of the type do not support; None if unclear."""
    known = (facts.get_or_none("zero_lash_length", other) for other in same_type(facts, subject) if other != subject)
    others = sorted(value.si for value in known if value is not None)
    if len(others) < 2:
        return None
    near, far = sorted(ends, key=lambda trial: abs(_length(trial).si - median_of(others)))
    away, off = (abs(_length(trial).si - median_of(others)) for trial in (near, far))
    return far if off > 3 * away and off > others[-1] - others[0] else None


def zero_lash_length_to_run(facts: Facts, subject: Subject) -> Value:
    """Zero-lash length with the lifter to be run, m: corrected for the cup height of the checking lifter."""
    cup = cup_difference(facts, subject)
    return plus(facts.get("zero_lash_length", subject), cup).with_remark(cup.remark)


def cup_difference(facts: Facts, subject: Subject) -> Value:
    """Cup height of the lifter of the last trial with a length, less that of the one to be run, m."""
    return cup_step(facts, last_with_length(facts, subject))


def preload_aim(facts: Facts) -> Value:
    """Preload to aim at, m: the middle of the maker's range where no aim is written."""
    if (aim := facts.optional("cam.lifter.preload.aim")) is not None:
        return aim
    sides = facts.field("cam.lifter.preload.at_least"), facts.field("cam.lifter.preload.at_most")
    return derive("length", lambda low, high: (low + high) / 2, *sides)


def adjuster_turns(facts: Facts, subject: Subject) -> Value | None:
    """Turns past zero lash given to the adjuster: as built, else as planned, else none are written."""
    return facts.optional("as_built.each.adjuster_turns", subject) or facts.optional("rockers.adjuster_turns")


def length_asked(facts: Facts, subject: Subject) -> Value:
    """Required pushrod length, m, preload or lash included.

    It is the measured length, corrected for the mark and for the lifter to be run.
    """
    if not facts.pivot_is_free:
        return length_with_trial(facts, subject, facts.get("zero_lash_length", subject))
    return length_with_trial(
        facts, subject, plus(last_length(facts, subject), facts.get("length_change_for_mark", subject))
    )


def length_with_trial(facts: Facts, subject: Subject, measured: Value) -> Value:
    """Required length from a zero-lash length, m: with the lifter's cup, the screw's position, then preload or lash."""
    cup = cup_difference(facts, subject)
    remark = remarks(cup.remark, NO_SCREW_AT if screw_at_missing(facts) else "")
    if facts.text("rockers.adjuster") == "screw" and (stood := facts.optional("rockers.screw_at")) is not None:
        measured = plus(measured, stood)
    if facts.is_hydraulic:
        preload = preload_in_required_length(facts, subject)
        sides = measured, cup, preload
        return derive("length", lambda length, c, p: rods.length_asked(length, 0.0, c, p), *sides, remark=remark)
    lash, ratio = lash_at_assembly(facts, subject), facts.field("rockers.ratio", subject)
    return derive(
        "length",
        lambda length, c, at_valve, r: rods.length_asked(length, 0.0, c, 0.0, at_valve, r),
        measured, cup, lash, ratio,
        remark=remarks(remark, lash.remark),
    )  # fmt: skip


def screw_at_missing(facts: Facts) -> bool:
    """Whether nobody wrote where the rockers' screws stood while measuring: they are taken to have stood right."""
    adjuster = facts.node("rockers.adjuster")
    return adjuster is not None and adjuster.value == "screw" and facts.node("rockers.screw_at") is None


def preload_in_required_length(facts: Facts, subject: Subject) -> Value:
    """Preload that the length asked leaves room for, m: what the adjuster's turns give, else the aim."""
    turns = adjuster_turns(facts, subject)
    return turned(facts, subject, turns) if turns is not None else preload_aim(facts)


def last_length(facts: Facts, subject: Subject) -> Value:
    """The length of the trial with the mark that gives the change of length, m; under a nut only."""
    refuse_off_heel(facts, subject)
    return _length(reference_trial(facts, subject))


def rod_tolerance(facts: Facts) -> float:
    """The rods' own length tolerance, m (expanded)."""
    tolerance = facts.optional("pushrods.length_tolerance")
    return tolerance.si if tolerance is not None else 0.0


def turned(facts: Facts, subject: Subject, turns: Value) -> Value:
    per_turn = facts.get("preload_per_turn", subject)
    return derive("length", lambda n, each: n * each, turns, per_turn, remark=per_turn.remark)


def _repeats(facts: Facts, subject: Subject) -> list[Trial]:
    """The trials over the shim of the last one with lengths that can be compared with each other."""
    if facts.pivot_is_free:
        raise NotApplicable("on a stud with a nut the length sets the mark, so there is no single zero-lash length")
    refuse_off_heel(facts, subject)
    valve_trials = trials(facts, subject)
    read = [trial for trial in valve_trials if trial.length is not None and not trial.predicted]
    known = [trial for trial in read if abs(trial.shim.si - valve_trials[-1].shim.si) < 1e-9]
    if not known:
        nowhere = last_with_length(facts, subject).length is None
        raise why_no_length(valve_trials) if nowhere else Undecided(NO_REPEAT, (valve_trials[-1].place,))
    return known


def _length(trial: Trial) -> Value:
    assert trial.length is not None
    return trial.length
