"""Ruts of one wheel and the ground that they tell."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from hardpan.errors import LawError
from hardpan.laws import rutting
from hardpan.laws.ranges import Floats, outside
from hardpan.laws.rutting import Wheel

GRADER = Wheel(35_000.0, 280_000.0, 0.36, 1.37)
DUAL = Wheel(22_000.0, 690_000.0, 0.28, 1.05)
STEER = Wheel(30_000.0, 760_000.0, 0.315, 1.07)
ROLLER = Wheel(78_000.0, 830_000.0, 0.46, 1.5)
TEST_ROLLER = Wheel(133_000.0, 650_000.0, 0.46, 1.5)
WHEELS = [GRADER, DUAL, STEER, ROLLER, TEST_ROLLER]

# mean, Maclaurin, chord in mm: the two published parents worked out apart from this package, to the digits printed there
PRINTED: list[tuple[Wheel, float, float, float | None, float | None]] = [
    (GRADER, 1, 180, 179, 180),
    (GRADER, 1.5, 96, 108, 85),
    (GRADER, 2, 63, 75, 52),
    (GRADER, 3, 34, 45, 26),
    (GRADER, 4, 22, 32, 16),
    (GRADER, 6, 12, 19, 7),
    (GRADER, 8, 7.6, None, None),
    (GRADER, 10, 5.3, None, None),
    (DUAL, 1, 176, 202, 153),
    (DUAL, 1.5, 94, 122, 72),
    (DUAL, 2, 61, 85, 44),
    (DUAL, 3, 33, 51, 22),
    (DUAL, 4, 22, 36, 13),
    (DUAL, 6, 12, 22, 6),
    (DUAL, 8, 7.4, None, None),
    (DUAL, 10, 5.2, None, None),
    (STEER, 1, 224, 232, 216),
    (STEER, 1.5, 119, 140, 101),
    (STEER, 2, 78, 98, 62),
    (STEER, 3, 43, 59, 31),
    (STEER, 4, 28, 41, 19),
    (STEER, 6, 15, 25, 9),
    (STEER, 8, 9.4, None, None),
    (STEER, 10, 6.7, None, None),
    (ROLLER, 1.5, 213, None, None),
    (ROLLER, 2, 136, None, None),
    (ROLLER, 3, 75, None, None),
    (ROLLER, 4, 49, None, None),
    (ROLLER, 6, 26, None, None),
    (ROLLER, 8, 17, None, None),
    (ROLLER, 10, 12, None, None),
    (TEST_ROLLER, 2, 268, None, None),
    (TEST_ROLLER, 3, 142, None, None),
    (TEST_ROLLER, 4, 92, None, None),
    (TEST_ROLLER, 6, 50.5, None, None),
    (TEST_ROLLER, 8, 33, None, None),
    (TEST_ROLLER, 10, 23, None, None),
]
# printed after two roundings, 15.454 to 15.5 to 16 and so on
ROUNDED_TWICE = {(GRADER, 4.0): 16, (STEER, 4.0): 19, (DUAL, 6.0): 22}
FIT_EXPONENT = 1.52
FITTED = [(GRADER, 180), (DUAL, 175), (STEER, 223), (ROLLER, 396), (TEST_ROLLER, 766)]


def half_a_digit(printed: float) -> float:
    """Half of the last printed digit: whole millimetres, tenths where tenths are printed."""
    return 0.5 if float(printed).is_integer() else 0.05


@pytest.mark.parametrize(("wheel", "cbr", "mean", "maclaurin", "chord"), PRINTED)
def test_ruts_of_common_wheels(
    wheel: Wheel, cbr: float, mean: float, maclaurin: float | None, chord: float | None
) -> None:
    assert 1000 * float(rutting.rut_depth(cbr, wheel)) == pytest.approx(mean, abs=half_a_digit(mean))
    for law, printed in ((rutting.rut_maclaurin, maclaurin), (rutting.rut_chord, chord)):
        if printed is not None:
            twice = ROUNDED_TWICE.get((wheel, cbr)) == printed
            found = round(1000 * float(law(cbr, wheel)), 1) if twice else 1000 * float(law(cbr, wheel))
            assert found == pytest.approx(printed, abs=0.5)


def test_two_parents_under_a_grader() -> None:
    # Maclaurin (1990) as given by Saarilahti (2002): 45.45 mm at cone index 1,087.5 kPa; chord 25.9 and 7.3 mm
    assert 1000 * float(rutting.rut_maclaurin(3.0, GRADER)) == pytest.approx(45.45, abs=0.005)
    assert 1000 * rutting.rut_chord([3.0, 6.0], GRADER) == pytest.approx([25.9, 7.3], abs=0.05)


def test_illinois_point_is_a_calibration() -> None:
    # Illinois DOT Subgrade Stability Manual (2005): bearing value 6 with a rut of 12.7 mm at most. The mean of the two
    # parents was chosen knowing it, so this holds a calibration, 11.6 to 14.8 mm for tyres of 22 to 35 kN, no truth.
    ruts = [1000 * float(rutting.rut_depth(6.0, wheel)) for wheel in (DUAL, GRADER, STEER)]
    assert [min(ruts), max(ruts)] == pytest.approx([11.6, 14.8], abs=0.05)
    assert min(ruts) < 12.7 < max(ruts)


def test_ohio_point_for_a_roller() -> None:
    # Ohio DOT Manual of Procedures (2006) 206: 150 mm where qu is 1 tsf, CBR 1.66 at 29 kPa; a tyre of 78 kN gives 1.87
    found = float(rutting.cbr_from_rut(0.150, ROLLER))
    assert found == pytest.approx(1.87, abs=0.005)
    assert abs(math.log(found / 1.66)) < 0.45 / 1.52  # the scatter of ln rut, in ln CBR


@pytest.mark.parametrize(("wheel", "constant"), FITTED)
def test_power_law_stands_for_the_relation(wheel: Wheel, constant: float) -> None:
    # least squares of ln rut at the fixed exponent, CBR 1.5 to 10
    cbrs = np.array([1.5, 2, 3, 4, 6, 8, 10])
    constants = 1000 * rutting.rut_depth(cbrs, wheel) * cbrs**FIT_EXPONENT
    assert np.exp(np.mean(np.log(constants))) == pytest.approx(constant, abs=0.5)
    assert constants == pytest.approx(np.full(7, constant), rel=0.04)


@pytest.mark.parametrize("wheel", WHEELS)
def test_chord_carries_the_load(wheel: Wheel) -> None:
    # the bearing capacity under the chord, written out again from the equation, is the load
    for cbr in (2.0, 5.0, 40.0):
        rut = float(rutting.rut_chord(cbr, wheel))
        contact = math.sqrt(wheel.diameter * rut - rut**2)
        short, long = sorted((wheel.width, contact))
        pressure = 5.14 * 29e3 * cbr * (1 + 0.2 * short / long) * (1 + 0.4 * rut / short) + 18e3 * rut
        assert pressure * wheel.width * contact == pytest.approx(wheel.load, rel=1e-9)


def test_wheel_without_rest_goes_no_further() -> None:
    for law in (rutting.rut_chord, rutting.rut_depth):
        ruts = law([1.0, 2.0], TEST_ROLLER)
        assert list(np.isinf(ruts)) == [True, False]
    assert np.isfinite(rutting.rut_maclaurin(1.0, TEST_ROLLER))


def test_no_go_begins_at_half_the_diameter() -> None:
    stop = float(rutting.cbr_from_rut(10.0, TEST_ROLLER))
    assert rutting.rut_chord(stop * 1.000001, TEST_ROLLER) == pytest.approx(0.75, rel=1e-4)
    assert np.isinf(rutting.rut_chord(stop * 0.999999, TEST_ROLLER))


def test_light_wheel_always_finds_rest() -> None:
    # the soil's own weight carries it
    cart = Wheel(200.0, 100_000.0, 0.30, 0.60)
    assert rutting.rut_chord(1e-6, cart) < 0.30
    assert rutting.cbr_from_rut(rutting.rut_depth(0.05, cart), cart) == pytest.approx(0.05, rel=1e-9)


@given(st.sampled_from(WHEELS), st.floats(0.005, 0.200))
def test_rut_and_ratio_turn_into_each_other(wheel: Wheel, rut: float) -> None:
    assert rutting.rut_depth(rutting.cbr_from_rut(rut, wheel), wheel) == pytest.approx(rut, rel=1e-8)


@given(st.sampled_from(WHEELS), st.floats(1.4, 50.0), st.floats(1.001, 4.0))
def test_firmer_ground_ruts_less(wheel: Wheel, cbr: float, more: float) -> None:
    for law in (rutting.rut_maclaurin, rutting.rut_chord, rutting.rut_depth):
        assert law(cbr * more, wheel) < law(cbr, wheel)


@given(st.floats(0.002, 0.300), st.floats(1.001, 3.0))
def test_deeper_rut_means_weaker_ground(rut: float, more: float) -> None:
    assert rutting.cbr_from_rut(rut * more, GRADER) < rutting.cbr_from_rut(rut, GRADER)


@given(st.floats(1.5, 12.0), st.floats(1.01, 1.8))
def test_heavier_wheel_ruts_more(cbr: float, more: float) -> None:
    heavy = Wheel(GRADER.load * more, GRADER.inflation_pressure, GRADER.width, GRADER.diameter)
    assert rutting.rut_chord(cbr, heavy) > rutting.rut_chord(cbr, GRADER)


def test_arrays_keep_their_shape() -> None:
    cbrs = np.array([[1.5, 2.0, 3.0], [4.0, 6.0, 8.0]])
    ruts = rutting.rut_depth(cbrs, GRADER)
    assert ruts.shape == (2, 3)
    assert rutting.cbr_from_rut(ruts, GRADER) == pytest.approx(cbrs, rel=1e-9)
    assert np.ndim(rutting.cbr_from_rut(0.05, GRADER)) == 0


@pytest.mark.parametrize(("wheel", "alike", "apart"), [(GRADER, 5, 6), (STEER, 4, 5), (DUAL, 3, 4)])
def test_scatter_widens_on_firm_ground(wheel: Wheel, alike: float, apart: float) -> None:
    assert list(rutting.rut_scatter([0.1, 2.0, alike, apart, 12.0], wheel)) == [0.45, 0.45, 0.45, 0.65, 0.65]


@given(st.floats(0.0, 0.2), st.integers(1, 1000), st.integers(1, 1000), st.floats(2.0, 5.0))
def test_passes_multiply(first: float, some: int, more: int, exponent: float) -> None:
    both = rutting.repeated_rut(rutting.repeated_rut(first, some, exponent), more, exponent)
    assert both == pytest.approx(rutting.repeated_rut(first, some * more, exponent), rel=1e-12)


@given(st.floats(1e3, 1e5), st.floats(1e5, 1e6))
def test_tyre_deflects_more_under_load_and_less_under_pressure(load: float, pressure: float) -> None:
    deflection = rutting.tyre_deflection(load, pressure)
    assert rutting.tyre_deflection(load * 1.1, pressure) > deflection > rutting.tyre_deflection(load, pressure * 1.1)


@given(st.floats(0.1, 10.0))
def test_ground_pressure_is_a_load_over_an_area(scale: float) -> None:
    small = rutting.ground_pressure(35e3, width=0.36, diameter=1.37, deflection=0.035)
    large = rutting.ground_pressure(
        35e3 * scale**2, width=0.36 * scale, diameter=1.37 * scale, deflection=0.035 * scale
    )
    assert large == pytest.approx(small, rel=1e-12)


@pytest.mark.parametrize(
    ("values", "name"),
    [
        ((0.0, 280e3, 0.36, 1.37), "load"),
        ((35e3, -1.0, 0.36, 1.37), "inflation_pressure"),
        ((35e3, 280e3, math.nan, 1.37), "width"),
        ((35e3, 280e3, 0.36, math.inf), "diameter"),
    ],
)
def test_impossible_wheel_is_named(values: tuple[float, float, float, float], name: str) -> None:
    with pytest.raises(LawError, match=rf"^{name}: given .*; allowed: a number above 0"):
        Wheel(*values)


def test_tyre_pressed_flat_is_no_wheel() -> None:
    # 280 taken for kPa: the deflection would be 21 m
    with pytest.raises(LawError, match=r"^inflation_pressure: given 280; allowed: enough that"):
        Wheel(35_000, 280, 0.36, 1.37)


@pytest.mark.parametrize(
    "law",
    [rutting.rut_maclaurin, rutting.rut_chord, rutting.rut_depth, rutting.rut_scatter, rutting.cbr_from_rut],
)
@pytest.mark.parametrize("value", [0.0, -1.0, math.nan])
def test_no_ground_and_no_rut_raise(law: Callable[[float, Wheel], Floats], value: float) -> None:
    with pytest.raises(LawError, match=r"^(cbr|rut): given .*a number above 0"):
        law(value, GRADER)


@pytest.mark.parametrize(
    ("arguments", "name"),
    [((-0.01, 2, 3.0), "first"), ((0.01, 0.5, 3.0), "passes"), ((0.01, 2, 0.0), "exponent")],
)
def test_impossible_passes_are_named(arguments: tuple[float, float, float], name: str) -> None:
    with pytest.raises(LawError, match=f"^{name}: given "):
        rutting.repeated_rut(*arguments)


def test_ranges_are_declared() -> None:
    assert outside(rutting.cbr_from_rut, rut=[0.005, 0.200]) == ()
    assert [left.argument for left in outside(rutting.cbr_from_rut, rut=0.0049)] == ["rut"]
    assert [left.argument for left in outside(rutting.cbr_from_rut, rut=75.0)] == ["rut"]
    assert [left.argument for left in outside(rutting.repeated_rut, exponent=1.5)] == ["exponent"]
