"""Costs of a street treated and of the same street dug out, with prices of common practice (no source)."""

from __future__ import annotations

import pytest

from hardpan.errors import LawError
from hardpan.laws import cost

AREA = 3600.0


def treated() -> cost.Breakdown:
    return cost.treatment_cost(
        94_360.0, 0.240, days=2, day_price=12_500.0, mobilisation=6_000.0, testing=4_500.0, traffic=3_500.0
    )


def dug_out() -> cost.Breakdown:
    return cost.dig_out_cost(
        AREA,
        0.450,
        dig_price=38.0,
        granular_density=2150.0,
        granular_price=0.030,
        placing_price=0.004,
        geotextile_price=3.0,
        laps=0.10,
    )


def test_treating_the_street_costs_61_600_and_17_10_a_m2() -> None:
    amounts = dict(treated().items)
    assert amounts["cement"] == pytest.approx(22_600, abs=50)
    assert amounts["crew and plant"] == 25_000
    assert treated().total == pytest.approx(61_600, abs=50)
    assert treated().per_area(AREA) == pytest.approx(17.1, abs=0.05)


def test_digging_it_out_costs_191_900_and_53_30_a_m2() -> None:
    expected = {"dig and haul": 61_600, "granular": 104_500, "geotextile": 11_900, "placing": 13_900}
    assert dict(dug_out().items) == pytest.approx(expected, abs=50)
    assert dug_out().total == pytest.approx(191_900, abs=50)
    assert dug_out().per_area(AREA) == pytest.approx(53.3, abs=0.05)


def test_water_and_rate_changes_add_at_most_30_cents_a_m2() -> None:
    # 45,900 L of mixing water at 3 a m3 and four rate changes at 60.
    more = cost.treatment_cost(
        94_360.0,
        0.240,
        days=2,
        day_price=12_500.0,
        mobilisation=6_000.0,
        testing=4_500.0,
        traffic=3_500.0,
        water=45_900.0,
        water_price=0.003,
        rate_changes=4,
        rate_change_price=60.0,
    )
    added = more.total - treated().total
    assert added == pytest.approx(45.9 * 3 + 4 * 60)
    assert 0 < added / AREA < 0.3


def test_impossible_input_says_what_was_given_and_what_is_allowed() -> None:
    with pytest.raises(LawError, match=r"^price with cement: given -0.24; allowed: 0 or more"):
        cost.treatment_cost(1.0, -0.24, days=1, day_price=1.0)
    with pytest.raises(LawError, match=r"^area: given 0.0; allowed: a number above 0"):
        treated().per_area(0.0)
    with pytest.raises(LawError, match=r"^laps: given -0.1; allowed: 0 or more"):
        cost.dig_out_cost(
            1.0, 1.0, dig_price=1.0, granular_density=2000.0, granular_price=1.0, placing_price=1.0, laps=-0.1
        )


def test_what_is_not_named_costs_nothing() -> None:
    least = cost.treatment_cost(10.0, 2.0, days=3.0, day_price=5.0)
    assert dict(least.items) == {
        "cement": 20.0,
        "crew and plant": 15.0,
        "mobilisation": 0.0,
        "testing": 0.0,
        "traffic and notices": 0.0,
        "water": 0.0,
        "rate changes": 0.0,
    }
    only_quantities = cost.treatment_cost(10.0, 2.0, days=3.0, day_price=5.0, water=1e6, rate_changes=1e6)
    only_prices = cost.treatment_cost(10.0, 2.0, days=3.0, day_price=5.0, water_price=1e6, rate_change_price=1e6)
    assert only_quantities == only_prices == least
    dug = {"dig_price": 1.0, "granular_density": 2000.0, "granular_price": 1.0, "placing_price": 1.0}
    assert dict(cost.dig_out_cost(2.0, 0.5, **dug, laps=1e6).items)["geotextile"] == 0.0
    assert dict(cost.dig_out_cost(2.0, 0.5, **dug, geotextile_price=3.0).items)["geotextile"] == 6.0
