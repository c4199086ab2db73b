"""Times from here on: every run that is left, block by block, at the crew's pace, with a band; nothing lies before now."""

from __future__ import annotations

import datetime as dt
import math
from collections import defaultdict
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from hardpan.compare.ground_left import DONE, STAGES, share_left
from hardpan.compare.happened import Happened
from hardpan.compare.pace import Pace, minutes_of, stage_of
from hardpan.ledger import Event
from hardpan.ledger.supplying import WaterTruckCoupled
from hardpan.plan.blocks import Block

DRAWS = 400  # random days; the first is the middle one
_BAND = (10, 90)  # percent of the days: 8 in 10 lie between
_MACHINE = {"spread": "spreader", "dry": "mixer", "wet": "mixer"}
Minutes = NDArray[np.float64]  # after now, one a drawn day


@dataclass(frozen=True, slots=True)
class Expected:
    """An instant to come: the middle, and the band that 8 in 10 days lie in; ``basis`` says whose pace it rests on."""

    at: dt.datetime
    early: dt.datetime
    late: dt.datetime
    basis: str


@dataclass(frozen=True, slots=True)
class RunAhead:
    """One kind of work on a block that is not finished.

    ``left`` is the share still to do, ``begun`` whether its start was told, ``took_min`` what it has had by now, ``overdue_min`` how long
    ago it should have been entered as done at the crew's pace.
    """

    block: int
    stage: str
    left: float
    begun: bool
    starts: Expected
    ends: Expected
    took_min: float
    overdue_min: float


def look_at_times(
    happened: Happened, now: dt.datetime, *, pace: dict[str, Pace], cement_at: dt.datetime | None = None
) -> tuple[RunAhead, ...]:
    """Work that is left, in the plan's order; ``cement_at`` is when the cement can be spread that the next ground waits for.

    Notes
    -----
    Each run takes its planned minutes x the share left x the pace, scattered by the pace's scatter from run to run. It starts when the work
    before it has ended and its machine is free, as the ledger tells; a run that could have started is taken as started, for crews tap what
    is done. Spreading alone waits so that it ends when the mixer comes. Padfoot, grader and smooth drum follow as in the plan.
    """
    return _Days(happened, now, pace, cement_at).runs()


@dataclass
class _Days:
    """Many random days at once; minutes count from now, what is over lies below 0."""

    happened: Happened
    now: dt.datetime
    pace: dict[str, Pace]
    cement_at: dt.datetime | None

    def __post_init__(self) -> None:
        self.random = np.random.default_rng(self.happened.plan.seed)
        self.told: dict[tuple[str, str], list[Event]] = defaultdict(list)
        self.free: dict[str, Minutes] = defaultdict(lambda: np.full(DRAWS, -math.inf))
        for event in self.happened.state.events:
            stage = stage_of(event)
            if stage and event.began <= self.now:
                self.told[event.block, stage].append(event)
                if event.ended is not None:
                    machine = _MACHINE.get(stage, stage)
                    self.free[machine] = np.maximum(self.free[machine], min(self.after(event.ended), 0.0))
        if self.cement_at is not None:
            self.free["spreader"] = np.maximum(self.free["spreader"], self.after(self.cement_at))
        self.found: list[RunAhead] = []

    def after(self, at: dt.datetime) -> float:
        """Minutes from now to an instant."""
        return (at - self.now).total_seconds() / 60

    def runs(self) -> tuple[RunAhead, ...]:
        """Every block that is not finished, in order."""
        dates = dates_of(self.happened, self.now)
        for block in self.happened.plan.shift.blocks:
            shares = share_left(self.happened, block)
            if any(share > DONE for share in shares.values()):
                opens = dt.datetime.combine(
                    dates[block.day], self.happened.plan.street.file.shift.start, self.now.tzinfo
                )
                self._block(block, shares, opens=max(self.after(opens), 0.0))
        return tuple(self.found)

    def _block(self, block: Block, shares: dict[str, float], *, opens: float) -> None:
        """Runs of one block, one after the other."""
        file = self.happened.plan.street.file
        work = _Work(self, block, shares)
        spread = work.spread(opens)
        dry = work.run("dry", after=spread)
        wet = work.run("wet", after=dry)
        lag, overlap = file.rolling.padfoot_after_wet.value, file.rolling.smooth_before.value
        padfoot = work.run("padfoot", after=work.started("wet", wet) + lag, not_before=wet)
        grader = work.run("grader", after=padfoot)
        work.run("smooth", after=np.maximum(grader - overlap, padfoot), not_before=grader)
        if shares["wet"] > DONE:
            self.free["mixer"] = self.free["mixer"] + file.mixer.move.value

    def expected(self, minutes: Minutes, basis: str) -> Expected:
        """Instant of some minutes after now; the middle day lies inside its band, nothing before now."""
        minutes = np.maximum(minutes, 0.0)
        low, high = np.percentile(minutes, _BAND)
        middle = float(minutes[0])
        early, late = min(float(low), middle), max(float(high), middle)
        at, first, last = (self.now + dt.timedelta(minutes=math.ceil(one)) for one in (middle, early, late))
        return Expected(at, first, last, basis)


