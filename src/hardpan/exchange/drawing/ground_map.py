"""The ground view of the strip map: how soft it is by density of hatch and by word, trench lines, tests done and tests asked for."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import product

from hardpan.exchange.drawing import ground_marks
from hardpan.exchange.drawing.ground_legend import draw_legend, map_legend
from hardpan.exchange.drawing.ground_rows import (
    BETWEEN,
    NAMES,
    RIGHT_MARGIN,
    WIDTH,
    Alike,
    alike,
    asked_tests,
    done_tests,
    ground_in_words,
    ground_spans,
    hidden_odds,
    painted_edges,
    trenches_of,
)
from hardpan.exchange.drawing.ink import CLAY, MAP_STRONG, PAPER, Sheet, Type, n
from hardpan.exchange.drawing.map_row import MapRow
from hardpan.exchange.drawing.placement import Box, Field
from hardpan.exchange.drawing.street_frame import Drawn, Label, steps
from hardpan.exchange.drawing.street_rows import Span, rectangles, zone_plates
from hardpan.plan import Plan
from hardpan.street.bays import trench_walls
from hardpan.street.street import Structure

WORD_SIZES = (Type(26, 900), Type(20, 700), MAP_STRONG)
LEAST_STRETCH = 3.0  # metres: a shorter stretch has its hatch and no word


def draw_ground_map(
    plan: Plan, *, spans: Sequence[Span] | None = None, strip_height: float = 44.0, legend: bool = True
) -> Drawn:
    """Strip map of the ground.

    Parameters
    ----------
    plan
        The plan.
    spans
        Only these rows, as ``ground_spans`` gives them; None for the whole street.
    strip_height
        Of one strip; at least 30 units of 0.169 mm of paper.
    legend
        Whether the legend stands below.
    """
    rows = spans or ground_spans(plan)
    words = ground_in_words(plan, rows, plan.ground.bays.strips)
    sheet = Sheet(WIDTH, f"Ground map, {plan.street.name}", words)
    labels: list[tuple[str, Box]] = []
    also: list[str] = []
    top = -BETWEEN
    for span in rows:
        row = GroundRow(
            plan=plan,
            sheet=sheet,
            span=span,
            top=top + BETWEEN,
            right_margin=RIGHT_MARGIN,
            strip_height=max(strip_height, 30.0),
        )
        top = row.draw(also_below=True)
        labels += row.labels
        also += row.sentences()
    if legend:
        top = draw_legend(sheet, map_legend(hidden_odds(plan)), top + BETWEEN, labels)
    return Drawn(sheet.text(top), WIDTH, top, tuple(labels), words, tuple(also))


@dataclass(kw_only=True)
class GroundRow(MapRow):
    """One row of the ground map."""

    def ground(self) -> None:
        """Hatch of every stretch of alike bays, and the painted edges of the instructions."""
        self.stretches = alike(self.plan, self.span)
        for stretch in self.stretches:
            for box in self._boxes(stretch):
                ground_marks.ground_hatch(self.sheet, box, stretch.word, read=stretch.read)
        for strip in self.street.strips:
            for trench in trenches_of(self.plan, strip.number, self.span):
                box = Box(self.x(trench.span.start), self.y(strip.left), self.x(trench.span.end), self.y(strip.right))
                ground_marks.ground_hatch(self.sheet, box, trench.word, read=True)
            for station in painted_edges(self.plan, strip.number, self.span):
                x = self.x(station)
                self.sheet.line(x, self.y(strip.left), x, self.y(strip.right), weight=3.5, colour=CLAY)

    def _boxes(self, stretch: Alike) -> list[Box]:
        """Boxes of a stretch, strips side by side as one, the largest first."""
        strips = self.street.strips
        boxes = [
            Box(self.x(start), self.y(strips[first - 1].left), self.x(end), self.y(strips[last - 1].right))
            for start, end, first, last in rectangles(stretch.parts)
        ]
        return sorted(boxes, key=lambda box: (-(box.right - box.left) * (box.bottom - box.top), box.top, box.left))

    def inside(self, room: Field) -> None:
        """Marks first, for they cannot move; then tests asked for, rates, words from the softest on, the labels of marks, and words beside their place."""
        wanted: list[Label] = []
        self.structures(room, wanted)
        self._tested(room, wanted)
        self._asked(room)
        self._rates(room)
        softest = sorted(self.stretches, key=lambda one: -NAMES.index(one.word))
        left = [stretch for stretch in softest if not self._word(room, stretch)]
        for label in wanted:
            self.put(room, label)
        for stretch in left:
            self._word_aside(room, stretch)

    def said_of(self, one: Structure) -> str:
        """Softest word of a trench line."""
        here = [trench for strip in one.strips for trench in trenches_of(self.plan, strip, self.span)]
        start, end = trench_walls(one.start, one.end)
        words = [trench.word for trench in here if trench.span.cuts(start, end)] if one.kind == "trench" else []
        return max(words, key=NAMES.index, default="")

    def _tested(self, room: Field, wanted: list[Label]) -> None:
        """Solid laths where tests were made."""
        for one in done_tests(self.plan, self.span):
            x, y = self.x(one.station), self.y(self.street.strips[one.strip - 1].middle) + 7
            box = ground_marks.done_lath(self.sheet, x, y)
            room.taken.append(box)
            sentence = f"{one.said}, at {self.street.stationing.show(round(one.station))}, strip {one.strip}"
            wanted.append(Label(box, tuple((line, MAP_STRONG) for line in one.lines), one.station, sentence))

    def _asked(self, room: Field) -> None:
        """Dashed laths where tests are asked for, each with its number; where it finds no room, a small one and a line under the row."""
        places = [
            (one, self.x(one.station), self.y(self.street.strips[one.strip - 1].middle))
            for one in asked_tests(self.plan, self.span)
        ]
        for one, x, y in places:
            box = place_lath(room, one.name, x, y)
            if box is None:
                room.taken.append(ground_marks.asked_lath(self.sheet, x, y + 7))
                shown = self.street.stationing.show(round(one.station))
                self.also.append((one.station, f"{one.name} asked for at {shown}, strip {one.strip}"))
            else:
                self.note(one.name, ground_marks.lath(self.sheet, box, one.name, x=x, y=y))

    def _word(self, room: Field, stretch: Alike) -> bool:
        """The word of a stretch, once, as large as it has room for, on a dotted foot; whether it found any."""
        boxes = self._boxes(stretch)
        for text, kind in product(_said(stretch), WORD_SIZES):
            found = room.put(place for box in boxes for place in steps(box, kind.width(text) + 8, kind.height + 4))
            if found is not None:
                self._write(found, text, kind)
                return True
        return False

    def _write(self, box: Box, text: str, kind: Type) -> None:
        """A word on its dotted foot."""
        written = self.sheet.write(box.left + 4, box.top + kind.above, text, kind, plate=True)
        ground_marks.foot(self.sheet, written)
        self.note(text, written)

    def _word_aside(self, room: Field, stretch: Alike) -> None:
        """The word of a stretch too small to hold it, beside it with a leader, else under the row."""
        if max(part.length for _, part in stretch.parts) < LEAST_STRETCH:
            return
        text = _said(stretch)[-1]
        x, y = self._free_point(room, stretch)
        places = list(_aside(text, x, y))
        found = room.put(box for box in places if _in_sight(room, box, x, y)) or room.put(places)
        if found is not None:
            self._write(found, text, MAP_STRONG)
            ground_marks.pointer(self.sheet, found, x, y)
            return
        parts = "; ".join(
            self.street.place(start, end, tuple(range(first, last + 1)))
            for start, end, first, last in rectangles(stretch.parts)
        )
        self.also.append((stretch.parts[0][1].start, f"{parts}: {text}"))

    def _free_point(self, room: Field, stretch: Alike) -> tuple[float, float]:
        """Middle of the first strip of a stretch that no mark covers, else of its first strip."""
        middles = [
            (self.x((part.start + part.end) / 2), self.y(self.street.strips[strip - 1].middle))
            for strip, part in stretch.parts
            if part.length >= LEAST_STRETCH
        ]
        return next(((x, y) for x, y in middles if room.free(Box(x - 3, y - 3, x + 3, y + 3))), middles[0])

    def _rates(self, room: Field) -> None:
        """Rate of every part of a zone as a small clay lath, else under the row."""
        strips = self.street.strips
        for plate in zone_plates(self.plan, self.span):
            top, bottom = self.y(strips[plate.first_strip - 1].left), self.y(strips[plate.last_strip - 1].right)
            ground = Box(self.x(plate.span.start), top, self.x(plate.span.end), bottom)
            found = room.put(steps(ground, MAP_STRONG.width(plate.rate) + 14, ground_marks.LATH_HEIGHT))
            if found is None:
                strips_here = tuple(range(plate.first_strip, plate.last_strip + 1))
                place = self.street.place(plate.span.start, plate.span.end, strips_here)
                self.also.append((plate.span.start, f"{place}: {plate.rate}"))
            else:
                self.note(plate.rate, rate_lath(self.sheet, found, plate.rate))


def place_lath(room: Field, text: str, x: float, y: float) -> Box | None:
    """Place of a lath with words: its foot on the place, above or below; else aside with a leader; None where none is free."""
    near = [ground_marks.lath_box(text, x, y, up=up) for up in (True, False)]
    half = (near[0].right - near[0].left) / 2
    aside = [
        box.moved(side * away, down)
        for away in (half + 6, half + 24, 2 * half + 30)
        for down in (-8, 8, -30, 30, -60, 60)
        for side in (1, -1)
        for box in near
    ]
    return room.put(near) or room.put(aside)


def _aside(text: str, x: float, y: float) -> Iterator[Box]:
    """Places of a word beside a place."""
    half, high = MAP_STRONG.width(text) / 2 + 4, MAP_STRONG.height + 4
    moves = product((0.0, 0.5, -0.5, 1.0, -1.0, 2.0, -2.0, 3.0, -3.0), (1.0, -1.0, 2.0, -2.0, 3.0, -3.0, 4.0, -4.0))
    for across, down in sorted(moves, key=lambda move: math.hypot(move[0] * half, move[1] * high)):
        middle, top = x + across * half, y + (down - 0.5) * high
        yield Box(middle - half, top, middle + half, top + high)


def _in_sight(room: Field, box: Box, x: float, y: float) -> bool:
    """Whether a straight leader from a box to a place crosses nothing."""
    left, top = (box.left + box.right) / 2, (box.top + box.bottom) / 2
    points = [(left + (x - left) * i / 12, top + (y - top) * i / 12) for i in range(13)]
    return all(room.free(Box(a, b, a, b)) for a, b in points)


def _said(stretch: Alike) -> tuple[str, ...]:
    """Word of a stretch, and what is left of it where there is little room: broken lines say that nothing was read."""
    return (stretch.word,) if stretch.read else (f"{stretch.word}, not read", stretch.word)


def rate_lath(sheet: Sheet, box: Box, text: str) -> Box:
    """Clay lath with a rate; gives the box of the words."""
    middle, shoulder = (box.left + box.right) / 2, box.bottom - 6
    d = f"M{n(box.left)} {n(box.top)} H{n(box.right)} V{n(shoulder)} H{n(middle + 7)} L{n(middle)} {n(box.bottom)} L{n(middle - 7)} {n(shoulder)} H{n(box.left)} Z"
    sheet.path(d, weight=1.8, colour=CLAY, fill=PAPER)
    return sheet.write(middle, box.top + 1 + MAP_STRONG.above, text, MAP_STRONG, colour=CLAY, anchor="middle")
