"""Named quantities of what was delivered and fitted."""

from __future__ import annotations

from buildcheck.facts import Facts
from buildcheck.subjects import Subject
from buildcheck.values import Value


def delivered_run_out(facts: Facts, subject: Subject) -> Value:
    """The worst run-out among the rods delivered, m."""
    node = facts.node("as_built.delivered")
    read = [(entry, entry.get("run_out")) for entry in node.items] if node is not None else []
    known = [facts.reading(run_out, "length") for _, run_out in read if run_out is not None]
    if not known or len(known) < len(read):
        raise facts.missing("as_built.delivered.run_out")
    return max(known, key=lambda value: value.si)
