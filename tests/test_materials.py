"""What people write for a metal, and what is taken for it: never a plain steel for a stainless one."""

from __future__ import annotations

from pathlib import Path

import pytest
from altered import FLAT, SIX, altered, facts
from rewritten import ROOT, Edit, results

from buildcheck.cli.main import main
from buildcheck.core.subject import Subject
from buildcheck.core.value import Undecided
from buildcheck.formulas.thermal_expansion import EXPANSION
from buildcheck.quantities.materials import metal, metal_as_such

TIP = "  exhaust: {tip_diameter: 0.340 in +/- 0.002 in}"
NARROW: Edit = ("cam.yaml", "lash: 0.018 in", "lash: 0.010 in")


def stem(material: str) -> Edit:
    """The flat four's exhaust stem, 800 degF hot."""
    result = f"stem_length: 4.8 in, stem_material: {material}, stem_temperature: 800 degF"
    return "heads.yaml", TIP, f"{TIP[:-1]}, {result}}}"


@pytest.mark.parametrize(
    ("written", "expected"),
    [
        *((name, name) for name in EXPANSION),
        ("aluminum alloy", "aluminium alloy"),
        ("Aluminium", "aluminium alloy"),
        ("cast aluminum, A356-T6", "aluminium alloy"),
        ("gray cast iron", "grey cast iron"),
        ("cast iron", "grey cast iron"),
        ("GRAY  IRON class 40", "grey cast iron"),
        ("nodular iron", "grey cast iron"),
        ("4130 steel", "steel"),
        ("austenitic stainless steel 21-4N", "austenitic stainless steel"),
        ("martensitic stainless", "martensitic stainless steel"),
        ("Ti-6Al-4V titanium", "titanium alloy"),
    ],
)
def test_the_longest_name_in_a_text_is_meant(written: str, expected: str) -> None:
    assert metal(written) == expected


@pytest.mark.parametrize(
    ("written", "expected"),
    [
        ("stainless steel", "enter austenitic stainless steel or martensitic stainless steel"),
        ("304 stainless", "enter austenitic stainless steel or martensitic stainless steel"),
        ("austenitic steel", "enter austenitic stainless steel or martensitic stainless steel"),
        ("aluminium alloy, ductile iron liners", "names aluminium alloy and ductile iron: write one of aluminium"),
        ("A356 alloy", "names no metal with a known expansion: write one of aluminium alloy, austenitic"),
        ("ironwood", "names no metal"),
    ],
)
def test_what_may_be_several_metals_or_none_is_requested(written: str, expected: str) -> None:
    with pytest.raises(ValueError, match=expected):
        metal(written)


@pytest.mark.parametrize(
    "written", ["21-4N steel", "stainless steel", "austenitic stainless steel 21-4N", "chromoly steel"]
)
def test_a_stem_s_metal_is_written_as_such(tmp_path: Path, written: str) -> None:
    with pytest.raises(ValueError, match="is not the name of one metal"):
        metal_as_such(written)
    result = results(altered(tmp_path, FLAT, stem(written), stage="assembled"), "lash-hot", "exhaust")[0]
    assert (result.kind, str(result.place)) == ("open", "heads.yaml:7:86")
    assert f"'{written}' is not the name of one metal: " in result.message
    assert "austenitic stainless steel" in result.message


@pytest.mark.parametrize(
    ("written", "coefficient", "expected"),
    [
        (
            "austenitic stainless steel",
            17e-6,
            "a stem of austenitic stainless steel assumed to expand by (17 ± 1.5)e-6 per K",
        ),
        ("Titanium", 9e-6, "a stem of titanium alloy assumed to expand by (9 ± 0.6)e-6 per K"),
        (
            "martensitic stainless",
            10.5e-6,
            "a stem of martensitic stainless steel assumed to expand by (10.5 ± 0.6)e-6 per K",
        ),
        ("steel", 12e-6, "a stem of steel assumed to expand by (12 ± 0.7)e-6 per K"),
    ],
)
def test_a_stem_grows_as_its_own_metal_and_the_message_says_which(
    tmp_path: Path, written: str, coefficient: float, expected: str
) -> None:
    """Block and head of aluminium 6.400 and 4.150 in high, 60 to 220 degF; a steel pushrod of 10.59 in; ratio 1.4."""
    found = altered(tmp_path, FLAT, stem(written), NARROW, stage="assembled")
    pivot, rod = 23e-6 * (6.400 + 4.150) * 160 / 1.8, 12e-6 * 10.59 * 160 / 1.8
    more = 4.8 * (coefficient * 740 - 23e-6 * 160) / 1.8
    result = results(found, "lash-hot", "exhaust")[0]
    assert result.value is not None
    assert result.value.si / 0.0254 == pytest.approx(
        0.010 + 1.4 * (pivot * (1 + 1 / 1.4) - (pivot + more) / 1.4 - rod), abs=2e-5
    )
    assert expected in result.message


def test_an_austenitic_stem_takes_the_lash_that_a_plain_one_leaves(tmp_path: Path) -> None:
    plain, austenitic = (
        results(altered(tmp_path / name, FLAT, stem(name), NARROW, stage="assembled"), "lash-hot", "exhaust")[0]
        for name in ("steel", "austenitic stainless steel")
    )
    assert plain.kind == "pass"
    assert austenitic.kind in ("fail", "open")
    assert austenitic.value is not None
    assert austenitic.value.si < 0.001 * 0.0254


def test_a_pushrod_of_stainless_steel_is_not_taken_for_plain_steel(tmp_path: Path) -> None:
    edit = ("pushrods.yaml", "material: steel", "material: stainless steel")
    with pytest.raises(Undecided, match="can be either: enter austenitic"):
        facts(tmp_path, SIX, edit).get("gap_growth", Subject(None, "intake"))


@pytest.mark.parametrize(
    ("field", "names"),
    [
        ("block.material", ["aluminium alloy", "ductile iron", "grey cast iron", "steel"]),
        ("heads.material", ["aluminium alloy", "ductile iron", "grey cast iron", "steel"]),
        ("heads.valves.exhaust.stem_material",
         ["austenitic stainless steel", "martensitic stainless steel", "steel", "titanium alloy"]),
        ("pushrods.material", ["aluminium alloy", "austenitic stainless steel", "martensitic stainless steel", "steel",
                               "titanium alloy"]),
    ],
)  # fmt: skip
def test_explain_and_the_starter_list_what_may_be_written(
    capsys: pytest.CaptureFixture[str], field: str, names: list[str]
) -> None:
    assert set(names) <= set(EXPANSION)
    assert main(["explain", field, str(ROOT)]) == 0
    result = capsys.readouterr().out.lower()
    starter = (ROOT / f"buildcheck/cli/starter/{field.partition('.')[0]}.yaml").read_text(encoding="utf-8")
    for name in names:
        assert name in result
        assert name.removesuffix(" stainless steel") in starter
