"""The record that a build was accepted: with which files, shared parts, rules and limits, each by its digest."""

from __future__ import annotations

import json
from collections.abc import Mapping

from buildcheck.core.digest import digest_of
from buildcheck.record import Record
from buildcheck.yamlio.nodes import Node, as_written

RECORD = "accepted"
"""What its file is called, without its ending."""
_HEAD = """\
# This build was accepted as it is in this folder. Later changes to shared parts, rules and limits are shown and do not
# block it. A change in this folder, or in this file, makes buildcheck judge it in full again.
# Written by 'buildcheck report --accept'. To reopen the build, delete this file.
"""
_TEXTS, _TABLES = ("accepted_on", "stage", "version"), ("files", "parts", "rules")


class AcceptanceRecord(Record):
    """The day and stage of an acceptance, the version that judged, and the digests by name.

    ``edited``: the file was changed after it was written, so that it does not count. ``is_new``: the change that is
    judged brings it, so that it does not count yet.
    """

    accepted_on: str
    stage: str
    version: str
    files: Mapping[str, str]
    parts: Mapping[str, str]
    rules: Mapping[str, str]
    edited: bool = False
    is_new: bool = False

    @property
    def counts(self) -> bool:
        """Whether it counts, if nothing in the folder differs from it."""
        return not self.edited and not self.is_new

    @property
    def seal(self) -> str:
        """The digest of everything else in the record: it shows an edit."""
        return digest_of({key: getattr(self, key) for key in (*_TEXTS, *_TABLES)})


def read_record(root: Node | None) -> AcceptanceRecord:
    """The record in a file's nodes; one that was edited, or is no record, is empty."""
    data = as_written(root) if root is not None else None
    if isinstance(data, dict) and set(data) == {*_TEXTS, *_TABLES, "seal"}:
        seal = data.pop("seal")
        record = AcceptanceRecord(**data)
        if all(isinstance(data[key], dict) for key in _TABLES) and record.seal == seal:
            return record
    return AcceptanceRecord("", "", "", {}, {}, {}, edited=True)


def record_text(record: AcceptanceRecord) -> str:
    """The record as its file holds it."""
    lines = [f"{key}: {json.dumps(getattr(record, key))}" for key in _TEXTS]
    for key in _TABLES:
        rows = [f"  {json.dumps(name)}: {json.dumps(one)}" for name, one in sorted(getattr(record, key).items())]
        lines += [f"{key}:", *rows] if rows else [f"{key}: {{}}"]
    return _HEAD + "\n".join([*lines, f"seal: {json.dumps(record.seal)}"]) + "\n"


def digests(roots: Mapping[str, Node]) -> dict[str, str]:
    """The digest of each file's values, by its name."""
    return {name: digest_of(as_written(root)) for name, root in roots.items()}
