"""What temperature histories do for strength."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad

from hardpan.errors import LawError
from hardpan.laws import maturity, strength
from hardpan.laws.ranges import outside

TEMPERATURES = st.floats(1.0, 39.0)
SPELLS = st.lists(st.tuples(st.floats(0.0, 30.0), TEMPERATURES), min_size=1, max_size=12)


@given(SPELLS, st.integers(0, 12))
def test_a_history_may_be_cut_anywhere(spells: list[tuple[float, float]], where: int) -> None:
    days, celsius = np.array(spells).T
    middle = min(where, len(spells) - 1)
    first, second = days.copy(), np.array([days[middle] / 2])
    first[middle] /= 2
    longer = np.concatenate([first, second]), np.concatenate([celsius, celsius[middle : middle + 1]])
    assert maturity.equivalent_age_of_history(*longer) == pytest.approx(
        maturity.equivalent_age_of_history(days, celsius), rel=1e-12, abs=1e-12
    )
    assert maturity.nurse_saul_of_history(*longer, datum_celsius=0.0) == pytest.approx(
        maturity.nurse_saul_of_history(days, celsius, datum_celsius=0.0), rel=1e-12, abs=1e-12
    )


@given(SPELLS)
def test_order_of_spells_does_not_count(spells: list[tuple[float, float]]) -> None:
    days, celsius = np.array(spells).T
    assert maturity.equivalent_age_of_history(days[::-1], celsius[::-1]) == pytest.approx(
        maturity.equivalent_age_of_history(days, celsius), rel=1e-12
    )


@given(SPELLS)
def test_a_history_is_the_sum_of_its_spells(spells: list[tuple[float, float]]) -> None:
    days, celsius = np.array(spells).T
    ages = [float(strength.equivalent_age(d, c, activation_energy=40e3)) for d, c in spells]
    factors = [(c + 11.0) * d for d, c in spells]
    assert maturity.equivalent_age_of_history(days, celsius, activation_energy=40e3) == pytest.approx(math.fsum(ages))
    assert maturity.nurse_saul_of_history(days, celsius, datum_celsius=-11.0) == pytest.approx(math.fsum(factors))


@given(TEMPERATURES, st.floats(0.1, 1.0), st.floats(0.5, 28.0))
def test_a_swing_about_a_mean_makes_older(mean: float, share: float, days: float) -> None:
    # the rate bends upwards with temperature; the straight line does not
    swing = share * min(mean, 40.0 - mean)
    spells = [mean - swing, mean + swing]
    assert maturity.equivalent_age_of_history(days / 2, spells) > strength.equivalent_age(days, mean)
    assert maturity.nurse_saul_of_history(days / 2, spells, datum_celsius=0.0) == pytest.approx(mean * days, rel=1e-9)


def test_hourly_means_close_in_on_the_integral_by_the_square_of_the_step() -> None:
    def rate(hour: float) -> float:  # a day from 5 to 25 C, against adaptive quadrature
        return math.exp(-33_500 / 8.314 * (1 / (288.15 + 10 * math.sin(math.tau * hour / 24)) - 1 / 293.15))

    exact = 6 / 24 * quad(rate, 0, 6, epsabs=1e-13)[0] / 6  # the warming quarter
    errors = []
    for count in (6, 12, 24):
        hours = (np.arange(count) + 0.5) * 6 / count
        celsius = 15 + 10 * np.sin(math.tau * hours / 24)
        errors.append(maturity.equivalent_age_of_history(0.25 / count, celsius) - exact)
    assert abs(errors[-1]) < 1e-4 * exact
    assert errors[0] / errors[1] == pytest.approx(4.0, rel=0.02)
    assert errors[1] / errors[2] == pytest.approx(4.0, rel=0.02)


def test_a_day_by_its_mean_and_by_its_hours() -> None:
    celsius = 15 + 10 * np.sin(math.tau * (np.arange(24) + 0.5) / 24)
    assert maturity.equivalent_age_of_history(1 / 24, celsius) == pytest.approx(0.83, abs=0.005)
    assert maturity.equivalent_age_of_history(1.0, [celsius.mean()]) == pytest.approx(0.79, abs=0.005)


def test_nurse_saul_with_the_datum_of_the_tangent_touches_the_other_law() -> None:
    # d ln(rate) / dT = Ea / (R T^2) at 20 C
    datum = 20.0 - 8.314 * 293.15**2 / 33_500
    assert datum == pytest.approx(-1.3, abs=0.05)
    for gap in (1.0, 0.5):
        for celsius in (20.0 - gap, 20.0 + gap):
            line = maturity.nurse_saul(1.0, celsius, datum_celsius=datum) / (20.0 - datum)
            assert abs(line - strength.equivalent_age(1.0, celsius)) < 1.1e-3 * gap**2
    # the older datum: kind to cold, mean to heat
    for celsius, sign in ((10.0, 1), (30.0, -1)):
        line = maturity.nurse_saul(1.0, celsius, datum_celsius=-11.0) / 31.0
        assert sign * (line - strength.equivalent_age(1.0, celsius)) > 0.05


def test_nothing_is_won_or_lost_below_the_datum() -> None:
    assert list(maturity.nurse_saul(3.0, [-5.0, 0.0, 5.0], datum_celsius=0.0)) == [0.0, 0.0, 15.0]
    assert maturity.nurse_saul_of_history([3.0, 3.0], [-5.0, 5.0], datum_celsius=0.0) == 15.0


def test_many_histories_at_once() -> None:
    celsius = np.array([[20.0, 20.0, 20.0], [5.0, 10.0, 30.0]])
    ages = maturity.equivalent_age_of_history([1.0, 2.0, 4.0], celsius)
    assert ages.shape == (2,)
    assert ages[0] == pytest.approx(7.0, rel=1e-12)
    assert ages[1] == maturity.equivalent_age_of_history([1.0, 2.0, 4.0], celsius[1])
    assert maturity.nurse_saul_of_history(0.5, celsius, datum_celsius=0.0) == pytest.approx([30.0, 22.5], rel=1e-12)


def test_what_is_no_row_of_spells_is_named() -> None:
    with pytest.raises(LawError, match=r"^celsius: given 20.0; allowed: a list of at least one temperature"):
        maturity.equivalent_age_of_history(1.0, 20.0)
    with pytest.raises(LawError, match=r"^celsius: given \[\]; allowed: a list of at least one temperature"):
        maturity.nurse_saul_of_history([], [], datum_celsius=0.0)
    with pytest.raises(LawError, match=r"^days: given \[1.0\]; allowed: one length for each temperature, or one for"):
        maturity.equivalent_age_of_history([1.0], [20.0, 10.0])
    with pytest.raises(LawError, match=r"^days: given .*0 or more"):
        maturity.nurse_saul_of_history([1.0, -1.0], [20.0, 10.0], datum_celsius=0.0)


@pytest.mark.parametrize("impossible", [-273.15, math.nan, math.inf])
def test_impossible_temperature_is_named(impossible: float) -> None:
    with pytest.raises(LawError, match=r"^celsius: given .*above -273.15 C"):
        maturity.nurse_saul(1.0, [20.0, impossible], datum_celsius=0.0)
    with pytest.raises(LawError, match=r"^datum_celsius: given .*above -273.15 C"):
        maturity.nurse_saul(1.0, 20.0, datum_celsius=impossible)
    with pytest.raises(LawError, match=r"^celsius: given .*above -273.15 C"):
        maturity.equivalent_age_of_history(1.0, [20.0, impossible])


def test_kelvins_by_mistake_leave_the_range() -> None:
    for law in (maturity.nurse_saul, maturity.nurse_saul_of_history, maturity.equivalent_age_of_history):
        assert [left.argument for left in outside(law, celsius=[20.0, 293.15])] == ["celsius"]
        assert outside(law, celsius=[0.0, 40.0]) == ()
