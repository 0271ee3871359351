"""Well-written files of every kind are accepted, and between them they use every field there is."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from buildcheck.schema.fields import field_kinds, schema_names
from buildcheck.schema.validation import validate
from buildcheck.yamlio.documents import plain, read_file

EXAMPLES = sorted((Path(__file__).parent / "schema_examples").glob("*.yaml"))


def schema_of(path: Path) -> str:
    return path.stem.partition("-")[0]


def fields(data: Any, path: str) -> Iterator[str]:
    """The dotted paths of all values, list positions left out."""
    if isinstance(data, dict):
        for key, child in data.items():
            yield from fields(child, f"{path}.{key}")
    elif isinstance(data, list):
        for child in data:
            yield from fields(child, path)
    else:
        yield path


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_an_example_is_accepted(path: Path) -> None:
    document = read_file(path, path.name)
    assert document.root is not None
    assert [*document.problems, *validate(schema_of(path), document.root, document.file)] == []


def test_there_are_examples_of_every_kind_of_file() -> None:
    assert {schema_of(path) for path in EXAMPLES} == set(schema_names())


def test_between_them_they_use_every_field() -> None:
    roots = [(schema_of(path), read_file(path, path.name).root) for path in EXAMPLES]
    used = {field for name, root in roots if root for field in fields(plain(root), name)}
    values = {path for path in field_kinds() if path.split(".")[-1] not in ("note", "part", "uses")}
    # the other clearances are as the intake's
    alike = {path for path in values if path.startswith(("clearances.exhaust", "clearances.each"))}
    alike |= {path for path in values if path.startswith("clearances.intake") and path.count(".") > 2}
    assert len(values - alike) > 150
    assert values - alike - used == set(), "write each field into its file in tests/schema_examples"


def test_what_shops_share_may_use_a_part() -> None:
    may_use = {path.removesuffix(".uses") for path in field_kinds() if path.endswith(".uses")}
    assert {path for path in may_use if not path.startswith("clearances.")} == {
        "block", "cam", "cam.exhaust", "cam.intake", "cam.lifter", "heads", "heads.gasket", "heads.springs.exhaust",
        "heads.springs.intake", "heads.valves.exhaust", "heads.valves.intake", "marks.length_gauge",
        "marks.mark_gauge", "marks.shop", "motion.gauge", "pushrods", "pushrods.checker",
        "pushrods.checker.ends", "pushrods.checker.ends.lifter",
        "pushrods.checker.ends.rocker", "pushrods.ends", "pushrods.ends.lifter", "pushrods.ends.rocker", "rockers",
        "rockers.tip",
    }  # fmt: skip
    assert "clearances.gauge" in may_use


def test_every_mapping_may_carry_a_note_and_a_part() -> None:
    carried = {path.rpartition(".")[0] for path in field_kinds() if path.endswith(".note")}
    assert carried == {path.rpartition(".")[0] for path in field_kinds() if path.endswith(".part")}
    assert {"marks", "marks.valves.trials.mark", "pushrods.ends", "cam.lifter.preload", "concessions"} <= carried
