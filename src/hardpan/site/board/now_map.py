"""The strip map of now: what lies on every strip, where a machine is at work, what ran out and where the next runs out, what was not checked."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass, field

from django.utils.translation import gettext as _

from hardpan.compare import Outlook
from hardpan.compare.ground_left import to_spread
from hardpan.compare.happened import Happened
from hardpan.compare.not_checked import trays_at_restart
from hardpan.exchange.drawing import happened_marks, marks
from hardpan.exchange.drawing.happened_ground import painted_edges
from hardpan.exchange.drawing.ink import CLAY, INK, LOAM, PAPER, STOP, WATER, Sheet, Type, n
from hardpan.exchange.drawing.placement import Box, Field
from hardpan.exchange.drawing.street_frame import LEAST_SCALE, MARGIN, TAPE, TIER, Drawn, Label, StreetRow, steps, tiers
from hardpan.exchange.drawing.street_rows import Span, break_into_rows, rectangles
from hardpan.ledger import Event
from hardpan.ledger.placed import of
from hardpan.ledger.reckoning import merged
from hardpan.ledger.supplying import RunOut, TrayCheck, WaterTruckEmpty
from hardpan.plan.blocks import Block
from hardpan.site.board import textures, words
from hardpan.site.board.ground import Piece, at_work, pieces
from hardpan.site.board.now_legend import STRAW, draw_legend
from hardpan.site.board.now_words import describe, stage_words, work_words

STRIP = 36.0  # height of one strip
BLOCKS = 26.0
PLATE, SMALL = Type(14, 700), Type(14, 600)


def draw_now(happened: Happened, ahead: Outlook, *, width: float = 1240.0) -> Drawn:
    """Strip map of now, its rows one under the other, its legend last.

    Parameters
    ----------
    happened
        Plan and ledger side by side.
    ahead
        What lies ahead: where the hopper and the truck run out, what waits.
    width
        Of the drawing; a unit is a pixel of the tablet.
    """
    lying = (*pieces(happened), *at_work(happened))
    about = describe(happened, ahead, lying)
    sheet = Sheet(width, _("Strip map of now, %(street)s") % {"street": happened.plan.street.name}, about)
    found: list[_NowRow] = []
    top = 0.0
    for span, blocks in break_into_rows(happened.plan.shift.blocks, (width - MARGIN - 8) / LEAST_SCALE):
        row = _NowRow(
            plan=happened.plan, sheet=sheet, span=span, top=top, blocks=blocks,
            happened=happened, ahead=ahead, lying=lying,
        )  # fmt: skip
        top = row.draw() + 8
        found.append(row)
    top = draw_legend(sheet, {piece.stage for piece in lying if not piece.now}, left=MARGIN, top=top)
    labels = tuple(label for row in found for label in row.labels)
    return Drawn(sheet.text(top), width, top, labels, about, tuple(one for row in found for one in row.sentences()))


@dataclass(kw_only=True)
class _NowRow(StreetRow):
    """One row of the map of now."""

    blocks: tuple[Block, ...]
    happened: Happened
    ahead: Outlook
    lying: tuple[Piece, ...]
    wanted: list[Label] = field(default_factory=list)

    def lane_name(self, y: float, text: str, kind: Type = SMALL, colour: str = LOAM) -> None:
        """Name of a lane, in the reader's language."""
        super().lane_name(y, words.said(text), kind, colour)

    def y(self, strip: int, *, below: bool = False) -> float:
        """Upper edge of a strip, or its lower one."""
        return self.edge_top + STRIP * (strip - (0 if below else 1))

    def draw(self) -> float:
        """Draw the row; gives its lower end."""
        left_tags, right_tags = self.tags("left"), self.tags("right")
        tape_top = self.top + TIER * tiers(left_tags)
        self.edge_top = tape_top + TAPE + 3
        self.edge_bottom = self.edge_top + STRIP * len(self.street.strips)
        self.tape(tape_top)
        self._lying()
        self._lines()
        self.draw_tags(left_tags, tape_top, above=True)
        self.draw_tags(right_tags, self.edge_bottom, above=False)
        room = Field(Box(self.left + 2, self.edge_top + 1, self.right - 2, self.edge_bottom - 1))
        self._marks(room)
        for piece in sorted(self.lying, key=lambda one: not one.now):
            self._plate(room, piece)
        for label in self.wanted:
            self.put(room, label)
        self._rates(room)
        return self._brackets(self.edge_bottom + 2 + TIER * tiers(right_tags))

    # --- ground -------------------------------------------------------------------------------------------------------

    def _box(self, start: float, end: float, first: int, last: int) -> Box | None:
        """Where a rectangle of strips lies in this row; None where it does not."""
        inside = self.span.cuts(start, end)
        if inside is None:
            return None
        return Box(self.x(inside.start), self.y(first), self.x(inside.end), self.y(last, below=True))

    def _of(self, piece: Piece) -> Box | None:
        """Where a piece lies in this row."""
        return self._box(piece.start_m, piece.end_m, piece.first_strip, piece.last_strip)

    def _lying(self) -> None:
        """Straw and a heavy edge where a machine is at work, the hatch of what lies there over it; a broken edge where cement is waited for."""
        for piece in sorted(self.lying, key=lambda one: not one.now):
            box = self._of(piece)
            if box is not None and piece.now:
                self.sheet.fill(box, STRAW)
                self.sheet.frame(Box(box.left + 2, box.top + 2, box.right - 2, box.bottom - 2), weight=4.0)
            elif box is not None:
                textures.lay(self.sheet, box, piece.stage)
        for one in self.ahead.waiting:
            box = self._box(one.start_m, one.end_m, one.strip, one.strip)
            if box is not None:
                inner = Box(box.left + 2, box.top + 2, box.right - 2, box.bottom - 2)
                self.sheet.frame(inner, weight=3.0, colour=STOP, dash="9 4")
                bare = _("%(length)s m bare") % {"length": words.number(one.end_m - one.start_m, 1)}
                said = f"{bare}, {words.strips((one.strip,), self.street)}"
                self.wanted.append(Label(inner, ((bare, PLATE),), one.start_m, said, STOP))

    def _lines(self) -> None:
        """Strips, painted edges of the rates, blocks, the curbs."""
        sheet = self.sheet
        for strip in self.street.strips:
            self.lane_name(
                (self.y(strip.number) + self.y(strip.number, below=True)) / 2,
                _("strip %(strip)s") % {"strip": strip.number}, PLATE, INK,
            )  # fmt: skip
            sheet.line(self.left, self.y(strip.number), self.right, self.y(strip.number), weight=1.0)
        for block in self.blocks[1:]:
            sheet.line(self.x(block.start_m), self.edge_top, self.x(block.start_m), self.edge_bottom, weight=1.6)
        for number, station in painted_edges(self.happened):
            if self.span.start < station < self.span.end:
                x = self.x(station)
                sheet.line(x, self.y(number), x, self.y(number, below=True), weight=6.5, colour=PAPER)
                sheet.line(x, self.y(number), x, self.y(number, below=True), weight=3.5, colour=CLAY)
        for y in (self.edge_top, self.edge_bottom):
            sheet.line(self.left - 4, y, self.right + 4, y, weight=3.0)
        for x in (self.left, self.right):
            sheet.line(x, self.edge_top, x, self.edge_bottom, weight=1.4)

    # --- marks --------------------------------------------------------------------------------------------------------

    def _spots(self, event: Event) -> Iterator[tuple[float, float]]:
        """Where a point stands on every strip it names."""
        if event.area is not None and event.area.point and self.span.holds(event.area.start_m):
            x = min(max(self.x(event.area.start_m), self.left + 13), self.right - 13)
            for strip in event.area.strips:
                yield x, self.y(strip) + STRIP / 2

    def _want(self, mark: Box, lines: tuple[str, ...], station: float, *, strip: int, colour: str = INK) -> None:
        """Ask for a label beside a mark."""
        sentence = f"{', '.join(lines)}, {words.strips((strip,), self.street)}"
        self.wanted.append(Label(mark, tuple((line, SMALL) for line in lines), station, sentence, colour))

    def _marks(self, room: Field) -> None:
        """Marks first, for they cannot move: what happened solid, what is due hollow, what was not checked broken."""
        for event, _said in of(RunOut, self.happened.state.events):
            told = bool(trays_at_restart(self.happened, event))
            for x, y in self._spots(event):
                room.taken.append(happened_marks.ran_out(self.sheet, x, y, restart_told=told))
        for event, tray in of(TrayCheck, self.happened.state.events):
            for x, y in self._spots(event) if tray.checked == "not checked" else ():
                box = happened_marks.not_checked(self.sheet, _beside(room, x), y)
                room.taken.append(box)
                station = event.area.start_m if event.area else 0.0
                self._want(box, (_("not checked"),), station, strip=event.area.strips[0] if event.area else 1)
        for event, _empty in of(WaterTruckEmpty, self.happened.state.events):
            for x, y in self._spots(event):
                room.taken.append(happened_marks.truck_empty(self.sheet, x, y))
        self._due_run_outs(room)
        self._due_truck(room)

    def _due_run_outs(self, room: Field) -> None:
        """Hollow crosses where what is in the hopper, and the next fill, run out."""
        for out in self.ahead.cement.run_outs:
            station = out.station.value
            if self.span.holds(station):
                y = self.y(out.strip) + STRIP / 2
                box = marks.run_out(self.sheet, self.x(station), y, (station - out.back_up_to_m) * self.scale)
                room.taken.append(box)
                due = _("due at %(station)s") % {"station": self.street.stationing.show(round(station))}
                self._want(box, (due,), station, strip=out.strip)

    def _due_truck(self, room: Field) -> None:
        """Hollow drop where the coupled truck runs dry."""
        truck = self.ahead.water_truck
        cut = next((one for one in self.plan.shift.cuts if truck and one.number == truck.cut), None)
        if truck is None or truck.station is None or cut is None or not self.span.holds(truck.station.value):
            return
        share = (cut.middle_m + self.street.width / 2) / self.street.width
        y = self.edge_top + share * (self.edge_bottom - self.edge_top)
        box = marks.truck_empty(self.sheet, self.x(truck.station.value), y)
        room.taken.append(box)
        told = {"truck": truck.truck or _("truck"), "station": self.street.stationing.show(round(truck.station.value))}
        lines = (_("%(truck)s empty at %(station)s") % told,)
        said = f"{lines[0]}, {_('cut %(cut)s') % {'cut': cut.number}}"
        self.wanted.append(Label(box, ((lines[0], SMALL),), truck.station.value, said, WATER))

    # --- plates -------------------------------------------------------------------------------------------------------

    def _plate(self, room: Field, piece: Piece) -> None:
        """Word of a stage on a plate inside its ground; white on solid ink where it is closed."""
        ground = self._of(piece)
        if ground is None:
            return
        text = work_words(piece.stage) if piece.now else stage_words(piece.stage)
        found = room.put(steps(ground, PLATE.width(text) + 16, PLATE.height + 6))
        if found is None:
            where = (
                f"{words.stretch(piece.start_m, piece.end_m, self.street)}, {words.strips(piece.strips, self.street)}"
            )
            self.also.append((piece.start_m, f"{where}: {text}"))
            return
        solid = piece.stage.kind == "closed"
        fill = INK if solid else STRAW if piece.now else PAPER
        self._write_plate(found, text, colour=PAPER if solid else INK, fill=fill)

    def _rates(self, room: Field) -> None:
        """Rate of the ground that is still to spread, in clay."""
        alike: dict[tuple[float, int], list[tuple[float, float]]] = defaultdict(list)
        for block in self.blocks:
            for one in to_spread(self.happened, block):
                alike[one.rate_kg_m2, one.strip].append((one.start_m, one.end_m))
        for rate in sorted({rate for rate, _strip in alike}):
            text = f"{words.rate(rate)} kg/m\u00b2"
            parts = [
                (strip, Span(*one)) for (at, strip), reaches in alike.items() if at == rate for one in merged(reaches)
            ]
            for start, end, first, last in rectangles(parts):
                ground = self._box(start, end, first, last)
                found = room.put(steps(ground, PLATE.width(text) + 14, PLATE.height + 6)) if ground else None
                if ground is not None and found is None:
                    where = f"{words.stretch(start, end, self.street)}, {words.strips(tuple(range(first, last + 1)), self.street)}"
                    self.also.append((start, f"{where}: {text}"))
                elif found is not None:
                    self._write_plate(found, text, colour=CLAY, fill=PAPER)

    def _write_plate(self, box: Box, text: str, *, colour: str, fill: str) -> None:
        """Plate with its word."""
        self.sheet.frame(box, weight=1.6, colour=CLAY if colour == CLAY else INK, fill=fill)
        middle = (box.left + box.right) / 2
        self.note(
            text, self.sheet.write(middle, box.top + 3 + PLATE.above, text, PLATE, colour=colour, anchor="middle")
        )

    def _brackets(self, top: float) -> float:
        """Blocks under the street; gives the lower end."""
        for block in self.blocks:
            inside = self.span.cuts(block.start_m, block.end_m)
            if inside is None:
                continue
            left, right, y = self.x(inside.start) + 3, self.x(inside.end) - 3, top + BLOCKS - 12
            told = _("block %(block)s") % {"block": block.number}
            text = next((one for one in (told, str(block.number)) if PLATE.width(one) <= right - left - 20), "")
            half, middle = PLATE.width(text) / 2 + 5, (left + right) / 2
            d = f"M{n(left)} {n(y - 8)} V{n(y)} H{n(middle - half)} M{n(middle + half)} {n(y)} H{n(right)} V{n(y - 8)}"
            self.sheet.path(d, weight=3.0)
            self.note(text, self.sheet.write(middle, y + PLATE.above / 2 - 1, text, PLATE, anchor="middle"))
        return top + BLOCKS


def _beside(room: Field, x: float) -> float:
    """Where a mark stands free of the crosses: at its place, else a little up-station."""
    crosses = [box for box in room.taken if box.left - 9 < x < box.right + 9]
    return max([x, *(box.right + 12 for box in crosses)])
