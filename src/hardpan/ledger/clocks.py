"""Clocks of every block: what started each, what stopped it, the limit that is written."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from hardpan.ledger.ground import Area, Ground, Reach
from hardpan.ledger.placed import AGAIN, Event
from hardpan.ledger.supplying import SpreadRun, WaterTruckCoupled
from hardpan.ledger.water import watered
from hardpan.ledger.working import MixingPass, Rolling
from hardpan.street import Street
from hardpan.street.model import ClockLimit, Start, Stop

STARTS: tuple[Start, ...] = ("cement on the ground", "first mix", "water")
LAST_STOP: Stop = "final rolling ends"
_TELLING = {SpreadRun, MixingPass, WaterTruckCoupled, Rolling}
_ENDS: dict[Stop, str] = {"padfoot starts": "padfoot", "padfoot ends": "padfoot", "final rolling ends": "final"}


@dataclass(frozen=True, slots=True)
class Clock:
    """Time from the event that starts a clock to the one that stops it; ``limit_min`` None where none is written.

    ``start_sure`` is false where only an end was entered: the clock then runs at least as long as it says. A clock that has not
    stopped on all of the ground it started on runs on.
    """

    block: str
    starts_with: Start
    stops_with: Stop
    started_at: dt.datetime
    started_by: str
    start_sure: bool
    stopped_at: dt.datetime | None
    limit_min: float | None = None
    owner: str = ""
    source: str = ""

    def elapsed_min(self, now: dt.datetime | None = None) -> float | None:
        """Minutes run, at ``now`` where it has not stopped; None without a ``now``."""
        end = self.stopped_at or now
        return None if end is None else (end - self.started_at).total_seconds() / 60

    def left_min(self, now: dt.datetime) -> float | None:
        """Minutes left to the limit, negative beyond it; None without a limit."""
        elapsed = self.elapsed_min(now)
        return None if self.limit_min is None or elapsed is None else self.limit_min - elapsed

    @property
    def by(self) -> dt.datetime | None:
        """Instant by which it must have stopped; None without a limit."""
        return None if self.limit_min is None else self.started_at + dt.timedelta(minutes=self.limit_min)


@dataclass(frozen=True, slots=True)
class HeldStrip:
    """A strip whose cement was not whole when its block's first mix began; ``mixed_at``: its first mix, as far as it is known."""

    block: str
    strip: int
    first_mix: dt.datetime
    spread_at: dt.datetime
    mixed_at: dt.datetime | None


@dataclass
class _Work:
    """What happened on one block, by event: who began when, and on which of its bays."""

    began: list[Event]
    first_row: int
    on: NDArray[np.bool_]
    ended_s: NDArray[np.float64]


def run_clocks(
    street: Street, events: tuple[Event, ...], ground: Ground, *, blocks: dict[str, Reach]
) -> tuple[Clock, ...]:
    """Clocks of every block, in order of start: to the end of final rolling always, and those that limits name."""
    work = _sorted_work(events, ground, blocks)
    clocks = []
    for block in dict.fromkeys(block for block, _ in work):
        for start in STARTS:
            written = [one for one in street.file.limits.clock if one.start == start]
            unwritten = [] if any(one.stop == LAST_STOP for one in written) else [None]
            clocks += [_clock(work, block, start, limit) for limit in [*unwritten, *written]]
    found = [clock for clock in clocks if clock is not None]
    return tuple(
        sorted(found, key=lambda one: (one.started_at, STARTS.index(one.starts_with), one.block, one.stops_with))
    )


def held_strips(events: tuple[Event, ...]) -> tuple[HeldStrip, ...]:
    """Strips that waited while the rest of their block was mixed."""
    spread: dict[tuple[str, int], dt.datetime] = {}
    mixed: dict[tuple[str, int], dt.datetime] = {}
    first: dict[str, dt.datetime] = {}
    for event in events:
        said = event.payload
        if type(said) not in _TELLING:
            continue
        for strip in event.area.strips if event.area and event.block else ():
            lane = event.block, strip
            if isinstance(said, SpreadRun) and event.ended:
                spread[lane] = max(event.ended, spread.get(lane, event.ended))
            elif isinstance(said, MixingPass) and said.mixed != "aerate":
                mixed[lane] = min(event.began, mixed.get(lane, event.began))
                first[event.block] = min(event.began, first.get(event.block, event.began))
    return tuple(
        HeldStrip(block, strip, first[block], at, mixed.get((block, strip)))
        for (block, strip), at in sorted(spread.items())
        if block in first and at > first[block]
    )


