"""What the evidence says of every bay: expectation propagation over the field, and grid marginals.

The strength of a bay is y + h.g: y of the field, g a few errors and means that the whole street shares, h how much of each.
A reading sees another such sum through a curve that is not normal; each curve is stood in for by a normal one that is
mended until all agree (Minka 2001; Rasmussen and Williams 2006, section 3.6). A bay's own marginal then takes its exact curve
again, against everything else that is known.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.polynomial.hermite_e import hermegauss
from numpy.typing import NDArray

from hardpan.plan.ground_field import Blocks, Factor, Floats, eliminate

Places = NDArray[np.intp]

GRID = np.arange(np.log(0.2), np.log(60.0), 0.05)
"""Grid of ln CBR for the marginals."""

SEEN_AT = np.arange(-4.0, 7.0, 0.02)
"""Grid of the strength that a wheel felt, in ln CBR, on which curves of readings are given."""

_SWEEPS, _SETTLED, _STEP = 200, 1e-7, 0.8
_AT_A_TIME = 128
_NODES, _WEIGHTS = hermegauss(15)
_WEIGHTS = _WEIGHTS / _WEIGHTS.sum()


@dataclass(frozen=True, slots=True, eq=False)
class Prior:
    """Before any evidence: mean and spread of the field (n, s), its ties, and what the street shares.

    ``strength`` (n, s, g) is how much of each shared quantity a bay's strength holds.
    """

    mean: Floats
    spread: Floats
    field: Blocks
    shared_mean: Floats
    shared_spread: Floats
    strength: Floats

    @property
    def by_bay(self) -> Floats:
        """``strength`` with the bays in one row, station by station: (bays, g)."""
        return self.strength.reshape(-1, self.strength.shape[-1])


@dataclass(frozen=True, slots=True, eq=False)
class Told:
    """Normal evidence: bays (k,), values and variances (k,), and how much of what is shared each holds (k, g)."""

    bay: Places
    value: Floats
    variance: Floats
    shared: Floats


@dataclass(frozen=True, slots=True, eq=False)
class Seen:
    """Readings: bays (k,), their curves by row of ``curves`` (k,), shares (k, g), and likelihoods on ``SEEN_AT`` (c, p)."""

    bay: Places
    curve: Places
    shared: Floats
    curves: Floats


@dataclass(frozen=True, slots=True, eq=False)
class _Joint:
    """Joint normal of field and shared quantities for one set of stand-ins."""

    factor: Factor
    carried: Floats  # (bays, g): what the field carries of the shared
    mean: Floats  # (bays,)
    variance: Floats  # (bays,), shared quantities fixed
    shared_mean: Floats
    shared_cov: Floats


@dataclass(frozen=True, slots=True, eq=False)
class Posterior:
    """Everything that the evidence says, ready to be asked."""

    prior: Prior
    told: Told
    seen: Seen
    precision: Floats  # of the stand-ins, (k,)
    shift: Floats  # precision times mean of the stand-ins, (k,)
    joint: _Joint
    sweeps: int

    @property
    def shape(self) -> tuple[int, int]:
        """Stations and strips."""
        return self.prior.mean.shape[0], self.prior.mean.shape[1]

    @property
    def main(self) -> Places:
        """Index of the reading whose exact curve a bay's marginal takes, -1 for none; shape (bays,)."""
        chosen = np.full(self.prior.mean.size, -1)
        order = np.argsort(self.precision, kind="stable")
        chosen[self.seen.bay[order]] = order
        return chosen

    def moments(self, shared: Floats) -> tuple[Floats, Floats]:
        """Mean and variance of y + h.g by the joint normal, h = ``shared`` (bays, g); both (bays,)."""
        joint = self.joint
        left = shared - joint.carried
        mean = joint.mean + shared @ joint.shared_mean
        return mean, joint.variance + np.einsum("kg,gh,kh->k", left, joint.shared_cov, left)

    def marginal(self, shared: Floats) -> Floats:
        """Probability of y + h.g on ``GRID``, h = ``shared`` (bays, g); shape (bays, len(GRID)), rows sum to 1."""
        mean, variance = self.moments(shared)
        density = np.exp(-((GRID - mean[:, None]) ** 2) / (2 * variance[:, None]))
        main = self.main
        read = np.flatnonzero(main >= 0)
        density[read] = self._against_own_curve(read, main[read], shared[read], mean[read], variance[read])
        return np.asarray(density / density.sum(axis=1, keepdims=True))

    def _against_own_curve(self, bays: Places, site: Places, shared: Floats, mean: Floats, variance: Floats) -> Floats:
        """Density on ``GRID`` for bays with a reading: everything else that is known, times its exact curve."""
        joint = self.joint
        seen_left, left = self.seen.shared[site] - joint.carried[bays], shared - joint.carried[bays]
        seen_mean = joint.mean[bays] + self.seen.shared[site] @ joint.shared_mean
        seen_variance = joint.variance[bays] + np.einsum("kg,gh,kh->k", seen_left, joint.shared_cov, seen_left)
        both = joint.variance[bays] + np.einsum("kg,gh,kh->k", left, joint.shared_cov, seen_left)
        # take the stand-in of this reading out of the pair (strength, what the wheel felt)
        precision, shift = self.precision[site], self.shift[site]
        rest = 1 - precision * seen_variance
        moved = (precision * seen_mean - shift) / rest
        mean, variance = mean + both * moved, variance + both**2 * precision / rest
        seen_mean, seen_variance, both = seen_mean + seen_variance * moved, seen_variance / rest, both / rest
        slope = both / variance
        scatter = np.sqrt(np.maximum(seen_variance - both * slope, 0))
        felt = seen_mean[:, None] + slope[:, None] * (GRID - mean[:, None])
        chance = sum(
            weight * _on_curve(self.seen.curves, self.seen.curve[site], felt + node * scatter[:, None])
            for node, weight in zip(_NODES, _WEIGHTS, strict=True)
        )
        return np.asarray(np.exp(-((GRID - mean[:, None]) ** 2) / (2 * variance[:, None])) * chance)

    def column(self, bays: Places, shared: Floats) -> Floats:
        """Covariance of every bay's strength with y + h.g at some bays, h = ``shared`` (k, g); shape (bays, k)."""
        n, s = self.shape
        unit = np.zeros((n * s, len(bays)))
        unit[bays, np.arange(len(bays))] = 1
        field = self.joint.factor.solve(unit.reshape(n, s, -1)).reshape(n * s, -1)
        left = self.prior.by_bay - self.joint.carried
        return field + left @ self.joint.shared_cov @ (shared - self.joint.carried[bays]).T

    def draws(self, count: int, rng: np.random.Generator) -> tuple[Floats, Floats]:
        """Joint draws of strength (count, n, s) and of what the street shares (count, g), by the joint normal."""
        n, s = self.shape
        joint = self.joint
        shared = rng.multivariate_normal(joint.shared_mean, joint.shared_cov, size=count, method="cholesky")
        field = joint.factor.draws(rng.standard_normal((n, s, count))).reshape(n * s, count)
        centre = joint.mean[:, None] - joint.carried @ (shared - joint.shared_mean).T
        strength = field + centre + self.prior.by_bay @ shared.T
        return strength.T.reshape(count, n, s), shared


