"""The fields of one build: looked up for a subject, with their overrides, gauges and uncertainty."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cached_property
from typing import Any

from buildcheck.build.build_folder import Build
from buildcheck.build.usual_gauges import CLEARANCE, usual_uncertainty
from buildcheck.core.problem import Place
from buildcheck.core.reason import Cause, MissingInput
from buildcheck.core.subject import BUILD, VALVE_TYPES, Subject, subjects, valve_type
from buildcheck.core.value import Missing, NotApplicable, Undecided, Value
from buildcheck.formulas.decision import resolution_uncertainty
from buildcheck.schema.fields import field_kind
from buildcheck.units.quantity import in_si, parse_thread
from buildcheck.yamlio.documents import Node, find

_NOT_LOOKED_UP: Any = object()
"""Marks what was not looked up yet; None is an answer."""


class FieldLookup:
    """Fields of one build, each looked up once. A lookup raises Undecided or NotApplicable if there is no value."""

    def __init__(self, build: Build) -> None:
        self.build = build
        self._given_singly = frozenset(key for root in build.roots.values() for key in _keys_of_each(root))
        self.has_overrides = bool(self._given_singly)
        """Whether any file gives values of single cylinders."""
        marks = build.roots.get("marks")
        self._may_be_void = marks is not None and marks.get("states") is not None
        self._nodes: dict[tuple[str, Subject | str | None], Node | None] = {}
        self._fields: dict[tuple[str, Subject | str | None], Value | None] = {}

    def node(self, path: str, subject: Subject = BUILD) -> Node | None:
        """The node at ``heads.springs.{valve}.rate``, an ``each`` entry for the subject first; None if absent."""
        found: Node | None = self._nodes.get((path, subject.valve), _NOT_LOOKED_UP)
        if found is _NOT_LOOKED_UP:
            found = self._nodes.get(key := self._key(path, subject), _NOT_LOOKED_UP)
        if found is _NOT_LOOKED_UP:
            found = self._nodes[key] = self._find(path, subject)
        return found

    def _key(self, path: str, subject: Subject) -> tuple[str, Subject | str | None]:
        """What a field is kept by: its valve type alone, unless it may be another one on a single cylinder."""
        return (path, subject if self.may_differ(path) else subject.valve)

    def may_differ(self, path: str) -> bool:
        """Whether a field may not be the same on every cylinder: given for some of them, or a reading void there."""
        is_given = path.rpartition(".")[2] in self._given_singly
        return is_given or (self._may_be_void and path.startswith("clearances."))

    def widest(self, subject: Subject) -> Subject:
        """The valve type of a subject if no file has other values for a cylinder: what fields give is then the same."""
        alike = not (self.has_overrides or self._may_be_void or "motion" in self.build.roots)
        return valve_type(subject.valve) if alike else subject

    def _find(self, path: str, subject: Subject) -> Node | None:
        name, *keys = path.replace("{valve}", subject.valve or "{valve}").split(".")
        root = self.build.roots.get(name)
        if root is None:
            return None
        override = self._each(root, keys[-1], subject) if keys and self.has_overrides else None
        if override is not None or keys[:1] == ["each"]:
            return override
        return _for_valve(find(root, keys), subject)

    def field(self, path: str, subject: Subject = BUILD) -> Value:
        """A field's value in SI with its uncertainty; Undecided where it is not written."""
        value = self.optional(path, subject)
        if value is None:
            raise self.void_reason(path, subject) or self.missing(path, subject)
        return value

    def optional(self, path: str, subject: Subject = BUILD) -> Value | None:
        """A field's value, or None where it is not written."""
        found: Value | None = self._fields.get((path, subject.valve), _NOT_LOOKED_UP)
        if found is _NOT_LOOKED_UP:
            found = self._fields.get(key := self._key(path, subject), _NOT_LOOKED_UP)
        if found is _NOT_LOOKED_UP:
            node = self.node(path, subject)
            counts = node is not None and self.void_reason(path, subject) is None
            found = self._fields[key] = self._field_value(node, path) if node is not None and counts else None
        return found

    def _field_value(self, node: Node, path: str) -> Value:
        """A field as written, read with the gauge of the clearances if it is one."""
        if path.startswith("clearances."):
            return self.reading(node, field_kind(path), self.node("clearances.gauge"), CLEARANCE)
        return self.reading(node, field_kind(path))

    def void_reason(self, path: str, subject: Subject) -> Undecided | None:
        """Why a reading counts as not taken, because the engine has changed since; None if it applies."""
        return None

    def text(self, path: str, subject: Subject = BUILD) -> str:
        """A field that is a word or a name; Undecided where it is not written."""
        node = self.node(path, subject)
        if node is None:
            raise self.missing(path, subject)
        return str(node.value)

    def word(self, path: str, subject: Subject = BUILD) -> str:
        """A field as written, to see whether a rule applies; an optional one left out makes it not apply."""
        node = self.node(path, subject)
        if node is not None:
            return str(node.value)
        if path.split(".")[0] in self.build.roots:
            raise NotApplicable(f"{path.replace('{valve}', subject.valve or '')} is not given")
        raise self.missing(path, subject)

    def pitch(self, path: str) -> Value:
        """The pitch of a thread field."""
        node = self.node(path)
        if node is None:
            raise self.missing(path)
        return Value(float(parse_thread(str(node.value)).pitch), "length", {}, (node.place,))

    def missing(self, path: str, subject: Subject = BUILD) -> Missing:
        """Says which file lacks which key, at the deepest place that is there."""
        path = path.replace("{valve}", subject.valve or "{valve}")
        name, *keys = path.split(".")
        node = self.build.roots.get(name)
        if node is None:
            comment_only = name in self.build.comment_only
            text = f"{name}.yaml has no entries yet" if comment_only else f"{name}.yaml does not exist yet"
            place = Place(f"{name}.yaml") if comment_only else Place("build.yaml")
            return Missing(MissingInput(text, path, path if keys else ""), (place,), Cause(path, subject))
        place = node.place
        for key in keys:
            child = find(node, [key])
            if child is None:
                break
            node, place = child, child.place
        text = f"{'.'.join(keys)} is missing in {name}.yaml"
        return Missing(MissingInput(text, path), (place,), Cause(path, subject))

    def reading(self, node: Node, kind: str, gauge: Node | None = None, usual: float = 0.0) -> Value:
        """A written value: its own ``+/-`` first, else its gauge's expanded uncertainty or resolution.

        ``usual`` is the least expanded uncertainty (m) of a reading for which no uncertainty is stated; a nominal
        size has none.
        """
        if isinstance(node.value, dict) and (inner := node.value.get("value")) is not None:
            gauge, node = node.value.get("gauge") or gauge, inner
        place, written = node.place, node.value
        if isinstance(written, (dict, list)):
            raise Undecided("several values are written here, not one", (place,))
        if not isinstance(written, str):
            return Value(float(str(written)), kind, {}, (place,))
        si, expanded = in_si(written, kind)
        standard = expanded / 2 if expanded is not None else gauge_standard(gauge, usual)
        return Value(si, kind, {str(place): standard} if standard else {}, (place,))

    def _each(self, root: Node, key: str, subject: Subject) -> Node | None:
        each = root.get("each")
        for entry in each.items if each is not None and subject.cylinder is not None else ():
            if (node := entry.get(key)) is not None and applies_to(entry, subject):
                return node
        return None

    @cached_property
    def system(self) -> str:
        """``inch`` or ``metric``: how the files mostly speak of lengths."""
        return self.build.unit_system

    @cached_property
    def pivot_is_free(self) -> bool:
        """Whether a nut on the stud sets the pivot's height; else it is fixed, as always on pedestal and shaft."""
        return self.text("rockers.mount") == "stud" and self.text("rockers.adjuster") == "nut"

    @cached_property
    def is_roller(self) -> bool:
        """Whether the rockers have roller tips."""
        return self.text("rockers.tip.type") == "roller"

    @cached_property
    def is_hydraulic(self) -> bool:
        """Whether the lifters to be run have a plunger."""
        return self.text("cam.lifter.type").startswith("hydraulic")

    @cached_property
    def cylinders(self) -> int:
        """Number of cylinders; none while block.yaml is not there."""
        node = self.node("block.cylinders")
        return int(str(node.value)) if node is not None else 0

    def subjects(self, for_each: str) -> tuple[Subject, ...]:
        """All subjects of a kind in this build."""
        return subjects(for_each, self.cylinders)


