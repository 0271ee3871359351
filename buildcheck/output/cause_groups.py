"""Findings grouped by their cause: a consequence is folded under it, and valves with the same problem are one group."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from buildcheck.advice.valve_advice import advise
from buildcheck.app.build_check import CheckedBuild
from buildcheck.build.build_folder import STAGES
from buildcheck.core.plural import counted
from buildcheck.core.reason import MissingInput, underlying
from buildcheck.core.subject import Subject
from buildcheck.core.value import NotApplicable, Undecided
from buildcheck.output.correction_wording import as_sentence, fix_text, repair
from buildcheck.output.finding_wording import fact, in_sentence, message
from buildcheck.output.wording import conceded_text, level_text, subjects_text
from buildcheck.record import Record
from buildcheck.rules.judging import blocks_when_due
from buildcheck.rules.results import Result

MARKS = "marks"
"""The area of the rules on marks."""
_SHOWN = 3
"""So many titles are shown; the rest is counted."""


class CauseGroup(Record):
    """One problem: the worst of the results that show it, the subjects that have it, and all rules that it concerns.

    ``members`` are the results themselves, consequences included.
    """

    lead: Result
    subjects: tuple[Subject, ...]
    rules: tuple[str, ...]
    blocks: bool
    members: tuple[Result, ...]

    @property
    def level(self) -> str:
        """The level shown: ``error`` if the lead or a consequence blocks."""
        return "error" if self.blocks else level_text(self.lead)

    @property
    def rules_text(self) -> str:
        """The rule of the cause, and how many more it concerns, such as ``RULE +6 rules``."""
        first, *others = self.rules
        return f"{first} +{counted(len(others), 'rule')}" if others else first


def cause_groups(checked: CheckedBuild) -> list[CauseGroup]:
    """All findings of a build in groups: what blocks first, of that what failed and is due earliest, then by place."""
    groups: dict[tuple[object, ...], list[Result]] = {}
    for result in checked.unmet:
        if result.is_finding:
            groups.setdefault(_problem(checked, _root(checked, result)), []).append(result)
    found = [_group(checked, members) for members in groups.values()]
    return sorted(found, key=_order)


def _order(group: CauseGroup) -> tuple[object, ...]:
    lead = group.lead
    urgency = (lead.kind != "fail", STAGES.index(lead.due)) if group.blocks else ()
    return (not group.blocks, urgency, lead.place, lead.rule)


def group_text(checked: CheckedBuild, group: CauseGroup) -> str:
    """What was found, on which subjects, and that it does not block, or only from which stage on."""
    lead = group.lead
    who = subjects_text(group.subjects)
    if len(group.subjects) > 1 and lead.value_is_measured and lead.margin is not None:
        others = _others(lead.subject, group.subjects)
        who = f"{lead.subject.text} (worst; {f'{others} failing too' if lead.kind == 'fail' else f'also {others}'})"
    found = f"{fact(checked, lead)}{_also_missing(group)}"
    text = f"{who}: {found}" if who else found
    if lead.concession is not None:
        text = f"{text.rstrip('.')}. {as_sentence(conceded_text(lead.concession))}"
    if lead.concession is not None or (lead.due_now and group.level != "note"):
        return text
    return f"{text.rstrip('.')}. {_whether_it_blocks(checked, lead)}"


def _others(worst: Subject, subjects: Sequence[Subject]) -> str:
    """The subjects that a finding does not show, without the cylinder if all have the same."""
    others = [one for one in subjects if one != worst]
    if {one.cylinder for one in subjects} == {worst.cylinder}:
        return " and ".join(str(one.valve) for one in others)
    return subjects_text(others)


def _also_missing(group: CauseGroup) -> str:
    """That the field that the finding names for the valve type of the lead is missing for the other type too."""
    others = sorted({one.valve for one in group.subjects if one.valve} - {group.lead.subject.valve})
    return f". The same is missing for {' and '.join(others)}" if others and _missing_field(group.lead) else ""


def _missing_field(result: Result) -> str:
    """The missing field that a result names, without its valve type; empty if it names none of a valve type."""
    reason, of_type = underlying(result.reason), f".{result.subject.valve}."
    named = reason.named_field if isinstance(reason, MissingInput) else ""
    return named.replace(of_type, ".") if of_type in named else ""


def _whether_it_blocks(checked: CheckedBuild, lead: Result) -> str:
    """That a finding does not block, or only from which stage on."""
    if lead.due_now:
        return "It blocks nothing."
    if blocks_when_due(checked.rules[lead.rule], lead.kind, lead.margin, checked.options):
        return f"It blocks stage '{lead.due}', not {_present(checked)}."
    return f"This counts only from stage '{lead.due}' on and does not block."


def _present(checked: CheckedBuild) -> str:
    """What is due now, in words."""
    return "the order" if checked.options.stage == "ordering" else f"stage '{checked.options.stage}'"


def help_text(checked: CheckedBuild, group: CauseGroup) -> str:
    """What to do about it; empty if nothing is due yet, or if the finding itself names what is missing."""
    lead = group.lead
    is_due = lead.due_now and lead.concession is None and group.level != "note"
    return (_swapped(checked, group) or correction(checked, lead)) if is_due else ""


def effect_text(checked: CheckedBuild, group: CauseGroup) -> str:
    """What else fails or cannot be judged because of the cause, and what it prevents at a later stage."""
    effects = [result for result in group.members if _root(checked, result) is not result]
    if not group.blocks or not effects:
        return ""
    if all(result.kind == "fail" and not result.due_now for result in effects):
        waiting = _titles(checked, effects, "fail")
        return f"Not possible until corrected: {waiting} (needed later, for stage '{effects[0].due}')."
    failed, undecided = (_titles(checked, effects, kind) for kind in ("fail", "open"))
    parts = [f"Also failing: {failed}."] if failed else []
    return " ".join([*parts, f"Not judged until corrected: {undecided}."] if undecided else parts)


def _titles(checked: CheckedBuild, effects: list[Result], kind: str) -> str:
    """The titles of the rules that block with this result, else of the first that has it, and how many more have it."""
    of_kind = [result for result in effects if result.kind == kind]
    rules = list(dict.fromkeys(result.rule for result in of_kind))
    blocking = list(dict.fromkeys(result.rule for result in of_kind if result.blocks))
    shown = [in_sentence(checked.rules[rule].title) for rule in blocking[:_SHOWN] or rules[:1]]
    more = len(rules) - len(shown)
    return "; ".join([*shown, f"and {counted(more, 'more rule')}"] if more else shown)


def correction(checked: CheckedBuild, lead: Result) -> str:
    """The rule's fix; for a mark, what the advice for its own valve says instead of the general repair."""
    of_a_mark = lead.subject.valve is not None and checked.rules[lead.rule].area == MARKS
    repeats = of_a_mark and lead.fix is not None and lead.fix.if_it_repeats
    return fix_text(lead.fix, _advised_repair(checked, lead.subject) if repeats else "")


