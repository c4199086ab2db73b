"""What the drawings of odds share: labels that are kept by their boxes, laths with a slanted foot, the scale of ten, the fence, the answer's box."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from unicodedata import bidirectional

from hardpan.exchange.drawing import ground_marks
from hardpan.exchange.drawing.ink import INK, LOAM, PAPER, RULE, STOP, Sheet, Type, n
from hardpan.exchange.drawing.lettering import shorten
from hardpan.exchange.drawing.placement import Box, Field
from hardpan.exchange.figures_in_words import number
from hardpan.exchange.sheets.phrases import planned_depth, setting_words, stretches
from hardpan.plan import Plan
from hardpan.plan.zones import Zone
from hardpan.street import Basis
from hardpan.street.words import say_band, say_odds

WIDTH = 1122.0  # A4 between its margins at 150 dots an inch
TITLE, UNDER = Type(26, 900), Type(18, 400)
AXIS, AXIS_PLAIN = Type(17, 600), Type(16, 400)
STRONG, PLAIN, SMALL = Type(18, 700), Type(17, 400), Type(16, 400)
BIG, LATH = Type(34, 900), Type(20, 900)
DOTTED, PLANNED = "2.5 4.5", "9 5"
LEADING = 4.0
MOST_STRETCHES = 2  # stretches of a zone that are named one by one


class LabelledSheet(Sheet):
    """A sheet that keeps the box of every label."""

    def __init__(self, title: str, about_it: str = "") -> None:
        super().__init__(WIDTH, title, about_it)
        self.labels: list[tuple[str, Box]] = []

    def write(self, x: float, baseline: float, text: str, kind: Type, *, colour: str = INK, anchor: str = "start", plate: bool = False) -> Box:  # fmt: skip
        """One line of text, its box kept."""
        box = super().write(x, baseline, text, kind, colour=colour, anchor=anchor, plate=plate)
        self.labels.append((text, box))
        return box

    def paragraph(self, x: float, top: float, texts: Iterable[str], kind: Type, *, colour: str = INK) -> float:
        """Lines of text under one another; gives their lower end."""
        for text in texts:
            self.write(x, top + kind.above, text, kind, colour=colour)
            top += kind.height + LEADING
        return top

    def head(self, title: str, under: str) -> float:
        """Title, second line where there is one, and a heavy foot; gives the lower end."""
        self.write(0, 24, title, TITLE)
        bottom = 58.0 if under else 34.0
        if under:
            self.write(0, 49, shorten(under, WIDTH, UNDER.size, UNDER.weight), UNDER, colour=LOAM)
        self.line(0, bottom + 2, WIDTH, bottom + 2, weight=4.0)
        return bottom + 4


@dataclass(frozen=True, slots=True)
class Scale:
    """Where values stand on paper, straight from one end to the other."""

    low: float
    high: float
    start: float
    end: float

    def __call__(self, value: float) -> float:
        """Place of a value; values over the ends stand on them."""
        share = (min(max(value, self.low), self.high) - self.low) / (self.high - self.low)
        return self.start + share * (self.end - self.start)


def round_steps(most: float, count: int) -> float:
    """Step of 1, 2 or 5 times a power of ten that goes into a length no more than some times."""
    rough = most / count
    power = 10.0 ** math.floor(math.log10(rough))
    return next(step * power for step in (1, 2, 5, 10) if step * power >= rough - 1e-9)


def wrap(text: str, room: float, kind: Type) -> list[str]:
    """Lines of a text, none wider than the room; a longer word is cut with an ellipsis."""
    lines: list[str] = []
    for word in text.split(" "):
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and kind.width(longer) <= room:
            lines[-1] = longer
        else:
            lines.append(shorten(word, room, kind.size, kind.weight))
    return lines


# --- words --------------------------------------------------------------------------------------------------------------


def band_words(low: float, high: float) -> str:
    """``between 5 and 9 in 10``; in the words of odds where both ends round alike."""
    if round(10 * low) != round(10 * high):
        return f"{say_band(low, high)} in 10"
    ends = dict.fromkeys((say_odds(low), say_odds(high)))
    return f"from {' to '.join(ends)}" if len(ends) > 1 else "throughout its band"


def tenths(chance: float) -> str:
    """Odds that somebody wrote: ``8.5 in 10``."""
    return f"{10 * chance:.3g} in 10"


def zone_place(plan: Plan, index: int) -> str:
    """``0+060 to 0+160, all strips``; many stretches by their count and their ends."""
    found, street = list(stretches(plan.zones[index].pieces).items()), plan.street
    if len(found) <= MOST_STRETCHES:
        return "; ".join(street.place(*stretch, strips) for stretch, strips in found)
    first, last = min(start for (start, _), _ in found), max(end for (_, end), _ in found)
    return f"{len(found)} stretches between {street.stationing.show(first)} and {street.stationing.show(last)}"


def zone_line(plan: Plan, index: int, *, street: bool = False) -> str:
    """``soft · 900 m2 · 300 mm of original ground · water FULL · worst 3 m judged · 0+060 to 0+160, all strips``; the street first where it is asked for."""
    zone = plan.zones[index]
    setting = setting_words(plan.balance[index].water_setting)
    depth = f"{planned_depth(zone)} ground"
    parts = [
        f"{number(zone.area.value)} m\u00b2",
        depth,
        f"water {setting}",
        "worst 3 m judged",
        zone_place(plan, index),
    ]
    return named([plan.street.name, zone.name] if street else [zone.name], parts)


def named(names: Sequence[str], parts: Sequence[str]) -> str:
    """Names, then parts, between dots; a name written from right to left goes last, or it would turn round the figures after it."""
    last = [name for name in names if any(bidirectional(letter) in ("R", "AL") for letter in name)]
    return " \u00b7 ".join(part for part in (*(name for name in names if name not in last), *parts, *last) if part)


def in_state(state: str) -> str:
    """``of original``, ``loose``, ``rolled``: what follows a depth."""
    return "of original" if state == "original" else state


def day_words(plan: Plan) -> str:
    """``on day 2, at 12 to 19 °C``; the temperature as a default where no forecast is given."""
    weather, day = plan.street.file.weather, plan.treatment.odds.day
    if weather.low_c is None or weather.high_c is None:
        return f"on day {day.value:g}; no forecast was given"
    return f"on day {day.value:g}, at {weather.low_c:g} to {weather.high_c:g} \u00b0C".replace("-", "\u2212")


def given_word(zone: Zone) -> str:
    """``instructed``; ``proposed`` where nobody has agreed it yet."""
    return "proposed" if zone.instruction.proposed else "instructed"


def dollars(value: float) -> str:
    """``20.85 $/m2``."""
    return f"{number(value, 2)} $/m\u00b2"


def about_dollars(value: float, *bases: Basis) -> str:
    """The same, ``about`` before what rests on a default."""
    return f"{'about ' if Basis.DEFAULT in bases else ''}{dollars(value)}"


# --- marks --------------------------------------------------------------------------------------------------------------


def lath(sheet: LabelledSheet, box: Box, foot: tuple[float, float], text: str, *, kind: Type = LATH, colour: str = INK, dash: str = "", weight: float = 2.6) -> Box:  # fmt: skip
    """Flat-headed tag in ``box`` with a pointed foot on a place under or over it; gives the box of its words."""
    x, y = foot
    down = y > box.bottom
    near, far = (box.bottom, box.top) if down else (box.top, box.bottom)
    middle = min(max(x, box.left + 8), box.right - 8)
    d = f"M{n(box.left)} {n(far)} H{n(box.right)} V{n(near)} H{n(middle + 8)} L{n(x)} {n(y)} L{n(middle - 8)} {n(near)} H{n(box.left)} Z"
    sheet.path(d, weight=weight, colour=colour, fill=PAPER, dash=dash)
    baseline = (box.top + box.bottom) / 2 + kind.size * 0.33
    return sheet.write((box.left + box.right) / 2, baseline, text, kind, colour=colour, anchor="middle")


def lath_size(text: str, kind: Type = LATH) -> tuple[float, float]:
    """Width and height of the head of a lath."""
    return kind.width(text) + 22, kind.size * 1.5


def fence(sheet: Sheet, start: tuple[float, float], end: tuple[float, float], *, side: tuple[float, float]) -> None:
    """A limit: a stop-coloured bar, hatched on its forbidden side."""
    (x1, y1), (x2, y2) = start, end
    sheet.line(x1, y1, x2, y2, weight=4.0, colour=STOP)
    count = int(math.hypot(x2 - x1, y2 - y1) // 14)
    strokes = []
    for i in range(1, count):
        x, y = x1 + (x2 - x1) * i / count, y1 + (y2 - y1) * i / count
        strokes.append(f"M{n(x)} {n(y)} L{n(x + side[0])} {n(y + side[1])}")
    sheet.path(" ".join(strokes), weight=1.2, colour=STOP, under=True)


def ten(sheet: LabelledSheet, plot: Box, y: Scale) -> None:
    """Scale of ten on the left, with hairlines."""
    for tenth in range(0, 11, 2):
        height = y(tenth / 10)
        if tenth:
            sheet.line(plot.left, height, plot.right, height, weight=1.2, colour=RULE)
        sheet.write(plot.left - 12, height + AXIS.size * 0.34, f"{tenth} in 10" if tenth else "0", AXIS, anchor="end")


def points(line: Sequence[tuple[float, float]]) -> str:
    """Path through some places."""
    return "M" + " L".join(f"{n(x)} {n(y)}" for x, y in line)


def along(line: Sequence[tuple[float, float]], room: float = 3.0) -> list[Box]:
    """Boxes that a line covers, cut where it is long."""
    cut = [spot for a, b in pairwise(line) for spot in _halved(a, b)]
    return [_round(a, b, room) for a, b in zip(cut[::2], cut[1::2], strict=True)]


def _halved(a: tuple[float, float], b: tuple[float, float]) -> Iterator[tuple[float, float]]:
    """Ends of the parts of a line, each at most 24 units long."""
    count = max(1, math.ceil(math.dist(a, b) / 24))
    for i in range(count):
        for share in (i / count, (i + 1) / count):
            yield a[0] + (b[0] - a[0]) * share, a[1] + (b[1] - a[1]) * share


def _round(a: tuple[float, float], b: tuple[float, float], room: float) -> Box:
    """Box round two places."""
    return Box(min(a[0], b[0]) - room, min(a[1], b[1]) - room, max(a[0], b[0]) + room, max(a[1], b[1]) + room)


def nearest(area: Box, wide: float, high: float, *, to: tuple[float, float], step: float = 9.0) -> list[Box]:
    """Boxes of one size inside an area, the nearest to a place first; those to the lower right before others as near."""
    columns = [area.left + i * step for i in range(int(max(area.right - area.left - wide, 0) // step) + 1)]
    rows = [area.top + i * step for i in range(int(max(area.bottom - area.top - high, 0) // step) + 1)]
    boxes = [Box(left, top, left + wide, top + high) for left in columns for top in rows]

    def away(box: Box) -> float:
        across = max(box.left - to[0], 0.0, to[0] - box.right)
        down = max(box.top - to[1], 0.0, to[1] - box.bottom)
        return math.hypot(across, down) + (6 if box.left < to[0] else 0) + (3 if box.top < to[1] else 0)

    return sorted(boxes, key=away)


def put(room: Field, boxes: Sequence[Box]) -> Box:
    """First box that is free, else the first that hides no more than lines, else the first; taken."""
    found = room.put(boxes)
    if found is None:
        found = boxes[0]
        room.taken.append(found)
    return found


@dataclass(frozen=True, slots=True)
class Answer:
    """The few lines that a drawing is made for."""

    lines: tuple[tuple[str, Type, str], ...]
    dotted: bool

    @property
    def size(self) -> tuple[float, float]:
        """Width and height of its box."""
        wide = max(kind.width(text) for text, kind, _ in self.lines)
        return wide + 30, sum(kind.height + 2 for _, kind, _ in self.lines) + 22

    def draw(self, sheet: LabelledSheet, box: Box, spot: tuple[float, float]) -> None:
        """The box, its foot as firm as the answer, and a leader to its place."""
        x, y = min(max(spot[0], box.left), box.right), min(max(spot[1], box.top), box.bottom)
        sheet.line(*spot, x, y, weight=1.8)
        sheet.frame(box, weight=2.2, fill=PAPER)
        top = box.top + 8
        for text, kind, colour in self.lines:
            sheet.write(box.left + 15, top + kind.above, text, kind, colour=colour)
            top += kind.height + 2
        sheet.path(f"M{n(box.left + 8)} {n(box.bottom - 8)} H{n(box.right - 8)}", weight=4.5, dash="0.1 8" if self.dotted else "")  # fmt: skip


def ring(sheet: LabelledSheet, x: float, y: float, radius: float = 8.0) -> None:
    """Where something stands on a line."""
    sheet.path(ground_marks.ring(x, y, radius), weight=4.0, fill=PAPER)


def small_lath(sheet: Sheet, x: float, top: float, *, dotted: bool) -> None:
    """Mark of a basis before its words."""
    d = f"M{n(x)} {n(top)} h13 v12 l-6.5 6 l-6.5 -6 Z"
    sheet.path(d, weight=2.0, dash="2 3" if dotted else "")


def remarks(sheet: LabelledSheet, top: float, *, first: str, dotted: bool, more: Sequence[str]) -> float:
    """Straw lath, what the figures rest on, and what else must be known; gives the lower end."""
    left = 66.0 if dotted else 36.0
    if dotted:
        ground_marks.notice(sheet, Box(2, top, 24, top + 31))
    small_lath(sheet, left - 28, top + 2, dotted=dotted)
    bottom = sheet.paragraph(left, top, wrap(first, WIDTH - left, STRONG), STRONG)
    for text in more:
        bottom = sheet.paragraph(left, bottom, wrap(text, WIDTH - left, PLAIN), PLAIN)
    return max(bottom, top + 32)
