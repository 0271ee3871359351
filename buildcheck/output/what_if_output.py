"""The answer to a what-if, as text for the bench and as JSON for scripts."""

from __future__ import annotations

from typing import Any

from buildcheck.advice.assumptions import Assumption
from buildcheck.advice.what_if import WhatIf
from buildcheck.advice.what_if_effects import Effect
from buildcheck.app.build_check import CheckedBuild
from buildcheck.core.escape import at_line_start, one_line
from buildcheck.ordering.order import Order
from buildcheck.output.json import amount, document, line_fields, value_fields
from buildcheck.output.json_rows import subject_fields
from buildcheck.output.value_wording import spread_kind, value_text
from buildcheck.output.wording import line_text
from buildcheck.units.quantity import show


def text(checked: CheckedBuild, answer: WhatIf) -> str:
    """One effect a line, then the order."""
    system = checked.facts.system
    assumed = ", ".join(_assumed(one, system) for one in answer.assumed)
    lines = [
        f"{at_line_start(checked.build.name)} ({one_line(checked.build.display_path)})",
        "",
        f"Assumed: {assumed}.",
    ]
    lines += [f"  {_effect(one, system)}" for one in answer.effects]
    lines += [f"  not known then, {what}: {one_line(why)}" for what, why in answer.undetermined]
    lines.append(f"  order now: {_order(answer.before, system)}")
    lines.append(f"  order then: {_order(answer.after, system)}")
    return "\n".join(lines) + "\n"


def data(checked: CheckedBuild, answer: WhatIf) -> str:
    """One JSON object."""
    system = checked.facts.system
    return document(
        "what-if",
        {
            "folder": checked.build.display_path,
            "name": checked.build.name,
            "assumed": {_key(one): one.written for one in answer.assumed},
            "assumed_as": {_key(one): "absolute" if one.absolute else "added" for one in answer.assumed},
            "effects": [_effect_fields(one, system) for one in answer.effects],
            "order": {
                "now": [line_fields(line, system) for line in answer.before.lines],
                "then": [line_fields(line, system) for line in answer.after.lines],
            },
            "untold": [{"what": what, "reason": why} for what, why in answer.undetermined],
        },
    )


def _assumed(one: Assumption, system: str) -> str:
    """What was assumed, as a new value or added to what the engine has now."""
    present = f", now {value_text(one.present, system)}" if one.present is not None else ""
    return f"{one.shown} {one_line(one.written)} ({f'absolute{present}' if one.absolute else 'added'})"


def _key(one: Assumption) -> str:
    return f"{one.valve}.{one.name}" if one.valve else one.name


def _effect(effect: Effect, system: str) -> str:
    head = f"{effect.subject.text}: " if effect.subject.text else ""
    remark = f" ({effect.remark})" if effect.remark else ""
    if effect.now is None:
        return f"{head}{effect.title}: {_change(effect.then.si, effect.then.kind, system)}{remark}"
    change = _change(effect.then.si - effect.now.si, effect.then.kind, system)
    return (
        f"{head}{effect.title}: {value_text(effect.now, system)} → {value_text(effect.then, system)}, {change}{remark}"
    )


def _change(si: float, kind: str, system: str) -> str:
    return ("+" if si > 0 else "") + show(si, spread_kind(kind), system)


def _order(order: Order, system: str) -> str:
    return "; ".join(line_text(line, system) for line in order.lines) or "the length cannot be determined yet"


def _effect_fields(effect: Effect, system: str) -> dict[str, Any]:
    now = effect.now
    change = effect.then.si - now.si if now is not None else effect.then.si
    return {
        "title": effect.title,
        "subject": subject_fields(effect.subject),
        "now": value_fields(now, system) if now is not None else None,
        "then": value_fields(effect.then, system) if now is not None else None,
        "change": amount(change, spread_kind(effect.then.kind), system),
        "said": effect.remark,
    }
