"""What the evidence says of every bay: expectation propagation over the field, and grid marginals.

The strength of a bay is y + h.g: y of the field, g a few errors and means that the whole street shares, h how much of each.
A reading sees another such sum through a curve that is not normal; each curve is stood in for by a normal one that is
mended until all agree (Minka 2001; Rasmussen and Williams 2006, section 3.6). A bay's own marginal then takes its exact curve
again, against everything else that is known.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtri
from scipy.stats import qmc

from hardpan.plan.ground_field import Blocks, Factor, Floats, eliminate

Places = NDArray[np.intp]

GRID = np.arange(np.log(0.2), np.log(60.0), 0.05)
"""Grid of ln CBR for the marginals."""

SEEN_AT = np.arange(-4.0, 7.0, 0.02)
"""Grid of the strength that a wheel felt, in ln CBR, on which curves of readings are given."""

_SWEEPS, _SETTLED, _NEAR_ENOUGH = 300, 1e-7, 1e-3
_STEP, _LEAST_STEP, _PATIENCE = 0.8, 0.02, 10
_AT_A_TIME = 128
_SEEN_STEP = 0.02
_FEW, _DRAWS, _WIDER = 12, 2**14, 1.3
_WITHIN = 0.05 * (np.arange(5) - 2) / 5  # points of a cell of the grid
_PAD = 240


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
    settled: bool

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

    def marginal(self, shared: Floats, *, near: bool = True) -> Floats:
        """Probability of y + h.g on ``GRID``, h = ``shared`` (bays, g); shape (bays, len(GRID)), rows sum to 1.

        Without ``near`` the readings of other bays stay with their stand-ins: a third of the work, for a hundredth of a cdf.
        """
        mean, variance = self.moments(shared)
        if 0 < len(self.seen.bay) <= _FEW:
            return self._by_draws(shared, mean, variance)
        density = np.exp(-((GRID - mean[:, None]) ** 2) / (2 * variance[:, None]))
        if not len(self.seen.bay):
            return np.asarray(density / density.sum(axis=1, keepdims=True))
        main = self.main
        read = np.flatnonzero(main >= 0)
        density[read] = self._against_own_curve(read, main[read], shared[read], mean[read], variance[read])
        if near:
            density *= np.exp(self._beside(shared, mean, variance))
        return np.asarray(density / density.sum(axis=1, keepdims=True))

    def _by_draws(self, shared: Floats, mean: Floats, variance: Floats) -> Floats:
        """The same for a few readings, which leave what is shared far from normal: draws of all that was felt, weighted by the exact curves."""
        seen, joint = self.seen, self.joint
        there = seen.shared - joint.carried[seen.bay]
        field = self._field(seen.bay)
        felt_mean = joint.mean[seen.bay] + seen.shared @ joint.shared_mean
        among = field[seen.bay] + there @ joint.shared_cov @ there.T
        toward = field + (shared - joint.carried) @ joint.shared_cov @ there.T
        root = np.linalg.cholesky(among + 1e-12 * np.eye(len(among)))
        normal = ndtri(qmc.Sobol(len(among), scramble=True, rng=np.random.default_rng(0)).random(_DRAWS))
        felt = felt_mean + _WIDER * normal @ root.T
        weight = np.log(np.maximum(on_curve(seen.curves[seen.curve], felt.T), 1e-300)).sum(axis=0)
        weight += felt**2 @ self.precision / 2 - felt @ self.shift  # the stand-ins taken out
        weight -= (_WIDER**2 - 1) / 2 * (normal**2).sum(axis=1)  # drawn wider than the joint normal
        weight = np.exp(weight - weight.max())
        gain = np.linalg.solve(among + 1e-12 * np.eye(len(among)), toward.T).T
        left = np.sqrt(np.maximum(variance - np.einsum("ik,ik->i", gain, toward), 0))
        centre = mean[:, None] + gain @ (felt - felt_mean).T
        fine = (GRID[:, None] + _WITHIN).ravel()
        place = np.clip(np.rint((centre - fine[0]) / (fine[1] - fine[0])), 0, fine.size - 1).astype(np.intp)
        counted = np.stack([np.bincount(one, weight, fine.size) for one in place]).astype(float)
        spread = smoothed(counted, left, step=float(fine[1] - fine[0]), ends="constant")
        cells = spread.reshape(len(mean), GRID.size, -1).sum(axis=2)
        return np.asarray(cells / cells.sum(axis=1, keepdims=True))

    def _field(self, bays: Places) -> Floats:
        """Covariance of the field in every bay with that in some bays: (bays, k)."""
        n, s = self.shape
        unit = np.zeros((n * s, len(bays)))
        unit[bays, np.arange(len(bays))] = 1
        return self.joint.factor.solve(unit.reshape(n, s, -1)).reshape(n * s, -1)

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
        curves = smoothed(self.seen.curves[self.seen.curve[site]], scatter)
        fine = (GRID[:, None] + _WITHIN).ravel()
        felt = seen_mean[:, None] + slope[:, None] * (fine - mean[:, None])
        density = np.exp(-((fine - mean[:, None]) ** 2) / (2 * variance[:, None])) * on_curve(curves, felt)
        return np.asarray(density.reshape(len(bays), GRID.size, -1).mean(axis=2))

    def _beside(self, shared: Floats, mean: Floats, variance: Floats) -> Floats:
        """Ln of what the exact curves of near readings add to their stand-ins, at every strength of ``GRID``: (bays, grid).

        A reading of another bay enters a marginal through its stand-in; here it is mended by the mean of curve over
        stand-in, given the strength (Cseke and Heskes 2011), for readings up to one station away.
        """
        bay, site, field = self._pairs()
        added = np.zeros((len(mean), GRID.size))
        joint, seen = self.joint, self.seen
        for start in range(0, len(bay), _AT_A_TIME):
            i, k, own = (one[start : start + _AT_A_TIME] for one in (bay, site, field))
            here, there = shared[i] - joint.carried[i], seen.shared[k] - joint.carried[seen.bay[k]]
            both = own + np.einsum("kg,gh,kh->k", here, joint.shared_cov, there)
            felt = joint.mean[seen.bay[k]] + seen.shared[k] @ joint.shared_mean
            scatter = joint.variance[seen.bay[k]] + np.einsum("kg,gh,kh->k", there, joint.shared_cov, there)
            scatter = np.maximum(scatter - both**2 / variance[i], 1e-12)
            middle = felt[:, None] + (both / variance[i])[:, None] * (GRID - mean[i, None])
            without = np.maximum(1 / scatter - self.precision[k], 1e-9)[:, None]  # the stand-in taken out
            moved = (middle / scatter[:, None] - self.shift[k, None]) / without
            curves = smoothed(seen.curves[seen.curve[k]], 1 / np.sqrt(without[:, 0]))
            mended = np.log(np.maximum(on_curve(curves, moved), 1e-300))
            mended += moved**2 * without / 2 - middle**2 / scatter[:, None] / 2
            np.add.at(added, i, mended - mended.max(axis=1, keepdims=True))  # type: ignore[arg-type]  # i is a row of places
        return np.asarray(added - added.max(axis=1, keepdims=True))

    def _pairs(self) -> tuple[Places, Places, Floats]:
        """Bays with the readings of other bays, or of their own beside the main one, up to a station away, and the field's covariance."""
        n, s = self.shape
        same, ahead = self.joint.factor.near()
        main = self.main
        found: list[tuple[Places, Places, Floats]] = []
        station, strip = np.divmod(self.seen.bay, s)
        sites = np.arange(len(station))
        for step in (-1, 0, 1):
            inside = (station + step >= 0) & (station + step < n)
            k = np.repeat(sites[inside], s)
            column, row = station[k] + step, np.tile(np.arange(s), inside.sum())
            bay = column * s + row
            other = main[bay] != k
            k, column, row, bay = k[other], column[other], row[other], bay[other]
            if step == 0:
                field = same[column, row, strip[k]]
            elif step == 1:  # the bay stands one station ahead of the reading
                field = ahead[station[k], strip[k], row]
            else:
                field = ahead[column, row, strip[k]]
            found.append((bay, k, field))
        bay, site, covariance = (np.concatenate(one) for one in zip(*found, strict=True))
        return bay, site, covariance

    def column(self, bays: Places, shared: Floats) -> Floats:
        """Covariance of every bay's strength with y + h.g at some bays, h = ``shared`` (k, g); shape (bays, k)."""
        left = self.prior.by_bay - self.joint.carried
        return self._field(bays) + left @ self.joint.shared_cov @ (shared - self.joint.carried[bays]).T

    def draws(self, count: int, rng: np.random.Generator) -> tuple[Floats, Floats]:
        """Joint draws of strength (count, n, s) and of what the street shares (count, g), by the joint normal."""
        n, s = self.shape
        joint = self.joint
        shared = rng.multivariate_normal(joint.shared_mean, joint.shared_cov, size=count, method="cholesky")
        field = joint.factor.draws(rng.standard_normal((n, s, count))).reshape(n * s, count)
        centre = joint.mean[:, None] - joint.carried @ (shared - joint.shared_mean).T
        strength = field + centre + self.prior.by_bay @ shared.T
        return strength.T.reshape(count, n, s), shared


