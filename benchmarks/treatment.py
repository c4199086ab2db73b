"""Odds of many bays and actions from one table, against loops over draws, bays and actions."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from benchmarks.timing import Ratio, best
from hardpan.plan.axle_odds import PLACES, STRENGTHS, Gain, Mix, asked, draw_gain, passing

Floats = NDArray[np.float64]

DRAWS, BAYS, ACTIONS, MANY = 2_048, 160, 24, 16_000
DEPTH, DRY_DENSITY, MOVEMENT = 0.3, 1550.0, 0.013
RATES = np.linspace(0.0, 46.0, ACTIONS)


def bays(count: int) -> Floats:
    """Chances of strength of some bays, as the ground gives them."""
    middle = np.random.default_rng(0).uniform(np.log(1), np.log(8), count)
    density = np.exp(-((STRENGTHS - middle[:, None]) ** 2) / (2 * 0.35**2))
    return np.asarray(density / density.sum(axis=1, keepdims=True))


def drawn() -> Gain:
    """Draws of the gain."""
    return draw_gain(Mix(float(np.log(41.4e6)), 0.45), day=2.0, celsius=15.0, celsius_spread=2.0, count=DRAWS, seed=0)


def by_table(gain: Gain, strength: Floats) -> Callable[[], Floats]:
    """One table, one product."""
    return lambda: strength @ passing(gain, RATES, movement=MOVEMENT, depth=DEPTH, dry_density=DRY_DENSITY).mean(axis=0)


def by_loops(gain: Gain, strength: Floats) -> Callable[[], Floats]:
    """Bay by bay and action by action over the same draws and needs."""
    wanted = asked(MOVEMENT, DEPTH)
    given = np.exp(gain.log_gain) / DRY_DENSITY

    def work() -> Floats:
        odds = np.empty((len(strength), ACTIONS))
        for a, rate in enumerate(RATES):
            for b, chances in enumerate(strength):
                near = np.flatnonzero(chances > 1e-6)
                met = [np.mean(wanted[i][gain.rig][:, :: PLACES // 8] <= (given * rate)[:, None]) for i in near]
                odds[b, a] = float(np.dot(chances[near], met))
        return odds

    return work


def treatment_ratios() -> list[Ratio]:
    """Speed over loops, and growth with the bays."""
    gain, few, many = drawn(), bays(BAYS), bays(MANY)
    table = best(by_table(gain, few))
    loops = best(by_loops(gain, few[: BAYS // 40])) * 40
    odds = float(np.abs(by_table(gain, few[:4])() - by_loops(gain, few[:4])()).max())
    return [
        Ratio("odds, loops / table (160 bays, 24 actions, 2,048 draws)", loops / table, 15.0, table, least=True),
        Ratio("odds, 16,000 / 160 bays", best(by_table(gain, many)) / table, 3.0, table),
        Ratio("odds, table off loops with an eighth of the places", odds, 0.02, loops),
    ]
