"""One row of the strip map: the street as the crew sees it, station along, strips across, whatever the ground of the map shows."""

from __future__ import annotations

from abc import ABC, abstractmethod
from dataclasses import dataclass

from hardpan.exchange.drawing import marks
from hardpan.exchange.drawing.ink import INK, MAP, MAP_STRONG
from hardpan.exchange.drawing.placement import Box, Field, spread_out
from hardpan.exchange.drawing.street_frame import DRIVE, TAPE, TIER, Label, StreetRow, tiers
from hardpan.exchange.drawing.street_rows import Span
from hardpan.street.street import Structure


@dataclass(kw_only=True)
class MapRow(StreetRow, ABC):
    """One row of the map; what it is about is drawn by ``ground``, ``inside`` and ``below``."""

    strip_height: float

    def y(self, side_offset: float) -> float:
        """Where a side offset lies between the street's edges."""
        share = (side_offset + self.street.width / 2) / self.street.width
        return self.strips_top + share * self.strip_height * len(self.street.strips)

    def draw(self, *, also_below: bool) -> float:
        """Draw the row; gives its lower end."""
        left_tags, right_tags = self.tags("left"), self.tags("right")
        tape_top = self.top + TIER * tiers(left_tags)
        self.edge_top = tape_top + TAPE + 26
        self.strips_top = self.edge_top + DRIVE
        self.strips_bottom = self.strips_top + self.strip_height * len(self.street.strips)
        self.edge_bottom = self.strips_bottom + DRIVE
        self.tape(tape_top)
        self.ground()
        self._drive()
        self._strips()
        self.draw_tags(left_tags, tape_top, above=True)
        self.draw_tags(right_tags, self.edge_bottom, above=False)
        self.inside(Field(Box(self.left + 2, self.strips_top + 1, self.right - 2, self.strips_bottom - 1)))
        lower = self.below(self.edge_bottom + 4 + TIER * tiers(right_tags))
        return self.write_also(lower) if also_below else lower

    @abstractmethod
    def ground(self) -> None:
        """Ground of the strips."""

    @abstractmethod
    def inside(self, room: Field) -> None:
        """Marks and labels between the edges."""

    def below(self, top: float) -> float:
        """What stands under the street; gives its lower end."""
        return top

    def said_of(self, one: Structure) -> str:
        """What a structure's label says on a second line; nothing here."""
        _ = one
        return ""

    def _drive(self) -> None:
        """Words of the slow drive along both edges."""
        for strip, top in ((1, self.edge_top), (len(self.street.strips), self.strips_bottom)):
            self.lane_name(top + DRIVE / 2 + 1, "slow drive")
            self.drive_lane(strip, top)

    def _strips(self) -> None:
        """Strip lines and names, the crown, the curbs."""
        sheet = self.sheet
        for strip in self.street.strips:
            self.lane_name(self.y(strip.middle), f"strip {strip.number}", MAP_STRONG, INK)
            sheet.line(self.left, self.y(strip.left), self.right, self.y(strip.left), weight=1.0)
        sheet.line(self.left, self.strips_bottom, self.right, self.strips_bottom, weight=1.0)
        crown = self.street.file.section.crown_side_offset
        if abs(crown) < self.street.width / 2:
            sheet.line(self.left - 6, self.y(crown), self.right + 6, self.y(crown), weight=2.0, dash="18 4 3 4")
        for y in (self.edge_top, self.edge_bottom):
            sheet.line(self.left - 6, y, self.right + 6, y, weight=3.0)
        for x in (self.left, self.right):
            sheet.line(x, self.edge_top, x, self.edge_bottom, weight=1.4)

    def structures(self, room: Field, wanted: list[Label]) -> None:
        """Manholes, valves, trenches, services."""
        letters: list[Structure] = []
        for one in self.street.structures:
            inside = self.span.holds(one.start) or self.span.cuts(one.start, one.end) is not None
            if not inside:
                continue
            if one.kind in marks.SERVICE_LETTERS:
                letters.append(one)
                self.sheet.line(
                    self.x(one.start), self.edge_top, self.x(one.start), self.edge_bottom, weight=2.0, dash="12 3 2 3"
                )
                room.faint.append(
                    Box(self.x(one.start) - 1, self.strips_top, self.x(one.start) + 1, self.strips_bottom)
                )
                continue
            box = self._mark(one)
            room.taken.append(box)
            text = one.id if one.kind == one.id or one.kind in ("manhole", "valve") else f"{one.kind} {one.id}"
            more = self.said_of(one)
            name = one.kind if one.kind == one.id else f"{one.kind} {one.id}"
            sentence = f"{name} at {self.street.stationing.show(one.start)}{f': {more}' if more else ''}"
            lines = [(f"{text} {self.street.stationing.show(one.start)}", MAP), *([(more, MAP_STRONG)] if more else [])]
            wanted.append(Label(box, tuple(lines), one.start, sentence))
        self._service_letters(letters)

    def _service_letters(self, services: list[Structure]) -> None:
        """Letters of services in squares on the edge, spread so that each reads; all of them under the row where they do not fit."""
        y = self.edge_top - 12
        middles = spread_out(
            [self.x(one.start) for one in services], [24.0] * len(services), self.left, self.right, 3.0
        )
        if middles is None:
            self.also += [
                (one.start, f"{one.kind} {one.id} at {self.street.stationing.show(one.start)}") for one in services
            ]
            return
        for one, middle in zip(services, middles, strict=True):
            if abs(middle - self.x(one.start)) > 1:
                self.sheet.line(middle, y + 9, self.x(one.start), self.edge_top, weight=1.2)
            box = marks.service(self.sheet, middle, y, one.kind)
            self.note(f"{one.kind} {one.id}", box)

    def _mark(self, one: Structure) -> Box:
        """Icon of one structure."""
        if one.kind == "trench" and one.end > one.start:
            strips = [self.street.strips[number - 1] for number in one.strips]
            inside = self.span.cuts(one.start, one.end) or Span(one.start, one.end)
            return marks.trench(
                self.sheet,
                Box(self.x(inside.start), self.y(strips[0].left), self.x(inside.end), self.y(strips[-1].right)),
            )
        half = self.street.width / 2
        side = (
            one.side_offset
            if one.side_offset is not None
            else {"left": -half / 2, "right": half / 2}.get(one.side, 0.0)
        )
        draw = {"manhole": marks.manhole, "valve": marks.valve}.get(one.kind, marks.other)
        y = min(max(self.y(side), self.strips_top + 13), self.strips_bottom - 13)
        return draw(self.sheet, min(max(self.x(one.start), self.left + 13), self.right - 13), y)
