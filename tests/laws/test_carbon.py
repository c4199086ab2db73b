"""Embodied carbon against sums by hand and published factors."""

from __future__ import annotations

import pytest

from hardpan.errors import LawError
from hardpan.laws import carbon
from hardpan.laws.ranges import outside

# 0.1 kg CO2e a tonne and kilometre; common practice, no source.
HAUL = 0.1 / (1000 * 1000)


def test_cement_haul_and_fuel_of_a_street() -> None:
    # By hand: 94.36 t x 850; 94.36 t x 20 km x 0.1; 2 days x 8 h x 3 machines x 40 L/h x 2.7.
    sums = carbon.treatment_carbon(
        94_360.0, 0.85, haul_distance=20_000.0, haul_factor=HAUL, fuel=1920.0, fuel_factor=2.7
    )
    assert dict(sums.items) == pytest.approx({"cement": 80_206.0, "haul": 188.72, "fuel on site": 5184.0})
    assert sums.total == pytest.approx(85_578.72)
    assert sums.per_area(3600.0) == pytest.approx(23.77, abs=0.005)


def test_digging_out_hauls_both_ways() -> None:
    # By hand: 3,483 t x 6; 3,078 t x 20 km x 0.1; 3,483 t x 30 km x 0.1; 1,000 L x 2.7.
    sums = carbon.dig_out_carbon(
        3_078_000.0,
        3_483_000.0,
        granular_factor=0.006,
        spoil_haul_distance=20_000.0,
        granular_haul_distance=30_000.0,
        haul_factor=HAUL,
        fuel=1000.0,
        fuel_factor=2.7,
    )
    expected = {"granular": 20_898.0, "haul of spoil": 6156.0, "haul of granular": 10_449.0, "fuel on site": 2700.0}
    assert dict(sums.items) == pytest.approx(expected)


def test_published_factors_lie_in_the_declared_range() -> None:
    # CBAM transitional default (2023) 0.81, direct; PCA industry-average EPDs (from memory): 0.846, 0.922, 1.040.
    assert outside(carbon.treatment_carbon, cement_factor=[0.81, 0.846, 0.922, 1.040]) == ()
    assert [left.argument for left in outside(carbon.treatment_carbon, cement_factor=850.0)] == ["cement_factor"]


def test_impossible_input_says_what_was_given_and_what_is_allowed() -> None:
    with pytest.raises(LawError, match=r"^cement_factor: given -0.8; allowed: 0 or more"):
        carbon.treatment_carbon(1.0, -0.8)
    with pytest.raises(LawError, match=r"^spoil_haul_distance: given -1.0; allowed: 0 or more"):
        carbon.dig_out_carbon(1.0, 1.0, granular_factor=0.006, spoil_haul_distance=-1.0)


def test_what_is_not_named_emits_nothing() -> None:
    assert dict(carbon.treatment_carbon(10.0, 0.9).items) == {"cement": 9.0, "haul": 0.0, "fuel on site": 0.0}
    unpriced = carbon.treatment_carbon(10.0, 0.9, haul_distance=1e6, fuel=1e6)
    unused = carbon.treatment_carbon(10.0, 0.9, haul_factor=1e6, fuel_factor=1e6)
    assert unpriced == unused == carbon.treatment_carbon(10.0, 0.9)
    nothing = {"granular": 12.0, "haul of spoil": 0.0, "haul of granular": 0.0, "fuel on site": 0.0}
    assert dict(carbon.dig_out_carbon(3.0, 4.0, granular_factor=3.0).items) == nothing
    distances = carbon.dig_out_carbon(
        3.0, 4.0, granular_factor=3.0, spoil_haul_distance=1e6, granular_haul_distance=1e6, fuel=1e6
    )
    factors = carbon.dig_out_carbon(3.0, 4.0, granular_factor=3.0, haul_factor=1e6, fuel_factor=1e6)
    assert dict(distances.items) == dict(factors.items) == nothing
