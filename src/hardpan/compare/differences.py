"""What was different at a place that failed: a stated rule over the record, never a verdict on why."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Protocol

import numpy as np

from hardpan.compare.checks import checks_of
from hardpan.compare.features import Feature, features
from hardpan.compare.happened import Happened
from hardpan.ledger import State, fold
from hardpan.ledger.ground import Area
from hardpan.plan import Plan

NEAR_M = 3.0  # what lies within the worst 3 m of a place counts before all else
FAR_M = 10.0  # beyond one bay nothing is near
COMMON = 0.5  # what half of the places that passed have too is no difference
CELL_M = 3.0
NOTHING_TELLS = "nothing in the record tells"


class Failed(Protocol):
    """A result of a test at a place: a check of ``propose_acceptance`` or a result of the ledger's state."""

    @property
    def entry(self) -> str:
        """Entry of the test."""

    @property
    def kind(self) -> str:
        """Kind of the test."""

    @property
    def area(self) -> Area:
        """Ground that failed."""


@dataclass(frozen=True, slots=True)
class Difference:
    """One thing that was so near a failed place: how far from it [m], and the share of passed places that have it too.

    ``passed_share`` is None where no place passed the same test, so that nothing can be compared.
    """

    kind: str
    words: str
    away_m: float
    passed_share: float | None
    entries: tuple[str, ...]
    area: Area

    @property
    def rarity(self) -> str:
        """How rare it is, in words."""
        if self.passed_share is None:
            return "no other place passed this test: nothing to compare with"
        return f"{100 * self.passed_share:.1f} % of what passed has it too"


def what_was_different(plan: Plan, state: State, result: Failed) -> tuple[Difference, ...]:
    """Things in the record that were so near a failed place and seldom where the same test passed.

    Parameters
    ----------
    plan, state
        The street's plan and what its entries add up to.
    result
        The failed figure: its entry, kind and ground.

    Returns
    -------
    tuple of Difference
        Ordered; empty where nothing in the record tells (``NOTHING_TELLS``).

    Notes
    -----
    The rule. Candidates are what was recorded before the test, and what the street's folder says, on the strips of the failed place:
    restart after a run-out (with or without a tray), rate edge, block joint, held strip, more or fewer passes than most of the same
    block and zone, water shut or opened, water truck empty, work entered late, another test outside its limit, clock over its limit,
    ground read as soft, structure, what somebody said of the place, rain since it was rolled.

    A candidate is near within 3 m of the failed place, and counts to 10 m. Ground that passed the same test is cut into cells of 3 m; the
    share of cells that have a candidate of the same kind as near says how rare it is. What half of them have too is no difference. Of
    one kind the nearest stands. Order: within 3 m first, then the rarer, then the nearer. It is a rule for where to look, not a cause.

    Examples
    --------
    >>> import hardpan
    >>> from hardpan.ledger import fold, read_ledger
    >>> folder = hardpan.example("kestrel-road")
    >>> street = hardpan.read_street(folder)
    >>> state = fold(read_ledger(folder).received, street)
    >>> failed = next(one for one in state.results if one.verdict == "outside")
    >>> what_was_different(hardpan.make_plan(street), state, failed)[0].kind
    'restart after run-out, no tray'
    """
    passed = [one for one in checks_of(Happened(plan, state)) if (one.kind, one.verdict) == (result.kind, "inside")]
    cells = _Cells([one.area for one in passed], result.area)
    kinds: dict[str, list[Feature]] = defaultdict(list)
    for feature in features(Happened(plan, _before(plan, state, result.entry))):
        kinds[feature.kind].append(feature)
    differences = [_difference(result.area, own, cells) for own in kinds.values()]
    return tuple(sorted((one for one in differences if one is not None), key=_order))


def _before(plan: Plan, state: State, test: str) -> State:
    """State of what had happened before a test: neither repairs nor corrections that followed it explain it."""
    tested = state.entry(test).at
    return fold((one.received for one in state.entries if one.at < tested), plan.street)


def _order(one: Difference) -> tuple[bool, float, float]:
    """Within 3 m first, then the rarer, then the nearer."""
    return one.away_m > NEAR_M, one.passed_share or 0.0, one.away_m


def _difference(failed: Area, own: list[Feature], cells: _Cells) -> Difference | None:
    """The nearest candidate of one kind; None where none is near, or where it is common."""
    nearest = min(own, key=lambda feature: _away(failed, feature.area))
    away = _away(failed, nearest.area)
    if away > FAR_M:
        return None
    share = cells.having(own, NEAR_M if away <= NEAR_M else FAR_M)
    if share is not None and share >= COMMON:
        return None
    return Difference(nearest.kind, nearest.words, away, share, nearest.entries, nearest.area)


def _away(one: Area, other: Area) -> float:
    """Metres along the street between two places, 0 where they touch; without end where they share no strip."""
    if not set(one.strips) & set(other.strips):
        return math.inf
    return max(one.start_m - other.end_m, other.start_m - one.end_m, 0.0)


class _Cells:
    """Ground that passed, strip by strip in cells of 3 m, each once and without the failed ground."""

    def __init__(self, passed: list[Area], failed: Area) -> None:
        found: dict[tuple[int, int], tuple[float, float]] = {}
        for area in passed:
            for strip, number, start, end in _cut(area):
                inside = strip in failed.strips and failed.start_m <= start and end <= failed.end_m
                if not inside:
                    found.setdefault((strip, number), (start, end))
        self.strips = np.array([strip for strip, _ in found], dtype=int)
        self.starts = np.array([start for start, _ in found.values()])
        self.ends = np.array([end for _, end in found.values()])

    def having(self, own: list[Feature], reach: float) -> float | None:
        """Share of the cells that have one of some candidates within reach on their strip; None without cells."""
        if not self.strips.size:
            return None
        near = np.zeros(self.strips.size, dtype=bool)
        for feature in own:
            low, high, strips = feature.area
            near |= np.isin(self.strips, strips) & (self.starts - high <= reach) & (low - self.ends <= reach)
        return float(near.mean())


def _cut(area: Area) -> Iterator[tuple[int, int, float, float]]:
    """Strip, number, start and end of every cell of a stretch."""
    first = math.floor(area.start_m / CELL_M)
    last = max(math.ceil(area.end_m / CELL_M), first + 1)
    for strip in area.strips:
        for number in range(first, last):
            start, end = max(number * CELL_M, area.start_m), min((number + 1) * CELL_M, area.end_m)
            yield strip, number, start, max(start, end)
