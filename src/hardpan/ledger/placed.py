"""What counts, with its ground and its block: the events that every reckoning walks."""

from __future__ import annotations

import datetime as dt
from bisect import bisect_left
from collections.abc import Iterable, Iterator
from typing import NamedTuple, TypeVar

from hardpan.ledger.ground import Area, Ground, Reach
from hardpan.ledger.parts import Payload, Span
from hardpan.ledger.standing import Standing
from hardpan.ledger.supplying import SpreadRun
from hardpan.ledger.working import Closed, MixingPass, Rolling

AGAIN = ", again"  # behind the name of a block: work on it after it was closed

_WORK = {SpreadRun, MixingPass, Rolling}
_SPANS = set(Span.__subclasses__())
Sort = TypeVar("Sort", bound=Payload)


class Event(NamedTuple):
    """An entry that counts: its ground, its block, when it began and ended."""

    standing: Standing
    payload: Payload
    area: Area | None
    block: str
    began: dt.datetime
    ended: dt.datetime | None
    began_said: bool

    @property
    def id(self) -> str:
        """Id of the entry."""
        return self.standing.entry.id

    @property
    def at(self) -> dt.datetime:
        """Instant it happened, by the device's clock."""
        return self.standing.happened_at.at


def of(kind: type[Sort], events: Iterable[Event]) -> Iterator[tuple[Event, Sort]]:
    """Events of one kind of payload, each with it."""
    # the exact type: asking pydantic whether a payload is of another class costs more than the rest of the fold
    return ((event, event.payload) for event in events if type(event.payload) is kind)


def place_events(standing: Iterable[Standing], ground: Ground) -> tuple[tuple[Event, ...], dict[str, Reach]]:
    """Events in order of happening, and the stations of every block."""
    counting = [one for one in standing if one.counts]
    named = _Blocks(counting)
    closed: dict[str, dt.datetime] = {}
    events = []
    for one in counting:
        said = one.payload
        cuts = said.cuts if type(said) is MixingPass else ()
        area = ground.area(one.place, named.reaches, cuts)
        block = one.place.block if one.place else ""
        if not block and area is not None:
            block = named.holding(area, one.at)
        events.append(_event(one, area, block, closed))
        if type(said) is Closed and said.problem is None and block:
            closed.setdefault(block, one.at)
    return tuple(events), named.reaches


def _event(one: Standing, area: Area | None, block: str, closed: dict[str, dt.datetime]) -> Event:
    """One event; work on a block that was closed is a block of its own, so that it moves no clock."""
    payload, at = one.payload, one.at
    if type(payload) not in _SPANS or not isinstance(payload, Span):
        return Event(one, payload, area, block, at, at, True)
    began = payload.started_at.at if payload.started_at else at
    if block in closed and type(payload) in _WORK:
        block = _again(block, began, closed)
    if payload.under_way:
        return Event(one, payload, area, block, began, None, True)
    return Event(one, payload, area, block, began, at, payload.started_at is not None)


def _again(block: str, began: dt.datetime, closed: dict[str, dt.datetime]) -> str:
    """Name of a block, or of the work on it after it was closed."""
    return f"{block}{AGAIN}" if block in closed and began > closed[block] else block


class _Blocks:
    """Stations of every block that an entry names with a stretch of work, and when one first did."""

    def __init__(self, counting: list[Standing]) -> None:
        self.reaches: dict[str, Reach] = {}
        begun: dict[str, dt.datetime] = {}
        for one in counting:
            place = one.place
            if place is None or not place.block or place.start_m is None or place.end_m is None:
                continue
            start, end = self.reaches.get(place.block, (place.start_m, place.end_m))
            self.reaches[place.block] = min(start, place.start_m), max(end, place.end_m)
            begun.setdefault(place.block, one.at)
        self._rows = sorted((start, end, name, begun[name]) for name, (start, end) in self.reaches.items())
        self._longest = max((end - start for start, end, _, _ in self._rows), default=0.0)

    def holding(self, area: Area, at: dt.datetime) -> str:
        """Block that holds the middle of an area and is not shorter: the shortest begun by then, else the shortest; empty for none."""
        middle, length = (area.start_m + area.end_m) / 2, area.end_m - area.start_m
        first = bisect_left(self._rows, (middle - self._longest,))
        last = bisect_left(self._rows, (middle, float("inf")))
        holding = [
            (begun > at, end - start, name)
            for start, end, name, begun in self._rows[first:last]
            if start <= middle < end and length <= end - start
        ]
        return min(holding)[2] if holding else ""
