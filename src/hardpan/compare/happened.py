"""Where things happened, in the trade's words: blocks and zones under a place, blocks of the ledger beside those of the plan."""

from __future__ import annotations

import re
from bisect import bisect_left, bisect_right
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

from hardpan.ledger import Event, State
from hardpan.ledger.ground import Area
from hardpan.ledger.placed import AGAIN
from hardpan.ledger.progress import BayState
from hardpan.plan import Plan
from hardpan.plan.blocks import Block
from hardpan.street.places import say_strips

_HALF = 0.5


@dataclass(frozen=True)
class Happened:
    """A plan and a state side by side, with the look-ups that every comparison needs."""

    plan: Plan
    state: State

    @cached_property
    def events(self) -> dict[str, Event]:
        """Events that count, by id."""
        return {event.id: event for event in self.state.events}

    @cached_property
    def widths(self) -> dict[int, float]:
        """Width of every strip [m]."""
        return {strip.number: strip.width for strip in self.plan.street.strips}

    @cached_property
    def _edges(self) -> list[float]:
        """Stations at which bays begin; the same on every strip."""
        return sorted({bay.start_m for bay in self.state.bays})

    @cached_property
    def _bays(self) -> dict[tuple[int, float], BayState]:
        """Bays by strip and start."""
        return {(bay.strip, bay.start_m): bay for bay in self.state.bays}

    def bays_under(self, area: Area) -> Iterator[tuple[BayState, float, float]]:
        """Bays that a place lies on, strip by strip up-station, each with the part under it; a point on a joint lies beyond it."""
        row = max(bisect_right(self._edges, area.start_m) - 1, 0)
        last = row + 1 if area.point else bisect_left(self._edges, area.end_m)
        for strip in area.strips:
            for start in self._edges[row:last]:
                bay = self._bays[strip, start]
                low, high = max(bay.start_m, area.start_m), min(bay.end_m, area.end_m)
                if high > low or (area.point and low == high):
                    yield bay, low, high

    def square_metres(self, area: Area) -> float:
        """Ground of a stretch of strips [m2]."""
        return (area.end_m - area.start_m) * sum(self.widths[strip] for strip in area.strips)

    def words(self, area: Area) -> str:
        """Place in words: ``0+146 to 0+152, strip 4``; a point by the nearest landmark."""
        street = self.plan.street
        if area.point:
            return f"{street.painted(area.start_m)}, {say_strips(area.strips, len(street.strips))}"
        return street.place(area.start_m, area.end_m, area.strips)

    def where(self, event: Event) -> str:
        """Place of an event as it was recorded: a block alone says that the spot was not."""
        place = event.standing.place
        if event.area is None or place is None:
            return "spot not recorded"
        if place.start_m is None and not place.landmark:
            return f"{event.block}, spot not recorded"
        return self.words(event.area)

    def zones(self, area: Area) -> tuple[str, ...]:
        """Zones that a place lies in, as instructed."""
        return tuple(dict.fromkeys(bay.zone for bay, _, _ in self.bays_under(area)))

    def planned(self, block: str) -> Block | None:
        """Block of the plan that a block of the ledger is: by its number where it covers the same ground, else by its ground."""
        reach = self.state.blocks.get(block.removesuffix(AGAIN))
        if reach is None:
            return None
        number = re.fullmatch(r"\D*(\d+)", block.removesuffix(AGAIN))
        same = [one for one in self.plan.shift.blocks if _shared(reach, one) > _HALF]
        named = [one for one in same if number and one.number == int(number[1])]
        return max(named or same, key=lambda one: _shared(reach, one), default=None)

    def happened(self, block: Block) -> str:
        """Name that the ledger gives to a block of the plan; empty where no entry names it."""
        names = [name for name in self.state.blocks if (own := self.planned(name)) and own.number == block.number]
        return min(names, key=lambda name: (-_shared(self.state.blocks[name], block), name), default="")


def _shared(reach: tuple[float, float], block: Block) -> float:
    """Length that two blocks share, over the length of both together."""
    common = min(reach[1], block.end_m) - max(reach[0], block.start_m)
    return common / (max(reach[1], block.end_m) - min(reach[0], block.start_m)) if common > 0 else 0.0
