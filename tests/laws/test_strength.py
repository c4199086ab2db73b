"""Age, temperature and delay."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from hardpan.errors import LawError
from hardpan.laws import strength
from hardpan.laws.ranges import outside

AGES = st.floats(0.5, 300.0)
TEMPERATURES = st.floats(0.0, 40.0)
SLOWNESS = st.floats(0.20, 0.38)


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
