"""The section 'Next at the bench': the valves on which something is left to do, and what."""

from __future__ import annotations

from typing import Any

from buildcheck.advice.valve_advice import Advice, advice
from buildcheck.app.build_check import CheckedBuild
from buildcheck.output import advice_wording as bench


def next_steps(checked: CheckedBuild) -> dict[str, Any]:
    """Rows for the valves that need work, and the notes that belong to them, each once."""
    needy = [one for one in advice(checked.facts) if one.needs_work] if not checked.problems else []
    return {
        "rows": [_row(one, checked.facts.system) for one in needy],
        "notes": list(dict.fromkeys(note for one in needy for note in bench.notes(one))),
    }


def _row(one: Advice, system: str) -> dict[str, str]:
    return {
        "who": one.subject.key.replace("/", " "),
        "says": "; ".join(filter(None, (one.moved, bench.pivot(one, system) or bench.mark(one, system)))),
        "do": f"{bench.cure(one, system)} {bench.to_do(one, system)}".strip(),
        "sure": bench.sure(one, system),
    }
