"""Which stakes stand on which page of the cut sheet, what zone each point lies in, and what is remarked beside a stake."""

from __future__ import annotations

from itertools import pairwise

from hardpan.exchange.sheets.pdf import Paper
from hardpan.plan import Plan
from hardpan.plan.balance import ZoneBalance
from hardpan.plan.levels import SAME_PLACE, Stake
from hardpan.plan.zones import Zone
from hardpan.street.places import say_strips

ROWS_A_PAGE: dict[Paper, int] = {"a4": 24, "us-letter": 21}


def stretches(plan: Plan, rows: int) -> list[tuple[float, float]]:
    """Stretches that fit one page each, in as few pages as end where a crew does: with a day, else with a block, else at a stake."""
    blocks = plan.shift.blocks
    by_day = [[block for block in blocks if block.day == day] for day in sorted({block.day for block in blocks})]
    whole = [(day[0].start_m, day[-1].end_m) for day in by_day]
    if all(_fits(plan, *stretch, rows=rows) for stretch in whole):
        return _joined(plan, whole, rows=rows)
    found = []
    for day, stretch in zip(by_day, whole, strict=True):
        pieces = [piece for block in day for piece in _shares(plan, block.start_m, block.end_m, rows=rows)]
        found += [stretch] if _fits(plan, *stretch, rows=rows) else _joined(plan, pieces, rows=rows)
    return found


def _joined(plan: Plan, pieces: list[tuple[float, float]], *, rows: int) -> list[tuple[float, float]]:
    """Neighbours together where one page holds them."""
    found: list[tuple[float, float]] = []
    for start, end in pieces:
        if found and abs(found[-1][1] - start) < SAME_PLACE and _fits(plan, found[-1][0], end, rows=rows):
            found[-1] = (found[-1][0], end)
        else:
            found.append((start, end))
    return found


def _shares(plan: Plan, start: float, end: float, *, rows: int) -> list[tuple[float, float]]:
    """One stretch, or equal shares of its stakes; the stake between two shares stands on both."""
    stations = [stake.station_m for stake in stakes_between(plan, start, end)]
    if len(stations) <= rows:
        return [(start, end)]
    count = -(-(len(stations) - 1) // (rows - 1))
    marks = [stations[round(i * (len(stations) - 1) / count)] for i in range(count + 1)]
    return list(pairwise([start, *marks[1:-1], end]))


def stakes_between(plan: Plan, start: float, end: float) -> list[Stake]:
    """Stakes of a stretch, those at its ends among them."""
    return [stake for stake in plan.levels.stakes if start - SAME_PLACE <= stake.station_m <= end + SAME_PLACE]


def _fits(plan: Plan, start: float, end: float, *, rows: int) -> bool:
    """Whether one page holds the stakes of a stretch."""
    return len(stakes_between(plan, start, end)) <= rows


class Ground:
    """Which zone lies where."""

    def __init__(self, plan: Plan) -> None:
        self.plan = plan
        self.least = min(zone.rate.value for zone in plan.zones)
        self.pieces = [(piece, zone) for zone in plan.zones for piece in zone.pieces]

    def zone(self, station: float, side_offset: float) -> Zone:
        """Zone at a place: at a painted edge across the street the heavier rate, on an edge along it the lighter."""
        half = self.plan.street.width / 2
        across = min(max(side_offset, -half), half)
        found = []
        for strip in self.plan.street.strips:
            if strip.left - SAME_PLACE <= across <= strip.right + SAME_PLACE:
                here = [
                    zone
                    for piece, zone in self.pieces
                    if piece.strip == strip.number and piece.start_m - SAME_PLACE <= station <= piece.end_m + SAME_PLACE
                ]
                found.append(max(here, key=lambda zone: zone.rate.value))
        return min(found, key=lambda zone: zone.rate.value)

    def between(self, start: float, end: float) -> list[tuple[Zone, ZoneBalance]]:
        """Zones that lie in a stretch, with their balances."""
        names = {zone.name for piece, zone in self.pieces if piece.start_m < end and piece.end_m > start}
        return [
            (zone, balance)
            for zone, balance in zip(self.plan.zones, self.plan.balance, strict=True)
            if zone.name in names
        ]

    def remarks(self) -> dict[float, list[str]]:
        """Remarks of every stake: ramps, edges of heavier rates, joints of blocks and days."""
        blocks = self.plan.shift.blocks
        rates = self._edges([stake.station_m for stake in self.plan.levels.stakes])
        joints = [
            (block.end_m, "block joint" if block.day == after.day else "day joint") for block, after in pairwise(blocks)
        ]
        return {
            stake.station_m: [
                *([stake.remark] if stake.remark else []),
                *rates.get(stake.station_m, []),
                *(word for place, word in joints if abs(place - stake.station_m) < SAME_PLACE),
            ]
            for stake in self.plan.levels.stakes
        }

    def _edges(self, stations: list[float]) -> dict[float, list[str]]:
        """Where heavier rates start and end, by the stake where one reads it."""
        show = self.plan.street.stationing.show
        found: dict[float, list[str]] = {}
        stretches: dict[tuple[float, float, float], list[int]] = {}
        for piece, zone in self.pieces:
            if zone.rate.value > self.least:
                stretches.setdefault((piece.start_m, piece.end_m, zone.rate.value), []).append(piece.strip)
        for (start, end, rate), strips in sorted(stretches.items()):
            inside = [station for station in stations if start - SAME_PLACE <= station <= end + SAME_PLACE]
            before = [station for station in stations if station < start]
            what = f"{rate:.3g} kg/m\u00b2{self._side(strips)}"
            if len(inside) > 1:
                at = "here" if abs(inside[0] - start) < SAME_PLACE else show(start)
                found.setdefault(inside[0], []).append(f"{what} from {at}")
                at = "here" if abs(inside[-1] - end) < SAME_PLACE else show(end)
                found.setdefault(inside[-1], []).append(f"{what} to {at}")
            elif inside or (before and end <= stations[-1]):
                found.setdefault((inside or before[-1:])[0], []).append(f"{what} {show(start)} to {show(end)}")
        return found

    def _side(self, strips: list[int]) -> str:
        """Side of some strips, nothing where they are all."""
        every = self.plan.street.strips
        for word, sign in (("left", -1), ("right", 1)):
            if strips and set(strips) == {strip.number for strip in every if sign * strip.middle > SAME_PLACE}:
                return f" {word}"
        return "" if len(strips) == len(every) else f" {say_strips(tuple(strips), len(every))}"
