"""Time and distance of the planned shift: station across, time down, one slanted line a run along the street.

Each machine has a line of its own. Clocks stand beside, with their limit as a fence where one is written. Every word is placed here before
anything is drawn, so that none stands on another; Altair draws what has been placed.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from hardpan.exchange.drawing.ink import (
    CLAY,
    INK,
    LOAM,
    PAPER,
    RULE,
    STOP,
    TINT,
    WATER,
    Type,
    n,
)  # fmt: skip
from hardpan.exchange.drawing.lettering import shorten
from hardpan.exchange.drawing.placed_chart import PlacedChart, Stroke
from hardpan.exchange.drawing.placement import Box, Field, spread_out
from hardpan.exchange.drawing.run_lines import RunWord, run_kind, run_words, trips
from hardpan.exchange.drawing.strip_map import Drawn
from hardpan.exchange.figures_in_words import clock, hours, number
from hardpan.exchange.spreading import drive_block
from hardpan.plan import Plan
from hardpan.plan.blocks import Block
from hardpan.plan.cement import Load
from hardpan.plan.shift import Clock, Run
from hardpan.street.places import say_strips
from hardpan.street.units import factor

WIDTH = 1122.0  # units: 190 mm of paper, 0.169 mm each
LEFT, RIGHT, GUTTER, CLOCKS = 62.0, 752.0, 766.0, 914.0  # the drawing proper, the loads beside it, the clocks
TAPE_TOP, TAPE_FOOT, TOP = 60.0, 77.0, 84.0
A_HOUR, TALLEST, LEAST_HOUR = 74.0, 760.0, 34.0  # units an hour where there is room, of all hours, and never less
HOUR, AFTER = 60.0, 30.0  # minutes an hour, and those drawn after the last thing
COLUMN, BAR = 50.0, 22.0  # of a clock
MOST_LIMITS = 2  # told over the clocks; all are in the table
PLAIN, WORD, STRONG, HEAD, SMALL = Type(15, 400), Type(15, 600), Type(15, 700), Type(18, 700), Type(13, 600)
TAPE_STEPS = (5, 10, 20, 40, 50, 100, 200, 400, 500, 1000)


LINES = {
    "spreader": Stroke(3.4, (0.1, 6.5), cap="round"),
    "mixer, dry": Stroke(1.8),
    "mixer, wet": Stroke(3.6, colour=WATER),
    "padfoot": Stroke(4.2, (6, 4.5)),
    "grader": Stroke(2.0, (17, 6)),
    "smooth drum": Stroke(5.0, inner=2.4),
}
HAIR, EDGE, TICK, DOTTED = Stroke(1.0, colour=RULE), Stroke(1.7), Stroke(1.2), Stroke(1.5, (2, 3.5))
PLANNED = {colour: Stroke(2.0, (5, 4), colour) for colour in (INK, WATER)}
FENCE, FORBIDDEN = Stroke(4.5, colour=STOP), Stroke(1.3, colour=STOP)
CLAY_EDGE = Stroke(2.0, colour=CLAY)


def draw_time_distance(plan: Plan, day: int, *, tallest: float = TALLEST) -> Drawn:
    """Drawing of one day's runs and clocks.

    Parameters
    ----------
    plan
        The plan.
    day
        Day of the work, from 1.
    tallest
        Units down for all hours of the day; more where an hour would be too short to write in.

    Returns
    -------
    Drawn
        SVG, size, the boxes of its words, and what it shows in words.
    """
    page = _Page(plan, day, tallest)
    for part in (
        page.ground, page.hours, page.tape, page.joints, page.runs, page.loads, page.zones, page.marks, page.words, page.clocks, page.legend,
    ):  # fmt: skip
        part()
    return Drawn(
        page.canvas.svg(WIDTH, page.height), WIDTH, page.height, tuple(page.canvas.labels), describe_day(plan, day)
    )


def describe_day(plan: Plan, day: int) -> str:
    """A day's runs and clocks in words, block by block."""
    show = plan.street.stationing.show
    told = [f"Time and distance of day {day} as planned: station across, time down, one slanted line a run."]
    for block in (block for block in plan.shift.blocks if block.day == day):
        runs = ", ".join(
            f"{run.machine} {run.work} {clock(run.start.value)} to {clock(run.end.value)}"
            for run in plan.shift.runs
            if run.block == block.number
        )
        told.append(f"Block {block.number}, {show(block.start_m)} to {show(block.end_m)}: {runs}.")
    told += [
        f"Block {each.block}: {hours(each.elapsed.value)} from {each.starts_with} to {each.stops_with}, {_limit_end(each)}."
        for each in _shown_clocks(plan, day)
    ]
    told += [
        f"Fill {out.fill} runs out at {show(out.station.value)}, strip {out.strip}."
        for out in plan.supply.cement.run_outs
        if out.day == day
    ]
    return " ".join(told)


