"""Water lost to the air."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from hardpan.errors import LawError
from hardpan.laws import evaporation
from hardpan.laws.ranges import outside

CELSIUS = st.floats(0, 45)
HUMIDITY = st.floats(0, 1)
WIND = st.floats(0, 15)


@given(CELSIUS, CELSIUS, HUMIDITY, WIND)
def test_chart_is_its_equation_in_fahrenheit_and_miles(surface: float, air: float, damp: float, wind: float) -> None:
    # (Tc^2.5 - r Ta^2.5)(1 + 0.4 V) 1e-6 lb/ft2/h, F and mph; 1 lb/ft2 = 4.882428 kg/m2
    surface_f, air_f, miles = 1.8 * surface + 32, 1.8 * air + 32, wind / 0.44704
    pounds = max((surface_f**2.5 - damp * air_f**2.5) * (1 + 0.4 * miles) * 1e-6, 0)
    metric = evaporation.aci_chart(surface, air, relative_humidity=damp, wind=wind)
    assert metric == pytest.approx(4.882428 * pounds, rel=1e-4, abs=1e-4)


@given(CELSIUS, CELSIUS, HUMIDITY, WIND, st.floats(0, 5))
def test_wind_and_heat_dry_and_damp_air_does_not(
    surface: float, air: float, damp: float, wind: float, more: float
) -> None:
    here = evaporation.uno(surface, air, damp, wind)
    assert here >= 0
    assert evaporation.uno(surface, air, damp, wind + more) >= here
    assert evaporation.uno(surface + more, air, damp, wind) >= here
    assert evaporation.uno(surface, air, min(damp + more / 5, 1), wind) <= here


def test_air_that_wets_the_surface_dries_nothing() -> None:
    assert evaporation.uno(10.0, 30.0, 0.9, 3.0) == 0.0
    assert evaporation.aci_chart(10.0, 30.0, relative_humidity=0.9, wind=3.0) == 0.0


def test_arrays_broadcast() -> None:
    assert evaporation.uno(np.array([[20.0], [30.0]]), 20.0, [0.2, 0.5, 0.8], 2.0).shape == (2, 3)


@pytest.mark.parametrize("damp", [60, -0.1, float("nan")])
def test_humidity_is_a_fraction(damp: float) -> None:
    with pytest.raises(
        LawError, match=r"relative_humidity: given .*; allowed: a fraction from 0 to 1 \(0\.60, not 60\)"
    ):
        evaporation.uno(20.0, 20.0, damp, 3.0)


def test_wind_blows_or_is_still() -> None:
    with pytest.raises(LawError, match=r"wind: given -1.0; allowed: 0 or more"):
        evaporation.uno(20.0, 20.0, 0.5, -1.0)


def test_deep_cold_is_outside_the_equation() -> None:
    with pytest.raises(LawError, match=r"air_celsius: given -18.0; allowed: above -18 C, where the equation ends"):
        evaporation.uno(20.0, -18.0, 0.5, 1.0)
    with pytest.raises(
        LawError, match=r"concrete_celsius: given -20.0; allowed: above -17.778 C, where the equation ends"
    ):
        evaporation.aci_chart(-20.0, 10.0, relative_humidity=0.5, wind=1.0)


def test_gale_leaves_the_chart() -> None:
    assert [left.argument for left in outside(evaporation.uno, wind=14.0, air_celsius=20.0)] == ["wind"]
    assert outside(evaporation.aci_chart, wind=5.0, concrete_celsius=20.0, air_celsius=20.0) == ()
