"""Verdict, order and findings in words, the same in every output."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import groupby

from buildcheck.app.build_check import CheckedBuild
from buildcheck.app.run import MAX_NAMED
from buildcheck.build.acceptance_record import RECORD
from buildcheck.build.build_folder import STAGES
from buildcheck.build.facts import Facts
from buildcheck.core.concession import Concession
from buildcheck.core.listing import first_names
from buildcheck.core.plural import counted, verb
from buildcheck.core.subject import BUILD, Subject
from buildcheck.core.value import NotApplicable, Undecided
from buildcheck.ordering.assumed_risk import assumed_groups, known_order_risk
from buildcheck.ordering.order import OrderLine
from buildcheck.output.finding_wording import Group
from buildcheck.output.loosened import loosened_limits
from buildcheck.rules.results import Result
from buildcheck.units.display import percent_above
from buildcheck.units.quantity import show

CHANCE = "chance that any unmeasured valve needs another length"

_READY = {
    "planning": "Ready to measure",
    "measuring": "Nothing blocks so far",
    "ordering": "Ready to order",
    "assembled": "Assembled, all rules met",
    "closed": "Closed, all rules met",
}


def verdict_text(checked: CheckedBuild, errors: int = 0) -> str:
    """One sentence: ready for what, or what is missing, and how many concessions that rests on.

    What is missing is counted in checks; in ``errors`` where these are shown, one line for each cause.
    """
    used = {result.concession for result in checked.unmet if result.concession is not None}
    return _judged(checked, errors) + (f", with {counted(len(used), 'concession')}" if used else "")


def acceptance_text(checked: CheckedBuild) -> str:
    """Since when the build is accepted, and what has changed since then; empty if it never was."""
    accepted = checked.acceptance
    if accepted is None:
        return ""
    if accepted.edited:
        return f"{RECORD}.yaml was edited or cannot be read: it does not count, and the build is judged in full"
    if accepted.is_new:
        return f"{RECORD}.yaml is new in this change: it counts from the next one on, and the build is judged in full"
    on = accepted.accepted_on
    if accepted.inside:
        return f"The acceptance of {on} no longer counts: {first_names(accepted.inside, MAX_NAMED)} changed since"
    if not checked.informing:
        full = "" if checked.verdict == "pass" else ", and judged in full here"
        return f"Accepted on {on}{full}"
    errors = "".join(f". {problem.path}: {problem.message}" for problem in accepted.problems[:1])
    would = f"{counted(checked.informing, 'check')} would block it today, after changes outside its folder"
    return f"{would}: {first_names(accepted.outside, MAX_NAMED)}{errors}"


def conceded_text(concession: Concession) -> str:
    """Who accepted it, up to what, and why."""
    return f"conceded by {concession.accepted_by} up to {concession.up_to}, because {concession.because}"


def _judged(checked: CheckedBuild, errors: int) -> str:
    if checked.problems:
        return f"Cannot be judged because of {counted(len(checked.problems), 'error')}"
    blocking = [result for result in checked.unmet if result.blocks]
    if not blocking:
        if checked.acceptance is not None and checked.informing:
            return f"Accepted on {checked.acceptance.accepted_on}"
        return _READY[checked.options.stage]
    not_ready = {"ordering": "Not ready to order", "planning": "Not ready to measure"}.get(
        checked.options.stage, "Not accepted"
    )
    counts = counted(errors, "error") if errors else _checks_counted(blocking)
    return f"{not_ready}: {counts}"


def _checks_counted(blocking: list[Result]) -> str:
    failed = sum(result.kind == "fail" for result in blocking)
    undecided = len(blocking) - failed
    parts = [f"{counted(failed, 'check')} failed"] if failed else []
    parts += [f"{undecided if failed else counted(undecided, 'check')} undecided"] if undecided else []
    return " and ".join(parts)


def order_text(checked: CheckedBuild) -> str:
    """The order in one clause, empty while there is none."""
    lines = [line_text(line, checked.facts.system) for line in checked.order.lines]
    so_far = "" if checked.options.is_due("ordering") else ". Order so far"
    return f"{so_far}: {'; '.join(lines)}" if lines and checked.may_order else ""


def risk_shown(checked: CheckedBuild) -> str:
    """How likely a pushrod does not suit an assumed valve; empty if none is assumed or it cannot be determined."""
    risk = known_order_risk(checked.facts)
    return f"{CHANCE}: below {percent_above(risk)}" if risk is not None else ""


def risk_freedom_shown(checked: CheckedBuild) -> str:
    """How many degrees of freedom stand behind the difference between valves, and how many the shop gave."""
    shown: list[str] = []
    for group in {one.valve: one for one in assumed_groups(checked.facts)}.values():
        shop = f", {group.usual_freedom:.0f} from the shop" if group.usual_freedom else ""
        freedom = round(group.freedom)
        amount = str(freedom) if shown else f"{counted(freedom, 'degree')} of freedom"
        shown.append(f"{amount} ({group.valve}{shop})")
    return " and ".join(shown)


def line_text(line: OrderLine, system: str) -> str:
    """One order line in words: ``12 pushrods + 1 spare of 9.500 in (gauge length)``."""
    spares = f" + {counted(line.spares, 'spare')}" if line.spares else ""
    made = "" if line.length.stock else " made to length"
    stated = show(line.length.stated, "length", system)
    return f"{counted(line.count, 'pushrod')}{spares} of {stated}{made} ({line.length.convention})"


def level_text(result: Result) -> str:
    """``error`` for what blocks, ``warning`` for a failed warning, else ``note``."""
    if result.blocks:
        return "error"
    warns = result.kind == "fail" and result.level == "warning" and result.concession is None
    return "warning" if warns or result.accepted else "note"


def message_text(result: Result, message: str) -> str:
    """A result's message, headed by who conceded it or by its stage where it is not due."""
    if result.accepted:
        return f"accepted before: {message}"
    if result.concession is not None:
        return f"{conceded_text(result.concession)}: {message}"
    return message if result.due_now else f"from stage '{result.due}' on: {message}"


