"""A picture beside a report."""

from __future__ import annotations

from buildcheck.record import Record

FOLDER = "marks"


class Picture(Record):
    """A picture's file beside the report, its text for who cannot see it, and the SVG itself."""

    path: str
    alt: str
    svg: str
