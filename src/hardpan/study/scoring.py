"""Stated odds against what happened: bins with bands, the mean of outcome less odds, the slope, Brier's score in its parts.

Zones of one street share its mix, its eye and its rut law: they pass and fail together. Bands therefore come from drawing whole
streets again, never zones.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import isotonic_regression
from scipy.special import expit, logit
from scipy.stats import binom

Floats = NDArray[np.float64]

SURE = 0.99
"""Of every band."""

GROUPS = 4
RESAMPLES = 2_000
_SLOPES = 200  # resamples of the slope, which is solved for each
_STEPS = 12  # of Newton's method
_CLIPPED = 0.005  # odds nearer to 0 or 1 count as this near in the slope


@dataclass(frozen=True, slots=True)
class Group:
    """Zones of alike odds: how many of how many streets, mean of the odds, share that passed.

    ``gap`` is the share less the mean, ``gap_low`` to ``gap_high`` its band over streets; ``count_low`` to ``count_high`` the shares that as many
    *independent* zones, each with one life, would show by chance.
    """

    zones: int
    streets: int
    stated: float
    passed: float
    gap: float
    gap_low: float
    gap_high: float
    count_low: float
    count_high: float

    @property
    def inside(self) -> bool:
        """Whether no gap at all lies in the band."""
        return self.gap_low <= 0 <= self.gap_high

    @property
    def outside_by(self) -> float:
        """How far the band lies from no gap; negative: the odds were too high."""
        return 0.0 if self.inside else (self.gap_low if self.gap_low > 0 else self.gap_high)


@dataclass(frozen=True, slots=True)
class Brier:
    """Mean square of odds less outcome = miscalibration - discrimination + uncertainty, calibrated by isotonic regression."""

    score: float
    miscalibration: float
    discrimination: float
    uncertainty: float


@dataclass(frozen=True, slots=True)
class Reliability:
    """How honest some stated odds were: over all, by groups of odds, by the slope of outcomes on ln odds (1 where honest)."""

    whole: Group
    groups: tuple[Group, ...]
    slope: float
    slope_low: float
    slope_high: float
    brier: Brier

    @property
    def inside(self) -> bool:
        """Whether nothing is out of its band: over all, and in every group."""
        return all(one.inside for one in (self.whole, *self.groups))

    @property
    def outside_by(self) -> float:
        """The greatest distance of a band from no gap, with its sign."""
        return max((one.outside_by for one in (self.whole, *self.groups)), key=abs)


def honest(stated: Floats, happened: Floats, streets: NDArray[np.int64], *, seed: int = 0) -> Reliability:
    """Reliability of stated odds.

    Parameters
    ----------
    stated
        Odds of each zone [1], shape (n,).
    happened
        Share of its lives in which it passed, 0 to 1, shape (n,).
    streets
        Street of each zone, shape (n,).
    seed
        Of the resamples.

    Returns
    -------
    Reliability
        Bands of ``SURE`` by the bootstrap over streets.

    Notes
    -----
    Groups are quarters of the zones by their odds, ties kept together. A chance of 1 in 100 for each of five bands leaves about 1 in 20 honest
    studies with one of them out: read ``outside_by`` beside ``inside``.

    References
    ----------
    Bootstrap over clusters: Davison and Hinkley (1997), section 3.8 (from memory). Isotonic parts of the score: Dimitriadis, Gneiting and
    Jordan (2021), equation 4 (from memory).
    """
    weights, index = _resampled(streets, seed)
    edges = np.quantile(stated, np.arange(1, GROUPS) / GROUPS)
    number = np.searchsorted(np.unique(edges), stated, side="right")
    zones = np.stack([stated, happened])
    groups = tuple(_group(zones, index, number == one, weights=weights) for one in np.unique(number))
    by_zone = weights[:_SLOPES, index].astype(float)
    slope, *slopes = _slopes(stated, happened, np.concatenate([np.ones((1, stated.size)), by_zone]))
    low, high = _band(np.array(slopes))
    everywhere = np.ones(stated.shape, dtype=bool)
    return Reliability(
        _group(zones, index, everywhere, weights=weights), groups, float(slope), low, high, brier(stated, happened)
    )


def resampled_band(value: Floats, weight: Floats, *, seed: int = 0) -> tuple[float, float, float]:
    """Ratio of two sums over streets, with its band over resampled streets: value, low, high."""
    counts, _ = _resampled(np.arange(value.size), seed)
    ratios = (counts @ value) / (counts @ weight)
    return float(value.sum() / weight.sum()), *_band(ratios)


def _resampled(streets: NDArray[np.int64], seed: int) -> tuple[NDArray[np.int64], NDArray[np.intp]]:
    """How often each street is drawn in every resample (resamples, streets), and the street of each zone."""
    names, index = np.unique(streets, return_inverse=True)
    rng = np.random.default_rng(seed)
    return rng.multinomial(names.size, np.full(names.size, 1 / names.size), RESAMPLES), index


def _band(values: Floats) -> tuple[float, float]:
    """Middle share of some values."""
    low, high = np.nanquantile(values, [(1 - SURE) / 2, (1 + SURE) / 2])
    return float(low), float(high)


def _group(zones: Floats, index: NDArray[np.intp], here: NDArray[np.bool_], *, weights: NDArray[np.int64]) -> Group:
    """One group of zones; ``zones`` is odds and outcome, (2, n)."""
    stated, happened = zones[:, here]
    gaps, counts = (
        np.bincount(index[here], what, weights.shape[1]) for what in (happened - stated, np.ones_like(stated))
    )
    drawn = weights @ counts
    low, high = _band((weights @ gaps)[drawn > 0] / drawn[drawn > 0])
    fewest, most = binom.interval(SURE, stated.size, stated.mean())
    return Group(
        zones=stated.size,
        streets=int((counts > 0).sum()),
        stated=float(stated.mean()),
        passed=float(happened.mean()),
        gap=float((happened - stated).mean()),
        gap_low=low,
        gap_high=high,
        count_low=float(fewest / stated.size),
        count_high=float(most / stated.size),
    )


def _slopes(stated: Floats, happened: Floats, weights: Floats) -> Floats:
    """Slope of outcomes on ln odds by logistic regression, for every row of weights, by Newton's method."""
    x = logit(np.clip(stated, _CLIPPED, 1 - _CLIPPED))
    design = np.stack([np.ones_like(x), x], axis=1)
    found = np.tile([0.0, 1.0], (len(weights), 1))
    for _ in range(_STEPS):
        chance = expit(found @ design.T)
        slope = (weights * (happened - chance)) @ design
        curve = np.einsum("rn,ni,nj->rij", weights * chance * (1 - chance), design, design, optimize=True)
        step = np.linalg.solve(curve + 1e-9 * np.eye(2), slope[..., None])[..., 0]
        found = found + np.clip(step, -2, 2)
    return np.asarray(found[:, 1])


