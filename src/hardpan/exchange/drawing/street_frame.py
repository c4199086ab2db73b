"""What every drawing along the street shares: stations to the right, the tape, landmarks on the edges, the slow drive's lane, labels kept apart."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from hardpan.exchange.drawing import marks
from hardpan.exchange.drawing.ink import INK, LOAM, MAP, MAP_PLAIN, PAPER, Sheet, Type, n
from hardpan.exchange.drawing.lettering import shorten
from hardpan.exchange.drawing.placement import Box, Field, rows_of_labels
from hardpan.exchange.drawing.street_rows import Span, drive_words
from hardpan.plan import Plan
from hardpan.street.units import factor

MARGIN = 96.0  # for the names of the lanes
LEAST_SCALE = 2.6  # units a metre: under this a row is broken
TAG = 24.0  # height of a lath tag with its foot
TIER = 29.0
TAPE = 17.0
DRIVE = 23.0
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


@dataclass(kw_only=True)
class StreetRow:
    """One row of a drawing along the street."""

    plan: Plan
    sheet: Sheet
    span: Span
    top: float
    right_margin: float = 8.0
    labels: list[tuple[str, Box]] = field(default_factory=list)
    also: list[tuple[float, str]] = field(default_factory=list)
    edge_top: float = 0.0  # where the street begins under tape and tags

    def __post_init__(self) -> None:
        self.street = self.plan.street
        self.left, self.right = MARGIN, self.sheet.width - self.right_margin
        self.scale = (self.right - self.left) / self.span.length

    def x(self, station: float) -> float:
        """Where a station stands."""
        return self.left + (min(max(station, self.span.start), self.span.end) - self.span.start) * self.scale

    def note(self, text: str, box: Box) -> None:
        """Keep the box of a label."""
        self.labels.append((text, box))

    def lane_name(self, y: float, text: str, kind: Type = MAP_PLAIN, colour: str = LOAM) -> None:
        """Name of a lane, left of the street."""
        self.note(
            text, self.sheet.write(self.left - 10, y + kind.above / 2 - 1, text, kind, colour=colour, anchor="end")
        )

    # --- tape and landmarks -------------------------------------------------------------------------------------------

    def tape(self, top: float) -> None:
        """The measuring tape along the row."""
        sheet, show = self.sheet, self.street.stationing.show
        tape = Box(self.left, top, self.right, top + TAPE)
        sheet.fill(tape, PAPER)
        sheet.frame(tape, weight=1.6)
        self.lane_name(top + TAPE / 2, "station")
        wide = max(MAP.width(show(station)) for station in (self.span.start, self.span.end)) + 10
        unit = factor(self.street.stationing.unit, "m")
        step = unit * next((step for step in TAPE_STEPS if step * unit * self.scale >= wide), TAPE_STEPS[-1])
        first = -(-self.span.start // step) * step
        room = Field(tape)
        end = show(self.span.end)
        self._tape_label(room, end, self.right - 4 - MAP.width(end), top)
        for i in range(int((self.span.end - first) // step) + 1):
            x = self.x(first + i * step)
            if not any(Box(x - 1, top, x + 1, top + TAPE).hits(taken) for taken in room.taken):
                sheet.line(x, top, x, top + TAPE, weight=1.6)
            self._tape_label(room, show(first + i * step), x + 4, top)
            half = self.x(first + (i + 0.5) * step)
            if room.free(Box(half - 1, top + 2, half + 1, top + TAPE - 2)):
                sheet.line(half, top, half, top + 5, weight=1.2)

    def _tape_label(self, room: Field, text: str, left: float, top: float) -> None:
        """A station on the tape, where there is room for it."""
        if room.put([Box(left, top + 1, left + MAP.width(text), top + TAPE - 1)]):
            self.note(text, self.sheet.write(left, top + TAPE - 3.5, text, MAP))

    def tags(self, side: str) -> list[Tag]:
        """Landmark tags of one edge, dealt to rows; landmarks in the middle stand with the left ones."""
        sides = ("left", "centre", "full") if side == "left" else ("right",)
        here = [
            mark for mark in self.street.stationing.landmarks if mark.side in sides and self.span.holds(mark.station)
        ]
        names = [shorten(mark.name, (self.right - self.left) / 3, MAP.size, MAP.weight) for mark in here]
        widths = [MAP.width(name) + 16 for name in names]
        found = rows_of_labels([self.x(mark.station) for mark in here], widths, self.left - 8, self.right, 6.0)
        return [
            Tag(name, self.x(mark.station), middle, wide, row)
            for mark, name, wide, (row, middle) in zip(here, names, widths, found, strict=True)
        ]

    def draw_tags(self, tags: Sequence[Tag], edge: float, *, above: bool) -> None:
        """Flat-headed tags with a foot on the edge; a dotted leader goes to the place itself."""
        if tags:
            self.lane_name(edge - TIER / 2 if above else edge + 6 + TIER / 2, "left edge" if above else "right edge")
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

    # --- the slow drive ---------------------------------------------------------------------------------------------

    def drive_lane(self, strip: int, top: float, *, millimetres: bool = False) -> None:
        """Words of the slow drive along one strip, in a lane of its own; with the ruts read where they are asked for."""
        middle = top + DRIVE / 2 + 1
        for word in drive_words(self.plan, strip, self.span):
            start, end = self.x(word.span.start), self.x(word.span.end)
            said = word.said(millimetres=millimetres)
            text = next((one for one in (said, word.word) if MAP.width(one) <= end - start - 12), "")
            wide = MAP.width(text) / 2 + 5 if text else 0.0
            centre = (start + end) / 2
            marks.ground_word(
                self.sheet, word.word, start, end, middle, gap=(centre - wide, centre + wide), bounces=word.bounces
            )
            self.sheet.line(end, top + 1, end, top + DRIVE - 1, weight=1.2)
            if text:
                self.note(
                    text, self.sheet.write(centre, middle + MAP.above / 2 - 1, text, MAP, anchor="middle", plate=True)
                )
            elif word.word != "nothing":
                self.also.append(
                    (word.span.start, f"strip {strip}, {self.street.place(word.span.start, word.span.end)}: {said}")
                )

    # --- labels ---------------------------------------------------------------------------------------------------------

    def put(self, room: Field, label: Label) -> None:
        """Write a label at the first of its places that is free; else under the row."""
        box = room.put(label.places())
        if box is None:
            self.also.append((label.station, label.sentence))
            return
        for i, (text, kind) in enumerate(label.lines):
            baseline = box.top + sum(other.height for _, other in label.lines[:i]) + kind.above
            self.note(text, self.sheet.write(box.left, baseline, text, kind, colour=label.colour, plate=True))

    def sentences(self) -> list[str]:
        """What found no room, in order of station."""
        return [text for _, text in sorted(set(self.also))]

    def write_also(self, top: float) -> float:
        """What found no room, as running lines; gives the lower end."""
        sentences = self.sentences()
        if not sentences:
            return top
        room, x, baseline = self.right - self.left, self.left, top + MAP_PLAIN.above + 2
        self.lane_name(baseline - MAP_PLAIN.above / 2, "also here")
        for i, sentence in enumerate(sentences):
            text = shorten(sentence + (";" if i < len(sentences) - 1 else ""), room, MAP_PLAIN.size, MAP_PLAIN.weight)
            wide = MAP_PLAIN.width(text)
            if x > self.left and x + wide > self.right:
                x, baseline = self.left, baseline + MAP_PLAIN.height + 3
            self.note(text, self.sheet.write(x, baseline, text, MAP_PLAIN))
            x += wide + 8
        return baseline + MAP_PLAIN.below + 4


@dataclass(frozen=True, slots=True)
class Tag:
    """One landmark tag: its text, the place it stands for, where its middle is, how wide, in which row from the street."""

    text: str
    x: float
    middle: float
    width: float
    row: int


def tiers(tags: Sequence[Tag]) -> int:
    """Rows of tags."""
    return 1 + max((tag.row for tag in tags), default=-1)


@dataclass(frozen=True, slots=True)
class Label:
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
            yield from steps(mark, wide, high)
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


def steps(ground: Box, wide: float, high: float, *, levels: int = 5) -> Iterator[Box]:
    """Boxes of one size inside a ground: from its middle outwards along it, from its top downwards on some levels."""
    spare, drop = ground.right - ground.left - wide, ground.bottom - ground.top - high
    if spare < 0 or drop < 0:
        return
    steps = int(spare / 2 // 12)
    for fall in (3.0, *(step * drop / (levels - 1) for step in range(levels))):
        for i in range(steps + 1):
            for side in (1, -1) if i else (1,):
                left = ground.left + spare / 2 + side * i * 12
                top = ground.top + min(fall, drop)
                yield Box(left, top, left + wide, top + high)