def infer(prior: Prior, told: Told, seen: Seen) -> Posterior:
    """Posterior of the field and of what the street shares.

    Notes
    -----
    All stand-ins are mended at once and by steps of 0.8, until no mean of what a wheel felt moves by 1e-7.
    """
    precision, shift = np.zeros(len(seen.bay)), np.zeros(len(seen.bay))
    joint = _join(prior, told, seen, precision, shift)
    sweep = 0
    while len(seen.bay) and sweep < _SWEEPS:
        sweep += 1
        new_precision, new_shift, moved = _mended(joint, seen, precision, shift)
        precision += _STEP * (new_precision - precision)
        shift += _STEP * (new_shift - shift)
        joint = _join(prior, told, seen, precision, shift)
        if moved < _SETTLED:
            break
    return Posterior(prior, told, seen, precision, shift, joint, sweep)


def _join(prior: Prior, told: Told, seen: Seen, precision: Floats, shift: Floats) -> _Joint:
    """Joint normal for one set of stand-ins: the field is eliminated first, what is shared last."""
    n, s = prior.mean.shape
    bay = np.concatenate([told.bay, seen.bay])
    shared = np.concatenate([told.shared, seen.shared])
    weight = np.concatenate([1 / told.variance, precision])
    pull = np.concatenate([told.value / told.variance, shift])
    field = prior.field.scaled(1 / prior.spread)
    factor = eliminate(field.plus(_summed(bay, weight, n * s).reshape(n, s)))
    cross = np.stack([_summed(bay, weight * column, n * s) for column in shared.T], axis=1)
    pulled = _summed(bay, pull, n * s) + _times(field, prior.mean).ravel()
    solved = factor.solve(np.concatenate([cross, pulled[:, None]], axis=1).reshape(n, s, -1)).reshape(n * s, -1)
    carried, alone = solved[:, :-1], solved[:, -1]
    own = np.diag(1 / prior.shared_spread**2) + (shared * weight[:, None]).T @ shared - cross.T @ carried
    shared_cov = np.linalg.inv((own + own.T) / 2)
    shared_mean = shared_cov @ (prior.shared_mean / prior.shared_spread**2 + shared.T @ pull - cross.T @ alone)
    variance = factor.variances().ravel()
    return _Joint(
        factor, carried, alone - carried @ shared_mean, variance, shared_mean, (shared_cov + shared_cov.T) / 2
    )


