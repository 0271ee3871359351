"""How two rules of one id differ, term by term, and whether the newer one lets more through."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from buildcheck.build.build_folder import STAGES
from buildcheck.build.named_limits import NOTHING
from buildcheck.record import Record
from buildcheck.rules.rule import BOUNDS, Rule


class RuleDifference(Record):
    """One term before and after; ``laxer`` where it lets more through, or if that is unknown."""

    what: str
    before: str
    after: str
    laxer: bool

    @property
    def text(self) -> str:
        """What became of it."""
        return f"{self.what} {self.before} → {self.after}"


_STRICTER: dict[str, tuple[Callable[[Rule], str], tuple[str, ...]]] = {
    "level": (lambda rule: rule.level, ("note", "warning", "error")),
    "due": (lambda rule: rule.due, STAGES[::-1]),
    "open": (lambda rule: "blocks" if rule.open_blocks else "allowed", ("allowed", "blocks")),
    "at_zero": (lambda rule: rule.at_zero or "as any value", ("as any value", "fails", "contact")),
    "concession": (lambda rule: "allowed" if rule.concedable else "refused", ("allowed", "refused")),
}
"""Term -> how it reads, and its text from the laxest to the strictest."""

_JUDGED: dict[str, Callable[[Rule], str]] = {
    "quantity": lambda rule: rule.quantity_text,
    "for_each": lambda rule: rule.for_each,
    "applies": lambda rule: (
        "; ".join(f"{path} {' or '.join(words)}" for path, words in rule.applies.items()) or "always"
    ),
}


def differences(old: Rule, new: Rule) -> Iterator[RuleDifference]:
    """What the newer rule judges otherwise, and how; words that judge nothing aside.

    Of a limit that both have ``laxer`` says nothing: it may lean on what the build holds.
    """
    for side in BOUNDS:
        before, after = (rule.bounds[side].text if side in rule.bounds else "none" for rule in (old, new))
        if before != after:
            yield RuleDifference(side, before, after, after == "none")
    for what, reads in _JUDGED.items():
        if reads(old) != reads(new):
            yield RuleDifference(what, reads(old), reads(new), True)
    if old.controls != new.controls:
        yield RuleDifference(
            "controls", old.controls or NOTHING, new.controls or NOTHING, new.controls in ("", NOTHING)
        )
    if old.fuels != new.fuels:
        before, after = (" and ".join(rule.fuels) or "all" for rule in (old, new))
        yield RuleDifference("fuels", before, after, bool(old.fuels) and not set(new.fuels or ("",)) <= set(old.fuels))
    for what, (reads, words) in _STRICTER.items():
        if reads(old) != reads(new):
            yield RuleDifference(what, reads(old), reads(new), words.index(reads(new)) < words.index(reads(old)))


def replaced_terms(rule: Rule) -> Iterator[RuleDifference]:
    """How a rule differs from the one that it replaces, without limits that the two have in common."""
    old = rule.replaces
    if old is not None:
        common = judges_the_same(old, rule)
        yield from (one for one in differences(old, rule) if one.what not in rule.bounds or not common)


def judges_the_same(old: Rule, new: Rule) -> bool:
    """Whether both judge one value of the same subjects, so that their limits can be held against each other."""
    return all(reads(old) == reads(new) for reads in _JUDGED.values())
