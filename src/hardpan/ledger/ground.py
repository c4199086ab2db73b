"""The grid that entries fall on: bays, blocks as the entries name them, and the instruction in force at every bay."""

from __future__ import annotations

import datetime as dt
from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import NamedTuple

from hardpan.laws.strips import machine_cuts
from hardpan.ledger.parts import Place
from hardpan.ledger.standing import Standing
from hardpan.ledger.supplying import RateInstruction
from hardpan.street import Street
from hardpan.street.bays import lay_out_bays
from hardpan.street.places import PlaceError

Reach = tuple[float, float]  # stations of a block's ends [m]


class Area(NamedTuple):
    """A stretch of some strips; a point has both ends at one station."""

    start_m: float
    end_m: float
    strips: tuple[int, ...]

    @property
    def point(self) -> bool:
        """Whether it has no length."""
        return self.end_m <= self.start_m

    def touches(self, other: Area) -> bool:
        """Whether two places share ground; points count where they lie on it."""
        apart = self.end_m < other.start_m or other.end_m < self.start_m
        return not apart and any(strip in other.strips for strip in self.strips)


@dataclass(frozen=True, slots=True)
class Rule:
    """A rate instruction of the street folder or of the ledger, in force where no later one is."""

    zone: str
    rate_kg_m2: float
    elsewhere: bool
    area: Area
    said_at: dt.datetime  # on the wall clock of the place, no zone
    entry: str = ""


class Ground:
    """Bays of a street; places are found on it."""

    def __init__(self, street: Street) -> None:
        bays = lay_out_bays(street)
        self.street = street
        self.edges = [float(edge) for edge in bays.edges_m]
        self.middles = [float(middle) for middle in bays.middles_m]
        self.strips = bays.strips
        self.widths = {strip.number: strip.width for strip in street.strips}
        self._column = {number: column for column, number in enumerate(self.strips)}
        self._strips_of_cut = self._lay_cuts()
        self._meant: dict[tuple[tuple[int, ...], tuple[int, ...]], tuple[int, ...]] = {}

    @property
    def shape(self) -> tuple[int, int]:
        """Bays along and across."""
        return len(self.middles), len(self.strips)

    def _lay_cuts(self) -> dict[int, tuple[int, ...]]:
        """Strips whose middle each mixer cut covers; of two cuts over one middle the nearer has it."""
        mixer, width = self.street.file.mixer, self.street.width
        laid = machine_cuts(width, mixer.drum.value, mixer.least_overlap.value)
        middles = [(left + right) / 2 - width / 2 for left, right in laid.edges]
        nearest = {
            strip.number: 1 + min(range(len(middles)), key=lambda cut: abs(middles[cut] - strip.middle))
            for strip in self.street.strips
        }
        return {cut: tuple(s for s, over in nearest.items() if over == cut) for cut in range(1, len(middles) + 1)}

    def area(self, place: Place | None, blocks: dict[str, Reach], cuts: tuple[int, ...] = ()) -> Area | None:
        """Ground that a place means; None where it names none that the street has."""
        if place is None:
            return None
        strips = self._known_strips(cuts, place.strips)
        start = place.start_m
        if start is None and place.landmark:
            try:
                start = self.street.stationing.read(place.landmark)
            except PlaceError:
                start = None
        if not strips:
            return None
        if start is not None:
            end = start if place.end_m is None else place.end_m
            return Area(start, end, strips) if start <= self.edges[-1] and end >= self.edges[0] else None
        reach = blocks.get(place.block)
        return Area(*reach, strips) if reach else None

    def _known_strips(self, cuts: tuple[int, ...], strips: tuple[int, ...]) -> tuple[int, ...]:
        """Strips that cuts or numbers mean, left to right, of those that the street has; all where none is meant."""
        meant = self._meant.get((cuts, strips))
        if meant is None:
            asked = {strip for cut in cuts for strip in self._strips_of_cut.get(cut, ())} or set(strips)
            meant = tuple(strip for strip in self.strips if strip in asked) if asked else self.strips
            self._meant[cuts, strips] = meant
        return meant

    def rows(self, area: Area) -> range:
        """Bays along the street whose middle an area covers; for a point the bay it lies in."""
        if area.point:
            row = min(max(bisect_right(self.edges, area.start_m) - 1, 0), len(self.middles) - 1)
            return range(row, row + 1) if self.edges[0] <= area.start_m <= self.edges[-1] else range(0)
        return range(bisect_left(self.middles, area.start_m), bisect_left(self.middles, area.end_m))

    def columns(self, area: Area) -> list[int]:
        """Bays across the street that an area covers."""
        return [self._column[strip] for strip in area.strips]

    def pieces(self, start: float, end: float) -> Iterator[tuple[int, float]]:
        """Bays along the street that a stretch overlaps, and by how many metres."""
        row = max(bisect_right(self.edges, start) - 1, 0)
        while row < len(self.middles) and self.edges[row] < end:
            length = min(end, self.edges[row + 1]) - max(start, self.edges[row])
            if length > 0:
                yield row, length
            row += 1


def rules_of(
    street: Street, ground: Ground, instructed: Iterable[Standing], *, blocks: dict[str, Reach]
) -> tuple[Rule, ...]:
    """Instructions of the folder and of the ledger, the one in force last."""
    rules = [
        Rule(one.zone, one.rate.value, one.elsewhere, Area(one.start, one.end, one.strips), _wall(one.said_at))
        for one in street.instructions
    ]
    whole = Area(ground.edges[0], ground.edges[-1], ground.strips)
    for one in instructed:
        said = one.payload
        area = ground.area(one.place, blocks)
        if isinstance(said, RateInstruction) and (area or said.elsewhere):
            place = area if area and not said.elsewhere else whole
            rules.append(Rule(said.zone, said.rate_kg_m2, said.elsewhere, place, _wall(one.at), one.id))
    return tuple(sorted(rules, key=lambda rule: (not rule.elsewhere, rule.said_at)))


def _wall(said_at: dt.datetime | None) -> dt.datetime:
    """Wall clock of the place; instructions without a time count first."""
    return (said_at or dt.datetime.min).replace(tzinfo=None)


def lay_rules(ground: Ground, rules: tuple[Rule, ...]) -> dict[tuple[int, int], Rule]:
    """Rule in force at every bay, by row and column."""
    laid: dict[tuple[int, int], Rule] = {}
    latest = {(rule.elsewhere, rule.area): rule for rule in rules}
    for rule in (rule for rule in rules if latest[rule.elsewhere, rule.area] is rule):
        for row in ground.rows(rule.area):
            for column in ground.columns(rule.area):
                laid[row, column] = rule
    return laid
