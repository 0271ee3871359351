"""Growth with heat, against a printed example and a rocker solved as a lever."""

from __future__ import annotations

import pytest

from buildcheck.formulas import thermal_expansion as g

BLOCK, HEAD, ROD, STEM, RATIO = 0.150, 0.100, 0.230, 0.120, 1.6


def test_growth_of_a_printed_pushrod():
    """Bansal, Strength of Materials, Problem 1.28, p. 43: 200 cm, 70 °C, 12e-6 → 0.168 cm."""
    assert g.growth(2.00, 12e-6, 70) == pytest.approx(0.168e-2)


@pytest.mark.parametrize(
    ("material", "low", "high"),
    [
        ("aluminium alloy", 21.5, 23.6),
        ("ductile iron", 10.6, 11.2),
        ("grey cast iron", 10.8, 11.4),
        ("steel", 11.3, 11.7),
        ("austenitic stainless steel", 16.0, 17.2),
        ("martensitic stainless steel", 10.2, 10.8),
        ("titanium alloy", 8.6, 9.4),
    ],
)
def test_coefficients_cover_the_handbook(material, low, high):
    """Callister, Fundamentals of Materials Science and Engineering, 3rd ed,
    Table B.6; grey iron, steels and titanium from memory.
    """
    found = g.expansion(material)
    furthest = max(abs(found.coefficient - end * 1e-6) for end in (low, high))
    assert furthest <= found.expanded + 1e-12 <= furthest + 0.6e-6
    assert "Callister" in found.source


def test_unknown_material_names_the_known_ones():
    with pytest.raises(ValueError, match="grey cast iron"):
        g.expansion("cast iron")


def heat(head, block="grey cast iron", rise=70.0):
    coefficient = {name: g.expansion(name).coefficient for name in g.EXPANSION}
    pivot = g.growth(HEAD, coefficient[head], rise) + g.growth(BLOCK, coefficient[block], rise)
    return pivot, g.growth(ROD, coefficient["steel"], rise)


def test_tip_rising_with_the_pivot_leaves_the_plain_difference():
    """ΔT·(α_head·H_head + α_block·H_block − α_rod·L)."""
    pivot, rod = heat("aluminium alloy")
    plain = 70 * (23e-6 * HEAD + 11e-6 * BLOCK - 12e-6 * ROD)
    assert g.gap_growth(pivot, rod, RATIO) == pytest.approx(plain)
    assert g.gap_growth(pivot, rod, 1.2) == pytest.approx(plain)


def test_gap_of_a_rocker_solved_as_a_lever():
    """Pivot, tip and pushrod end stand on one line; valve arm R, pushrod arm 1."""
    pivot, rod, tip = 0.40e-3, 0.15e-3, 0.55e-3
    rod_end = pivot + (pivot - tip) / RATIO
    assert g.gap_growth(pivot, rod, RATIO, tip) == pytest.approx(rod_end - rod)


def test_aluminium_loses_preload_and_iron_hardly():
    loss = {head: 0.001 - g.preload_hot(0.001, g.gap_growth(*heat(head), RATIO)) for head in g.EXPANSION}
    assert loss["aluminium alloy"] == pytest.approx(83e-6, abs=1e-6)
    assert abs(loss["grey cast iron"]) < 10e-6


def test_a_hot_exhaust_stem_can_turn_the_sign():
    pivot, rod = heat("aluminium alloy")
    excess = g.stem_excess(STEM, 12e-6, 300, 23e-6, 70)
    with_stem = g.gap_growth(pivot, rod, RATIO, pivot + excess)
    assert with_stem == pytest.approx(g.gap_growth(pivot, rod, RATIO) - excess / RATIO)
    assert with_stem < 0 < g.gap_growth(pivot, rod, RATIO)


def test_lash_grows_by_the_ratio_times_the_gap():
    assert g.lash_hot(0.0004, 0.0001, RATIO) - 0.0004 == pytest.approx(RATIO * 0.0001)
    with pytest.raises(ValueError, match="ratio"):
        g.gap_growth(0.0004, 0.0001, 0)
    with pytest.raises(ValueError, match="length"):
        g.growth(-0.1, 12e-6, 70)
