"""Blocks: the lengths taken from spreading to final rolling inside one clock, the strips and cuts in them, and the days they fall on."""

from __future__ import annotations

import math
from dataclasses import dataclass

from hardpan.laws.strips import machine_cuts
from hardpan.plan.durations import BlockDurations, closing_minutes, plain_durations, time_block
from hardpan.plan.instructions import Piece
from hardpan.plan.zones import Zone
from hardpan.street import Figure, Notice, Street
from hardpan.street.defaults import default
from hardpan.street.figure import worked

SAME_PLACE = 1e-6  # metres: nearer than this two side offsets are one
LEAST = 20.0  # metres: a shorter block is no block; the default is taken then, and its clocks raise their notices
WHOLE = 5.0  # metres: a block length that the clock allows is rounded down to this, for paint


@dataclass(frozen=True, slots=True)
class Segment:
    """A stretch of one lane (strip or cut, from 1) in one zone (index), in the order it is driven; stations in metres."""

    lane: int
    start_m: float
    end_m: float
    zone: int

    @property
    def length_m(self) -> float:
        """Length in metres."""
        return self.end_m - self.start_m


@dataclass(frozen=True, slots=True)
class Cut:
    """One mixer cut: its number from the left, the side offset of its middle, the width it adds, and the width the bar wets [m]."""

    number: int
    middle_m: float
    net_width_m: float
    wetted_width_m: float


@dataclass(frozen=True, slots=True)
class Block:
    """One block; ``spread`` are its strips' segments, ``mix`` its cuts', each in working order."""

    number: int
    day: int
    start_m: float
    end_m: float
    area: Figure
    spread: tuple[Segment, ...]
    mix: tuple[Segment, ...]
    durations: BlockDurations


@dataclass(frozen=True, slots=True)
class BlockPlan:
    """Blocks in working order, the mixer's cuts, how long a block may be, and why."""

    cuts: tuple[Cut, ...]
    block_length: Figure
    blocks: tuple[Block, ...]
    notices: tuple[Notice, ...]


def lay_out_blocks(street: Street, zones: tuple[Zone, ...], length: Figure) -> BlockPlan:
    """Blocks of a length from the start of the street up-station, and the day of each."""
    cuts = mixer_cuts(street)
    lanes = _Lanes(street, zones, cuts)
    edges = _edges(street, length.value)
    drafts = [lanes.block(i + 1, start, end) for i, (start, end) in enumerate(edges)]
    days, day_notices = _days(street, drafts)
    blocks = tuple(
        Block(draft.number, day, draft.start_m, draft.end_m, draft.area, draft.spread, draft.mix, draft.durations)
        for draft, day in zip(drafts, days, strict=True)
    )
    return BlockPlan(cuts, length, blocks, day_notices)


def mixer_cuts(street: Street) -> tuple[Cut, ...]:
    """Cuts of the mixer across the street, left to right."""
    mixer, width = street.file.mixer, street.width
    laid = machine_cuts(width, mixer.drum.value, mixer.least_overlap.value)
    return tuple(
        Cut(i + 1, (left + right) / 2 - width / 2, net, net if mixer.overlap_nozzles_shut else mixer.wetting.value)
        for i, ((left, right), net) in enumerate(zip(laid.edges, laid.net_widths, strict=True))
    )


def block_lengths(street: Street, zones: tuple[Zone, ...]) -> tuple[Figure, ...]:
    """Lengths of a block to try, best first: as stated, else from the longest that every written clock allows down, else the default."""
    stated, longest = street.file.shift.block_length, longest_block(street, zones)
    if stated is not None or longest is None:
        return (stated or default("shift.block_length"),)
    whole = max(WHOLE, WHOLE * math.floor(min(longest.value, street.stationing.length) / WHOLE))
    formula = "longest block, rounded down to 5 m, less what soft ground, refills and waiting take"
    shorter = [whole - WHOLE * i for i in range(int(whole / WHOLE)) if whole - WHOLE * i >= LEAST]
    return (
        *(worked("block length", length, "m", longest, formula=formula) for length in shorter),
        default("shift.block_length"),
    )


def longest_block(street: Street, zones: tuple[Zone, ...]) -> Figure | None:
    """Longest plain block, at the mean rate, that closes inside every written clock; None where no clock is written."""
    clocks = street.file.limits.clock
    if not clocks:
        return None
    cuts = len(mixer_cuts(street))
    rate = sum(zone.cement.value for zone in zones) / sum(zone.area.value for zone in zones)
    low, high = 1.0, 2_000.0
    for _ in range(60):
        middle = (low + high) / 2
        durations = plain_durations(street, middle, cuts=cuts, rate=rate)
        closes = all(closing_minutes(durations, clock.start, clock.stop) <= clock.within.value for clock in clocks)
        low, high = (middle, high) if closes else (low, middle)
    plain = plain_durations(street, low, cuts=cuts, rate=rate)
    limits = [
        Figure(
            f"limit from {clock.start}",
            clock.within.value,
            "min",
            clock.within.basis,
            f"{clock.owner or 'owner not said'}, {clock.source}",
        )
        for clock in clocks
    ]
    return worked(
        "longest block",
        low,
        "m",
        *limits,
        *plain.runs,
        plain.padfoot_after_wet,
        plain.smooth_before,
        formula="length at which a plain block just closes inside every written clock",
    )


