"""A mark that lies sideways on the tip: the guide plate, the stand or a twisted rocker, never the pushrod."""

from __future__ import annotations

from pathlib import Path

import pytest
from altered import SIX, altered
from test_states import INTAKE_1, result

from buildcheck.output.finding_wording import message

LAST = "{length: 9.4255 in, mark: {from: 0.145 in"


@pytest.mark.parametrize(("across", "kind"), [("0.010 in", "pass"), ("-0.045 in", "fail"), ("0.031 in", "open")])
def test_more_than_thirty_thousandths_sideways_is_a_warning(tmp_path: Path, across: str, kind: str) -> None:
    found = altered(tmp_path, SIX, ("marks.yaml", LAST, f"{{across: {across}, {LAST[1:]}"))
    own = result(found, "mark-across", INTAKE_1)
    assert (own.kind, own.blocks) == (kind, False)
    if kind == "fail":
        assert "guide plate" in message(found, own)


def test_without_the_reading_the_rule_does_not_apply(tmp_path: Path) -> None:
    assert result(altered(tmp_path, SIX), "mark-across", INTAKE_1).kind == "notApplicable"
