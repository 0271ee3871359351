"""What a change did, by cause: a shared part once for all its builds, then each build with changes of its own."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from buildcheck.core.plural import counted, verb
from buildcheck.output.compare.comment_links import Links
from buildcheck.output.compare.compare_wording import heading, input_text, new_state_text, verdict_line
from buildcheck.output.compare.comparison import BuildChange
from buildcheck.output.compare.fitted_text import Item, Section
from buildcheck.output.compare.moved_gaps import MovedGap, moved_gaps
from buildcheck.output.compare.moved_lifts import MovedLift, moved_lifts
from buildcheck.output.compare.moved_marks import MovedMark, moved_marks
from buildcheck.output.compare.verdict_changes import VerdictChange
from buildcheck.output.finding_wording import capitalised
from buildcheck.output.markdown import md
from buildcheck.record import replace

_NAMED = 5
_TEAM = "Effect of the team's rules, limits and settings"
MOST_INPUTS = 6
"""So many changed inputs of a build are shown beside what they cause; more are folded."""


def cause_sections(changes: Sequence[BuildChange], links: Links) -> Iterator[Section]:
    """Shared parts first, then what the team's rules and settings did, then the builds with changes of their own."""
    shared: dict[tuple[str, ...], list[BuildChange]] = {}
    unshared: list[BuildChange] = []
    for change in changes:
        if _is_shared(change):
            shared.setdefault(tuple(_shared_lines(change, links)), []).append(change)
        else:
            unshared.append(change)
    for causes, affected in shared.items():
        yield from _shared_section(causes, affected, links)
    for change in unshared:
        yield from _own_section(change, links)


def cures(changes: Sequence[BuildChange]) -> tuple[Item, ...]:
    """What to do about what blocks now and did not before, each cure once with the rules that it serves."""
    found: dict[str, list[str]] = {}
    for flip in (flip for change in changes for flip in leading(change)):
        if flip.cure and flip.rule not in found.setdefault(flip.cure, []):
            found[flip.cure].append(flip.rule)
    return tuple((f"- {md(cure)} ({md(', '.join(rules))})", "") for cure, rules in found.items())


def leading(change: BuildChange) -> list[VerdictChange]:
    """What blocks now and did not before, and is no consequence of another result that blocks."""
    return [flip for flip in change.verdict_changes if flip.newly_blocks and not flip.follows]


def _is_shared(change: BuildChange) -> bool:
    both = change.before is not None and change.after is not None and change.folder == change.folder_before
    judged = [one for one in change.inputs if not one.remark]
    return both and not change.is_unreadable and all(one.place.is_shared for one in judged)


def _shared_lines(change: BuildChange, links: Links) -> Iterator[str]:
    """Each changed line of a part once, although a build may use the part in several places."""
    judged = [replace(one, path=one.path.rpartition(".")[2]) for one in change.inputs if not one.remark]
    for one in dict.fromkeys(judged):
        yield f"{links.at(one.place, change.folder)}: {md(input_text(one))}"


def _shared_section(causes: tuple[str, ...], affected: Sequence[BuildChange], links: Links) -> Iterator[Section]:
    red = sum(_becomes_red(change) for change in affected)
    outcome = f"**{counted(len(affected), 'build')}, {red} {verb(red, 'become')} red**"
    shown = causes[:MOST_INPUTS]
    more = f"; and {len(causes) - len(shown)} more" if len(causes) > len(shown) else ""
    title = f"\n### {'; '.join(shown)}{more}\n" if causes else f"\n### {_TEAM}\n"
    yield Section(0, "", title, ((f"{outcome}\n",),))
    groups: dict[tuple[object, ...], list[BuildChange]] = {}
    for change in affected:
        groups.setdefault(_effect(change), []).append(change)
    ordered = sorted(groups.values(), key=lambda alike: (not _becomes_red(alike[0]), -len(alike), alike[0].folder))
    for alike in ordered:
        yield from _effect_sections(alike, links)


