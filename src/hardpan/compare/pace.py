"""Pace: how long the crew's runs really take beside the plan's, and how far they scatter."""

from __future__ import annotations

import datetime as dt
import math
from dataclasses import dataclass

from hardpan.compare.ground_left import STAGES
from hardpan.compare.happened import Happened
from hardpan.ledger import Event
from hardpan.ledger.supplying import SpreadRun
from hardpan.ledger.working import MixingPass, Rolling
from hardpan.plan.blocks import Block

SCATTER = 0.25  # scatter of a planned duration on day one, of its logarithm (judgement, no source)
_ROLLED = {"padfoot": "padfoot", "trim": "grader", "final": "smooth"}


@dataclass(frozen=True, slots=True)
class Pace:
    """Crew's minutes over the plan's for one kind of work; ``blocks`` closed so far that tell it, none: the plan's own pace."""

    stage: str
    ratio: float
    scatter: float
    blocks: tuple[str, ...]

    @property
    def words(self) -> str:
        """Where it comes from."""
        if not self.blocks:
            return f"the plan's durations, which scatter by {SCATTER:.0%}"
        return f"the crew's own on {', '.join(self.blocks)}: {self.ratio:.2f} of the plan's"


def stage_of(event: Event) -> str:
    """Kind of work that an event is; empty where it is none that the plan times."""
    said = event.payload
    if isinstance(said, SpreadRun):
        return "spread" if said.by == "spreader" else ""
    if isinstance(said, MixingPass):
        return {"dry": "dry", "wet": "wet"}.get(said.mixed, "")
    return _ROLLED.get(said.rolled, "") if isinstance(said, Rolling) else ""


def paces(happened: Happened, now: dt.datetime) -> dict[str, Pace]:
    """Pace of every kind of work, from the blocks that were closed by now and tell both ends of it.

    Notes
    -----
    Each closed block gives a ratio of its minutes to the plan's. Their mean (of logarithms) is the pace. The scatter starts at 25 % for
    one block and is updated by the blocks as one more among them: variance = (0.25^2 + sum of squared distances) / number.
    """
    ratios: dict[str, list[tuple[str, float]]] = {stage: [] for stage in STAGES}
    for name, block in _closed(happened, now):
        planned = minutes_of(block, happened)
        for stage, taken in _taken(happened, name).items():
            if taken > 0 and planned[stage] > 0:
                ratios[stage].append((name, math.log(taken / planned[stage])))
    return {stage: _pace(stage, found) for stage, found in ratios.items()}


def _pace(stage: str, found: list[tuple[str, float]]) -> Pace:
    """Pace of one kind of work from the logarithms of its ratios."""
    if not found:
        return Pace(stage, 1.0, SCATTER, ())
    mean = sum(ratio for _, ratio in found) / len(found)
    variance = (SCATTER**2 + sum((ratio - mean) ** 2 for _, ratio in found)) / len(found)
    return Pace(stage, math.exp(mean), math.sqrt(variance), tuple(name for name, _ in found))


def minutes_of(block: Block, happened: Happened) -> dict[str, float]:
    """Planned minutes of every kind of work on a block, waits for trucks and refills inside."""
    runs = {run.work: run.end.value - run.start.value for run in happened.plan.shift.runs if run.block == block.number}
    return {
        "spread": runs.get("spread", block.durations.spread.value),
        "dry": block.durations.dry_minutes,
        "wet": runs.get("wet mix", block.durations.wet.value),
        "padfoot": block.durations.padfoot.value,
        "grader": block.durations.grader.value,
        "smooth": block.durations.smooth.value,
    }


def _closed(happened: Happened, now: dt.datetime) -> list[tuple[str, Block]]:
    """Blocks whose clock from first mix has stopped, with the plan's."""
    found = []
    for clock in happened.state.clocks:
        if (clock.starts_with, clock.stops_with) != ("first mix", "final rolling ends"):
            continue
        block = happened.planned(clock.block) if clock.block in happened.state.blocks else None
        if block is not None and clock.stopped_at is not None and clock.stopped_at <= now:
            found.append((clock.block, block))
    return found


def _taken(happened: Happened, name: str) -> dict[str, float]:
    """Minutes from the first start to the last end of every kind of work on a block; what tells no start tells nothing."""
    told: dict[str, list[Event]] = {}
    for event in happened.state.events:
        stage = stage_of(event) if event.block == name else ""
        if stage and event.ended is not None:
            told.setdefault(stage, []).append(event)
    return {stage: _minutes(events) for stage, events in told.items() if min(events, key=_began).began_said}


def _began(event: Event) -> tuple[dt.datetime, bool]:
    """Order of starts, of those at one time what was told before what was not."""
    return event.began, not event.began_said


def _minutes(events: list[Event]) -> float:
    """From the first start to the last end."""
    last = max(event.ended for event in events if event.ended is not None)
    return (last - min(event.began for event in events)).total_seconds() / 60
