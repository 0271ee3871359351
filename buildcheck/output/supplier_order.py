"""The order as it is sent to a supplier: what to make, how its length is stated, and the question that confirms it."""

from __future__ import annotations

from collections.abc import Iterator

from buildcheck.app.build_check import CheckedBuild
from buildcheck.build.facts import Facts
from buildcheck.build.length_conventions import from_measured, to_measured
from buildcheck.core.plural import counted
from buildcheck.core.value import Undecided, exact
from buildcheck.ordering.order import OrderLine
from buildcheck.output.wording import acceptance_text, verdict_text
from buildcheck.units.quantity import show
from buildcheck.yamlio.documents import Node

BALL_CONVENTIONS = {
    "overall": "length over both ends, as a caliper shows it",
    "full ball": "full-ball length, as if both ball ends were whole balls",
}
"""How a length without a gauge is stated -> in words."""
_IN_WORDS = {"overall": "over both ends", "full ball": "over full balls"}


def refusal(checked: CheckedBuild) -> str:
    """Why nothing may be ordered; empty if the order may be sent."""
    if checked.verdict != "pass":
        return f"{verdict_text(checked)}. Do not order yet"
    if checked.informing:
        return f"{verdict_text(checked)}. {acceptance_text(checked)}. The order is the one of the accepted report"
    if not checked.options.is_due("ordering"):
        return f"the build is at stage {checked.options.stage}: an order is judged from stage ordering on"
    return "" if checked.order.lines else "no length is determined yet"


def supplier_order(checked: CheckedBuild) -> str:
    """The whole text, one block for each length."""
    facts, blocks = checked.facts, [f"Pushrod order for: {checked.build.name}"]
    for line in checked.order.lines:
        rows = [("Length", length_text(facts, line)), *pushrod_rows(facts)]
        width = max(len(name) for name, _ in rows)
        lines = [pieces_text(line), *(f"  {name + ':':<{width + 1}} {text}" for name, text in rows)]
        blocks.append("\n".join(lines))
    questions = list(dict.fromkeys(gauge_question(facts, line) for line in checked.order.lines))
    blocks.append("Before you make or send them, please confirm:\n" + "\n".join(f"- {one}" for one in questions))
    return "\n\n".join(blocks) + "\n"


def labels(checked: CheckedBuild) -> str:
    """A label for each valve, in order; empty if all get the same length."""
    facts, lines = checked.facts, checked.order.lines
    if len(lines) < 2:
        return ""
    each = [(subject, line) for line in lines for subject in (*line.serves, *line.assumed)]
    each.sort(key=lambda one: one[0].order)
    return "".join(f"{subject.text}: {_length(facts, line)} ({line.length.stated_as})\n" for subject, line in each)


def pieces_text(line: OrderLine) -> str:
    """``13 pushrods: 12 and 1 spare``."""
    total = counted(line.count + line.spares, "pushrod")
    return f"{total}: {line.count} and {counted(line.spares, 'spare')}" if line.spares else total


def length_text(facts: Facts, line: OrderLine) -> str:
    """The length with its convention."""
    made = "" if line.length.stock else ", made to length"
    other = "metric" if facts.system == "inch" else "inch"
    both = f"{_length(facts, line)} ({show(line.length.stated, 'length', other)})"
    return f"{both}, {_convention(line)}{made}"


def pushrod_rows(facts: Facts) -> list[tuple[str, str]]:
    """What every pushrod of the order has in common, as entered; what is not entered is left out."""
    paths = {
        "Tolerance on length": "length_tolerance", "Diameter": "diameter", "Wall": "wall", "Material": "material",
        "Yield strength": "yield_strength",
    }  # fmt: skip
    found = [(name, facts.node(f"pushrods.{key}")) for name, key in paths.items()]
    rows = [(name, str(node.value)) for name, node in found if node is not None]
    return [(name, f"+/- {text}" if name.startswith("Tol") else text) for name, text in rows] + list(_ends(facts))


def gauge_question(facts: Facts, line: OrderLine) -> str:
    """The question that shows a supplier who states lengths in another way, with the same pushrod in other words."""
    same = [f"{length} {_IN_WORDS[name]}" for name, length in _elsewhere(facts, line)]
    other = f" The same pushrod measures {' and '.join(same)}." if same else ""
    hole = line.length.gauge_hole
    how = f"Does your gauge have holes of {hole.value}?" if hole is not None else "Do you state lengths that way?"
    return f"{_length(facts, line)} is a {_convention(line)}. {how}{other} If not, which length do you state for it?"


def _convention(line: OrderLine) -> str:
    hole = line.length.gauge_hole
    if hole is not None:
        return f"gauge length, between two gauge cups with holes of {hole.value}"
    return BALL_CONVENTIONS[line.length.stated_as]


def _elsewhere(facts: Facts, line: OrderLine) -> Iterator[tuple[str, str]]:
    """The length of the line in the conventions that need no gauge, where the ends determine it."""
    for convention in BALL_CONVENTIONS:
        if convention == line.length.stated_as:
            continue
        try:
            stated = exact(line.length.stated, "length")
            measured = to_measured(facts, stated, line.length.stated_as, line.length.gauge_hole)
            length = from_measured(facts, measured, convention, None)
        except Undecided:
            continue
        yield convention, show(length.si, "length", facts.system)


def _ends(facts: Facts) -> Iterator[tuple[str, str]]:
    ends = facts.node("pushrods.ends")
    if ends is None:
        return
    each = {name: ends.get(name) for name in ("lifter", "rocker")}
    if each["lifter"] is None or each["rocker"] is None:
        yield "Both ends", _end(ends)
        return
    yield from ((f"End at the {name}", _end(node)) for name, node in each.items() if node is not None)


def _end(node: Node) -> str:
    radius, hole = node.word("ball_radius"), node.word("oil_hole")
    size = f" of {radius} radius" if radius else ""
    return f"{node.word('type')}{size}{f', oil hole {hole}' if hole else ''}"


def _length(facts: Facts, line: OrderLine) -> str:
    return show(line.length.stated, "length", facts.system)