def _mended(joint: _Joint, seen: Seen, precision: Floats, shift: Floats) -> tuple[Floats, Floats, float]:
    """Stand-ins that match each exact curve against everything else, and how far any mean moves."""
    left = seen.shared - joint.carried[seen.bay]
    mean = joint.mean[seen.bay] + seen.shared @ joint.shared_mean
    variance = joint.variance[seen.bay] + np.einsum("kg,gh,kh->k", left, joint.shared_cov, left)
    others = 1 / variance - precision
    others_mean = (mean / variance - shift) / others
    wanted, spread = _tilted(seen, others_mean, others)
    new_precision = np.maximum(1 / spread - others, 0)
    new_shift = wanted * (others + new_precision) - others * others_mean
    return new_precision, new_shift, float(np.max(np.abs(wanted - mean)))


def _tilted(seen: Seen, mean: Floats, precision: Floats) -> tuple[Floats, Floats]:
    """Mean and variance of each exact curve times a normal, a few readings at a time so that the work stays in the cache."""
    wanted, spread = np.empty(len(mean)), np.empty(len(mean))
    for start in range(0, len(mean), _AT_A_TIME):
        part = slice(start, start + _AT_A_TIME)
        off = SEEN_AT - mean[part, None]
        weight = np.exp(-(off**2) * (precision[part, None] / 2)) * seen.curves[seen.curve[part]]
        total = weight.sum(axis=1)
        first = np.einsum("kp,kp->k", weight, off) / total
        wanted[part] = mean[part] + first
        spread[part] = np.einsum("kp,kp,kp->k", weight, off, off) / total - first**2
    return wanted, spread


def _summed(bay: Places, values: Floats, count: int) -> Floats:
    """Values added up by bay."""
    return np.bincount(bay, values, count).astype(float)


def _times(matrix: Blocks, values: Floats) -> Floats:
    """Product of a block-tridiagonal matrix with values of shape (n, s)."""
    product = np.einsum("tij,tj->ti", matrix.diagonal, values)
    product[1:] += np.einsum("tij,tj->ti", matrix.lower, values[:-1])
    product[:-1] += np.einsum("tji,tj->ti", matrix.lower, values[1:])
    return np.asarray(product)


def _on_curve(curves: Floats, curve: Places, at: Floats) -> Floats:
    """Curves (rows of ``curves``) at points (k, m), linear between the points of ``SEEN_AT`` and level beyond them."""
    step = SEEN_AT[1] - SEEN_AT[0]
    place = np.clip((at - SEEN_AT[0]) / step, 0, len(SEEN_AT) - 1.000001)
    below = place.astype(np.intp)
    share = place - below
    rows = curve[:, None]
    return np.asarray((1 - share) * curves[rows, below] + share * curves[rows, below + 1])


def quantile(strength: Floats, share: float) -> Floats:
    """CBR [%] below which a share lies, for probabilities on ``GRID`` (..., grid)."""
    step = GRID[1] - GRID[0]
    reached = np.cumsum(strength, axis=-1)
    index = np.argmax(reached >= share, axis=-1)
    within = np.take_along_axis(strength, index[..., None], axis=-1)[..., 0]
    over = np.take_along_axis(reached, index[..., None], axis=-1)[..., 0] - share
    return np.asarray(np.exp(GRID[index] + step / 2 - step * over / np.maximum(within, 1e-300)))


def chance_below(strength: Floats, limit: float) -> Floats:
    """Chance that ln CBR lies below a limit, for probabilities on ``GRID``, the cell of the limit counted in part."""
    step = GRID[1] - GRID[0]
    share = np.clip((limit - GRID) / step + 0.5, 0, 1)
    return np.asarray(strength @ share)
