"""Lots: the ground that is accepted as one, block by zone; what was tested on each, what is proposed, who signed."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from hardpan.compare.checks import Check
from hardpan.compare.happened import Happened
from hardpan.compare.held import Bounds
from hardpan.compare.level_checks import LevelCheck
from hardpan.laws.acceptance import percent_within_limits, quality_indices, within_two_limits
from hardpan.ledger import Clock
from hardpan.ledger.ground import Area
from hardpan.ledger.mending import Signature
from hardpan.ledger.placed import of
from hardpan.ledger.reckoning import merged
from hardpan.ledger.working import Rolling
from hardpan.street import Figure
from hardpan.street.figure import worked

LISTED_BELOW = 8  # tests: fewer are listed one by one, from there percent within limits is worked out
Proposal = Literal["accept", "do not accept", "wait"]
AWAITS = "awaits a reviewer"
_SLIVER_M2 = 0.05


@dataclass(frozen=True, slots=True)
class Summary:
    """Tests of one kind together: how many, mean, and percent within limits from 8 on. Figures are None where they cannot be."""

    kind: str
    count: int
    inside: int
    outside: int
    not_held: int
    mean: Figure | None
    within_limits: Figure | None
    words: str


@dataclass(frozen=True, slots=True)
class Signed:
    """A reviewer's signature that counts for a lot."""

    entry: str
    role: str
    at: str
    decision: str
    signed: str
    reason: str


@dataclass(frozen=True, slots=True)
class Lot:
    """One lot: what was tested on its ground, and what may have been (a test without a spot, in a block of two zones, is listed in both).

    ``missing`` names tests that a limit is written for and the record does not have, ``reasons`` what the proposal rests on.
    """

    block: str
    zone: str
    area_m2: float
    checks: tuple[Check, ...]
    levels: tuple[LevelCheck, ...]
    clocks: tuple[Clock, ...]
    summaries: tuple[Summary, ...]
    missing: tuple[str, ...]
    proposal: Proposal
    reasons: tuple[str, ...]
    signature: Signed | None

    @property
    def name(self) -> str:
        """Block and zone: ``B2, A``."""
        return f"{self.block or 'no block'}, {self.zone or 'zone not recorded'}"

    @property
    def status(self) -> str:
        """Who accepted or refused it and when, or that it awaits a reviewer."""
        if self.signature is None:
            return AWAITS
        return f"{self.signature.decision} by {self.signature.role} at {self.signature.at}"


def make_lots(happened: Happened, checks: tuple[Check, ...], levels: tuple[LevelCheck, ...]) -> tuple[Lot, ...]:
    """Lots in the order in which their blocks were begun: every block by zone that cement lies on."""
    maker = _Maker(happened, checks, levels)
    return tuple(maker.lot(block, zone, ground) for (block, zone), ground in _ground(happened).items())


def summaries(checks: Iterable[Check]) -> tuple[Summary, ...]:
    """Summary of every kind of test; what was tested again counts as it was found again."""
    kinds: dict[str, list[Check]] = defaultdict(list)
    for check in checks:
        if not check.retested_by:
            kinds[check.kind].append(check)
    return tuple(_summary(kind, found) for kind, found in kinds.items())


def _summary(kind: str, checks: list[Check]) -> Summary:
    """Summary of one kind."""
    held = [check for check in checks if check.value is not None and check.verdict in ("inside", "outside")]
    within = _within(kind, held)
    inside, outside = (sum(check.verdict == side for check in checks) for side in ("inside", "outside"))
    words = f"{inside} inside, {outside} outside, {len(checks) - inside - outside} without a verdict"
    if within is not None:
        words += f"; {within.value:.1f} % within limits by {len(held)} figures"
    elif held:
        words += f"; {len(held)} figures, fewer than {LISTED_BELOW}: each is listed"
    return Summary(
        kind, len(checks), inside, outside, len(checks) - inside - outside, _mean(kind, checks), within, words
    )


def _mean(kind: str, checks: list[Check]) -> Figure | None:
    """Mean of what was wanted alike; None of fewer than two figures."""
    comparable = [check for check in checks if check.value is not None and check.verdict != "not comparable"]
    values = [check.value for check in comparable if check.value is not None]
    wanted = {(check.value.unit, check.target.value if check.target else 0.0) for check in comparable if check.value}
    if len(values) < 2 or len(wanted) != 1:
        return None
    return worked(
        f"mean of {kind}",
        sum(value.value for value in values) / len(values),
        values[0].unit,
        *values,
        formula="sum / number",
    )