def _merged(seen: Seen) -> Seen:
    """Readings with those of one bay through the same sum multiplied into one curve."""
    rows = np.concatenate([seen.bay[:, None], np.round(seen.shared, 12)], axis=1)
    _, first, same = np.unique(rows, axis=0, return_index=True, return_inverse=True)
    same = same.ravel()
    if len(first) == len(rows):
        return seen
    kept, curves, names = [], list(seen.curves), dict[tuple[int, ...], int]()
    for group in range(len(first)):
        parts = tuple(sorted(seen.curve[same == group].tolist()))
        if len(parts) > 1 and parts not in names:
            names[parts] = len(curves)
            curves.append(np.prod(seen.curves[list(parts)], axis=0))
        kept.append(names.get(parts, parts[0]))
    return Seen(seen.bay[first], np.array(kept), seen.shared[first], np.array(curves))


def infer(prior: Prior, told: Told, seen: Seen) -> Posterior:
    """Posterior of the field and of what the street shares.

    Notes
    -----
    All stand-ins are mended at once and by steps of 0.8, smaller where that does not settle, until no mean of what a wheel felt
    moves by 1e-7. Readings of one bay through the same sum are one curve.
    """
    seen = _merged(seen)
    precision, shift = np.zeros(len(seen.bay)), np.zeros(len(seen.bay))
    joint = _join(prior, told, seen, precision, shift)
    step, nearest, since, sweep, moved = _STEP, np.inf, 0, 0, 0.0
    while len(seen.bay) and sweep < _SWEEPS:
        sweep += 1
        new_precision, new_shift, moved = _mended(joint, seen, precision, shift)
        if moved < _SETTLED:
            break
        nearest, since = (moved, 0) if moved < 0.9 * nearest else (nearest, since + 1)
        if since >= _PATIENCE:
            step, nearest, since = max(0.6 * step, _LEAST_STEP), moved, 0
        precision = precision + step * (new_precision - precision)
        shift = shift + step * (new_shift - shift)
        joint = _join(prior, told, seen, precision, shift)
    return Posterior(prior, told, seen, precision, shift, joint, sweep, settled=moved < _NEAR_ENOUGH)


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


def smoothed(
    curves: Floats, scatter: Floats, *, step: float = _SEEN_STEP, ends: Literal["edge", "constant"] = "edge"
) -> Floats:
    """Curves (k, p) on even points blurred by a normal scatter (k,); level beyond their ends, or 0 where ``ends`` is constant."""
    pad = _PAD
    wide = np.pad(curves, ((0, 0), (pad, pad)), mode=ends)
    wave = 2 * np.pi * np.fft.rfftfreq(wide.shape[1], step)
    blurred = np.fft.irfft(np.fft.rfft(wide) * np.exp(-(scatter[:, None] ** 2) * wave**2 / 2), n=wide.shape[1])
    return np.asarray(np.maximum(np.where(scatter[:, None] > step / 4, blurred[:, pad:-pad], curves), 0.0))


def on_curve(curves: Floats, at: Floats) -> Floats:
    """Each of the curves (k, p) at points (k, m), linear between the points of ``SEEN_AT`` and level beyond them."""
    step = SEEN_AT[1] - SEEN_AT[0]
    place = np.clip((at - SEEN_AT[0]) / step, 0, len(SEEN_AT) - 1.000001)
    below = place.astype(np.intp)
    share, rows = place - below, np.arange(len(curves))[:, None]
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