def _advised_repair(checked: CheckedBuild, subject: Subject) -> str:
    """What the advice for a valve repairs its mark with; empty if there is no such advice."""
    try:
        return repair(advise(checked.facts, subject), checked.facts.system)
    except (NotApplicable, Undecided):
        return ""


def _swapped(checked: CheckedBuild, group: CauseGroup) -> str:
    """What to check if both marks of a cylinder are off to opposite sides, as with swapped rockers; else empty."""
    if checked.rules[group.lead.rule].area != MARKS:
        return ""
    sides: dict[int | None, dict[bool, str | None]] = {}
    for subject in group.subjects:
        offset = checked.facts.get_or_none("mark_offset", subject)
        if offset is not None:
            sides.setdefault(subject.cylinder, {})[offset.si > 0] = subject.valve
    both = [found for found in sides.values() if len(found) > 1]
    if not both:
        return ""
    far, near = both[0][True], both[0][False]
    cylinders = ", ".join(str(cylinder) for cylinder, found in sides.items() if found == both[0])
    return (
        f"The {far} mark is too far from the pivot, the {near} mark too near: are the rockers of cylinder {cylinders} "
        "swapped? If so, put each on its own valve. If not, check both entries. In either case, ink both tips and "
        "measure both valves again."
    )


def _root(checked: CheckedBuild, result: Result) -> Result:
    """The cause of a result, if that is shown too; else the result itself."""
    cause = checked.causes.get((result.rule, result.subject))
    return cause if cause is not None and cause.is_finding else result


def _problem(checked: CheckedBuild, root: Result) -> tuple[object, ...]:
    """What results must share to be one problem.

    Without a measured value the message must be the same; a missing field may be that of the other valve type.
    """
    text = "" if root.value_is_measured else _missing_field(root) or message(checked, root)
    return (root.rule, root.kind, level_text(root), root.due_now, root.concession, text)


def _group(checked: CheckedBuild, members: list[Result]) -> CauseGroup:
    roots = [one for one in members if _root(checked, one) is one]
    lead = min(roots, key=lambda one: (not one.blocks, _margin(one), one.subject.order))
    blocks = any(one.blocks for one in members)
    return CauseGroup(lead, tuple(one.subject for one in roots), tuple(_rules(lead, members)), blocks, tuple(members))


def _margin(result: Result) -> float:
    return result.margin if result.margin is not None else 0.0


def _rules(lead: Result, members: list[Result]) -> Iterator[str]:
    """The lead's rule, then the others that block, then the rest, each once."""
    ranked = sorted(members, key=lambda one: (one.rule != lead.rule, not one.blocks, one.kind != "fail", one.rule))
    yield from dict.fromkeys(one.rule for one in ranked)
