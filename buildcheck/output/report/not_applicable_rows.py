"""What the report shows of rules that do not apply: each reason once, with the rules that it takes out."""

from __future__ import annotations

from dataclasses import dataclass

from buildcheck.app.build_check import Checked
from buildcheck.output.finding_wording import message


@dataclass(frozen=True, slots=True)
class Reason:
    """Why rules do not apply, which, and how many results that are."""

    why: str
    rules: str
    count: int


def reasons(checked: Checked) -> list[Reason]:
    """The reasons by their number of results, the most first."""
    found: dict[str, list[str]] = {}
    for result in checked.results:
        if result.kind == "notApplicable":
            found.setdefault(message(checked, result), []).append(result.rule)
    rows = [Reason(why, ", ".join(dict.fromkeys(rules)), len(rules)) for why, rules in found.items()]
    return sorted(rows, key=lambda row: (-row.count, row.why))
