"""What the report shows of rules that apply to a part of the build only: each reason once, with the rules."""

from __future__ import annotations

from buildcheck.app.build_check import CheckedBuild
from buildcheck.output.finding_wording import message
from buildcheck.record import Record


class Reason(Record):
    """Why rules do not apply, which, and how many results that are."""

    why: str
    rules: str
    count: int


def reasons(checked: CheckedBuild) -> list[Reason]:
    """The reasons by their number of results, the most first.

    A rule that applies nowhere in the build is left out: a report does not depend on it.
    """
    found: dict[str, list[str]] = {}
    applying = {result.rule for result in checked.results if result.kind != "notApplicable"}
    for result in checked.results:
        if result.kind == "notApplicable" and result.rule in applying:
            found.setdefault(message(checked, result), []).append(result.rule)
    rows = [Reason(why, ", ".join(dict.fromkeys(rules)), len(rules)) for why, rules in found.items()]
    return sorted(rows, key=lambda row: (-row.count, row.why))
