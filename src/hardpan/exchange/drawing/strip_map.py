"""The strip map: the street as the crew sees it, station along, strips across, landmarks on its edges.

One routine for any length and any number of strips. Where a label finds no room inside the street it is written under the row instead: nothing is
shrunk, nothing is lost, nothing collides.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from hardpan.exchange.drawing import marks
from hardpan.exchange.drawing.ink import (
    CLAY,
    HEAVY_RATE,
    INK,
    LOAM,
    MAP,
    MAP_PLAIN,
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
from hardpan.exchange.drawing.lettering import shorten
from hardpan.exchange.drawing.placement import Box, Field, rows_of_labels, spread_out
from hardpan.exchange.drawing.street_rows import (
    Span,
    block_label,
    break_into_rows,
    describe,
    drive_words,
    hidden_words,
    zone_plates,
)  # fmt: skip
from hardpan.plan import Plan
from hardpan.plan.blocks import Block
from hardpan.street.street import Structure

MARGIN = 96.0  # for the names of the lanes
LEAST_SCALE = 2.6  # units a metre: under this a row is broken
TAG = 24.0  # height of a lath tag with its foot
TIER = 29.0
TAPE = 17.0
DRIVE = 23.0
BLOCKS = 26.0
TAPE_STEPS = (5, 10, 20, 50, 100, 200, 500)


@dataclass(frozen=True, slots=True)
class Drawn:
    """A drawing: its SVG text, its size, the boxes of its labels by text, what it shows in words, what found no room in it."""

    svg: str
    width: float
    height: float
    labels: tuple[tuple[str, Box], ...]
    words: str
    also: tuple[str, ...] = ()


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
        row = _Row(plan, sheet, span, mine, top=top, strip_height=max(strip_height, 30.0))
        top = row.draw(also_below=also_below) + 14
        labels += row.labels
        also += row.sentences()
    return Drawn(sheet.text(top), width, top, tuple(labels), words, tuple(also))


@dataclass
class _Row:
    """One row of the map."""

    plan: Plan
    sheet: Sheet
    span: Span
    blocks: tuple[Block, ...]
    top: float
    strip_height: float
    labels: list[tuple[str, Box]] = field(default_factory=list)
    also: list[tuple[float, str]] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.street = self.plan.street
        self.left, self.right = MARGIN, self.sheet.width - 8
        self.scale = (self.right - self.left) / self.span.length

    def x(self, station: float) -> float:
        """Where a station stands."""
        return self.left + (min(max(station, self.span.start), self.span.end) - self.span.start) * self.scale

    def y(self, side_offset: float) -> float:
        """Where a side offset lies between the street's edges."""
        share = (side_offset + self.street.width / 2) / self.street.width
        return self.strips_top + share * self.strip_height * len(self.street.strips)

    def note(self, text: str, box: Box) -> None:
        """Keep the box of a label."""
        self.labels.append((text, box))

    def draw(self, *, also_below: bool) -> float:
        """Draw the row; gives its lower end."""
        left_tags, right_tags = self._tags("left"), self._tags("right")
        tape_top = self.top + TIER * _tiers(left_tags)
        self.edge_top = tape_top + TAPE + 26
        self.strips_top = self.edge_top + DRIVE
        self.strips_bottom = self.strips_top + self.strip_height * len(self.street.strips)
        self.edge_bottom = self.strips_bottom + DRIVE
        self._tape(tape_top)
        self._ground()
        self._drive()
        self._strips()
        self._draw_tags(left_tags, tape_top, above=True)
        self._draw_tags(right_tags, self.edge_bottom, above=False)
        self._inside()
        lower = self.edge_bottom + 4 + TIER * _tiers(right_tags)
        lower = self._blocks(lower)
        return self._also(lower) if also_below else lower

    def _lane_name(self, y: float, text: str, kind: Type = MAP_PLAIN, colour: str = LOAM) -> None:
        """Name of a lane, left of the street."""
        self.note(
            text, self.sheet.write(self.left - 10, y + kind.above / 2 - 1, text, kind, colour=colour, anchor="end")
        )

    # --- tape and landmarks -------------------------------------------------------------------------------------------

    def _tape(self, top: float) -> None:
        """The measuring tape along the row."""
        sheet, show = self.sheet, self.street.stationing.show
        tape = Box(self.left, top, self.right, top + TAPE)
        sheet.fill(tape, PAPER)
        sheet.frame(tape, weight=1.6)
        self._lane_name(top + TAPE / 2, "station")
        wide = max(MAP.width(show(station)) for station in (self.span.start, self.span.end)) + 10
        step = next((step for step in TAPE_STEPS if step * self.scale >= wide), TAPE_STEPS[-1])
        first = -(-self.span.start // step) * step
        room = Field(tape)
        end = show(self.span.end)
        self._tape_label(room, end, self.right - 4 - MAP.width(end), top)
        for i in range(int((self.span.end - first) // step) + 1):
            x = self.x(first + i * step)
            sheet.line(x, top, x, top + TAPE, weight=1.6)
            self._tape_label(room, show(first + i * step), x + 4, top)
            half = self.x(first + (i + 0.5) * step)
            if room.free(Box(half - 1, top + 2, half + 1, top + TAPE - 2)):
                sheet.line(half, top, half, top + 5, weight=1.2)

    def _tape_label(self, room: Field, text: str, left: float, top: float) -> None:
        """A station on the tape, where there is room for it."""
        if room.put([Box(left, top + 1, left + MAP.width(text), top + TAPE - 1)]):
            self.note(text, self.sheet.write(left, top + TAPE - 3.5, text, MAP))

    def _tags(self, side: str) -> list[_Tag]:
        """Landmark tags of one edge, dealt to rows; landmarks in the middle stand with the left ones."""
        sides = ("left", "centre", "full") if side == "left" else ("right",)
        here = [
            mark for mark in self.street.stationing.landmarks if mark.side in sides and self.span.holds(mark.station)
        ]
        names = [shorten(mark.name, (self.right - self.left) / 3, MAP.size, MAP.weight) for mark in here]
        widths = [MAP.width(name) + 16 for name in names]
        found = rows_of_labels([self.x(mark.station) for mark in here], widths, self.left - 8, self.right, 6.0)
        return [
            _Tag(name, self.x(mark.station), middle, wide, row)
            for mark, name, wide, (row, middle) in zip(here, names, widths, found, strict=True)
        ]

    def _draw_tags(self, tags: Sequence[_Tag], edge: float, *, above: bool) -> None:
        """Flat-headed tags with a foot on the edge; a dotted leader goes to the place itself."""
        if tags:
            self._lane_name(edge - TIER / 2 if above else edge + 6 + TIER / 2, "left edge" if above else "right edge")
        for tag in tags:
            outward = -1 if above else 1
            foot = edge + outward * (3 + TIER * tag.row)
            shoulder, head = foot + outward * 5, foot + outward * TAG
            half = tag.width / 2
            d = f"M{n(tag.middle - half)} {n(head)} H{n(tag.middle + half)} V{n(shoulder)} L{n(tag.middle)} {n(foot)} L{n(tag.middle - half)} {n(shoulder)} Z"
            if abs(tag.middle - tag.x) > 1 or tag.row:
                self.sheet.line(tag.middle, foot, tag.x, edge, weight=1.2, dash="2 3")
            if above:
                self.sheet.line(tag.x, edge + TAPE, tag.x, self.edge_top, weight=1.2, dash="2 3")
            self.sheet.path(d, weight=1.6, fill=PAPER)
            baseline = (shoulder + head) / 2 + MAP.above / 2 - 1.5
            self.note(tag.text, self.sheet.write(tag.middle, baseline, tag.text, MAP, anchor="middle"))

    # --- ground, drive, strips ----------------------------------------------------------------------------------------

    def _ground(self) -> None:
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

    def _drive(self) -> None:
        """Words of the slow drive along both edges."""
        count = len(self.street.strips)
        for strip, top in ((1, self.edge_top), (count, self.strips_bottom)):
            middle = top + DRIVE / 2 + 1
            self._lane_name(middle, "slow drive")
            for word in drive_words(self.plan, strip, self.span):
                start, end = self.x(word.span.start), self.x(word.span.end)
                said = word.word + (", bounces" if word.bounces else "")
                room = end - start - 12
                text = said if MAP.width(said) <= room else word.word if MAP.width(word.word) <= room else ""
                wide = MAP.width(text) / 2 + 5 if text else 0.0
                centre = (start + end) / 2
                marks.ground_word(
                    self.sheet, word.word, start, end, middle, gap=(centre - wide, centre + wide), bounces=word.bounces
                )
                self.sheet.line(end, top + 1, end, top + DRIVE - 1, weight=1.2)
                if text:
                    self.note(
                        text,
                        self.sheet.write(centre, middle + MAP.above / 2 - 1, text, MAP, anchor="middle", plate=True),
                    )
                elif word.word != "nothing":
                    self.also.append(
                        (word.span.start, f"strip {strip}, {self.street.place(word.span.start, word.span.end)}: {said}")
                    )

    def _strips(self) -> None:
        """Strip lines and names, the crown, the curbs."""
        sheet = self.sheet
        for strip in self.street.strips:
            self._lane_name(self.y(strip.middle), f"strip {strip.number}", MAP_STRONG, INK)
            sheet.line(self.left, self.y(strip.left), self.right, self.y(strip.left), weight=1.0)
        sheet.line(self.left, self.strips_bottom, self.right, self.strips_bottom, weight=1.0)
        crown = self.street.file.section.crown_side_offset
        if abs(crown) < self.street.width / 2:
            sheet.line(self.left - 6, self.y(crown), self.right + 6, self.y(crown), weight=2.0, dash="18 4 3 4")
        for y in (self.edge_top, self.edge_bottom):
            sheet.line(self.left - 6, y, self.right + 6, y, weight=3.0)
        for x in (self.left, self.right):
            sheet.line(x, self.edge_top, x, self.edge_bottom, weight=1.4)

    # --- marks and labels inside the street ---------------------------------------------------------------------------

    def _inside(self) -> None:
        """Marks first, for they cannot move; then plates and labels where there is room."""
        area = Box(self.left + 2, self.strips_top + 1, self.right - 2, self.strips_bottom - 1)
        room = Field(area)
        wanted: list[_Label] = []
        self._bare(wanted)
        self._structures(room, wanted)
        self._run_outs(room, wanted)
        self._trucks(room, wanted)
        self._plates(room)
        for label in wanted:
            self._put(room, label)

    def _put(self, room: Field, label: _Label) -> None:
        """Write a label at the first of its places that is free; else under the row."""
        box = room.put(label.places())
        if box is None:
            self.also.append((label.station, label.sentence))
            return
        for i, (text, kind) in enumerate(label.lines):
            baseline = box.top + sum(other.height for _, other in label.lines[:i]) + kind.above
            self.note(text, self.sheet.write(box.left, baseline, text, kind, colour=label.colour, plate=True))

    def _run_outs(self, room: Field, wanted: list[_Label]) -> None:
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
            wanted.append(_Label(box, lines, station, f"fill {out.fill} runs out at {shown}, strip {out.strip}"))

    def _mine(self, block: int, station: float) -> bool:
        """Whether something at a station of a block belongs to this row."""
        return block in {mine.number for mine in self.blocks} and self.span.holds(station)

    def _trucks(self, room: Field, wanted: list[_Label]) -> None:
        """Drops where water trucks empty."""
        middles = {cut.number: cut.middle_m for cut in self.plan.shift.cuts}
        for empty in self.plan.supply.water.empties:
            if self._mine(empty.block, empty.station.value):
                box = marks.truck_empty(self.sheet, self.x(empty.station.value), self.y(middles[empty.cut]))
                room.taken.append(box)
                shown = self.street.stationing.show(round(empty.station.value))
                wanted.append(
                    _Label(
                        box,
                        ((f"truck {empty.truck} empty", MAP), (shown, MAP)),
                        empty.station.value,
                        f"water truck {empty.truck} empty at {shown}, cut {empty.cut}",
                        WATER,
                    )
                )

    def _bare(self, wanted: list[_Label]) -> None:
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
                _Label(box, lines, inside.start, f"no cement left, {shown}, strip {bare.strip}", STOP, within=True)
            )

    def _structures(self, room: Field, wanted: list[_Label]) -> None:
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
            sentence = f"{one.kind} {one.id} at {self.street.stationing.show(one.start)}"
            wanted.append(
                _Label(box, ((f"{text} {self.street.stationing.show(one.start)}", MAP),), one.start, sentence)
            )
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

    def _plates(self, room: Field) -> None:
        """Rate plates of the zones, each inside its own ground: two lines, else three narrow ones, else under the row."""
        strips = self.street.strips
        for plate in zone_plates(self.plan, self.span):
            top, bottom = self.y(strips[plate.first_strip - 1].left), self.y(strips[plate.last_strip - 1].right)
            ground = Box(self.x(plate.span.start), top, self.x(plate.span.end), bottom)
            for details in ((f"{plate.depth} \u00b7 {plate.low}",), (plate.depth, plate.low)):
                lines = ((plate.rate, RATE), *((detail, MAP) for detail in details))
                wide = max(kind.width(text) for text, kind in lines) + 20
                found = room.put(_steps(ground, wide, sum(kind.height for _, kind in lines) + 12))
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

    def _blocks(self, top: float) -> float:
        """Brackets of the blocks with their times; gives the lower end."""
        self._lane_name(top + BLOCKS / 2, "blocks")
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

    def _also(self, top: float) -> float:
        """What found no room, as running lines; gives the lower end."""
        sentences = self.sentences()
        if not sentences:
            return top
        room, x, baseline = self.right - self.left, self.left, top + MAP_PLAIN.above + 2
        self._lane_name(baseline - MAP_PLAIN.above / 2, "also here")
        for i, sentence in enumerate(sentences):
            text = shorten(sentence + (";" if i < len(sentences) - 1 else ""), room, MAP_PLAIN.size, MAP_PLAIN.weight)
            wide = MAP_PLAIN.width(text)
            if x > self.left and x + wide > self.right:
                x, baseline = self.left, baseline + MAP_PLAIN.height + 3
            self.note(text, self.sheet.write(x, baseline, text, MAP_PLAIN))
            x += wide + 8
        return baseline + MAP_PLAIN.below + 4


@dataclass(frozen=True, slots=True)
class _Tag:
    """One landmark tag: its text, the place it stands for, where its middle is, how wide, in which row from the street."""

    text: str
    x: float
    middle: float
    width: float
    row: int


def _tiers(tags: Sequence[_Tag]) -> int:
    """Rows of tags."""
    return 1 + max((tag.row for tag in tags), default=-1)


@dataclass(frozen=True, slots=True)
class _Label:
    """A label that belongs to a mark: its lines, what is written under the row when it finds no room, its colour."""

    mark: Box
    lines: tuple[tuple[str, Type], ...]
    station: float
    sentence: str
    colour: str = INK
    within: bool = False

    def places(self) -> Iterator[Box]:
        """Places round the mark, best first; inside it for a label that covers its mark."""
        wide = max(kind.width(text) for text, kind in self.lines)
        high = sum(kind.height for _, kind in self.lines)
        mark, middle = self.mark, (self.mark.top + self.mark.bottom) / 2
        if self.within:
            yield from _steps(mark, wide, high)
            return
        for lift in (0.0, -10.0, 10.0, -20.0, 20.0):
            for away in (3.0, 12.0, 24.0):
                yield Box(
                    mark.right + away, middle - high / 2 + lift, mark.right + away + wide, middle + high / 2 + lift
                )
                yield Box(mark.left - away - wide, middle - high / 2 + lift, mark.left - away, middle + high / 2 + lift)
        centre = (mark.left + mark.right) / 2
        for shift in (0.0, wide / 3, -wide / 3):
            left = centre - wide / 2 + shift
            yield Box(left, mark.bottom + 2, left + wide, mark.bottom + 2 + high)
            yield Box(left, mark.top - 2 - high, left + wide, mark.top - 2)


def _steps(ground: Box, wide: float, high: float) -> Iterator[Box]:
    """Boxes of one size inside a ground: from its middle outwards along it, from its top downwards."""
    spare, drop = ground.right - ground.left - wide, ground.bottom - ground.top - high
    if spare < 0 or drop < 0:
        return
    steps = int(spare / 2 // 12)
    for fall in (3.0, *(step * drop / 4 for step in range(5))):
        for i in range(steps + 1):
            for side in (1, -1) if i else (1,):
                left = ground.left + spare / 2 + side * i * 12
                top = ground.top + min(fall, drop)
                yield Box(left, top, left + wide, top + high)
