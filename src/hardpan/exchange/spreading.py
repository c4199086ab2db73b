"""The spreader's drive by the minute, taken from the plan: every stretch of strip, every refill, and when each load must be there."""

from __future__ import annotations

from dataclasses import dataclass

from hardpan.laws import work
from hardpan.plan import Plan
from hardpan.plan.blocks import Block
from hardpan.plan.cement import Fill, Load, RunOut
from hardpan.plan.durations import driving_minutes


@dataclass(frozen=True, slots=True)
class Stretch:
    """A stretch of one strip in one go; minutes after midnight. ``bare`` where no cement is left for it."""

    strip: int
    start_m: float
    end_m: float
    start_min: float
    end_min: float
    bare: bool


@dataclass(frozen=True, slots=True)
class Drive:
    """One block's spreading: its stretches in order, when each fill is begun, when the fill before it runs out."""

    stretches: tuple[Stretch, ...]
    fill_starts: dict[int, float]
    run_outs: dict[int, float]
    end_min: float


def drive_block(plan: Plan, block: Block) -> Drive:
    """Drive of the spreader over one block, refills made where a fill runs out."""
    run = next(run for run in plan.shift.runs if run.block == block.number and run.machine == "spreader")
    outs = sorted((out for out in plan.supply.cement.run_outs if out.block == block.number), key=lambda out: out.fill)
    walk = _Walk(plan, run.start.value, outs)
    for i, segment in enumerate(block.spread):
        last = i + 1 == len(block.spread) or block.spread[i + 1].lane != segment.lane
        walk.along(segment.lane, segment.start_m, segment.end_m, plan.zones[segment.zone].rate.value)
        walk.minute += plan.street.file.spreader.strip_time.value if last else 0.0
    starts = {**_first_fill(plan, block, run.start.value), **walk.fill_starts}
    return Drive(tuple(walk.stretches), starts, walk.run_outs, walk.minute)


def fill_minutes(plan: Plan, fill: Fill) -> float:
    """Coupling and transfer of one fill."""
    spreader = plan.street.file.spreader
    seconds = work.transfer_time(
        fill.cement.value, spreader.transfer_rate.value / 60, coupling=spreader.coupling.value * 60
    )
    return float(seconds) / 60


def fill_starts(plan: Plan, day: int) -> dict[int, float]:
    """When every fill of a day is begun, in minutes after midnight, by its number."""
    blocks = [block for block in plan.shift.blocks if block.day == day]
    return {number: at for block in blocks for number, at in drive_block(plan, block).fill_starts.items()}


def needed_by(plan: Plan, load: Load) -> float | None:
    """Minute at which the first fill from a load is begun; None where no fill takes from it."""
    starts = fill_starts(plan, load.day)
    mine = [starts[fill.number] for fill in plan.supply.cement.fills if fill.load == load.number]
    return min(mine, default=None)


def _first_fill(plan: Plan, block: Block, start: float) -> dict[int, float]:
    """The day's first fill, made before its first block is spread."""
    first = min((each for each in plan.shift.blocks if each.day == block.day), key=lambda each: each.number)
    fills = [fill for fill in plan.supply.cement.fills if fill.day == block.day]
    if block.number != first.number or not fills:
        return {}
    return {fills[0].number: start - fill_minutes(plan, fills[0])}


class _Walk:
    """The walk of one block, minute by minute."""

    def __init__(self, plan: Plan, minute: float, outs: list[RunOut]) -> None:
        self.plan, self.minute, self.outs, self.bare = plan, minute, list(outs), False
        self.stretches: list[Stretch] = []
        self.fill_starts: dict[int, float] = {}
        self.run_outs: dict[int, float] = {}

    def along(self, strip: int, start: float, end: float, rate: float) -> None:
        """One segment, with the refills that fall on it."""
        while self.outs and self.outs[0].strip == strip and self.outs[0].station.value <= end:
            out = self.outs.pop(0)
            self._go(strip, start, out.station.value, rate)
            start = out.station.value
            self._refill(out)
        self._go(strip, start, end, rate)

    def _go(self, strip: int, start: float, end: float, rate: float) -> None:
        """One stretch without a stop."""
        if end <= start:
            return
        minutes = driving_minutes(self.plan.street, end - start, rate)
        self.stretches.append(Stretch(strip, start, end, self.minute, self.minute + minutes, self.bare))
        self.minute += minutes

    def _refill(self, out: RunOut) -> None:
        """A fill has run out; the next one of the day is made where there is one."""
        self.run_outs[out.fill] = self.minute
        following = [fill for fill in self.plan.supply.cement.fills if fill.day == out.day and fill.number > out.fill]
        self.bare = out.bare_after
        if following:
            self.fill_starts[following[0].number] = self.minute
            self.minute += fill_minutes(self.plan, following[0])
