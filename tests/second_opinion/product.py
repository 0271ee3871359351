"""What the product says: the answer to a command, and its result of one rule on one subject."""

from __future__ import annotations

import io
import json
from contextlib import redirect_stdout
from typing import Any

from buildcheck.cli.main import main


def answer(*command: str) -> dict[str, Any]:
    """What a command prints as JSON."""
    with redirect_stdout(io.StringIO()) as out:
        main([*command, "--format", "json"])
    return dict(json.loads(out.getvalue()))


def result_on(result: dict[str, Any], rule: str, valve: str, cylinder: int | None) -> dict[str, Any]:
    """A build's result on one subject; what is alike for all cylinders, or valves, is reported once."""
    own = [one for one in result["results"] if one["rule"] == rule]
    own = [one for one in own if one["subject"].get("valve", "") in ("", valve)]
    [found] = [one for one in own if one["subject"].get("cylinder", cylinder) == cylinder]
    return dict(found)