class _Work:
    """The work that is left on one block."""

    def __init__(self, days: _Days, block: Block, shares: dict[str, float]) -> None:
        self.days, self.block, self.shares = days, block, shares
        self.name = days.happened.happened(block)
        self.planned = minutes_of(block, days.happened)
        self.take = {stage: self._minutes(stage) for stage in STAGES}

    def _minutes(self, stage: str) -> Minutes:
        """Minutes that a kind of work still takes."""
        pace = self.days.pace[stage]
        draws = np.exp(pace.scatter * self.days.random.standard_normal(DRAWS))
        draws[0] = 1.0
        return self.planned[stage] * self.shares[stage] * pace.ratio * draws

    def _under_way(self, stage: str) -> dt.datetime | None:
        """When a run began that was not told to have ended; a coupled truck tells of the wet pass."""
        told = self.days.told[self.name, stage] if self.name else []
        ended = max((event.ended for event in told if event.ended is not None), default=None)
        begun = [event.began for event in told if event.ended is None]
        if stage == "wet":
            begun += [event.at for event in self.days.happened.state.events if self._couples(event)]
        since = [at for at in begun if at <= self.days.now and (ended is None or at >= ended)]
        return min(since, default=None)

    def _couples(self, event: Event) -> bool:
        """Whether a truck coupled for this block's wet pass."""
        said = event.payload
        return isinstance(said, WaterTruckCoupled) and said.setting != "off" and event.block == self.name != ""

    def _last(self, stage: str) -> float:
        """Minutes after now that the last part of a kind of work ended, below 0; never: minus infinity."""
        told = self.days.told[self.name, stage] if self.name else []
        ends = [self.days.after(event.ended) for event in told if event.ended is not None]
        return min(max(ends, default=-math.inf), 0.0)

    def started(self, stage: str, ended: Minutes) -> Minutes:
        """Start of a kind of work: as told, else its end less what it takes whole."""
        told = [event.began for event in self.days.told[self.name, stage] if event.began_said] if self.name else []
        begun = [*told, *([under_way] if (under_way := self._under_way(stage)) is not None else [])]
        if begun:
            return np.full(DRAWS, self.days.after(min(begun)))
        return ended - (self.take[stage] if self.shares[stage] > DONE else self.planned[stage])

    def spread(self, opens: float) -> Minutes:
        """End of spreading: as late as keeps the mixer moving, unless it has begun."""
        if self.shares["spread"] <= DONE:
            return np.full(DRAWS, self._last("spread"))
        begun = self.shares["spread"] < 1 - DONE or self._under_way("spread") is not None
        starts = np.maximum(np.maximum(self.days.free["spreader"], opens), 0.0)
        if not begun:
            starts = np.maximum(starts, self.days.free["mixer"] - self.take["spread"])
        return self._note("spread", starts, starts + self.take["spread"], begun=begun)

    def run(self, stage: str, *, after: Minutes, not_before: Minutes | None = None) -> Minutes:
        """End of one kind of work that follows another."""
        if self.shares[stage] <= DONE:
            return np.full(DRAWS, self._last(stage))
        under_way = self._under_way(stage)
        machine = _MACHINE.get(stage, stage)
        starts = np.maximum(np.maximum(after, self.days.free[machine]), self._last(stage))
        starts = np.where(np.isfinite(starts), starts, 0.0)
        if under_way is not None:
            starts = np.full(DRAWS, self.days.after(under_way))
        ends = starts + self.take[stage]
        if not_before is not None:
            ends = np.maximum(ends, not_before)
        begun = under_way is not None or self.shares[stage] < 1 - DONE
        return self._note(stage, starts, ends, begun=begun)

    def _note(self, stage: str, starts: Minutes, ends: Minutes, *, begun: bool) -> Minutes:
        """Write one run down; what should be over by now ends now."""
        days, words = self.days, self.days.pace[stage].words
        overdue = max(-float(ends[0]), 0.0)
        ends = np.maximum(ends, 0.0)
        days.free[_MACHINE.get(stage, stage)] = ends
        days.found.append(
            RunAhead(
                self.block.number, stage, self.shares[stage], begun, days.expected(starts, words),
                days.expected(ends, words), max(-float(starts[0]), 0.0), overdue,
            )
        )  # fmt: skip
        return ends


def dates_of(happened: Happened, now: dt.datetime) -> dict[int, dt.date]:
    """Date of every day of the plan that is still to come or under way, none before today.

    Counted from the last day that work was done on; without any, from the street's date, else from today. A day whose shift is over and
    whose next block was not begun goes on tomorrow.
    """
    shift, today = happened.plan.street.file.shift, now.date()
    worked_on: dict[int, dt.date] = {}
    begun = set()
    for event in happened.state.events:
        block = happened.planned(event.block) if stage_of(event) and event.block in happened.state.blocks else None
        if block is not None and event.began <= now:
            worked_on[block.day] = max(event.began.date(), worked_on.get(block.day, dt.date.min))
            begun.add(block.number)
    days = sorted({block.day for block in happened.plan.shift.blocks})
    last = max(worked_on, default=None)
    start = (last, worked_on[last]) if last is not None else (days[0], shift.date or today)
    found = {day: max(start[1] + dt.timedelta(days=day - start[0]), today) for day in days}
    late = now.time() > shift.end
    for block in happened.plan.shift.blocks:
        if late and found[block.day] == today and block.number not in begun:
            found = {day: date + dt.timedelta(days=1) if day >= block.day else date for day, date in found.items()}
            break
    return found
