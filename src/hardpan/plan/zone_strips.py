"""Strips beside each other, each solved by itself: what one strip allows, and its cheapest actions whatever they cost.

A strip is walked from both its ends at once, and the two walks meet in the run that holds its middle bay.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from hardpan.errors import LawError
from hardpan.laws.ranges import not_negative, positive

Floats = NDArray[np.float64]
Actions = NDArray[np.intp]
Bools = NDArray[np.bool_]

SAME_LENGTH_M = 1e-6  # edges of bays are rounded to a micrometre


@dataclass(frozen=True, slots=True, eq=False)
class Runs:
    """Runs walked from one end or the other, shape (steps + 1, 2 s, a) each: the strips, then the same seen from their other end.

    ``ends`` is the least cost up to an edge with a run of the action ending there; ``best`` that of the cheapest begin of a run
    up to there, less the action's own cost up to there, and ``starts`` the edge where it begins.
    """

    ends: Floats
    best: Floats
    starts: Actions


@dataclass(frozen=True, slots=True, eq=False)
class Strips:
    """What holds whatever the costs are, of n bays of s strips with a actions.

    ``cost`` (0 where not allowed) and ``allowed`` have shape (n, s, a). ``change`` (a, a) holds the prices of changes, ``price`` the one
    price where there is one. Of runs that end after a bay, shape (n, 2 s, a): ``latest`` is the last edge from which
    they are long enough, ``short`` infinite where there is none and ``broken`` where the bay may not have the action. Of runs
    that begin in the first half, shape (half, s, a): ``reach`` is the nearest end in the second half that makes them long enough, as
    an edge from the other end, and ``parted`` infinite where there is none. ``last`` (n, s) is the edge where the
    piece that holds a bay ends. Edges are indices into the flat arrays of ``Runs``.
    """

    cost: Floats
    allowed: Bools
    lengths: Floats
    change: Floats
    price: float | None
    latest: Actions
    short: Floats
    broken: Floats
    reach: Actions
    parted: Floats
    last: Actions

    def solve(self, cost: Floats) -> tuple[Actions, Floats]:
        """Cheapest actions (n, s) of every strip by itself at a cost (n, s, a), and what each costs (s,)."""
        half, strips = self.reach.shape[:2]
        runs = self._walk(cost, half)
        middle = runs.best[:half, :strips] + runs.best.reshape(-1).take(self.reach) + self.parted + cost.sum(axis=0)
        by_strip = middle.transpose(1, 2, 0).reshape(strips, -1)
        least = by_strip.min(axis=-1)
        if not np.isfinite(least).all():
            raise self._no_room(self._walk(cost, len(cost)).ends[:, :strips])
        action = np.empty(cost.shape[:2], dtype=np.intp)
        for strip, at in enumerate(by_strip.argmin(axis=-1).tolist()):
            self._trace(runs, action[:, strip], strip=strip, middle=divmod(at, half))
        return action, least

    def total(self, action: Actions, edge: Floats | float = 0.0) -> float:
        """Cost of a map (n, s) where an edge between unlike actions across costs ``edge`` (n,)."""
        bays = np.take_along_axis(self.cost, action[..., None], axis=-1).sum()
        unlike = (action[:, 1:] != action[:, :-1]).sum(axis=-1)
        return float(bays + self.change[action[1:], action[:-1]].sum() + (unlike * edge).sum())

    def _walk(self, cost: Floats, steps: int) -> Runs:
        """Runs over the first steps from both ends, at a cost (n, s, a)."""
        shape = (steps + 1, *self.latest.shape[1:])
        sums, ends, best = np.zeros(shape), np.zeros(shape), np.zeros(shape)
        np.cumsum(np.concatenate([cost[:steps], cost[: -steps - 1 : -1]], axis=1), axis=0, out=sums[1:])
        so_far, long_enough = best.reshape(-1), sums[1:] + self.short[:steps]
        if self.price is not None:
            sums -= self.price
        for total, own, end, old, new, latest, broken in zip(
            sums[1:], long_enough, ends[1:], best[:-1], best[1:], self.latest[:steps], self.broken[:steps], strict=True
        ):
            np.add(own, so_far.take(latest), out=end)
            if self.price is None:
                before = (end[:, :, None] + self.change).min(axis=1)
            else:
                before = end.min(axis=-1, keepdims=True)  # total has the price in it
            np.minimum(old + broken, before - total, out=new)
        starts = np.zeros(shape, dtype=np.intp)
        begins = (best[1:] != best[:-1]) | (self.broken[:steps] > 0)
        np.multiply(begins, np.arange(1, steps + 1)[:, None, None], out=starts[1:])
        return Runs(ends, best, np.maximum.accumulate(starts, axis=0, out=starts))

    def _trace(self, runs: Runs, action: Actions, *, strip: int, middle: tuple[int, int]) -> None:
        """Fill in the actions (n,) of a strip: the run in the middle, by its action and an edge of the first half, then both ways."""
        one, near = middle
        starts, other = runs.starts.reshape(-1), strip + self.reach.shape[1]
        first, beyond = int(runs.starts[near, strip, one]), int(starts[self.reach[near, strip, one]])
        action[first : len(action) - beyond] = one
        for side, start, filled in ((strip, first, action), (other, beyond, action[::-1])):
            edge, after = start, one
            while edge:
                after = int((runs.ends[edge, side] + self.change[after]).argmin())
                start_before = int(starts[self.latest[edge - 1, side, after]])
                filled[start_before:edge] = after
                edge = start_before

    def _no_room(self, ends: Floats) -> LawError:
        """What to say where no run can end at the end of a piece: the first such piece."""
        closed = ~np.isfinite(ends[1:].min(axis=-1)) & (self.last == np.arange(1, len(ends))[:, None])
        strip = int(closed.any(axis=0).argmax())
        edge = int(closed[:, strip].argmax()) + 1
        bays = f"bays {int((self.last[:, strip] == edge).argmax())} to {edge - 1} of strip {strip}"
        return LawError(
            "least_length",
            f"one that the allowed actions of {bays} (from 0) leave no room for",
            "runs that fit there; shorten it or allow more",
        )


def lay_out(
    cost: ArrayLike, allowed: ArrayLike, *, lengths: ArrayLike, change: ArrayLike, least_length: ArrayLike
) -> Strips:
    """Strips from checked input: cost and allowed (s, n, a), lengths (n,), change and least length for all or for each."""
    costs, may = _bays(cost, allowed)
    bays, strips, actions = costs.shape
    metres = positive("lengths", lengths)
    if metres.shape != (bays,):
        raise LawError("lengths", f"shape {metres.shape}", f"one for each of {bays} bays")
    least = not_negative("least_length", least_length)
    if least.shape not in ((), (actions,)):
        raise LawError("least_length", f"shape {least.shape}", f"one, or one for each of {actions} actions")
    prices, price = _prices(change, actions)
    ahead, back = (_latest_starts(may[::way], metres[::way], least) for way in (1, -1))
    latest, since = (np.concatenate(both, axis=1) for both in zip(ahead, back, strict=True))
    half = (bays + 1) // 2
    reach, parted = (one[::-1][:half] for one in back)
    reach = np.minimum(reach, bays - half)
    size = latest[0].size
    column = np.arange(size).reshape(latest[0].shape)
    return Strips(
        cost=costs,
        allowed=may,
        lengths=metres,
        change=prices,
        price=price,
        latest=np.maximum(latest, 0) * size + column,
        short=np.where(latest >= since, 0.0, np.inf),
        broken=np.where(np.concatenate([may, may[::-1]], axis=1), 0.0, np.inf),
        reach=np.maximum(reach, 0) * size + column[strips:],
        parted=np.where(reach >= parted, 0.0, np.inf),
        last=_piece_ends(may),
    )


def _bays(cost: ArrayLike, allowed: ArrayLike) -> tuple[Floats, Bools]:
    """Cost, 0 where not allowed, and allowed, both (n, s, a)."""
    costs, may = np.asarray(cost, dtype=float), np.asarray(allowed, dtype=bool)
    if costs.ndim != 3 or costs.size == 0:
        raise LawError("cost", f"shape {costs.shape}", "bays by actions of every strip, and at least one of each")
    if may.shape != costs.shape:
        raise LawError("allowed", f"shape {may.shape}", f"the shape of cost, {costs.shape}")
    empty = [(strip, np.flatnonzero(~bays.any(axis=-1)).tolist()) for strip, bays in enumerate(may)]
    places = "; ".join(f"bays {bays} of strip {strip}" for strip, bays in empty if bays)
    if places:
        raise LawError("allowed", f"no action in {places} (from 0)", "at least one action in every bay")
    costs = np.where(may, costs, 0.0)
    if not np.isfinite(costs).all():
        raise LawError("cost", "a cost that is not finite", "a finite cost of every action that is allowed")
    return np.ascontiguousarray(costs.swapaxes(0, 1)), np.ascontiguousarray(may.swapaxes(0, 1))


def _prices(change: ArrayLike, actions: int) -> tuple[Floats, float | None]:
    """Prices (a, a) of every change, and the one price of all where one was given."""
    given = not_negative("change", change)
    if given.ndim == 0:
        return given * (1.0 - np.eye(actions)), float(given)
    if given.shape != (actions, actions) or (given != given.T).any() or given.diagonal().any():
        raise LawError("change", change, f"one price, or a symmetric matrix of {actions} actions with a zero diagonal")
    return given, None


def _piece_ends(allowed: Bools) -> Actions:
    """Edge (n, s) at which the piece that holds a bay ends: no action is allowed on both sides of it."""
    bays, strips, _ = allowed.shape
    edge = np.full((bays, strips), bays)
    common = (allowed[1:] & allowed[:-1]).any(axis=-1)
    edge[:-1] = np.where(common, bays, np.arange(1, bays)[:, None])
    return np.minimum.accumulate(edge[::-1], axis=0)[::-1]


def _latest_starts(allowed: Bools, lengths: Floats, least: Floats) -> tuple[Actions, Actions]:
    """Of runs that end after a bay: the last edge (n, s, a) from which they are long enough, and since which the action is allowed."""
    edges = np.concatenate([[0.0], np.cumsum(lengths)])
    bay = np.arange(len(lengths))[:, None]
    last = _piece_ends(allowed)
    first = np.maximum.accumulate(np.where(np.diff(last, axis=0, prepend=0) > 0, bay, 0), axis=0)
    needed = np.minimum(np.atleast_1d(least), (edges[last] - edges[first])[..., None])
    latest = np.searchsorted(edges, edges[1:, None, None] - needed + SAME_LENGTH_M, side="right") - 1
    since = np.maximum.accumulate(np.where(allowed, 0, bay[..., None] + 1), axis=0)
    return np.broadcast_to(np.minimum(latest, bay[..., None]), allowed.shape), since
