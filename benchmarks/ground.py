"""The ground: how the work grows with the length of the street, and what one plan's ground costs."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from benchmarks.timing import Ratio, best
from hardpan.plan.ground_field import unit_field
from hardpan.plan.ground_posterior import SEEN_AT, Prior, Seen, Told, infer

STRIPS = 4
BANDS = ((-4.0, 0.5), (0.5, 1.0), (1.0, 1.6), (1.6, 7.0))  # ln CBR that four words stand for


def street(stations: int) -> tuple[Prior, Told, Seen]:
    """A street of four strips with a word in every bay, the same over ten stations."""
    rng = np.random.default_rng(0)
    bays = stations * STRIPS
    strength = np.zeros((stations, STRIPS, 2))
    strength[..., 0] = 0.8
    prior = Prior(
        mean=np.full((stations, STRIPS), 1.25),
        spread=np.full((stations, STRIPS), 0.6),
        field=unit_field(np.full((stations - 1, STRIPS), 0.67), np.full((stations, STRIPS - 1), 0.8)),
        shared_mean=np.zeros(2),
        shared_spread=np.array([0.6, 0.4]),
        strength=strength,
    )
    curves = np.array([np.where((SEEN_AT - low) * (high - SEEN_AT) > 0, 0.95, 0.02) for low, high in BANDS])
    shared = prior.by_bay.copy()
    shared[:, 1] = -1.0
    seen = Seen(np.arange(bays), np.repeat(rng.integers(0, len(BANDS), bays // 40), 40), shared, curves)
    none = np.empty(0)
    return prior, Told(np.empty(0, np.intp), none, none, np.empty((0, 2))), seen


def inferring(stations: int) -> Callable[[], object]:
    """Inference and every bay's marginal."""
    prior, told, seen = street(stations)
    return lambda: infer(prior, told, seen).marginal(prior.by_bay)


def ground_ratios() -> list[Ratio]:
    """Ten times the stations."""
    few, many = best(inferring(400)), best(inferring(4000))
    return [Ratio("ground, 4,000 / 400 stations of four strips", many / few, 13.0, many)]
