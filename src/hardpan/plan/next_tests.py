"""Where the next penetrometer tests help most: the places whose result would most often put a wrong decision right.

The decision of a bay is whether to treat it as soft ground. It is wrong as often as the likelier answer is not true. A test
tells of its own bay, of its neighbours through the field and of the whole street through what it shares; what three tests
together would leave is worked out before any is driven.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.polynomial.hermite_e import hermegauss
from numpy.typing import NDArray
from scipy.special import ndtr

from hardpan.plan.ground_evidence import CONE, Places
from hardpan.plan.ground_field import Floats
from hardpan.plan.ground_hidden import Hidden
from hardpan.plan.ground_posterior import Posterior, chance_below
from hardpan.street import Figure, Street
from hardpan.street.bays import Bays
from hardpan.street.defaults import default
from hardpan.street.figure import Basis, worked

HOW_MANY = 3
_SOURCE = "joint normal posterior of the ground"
_CANDIDATES = 48  # bays weighed as places of a test, the most doubtful of the street
_NODES, _WEIGHTS = hermegauss(9)
_WEIGHTS = _WEIGHTS / _WEIGHTS.sum()


@dataclass(frozen=True, slots=True)
class NextTest:
    """One test asked for: where, the chance that the decision there is wrong as things stand, and what the street then still risks."""

    station_m: float
    strip: int
    place: str
    wrong_here: Figure
    wrong_before: Figure
    wrong_after: Figure


@dataclass(slots=True)
class _Doubt:
    """Decision of every bay as it stands: normal strength felt, chance and softness of what a skin hides, and its weight [m]."""

    mean: Floats
    variance: Floats
    hidden: Floats
    hidden_soft: Floats
    weight: Floats
    limit: float

    def wrong(self, known: Floats, opened: Floats) -> Floats:
        """Chance of a wrong decision, averaged over results of tests that take ``known`` of each variance.

        ``known`` (bays, ...) and ``opened`` of the same shape: 1 where a test in the bay itself shows what a skin hides.
        """
        axes = (...,) + (None,) * (known.ndim - 1)
        mean, variance, hidden, soft = (one[axes] for one in (self.mean, self.variance, self.hidden, self.hidden_soft))
        left = np.sqrt(np.maximum(variance - known, 1e-12))
        wrong = np.zeros(known.shape)
        for node, share in zip(_NODES, _WEIGHTS, strict=True):
            felt = ndtr((self.limit - mean - np.sqrt(known) * node) / left)
            closed = (1 - hidden) * felt + hidden * soft
            wrong += share * np.where(
                opened > 0, (1 - hidden) * np.minimum(felt, 1 - felt), np.minimum(closed, 1 - closed)
            )
        return wrong


def choose_tests(
    street: Street, bays: Bays, places: Places, *, posterior: Posterior, hidden: Hidden
) -> tuple[NextTest, ...]:
    """Three tests, the best first, each chosen beside those before it."""
    doubt = _doubt(bays, places, posterior, hidden)
    before = doubt.wrong(np.zeros(doubt.mean.shape), np.zeros(doubt.mean.shape))
    at, lowered = greedy(posterior, doubt, before, HOW_MANY)
    total = Figure(
        "metres of strip called wrongly now, expected", float(doubt.weight @ before), "m", Basis.DEFAULT, _SOURCE
    )
    return tuple(
        _test(street, bays, bay, chance=float(before[bay]), before=total, after=risk)
        for bay, risk in zip(at, lowered, strict=True)
    )


def _doubt(bays: Bays, places: Places, posterior: Posterior, hidden: Hidden) -> _Doubt:
    """Decisions as they stand; a trench line counts as a bay of full length, for it fails on its own."""
    mean, variance = posterior.moments(posterior.prior.by_bay)
    limit = float(np.log(default("ground.soft_below").value))
    soft = chance_below(hidden.strength, limit)
    length = np.where(places.trench.T, default("line.bay_length").value, bays.lengths_m[:, None])
    return _Doubt(mean, variance, hidden.chance.T.ravel(), soft.T.ravel(), length.ravel(), limit)


def greedy(posterior: Posterior, doubt: _Doubt, before: Floats, count: int) -> tuple[list[int], list[float]]:
    """Bays to test, best first, and the metres of strip that stay wrongly decided after each."""
    tested = posterior.told.bay[posterior.told.shared[:, CONE] > 0]
    doubtful = doubt.weight * before
    doubtful[tested] = -1.0  # a second test in one place is the crew's own wish
    candidates = np.argsort(-doubtful, kind="stable")[: min(_CANDIDATES, len(before) - len(np.unique(tested)))]
    shared = posterior.prior.by_bay[candidates].copy()
    shared[:, CONE] = 1.0
    covariance = posterior.column(candidates, shared)  # of every bay's strength with every test
    between = _between(posterior, candidates, shared, covariance)
    noise = default("ground.cone_place").value ** 2
    known, opened = np.zeros(len(before)), np.zeros(len(before))
    own = np.zeros((len(before), len(candidates)))
    own[candidates, np.arange(len(candidates))] = 1
    chosen: list[int] = []
    left: list[float] = []
    for _ in range(min(count, len(candidates))):
        told = np.minimum(known[:, None] + covariance**2 / (np.diag(between) + noise), doubt.variance[:, None])
        after = doubt.weight @ doubt.wrong(told, np.maximum(opened[:, None], own))
        after[[index for index, bay in enumerate(candidates) if bay in chosen]] = np.inf
        best = int(np.argmin(after))
        chosen.append(int(candidates[best]))
        left.append(float(after[best]))
        known, opened = told[:, best], np.maximum(opened, own[:, best])
        gain = between[:, best] / (between[best, best] + noise)
        covariance = covariance - np.outer(covariance[:, best], gain)
        between = between - np.outer(between[:, best], gain)
    return chosen, left


def _between(posterior: Posterior, at: NDArray[np.intp], shared: Floats, covariance: Floats) -> Floats:
    """Covariance of the tests among themselves, their own scatter left out."""
    left = shared - posterior.prior.by_bay[at]
    carried = posterior.joint.carried[at]
    return covariance[at] + left @ posterior.joint.shared_cov @ (shared - carried).T


def _test(street: Street, bays: Bays, bay: int, *, chance: float, before: Figure, after: float) -> NextTest:
    """One test as figures."""
    column, row = divmod(bay, len(bays.strips))
    station = float(bays.middles_m[column])
    here = Figure("chance that soft or firm is called wrongly here", chance, "1", Basis.DEFAULT, _SOURCE)
    left = worked(
        "metres of strip called wrongly after this test and those before it, expected", after, "m", before, here,
        formula="mean over the results that the tests may give", source=_SOURCE,
    )  # fmt: skip
    return NextTest(station, bays.strips[row], street.painted(station), here, before, left)
