"""What all odds of a street rest on: the limit, the day, the mix and its gain, the least odds, the ground in every bay."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from hardpan.plan.axle_odds import STRENGTHS, Gain, Mix, draw_gain
from hardpan.plan.ground import Ground
from hardpan.plan.ground_field import Floats
from hardpan.plan.ground_posterior import GRID
from hardpan.plan.mix import mix_of
from hardpan.street import Basis, Figure, Street
from hardpan.street.defaults import default
from hardpan.street.figure import EIGHT_IN_TEN

DRAWS = 1024
"""Joint draws of what the street shares."""

DAYS = (3.0, 7.0)
"""Days that waiting is compared with."""


@dataclass(frozen=True, slots=True, eq=False)
class OddsBasis:
    """Basis of a street's odds.

    ``gain`` on the day of the test, ``low`` and ``high`` if the defaults of the mix were off by their own error, ``later`` on each of
    ``DAYS``; ``strength`` (strips, bays, strengths) the chance of each ln CBR of ``STRENGTHS``.
    """

    movement: Figure
    day: Figure
    least: Figure
    mix: Mix
    mix_figure: Figure
    gain: Gain
    low: Gain
    high: Gain
    later: tuple[Gain, ...]
    strength: Floats


def odds_basis(street: Street, ground: Ground, *, seed: int) -> OddsBasis:
    """Basis of a street's odds from what is written, measured and stated."""
    mix, figure = mix_of(street)
    limits, day = street.file.limits, street.file.axle_test.day
    warm = curing_temperature(street)
    today, *later = (
        draw_gain(mix, day=one, celsius=warm.value, celsius_spread=warm.spread, count=DRAWS, seed=seed)
        for one in (day.value, *DAYS)
    )
    return OddsBasis(
        movement=limits.axle_test_movement.value if limits.axle_test_movement else default("odds.movement"),
        day=day,
        least=limits.least_probability.value if limits.least_probability else default("odds.least"),
        mix=mix,
        mix_figure=figure,
        gain=today,
        low=today.with_centre(-EIGHT_IN_TEN),
        high=today.with_centre(EIGHT_IN_TEN),
        later=tuple(later),
        strength=coarsened(ground.strength),
    )


def curing_temperature(street: Street) -> Figure:
    """Temperature of the curing ground: mean air of the day; the spread is that of the guess."""
    weather, spread = street.file.weather, default("odds.temperature_spread")
    if weather.low_c is None or weather.high_c is None:
        return default("odds.temperature")
    mean = max((weather.low_c + weather.high_c) / 2, 0.0)
    return Figure("temperature of the curing ground", mean, "C", Basis.STATED, "mean of the forecast", spread.value)


def coarsened(strength: Floats) -> Floats:
    """Distributions on ``GRID`` (..., grid) shared out to the points of ``STRENGTHS`` on either side."""
    place = np.clip((GRID - STRENGTHS[0]) / (STRENGTHS[1] - STRENGTHS[0]), 0, STRENGTHS.size - 1)
    return np.asarray(strength @ np.maximum(1 - np.abs(place[:, None] - np.arange(STRENGTHS.size)), 0))
