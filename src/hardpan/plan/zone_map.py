"""The cheapest map of actions: one action (a rate with a depth, nothing, digging out) for every bay of a street.

Along a strip every change of action has a price and every run of one action a least length: exact dynamic programming over
the edges where a run may end. Across strips an edge between unlike actions has a price a metre. There the costs of the bays are
shared out between the strips and the columns (the bays side by side at one station), and each strip and each column is solved
exactly: however the costs are shared out, the sum is a bound that no map can cost less than. The shares are moved until
the bound and the best map meet.
"""

from __future__ import annotations

from dataclasses import dataclass
from operator import itemgetter

import numpy as np
from numpy.typing import ArrayLike, NDArray

from hardpan.errors import LawError
from hardpan.laws.ranges import not_negative
from hardpan.plan.zone_strips import Strips, lay_out

Floats = NDArray[np.float64]
Actions = NDArray[np.intp]

MOST_ROUNDS = 400
FIRST_PACE = 1.5  # of Polyak's step; below 2, and 1 where the best cost is the least
PATIENCE = 25  # rounds without a better bound before the pace is halved
ROUNDING = 1e-12  # of the cost: less is neither a gain nor a gap


@dataclass(frozen=True, slots=True, eq=False)
class ZoneMap:
    """Action of every bay, shape (s, n), the cost of all, and a bound that no map can cost less than [currency]."""

    action: Actions
    cost: float
    bound: float

    @property
    def gap(self) -> float:
        """Share of the cost that a cheaper map could save at most."""
        return (self.cost - self.bound) / max(abs(self.cost), float(np.finfo(float).tiny))


def cheapest_strip(
    cost: ArrayLike, allowed: ArrayLike, *, lengths: ArrayLike, change: ArrayLike, least_length: ArrayLike
) -> tuple[Actions, float]:
    """Cheapest action of every bay along one strip.

    Parameters
    ----------
    cost : array_like, shape (n, a)
        Cost of every action in every bay [currency]; not read where the action is not allowed.
    allowed : array_like of bool, shape (n, a)
        Whether a bay may have an action.
    lengths : array_like, shape (n,)
        Lengths of the bays along the strip [m].
    change : float or array_like, shape (a, a)
        Price of every change of action along the strip [currency]; a matrix is symmetric, with a zero diagonal.
    least_length : float or array_like, shape (a,)
        Least length of a run of one action [m], for all or for each: digging out needs no spreader, so it may be short.

    Returns
    -------
    action : ndarray of int, shape (n,)
        Index of the action of every bay.
    cost : float
        Cost of the bays with the price of the changes [currency].

    Raises
    ------
    LawError
        Impossible input; a bay that may have no action; a least length that the allowed actions leave no room for.

    Notes
    -----
    With C[i, a] the cost of action a from the start to edge i, and j(i, a) the last edge from which a run of a that ends at i
    is long enough, the least cost up to i with a run of a ending there is::

        E[i, a] = C[i, a] + min over j <= j(i, a) of (min over b of (E[j, b] + change[b, a]) - C[j, a])

    over the j from which a is allowed in every bay. The minimum over j is kept running, so the work grows as n a, or as n a^2
    for a matrix. b = a may stay in: two runs of one action that touch are one run that costs no more.

    Where the two bays at an edge may have no action in common the strip is cut: the change there is forced, and each
    piece counts as a strip of its own. A strip that is shorter than the least length is one run.
    The strip is walked from both ends at once; the walks meet in the run that holds the middle bay. Of actions that cost the same
    the one of lower index is taken, in that run first, then outwards.

    Examples
    --------
    >>> cost, allowed = [[1, 2], [1, 2], [9, 2], [1, 2]], [[True, True]] * 4
    >>> action, total = cheapest_strip(cost, allowed, lengths=[10.0] * 4, change=0.5, least_length=20.0)
    >>> action.tolist(), total
    ([0, 0, 1, 1], 6.5)
    """
    one = np.asarray(cost, dtype=float)[None], np.asarray(allowed, dtype=bool)[None]
    strips = lay_out(*one, lengths=lengths, change=change, least_length=least_length)
    action, _ = strips.solve(strips.cost)
    return action[:, 0], strips.total(action)