def _within(kind: str, held: list[Check]) -> Figure | None:
    """Percent within limits of 8 tests and more, each in parts of its own limits so that two rates make one lot."""
    scaled = [_scaled(check.value.value, check.limit) for check in held if check.value and check.limit]
    sides = {side for _, side in scaled}
    if len(held) < LISTED_BELOW or len(sides) != 1:
        return None
    values, side = [value for value, _ in scaled], sides.pop()
    indices = quality_indices(values, lower=None if side == "most" else 0.0, upper={"both": 1.0, "most": 0.0}.get(side))
    if indices.lower is not None and indices.upper is not None:
        percent = float(within_two_limits(indices.upper, indices.lower, len(values)))
    else:
        index = indices.lower if indices.lower is not None else indices.upper
        percent = float(percent_within_limits(0.0 if index is None else index, len(values)))
    figures = [check.value for check in held if check.value is not None]
    return worked(
        f"{kind} within limits", percent, "%", *figures,
        formula="percent within limits by quality index of each test in its own limits", source="MIL-STD-414 (1957), standard-deviation method",
    )  # fmt: skip


def _scaled(value: float, limit: Bounds) -> tuple[float, str]:
    """A value from its limit on, over the width between two limits; an affine change leaves the quality index as it is."""
    if limit.low is not None and limit.high is not None:
        return (value - limit.low.value) / (limit.high.value - limit.low.value), "both"
    if limit.low is not None:
        return value - limit.low.value, "least"
    return value - (limit.high.value if limit.high else 0.0), "most"


def _ground(happened: Happened) -> dict[tuple[str, str], tuple[Area, ...]]:
    """Ground that cement was laid on, each place once, by block and zone."""
    reaches: dict[tuple[str, int], list[tuple[float, float]]] = defaultdict(list)
    for run in happened.state.runs:
        for strip in run.area.strips:
            reaches[run.block, strip].append((run.area.start_m, run.area.end_m))
    found: dict[tuple[str, str], list[Area]] = defaultdict(list)
    for (block, strip), stretches in reaches.items():
        for start, end in merged(stretches):
            for bay, low, high in happened.bays_under(Area(start, end, (strip,))):
                found[block, bay.zone].append(Area(low, high, (strip,)))
    return {cell: tuple(areas) for cell, areas in found.items()}


