"""Areas and volumes against printed totals, integrals and both windings."""

from __future__ import annotations

import itertools

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import simpson, trapezoid

from hardpan.errors import LawError
from hardpan.laws import earthwork

YARD3 = 27.0  # cubic feet: the laws do not care which length they are in


@pytest.mark.parametrize(
    ("areas", "distances", "printed"),
    [([60, 50, 25, 5, 0], [50, 25, 25, 15], 4087.5), ([0, 10, 15, 30], [25, 15, 35], 1058.3)],
    ids=["fill", "cut"],
)
def test_average_end_area_with_pyramids(areas: list[float], distances: list[float], printed: float) -> None:
    # Fundamentals of Transportation (Wikibooks), Earthwork, solution.
    total = float(earthwork.average_end_area(areas, distances, pyramid_ends=True).sum())
    assert total == pytest.approx(printed, abs=0.05)
    assert float(earthwork.average_end_area(areas, distances).sum()) > total


def test_volumes_are_summed_before_rounding() -> None:
    # sciemce.com/qa/CKubEpK5DhxJ prints 838 yd3, the sum of rounded rows; the volume is 837.04.
    rows = earthwork.average_end_area([0, 257, 175, 20, 0, 0], [50, 50, 50, 50, 20]) / YARD3
    assert float(rows.sum()) == pytest.approx(837.04, abs=0.005)
    assert round(float(rows.sum())) != 838
    assert float(np.round(rows).sum()) == 838


def test_average_end_area_is_7_1_percent_high_where_the_prism_says_52500() -> None:
    # G. L. Vose, Handbook of Railroad Construction (1857), par. 108, unrounded: base 20 ft, slopes 1.5:1, cuts 0 5 10 15 0.
    def section(cut: float) -> float:
        return 20 * cut + 1.5 * cut**2

    cuts = [0.0, 5.0, 10.0, 15.0, 0.0]
    areas = [section(cut) for cut in cuts]
    middles = [section((a + b) / 2) for a, b in itertools.pairwise(cuts)]
    exact = float(earthwork.prismoidal(areas[:-1], middles, areas[1:], length=50.0).sum())
    rough = float(earthwork.average_end_area(areas, [50.0] * 4).sum())
    assert (exact, rough) == pytest.approx((52_500.0, 56_250.0))
    assert rough / exact - 1 == pytest.approx(0.071, abs=5e-4)


@given(st.lists(st.floats(0, 100), min_size=3, max_size=3), st.floats(1, 200))
def test_both_rules_agree_with_scipy(areas: list[float], length: float) -> None:
    first, middle, last = areas
    by_simpson = float(simpson(areas, dx=length / 2))
    assert float(earthwork.prismoidal(first, middle, last, length=length)) == pytest.approx(by_simpson)
    halves = earthwork.average_end_area(areas, [length / 2] * 2)
    assert float(halves.sum()) == pytest.approx(float(trapezoid(areas, dx=length / 2)))


CORNERS = st.lists(st.floats(0.5, 50), min_size=3, max_size=12)


@given(radii=CORNERS, east=st.floats(-1e6, 1e6), north=st.floats(-1e6, 1e6))
def test_polygon_is_its_triangles_whichever_way_round_and_wherever(
    radii: list[float], east: float, north: float
) -> None:
    angles = np.linspace(0, 2 * np.pi, len(radii), endpoint=False)
    triangles = sum(a * b for a, b in zip(radii, radii[1:] + radii[:1], strict=True)) * np.sin(angles[1]) / 2
    x, y = east + np.array(radii) * np.cos(angles), north + np.array(radii) * np.sin(angles)
    assert earthwork.polygon_area(x, y) == pytest.approx(triangles, rel=1e-6)
    assert earthwork.polygon_area(x[::-1], y[::-1]) == pytest.approx(triangles, rel=1e-6)


def test_map_coordinates_cost_no_digits() -> None:
    east, north = 633_000.0 + np.array([0.0, 0.5, 0.5, 0.0]), 5_528_000.0 + np.array([0.0, 0.0, 0.25, 0.25])
    assert earthwork.polygon_area(east, north) == pytest.approx(0.125, rel=1e-12)


def test_the_trim_of_a_3600_m2_street_fills_five_tandem_loads() -> None:
    # 36 m3, 68 t at 1.9 t/m3, 14 t a load; digging out 450 mm instead: 220 loads out, 249 in. Exact arithmetic.
    trim = earthwork.trim_volume(3600.0, 0.010)
    assert float(earthwork.truck_loads(trim, 1900.0, 14_000.0)) == 5.0
    assert earthwork.truck_loads(1620.0, [1900.0, 2150.0], 14_000.0).tolist() == [220.0, 249.0]


def test_a_load_that_just_fits_takes_no_further_truck() -> None:
    assert float(earthwork.truck_loads(0.1 * 3, 1000.0, 100.0)) == 3.0
    assert float(earthwork.truck_loads(0.0, 1000.0, 100.0)) == 0.0


@given(volume=st.floats(0, 1e5), bulking=st.floats(0, 0.6))
def test_bank_and_loose_are_each_other_turned_round(volume: float, bulking: float) -> None:
    loose = earthwork.bank_to_loose(volume, bulking)
    assert float(earthwork.loose_to_bank(loose, bulking)) == pytest.approx(volume)


def test_fill_and_bank_hold_the_same_dry_soil() -> None:
    bank = earthwork.bank_for_fill(100.0, fill_dry_density=1800.0, bank_dry_density=1700.0)
    assert float(bank) * 1700 == pytest.approx(100 * 1800)


def test_impossible_input_says_what_was_given_and_what_is_allowed() -> None:
    with pytest.raises(LawError, match=r"^areas, distances: given 2 areas and 2 distances; allowed: two or more areas"):
        earthwork.average_end_area([1.0, 2.0], [1.0, 1.0])
    with pytest.raises(LawError, match=r"^areas, distances: given 1 areas and 0 distances"):
        earthwork.average_end_area([1.0], [])
    with pytest.raises(LawError, match=r"^x, y: given 2 and 2 coordinates; allowed: three corners or more"):
        earthwork.polygon_area([0.0, 1.0], [0.0, 1.0])
    with pytest.raises(LawError, match=r"^x, y: given a value that is not a number; allowed: finite numbers"):
        earthwork.polygon_area([0.0, 1.0, np.nan], [0.0, 1.0, 2.0])
