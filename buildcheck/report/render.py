"""Renders a report, and tells whether the one on disk is current."""

from __future__ import annotations

import re
from collections.abc import Sequence
from functools import cache

from jinja2 import Environment, PackageLoader, StrictUndefined

from buildcheck.check import Checked
from buildcheck.report.digests import input_digests, rules_digest
from buildcheck.report.markdown import md
from buildcheck.report.pictures import Picture
from buildcheck.report.view import view
from buildcheck.run import Frame

_DIGEST = re.compile(r"^- (\S+|rules and limits in force) `([0-9a-f]{16})`$", re.MULTILINE)


def render(checked: Checked, frame: Frame, pictures: Sequence[Picture] = ()) -> str:
    """The report's text: LF, no trailing blanks, one final newline, the same to the byte on every machine.

    Pictures are linked; the report is complete without them.
    """
    inputs, rules = input_digests(checked), rules_digest(frame.files())
    text = (
        _environment()
        .get_template("report.md.j2")
        .render(**view(checked), pictures=pictures, inputs=inputs, rules_digest=rules)
    )
    lines = [line.rstrip() for line in text.strip().split("\n")]
    return re.sub(r"\n{3,}", "\n\n", "\n".join(lines)) + "\n"


def difference(fresh: str, found: str) -> str:
    """What is wrong with the report on disk: empty when current; line endings do not count."""
    found = found.replace("\r\n", "\n")
    if found == fresh:
        return ""
    made, now = dict(_DIGEST.findall(found)), dict(_DIGEST.findall(fresh))
    changed = sorted(name for name in made.keys() | now.keys() if made.get(name) != now.get(name))
    if changed:
        return f"is stale: {', '.join(changed)} changed since it was written"
    return "was edited by hand, or written by another version: its inputs are unchanged but its text is not"


@cache
def _environment() -> Environment:
    environment = Environment(
        loader=PackageLoader("buildcheck.report"),
        undefined=StrictUndefined,
        autoescape=False,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
    )
    environment.filters["md"] = md
    return environment