def gauge_standard(gauge: Node | None, usual: float = 0.0) -> float:
    """Standard uncertainty (m) of a reading: half the stated expanded one of its gauge.

    If none is stated: resolution/√12 (JCGM 100:2008, F.2.2.1), and never less than half of the usual expanded
    uncertainty of that kind of gauge, which is ``usual`` (m) if the name of the gauge does not show its kind.
    """
    if gauge is not None and (text := gauge.word("uncertainty")):
        return in_si(text, "length")[0] / 2
    least = usual_uncertainty(gauge.word("name") if gauge is not None else "", usual) / 2 if usual else 0.0
    if gauge is not None and (text := gauge.word("resolution")):
        return max(resolution_uncertainty(in_si(text, "length")[0]), least)
    return least


def _keys_of_each(root: Node) -> Iterator[str]:
    """The fields that a file gives for single cylinders."""
    each = root.get("each")
    for entry in each.items if each is not None else ():
        yield from entry.entries


def _for_valve(node: Node | None, subject: Subject) -> Node | None:
    """A field that may be given once or for each valve type: the subject's own."""
    if node is not None and subject.valve and isinstance(node.value, dict) and set(node.value) & set(VALVE_TYPES):
        return node.value.get(subject.valve)
    return node


def applies_to(entry: Node, subject: Subject) -> bool:
    """Whether an entry with ``cylinder`` and perhaps ``valve`` is the subject's."""
    same = entry.word("cylinder") == str(subject.cylinder)
    return same and entry.word("valve") in ("", subject.valve)
