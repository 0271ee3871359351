"""What a builder may write as a value, what it comes to, and what is refused with which words."""

from __future__ import annotations

from decimal import Decimal

import pytest

from buildcheck.units.quantity import KINDS, QuantityError, check_format, parse, quoted

IN = Decimal("0.0254")


@pytest.mark.parametrize(
    ("text", "inches"),
    [
        ("0.560 in", "0.560"),
        (".050 in", "0.050"),
        ('0.050"', "0.05"),
        ("0.050 inches", "0.05"),
        ("7.412in", "7.412"),
        ("5/16 in", "0.3125"),
        ("5⁄16 in", "0.3125"),
        ("1 1/2 in", "1.5"),
        ("1-1/2 in", "1.5"),
        ("1½ in", "1.5"),
        ("1 ½ in", "1.5"),
        ("½ in", "0.5"),
        ("-½ in", "-0.5"),
        ("−7 in", "-7"),
        ("-1 1/2 in", "-1.5"),
        ("+7 in", "7"),
        ("-0 in", "0"),
        ("0e999 in", "0"),
        ("7.412\u00a0in", "7.412"),
        (" 7.412 in ", "7.412"),
        ("5e-3 in", "0.005"),
        ("28 thou", "0.028"),
    ],
)
def test_lengths_that_mean_one_thing(text: str, inches: str) -> None:
    amount = parse(text, "length")
    assert amount.si == Decimal(inches) * IN
    assert (amount.kind, amount.expanded, amount.text) == ("length", None, text)
    assert not amount.si.is_signed() or amount.si < 0


@pytest.mark.parametrize(
    ("text", "kind", "si"),
    [
        ("30e6 psi", "pressure", "206842718795.0400841"),
        ("36 ksi", "pressure", "248211262.5540480921"),
        ("5 %", "ratio", "0.05"),
        ("1.6", "ratio", "1.6"),
        ("12 Nm", "torque", "12"),
        ("25 degC", "temperature", "298.15"),
        ("20 degF", "temperature difference", "11.1111111111"),
        ("1 cu in", "volume", "0.000016387064"),
        ("62 cc", "volume", "0.000062"),
        ("62 cm³", "volume", "0.000062"),
        ("108°", "angle", "108"),
        ("-4 deg", "angle", "-4"),
        ("300 lbf/in", "rate", "52538.0505739"),
        ("120 lbf", "force", "533.78659383126"),
    ],
)
def test_other_kinds_come_to_their_base_unit(text: str, kind: str, si: str) -> None:
    assert abs(parse(text, kind).si / Decimal(si) - 1) < Decimal("1e-11")


@pytest.mark.parametrize(
    ("text", "kind", "value", "expanded"),
    [
        ("9.412 in +/- 0.002 in", "length", "0.2390648", "0.0000508"),
        ("7.412 ± 0.002 in", "length", "0.1882648", "0.0000508"),
        ("1 in ± 0.05 mm", "length", "0.0254", "0.00005"),
        ("1 in +/-2 thou", "length", "0.0254", "0.0000508"),
        ("1 in ± 0 in", "length", "0.0254", "0"),
        ("68 degF ± 9 degF", "temperature", "293.15", "5"),
        ("5 % ± 1 %", "ratio", "0.05", "0.01"),
        ("1.6 ± 0.01", "ratio", "1.6", "0.01"),
    ],
)
def test_the_uncertainty_is_read_in_its_own_unit(text: str, kind: str, value: str, expanded: str) -> None:
    amount = parse(text, kind)
    assert (amount.si, amount.expanded) == (Decimal(value), Decimal(expanded))


