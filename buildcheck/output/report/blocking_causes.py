"""One cause that blocks: the value, its limit, what to do, and the mark drawn on the valve tip."""

from __future__ import annotations

from collections.abc import Iterator

from buildcheck.app.build_check import CheckedBuild
from buildcheck.build.mark_plausibility import last_mark
from buildcheck.core.subject import Subject
from buildcheck.core.value import NotApplicable, Undecided
from buildcheck.output.cause_groups import MARKS, CauseGroup, effect_text, help_text
from buildcheck.output.report.finding_rows import against, cure_text, with_void
from buildcheck.output.tip_drawing import allowed_strip, mark_strip
from buildcheck.output.wording import subjects_text
from buildcheck.quantities.marks import edges_of, tip_diameter
from buildcheck.record import Record


class BlockingCause(Record):
    """One cause: its valves, the required state, lines of value, limit and shortfall, what to do, and a drawing."""

    who: str
    title: str
    verdict: str
    place: str
    link: str
    facts: tuple[str, ...]
    cure: str
    effect: str
    rules: str
    drawing: str


def blocking_cause(checked: CheckedBuild, group: CauseGroup) -> BlockingCause:
    """What the report shows of one group."""
    lead = group.lead
    undecided = lead.kind == "open"
    cure = help_text(checked, group) or cure_text(checked, lead)
    return BlockingCause(
        who=subjects_text(group.subjects) or "the build",
        title=checked.rules[lead.rule].title,
        verdict="undecided" if undecided else "failed",
        place=f"{lead.place.file}:{lead.place.line}",
        link=f"{lead.place.file}#L{lead.place.line}",
        facts=tuple(against(checked, lead)),
        cure=with_void(f"{cure[:1].upper()}{cure[1:]}", lead),
        effect=effect_text(checked, group),
        rules=", ".join(group.rules),
        drawing="\n".join(_drawing(checked, lead.subject)) if checked.rules[lead.rule].area == MARKS else "",
    )


def _drawing(checked: CheckedBuild, subject: Subject) -> Iterator[str]:
    """The last mark of a valve over the zone that its limits allow; nothing without a mark or a limit."""
    facts = checked.facts
    try:
        tip = tip_diameter(facts, subject).si
        low, high = (edge.si for edge in edges_of(facts, subject, last_mark(facts, subject)))
        edge, centre = (facts.bound(name, subject).si for name in ("mark_edge_limit", "mark_centre_limit"))
    except (NotApplicable, Undecided):
        return
    yield f"mark    |{mark_strip(low / tip, high / tip)}|"
    yield f"limits  |{allowed_strip(edge / tip, centre / tip)}|"
    yield "         pivot side              far side"
    yield "[ ]: limits for the edges of the mark"
    yield "===: where the mark centre may lie"
