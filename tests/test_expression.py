"""Arithmetic in rules: grammar, precedence, literals with units; whatever else is said, nothing runs."""

from __future__ import annotations

import pytest

from buildcheck.core.subject import BUILD, Subject
from buildcheck.core.value import Undecided, Value
from buildcheck.rules.dimensions import KindError
from buildcheck.rules.expression import Expression, ExpressionError, Literal, expression, kind_of, names

VALUES = {"a": 6.0, "b": -2.0, "c.d": 4.0, "c.{valve}.e": 10.0}


class Given:
    """The names of these tests, the same on every subject."""

    def lookup(self, name: str, subject: Subject) -> Value:
        return Value(VALUES[name], "ratio", {name: 0.5})


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("a", 6),
        ("a+b", 4),
        ("a - b - c.d", 4),
        ("a - (b - c.d)", 12),
        ("a + b * c.d", -2),
        ("(a + b) * c.d", 16),
        ("a / b / 2", -1.5),
        ("a / (b / 2)", -6),
        ("a * b / c.d * 2", -6),
        ("abs(b)", 2),
        ("abs(a * b) - abs(b)", 10),
        ("abs(a - (b + 9)) * 3", 3),
        ("c.{valve}.e - 1/2", 9.5),
        ("  a  ", 6),
        ("((((a))))", 6),
        ("2 * 3 + 4", 10),
        ("1.5e2 * a", 900),
        ("2e-1 * c.{valve}.e", 2),
    ],
)
def test_arithmetic(text: str, value: float) -> None:
    assert expression(text).evaluate(Given(), BUILD).si == pytest.approx(value)


@pytest.mark.parametrize(
    ("text", "si", "kind"),
    [
        ("0.060 in", 0.001524, "length"),
        ("5/16 in", 0.0079375, "length"),
        ("1 1/2 in", 0.0381, "length"),
        ('0.050"', 0.00127, "length"),
        ("-0.25 mm", -0.00025, "length"),
        ("62 cc", 62e-6, "volume"),
        ("20 degC", 293.15, "temperature"),
        ("25 %", 0.25, "ratio"),
        ("13", 13, "ratio"),
        ("320 lbf/in", 320 * 4.4482216152605 / 0.0254, "rate"),
        ("2 * 5/16 in", 0.015875, "length"),
        ("5/16 in * 2", 0.015875, "length"),
        ("1 1/2 in - 1 in", 0.0127, "length"),
        ("8/16 in + 2.54 mm", 0.01524, "length"),
        ("2 * 3 mm", 0.006, "length"),
        ("10 N / 2 mm", 5000, "rate"),
        ("30 deg / 2", 15, "angle"),
    ],
)
def test_values_with_their_units(text: str, si: float, kind: str) -> None:
    found = expression(text).evaluate(Given(), BUILD)
    assert (found.si, found.kind) == (pytest.approx(si), kind)


def test_a_literal_may_state_its_own_uncertainty() -> None:
    assert expression("0.060 in +/- 0.002 in").evaluate(Given(), BUILD).expanded == pytest.approx(0.0000508)


def test_uncertainty_goes_through_and_abs_turns_its_sign() -> None:
    assert expression("a - b").evaluate(Given(), BUILD).expanded == pytest.approx(2 * 0.5 * 2**0.5)
    assert expression("abs(b) + b").evaluate(Given(), BUILD).expanded == 0
    assert expression("abs(a) - a").evaluate(Given(), BUILD).expanded == 0


def test_dividing_by_nothing_is_undecided() -> None:
    with pytest.raises(Undecided):
        expression("a / (b + 2)").evaluate(Given(), BUILD)


def test_all_names_are_reported_left_to_right() -> None:
    assert list(names(expression("abs(a - c.d) / (c.{valve}.e * a) + 0.1 in"))) == ["a", "c.d", "c.{valve}.e", "a"]


@pytest.mark.parametrize(
    "text",
    [
        "", " ", "a +", "+ a", "-a", "a b", "a..b", ".a", "a.", "A", "a b +", "(a", "a)", "()", "abs(", "abs()",
        "abs a",
        "min(a, b)", "a.b()", "a[0]", "a ** 2", "a // 2", "a % 2", "a ^ 2", "a = b", "a == b", "a < b", "a, b", "a; b",
        "not a", "a and b", "lambda: a", "__import__('os')", "a.__class__", "_a", "a._b", "a if b else a", "{valve}",
        "{valve}.a", "a.{cylinder}", "a\nb", "a\tb", "a × b", "a − b", "٣ in", "½ in + a", "a + 010 in", "a + 1e99 in",
        "1 in in", "0x10", "1_000", "1,000 in", "5 furlongs", "a + 5 inch es", "'a'", '"a"', "a # b", "\x00",
    ],
)  # fmt: skip
def test_anything_else_is_refused(text: str) -> None:
    with pytest.raises(ExpressionError):
        expression(text)


def nested(opening: str, depth: int) -> str:
    return opening * depth + "a" + ")" * depth


@pytest.mark.parametrize("opening", ["(", "abs("])
def test_brackets_go_twenty_deep_and_no_deeper(opening: str) -> None:
    assert expression(nested(opening, 20)).evaluate(Given(), BUILD).si == 6
    with pytest.raises(ExpressionError, match="deeper than 20"):
        expression(nested(opening, 21))


def test_brackets_beside_each_other_are_not_deep() -> None:
    assert expression("+".join(["(a)"] * 40)).evaluate(Given(), BUILD).si == 240


def test_length_ends_at_two_hundred_characters() -> None:
    assert expression("+".join("a" * 100)).evaluate(Given(), BUILD).si == 600
    with pytest.raises(ExpressionError, match="longer than 200"):
        expression("+".join("a" * 101))


def test_where_it_stops_is_reported() -> None:
    with pytest.raises(ExpressionError, match=r"at character 5, found '\* b'"):
        expression("a + * b")


def kind_of_name(name: str) -> str:
    return {"lift": "length", "load": "force", "stiff": "rate", "name": "text"}[name]


@pytest.mark.parametrize(
    ("text", "kind"),
    [("load + stiff * lift", "force"), ("load / stiff - abs(lift)", "length"), ("lift / 5 mm", "ratio")],
)
def test_kind_of_a_tree(text: str, kind: str) -> None:
    assert kind_of(expression(text), kind_of_name) == kind


@pytest.mark.parametrize("text", ["load + lift", "abs(load) - stiff", "name", "lift + 1", "lift - 1 lbf", "name * 2"])
def test_kinds_that_cannot_meet(text: str) -> None:
    with pytest.raises(KindError):
        kind_of(expression(text), kind_of_name)


def test_one_quantity_is_a_literal_and_two_are_not() -> None:
    single: Expression = expression("0.060 in")
    assert isinstance(single, Literal)
    assert not isinstance(expression("0.060 in + 0.001 in"), Literal)