def _edges(street: Street, length: float) -> list[tuple[float, float]]:
    """Stations of the blocks; the last is what is left."""
    first, last = street.stationing.first, street.stationing.last
    count = max(1, math.ceil((last - first) / length - 1e-9))
    places = [first + i * length for i in range(count)] + [last]
    return [(places[i], places[i + 1]) for i in range(count)]


class _Lanes:
    """Cuts up strips and cuts into the segments of a block."""

    def __init__(self, street: Street, zones: tuple[Zone, ...], cuts: tuple[Cut, ...]) -> None:
        self.street, self.zones, self.cuts = street, zones, cuts
        self.pieces: dict[int, list[tuple[Piece, int]]] = {}
        for index, zone in enumerate(zones):
            for piece in zone.pieces:
                self.pieces.setdefault(piece.strip, []).append((piece, index))
        for pieces in self.pieces.values():
            pieces.sort(key=lambda numbered: numbered[0].start_m)
        self.strip_of_cut = {cut.number: self._strip_under(cut.middle_m) for cut in cuts}

    def _strip_under(self, side_offset: float) -> int:
        """Strip that covers a side offset; on the line between two, the right one."""
        strips, place = self.street.strips, side_offset + SAME_PLACE
        return next((strip.number for strip in strips if strip.left <= place < strip.right), strips[-1].number)

    def block(self, number: int, start: float, end: float) -> Block:
        """One block, its day not yet known."""
        spread = tuple(
            segment
            for strip in self.street.strips
            for segment in self._segments(strip.number, strip.number, start, end)
        )
        mix = tuple(
            segment
            for cut in self.cuts
            for segment in self._segments(cut.number, self.strip_of_cut[cut.number], start, end)
        )
        width = self.street.file.line.width
        length = Figure("block length", end - start, "m", width.basis, "block joints")
        area = worked("block area", (end - start) * width.value, "m2", length, width, formula="length x width")
        soft = tuple(segment for segment in mix if self.zones[segment.zone].soil == "soft")
        loads = [(segment.length_m, self.zones[segment.zone].rate.value) for segment in spread]
        durations = time_block(
            self.street,
            end - start,
            area.value,
            cuts=len(self.cuts),
            soft=tuple((s.lane, s.length_m) for s in soft),
            loads=loads,
        )
        return Block(number, 0, start, end, area, spread, mix, durations)

    def _segments(self, lane: int, strip: int, start: float, end: float) -> list[Segment]:
        """Segments of one lane, up-station."""
        inside = [(max(piece.start_m, start), min(piece.end_m, end), zone) for piece, zone in self.pieces[strip]]
        return [Segment(lane, a, b, zone) for a, b, zone in inside if b - a > 1e-9]


def _days(street: Street, drafts: list[Block]) -> tuple[list[int], tuple[Notice, ...]]:
    """Day of every block: as stated, else as many a day as close before its end."""
    stated = street.file.shift.blocks_by_day
    if stated:
        days = [day for day, count in enumerate(stated, start=1) for _ in range(count)][: len(drafts)]
        return days + [len(stated)] * (len(drafts) - len(days)), _count_notice(sum(stated), len(drafts))
    shift, days, day = street.file.shift, [], 1
    end = shift.end.hour * 60 + shift.end.minute
    spreader = street.file.spreader
    first_fill = spreader.coupling.value + spreader.hopper.value / spreader.transfer_rate.value
    ready = shift.start.hour * 60 + shift.start.minute + first_fill
    first_mix: float | None = None
    for draft in drafts:
        start = ready + draft.durations.spread.value if first_mix is None else first_mix
        if first_mix is not None and start + closing_minutes(draft.durations, "first mix", "final rolling ends") > end:
            day, start = day + 1, ready + draft.durations.spread.value
        days.append(day)
        first_mix = start + draft.durations.mixing_minutes + street.file.mixer.move.value
    return days, ()


def _count_notice(stated: int, count: int) -> tuple[Notice, ...]:
    """A notice where the stated days do not add up to the blocks."""
    if stated == count:
        return ()
    return (
        Notice(
            "missing",
            f"blocks_by_day names {stated} blocks, the street has {count}: what is over falls on the last day named",
        ),
    )
