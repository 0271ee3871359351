"""Which named quantities changed by more than their uncertainty, or determined now or no longer; counts left out."""

from __future__ import annotations

from buildcheck.app.build_check import CheckedBuild, quantities
from buildcheck.core.subject import Subject
from buildcheck.core.value import Value
from buildcheck.formulas.decision import noise
from buildcheck.output.compare.aligned_values import aligned, moved
from buildcheck.output.value_wording import value_text
from buildcheck.record import Record


class QuantityChange(Record):
    """A quantity of some subjects that moved alike; a text is empty if it is unknown."""

    name: str
    title: str
    subjects: tuple[Subject, ...]
    before: str
    after: str


class QuantityChanges(Record):
    """All that moved beyond its uncertainty, and how many more moved within it."""

    significant: tuple[QuantityChange, ...]
    insignificant: int


NO_QUANTITY_CHANGES = QuantityChanges((), 0)


def quantity_changes(before: CheckedBuild, after: CheckedBuild) -> QuantityChanges:
    """Compare by |difference| against √(U1² + U2²), both expanded (k = 2)."""
    old, new = _known_values(before), _known_values(after)
    groups: dict[tuple[str, str, str], list[Subject]] = {}
    insignificant = 0
    for name in sorted(old.keys() | new.keys()):
        for subject, was, now in aligned(old.get(name, {}), new.get(name, {})):
            texts = _text(was, before.facts.system), _text(now, after.facts.system)
            if _is_significant(was, now):
                groups.setdefault((name, *texts), []).append(subject)
            elif was is not None and now is not None:
                insignificant += abs(was.si - now.si) > noise(was.si, now.si)
    known = after.facts.quantities
    significant = [
        QuantityChange(name, known[name].title, tuple(subjects), *texts) for (name, *texts), subjects in groups.items()
    ]
    return QuantityChanges(tuple(significant), insignificant)


def _known_values(checked: CheckedBuild) -> dict[str, dict[Subject, Value]]:
    known = quantities(checked.facts) if not checked.problems else ()
    return {
        name: {subject: value for subject, value in values.items() if value.kind != "count"} for name, values in known
    }


def _is_significant(was: Value | None, now: Value | None) -> bool:
    if was is None or now is None:
        return was is not now
    if was.sign_known != now.sign_known:
        return True
    return moved(was, now)


def _text(value: Value | None, system: str) -> str:
    if value is None:
        return ""
    return value_text(value, system) if value.sign_known else f"{value_text(value, system)}, sign not known"
