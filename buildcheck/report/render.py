"""Renders a report."""

from __future__ import annotations

import re
from collections.abc import Sequence
from functools import cache

from jinja2 import Environment, PackageLoader, StrictUndefined

from buildcheck.check import Checked
from buildcheck.report.currency import sealed
from buildcheck.report.digests import frame_digests, input_digests
from buildcheck.report.markdown import md
from buildcheck.report.pictures import Picture
from buildcheck.report.view import view
from buildcheck.run import Frame


def render(checked: Checked, frame: Frame, pictures: Sequence[Picture] = ()) -> str:
    """The report's text: LF, no trailing blanks, one final newline, the same to the byte on every machine.

    Pictures are linked; the report is complete without them.
    """
    inputs = input_digests(checked)
    text = (
        _environment()
        .get_template("report.md.j2")
        .render(**view(checked), pictures=pictures, inputs=inputs, frame=frame_digests(frame.sources()))
    )
    lines = [line.rstrip() for line in text.strip().split("\n")]
    return sealed(re.sub(r"\n{3,}", "\n\n", "\n".join(lines)) + "\n")


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
