"""Renders a report."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence

from buildcheck.app.build_check import CheckedBuild
from buildcheck.output.cautions import USUAL
from buildcheck.output.markdown import rule_link
from buildcheck.output.report.digests import report_digest
from buildcheck.output.report.freshness import with_digest
from buildcheck.output.report.picture import Picture
from buildcheck.output.report.template import report_template
from buildcheck.output.report.view import report_view


def no_page(rule: str) -> str:
    """The page of a rule if the team names no address: none."""
    return ""


def render(checked: CheckedBuild, pictures: Sequence[Picture] = (), rule_page: Callable[[str], str] = no_page) -> str:
    """The report's text: LF, no trailing blanks, one final newline, the same to the byte on every machine.

    Pictures are linked; the report is complete without them. ``rule_page`` gives the address of a rule's page.
    """

    def linked(rules: str) -> str:
        """Rule ids with commas between them, each as a link to its page."""
        return ", ".join(rule_link(rule, rule_page(rule)) for rule in rules.split(", "))

    text = report_template().render(report=report_view(checked), usual_cautions=USUAL, pictures=pictures, linked=linked)
    lines = [line.rstrip() for line in text.strip().split("\n")]
    digest = report_digest(checked, (picture.path for picture in pictures), rule_page("{rule}"))
    return with_digest(re.sub(r"\n{3,}", "\n\n", "\n".join(lines)) + "\n", digest)
