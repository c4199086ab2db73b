"""Cheapest maps by other means: as an integer programme for HiGHS, by trying every map, and their costs by plain loops."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from functools import cached_property, partial
from itertools import product

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import Bounds, LinearConstraint, OptimizeResult, milp
from scipy.sparse import coo_array

Floats = NDArray[np.float64]
Actions = NDArray[np.intp]
Bools = NDArray[np.bool_]
Row = tuple[list[int], list[float], float, float]  # columns, coefficients, lower and upper bound

INFEASIBLE = 2  # status of HiGHS as scipy gives it


@dataclass(frozen=True, eq=False)
class Case:
    """Strips beside each other: cost and allowed (s, n, a), lengths (n,), change (a, a), least (a,)."""

    cost: Floats
    allowed: Bools
    lengths: Floats
    change: Floats
    across: float
    least: Floats

    def strip(self, number: int) -> Case:
        """One strip by itself."""
        return replace(self, cost=self.cost[[number]], allowed=self.allowed[[number]])

    def reversed(self) -> Case:
        """The street from its other end."""
        return replace(self, cost=self.cost[:, ::-1], allowed=self.allowed[:, ::-1], lengths=self.lengths[::-1])

    def mirrored(self) -> Case:
        """The street with its strips in the other order."""
        return replace(self, cost=self.cost[::-1], allowed=self.allowed[::-1])

    @property
    def prices(self) -> float | Floats:
        """Prices of changes: one number where there is one."""
        others = self.change[~np.eye(len(self.change), dtype=bool)]
        return float(others[0]) if others.size and np.ptp(others) == 0 else self.change

    @cached_property
    def needed_ends(self) -> Actions:
        """Bay after the last that a run from a bay has to hold (s, n, a); beyond n + 1 where there is no room for it."""
        ends = np.full(self.cost.shape, self.lengths.size + 1)
        edges = np.concatenate([[0.0], np.cumsum(self.lengths)])
        for strip, allowed in enumerate(self.allowed):
            for (first, last), (action, least) in product(pieces(allowed), enumerate(self.least)):
                needed = min(least, edges[last] - edges[first]) - 1e-7
                for start in range(first, last):
                    long_enough = [end for end in range(start + 1, last + 1) if edges[end] - edges[start] >= needed]
                    ends[strip, start, action] = min(long_enough, default=self.lengths.size + 1)
        return ends


def random_case(rng: np.random.Generator, *, strips: int, stations: int) -> Case:
    """Costs without any pattern, bays of unlike lengths, some actions forbidden; one price of changes, or a matrix of prices."""
    actions = int(rng.integers(1, 6))
    shape = strips, int(rng.integers(1, stations + 1)), actions
    allowed = rng.random(shape) < rng.choice([0.5, 0.8, 1.0])
    anywhere = np.full((*shape[:2], 1), actions - 1)  # the last action goes everywhere, or any one in every bay
    allowed |= np.arange(actions) == (anywhere if rng.random() < 0.6 else rng.integers(actions, size=anywhere.shape))
    change = rng.uniform(0, 30, (actions, actions)) if rng.random() < 0.5 else np.full((actions, actions), 20.0)
    change = (change + change.T) / 2 * (1 - np.eye(actions))
    lengths = np.where(rng.random(shape[1]) < 0.5, 10.0, np.round(rng.uniform(1, 10, shape[1]), 3))
    least = rng.choice([0.0, 10.0, 20.0, 35.0], actions if rng.random() < 0.5 else 1)
    return Case(
        rng.uniform(-20, 80, shape), allowed, lengths, change, float(rng.choice([0.3, 1, 3])), np.resize(least, actions)
    )


def smooth_case(stations: int, strips: int, *, seed: int, across: float = 0.75) -> Case:
    """Invented street of 24 actions: nothing, eleven rates at two depths, digging out; wetter and drier along, alike across."""
    rng = np.random.default_rng(seed)
    rates, depths = np.repeat(np.arange(16.0, 38.0, 2.0), 2), np.tile([0.25, 0.35], 11)
    gain = np.concatenate([[0.0], 0.6 * rates + 20 * depths, [99.0]])
    price = np.concatenate([[0.0], 0.2 * rates + 15 * depths, [45.0]])  # a m2
    shared, own = rng.normal(size=(stations, 1)), rng.normal(size=(stations, strips))
    need = np.zeros((stations, strips))
    for k in range(1, stations):
        need[k] = 0.85 * need[k - 1] + 0.53 * (0.8 * shared[k] + 0.6 * own[k])
    fails = 1 / (1 + np.exp((gain - 16 - 6 * need.T[..., None]) / 1.5))
    lengths = np.where(rng.random(stations) < 0.7, 10.0, np.round(rng.uniform(2, 10, stations), 2))
    cost = 2.25 * lengths[:, None] * (price + 40.0 * fails)
    return Case(cost, fails <= 0.15, lengths, 60.0 * (1 - np.eye(24)), across, np.append(np.full(23, 20.0), 0.0))


def pieces(allowed: Bools) -> Iterator[tuple[int, int]]:
    """First bay, and bay after the last, of what lies between edges with no action on both sides, of one strip (n, a)."""
    first = 0
    for k in range(1, len(allowed)):
        if not np.any(allowed[k - 1] & allowed[k]):
            yield first, k
            first = k
    yield first, len(allowed)


def runs_of(actions: Actions) -> Iterator[tuple[int, int]]:
    """First bay, and bay after the last, of every run of one action."""
    first = 0
    for k in range(1, len(actions) + 1):
        if k == len(actions) or actions[k] != actions[first]:
            yield first, k
            first = k


def holds(case: Case, action: Actions) -> bool:
    """Whether a map (s, n) keeps to what is allowed and to the least lengths."""
    for strip, actions in enumerate(action):
        if not all(case.allowed[strip, k, one] for k, one in enumerate(actions)):
            return False
        if any(case.needed_ends[strip, first, actions[first]] > last for first, last in runs_of(actions)):
            return False
    return True


def cost_of(case: Case, action: Actions) -> float:
    """Cost of a map (s, n), bay by bay."""
    total = 0.0
    for strip, actions in enumerate(action):
        for k, one in enumerate(actions):
            total += case.cost[strip, k, one]
            if k:
                total += case.change[actions[k - 1], one]
            if strip and action[strip - 1, k] != one:
                total += case.across * case.lengths[k]
    return total


def cheapest_of_all(case: Case) -> float | None:
    """Least cost by trying every map; none where no map holds."""
    strips, bays, actions = case.cost.shape
    maps = (np.array(one).reshape(strips, bays) for one in product(range(actions), repeat=strips * bays))
    return min((cost_of(case, one) for one in maps if holds(case, one)), default=None)


class Programme:
    """The integer programme of a case: whether a bay has an action, whether a run starts, which action follows which.

    The rows that keep runs long are the tightest known, those of least up times in unit commitment (Rajan and Takriti 2005).
    """

    def __init__(self, case: Case) -> None:
        self.case = case
        actions, count = case.cost.shape[-1], case.cost.size
        self.has: Actions = np.arange(count).reshape(case.cost.shape)
        self.starts = self.has + count
        self.unlike = self.has + 2 * count
        self.pair = np.arange(actions**2).reshape(actions, actions) + 3 * count
        self.rows: list[Row] = []

    def solve(self, gap: float = 0.0) -> float | None:
        """Least cost by HiGHS; none where no map holds."""
        found = self.solver(gap)()
        if found.status == INFEASIBLE:
            return None
        if not found.success:
            raise RuntimeError(found.message)
        return float(found.fun)

    def solver(self, gap: float = 0.0) -> Callable[[], OptimizeResult]:
        """The call of HiGHS, all rows laid out."""
        costs, upper = self.columns()
        self.bays()
        self.runs()
        if isinstance(self.case.prices, float):
            self.starts_only()
        else:
            self.changes()
        self.strips()
        matrix, low, high = self.matrix(costs.size)
        return partial(
            milp,
            costs,
            integrality=np.where(np.arange(costs.size) < self.has.size, 1, 0),
            bounds=Bounds(0, upper),
            constraints=LinearConstraint(matrix, low, high),
            options={"mip_rel_gap": gap},
        )

    def columns(self) -> tuple[Floats, Floats]:
        """Price and upper bound of every column."""
        case, prices, (strips, bays, actions) = self.case, self.case.prices, self.case.cost.shape
        count, pairs = case.cost.size, 0 if isinstance(prices, float) else strips * (bays - 1) * actions**2
        costs, upper = np.zeros(3 * count + pairs), np.ones(3 * count + pairs)
        costs[self.has] = np.where(case.allowed, case.cost, 0)
        costs[self.unlike[:-1]] = case.across * case.lengths[:, None]
        if isinstance(prices, float):
            costs[self.starts[:, 1:]] = prices
        else:
            costs[3 * count :] = np.tile(prices.ravel(), strips * (bays - 1))
        upper[self.has] = case.allowed
        upper[self.starts] = case.needed_ends <= bays
        return costs, upper

    def bays(self) -> None:
        """Every bay has one action."""
        for one in self.has.reshape(-1, self.has.shape[-1]):
            self.rows.append((one.tolist(), [1.0] * one.size, 1, 1))

    def runs(self) -> None:
        """A bay has the action of every run that started so lately that it still has to hold."""
        for strip, bay, action in np.ndindex(self.has.shape):
            holding = self.case.needed_ends[strip, : bay + 1, action] > bay
            late = self.starts[strip, : bay + 1, action][holding].tolist()
            self.rows.append(([int(self.has[strip, bay, action]), *late], [1.0, *[-1.0] * len(late)], 0, np.inf))

    def starts_only(self) -> None:
        """A run starts where a bay has an action that the bay before has not."""
        for strip, bay, action in np.ndindex(self.has.shape):
            here = [int(self.starts[strip, bay, action]), int(self.has[strip, bay, action])]
            before = [int(self.has[strip, bay - 1, action])] if bay else []
            self.rows.append(([*here, *before], [1.0, -1.0, 1.0][: 2 + len(before)], 0, np.inf))

    def changes(self) -> None:
        """Pairs of actions follow each other; a run starts with an unlike pair."""
        strips, bays, actions = self.has.shape
        for strip, action in np.ndindex(strips, actions):
            self.rows.append(([int(self.starts[strip, 0, action]), int(self.has[strip, 0, action])], [1.0, -1.0], 0, 0))
        for strip, bay, action in np.ndindex(strips, bays - 1, actions):
            pair = self.pair + (strip * (bays - 1) + bay) * actions**2
            into, ones = pair[:, action], [-1.0] * actions
            after = int(self.has[strip, bay + 1, action])
            unlike = np.delete(into, action).tolist()
            self.rows.append(([int(self.has[strip, bay, action]), *pair[action].tolist()], [1.0, *ones], 0, 0))
            self.rows.append(([after, *into.tolist()], [1.0, *ones], 0, 0))
            self.rows.append(([int(self.starts[strip, bay + 1, action]), *unlike], [1.0, *ones[1:]], 0, 0))

    def strips(self) -> None:
        """An edge is unlike where a strip has an action that the next has not."""
        for strip, bay, action in np.ndindex(self.has[:-1].shape):
            at = [int(one[strip, bay, action]) for one in (self.unlike, self.has)]
            self.rows.append(([*at, int(self.has[strip + 1, bay, action])], [1.0, -1.0, 1.0], 0, np.inf))

    def matrix(self, width: int) -> tuple[coo_array, Floats, Floats]:
        """Rows as a matrix with their bounds."""
        row = np.repeat(np.arange(len(self.rows)), [len(columns) for columns, *_ in self.rows])
        column = np.concatenate([columns for columns, *_ in self.rows])
        value = np.concatenate([values for _, values, *_ in self.rows])
        low, high = (np.array([one[side] for one in self.rows], dtype=float) for side in (2, 3))
        return coo_array((value, (row, column)), shape=(len(self.rows), width)), low, high