def finding_text(group: Group) -> str:
    """Whom it is about and the message, on subjects alike once."""
    who = subjects_text(group.subjects)
    text = message_text(group.first, group.message)
    return f"{who}: {text}" if who else text


def outcome_text(checked: CheckedBuild, errors: int = 0, action: str = "") -> str:
    """The last word on a build: its verdict, the order, and what else must be known before anybody acts on it."""
    parts = [f"{verdict_text(checked, errors)}{order_text(checked)}", action]
    if not checked.problems:
        parts += [*_supplier(checked), acceptance_text(checked), *_warnings(checked), *_assumed(checked)]
        parts += [*_to_come(checked), *_loosened(checked)]
    return ". ".join(filter(None, parts))


def _supplier(checked: CheckedBuild) -> Iterator[str]:
    """That a supplier may state lengths in another way."""
    if checked.order.lines and checked.may_order and checked.options.stage == "ordering":
        conventions = " and ".join(sorted({f"{line.length.convention}s" for line in checked.order.lines}))
        confirm = f"Before you order, ask the supplier to confirm that their lengths are {conventions}"
        yield f"{confirm} ('report --order' writes the question to send)"


def _warnings(checked: CheckedBuild) -> Iterator[str]:
    """How many warnings there are, each subject counted."""
    number = sum(level_text(result) == "warning" and result.due_now for result in checked.unmet)
    if number and checked.verdict == "pass":
        them, do = ("it", "does") if number == 1 else ("them", "do")
        yield f"{counted(number, 'warning')} that {do} not block: resolve {them} first if you can"


def _to_come(checked: CheckedBuild) -> Iterator[str]:
    """Checks that fail from a later stage on, and checks that await readings; a measured failure never awaits one."""
    later = [result for result in checked.unmet if not result.due_now and result.concession is None]
    fails = [one for one in later if one.kind == "fail" and one.level == "error" and one.value_is_measured]
    for stage in (stage for stage in STAGES if any(one.due == stage for one in fails)):
        number = sum(one.due == stage for one in fails)
        yield f"{counted(number, 'check')} {verb(number, 'fail')} from stage '{stage}' on"
    if waiting := sum(result.waits for result in later):
        them = "it" if waiting == 1 else "them"
        checks = f"{counted(waiting, 'other check')} {verb(waiting, 'come')} at later stages"
        yield f"{checks}. To list {them}, run 'check --stage {STAGES[-1]}' ('{STAGES[-1]}' is the last stage)"


def _assumed(checked: CheckedBuild) -> Iterator[str]:
    """How many valves are in the order without having been measured."""
    lines = checked.order.lines
    assumed, everyone = sum(len(line.assumed) for line in lines), sum(line.count for line in lines)
    if assumed and checked.may_order:
        risk = risk_shown(checked)
        chance = f" ({risk}{_allowed(checked.facts)})" if risk else ""
        are, they = ("is", "it is") if assumed == 1 else ("are", "they are")
        yield f"{assumed} of {everyone} valves {are} not measured; {they} assumed to match the others{chance}"


def _allowed(facts: Facts) -> str:
    """Up to which chance an order may rest on assumed valves; empty if no rule sets that limit."""
    try:
        return f", allowed up to {percent_above(facts.bound('assumed_risk_limit', BUILD).si)}"
    except (NotApplicable, Undecided):
        return ""


def _loosened(checked: CheckedBuild) -> Iterator[str]:
    """The limits that are loosened, each with its reason."""
    found = loosened_limits(checked)
    if found:
        yield f"{counted(len(found), 'limit')} loosened: {'; '.join(one.text for one in found)}"


def subjects_text(subjects: Iterable[Subject]) -> str:
    """One subject in words, several gathered: ``intake 1, 3; exhaust 1``, valve types ``intake and exhaust``."""
    found = sorted(subjects, key=lambda subject: (subject.order[1], subject.order[0]))
    if len(found) == 1:
        return found[0].text
    if len({one.cylinder for one in found}) == 1 and found[0].cylinder is not None:
        return f"cylinder {found[0].cylinder} {' and '.join(one.valve or '' for one in found)}"
    groups = [
        (valve, list(of_type)) for valve, of_type in groupby(found, key=lambda subject: subject.valve or "cylinder")
    ]
    between = " and " if all(subject.cylinder is None for subject in found) else "; "
    return between.join(" ".join([valve, _cylinders(of_type)]).strip() for valve, of_type in groups)


def _cylinders(subjects: list[Subject]) -> str:
    return ", ".join(str(one.cylinder) for one in subjects if one.cylinder is not None)
