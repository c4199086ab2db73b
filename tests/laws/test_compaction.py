"""Moisture-density points and what is made of them."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from hardpan.errors import LawError
from hardpan.laws import compaction, phases
from hardpan.laws.ranges import outside

WATERS = st.lists(st.integers(50, 400), min_size=4, max_size=9, unique=True)


@given(WATERS, st.floats(0.05, 0.40), st.floats(1400, 2100), st.floats(2e3, 4e4), st.integers(0, 2**32 - 1))
def test_fit_is_numpys_parabola(mils: list[int], peak: float, top: float, bend: float, seed: int) -> None:
    waters = np.array(mils) / 1000
    assume(np.ptp(waters) >= 0.03)
    densities = top - bend * (waters - peak) ** 2 + np.random.default_rng(seed).normal(0, 0.5, waters.size)
    assume(np.all(densities > 100))
    c, b, a = np.polyfit(waters, densities, 2)
    # the scatter must leave a curve that has a top, for the top itself to be well posed
    assume(c < -1000)
    optimum, maximum = compaction.fit_proctor(waters, densities)
    assert optimum == pytest.approx(-b / (2 * c), rel=1e-6, abs=1e-6)
    assert maximum == pytest.approx(a - b**2 / (4 * c), rel=1e-7)


@given(WATERS, st.floats(0.05, 0.40), st.floats(1400, 2100), st.floats(2e3, 4e4))
def test_fit_finds_the_top_of_an_exact_parabola(mils: list[int], peak: float, top: float, bend: float) -> None:
    waters = np.array(mils) / 1000
    densities = top - bend * (waters - peak) ** 2
    assume(np.ptp(waters) >= 0.03)
    assume(np.all(densities > 100))
    optimum, maximum = compaction.fit_proctor(waters, densities)
    assert (optimum, maximum) == pytest.approx((peak, top), rel=1e-8, abs=1e-8)


def test_order_of_the_points_does_not_matter() -> None:
    waters, densities = [0.12, 0.14, 0.17, 0.19, 0.21], [1590.0, 1648.0, 1662.0, 1630.0, 1571.0]
    there = compaction.fit_proctor(waters, densities)
    assert compaction.fit_proctor(waters[::-1], densities[::-1]) == pytest.approx(there, rel=1e-12)


def test_optimum_beyond_the_tested_waters_can_be_known() -> None:
    waters = [0.12, 0.14, 0.16, 0.18]
    optimum, _ = compaction.fit_proctor(waters, [1500.0, 1570.0, 1620.0, 1650.0])
    assert optimum == pytest.approx(0.20, abs=1e-9)  # gains of 70, 50, 30 at 0.13, 0.15, 0.17: none at 0.20
    assert not compaction.optimum_is_bracketed(waters, optimum)
    assert compaction.optimum_is_bracketed(waters, 0.18)
    assert compaction.optimum_is_bracketed(waters, 0.12)
    assert not compaction.optimum_is_bracketed(waters, 0.119)


def test_three_waters_are_too_few() -> None:
    with pytest.raises(LawError, match=r"water_contents: .*at least 4 different waters; compact another point"):
        compaction.fit_proctor([0.12, 0.14, 0.16, 0.16], [1580.0, 1640.0, 1600.0, 1610.0])


@pytest.mark.parametrize("densities", [[1500.0, 1550.0, 1600.0, 1650.0], [1650.0, 1600.0, 1600.0, 1650.0]])
def test_curve_without_a_top_raises(densities: list[float]) -> None:
    with pytest.raises(LawError, match=r"rise and then fall again; add points drier and wetter than these"):
        compaction.fit_proctor([0.12, 0.14, 0.16, 0.18], densities)


@pytest.mark.parametrize("densities", [[1500.0, 1550.0, 1600.0], [[1.0], [2.0], [3.0], [4.0]]])
def test_lists_must_match(densities: list[float]) -> None:
    with pytest.raises(LawError, match=r"one density for each water content, in two plain lists"):
        compaction.fit_proctor([0.12, 0.14, 0.16, 0.18], densities)


def test_lists_must_be_plain() -> None:
    square = [[0.12, 0.14], [0.16, 0.18]]
    with pytest.raises(LawError, match=r"in two plain lists"):
        compaction.fit_proctor(square, [[1500.0, 1550.0], [1560.0, 1540.0]])


def test_water_in_percent_is_refused() -> None:
    with pytest.raises(LawError, match=r"water_contents: .*a fraction from 0 to below 1 \(0\.02, not 2\)"):
        compaction.fit_proctor([12, 14, 16, 18], [1580.0, 1640.0, 1660.0, 1640.0])


@given(st.floats(2.5, 2.9), st.floats(0.0, 0.6), st.floats(0.0, 0.3))
def test_density_at_stated_air_holds_that_air(gravity: float, water: float, air: float) -> None:
    density = compaction.zero_air_voids_density(gravity, water, air)
    assert phases.air_voids(density, water, gravity) == pytest.approx(air, abs=1e-12)


def test_dry_soil_without_air_is_all_solids() -> None:
    assert compaction.zero_air_voids_density(2.70, 0.0) == 2700.0


@given(st.floats(1400, 2200), st.floats(0.05, 0.3), st.floats(0.0, 0.4), st.floats(2.4, 2.9), st.floats(0.0, 0.04))
def test_stones_and_fines_keep_their_volume_and_water(
    fine: float, water: float, coarse: float, gravity: float, stone_water: float
) -> None:
    density, optimum = compaction.oversize_corrected(
        fine, water, coarse_fraction=coarse, coarse_specific_gravity=gravity, coarse_water_content=stone_water
    )
    # one tonne of whole soil
    assert 1000 / float(density) == pytest.approx(1000 * (1 - coarse) / fine + coarse / gravity, rel=1e-12)
    assert 1000 * float(optimum) == pytest.approx(1000 * (1 - coarse) * water + 1000 * coarse * stone_water, rel=1e-12)


def test_more_stones_than_the_standard_allows_can_be_known() -> None:
    (left,) = outside(compaction.oversize_corrected, coarse_fraction=0.41)
    assert "T 224" in left.reason
    assert outside(compaction.oversize_corrected, coarse_fraction=0.40) == ()


def test_stones_alone_are_not_a_soil() -> None:
    with pytest.raises(LawError, match=r"coarse_fraction: given 1.0"):
        compaction.oversize_corrected(
            2000.0, 0.1, coarse_fraction=1.0, coarse_specific_gravity=2.7, coarse_water_content=0.01
        )


def test_raw_reference_turns_a_treated_density_into_a_failure() -> None:
    # invented street: 1,576 kg/m3 against treated 1,600 and raw 1,660
    treated, raw = compaction.relative_compaction(1576.0, [1600.0, 1660.0])
    assert (round(float(treated), 1), round(float(raw), 1)) == (98.5, 94.9)


def test_no_reference_no_percentage() -> None:
    with pytest.raises(LawError, match=r"max_dry_density: given 0.0; allowed: a number above 0"):
        compaction.relative_compaction(1576.0, 0.0)