def cheapest_map(
    cost: ArrayLike,
    allowed: ArrayLike,
    *,
    lengths: ArrayLike,
    change_along: ArrayLike,
    change_across: float,
    least_length: ArrayLike,
    gap: float = 1e-3,
) -> ZoneMap:
    """Cheapest action of every bay of strips beside each other, with the certificate of how cheap a map could be.

    Parameters
    ----------
    cost : array_like, shape (s, n, a)
        Cost of every action in every bay of every strip [currency]; not read where the action is not allowed.
    allowed : array_like of bool, shape (s, n, a)
        Whether a bay may have an action.
    lengths : array_like, shape (n,)
        Lengths of the bays along the strips [m].
    change_along : float or array_like, shape (a, a)
        Price of every change of action along a strip [currency]; a matrix is symmetric, with a zero diagonal.
    change_across : float
        Price of the edge between unlike actions side by side, by its length [currency/m].
    least_length : float or array_like, shape (a,)
        Least length of a run of one action along a strip [m], for all or for each.
    gap : float
        Share of the cost [-] at which the search ends: no map is cheaper by more.

    Returns
    -------
    ZoneMap
        The cheapest map found, its cost and the bound; its gap may stay above ``gap`` after the last round.

    Raises
    ------
    LawError
        Impossible input; a bay that may have no action; a least length that the allowed actions leave no room for.

    Notes
    -----
    Lagrangian decomposition: the least cost of the strips alone with their share of the bay costs, and of the columns
    alone with the rest, is a bound whatever the shares; at first the strips have all. Where strips and columns differ in a bay, its
    share is moved to make the strip's choice dearer for the strips, by Polyak's step with the best cost for the
    unknown least. Maps come from the strips' choices, improved by solving every second strip exactly beside
    its neighbours; the best one until nothing is gained. Runs hold the least length as `cheapest_strip` says.

    Examples
    --------
    >>> cost = [[[1, 2], [1, 2]], [[3, 2], [3, 2]]]
    >>> prices = {"change_along": 5.0, "change_across": 0.01, "least_length": 0.0}
    >>> found = cheapest_map(cost, np.ones((2, 2, 2), dtype=bool), lengths=[10.0, 10.0], **prices)
    >>> found.action.tolist(), found.cost, found.gap <= 1e-3
    ([[0, 0], [1, 1]], 6.2, True)

    References
    ----------
    Guignard, M. and Kim, S. (1987). Lagrangean decomposition. Mathematical Programming 39, 215-228.
    Polyak, B. T. (1969). Minimization of unsmooth functionals. USSR Computational Mathematics and Mathematical Physics 9(3), 14-29.
    """
    strips = lay_out(cost, allowed, lengths=lengths, change=change_along, least_length=least_length)
    if np.ndim(change_across):
        raise LawError("change_across", f"shape {np.shape(change_across)}", "one price a metre")
    edge = not_negative("change_across", change_across) * strips.lengths
    action, total, bound = _meet(strips, edge, max(float(not_negative("gap", gap)), ROUNDING))
    return ZoneMap(np.ascontiguousarray(action.T), total, min(bound, total))


def _meet(strips: Strips, edge: Floats, gap: float) -> tuple[Actions, float, float]:
    """Best map (n, s), its cost and the bound, moving the shares until they meet or the rounds are over."""
    all_costs, share = np.where(strips.allowed, strips.cost, np.inf), strips.cost.copy()
    best, total, cheapest, bound = np.empty(0, dtype=np.intp), np.inf, np.inf, -np.inf
    pace, stale = FIRST_PACE, 0
    for _ in range(MOST_ROUNDS):
        along, along_cost = strips.solve(share)
        across, across_cost = _columns(all_costs - share, edge)
        low = float(along_cost.sum() + across_cost.sum())
        stale = 0 if low > bound else stale + 1
        if stale == PATIENCE:
            pace, stale = pace / 2, 0
        bound, before = max(bound, low), strips.total(along, edge)
        if before < cheapest:
            cheapest = before
            best, total = min((best, total), _sweep(strips, edge, along), key=itemgetter(1))
        station, strip = np.nonzero(along != across)
        if total - bound <= gap * abs(total) or not station.size:
            break
        wanted = total - gap * abs(total) / 2  # a bound that would do
        step = pace * (wanted - low) * strips.lengths[station] / (2 * strips.lengths[station].sum())
        share[station, strip, along[station, strip]] += step
        share[station, strip, across[station, strip]] -= step
    return *_descend(strips, edge, best), bound


def _columns(cost: Floats, edge: Floats) -> tuple[Actions, Floats]:
    """Cheapest actions (n, s) of every column by itself at a cost (n, s, a), and what each costs (n,)."""
    sums, price = cost.copy(), edge[:, None]
    for strip in range(1, cost.shape[1]):
        before = sums[:, strip - 1]
        sums[:, strip] += np.minimum(before, before.min(axis=-1, keepdims=True) + price)
    action = sums.argmin(axis=-1)
    station = np.arange(len(cost))
    for strip in range(cost.shape[1] - 2, -1, -1):
        here, after = sums[station, strip, action[:, strip]], action[:, strip + 1]
        action[:, strip] = np.where(sums[station, strip, after] <= here + edge, after, action[:, strip])
    return action, sums[:, -1].min(axis=-1)


def _sweep(strips: Strips, edge: Floats, action: Actions) -> tuple[Actions, float]:
    """Map (n, s) and its cost from another: every second strip solved beside its neighbours, then the others."""
    swept, actions = action.copy(), np.arange(strips.cost.shape[-1])
    for first in (0, 1):
        unlike = (swept[..., None] != actions) * edge[:, None, None]
        cost = strips.cost.copy()
        cost[:, 1:] += unlike[:, :-1]
        cost[:, :-1] += unlike[:, 1:]
        swept[:, first::2] = strips.solve(cost)[0][:, first::2]
    return swept, strips.total(swept, edge)


def _descend(strips: Strips, edge: Floats, action: Actions) -> tuple[Actions, float]:
    """Map (n, s) and its cost from another, swept until nothing is gained."""
    best, total = action, strips.total(action, edge)
    swept, cost = _sweep(strips, edge, best)
    while cost < total - ROUNDING * abs(total):
        best, total = swept, cost
        swept, cost = _sweep(strips, edge, best)
    return best, total
