"""Records: what the code relies on when it passes them from stage to stage."""

from __future__ import annotations

import ast
import pickle
from copy import deepcopy
from functools import cached_property

import pytest
from sources import MODULES, tree

from buildcheck.core.problem import Place, Problem
from buildcheck.record import Record, field_names, field_values, replace


class Gauge(Record):
    name: str
    step: float = 0.001
    readers: tuple[str, ...] = ()


class Rule(Record):
    name: str
    step: float = 0.001
    readers: tuple[str, ...] = ()


class Empty(Record):
    """No field."""


class Worked(Record):
    __slots__ = ("__dict__",)

    one: int

    @cached_property
    def twice(self) -> int:
        return 2 * self.one


def test_fields_are_filled_by_position_by_name_and_by_default():
    assert field_values(Gauge("dial", readers=("A",))) == ("dial", 0.001, ("A",))
    assert field_names(Gauge) == field_names(Gauge("dial")) == ("name", "step", "readers")


def test_records_are_equal_if_their_class_and_fields_are():
    assert Gauge("dial") == Gauge("dial", 0.001)
    assert Gauge("dial") != Gauge("dial", 0.002)
    assert Gauge("dial") != Rule("dial")
    assert Gauge("dial") != ("dial", 0.001, ())
    assert Empty() == Empty()
    assert len({Gauge("dial"), Gauge("dial"), Rule("dial"), Empty(), Empty()}) == 3


def test_the_hash_of_a_record_with_a_list_is_refused():
    with pytest.raises(TypeError, match="unhashable"):
        hash(Gauge("dial", readers=["A"]))  # type: ignore[arg-type]


@pytest.mark.parametrize("name", ["step", "unknown"])
def test_a_record_cannot_be_changed(name):
    gauge = Gauge("dial")
    with pytest.raises(AttributeError, match=f"Gauge.{name} cannot be changed"):
        setattr(gauge, name, 1.0)
    with pytest.raises(AttributeError, match=f"Gauge.{name} cannot be deleted"):
        delattr(gauge, name)
    assert gauge == Gauge("dial")


@pytest.mark.parametrize(("values", "named"), [((), {}), (("a", 1, (), 2), {}), (("a",), {"unknown": 1})])
def test_missing_and_unknown_fields_are_refused_at_the_first_record_and_later(values, named):
    class Fresh(Record):
        name: str
        step: float = 0.001
        readers: tuple[str, ...] = ()

    for _ in range(2):
        with pytest.raises(TypeError):
            Fresh(*values, **named)


def test_replace_changes_some_fields_of_a_copy():
    gauge = Gauge("dial", 0.002)
    assert replace(gauge, step=0.005) == Gauge("dial", 0.005)
    assert gauge.step == 0.002
    with pytest.raises(TypeError):
        replace(gauge, unknown=1)


def test_a_record_shows_its_fields():
    assert repr(Gauge("dial")) == "Gauge(name='dial', step=0.001, readers=())"
    assert repr(Empty()) == "Empty()"


def test_a_record_is_matched_by_position():
    match Gauge("dial", 0.002):
        case Gauge(name, step):
            assert (name, step) == ("dial", 0.002)
        case _:
            pytest.fail("no match")


def test_a_record_survives_pickling_and_copying():
    for gauge in (Gauge("dial", readers=("A",)), Worked(3), Empty()):
        assert pickle.loads(pickle.dumps(gauge)) == deepcopy(gauge) == gauge


def test_a_cached_property_is_computed_once_and_is_no_field():
    worked = Worked(2)
    assert worked.twice == worked.twice == worked.__dict__["twice"] == 4
    assert worked == Worked(2)


def test_problems_are_sorted_by_place_path_and_message():
    problems = [Problem(Place("b"), "", ""), Problem(Place("a", 2), "", ""), Problem(Place("a", 2), "", "x")]
    assert sorted(problems) == [problems[1], problems[2], problems[0]]


def test_every_module_uses_records_and_postpones_annotations():
    """``dataclasses`` would be imported and decorate at every start; a record reads the names of its annotations."""
    for name, path in MODULES.items():
        text = path.read_text(encoding="utf-8")
        assert "import dataclass" not in text, f"{name}: use buildcheck.record.Record"
        if "(Record)" in text and any(isinstance(node, ast.ClassDef) for node in tree(path).body):
            assert "from __future__ import annotations" in text, name