def brier(stated: Floats, happened: Floats) -> Brier:
    """Brier's score in its parts, for odds and shares of lives that passed.

    Notes
    -----
    Each life is an outcome of 0 or 1, so that a share y gives the mean square p^2 - 2 p y + y.

    Examples
    --------
    >>> found = brier(np.array([0.2, 0.2, 0.8, 0.8]), np.array([0.0, 1.0, 1.0, 1.0]))
    >>> [round(one, 4) for one in (found.score, found.miscalibration, found.discrimination, found.uncertainty)]
    [0.19, 0.065, 0.0625, 0.1875]
    """
    order = np.lexsort((-happened, stated))
    _, first, count = np.unique(stated[order], return_index=True, return_counts=True)
    means = np.add.reduceat(happened[order], first) / count
    calibrated = np.repeat(isotonic_regression(means, weights=count).x, count)
    score = _mean_square(stated, happened)
    best, alone = (
        _mean_square(calibrated, happened[order]),
        _mean_square(np.full_like(stated, happened.mean()), happened),
    )
    return Brier(score, score - best, alone - best, alone)


def _mean_square(stated: Floats, happened: Floats) -> float:
    """Mean square of odds less outcome, over zones and lives."""
    return float(np.mean(stated**2 - 2 * stated * happened + happened))
