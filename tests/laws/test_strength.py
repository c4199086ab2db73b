"""Age, temperature and delay; cement, water and density; what follows for the ground."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from hardpan.errors import LawError
from hardpan.laws import mixture, strength
from hardpan.laws.ranges import outside

AGES = st.floats(0.5, 300.0)
TEMPERATURES = st.floats(0.0, 40.0)
SLOWNESS = st.floats(0.20, 0.38)
STRENGTHS = st.floats(50e3, 5e6)
RATIOS = st.floats(2.5, 15.0)
INDICES = st.floats(20.0, 45.0)
EXPONENTS = st.floats(2.5, 4.5)


@given(SLOWNESS)
def test_twenty_eight_days_are_the_measure(s: float) -> None:
    assert strength.age_factor(28.0, s) == pytest.approx(1.0, abs=1e-15)


@given(AGES, st.floats(1.001, 3.0), SLOWNESS)
def test_older_is_stronger_without_end(days: float, more: float, s: float) -> None:
    young, old = strength.age_factor([days, days * more], s)
    assert 0 < young < old < math.exp(s)


@given(st.floats(0.5, 27.0))
def test_slow_cement_is_behind_before_and_ahead_after(days: float) -> None:
    assert strength.age_factor(days, 0.38) < strength.age_factor(days, 0.25)
    assert strength.age_factor(28 + days, 0.38) > strength.age_factor(28 + days, 0.25)


def test_at_age_nothing_there_is_no_strength() -> None:
    assert list(strength.age_factor([0.0, 28.0])) == [0.0, 1.0]


@given(AGES)
def test_at_twenty_degrees_a_day_is_a_day(days: float) -> None:
    assert strength.equivalent_age(days, 20.0) == pytest.approx(days, rel=1e-12)


@given(AGES, TEMPERATURES, st.floats(0.1, 10.0))
def test_warmer_is_older(days: float, celsius: float, warmer: float) -> None:
    assert strength.equivalent_age(days, celsius + warmer) > strength.equivalent_age(days, celsius)


@given(AGES, AGES, TEMPERATURES)
def test_spells_add_up(first: float, second: float, celsius: float) -> None:
    both = strength.equivalent_age(first, celsius) + strength.equivalent_age(second, celsius)
    assert strength.equivalent_age(first + second, celsius) == pytest.approx(both, rel=1e-12)


@given(TEMPERATURES)
def test_without_energy_temperature_does_not_count(celsius: float) -> None:
    assert strength.equivalent_age(3.0, celsius, activation_energy=0.0) == 3.0


def test_model_code_temperature_is_almost_the_default_energy() -> None:
    # CEB-FIP Model Code 1990: exp(13.65 - 4000 / T), 33.26 kJ/mol with the reference at 20 C
    for celsius in (5.0, 10.0, 30.0):
        code = math.exp(13.65 - 4000 / (273 + celsius))
        assert strength.equivalent_age(1.0, celsius, activation_energy=4000 * 8.314) == pytest.approx(code, rel=3e-3)
        assert strength.equivalent_age(1.0, celsius) == pytest.approx(code, rel=8e-3)


@given(st.floats(0.0, 5.0), st.floats(0.0, 5.0))
def test_delays_multiply(first: float, second: float) -> None:
    both = strength.delay_factor(first) * strength.delay_factor(second)
    assert strength.delay_factor(first + second) == pytest.approx(both, rel=1e-12)


def test_no_delay_costs_nothing() -> None:
    assert list(strength.delay_factor([0.0, 5.0])) == pytest.approx([1.0, math.exp(-0.35)], rel=1e-15)


def test_days_and_temperatures_broadcast() -> None:
    found = strength.equivalent_age([[2.0], [3.0]], [5.0, 10.0, 20.0])
    assert found.shape == (2, 3)
    assert found[:, 2] == pytest.approx([2.0, 3.0], rel=1e-12)
    assert strength.age_factor(found, np.array([0.2, 0.25, 0.38])).shape == (2, 3)


@given(st.floats(0.0, 0.16), st.floats(300e3, 1000e3))
def test_twice_the_cement_is_twice_the_strength(content: float, each: float) -> None:
    once = strength.unconfined_by_percent(content, strength_per_percent=each)
    assert strength.unconfined_by_percent(2 * content, strength_per_percent=each) == pytest.approx(2 * once, rel=1e-12)
    assert once == pytest.approx(100 * content * each, rel=1e-12)


def test_granular_soil_begins_where_fine_soil_ends() -> None:
    # Mitchell 1976: 40 to 80 and 80 to 150 psi (from memory); 1 psi is 6,894.757 Pa
    fine, granular = strength.STRENGTH_PER_PERCENT["fine"], strength.STRENGTH_PER_PERCENT["granular"]
    assert (*fine, *granular) == pytest.approx((275_790.3, 551_580.6, 551_580.6, 1_034_213.6), rel=1e-7)
    # 10 and 70 psi, as the metric form rounds them
    assert strength.GAIN_PER_PERCENT == {"fine": 70e3, "granular": 480e3}
    assert [gain / 6_894.757 for gain in strength.GAIN_PER_PERCENT.values()] == pytest.approx([10, 70], rel=0.016)


@given(STRENGTHS, RATIOS, RATIOS, RATIOS)
def test_by_water_and_cement_one_may_go_by_way_of_any_ratio(
    q: float, first: float, second: float, third: float
) -> None:
    between = strength.unconfined_by_water_cement(q, first, second)
    straight = strength.unconfined_by_water_cement(q, first, third)
    assert strength.unconfined_by_water_cement(between, second, third) == pytest.approx(straight, rel=1e-12)
    assert strength.unconfined_by_water_cement(q, first, first) == q


@given(STRENGTHS, RATIOS, st.floats(0.01, 5.0))
def test_wetter_is_weaker(q: float, ratio: float, more: float) -> None:
    assert strength.unconfined_by_water_cement(q, ratio, ratio + more) < q


def test_power_form_of_the_water_law_is_18_percent_steeper_at_a_ratio_of_5() -> None:
    hair = 1e-6
    slope = math.log(strength.unconfined_by_water_cement(1.0, 5.0, 5.0 + hair)) / hair
    assert (-1.27 / 5.0) / slope == pytest.approx(1.18, abs=0.005)


@given(STRENGTHS, INDICES, INDICES, EXPONENTS)
def test_by_porosity_one_may_go_there_and_back(q: float, first: float, second: float, power: float) -> None:
    there = strength.unconfined_by_porosity_index(q, first, second, exponent=power)
    assert strength.unconfined_by_porosity_index(there, second, first, exponent=power) == pytest.approx(q, rel=1e-12)
    assert (there < q) == (second > first) or second == pytest.approx(first, rel=1e-12)


def test_by_porosity_the_constant_of_the_form_is_one_number() -> None:
    # q = A index^-B: A from the reference, whichever index is asked for
    index = np.array([20.0, 30.0, 45.0])
    found = strength.unconfined_by_porosity_index(1.2e6, 28.0, index, exponent=3.2)
    assert found * index**3.2 == pytest.approx(np.full(3, 1.2e6 * 28.0**3.2), rel=1e-12)


def test_loose_rolling_costs_more_than_a_percent_of_cement() -> None:
    def index(density: float, content: float) -> float:
        share = mixture.cement_volume_share(density, content)
        return float(mixture.porosity_cement_index(mixture.porosity(density, content, 2.70), share))

    asked = index(1600.0, 0.06)
    loose = strength.unconfined_by_porosity_index(1.0, asked, index(1430.0, 0.06), exponent=3.5)
    lean = strength.unconfined_by_porosity_index(1.0, asked, index(1600.0, 0.05), exponent=3.5)
    assert loose == pytest.approx(0.547, abs=0.0005)  # 1.60 to 1.43 t/m3 at 6 %: 45 % lost; arithmetic, exact
    assert loose < lean < 1


@given(STRENGTHS, st.floats(1.0, 300.0), st.floats(1.0, 300.0), st.floats(0.0, 3e6))
def test_a_tenfold_age_gains_the_gain(q: float, first: float, days: float, gain: float) -> None:
    now = strength.gain_with_age(q, first, 10 * first, gain=gain)
    assert now == pytest.approx(q + gain, rel=1e-12)
    assert strength.gain_with_age(q, first, first, gain=gain) == q
    if days > first:
        assert strength.gain_with_age(q, first, days, gain=gain) >= q


def test_the_logarithm_has_no_strength_early_and_the_other_law_has() -> None:
    # 0.038 + 0.281 ln t is below 0 before day 0.87
    assert strength.gain_with_age(0.038, 1.0, 0.8, gain=0.281 * math.log(10)) == 0.0
    assert strength.gain_with_age(0.038, 1.0, 0.9, gain=0.281 * math.log(10)) == pytest.approx(0.0084, abs=5e-5)
    assert strength.age_factor(0.8) > 0.25


@given(STRENGTHS, STRENGTHS)
def test_treated_clay_has_its_own_strength_and_half_the_cements(own: float, cement: float) -> None:
    both = strength.treated_undrained(own, cement)
    assert both - own == pytest.approx(cement / 2, rel=1e-9)
    assert strength.treated_undrained(own, 0.0) == own


@given(STRENGTHS)
def test_modulus_goes_with_strength(q: float) -> None:
    assert strength.treated_modulus(q, [150.0, 300.0]) == pytest.approx([150 * q, 300 * q], rel=1e-12)


def test_the_new_laws_broadcast() -> None:
    column, row = np.array([[1e6], [2e6]]), np.array([3.0, 5.0, 9.0])
    assert strength.unconfined_by_percent([[0.03], [0.06]], strength_per_percent=[300e3, 400e3]).shape == (2, 2)
    assert strength.unconfined_by_water_cement(column, 5.0, row).shape == (2, 3)
    assert strength.unconfined_by_porosity_index(column, 30.0, 10 * row, exponent=3.0).shape == (2, 3)
    assert strength.gain_with_age(column, 7.0, row, gain=420e3).shape == (2, 3)
    assert strength.treated_undrained(column, row).shape == (2, 3)
    assert strength.treated_modulus(column, row).shape == (2, 3)


@pytest.mark.parametrize(
    ("call", "name"),
    [
        (lambda: strength.unconfined_by_percent(6.0, strength_per_percent=300e3), "cement_content"),
        (lambda: strength.unconfined_by_percent([0.06, -0.01], strength_per_percent=300e3), "cement_content"),
        (lambda: strength.unconfined_by_percent(0.06, strength_per_percent=0.0), "strength_per_percent"),
        (lambda: strength.unconfined_by_water_cement(0.0, 5.0, 4.0), "reference"),
        (lambda: strength.unconfined_by_water_cement(1.0, 0.0, 4.0), "reference_ratio"),
        (lambda: strength.unconfined_by_water_cement(1.0, 5.0, [4.0, 0.0]), "ratio"),
        (lambda: strength.unconfined_by_porosity_index(0.0, 30.0, 30.0, exponent=3.0), "reference"),
        (lambda: strength.unconfined_by_porosity_index(1.0, 0.0, 30.0, exponent=3.0), "reference_index"),
        (lambda: strength.unconfined_by_porosity_index(1.0, 30.0, 0.0, exponent=3.0), "index"),
        (lambda: strength.unconfined_by_porosity_index(1.0, 30.0, 30.0, exponent=[3.0, 0.0]), "exponent"),
        (lambda: strength.gain_with_age(0.0, 7.0, 28.0, gain=1.0), "reference"),
        (lambda: strength.gain_with_age(1.0, 0.0, 28.0, gain=1.0), "reference_days"),
        (lambda: strength.gain_with_age(1.0, 7.0, 0.0, gain=1.0), "days"),
        (lambda: strength.gain_with_age(1.0, 7.0, 28.0, gain=-1.0), "gain"),
        (lambda: strength.treated_undrained(-1.0, 0.0), "own_strength"),
        (lambda: strength.treated_undrained(0.0, [1.0, -1.0]), "cement_unconfined"),
        (lambda: strength.treated_modulus(0.0, 150.0), "unconfined"),
        (lambda: strength.treated_modulus(1e6, [150.0, 0.0]), "multiple"),
    ],
)
def test_impossible_strengths_are_named(call: Callable[[], object], name: str) -> None:
    with pytest.raises(LawError, match=rf"^{name}: given "):
        call()


def test_impossible_input_is_named() -> None:
    with pytest.raises(LawError, match=r"^equivalent_days: given -1.0; allowed: 0 or more"):
        strength.age_factor(-1.0)
    with pytest.raises(LawError, match=r"^s: given 0.0; allowed: a number above 0"):
        strength.age_factor(7.0, 0.0)
    with pytest.raises(LawError, match=r"^days: given -1.0"):
        strength.equivalent_age(-1.0, 20.0)
    with pytest.raises(LawError, match=r"^activation_energy: given -1.0"):
        strength.equivalent_age(1.0, 20.0, activation_energy=-1.0)
    with pytest.raises(LawError, match=r"^hours: given -0.5"):
        strength.delay_factor(-0.5)


@pytest.mark.parametrize("celsius", [-273.15, -300.0, math.nan, math.inf])
def test_impossible_temperature_is_named(celsius: float) -> None:
    with pytest.raises(LawError, match=r"^celsius: given .*above -273.15 C"):
        strength.equivalent_age(1.0, celsius)


def test_ranges_are_declared() -> None:
    assert outside(strength.age_factor, s=[0.20, 0.38]) == ()
    assert [left.argument for left in outside(strength.age_factor, s=0.5)] == ["s"]
    # kelvins by mistake
    assert [left.argument for left in outside(strength.equivalent_age, celsius=293.15)] == ["celsius"]
    assert [left.argument for left in outside(strength.delay_factor, hours=6.0)] == ["hours"]
