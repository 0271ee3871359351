"""Marks that moved between two states, each drawn on the valve tip before and after."""

from __future__ import annotations

from collections.abc import Iterator

from buildcheck.app.build_check import CheckedBuild
from buildcheck.build.facts import Facts
from buildcheck.build.mark_plausibility import last_mark
from buildcheck.core.subject import Subject
from buildcheck.core.value import Value
from buildcheck.output.compare.aligned_values import moved, read_in_both
from buildcheck.output.tip_drawing import mark_strip
from buildcheck.quantities.marks import edges_of, tip_diameter
from buildcheck.record import Record
from buildcheck.units.quantity import show

Edges = tuple[Value, Value]


class MovedMark(Record):
    """The edges of one valve's mark before and after, from the pivot-side edge of the tip, and the tip's diameter."""

    subject: Subject
    before: Edges
    after: Edges
    tip: Value
    system: str

    @property
    def text(self) -> str:
        """``cylinder 1 intake: mark 0.145 to 0.172 in → 0.005 to 0.032 in``."""
        return f"{self.subject.text}: mark {self._span(self.before)} → {self._span(self.after)} from the pivot side"

    def drawing(self) -> str:
        """Two lines of plain text, the pivot side on the left, ``:`` at the middle of the tip."""
        rows = (("before", self.before), ("after", self.after))
        return "\n".join(
            f"{name:<6} |{mark_strip(*(edge.si / self.tip.si for edge in edges))}|" for name, edges in rows
        )

    def _span(self, edges: Edges) -> str:
        low, high = (show(edge.si, "length", self.system) for edge in edges)
        return f"{low.split()[0]} to {high}"


def moved_marks(before: CheckedBuild | None, after: CheckedBuild | None) -> Iterator[MovedMark]:
    """Every valve with a mark in both states of which an edge moved by more than both uncertainties."""
    for facts, subject, was, now in read_in_both(before, after, _edges):
        if any(map(moved, was, now)):
            yield MovedMark(subject, was, now, tip_diameter(facts, subject), facts.system)


def _edges(facts: Facts, subject: Subject) -> Edges | None:
    tip_diameter(facts, subject)
    return edges_of(facts, subject, last_mark(facts, subject))