def _becomes_red(change: BuildChange) -> bool:
    return change.newly_blocks > 0


def _effect(change: BuildChange) -> tuple[object, ...]:
    flips = tuple((flip.rule, flip.before, flip.after, flip.subjects) for flip in leading(change))
    followers = tuple(flip.rule for flip in change.verdict_changes if flip.newly_blocks and flip.follows)
    return heading(change), flips, followers


def _effect_sections(changes: Sequence[BuildChange], links: Links) -> Iterator[Section]:
    """One paragraph for builds that the change affects alike; the figures are those of the first."""
    first = changes[0]
    folders = [md(change.folder) for change in changes]
    more = f" and {len(folders) - _NAMED} more" if len(folders) > _NAMED else ""
    who = f"{', '.join(folders[:_NAMED])}{more}"
    if not _becomes_red(first):
        yield Section(4, "paragraph", "", ((f"- {who}: {md(heading(first))}", ""),))
        return
    figures = f" Figures of {folders[0]}:" if len(changes) > 1 else ""
    opening = f"- **{who}: {md(heading(first))}**.{figures}"
    yield Section(2, "blocker detail", opening, _blockers(first, links, "  "))
    yield from _drawings(first, "  ")


def _own_section(change: BuildChange, links: Links) -> Iterator[Section]:
    """What changed in the build, what that blocks, and the marks that moved; its heading stays with what blocks."""
    title = f"\n### {md(change.folder)}: {md(heading(change))}\n\n{md(new_state_text(change))}\n"
    problems = change.after.problems if change.after is not None else ()
    places = [(one, links.at(one.place, change.folder)) for one in problems]
    errors = tuple((f"- ✗ {at}: {md(one.message)}", f"- ✗ {at}", "") for one, at in places)
    blockers = (*errors, *_blockers(change, links))
    inputs = _inputs(change, links)
    if blockers:
        yield Section(2, "blocker detail", title, blockers)
        yield Section(4, "changed input", "\nChanged:\n", inputs)
    else:
        yield Section(4, "changed input", title, inputs or (("No file of this build changed.", ""),))
    yield from _drawings(change)


def _inputs(change: BuildChange, links: Links) -> tuple[Item, ...]:
    judged = [one for one in change.inputs if not one.remark]
    lines = [f"- {links.at(one.place, change.folder)}: {md(input_text(one))}" for one in judged[:MOST_INPUTS]]
    more = len(judged) - len(lines)
    lines += [f"- {more} more below, under Inputs"] if more else []
    return tuple((line, "") for line in lines)


def _blockers(change: BuildChange, links: Links, indent: str = "") -> tuple[Item, ...]:
    """What blocks now and did not before, in full or by its name; what follows from it in one line."""
    items: list[Item] = []
    for flip in leading(change):
        head = f"{indent}- ✗ **{links.rule(flip.rule)}**, {md(verdict_line(flip))}"
        items.append((f"{head}. {md(capitalised(flip.finding))} ({links.at(flip.place, change.folder)})", head, ""))
    followers = [flip.rule for flip in change.verdict_changes if flip.newly_blocks and flip.follows]
    if followers:
        items.append((f"{indent}- ✗ Follows from these: {md(', '.join(dict.fromkeys(followers)))}", ""))
    return tuple(items)


def _drawings(change: BuildChange, indent: str = "") -> Iterator[Section]:
    moved: list[MovedMark | MovedGap | MovedLift] = [
        *moved_gaps(change.before, change.after),
        *moved_lifts(change.before, change.after),
        *moved_marks(change.before, change.after),
    ]
    items = tuple((_drawing(one, indent), "") for one in moved)
    yield Section(5, "drawing", "", items)


def _drawing(moved: MovedMark | MovedGap | MovedLift, indent: str) -> str:
    lines = ["", f"{md(moved.text)}:", "", "```text", *moved.drawing().split("\n"), "```", ""]
    return "\n".join(f"{indent}{line}".rstrip() for line in lines)