@pytest.mark.parametrize(
    ("text", "kind", "answer"),
    [
        ("7.412", "length", "no unit: write a length such as 0.560 in or 14.2 mm"),
        ("7,412 in", "length", "a comma can mean thousands or decimals; write 7.412 or 7412"),
        ("1,000 lbf", "force", "a comma can mean thousands or decimals"),
        ("010 in", "length", "extra zero"),
        ("00.5 in", "length", "extra zero"),
        ("1 05/16 in", "length", "extra zero"),
        ("NaN in", "length", "does not begin with a number"),
        ("inf in", "length", "does not begin with a number"),
        ("1e400 in", "length", "too large to be plausible"),
        ("1e-400 in", "length", "too small to be plausible"),
        ("1e4000 in", "length", "not one number"),
        ("9**9**9 in", "length", "not one number"),
        ("1_000 in", "length", "not one number"),
        ("1/2/3 in", "length", "not one number"),
        ("1.5/2 in", "length", "not one number"),
        ("7.4.1 in", "length", "not one number"),
        ("1 2 in", "length", "not one number"),
        ("6' 2\"", "length", "not one number"),
        ("5/0 in", "length", "divides by zero"),
        ("1 5/4 in", "length", "not a mixed fraction"),
        ("7-8 in", "length", "looks like a range"),
        ("7–8 in", "length", "looks like a range"),
        ("7..8 in", "length", "looks like a range"),
        ("", "length", "the value is empty"),
        ("  ", "length", "the value is empty"),
        ("in", "length", "does not begin with a number"),
        ("about 7 in", "length", "does not begin with a number"),
        ("--7 in", "length", "does not begin with a number"),
        ("- 7 in", "length", "does not begin with a number"),
        ("(7 ± 1) in", "length", "does not begin with a number"),
        ("７ in", "length", "does not begin with a number"),
        ("7 in\n", "length", "holds a tab, line break or hidden character"),
        ("7\tin", "length", "holds a tab, line break or hidden character"),
        ("7\u202ein", "length", "holds a tab, line break or hidden character"),
        ("7\u200b in", "length", "holds a tab, line break or hidden character"),
        ("7" * 65, "length", "longer than 64 characters"),
        ("7 mils", "length", "write thou or mm (mil is used for both)"),
        ("7 IN", "length", "did you mean in?"),
        ("7 Mm", "length", "did you mean mm?"),
        ("7 inchs", "length", "write a length such as"),
        ("0x10 in", "length", "unit 'x10 in' is not known"),
        ("5e in", "length", "unit 'e in' is not known"),
        ("62 cc", "length", "is a volume; a length is wanted"),
        ("300 lb/in", "rate", "write lbf/in (force or mass?)"),
        ("120 lb", "force", "write lbf (force or mass?)"),
        ("120 lbs", "force", "write lbf (force or mass?)"),
        ("50 kg", "force", "write kgf or N (kg is a mass)"),
        ("300 lbf/in", "force", "is a rate; a force is wanted"),
        ("12 Nm", "force", "is a torque; a force is wanted"),
        ("12 N-m", "torque", "write Nm"),
        ("12 NM", "torque", "did you mean Nm?"),
        ("20 ft lbs", "torque", "write ft-lb"),
        ("25 C", "temperature", "write degC"),
        ("25 F", "temperature", "write degF"),
        ("-300 degC", "temperature", "below absolute zero"),
        ("350 cid", "volume", "write cu in"),
        ("108", "angle", "an angle such as 108 deg"),
        ("5 in", "ratio", "is a length; a ratio is wanted, such as 1.6"),
        ("1.6:1", "ratio", "unit ':1' is not known"),
        ("1.6 ± 1 %", "ratio", "write value and uncertainty both"),
        ("5 ± 1 %", "ratio", "write value and uncertainty both"),
        ("7 in ± 0.002", "length", "the uncertainty has no unit"),
        ("7 in ± -0.002 in", "length", "cannot be negative"),
        ("7 in ± 1 %", "length", "in the value's own unit, not in %"),
        ("7 in ± 1 ± 2 in", "length", "states two uncertainties"),
        ("7 in +- 1 in", "length", "write the uncertainty behind +/- or ±"),
        ("7 in ± 1 lbf", "length", "is a force; a length is wanted"),
        ("± 1 in", "length", "does not begin with a number"),
        ("7 in ±", "length", "does not begin with a number"),
        ("7 ± 1", "length", "no unit"),
    ],
)
def test_what_could_be_taken_two_ways_is_refused_with_the_cure(text: str, kind: str, answer: str) -> None:
    with pytest.raises(QuantityError) as error:
        parse(text, kind)
    assert answer in str(error.value)
    assert str(error.value).isprintable()


def test_half_an_inch_and_a_millimetre_meet_exactly_at_a_limit() -> None:
    assert parse("0.55 in", "length").si == parse("13.97 mm", "length").si


def test_every_kind_is_a_format() -> None:
    good = {
        "length": "1 in",
        "angle": "1 deg",
        "volume": "1 cc",
        "force": "1 N",
        "rate": "1 N/mm",
        "torque": "1 Nm",
    }
    good |= {"temperature": "1 degF", "temperature difference": "1 degF", "ratio": "1", "pressure": "1 psi"}
    good |= {"thread": "3/8-24"}
    assert set(good) == set(KINDS)
    for kind, text in good.items():
        check_format(kind, text)
        with pytest.raises(QuantityError):
            check_format(kind, "1 parsec")


def test_a_message_shows_the_value_cut_and_harmless() -> None:
    assert quoted("a" * 100) == "'" + "a" * 59 + "…'"
    assert quoted("\x1b[31m\u202e\n") == "'\\x1b[31m\\u202e\\n'"
