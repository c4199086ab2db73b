"""The ground along the street, strip by strip: how strong it is, how sure that is, what was read, tested, asked for and hidden.

Firm ground stands high and soft ground low, as a rut goes down: words and millimetres on the left, bearing ratios on the right. Every line
is dotted, for every figure here rests on a default; what was read or measured has marks of its own.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby

from hardpan.exchange.drawing import ground_marks, marks
from hardpan.exchange.drawing.ground_legend import along_legend, draw_legend
from hardpan.exchange.drawing.ground_map import place_lath, rate_lath
from hardpan.exchange.drawing.ground_rows import (
    BETWEEN,
    BOUNDS_MM,
    NAMES,
    RIGHT_MARGIN,
    WIDTH,
    Bay,
    Trench,
    asked_tests,
    bays_of,
    bearing_ratio,
    done_tests,
    ground_in_words,
    ground_spans,
    hidden_of,
    painted_edges,
    trenches_of,
)
from hardpan.exchange.drawing.ink import CLAY, INK, LOAM, MAP, MAP_PLAIN, MAP_STRONG, RULE, Sheet, n
from hardpan.exchange.drawing.placement import Box, Field
from hardpan.exchange.drawing.street_frame import DRIVE, TAPE, TIER, Drawn, Label, StreetRow, steps, tiers
from hardpan.exchange.drawing.street_rows import Span, zone_plates
from hardpan.plan import Plan
from hardpan.plan.bogging import Boggy
from hardpan.street.words import say_odds

FIRMEST, SOFTEST = 20.0, 0.6  # bearing ratios [%] at the upper and the lower edge of a panel
TICKS = (20.0, 10.0, 5.0, 2.0, 1.0)
PANEL = 116.0  # height: so much that 15 and 30 mm stand a line of text apart
APART = 6.0
HEADS = 24.0  # between tape and first panel
NARROW = 16.0  # units: a trench narrower than this has a bar, not a band


def draw_ground_along(
    plan: Plan, *, spans: Sequence[Span] | None = None, strips: Sequence[int] | None = None, legend: bool = True
) -> Drawn:
    """Ground of a street along its stations, one panel a strip.

    Parameters
    ----------
    plan
        The plan.
    spans
        Only these rows, as ``ground_spans`` gives them; None for the whole street.
    strips
        Only these strips; None for all.
    legend
        Whether the legend stands below.
    """
    rows, numbers = spans or ground_spans(plan), tuple(strips or plan.ground.bays.strips)
    words = ground_in_words(plan, rows, numbers)
    sheet = Sheet(WIDTH, f"Ground along {plan.street.name}", words)
    labels: list[tuple[str, Box]] = []
    also: list[str] = []
    top = -BETWEEN
    for span in rows:
        row = _AlongRow(plan=plan, sheet=sheet, span=span, top=top + BETWEEN, right_margin=RIGHT_MARGIN, strips=numbers)
        top = row.draw()
        labels += row.labels
        also += row.sentences()
    if legend:
        top = draw_legend(sheet, along_legend(), top + BETWEEN, labels)
    return Drawn(sheet.text(top), WIDTH, top, tuple(labels), words, tuple(also))


@dataclass(kw_only=True)
class _AlongRow(StreetRow):
    """One row: tape, landmarks, and a panel a strip."""

    strips: tuple[int, ...]

    def draw(self) -> float:
        """Draw the row; gives its lower end."""
        left_tags, right_tags = self.tags("left"), self.tags("right")
        tape_top = self.top + TIER * tiers(left_tags)
        self.edge_top = tape_top + TAPE + HEADS
        self.tape(tape_top)
        self._heads(tape_top + TAPE + HEADS / 2)
        top = self.edge_top
        for strip in self.strips:
            _Panel(self, strip, top).draw()
            top += DRIVE + PANEL + APART
        self.draw_tags(left_tags, tape_top, above=True)
        self.draw_tags(right_tags, top - APART, above=False)
        return self.write_also(top - APART + 4 + TIER * tiers(right_tags))

    def _heads(self, y: float) -> None:
        """What the two scales count."""
        self.lane_name(y, "rut, mm")
        x, text = self.right + 10, "CBR"
        self.note(text, self.sheet.write(x, y + MAP_PLAIN.above / 2 - 1, text, MAP_PLAIN, colour=LOAM))


class _Panel:
    """One strip of one row: the slow drive's lane over a plot of strength."""

    def __init__(self, row: _AlongRow, strip: int, top: float) -> None:
        self.row, self.strip, self.plan = row, strip, row.plan
        self.sheet, self.span, self.x = row.sheet, row.span, row.x
        self.top = top
        self.plot = Box(row.left, top + DRIVE, row.right, top + DRIVE + PANEL)
        self.bays = bays_of(row.plan, strip, row.span)
        self.trenches = trenches_of(row.plan, strip, row.span)
        self.wanted: list[Label] = []

    def y(self, cbr: float) -> float:
        """Height of a bearing ratio; firmer or softer ground than the panel holds stands on its edge."""
        share = math.log(FIRMEST / min(max(cbr, SOFTEST), FIRMEST)) / math.log(FIRMEST / SOFTEST)
        return self.plot.top + share * PANEL

    def draw(self) -> None:
        """Ground first, then marks that cannot move, then what finds a place."""
        self.row.lane_name(self.top + DRIVE / 2 + 1, f"strip {self.strip}", MAP_STRONG, INK)
        self.row.drive_lane(self.strip, self.top, millimetres=True)
        self._scales()
        self._bands()
        self._edges()
        self._frame()
        plot = self.plot
        room = Field(Box(plot.left + 3, plot.top + 2, plot.right - 3, plot.bottom - 2))
        room.faint += [
            Box(self.x(bay.span.start), self.y(bay.high), self.x(bay.span.end), self.y(bay.low)) for bay in self.bays
        ]
        self._trenches(room)
        self._tested(room)
        self._bogs(room)
        self._asked(room)
        self._hidden(room)
        for label in self.wanted:
            self.row.put(room, label)
        self._rates(room)

    # --- scales, band, edges ------------------------------------------------------------------------------------------

    def _scales(self) -> None:
        """Words with the ruts that part them on the left, bearing ratios on the right."""
        row, plot = self.row, self.plot
        bounds = [self.y(bearing_ratio(self.plan.ground, bound)) for bound in BOUNDS_MM]
        for bound, y in zip(BOUNDS_MM, bounds, strict=True):
            self.sheet.line(plot.left, y, plot.right, y, weight=1.4, colour=RULE)
            self.sheet.line(plot.left - 5, y, plot.left, y, weight=1.2)
            self._write(plot.left - 8, y, f"{bound:g}", anchor="end")
        ends = [plot.top, *bounds, plot.bottom]
        for word, above, below in zip(NAMES, ends, ends[1:], strict=False):
            self._write(plot.left - 32, (above + below) / 2, word, anchor="end")
        for tick in TICKS:
            self.sheet.line(plot.right, self.y(tick), plot.right + 5, self.y(tick), weight=1.2)
            self._write(row.right + 9, self.y(tick), f"{tick:g}", anchor="start")

    def _write(self, x: float, y: float, text: str, *, anchor: str) -> None:
        """A word or a figure of a scale."""
        box = self.sheet.write(x, y + MAP.above / 2 - 1, text, MAP, anchor=anchor)
        self.row.note(text, box)

    def _bands(self) -> None:
        """Band and dotted middle of every run of bays; a narrow trench breaks it."""
        narrow = [trench.span for trench in self.trenches if self._is_narrow(trench)]

        def broken(bay: Bay) -> bool:
            return bay.trench and any(span.holds((bay.span.start + bay.span.end) / 2) for span in narrow)

        for apart, run in groupby(self.bays, key=broken):
            if not apart:
                self._band(list(run))

    def _band(self, bays: Sequence[Bay]) -> None:
        """Band of one run of bays."""
        ends = [(self.x(bay.span.start), self.x(bay.span.end)) for bay in bays]
        upper, lower = [self.y(bay.high) for bay in bays], [self.y(bay.low) for bay in bays]
        there = " ".join(f"L{n(a)} {n(y)} H{n(b)}" for (a, b), y in zip(ends, upper, strict=True))
        back = " ".join(f"L{n(b)} {n(y)} H{n(a)}" for (a, b), y in reversed(list(zip(ends, lower, strict=True))))
        ground_marks.band(self.sheet, f"M{there[1:]} {back} Z")
        for heights in (upper, lower):
            self.sheet.path(_stairs(ends, heights, self.plot), weight=1.0, colour=LOAM, under=True)
        middles = " ".join(f"M{n(a)} {n(self.y(bay.middle))} H{n(b)}" for (a, b), bay in zip(ends, bays, strict=True))
        self.sheet.path(middles, weight=3.2, dash="3 4", under=True)

    def _is_narrow(self, trench: Trench) -> bool:
        """Whether a trench line is too narrow for a band."""
        return trench.span.length * self.row.scale < NARROW

    def _edges(self) -> None:
        """Painted edges of the instructions."""
        for station in painted_edges(self.plan, self.strip, self.span):
            x = self.x(station)
            self.sheet.line(x, self.plot.top, x, self.plot.bottom, weight=3.5, colour=CLAY)

    def _frame(self) -> None:
        """Frame of the panel."""
        plot = self.plot
        for y, weight in ((self.top, 1.6), (plot.top, 1.0), (plot.bottom, 1.6)):
            self.sheet.line(plot.left, y, plot.right, y, weight=weight)
        for x in (plot.left, plot.right):
            self.sheet.line(x, self.top, x, plot.bottom, weight=1.4)

    # --- marks --------------------------------------------------------------------------------------------------------

    def _trenches(self, room: Field) -> None:
        """A bar and a ladder for a narrow trench; walls and a ladder along the foot for a wide one."""
        for trench in self.trenches:
            bay, left, right = trench.softest, self.x(trench.span.start), self.x(trench.span.end)
            foot = self.plot.bottom
            if self._is_narrow(trench):
                x = (left + right) / 2
                bar = ground_marks.trench_bar(self.sheet, x, high=self.y(bay.high), middle=self.y(bay.middle), low=self.y(bay.low))  # fmt: skip
                ladder = marks.trench(self.sheet, Box(left, self.plot.top, right, self.plot.top + 14))
                box = bar
                room.taken += [bar, ladder]
            else:
                box = marks.trench(self.sheet, Box(left, foot - 8, right, foot))
                room.taken.append(box)
            hidden = f", {trench.hidden} hide soft ground" if trench.hidden else ""
            text = f"trench, CBR about {bay.middle:.2g}{hidden}"
            place = self.row.street.place(trench.span.start, trench.span.end, (self.strip,))
            self.wanted.append(Label(box, ((text, MAP),), trench.span.start, f"{place}: {text}"))

    def _tested(self, room: Field) -> None:
        """Solid laths at what tests found; a second one where soft ground lies under a skin."""
        for one in done_tests(self.plan, self.span):
            if one.strip != self.strip:
                continue
            x = self.x(one.station)
            box = ground_marks.done_lath(self.sheet, x, self._foot(one.cbr))
            room.taken.append(box)
            if one.under is not None:
                room.taken.append(ground_marks.done_lath(self.sheet, x, self._foot(one.under)))
            sentence = f"{one.said}, at {self.row.street.stationing.show(round(one.station))}, strip {one.strip}"
            self.wanted.insert(0, Label(box, tuple((line, MAP_STRONG) for line in one.lines), one.station, sentence))

    def _foot(self, cbr: float) -> float:
        """Height of a lath's foot, the whole lath inside the panel."""
        return max(self.y(cbr), self.plot.top + 16)

    def _asked(self, room: Field) -> None:
        """Dashed laths where tests are asked for, each with its number and its foot on the middle of the ground there."""
        for one in asked_tests(self.plan, self.span):
            if one.strip != self.strip:
                continue
            x, y = self.x(one.station), self.y(one.middle)
            box = place_lath(room, one.name, x, y)
            if box is None:
                room.taken.append(ground_marks.asked_lath(self.sheet, x, self._foot(one.middle)))
                shown = self.row.street.stationing.show(round(one.station))
                self.row.also.append((one.station, f"{one.name} asked for at {shown}, strip {one.strip}"))
            else:
                self.row.note(one.name, ground_marks.lath(self.sheet, box, one.name, x=x, y=y))

    def _bogs(self, room: Field) -> None:
        """Where a loaded truck may bog, on the foot of the panel; its words on the first of the strips that share them."""
        above = self._boggy(self.strip - 1) if self.strip - 1 in self.row.strips else []
        for inside, text in self._boggy(self.strip):
            left, right, y = self.x(inside.start), self.x(inside.end), self.plot.bottom - 10
            room.taken.append(ground_marks.bogs(self.sheet, left, right, y))
            if (inside, text) in above:
                continue
            line = next(_in_line(text, left + 12, right - 12, y), None)
            if line is not None:
                self.row.note(text, self.sheet.write(line.left, line.top + MAP.above, text, MAP, plate=True))
                room.taken.append(line)
                continue
            place = self.row.street.place(inside.start, inside.end, (self.strip,))
            self.wanted.append(Label(room.taken[-1], ((text, MAP),), inside.start, f"{place}: {text}"))

    def _boggy(self, strip: int) -> list[tuple[Span, str]]:
        """Boggy stretches of a strip inside the row, in words."""
        here = [
            (self.span.cuts(one.start_m, one.end_m), _bog_words(one))
            for one in self.plan.ground.bogging.stretches
            if one.strip == strip
        ]
        return [(inside, text) for inside, text in here if inside is not None]

    def _hidden(self, room: Field) -> None:
        """Where soft ground may lie under a skin: a line where it would stand, its words on the first of the strips that share the stretch."""
        shared = hidden_of(self.plan, self.strip - 1, self.span) if self.strip - 1 in self.row.strips else []
        for one in hidden_of(self.plan, self.strip, self.span):
            left, right, y = self.x(one.span.start), self.x(one.span.end), self.y(one.cbr)
            whole = f"{one.odds} hide soft ground under a skin"
            texts = () if one in shared else (whole, f"{one.odds} hide soft ground", f"{one.odds} hide soft", one.odds)
            places = ((text, room.put(_in_line(text, left, right, y))) for text in texts)
            text, box = next((found for found in places if found[1] is not None), ("", None))
            gap = (box.left - 2, box.right + 2) if box else ((left + right) / 2,) * 2
            ground_marks.hidden(self.sheet, left, right, y, gap=gap)
            room.taken.append(Box(left, y - 2, right, y + 2))
            if box is not None:
                self.row.note(text, self.sheet.write(box.left, box.top + MAP.above, text, MAP, plate=True))
            elif texts:
                place = self.row.street.place(one.span.start, one.span.end, (self.strip,))
                self.row.also.append((one.span.start, f"{place}: {whole}"))

    def _rates(self, room: Field) -> None:
        """Rate of every part of a zone, in the first of its strips that is drawn."""
        shown = self.row.strips
        for plate in zone_plates(self.plan, self.span):
            here = [strip for strip in shown if plate.first_strip <= strip <= plate.last_strip]
            if not here or here[0] != self.strip:
                continue
            ground = Box(self.x(plate.span.start), self.plot.top, self.x(plate.span.end), self.plot.bottom)
            found = room.put(steps(ground, MAP_STRONG.width(plate.rate) + 14, ground_marks.LATH_HEIGHT, levels=21))
            if found is None:
                place = self.row.street.place(plate.span.start, plate.span.end, tuple(here))
                self.row.also.append((plate.span.start, f"{place}: {plate.rate}"))
            else:
                self.row.note(plate.rate, rate_lath(self.sheet, found, plate.rate))


def _bog_words(one: Boggy) -> str:
    """How often a loaded truck bogs, full and half full."""
    return f"a loaded truck bogs {say_odds(one.full)}, half full {say_odds(one.half)}"


def _in_line(text: str, left: float, right: float, y: float) -> Iterator[Box]:
    """Places of words in a line, from its middle outwards."""
    wide, high = MAP.width(text), MAP.height
    spare = right - left - wide - 16
    if spare < 0:
        return
    for i in range(int(spare / 2 // 12) + 1):
        for side in (1, -1) if i else (1,):
            start = left + 8 + spare / 2 + side * 12 * i
            yield Box(start, y - high / 2, start + wide, y + high / 2)


def _stairs(ends: Sequence[tuple[float, float]], heights: Sequence[float], plot: Box) -> str:
    """Hairline over stairs, left open where the ground leaves the panel."""
    path, open_at = [], True
    for (start, end), y in zip(ends, heights, strict=True):
        if not plot.top + 0.01 < y < plot.bottom - 0.01:
            open_at = True
            continue
        path.append(f"{'M' if open_at else 'L'}{n(start)} {n(y)} H{n(end)}")
        open_at = False
    return " ".join(path)