def _sorted_work(events: tuple[Event, ...], ground: Ground, blocks: dict[str, Reach]) -> dict[tuple[str, str], _Work]:
    """Work of every block by what it is: the three starts, padfoot, final."""
    found: dict[tuple[str, str], _Work] = {}
    for event in events:
        reach = blocks.get(event.block.removesuffix(AGAIN)) if type(event.payload) in _TELLING else None
        if event.area is None or reach is None:
            continue
        for what, areas in _tells(event, event.area):
            work = found.get((event.block, what))
            if work is None:
                work = found[event.block, what] = _no_work(ground, reach)
            work.began.append(event)
            for area in areas:
                _mark(work, ground, area, event.ended)
    return found


def _no_work(ground: Ground, reach: Reach) -> _Work:
    """Nothing done yet on the bays of a block."""
    rows = ground.rows(Area(*reach, ()))
    shape = len(rows), len(ground.strips)
    return _Work([], rows.start, np.zeros(shape, dtype=bool), np.full(shape, -np.inf))


def _tells(event: Event, area: Area) -> list[tuple[str, list[Area]]]:
    """Starts and stops that an event tells of, each with its ground."""
    said = event.payload
    if type(said) is SpreadRun:
        return [(STARTS[0], [area])]
    if type(said) is Rolling and said.rolled in ("padfoot", "final"):
        return [(said.rolled, [area])]
    if type(said) is WaterTruckCoupled and said.setting != "off":
        return [(STARTS[2], [])]
    if type(said) is MixingPass and said.mixed != "aerate":
        wet = watered(event, said)
        return [(STARTS[1], [area]), *([(STARTS[2], wet)] if wet else [])]
    return []


def _mark(work: _Work, ground: Ground, area: Area, ended: dt.datetime | None) -> None:
    """Note the bays of a piece of work, and when it ended there."""
    rows, columns = ground.rows(area), ground.columns(area)
    inside = slice(max(rows.start - work.first_row, 0), max(rows.stop - work.first_row, 0))
    neighbours = columns[-1:] and columns[-1] - columns[0] == len(columns) - 1
    for across in [slice(columns[0], columns[-1] + 1)] if neighbours else columns:
        work.on[inside, across] = True
        if ended is not None:
            np.maximum(work.ended_s[inside, across], ended.timestamp(), out=work.ended_s[inside, across])


def _clock(work: dict[tuple[str, str], _Work], block: str, start: Start, limit: ClockLimit | None) -> Clock | None:
    """One clock of one block; None where nothing started it."""
    started = work.get((block, start))
    if started is None or not started.on.any():
        return None
    first = _first(started)
    stop: Stop = limit.stop if limit else LAST_STOP
    stopped = _stopped(work, block, started, stop)
    if stopped is not None and stopped < first.began:
        stopped = None  # it stopped what was done before
    clock = Clock(block, start, stop, first.began, first.id, first.began_said, stopped)
    if limit is None:
        return clock
    return replace(clock, limit_min=limit.within.value, owner=limit.owner, source=limit.source)


def _first(started: _Work) -> Event:
    """Event that started a clock: the pass itself; a coupled truck only where no pass was entered before its end."""
    passes = [one for one in started.began if not isinstance(one.payload, WaterTruckCoupled)]
    first = min(passes, key=lambda one: (one.began, one.id))
    coupled = [one for one in started.began if isinstance(one.payload, WaterTruckCoupled) and one.at <= first.began]
    return max(coupled, key=lambda one: (one.at, one.id)) if coupled and not first.began_said else first


def _stopped(work: dict[tuple[str, str], _Work], block: str, started: _Work, stop: Stop) -> dt.datetime | None:
    """Instant at which the stopping work had covered all ground that the clock started on; None while it has not."""
    stopping = work.get((block, _ENDS[stop]))
    if stopping is None:
        return None
    if stop == "padfoot starts":
        return min(one.began for one in stopping.began)
    last = stopping.ended_s[started.on].min()
    if not np.isfinite(last):
        return None
    ends = [one.ended for one in stopping.began if one.ended is not None]
    return max(end for end in ends if end.timestamp() <= stopping.ended_s[started.on].max())