def _limit_end(each: Clock) -> str:
    """When a clock's limit is reached."""
    return f"limit at {clock(each.start.value + each.limit.value)}" if each.limit else "no limit is written"


def _shown_clocks(plan: Plan, day: int) -> list[Clock]:
    """Clocks that are drawn: the written ones; where none is written those from first mix and from water."""
    numbers = {block.number for block in plan.shift.blocks if block.day == day}
    written = bool(plan.street.file.limits.clock)
    return [
        each
        for each in plan.shift.clocks
        if each.block in numbers and (each.limit is not None if written else each.starts_with != "cement on the ground")
    ]


class _Page:
    """One day on the sheet."""

    def __init__(self, plan: Plan, day: int, tallest: float) -> None:
        self.plan, self.day, self.canvas = plan, day, PlacedChart()
        self.blocks = [block for block in plan.shift.blocks if block.day == day]
        self.drives = {block.number: drive_block(plan, block) for block in self.blocks}
        self.day_runs = [run for run in plan.shift.runs if run.day == day]
        self.day_clocks = _shown_clocks(plan, day)
        self.day_loads = [load for load in plan.supply.cement.loads if load.day == day]
        self.first, self.last = self._span()
        count = (self.last - self.first) / HOUR
        self.a_hour = max(LEAST_HOUR, min(A_HOUR, tallest / count))
        self.foot = float(round(TOP + count * self.a_hour))
        self.height = self.foot + 78
        self.start, self.end = self.blocks[0].start_m, self.blocks[-1].end_m
        self.field = Field(Box(LEFT, TOP, RIGHT, self.foot), gap=3.0)

    def _span(self) -> tuple[float, float]:
        """First whole hour of the day and its end, in minutes after midnight, loads and limits included."""
        fences = [each.start.value + each.limit.value for each in self.day_clocks if each.limit]
        early = min([run.start.value for run in self.day_runs] + [load.time_min for load in self.day_loads])
        late = max([run.end.value for run in self.day_runs] + [load.time_min for load in self.day_loads] + fences)
        return HOUR * (early // HOUR), late + AFTER

    def x(self, station: float) -> float:
        """Place across of a station."""
        return LEFT + (station - self.start) / (self.end - self.start) * (RIGHT - LEFT)

    def y(self, minute: float) -> float:
        """Place down of a minute."""
        return TOP + (minute - self.first) / HOUR * self.a_hour

    # what stands still

    def ground(self) -> None:
        """Stretches of a heavier rate than the street's lightest, as light ground."""
        for start, end, _ in self._heavy():
            self.canvas.grounds.append((Box(self.x(start), TOP, self.x(end), self.foot), TINT))

    def _heavy(self) -> list[tuple[float, float, str]]:
        """Stretches of heavier rates inside the day's blocks, with what their tag says."""
        least = min(zone.rate.value for zone in self.plan.zones)
        found: dict[tuple[float, float, str], list[int]] = {}
        for zone in (zone for zone in self.plan.zones if zone.rate.value > least):
            for piece in zone.pieces:
                start, end = max(piece.start_m, self.start), min(piece.end_m, self.end)
                if end > start:
                    found.setdefault((start, end, f"{zone.name} \u00b7 {zone.rate.value:.3g} kg/m\u00b2"), []).append(
                        piece.strip
                    )
        count = len(self.plan.street.strips)
        return [
            (start, end, what + ("" if len(strips) == count else f", {say_strips(tuple(sorted(strips)), count)}"))
            for (start, end, what), strips in sorted(found.items())
        ]

    def hours(self) -> None:
        """A hairline an hour."""
        for i in range(int((self.last - self.first) // HOUR) + 1):
            minute = self.first + HOUR * i
            self.canvas.line(HAIR, (LEFT, self.y(minute)), (CLOCKS + 4 * COLUMN, self.y(minute)))
            self.canvas.write(clock(minute), STRONG, LEFT - 8, self.y(minute), anchor="end")

    def tape(self) -> None:
        """The stations as a tape, a figure at every step that leaves room for it."""
        canvas, show, unit = (
            self.canvas,
            self.plan.street.stationing.show,
            factor(self.plan.street.stationing.unit, "m"),
        )
        canvas.line(EDGE, (LEFT, TAPE_TOP), (RIGHT, TAPE_TOP), (RIGHT, TAPE_FOOT), (LEFT, TAPE_FOOT), (LEFT, TAPE_TOP))
        wide = max(SMALL.width(show(self.start)), SMALL.width(show(self.end))) + 14
        a_metre = (RIGHT - LEFT) / (self.end - self.start)
        step = next((step for step in TAPE_STEPS if step * unit * a_metre >= wide), TAPE_STEPS[-1]) * unit
        first = -(-self.start // step) * step
        places = [first + i * step for i in range(int((self.end - first) // step) + 1)]
        for place in places:
            canvas.line(TICK, (self.x(place), TAPE_TOP), (self.x(place), TAPE_FOOT))
            if self.x(place) + wide < RIGHT - wide:
                canvas.write(show(place), SMALL, self.x(place) + 4, (TAPE_TOP + TAPE_FOOT) / 2)
        canvas.write(show(self.end), SMALL, RIGHT - 4, (TAPE_TOP + TAPE_FOOT) / 2, anchor="end")
        if not places or self.x(places[0]) - LEFT > wide:
            canvas.write(show(self.start), SMALL, LEFT + 4, (TAPE_TOP + TAPE_FOOT) / 2)
        canvas.write("station", PLAIN, LEFT, TAPE_TOP - 14, colour=LOAM)

    def joints(self) -> None:
        """Block joints, and the blocks by name where there is room, else by number."""
        for place in [*(block.start_m for block in self.blocks), self.end]:
            self.canvas.line(EDGE, (self.x(place), TOP), (self.x(place), self.foot))
        for block in self.blocks:
            room = self.x(block.end_m) - self.x(block.start_m) - 4
            names = [name for name in (f"block {block.number}", str(block.number)) if WORD.width(name) <= room]
            if names:
                middle = (self.x(block.start_m) + self.x(block.end_m)) / 2
                self.canvas.write(names[0], STRONG, middle, self.foot + 16, anchor="middle")

    # what moves

    def runs(self) -> None:
        """Slanted lines of every run, spreading last in the drawing's order of machines."""
        for kind, stroke in LINES.items():
            for block in self.blocks:
                for run in (run for run in self.day_runs if run.block == block.number and run_kind(run) == kind):
                    for points in trips(self.plan, block, run, self.drives[block.number]):
                        self.canvas.line(stroke, *((self.x(station), self.y(minute)) for station, minute in points))

    def zones(self) -> None:
        """A tag for every stretch of a heavier rate, where it finds room in the stretch."""
        self.field.faint = [
            self._run_box(block, run) for block in self.blocks for run in self.day_runs if run.block == block.number
        ]
        for start, end, what in self._heavy():
            wide, high = STRONG.width(what) + 16, 24.0
            middles = [(self.x(start) + self.x(end)) / 2, *(self.x(start) + wide / 2 + 2 + 20 * i for i in range(40))]
            tops = [TOP + 4 + 9 * i for i in range(int((self.foot - TOP) / 9))]
            inside = [
                middle for middle in middles if self.x(start) - wide < middle - wide / 2 and middle + wide / 2 < RIGHT
            ]
            box = self.field.put(Box(m - wide / 2, top, m + wide / 2, top + high) for top in tops for m in inside[:8])
            if box is not None:
                middle = (box.left + box.right) / 2
                self.canvas.shape(_tag_down(wide, high), middle, box.top, edge=CLAY_EDGE)
                self.canvas.write(what, STRONG, middle, box.top + 9.5, anchor="middle", colour=CLAY)

        self.field.faint = []

    def _run_box(self, block: Block, run: Run) -> Box:
        """Ground that a run's lines cross."""
        return Box(self.x(block.start_m), self.y(run.start.value), self.x(block.end_m), self.y(run.end.value))

    def marks(self) -> None:
        """Hollow crosses where fills are predicted to run out, drops where water trucks are."""
        show, unit = self.plan.street.stationing.show, factor(self.plan.street.stationing.unit, "m")
        outs = {out.fill: out for out in self.plan.supply.cement.run_outs}
        for drive in self.drives.values():
            for fill, minute in drive.run_outs.items():
                x, y = self.x(outs[fill].station.value), self.y(minute)
                for edge in (Stroke(7.5), Stroke(3.8, colour=PAPER)):
                    self.canvas.shape("M-8,-8L8,8M8,-8L-8,8", x, y, edge=edge, fill="none")
                self._beside(
                    (x, y),
                    13,
                    [f"runs out {show(round(outs[fill].station.value / unit) * unit)}", "runs out", ""],
                    kind=STRONG,
                    colour=INK,
                )
        for empty in (each for each in self.plan.supply.water.empties if each.day == self.day):
            block = next(block for block in self.blocks if block.number == empty.block)
            x, y = self.x(empty.station.value), self.y(self._minute_of(block, empty.cut, empty.station.value))
            self.canvas.shape(DROP, x, y, edge=Stroke(2.2, colour=WATER))
            self.canvas.shape("M-6,8L7,-4", x, y, edge=Stroke(2.0, colour=WATER), fill="none")
            self._beside(
                (x, y), 14, [f"truck {empty.truck} empty", f"truck {empty.truck}", ""], kind=WORD, colour=WATER
            )

    def _minute_of(self, block: Block, cut: int, station: float) -> float:
        """Minute at which the wet pass comes to a place on a cut, on the line that is drawn for it."""
        run = next(run for run in self.day_runs if run.block == block.number and run.work == "wet mix")
        (a, start), (b, end) = list(trips(self.plan, block, run, self.drives[block.number]))[cut - 1]
        return start + (station - a) / (b - a) * (end - start)

    def _beside(self, at: tuple[float, float], arm: float, texts: Sequence[str], *, kind: Type, colour: str) -> None:
        """A mark's own ground, and its words at its right, left, below or above."""
        x, y = at
        self.field.taken.append(Box(x - arm, y - arm, x + arm, y + arm))
        for text in texts:
            wide, half = kind.width(text), kind.height / 2
            places = [(x + arm + 4 + wide / 2, y), (x - arm - 4 - wide / 2, y)]
            places += [(x + shift * wide / 2, y + side * (arm + 4 + half)) for side in (1, -1) for shift in (0, 1, -1)]
            box = text and self.field.put(Box(a - wide / 2, b - half, a + wide / 2, b + half) for a, b in places)
            if box:
                self.canvas.write(text, kind, box.left, (box.top + box.bottom) / 2, colour=colour)
                return

    def words(self) -> None:
        """A word on every run that has room for it; the legend tells the rest."""
        litres = {each.block: number(each.litres.value) for each in self.plan.supply.water.blocks}
        for block in self.blocks:
            left, right = self.x(block.start_m) + 4, self.x(block.end_m) - 4
            for word in run_words(block, self.day_runs, litres[block.number]):
                for text in word.texts:
                    box = self.field.put(self._places(text, word, left, right))
                    if box is not None:
                        self.canvas.write(text, WORD, box.left, (box.top + box.bottom) / 2, colour=word.colour)
                        break

    def _places(self, text: str, word: RunWord, left: float, right: float) -> Iterator[Box]:
        """Places for a word inside its run, the liked ones first."""
        wide, half = WORD.width(text), WORD.height / 2
        top, bottom = self.y(word.run.start.value), self.y(word.run.end.value)
        for down in (0.5, 0.35, 0.65, 0.2, 0.8):
            for across in (word.across, 0.5, 0.25, 0.75, 0.1, 0.9):
                middle, y = left + across * (right - left), top + down * (bottom - top)
                start = min(max(middle - wide / 2, left), right - wide)
                if start >= left:
                    yield Box(start, y - half, start + wide, y + half)

    # beside

    def loads(self) -> None:
        """Loads as tags at the right, pointing at the time they are due."""
        high = 40.0 if any(load.proposed for load in self.day_loads) else 26.0
        room = int((self.foot - TOP) // (high + 4.0))
        loads = self.day_loads[:room]
        wanted = [self.y(load.time_min) for load in loads]
        if len(self.day_loads) > room:
            self.canvas.write(f"and {len(self.day_loads) - room} more", PLAIN, GUTTER, self.foot + 16, colour=LOAM)
        middles = spread_out(wanted, [high] * len(loads), TOP - 20, self.foot, 4.0)
        for load, due, middle in zip(loads, wanted, middles or wanted, strict=True):
            self.canvas.line(DOTTED, (LEFT, due), (RIGHT, due), (GUTTER, middle))
            self._load(load, middle)

    def _load(self, load: Load, middle: float) -> None:
        """One load: its tag, its kilograms, whether it is only proposed."""
        name = shorten(load.ticket or str(load.number), 46, STRONG.size, STRONG.weight)
        wide = STRONG.width(name) + 10
        self.canvas.shape(_tag_left(wide, 22), GUTTER, middle, edge=Stroke(2.0, (4, 3)))
        self.canvas.write(name, STRONG, GUTTER + 13, middle)
        self.canvas.write(
            f"{number(load.cement.value)} kg", WORD, GUTTER + wide + 18, middle - (8 if load.proposed else 0)
        )
        if load.proposed:
            self.canvas.write("proposed", PLAIN, GUTTER + wide + 18, middle + 9, colour=LOAM)

    def clocks(self) -> None:
        """Planned clocks, side by side where they run together: dashed to their end, a fence at the limit where one is written."""
        canvas = self.canvas
        canvas.write("clocks", HEAD, CLOCKS, 12)
        for i, line in enumerate(self._clock_words()):
            canvas.write(shorten(line, WIDTH - CLOCKS, PLAIN.size), PLAIN, CLOCKS, 32 + 17 * i, colour=LOAM)
        ends = [TAPE_TOP] * 4
        hidden = 0
        for each in sorted(self.day_clocks, key=lambda each: each.start.value):
            top, bottom = self.y(each.start.value) - 38, self._clock_foot(each)
            column = next((i for i, end in enumerate(ends) if end <= top), None)
            if column is None:
                hidden += 1
                continue
            ends[column] = bottom
            self._clock(each, CLOCKS + COLUMN * (column + 0.5))
        if hidden:
            canvas.write(f"and {hidden} more: table", PLAIN, CLOCKS, self.foot + 16, colour=LOAM)

    def _clock_words(self) -> list[str]:
        """Written limits with their owner; that there is none."""
        limits = self.plan.street.file.limits.clock
        words = [f"{limit.start} {hours(limit.within.value)}: {limit.owner or 'owner not said'}" for limit in limits]
        if len(words) > MOST_LIMITS:
            words = [*words[: MOST_LIMITS - 1], f"and {len(words) - MOST_LIMITS + 1} more limits"]
        return words or ["no limit is written"]

    def _clock_foot(self, each: Clock) -> float:
        """Lowest ink of a clock."""
        fence = each.start.value + each.limit.value if each.limit else each.stop.value
        return max(self.y(each.stop.value), self.y(fence) + 34)

    def _clock(self, each: Clock, x: float) -> None:
        """One clock."""
        canvas, top, bottom = self.canvas, self.y(each.start.value), self.y(each.stop.value)
        colour = WATER if each.starts_with == "water" else INK
        name = {"first mix": "mix", "cement on the ground": "cement"}.get(each.starts_with, each.starts_with)
        canvas.write(str(each.block), STRONG, x, top - 27, anchor="middle", colour=colour)
        canvas.write(name, SMALL, x, top - 11, anchor="middle", colour=colour)
        left, right = x - BAR / 2, x + BAR / 2
        canvas.line(PLANNED[colour], (left, bottom), (left, top), (right, top), (right, bottom))
        if each.limit is None or bottom <= self.y(each.start.value + each.limit.value):
            canvas.line(PLANNED[colour], (left, bottom), (right, bottom))
        if STRONG.width(hours(each.elapsed.value)) < bottom - top - 4:
            canvas.write(
                hours(each.elapsed.value), STRONG, x, (top + bottom) / 2, anchor="middle", turned=True, colour=colour
            )
        if each.limit is not None:
            by = each.start.value + each.limit.value
            self._fence(x, self.y(by))
            canvas.write(clock(by), STRONG, x, self.y(by) + 22, anchor="middle", colour=STOP)

    def _fence(self, x: float, y: float) -> None:
        """Fence of a limit: a bar, hatched on the forbidden side."""
        left, right = x - 18, x + 18
        self.canvas.line(FENCE, (left, y), (right, y))
        for i in range(6):
            self.canvas.line(FORBIDDEN, (left + 6 * i, y + 10), (left + 6 * i + 6, y + 2))

    def legend(self) -> None:
        """Machines' lines and marks, in one row under a rule."""
        y, x = self.foot + 54, 4.0
        self.canvas.line(Stroke(1.0, colour=LOAM), (0, self.foot + 34), (WIDTH, self.foot + 34))
        for kind, stroke in LINES.items():
            self.canvas.line(stroke, (x, y), (x + 46, y))
            self.canvas.write(kind, WORD, x + 54, y)
            x += 54 + WORD.width(kind) + 18
        for edge in (Stroke(7.5), Stroke(3.8, colour=PAPER)):
            self.canvas.shape("M-8,-8L8,8M8,-8L-8,8", x + 10, y, edge=edge, fill="none")
        self.canvas.write("runs out", WORD, x + 26, y)
        x += 26 + WORD.width("runs out") + 18
        if any(each.limit for each in self.day_clocks):
            self._fence(x + 18, y - 3)
            self.canvas.write("limit", WORD, x + 44, y)


DROP = "M0,-12C3,-6 8,-1 8,4A8,8 0 0 1 -8,4C-8,-1 -3,-6 0,-12Z"


def _tag_down(wide: float, high: float) -> str:
    """Flat-headed tag with its foot in the middle below; its place is the middle of its head."""
    half = n(wide / 2)
    return f"M-{half},0H{half}V{n(high - 5)}L0,{n(high)}L-{half},{n(high - 5)}Z"


def _tag_left(wide: float, high: float) -> str:
    """Tag with its foot at the left; its place is its foot."""
    half, end = n(high / 2), n(wide + 10)
    return f"M0,0L9,-{half}H{end}V{half}H9Z"
