"""Mixing water against mass balances and a spray bar's sums."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from hardpan.errors import LawError
from hardpan.laws import water

POSITIVE = st.floats(0.1, 1000.0)


@given(
    soil=st.floats(100, 800),
    cement=st.floats(0, 60),
    now=st.floats(0, 0.4),
    target=st.floats(0, 0.4),
    losses=st.floats(0, 5),
)
def test_water_to_target_reaches_the_target(
    soil: float, cement: float, now: float, target: float, losses: float
) -> None:
    added = float(water.water_to_target(soil, cement, water_content=now, target_water_content=target, losses=losses))
    in_the_ground = now * soil + added - losses
    assert in_the_ground / (soil + cement) == pytest.approx(target, abs=1e-12)


def test_mixed_water_content_is_water_to_target_turned_round() -> None:
    added = water.water_to_target(480.0, 24.0, water_content=0.19, target_water_content=0.205, losses=0.0)
    mixed = water.mixed_water_content(480.0, 24.0, water_content=0.19, water_added=added)
    assert float(mixed) == pytest.approx(0.205)


def test_losses_enter_a_negative_sum_too() -> None:
    asked = [
        float(water.water_to_target(462.0, 36.0, water_content=0.27, target_water_content=0.205, losses=losses))
        for losses in (0.0, 3.0)
    ]
    assert asked == pytest.approx([-22.65, -19.65])


def test_one_point_of_water_is_one_percent_of_the_dry_mass() -> None:
    step = water.water_to_target(480.0, 0.0, water_content=0.19, target_water_content=0.20, losses=0.0)
    assert float(water.water_per_point(480.0)) == pytest.approx(float(step))


@given(speed=POSITIVE, width=POSITIVE, rate=POSITIVE)
def test_flow_speed_and_rate_are_one_relation(speed: float, width: float, rate: float) -> None:
    flow = water.pump_flow(speed, width, rate)
    assert float(water.speed_for_flow(flow, width, rate)) == pytest.approx(speed)
    assert float(water.rate_at_flow(flow, speed, width)) == pytest.approx(rate)


@given(volume=POSITIVE, rate=POSITIVE, width=POSITIVE, speed=POSITIVE)
def test_a_truck_empties_where_and_when_it_has_driven_its_length(
    volume: float, rate: float, width: float, speed: float
) -> None:
    seconds = water.truck_time(volume, water.pump_flow(speed, width, rate))
    assert float(seconds) * speed == pytest.approx(float(water.truck_length(volume, rate, width)))


def test_shut_overlap_nozzles_save_720_litres_on_a_block() -> None:
    # Four cuts of 2.40 m over 80 m x 9.0 m at 15 L/m2: net widths 2.40 and 3 x 2.20; exact arithmetic.
    eight_minutes = 480.0
    shut = water.pump_flow(10 / 60, np.array([2.4, 2.2, 2.2, 2.2]), 15.0) * eight_minutes
    open_nozzles = water.pump_flow(10 / 60, np.full(4, 2.4), 15.0) * eight_minutes
    assert float(shut.sum()) == pytest.approx(720 * 15.0)
    assert float(open_nozzles.sum() - shut.sum()) == pytest.approx(720.0)


def test_impossible_input_says_what_was_given_and_what_is_allowed() -> None:
    with pytest.raises(LawError, match=r"^losses: given -1.0; allowed: 0 or more"):
        water.water_to_target(480.0, 24.0, water_content=0.19, target_water_content=0.2, losses=-1.0)
    with pytest.raises(LawError, match=r"^soil_mass: given 0.0; allowed: a number above 0"):
        water.mixed_water_content(0.0, 24.0, water_content=0.19)
    with pytest.raises(LawError, match=r"^flow: given 0.0; allowed: a number above 0"):
        water.truck_time(1.0, 0.0)


def test_mixing_without_water_adds_none() -> None:
    assert float(water.mixed_water_content(80.0, 20.0, water_content=0.25)) == pytest.approx(0.20, rel=1e-12)
