"""What one row of the strip map shows, gathered from the plan before anything is drawn."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from hardpan.exchange.figures_in_words import about, clock, millimetres, number
from hardpan.plan import Plan
from hardpan.plan.blocks import Block
from hardpan.plan.ground import WORDS


@dataclass(frozen=True, slots=True)
class Span:
    """A stretch of the street in metres."""

    start: float
    end: float

    @property
    def length(self) -> float:
        """Length in metres."""
        return self.end - self.start

    def cuts(self, start: float, end: float) -> Span | None:
        """The part of a stretch that lies in this one; None where none does."""
        low, high = max(self.start, start), min(self.end, end)
        return Span(low, high) if high - low > 1e-6 else None

    def holds(self, station: float) -> bool:
        """Whether a station lies in it; both ends do."""
        return self.start - 1e-6 <= station <= self.end + 1e-6


@dataclass(frozen=True, slots=True)
class DriveWord:
    """One word of the slow drive along an edge."""

    span: Span
    word: str
    bounces: bool
    rut_m: float | None = None

    def said(self, *, millimetres: bool) -> str:
        """The word as it was said, with the rut where one was read and is asked for."""
        rut = f", {number(1000 * self.rut_m)} mm" if millimetres and self.rut_m is not None else ""
        return f"{self.word}{rut}{', bounces' if self.bounces else ''}"


@dataclass(frozen=True, slots=True)
class ZonePlate:
    """What is written on a part of a zone that hangs together: the rate large, the depth, how low; and where that part lies."""

    rate: str
    depth: str
    low: str
    span: Span
    first_strip: int
    last_strip: int


def break_into_rows(blocks: Sequence[Block], longest: float) -> list[tuple[Span, tuple[Block, ...]]]:
    """Rows of whole blocks, none longer than ``longest`` metres unless one block is; such a block is cut evenly."""
    rows: list[tuple[Span, tuple[Block, ...]]] = []
    total = blocks[-1].end_m - blocks[0].start_m
    wanted = total / math.ceil(total / longest - 1e-9)
    held: list[Block] = []
    for block in blocks:
        if held and (
            block.end_m - held[0].start_m > longest + 1e-6 or held[-1].end_m - held[0].start_m > wanted - 1e-6
        ):
            rows.append((Span(held[0].start_m, held[-1].end_m), tuple(held)))
            held = []
        held.append(block)
    rows.append((Span(held[0].start_m, held[-1].end_m), tuple(held)))
    return [part for span, mine in rows for part in _cut_evenly(span, mine, longest)]


def _cut_evenly(span: Span, blocks: tuple[Block, ...], longest: float) -> list[tuple[Span, tuple[Block, ...]]]:
    """A row, or its even parts where one block alone is too long for it."""
    count = math.ceil(span.length / longest - 1e-9)
    each = span.length / count
    return [(Span(span.start + i * each, span.start + (i + 1) * each), blocks) for i in range(count)]


def drive_words(plan: Plan, strip: int, span: Span) -> list[DriveWord]:
    """Words along one strip inside a row; a stretch without a reading is "not read"."""
    words = []
    for start, end, index in plan.ground.stretches(strip - 1):
        inside = span.cuts(start, end)
        if inside:
            reading = plan.street.readings[index] if index >= 0 else None
            if reading is None:
                words.append(DriveWord(inside, "not read", bounces=False))
            else:
                rut = reading.rut.value if reading.rut else None
                words.append(DriveWord(inside, reading.word, reading.bounces, rut))
    return words


def hidden_words(plan: Plan, span: Span) -> list[str]:
    """Words of the strips between the edges where they differ from both edges, as lines of text."""
    ground, bays, lines = plan.ground, plan.ground.bays, []
    for row in range(1, len(bays.strips) - 1):
        for start, end, index in ground.stretches(row):
            inside = span.cuts(start, end)
            if inside is None or index < 0:
                continue
            here = (bays.middles_m > inside.start) & (bays.middles_m < inside.end)
            differs = (ground.word[row, here] != ground.word[0, here]) & (
                ground.word[row, here] != ground.word[-1, here]
            )
            if differs.any():
                word = WORDS[int(ground.word[row, here][0])]
                lines.append(f"strip {row + 1}, {plan.street.place(inside.start, inside.end)}: {word}")
    return lines


def zone_plates(plan: Plan, span: Span) -> list[ZonePlate]:
    """One plate for every part of a zone that hangs together in a row."""
    plates = []
    for zone, balance in zip(plan.zones, plan.balance, strict=True):
        low = balance.low
        side = "low" if low.value >= 0 else "high"
        deep = f"{about(zone.depth)}{millimetres(zone.depth)} mm"
        how_low = f"{about(low)}{number(abs(low.value) * 1000)} mm {side}"
        inside = [(piece.strip, span.cuts(piece.start_m, piece.end_m)) for piece in zone.pieces]
        for start, end, first, last in rectangles((strip, part) for strip, part in inside if part is not None):
            plates.append(ZonePlate(f"{zone.rate.value:.3g} kg/m\u00b2", deep, how_low, Span(start, end), first, last))
    return plates


def rectangles(parts: Iterable[tuple[int, Span]]) -> list[tuple[float, float, int, int]]:
    """Rectangles of strips side by side that share a stretch: start, end, first and last strip."""
    by_stretch: dict[tuple[float, float], list[int]] = {}
    for strip, part in parts:
        by_stretch.setdefault((part.start, part.end), []).append(strip)
    patches = []
    for (start, end), strips in sorted(by_stretch.items()):
        first = previous = min(strips)
        for strip in sorted(strips)[1:]:
            if strip != previous + 1:
                patches.append((start, end, first, previous))
                first = strip
            previous = strip
        patches.append((start, end, first, previous))
    return patches


def block_label(plan: Plan, block: Block) -> str:
    """Block with the times of its first mix and final rolling."""
    runs = [run for run in plan.shift.runs if run.block == block.number]
    mix = next(run.start.value for run in runs if run.work == "dry mix")
    closed = max(run.end.value for run in runs)
    return f"block {block.number} \u00b7 first mix {clock(mix)} \u00b7 rolled {clock(closed)}"


def describe(plan: Plan, spans: Sequence[Span]) -> str:
    """The map in words, for whoever cannot see it."""
    street, show = plan.street, plan.street.stationing.show
    said = [
        f"Strip map of {street.name}, {show(spans[0].start)} to {show(spans[-1].end)}, {len(street.strips)} strips; strip 1 is the leftmost looking up-station."
    ]
    for zone, balance in zip(plan.zones, plan.balance, strict=True):
        where = (
            "elsewhere"
            if zone.instruction.elsewhere
            else street.place(zone.pieces[0].start_m, zone.pieces[-1].end_m, zone.instruction.strips)
        )
        said.append(
            f"{zone.rate.value:.3g} kg/m2, {millimetres(zone.depth)} mm deep, {number(balance.low.value * 1000)} mm low: {where}."
        )
    inside = [out for out in plan.supply.cement.run_outs if any(span.holds(out.station.value) for span in spans)]
    said += [f"Fill {out.fill} runs out at {out.place} on strip {out.strip}." for out in inside]
    said += [
        f"No cement left: {bare.place}, strip {bare.strip}."
        for bare in plan.supply.cement.bare
        if any(span.cuts(bare.start_m, bare.end_m) for span in spans)
    ]
    said += [
        f"Water truck {e.truck} is empty at {e.place}, cut {e.cut}."
        for e in plan.supply.water.empties
        if any(span.holds(e.station.value) for span in spans)
    ]
    said += [
        f"{one.kind} {one.id} at {street.stationing.place(one.start)}."
        for one in street.structures
        if any(span.holds(one.start) for span in spans)
    ]
    return " ".join(said)
