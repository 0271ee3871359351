"""The same build in other words ends the same: millimetres for inches, other quotes, order of keys, comments."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from decimal import Decimal
from fractions import Fraction
from pathlib import Path
from random import Random
from typing import Any

import pytest
from rewritten import copied

from buildcheck.app.build_check import CheckedBuild, quantities
from buildcheck.app.run import run
from buildcheck.yamlio.documents import plain, read_file

SIX, FLAT, PAD_TIP = "example_build", "tests/builds/flat_four_solid", "tests/builds/inline_four_pad"
INCHES = re.compile(r"(?<![\w./-])([0-9]+(?:\.[0-9]+)?|[0-9]+/[0-9]+) in\b")


def in_millimetres(file: Path) -> None:
    def millimetres(found: re.Match[str]) -> str:
        exact = Fraction(found[1]) * Fraction("25.4")
        written = Decimal(exact.numerator) / Decimal(exact.denominator)
        assert Fraction(written) == exact
        return f"{written} mm"

    file.write_text(INCHES.sub(millimetres, file.read_text(encoding="utf-8")), encoding="utf-8")


def shuffled(value: Any, random: Random) -> Any:
    if isinstance(value, dict):
        keys = list(value)
        random.shuffle(keys)
        return {key: shuffled(value[key], random) for key in keys}
    return [shuffled(one, random) for one in value] if isinstance(value, list) else value


def in_json(file: Path) -> None:
    """Every key in another place, every word in quotes, nothing in block style."""
    root = read_file(file, file.name).root
    assert root is not None
    file.write_text(json.dumps(shuffled(plain(root), Random(7)), default=float), encoding="utf-8")


def with_comments(file: Path) -> None:
    lines = file.read_text(encoding="utf-8").splitlines()
    keyed = [f"{line}  # {n}: [not, {{a: value}}]" if re.fullmatch(r"[a-z_ ]+: [\w. ]+", line) else line
             for n, line in enumerate(lines)]  # fmt: skip
    assert keyed != lines or len(lines) < 8
    file.write_text("# of no account\n\n" + "\n".join(keyed) + "\nnote: of no account\n" * (not _noted(lines)), "utf-8")


def _noted(lines: list[str]) -> bool:
    return any(line.startswith("note:") for line in lines)


def checked(to: Path, folder: str, rewrite: Callable[[Path], None] | None = None) -> CheckedBuild:
    build = copied(to, folder)
    for file in build.glob("*.yaml") if rewrite else ():
        assert rewrite is not None
        rewrite(file)
    found = run([build]).builds[0]
    assert found.problems == ()
    return found


def judgements(found: CheckedBuild) -> dict[tuple[str, str], tuple[str, bool, float | None]]:
    return {
        (one.rule, one.subject.key): (one.kind, one.blocks, one.value and round(one.value.si, 10))
        for one in found.results
    }


def without_risk(found: dict[Any, tuple[str, bool, float | None]]) -> dict[Any, tuple[str, bool, float | None]]:
    """Without the value of the order's risk: limits in millimetres are round numbers of their own."""
    return {key: (*value[:2], None) if key[0] == "assumed-valves-safe" else value for key, value in found.items()}


def ordered(found: CheckedBuild) -> list[tuple[float, int, int]]:
    return [(round(line.length.stated, 10), line.count, line.spares) for line in found.order.lines]


@pytest.mark.parametrize("folder", [SIX, FLAT])
def test_in_millimetres(folder: str, tmp_path: Path) -> None:
    before, after = checked(tmp_path / "before", folder), checked(tmp_path / "after", folder, in_millimetres)
    assert (before.facts.system, after.facts.system) == ("inch", "metric")
    assert without_risk(judgements(after)) == without_risk(judgements(before))
    assert ordered(after) == ordered(before)
    result = dict(quantities(before.facts))
    for name, values in quantities(after.facts):
        for subject, value in values.items() if name != "order_risk" else ():
            same = result[name][subject]
            assert value.si == pytest.approx(same.si, rel=1e-9, abs=1e-12), name
            assert value.expanded == pytest.approx(same.expanded, rel=1e-6, abs=1e-12), name


@pytest.mark.parametrize("rewrite", [in_json, with_comments])
@pytest.mark.parametrize("folder", [SIX, PAD_TIP])
def test_in_other_words(folder: str, rewrite: Callable[[Path], None], tmp_path: Path) -> None:
    before, after = checked(tmp_path / "before", folder), checked(tmp_path / "after", folder, rewrite)
    assert judgements(after) == judgements(before)
    assert ordered(after) == ordered(before)