class _Maker:
    """Makes lots of one street."""

    def __init__(self, happened: Happened, checks: tuple[Check, ...], levels: tuple[LevelCheck, ...]) -> None:
        self.happened, self.checks, self.levels = happened, checks, levels
        self.signatures = [(event, said) for event, said in of(Signature, happened.state.events)]

    def lot(self, block: str, zone: str, ground: tuple[Area, ...]) -> Lot:
        """One lot: what is bad or came after a bad result first, then in order of happening."""
        checks = tuple(
            sorted(
                self._tested(block, zone, ground),
                key=lambda check: not (check.after_bad or check.corrected or check.verdict == "outside"),
            )
        )
        levels = tuple(one for one in self.levels if (one.block, one.zone) == (block, zone))
        clocks = tuple(clock for clock in self.happened.state.clocks if clock.block == block)
        rolled_at = self._rolled_at(block)
        missing = self._missing(checks, levels)
        bad = tuple(_bad(checks, levels, clocks))
        waits = (*_waits(rolled_at, checks, missing), *self._not_driven(ground, checks))
        proposal: Proposal = "do not accept" if bad else "wait" if waits else "accept"
        area = sum(self.happened.square_metres(one) for one in ground)
        signature = self._signature(ground, checks, rolled_at)
        return Lot(
            block, zone, area, checks, levels, clocks, summaries(checks), missing, proposal, (*bad, *waits), signature
        )

    def _tested(self, block: str, zone: str, ground: tuple[Area, ...]) -> Iterable[Check]:
        """Tests of a lot's ground since it was laid; those without a spot where the block and zone can be theirs."""
        began = min(run.began for run in self.happened.state.runs if run.block == block)
        for check in self.checks:
            if self.happened.events[check.entry].at < began:
                continue
            if check.spotted:
                own = any(_shares(check.area, area) for area in ground)
            else:
                own = check.block == block and check.zone in (zone, "")
            if own:
                yield check

    def _rolled_at(self, block: str) -> dt.datetime | None:
        """Instant the final rolling of a block ended; None while it has not."""
        rolling = of(Rolling, self.happened.state.events)
        ends = [event.ended for event, said in rolling if said.rolled == "final" and event.block == block]
        done = [end for end in ends if end is not None]
        return max(done) if done else None

    def _missing(self, checks: tuple[Check, ...], levels: tuple[LevelCheck, ...]) -> tuple[str, ...]:
        """Kinds of test that a limit is written for and that the record does not have here."""
        limits = self.happened.plan.street.file.limits
        wanted = {
            "tray check": limits.rate_tolerance,
            "depth check": limits.depth_tolerance,
            "density": limits.relative_compaction,
            "axle test": limits.axle_test_movement,
            "pre-grade level": limits.pre_grade_tolerance,
            "finished level": limits.level_tolerance,
        }
        held = [*((one.kind, one.verdict) for one in checks), *((one.kind, one.verdict) for one in levels)]
        there = {kind for kind, side in held if side in ("inside", "outside")}
        return tuple(kind for kind, limit in wanted.items() if limit is not None and kind not in there)

    def _not_driven(self, ground: tuple[Area, ...], checks: tuple[Check, ...]) -> tuple[str, ...]:
        """Ground of a lot that no axle went over, where one went over some of it."""
        driven = [check.area for check in checks if check.kind == "axle test"]
        bare = 0.0
        for area in ground:
            ends = [(max(one.start_m, area.start_m), min(one.end_m, area.end_m)) for one in driven if one.touches(area)]
            covered = sum(end - start for start, end in merged((s, e) for s, e in ends if e > s))
            bare += (area.end_m - area.start_m - covered) * self.happened.widths[area.strips[0]]
        return (f"no axle test is recorded on {bare:.1f} m2 of it",) if driven and bare > _SLIVER_M2 else ()

    def _signature(
        self, ground: tuple[Area, ...], checks: tuple[Check, ...], rolled_at: dt.datetime | None
    ) -> Signed | None:
        """Last signature of a reviewer for this lot; one made before the lot was rolled, or before a bad result, is none for it."""
        if rolled_at is None:
            return None
        bad = [self.happened.events[check.entry].at for check in checks if check.verdict == "outside"]
        since = max([rolled_at, *bad])
        entries = {check.entry for check in checks}
        for event, said in reversed(self.signatures):
            here = event.area is None or any(event.area.touches(area) for area in ground)
            named = not said.entries or bool(entries & set(said.entries))
            if event.standing.entry.role == "reviewer" and event.at >= since and here and named:
                at = event.standing.happened_at.written
                return Signed(event.id, "reviewer", at, said.decision, said.signed, said.reason)
        return None


def _shares(one: Area, other: Area) -> bool:
    """Whether two places share ground: a length, or a point on a stretch."""
    apart = one.end_m <= other.start_m or other.end_m <= one.start_m
    return one.touches(other) and (one.point or not apart)


def _bad(checks: tuple[Check, ...], levels: tuple[LevelCheck, ...], clocks: tuple[Clock, ...]) -> Iterable[str]:
    """What is outside its limit and was not found inside when it was tested again."""
    for check in checks:
        if check.verdict == "outside" and not check.retested_by:
            yield f"{check.kind} outside its limit: {check.place}"
    last = {(level.kind, level.station_m, level.side_offset_m): level for level in levels}
    for level in last.values():
        if level.verdict == "outside":
            yield f"{level.kind} outside its limit: {level.place}"
    for clock in clocks:
        elapsed = clock.elapsed_min()
        if clock.limit_min is not None and elapsed is not None and elapsed > clock.limit_min:
            yield f"clock from {clock.starts_with} to {clock.stops_with} over its limit"


def _waits(rolled_at: dt.datetime | None, checks: tuple[Check, ...], missing: tuple[str, ...]) -> tuple[str, ...]:
    """What is still to come."""
    rolling = () if rolled_at else ("final rolling is not recorded",)
    held = any(check.verdict in ("inside", "outside") for check in checks)
    nothing = () if held else ("no test of it is held against a limit",)
    return (*rolling, *nothing, *(f"no {kind} is recorded against its limit" for kind in missing))
