"""The strip map: the street as the crew sees it, station along, strips across, landmarks on its edges.

One routine for any length and any number of strips. Where a label finds no room inside the street it is written under the row instead: nothing is
shrunk, nothing is lost, nothing collides.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from hardpan.exchange.drawing import marks
from hardpan.exchange.drawing.ink import (
    CLAY,
    HEAVY_RATE,
    INK,
    MAP,
    MAP_STRONG,
    PAPER,
    RATE,
    STOP,
    TINT,
    TINT_HEAVY,
    TINT_RATE,
    WATER,
    Sheet,
    Type,
    hatch_spacing,
    n,
)  # fmt: skip
from hardpan.exchange.drawing.map_row import MapRow
from hardpan.exchange.drawing.placement import Box, Field
from hardpan.exchange.drawing.street_frame import LEAST_SCALE, MARGIN, Drawn, Label, steps
from hardpan.exchange.drawing.street_rows import block_label, break_into_rows, describe, hidden_words, zone_plates
from hardpan.plan import Plan
from hardpan.plan.blocks import Block

BLOCKS = 26.0


def draw_strip_map(
    plan: Plan,
    *,
    width: float = 1122.0,
    strip_height: float = 44.0,
    blocks: Sequence[Block] | None = None,
    also_below: bool = True,
) -> Drawn:
    """Strip map of a plan, or of some of its blocks.

    Parameters
    ----------
    plan
        The plan.
    width
        Of the drawing; 1122 units are 190 mm of paper at arm's length.
    strip_height
        Of one strip, in the same units; at least 30.
    blocks
        Only these, one after the other; None for the whole street.
    also_below
        Write what found no room under its row; False where whoever asks writes ``also`` elsewhere.
    """
    rows = break_into_rows(blocks or plan.shift.blocks, (width - MARGIN - 8) / LEAST_SCALE)
    words = describe(plan, [span for span, _ in rows])
    sheet = Sheet(width, f"Strip map, {plan.street.name}", words)
    labels: list[tuple[str, Box]] = []
    also: list[str] = []
    top = 0.0
    for span, mine in rows:
        row = _RateRow(plan=plan, sheet=sheet, span=span, blocks=mine, top=top, strip_height=max(strip_height, 30.0))
        top = row.draw(also_below=also_below) + 14
        labels += row.labels
        also += row.sentences()
    return Drawn(sheet.text(top), width, top, tuple(labels), words, tuple(also))


@dataclass(kw_only=True)
class _RateRow(MapRow):
    """One row of the map that shows rates, run-outs and water trucks."""

    blocks: tuple[Block, ...]

    def ground(self) -> None:
        """Rate hatch of every piece, and the painted edges between rates."""
        for zone in self.plan.zones:
            rate = zone.rate.value
            for piece in zone.pieces:
                inside = self.span.cuts(piece.start_m, piece.end_m)
                if inside is None:
                    continue
                strip = self.street.strips[piece.strip - 1]
                box = Box(self.x(inside.start), self.y(strip.left), self.x(inside.end), self.y(strip.right))
                if rate >= TINT_RATE:
                    self.sheet.fill(box, TINT_HEAVY if rate >= HEAVY_RATE else TINT)
                if rate > 0:
                    self.sheet.hatch(box, CLAY, hatch_spacing(rate), crossed=rate >= HEAVY_RATE)
                for station in (inside.start, inside.end):
                    if station not in (self.span.start, self.span.end):
                        self.sheet.line(self.x(station), box.top, self.x(station), box.bottom, weight=3.5, colour=CLAY)

    def inside(self, room: Field) -> None:
        """Marks first, for they cannot move; then plates and labels where there is room."""
        wanted: list[Label] = []
        self._bare(wanted)
        self.structures(room, wanted)
        self._run_outs(room, wanted)
        self._trucks(room, wanted)
        self._plates(room)
        for label in wanted:
            self.put(room, label)

    def _run_outs(self, room: Field, wanted: list[Label]) -> None:
        """Crosses where fills run out."""
        for out in self.plan.supply.cement.run_outs:
            if not self._mine(out.block, out.station.value) or out.bare_after:
                continue
            station, strip = out.station.value, self.street.strips[out.strip - 1]
            box = marks.run_out(
                self.sheet, self.x(station), self.y(strip.middle), (station - out.back_up_to_m) * self.scale
            )
            room.taken.append(box)
            shown = self.street.stationing.show(round(station))
            lines = ((f"fill {out.fill} runs out", MAP_STRONG), (shown, MAP_STRONG))
            wanted.append(Label(box, lines, station, f"fill {out.fill} runs out at {shown}, strip {out.strip}"))

    def _mine(self, block: int, station: float) -> bool:
        """Whether something at a station of a block belongs to this row."""
        return block in {mine.number for mine in self.blocks} and self.span.holds(station)

    def _trucks(self, room: Field, wanted: list[Label]) -> None:
        """Drops where water trucks empty."""
        middles = {cut.number: cut.middle_m for cut in self.plan.shift.cuts}
        for empty in self.plan.supply.water.empties:
            if self._mine(empty.block, empty.station.value):
                box = marks.truck_empty(self.sheet, self.x(empty.station.value), self.y(middles[empty.cut]))
                room.taken.append(box)
                shown = self.street.stationing.show(round(empty.station.value))
                wanted.append(
                    Label(
                        box,
                        ((f"truck {empty.truck} empty", MAP), (shown, MAP)),
                        empty.station.value,
                        f"water truck {empty.truck} empty at {shown}, cut {empty.cut}",
                        WATER,
                    )
                )

    def _bare(self, wanted: list[Label]) -> None:
        """Stretches without cement."""
        for bare in self.plan.supply.cement.bare:
            inside = self.span.cuts(bare.start_m, bare.end_m)
            if inside is None:
                continue
            strip = self.street.strips[bare.strip - 1]
            box = Box(self.x(inside.start), self.y(strip.left) + 2, self.x(inside.end), self.y(strip.right) - 2)
            marks.bare(self.sheet, box)
            shown = f"{self.street.stationing.show(round(bare.start_m))} to {self.street.stationing.show(round(bare.end_m))}"
            lines = (("no cement left", MAP_STRONG), (shown, MAP_STRONG))
            wanted.append(
                Label(box, lines, inside.start, f"no cement left, {shown}, strip {bare.strip}", STOP, within=True)
            )

    def _plates(self, room: Field) -> None:
        """Rate plates of the zones, each inside its own ground: two lines, else three narrow ones, else under the row."""
        strips = self.street.strips
        for plate in zone_plates(self.plan, self.span):
            top, bottom = self.y(strips[plate.first_strip - 1].left), self.y(strips[plate.last_strip - 1].right)
            ground = Box(self.x(plate.span.start), top, self.x(plate.span.end), bottom)
            for details in ((f"{plate.depth} \u00b7 {plate.low}",), (plate.depth, plate.low)):
                lines = ((plate.rate, RATE), *((detail, MAP) for detail in details))
                wide = max(kind.width(text) for text, kind in lines) + 20
                found = room.put(steps(ground, wide, sum(kind.height for _, kind in lines) + 12))
                if found is not None:
                    self._plate(found, lines)
                    break
            else:
                place = self.street.place(
                    plate.span.start, plate.span.end, tuple(range(plate.first_strip, plate.last_strip + 1))
                )
                self.also.append((plate.span.start, f"{place}: {plate.rate}, {plate.depth}, {plate.low}"))

    def _plate(self, box: Box, lines: tuple[tuple[str, Type], ...]) -> None:
        """One rate plate: a lath with its foot down."""
        foot, middle = box.bottom, (box.left + box.right) / 2
        shoulder = foot - 7
        d = f"M{n(box.left)} {n(box.top)} H{n(box.right)} V{n(shoulder)} H{n(middle + 9)} L{n(middle)} {n(foot)} L{n(middle - 9)} {n(shoulder)} H{n(box.left)} Z"
        self.sheet.path(d, weight=2.4, colour=CLAY, fill=PAPER)
        baseline = box.top + 2
        for text, kind in lines:
            baseline += kind.above
            self.note(
                text,
                self.sheet.write(middle, baseline, text, kind, colour=CLAY if kind is RATE else INK, anchor="middle"),
            )
            baseline += kind.below

    # --- under the street ---------------------------------------------------------------------------------------------

    def below(self, top: float) -> float:
        """Brackets of the blocks with their times; gives the lower end."""
        self.lane_name(top + BLOCKS / 2, "blocks")
        for block in self.blocks:
            inside = self.span.cuts(block.start_m, block.end_m)
            if inside is None:
                continue
            left, right = self.x(inside.start) + 3, self.x(inside.end) - 3
            y = top + BLOCKS - 8
            text = block_label(self.plan, block)
            short = f"block {block.number}"
            text = next((one for one in (text, short, str(block.number)) if MAP.width(one) <= right - left - 26), "")
            wide = MAP.width(text) / 2 + 5 if text else 0
            middle = (left + right) / 2
            self.sheet.path(
                f"M{n(left)} {n(y - 9)} V{n(y)} H{n(middle - wide)} M{n(middle + wide)} {n(y)} H{n(right)} V{n(y - 9)}",
                weight=3.0,
            )
            if text:
                self.note(text, self.sheet.write(middle, y + MAP_STRONG.above / 2 - 1, text, MAP, anchor="middle"))
            if text != block_label(self.plan, block):
                self.also.append((block.start_m, block_label(self.plan, block)))
        return top + BLOCKS + 2

    def sentences(self) -> list[str]:
        """What found no room, in order of station."""
        hidden = ((self.span.start, text) for text in hidden_words(self.plan, self.span))
        return [text for _, text in sorted({*self.also, *hidden})]


__all__ = ["Drawn", "draw_strip_map"]
