"""What is at risk if the mixer stops now, which stops are in force, which strips wait."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from hardpan.compare.ground_left import SLIVER_M, to_spread
from hardpan.compare.happened import Happened
from hardpan.compare.held import NO_LIMIT
from hardpan.ledger import Clock
from hardpan.ledger.placed import of
from hardpan.ledger.working import Closed, Problem, Stop
from hardpan.street import Basis, Figure
from hardpan.street.figure import worked


@dataclass(frozen=True, slots=True)
class ClockNow:
    """A clock that runs on a block; ``left_min`` negative beyond the limit, None where no limit is written."""

    starts_with: str
    stops_with: str
    started_at: dt.datetime
    elapsed_min: float
    at_least: bool
    limit_min: float | None
    left_min: float | None
    by: dt.datetime | None
    owner: str
    source: str

    @property
    def limit(self) -> str:
        """Limit in words, or that none is written."""
        if self.limit_min is None:
            return NO_LIMIT
        return f"{self.limit_min:.0f} min ({self.owner or 'owner not said'}, {self.source or 'source not said'})"


@dataclass(frozen=True, slots=True)
class AtRisk:
    """One block on which cement is at work: spread and not mixed, mixed and not rolled, with the clocks that run on it."""

    block: str
    spread_not_mixed_m2: float
    spread_not_mixed: Figure
    mixed_not_rolled_m2: float
    mixed_not_rolled: Figure
    clocks: tuple[ClockNow, ...]


@dataclass(frozen=True, slots=True)
class StopInForce:
    """A stop that nobody has lifted, or a problem that nobody has closed."""

    entry: str
    kind: str
    place: str
    words: str
    role: str
    since: dt.datetime


@dataclass(frozen=True, slots=True)
class WaitingStrip:
    """A stretch of a strip without cement in a block that is being mixed; ``waited_min`` since its first mix."""

    block: str
    strip: int
    start_m: float
    end_m: float
    cement: Figure
    first_mix: dt.datetime
    waited_min: float


def at_risk(happened: Happened, now: dt.datetime, *, factor: Figure) -> tuple[AtRisk, ...]:
    """Blocks with cement that is not rolled in, in order of their first clock."""
    blocks = dict.fromkeys(clock.block for clock in happened.state.clocks)
    found = (_at_risk(happened, block, now, factor=factor) for block in blocks)
    return tuple(one for one in found if one.spread_not_mixed_m2 + one.mixed_not_rolled_m2 > SLIVER_M)


def _at_risk(happened: Happened, block: str, now: dt.datetime, *, factor: Figure) -> AtRisk:
    """Cement at work on one block."""
    areas, masses = {False: 0.0, True: 0.0}, {False: 0.0, True: 0.0}
    for run in happened.state.runs:
        if run.block != block:
            continue
        for bay, low, high in happened.bays_under(run.area):
            if not bay.rolled:
                mixed = bool(bay.dry_passes or bay.wet_passes)
                rate = run.rate_kg_m2 if run.rate_kg_m2 is not None else bay.instructed_kg_m2 or 0.0
                areas[mixed] += (high - low) * happened.widths[bay.strip]
                masses[mixed] += (high - low) * happened.widths[bay.strip] * rate
    figures = [
        worked(name, masses[mixed] * factor.value, "kg", factor, formula="rate x ground x placed over planned")
        for mixed, name in ((False, "cement spread and not mixed"), (True, "cement mixed and not rolled"))
    ]
    running = [clock for clock in happened.state.clocks if clock.block == block and clock.stopped_at is None]
    clocks = tuple(clock_now(clock, now) for clock in running)
    return AtRisk(block, areas[False], figures[0], areas[True], figures[1], clocks)


def clock_now(clock: Clock, now: dt.datetime) -> ClockNow:
    """A clock as it stands."""
    elapsed = (now - clock.started_at).total_seconds() / 60
    return ClockNow(
        clock.starts_with, clock.stops_with, clock.started_at, elapsed, not clock.start_sure,
        clock.limit_min, clock.left_min(now), clock.by, clock.owner, clock.source,
    )  # fmt: skip


def stops_in_force(happened: Happened) -> tuple[StopInForce, ...]:
    """Stops that no later entry lifts, and problems that none closes."""
    events = happened.state.events
    lifted = [event for event, said in of(Stop, events) if said.state == "resumed"]
    closed = {said.problem for _, said in of(Closed, events)}
    stops = [
        StopInForce(event.id, "stop", happened.where(event), said.reason, event.standing.entry.role, event.at)
        for event, said in of(Stop, events)
        if said.state == "stopped" and not any(one.at >= event.at for one in lifted)
    ]
    problems = [
        StopInForce(
            event.id, "problem", happened.where(event), ", ".join(part for part in (said.about, said.what) if part),
            event.standing.entry.role, event.at,
        )
        for event, said in of(Problem, events)
        if event.id not in closed
    ]  # fmt: skip
    return tuple(sorted([*stops, *problems], key=lambda one: (one.since, one.entry)))


def waiting_strips(happened: Happened, now: dt.datetime, *, factor: Figure) -> tuple[WaitingStrip, ...]:
    """Strips of a block whose first mix has begun that still want cement."""
    found = []
    for clock in happened.state.clocks:
        if (clock.starts_with, clock.stops_with) != ("first mix", "final rolling ends") or clock.stopped_at is not None:
            continue
        block = happened.planned(clock.block) if clock.block in happened.state.blocks else None
        waited = max((now - clock.started_at).total_seconds() / 60, 0.0)
        for one in to_spread(happened, block) if block else ():
            width = Figure("strip width", happened.widths[one.strip], "m", Basis.STATED, "width / strips")
            rate = Figure("rate instructed", one.rate_kg_m2, "kg/m2", Basis.STATED, "rate instruction")
            length = Figure("length without cement", one.end_m - one.start_m, "m", Basis.STATED, "runs and run-outs")
            kilograms = length.value * width.value * rate.value * factor.value
            cement = worked(
                "cement wanting", kilograms, "kg", length, width, rate, factor,
                formula="length x strip width x rate x placed over planned",
            )  # fmt: skip
            found.append(WaitingStrip(clock.block, one.strip, one.start_m, one.end_m, cement, clock.started_at, waited))
    return tuple(found)
