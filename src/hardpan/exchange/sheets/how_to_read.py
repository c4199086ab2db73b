"""How to read a cut sheet: one of its own stakes in section, and the lath with what is written on it."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

from hardpan.exchange.drawing.ink import LOAM, MAP, MAP_PLAIN, MAP_STRONG, PAPER, Sheet, Type, n
from hardpan.exchange.drawing.placement import Box
from hardpan.exchange.stake_units import Steering, low_words
from hardpan.plan.levels import StakePoint

WIDE, HIGH = 1122.0, 252.0  # 190 mm by 43 mm at 150 dots an inch
LEFT, RIGHT = 150.0, 735.0  # of the street's outermost points
CROWN, FALL, SHOWN_LOW = 142.0, 52.0, 17.0  # top of the ground, the most it falls in the drawing, and how low is drawn
CROWN_OF_FILL = 78.0  # top of ground that lies over what is measured from
OVER, UNDER = 62.0, 180.0  # where a line of reference runs that lies over, or under, all the ground
LATH = Box(938, 14, 1108, 238)
POINTED = 34.0
STATION = Type(24, 900)
SIZES = (21, 18, 16, 15, 13, 11)


@dataclass(frozen=True, slots=True)
class Reading:
    """One stake as the drawing shows it: its points with names and what is written, which of them the page holds, what is measured from."""

    station: str
    points: tuple[StakePoint, ...]
    names: list[str]
    written: list[str]
    shown: list[int]
    reference_m: float
    hub: str


@dataclass(frozen=True, slots=True)
class Drawn:
    """The drawing, and the same in words."""

    svg: str
    words: str


class _Section:
    """Where things lie in the drawing; true in order, not to scale."""

    def __init__(self, steering: Steering, reading: Reading) -> None:
        self.steering, self.reading = steering, reading
        points = reading.points
        self.offsets = [point.side_offset_m for point in points]
        levels = [point.pre_grade.value for point in points]
        self.top, fall = max(levels), max(levels) - min(levels)
        self.scale = FALL / fall if fall > 1e-6 else 0.0
        cuts = [reading.reference_m - level for level in levels]
        self.all_cut, self.all_fill = min(cuts) >= 0 or steering.mode == "low", max(cuts) < 0 and steering.mode != "low"
        self.crown = CROWN_OF_FILL if self.all_fill else CROWN
        self.ground = [self._level(level) for level in levels]
        self.most = max(abs(point.low.value) for point in points) or 1.0
        shown_low = SHOWN_LOW * (2.2 if steering.mode == "low" else 1.0)
        self.design = [
            y - shown_low * point.low.value / self.most for y, point in zip(self.ground, points, strict=True)
        ]
        self.reference = OVER if self.all_cut else UNDER if self.all_fill else self._level(reading.reference_m)

    def _level(self, level: float) -> float:
        """Height of a level in the drawing."""
        return self.crown + (self.top - level) * self.scale

    def x(self, side_offset: float) -> float:
        """Across the drawing."""
        first, last = self.offsets[0], self.offsets[-1]
        return LEFT + (RIGHT - LEFT) * (side_offset - first) / (last - first)

    def room(self, shown: list[int]) -> float:
        """Width for a figure beside the arrow of each point that is shown."""
        xs = [self.x(self.offsets[i]) for i in shown]
        return min((b - a for a, b in pairwise(xs)), default=WIDE) - 26


def draw_how_to_read(steering: Steering, reading: Reading) -> Drawn:
    """Section and lath of one stake."""
    words = _words(steering, reading)
    sheet = Sheet(WIDE, f"how to read it, at {reading.station}", words)
    sheet.frame(Box(0.8, 0.8, WIDE - 0.8, HIGH - 0.8), weight=1.6)
    sheet.write(14, 24, f"how to read it, at {reading.station}", MAP_STRONG, colour=LOAM)
    section = _Section(steering, reading)
    _draw_ground(sheet, section)
    if steering.mode != "low":
        _draw_reference(sheet, section)
    for i in reading.shown:
        _draw_point(sheet, section, i)
    _draw_legend(sheet, steering, reading)
    _draw_lath(sheet, steering, reading)
    return Drawn(sheet.text(HIGH), words)


def _words(steering: Steering, reading: Reading) -> str:
    """The drawing in words."""
    figures = "; ".join(f"{reading.names[i]}: {reading.written[i]}" for i in reading.shown)
    hub = f", hub {reading.hub}" if reading.hub else ""
    low = low_words(_middle(reading).low.value, steering.unit)
    return f"At {reading.station}{hub}, {low}: write on the lath {figures}. The dashed line is the design, the solid one pre-grade."


def _middle(reading: Reading) -> StakePoint:
    """The middle one of the page's points."""
    return reading.points[reading.shown[len(reading.shown) // 2]]


def _draw_ground(sheet: Sheet, section: _Section) -> None:
    """Design line dashed, pre-grade solid."""
    xs = [section.x(side_offset) for side_offset in section.offsets]
    for heights, weight, dash in ((section.ground, 4.5, ""), (section.design, 2.2, "11 6")):
        points = " L".join(f"{n(x)} {n(y)}" for x, y in zip(xs, heights, strict=True))
        sheet.path(f"M{points}", weight=weight, dash=dash, under=True)


def _draw_reference(sheet: Sheet, section: _Section) -> None:
    """What is measured from: hub, lip, string or instrument, and the level line from it."""
    y, first, last = section.reference, LEFT, RIGHT
    steering, reading = section.steering, section.reading
    end = last + (118 if steering.mode == "string" else 40)
    sheet.line(70, y, end, y, weight=1.6, dash="2 5" if steering.mode != "string" else "")
    named = {"hub": f"hub {reading.hub}", "rod": "line of sight"}.get(steering.mode, steering.mode)
    if steering.mode == "hub":
        sheet.line(70, y, 70, 214, weight=6)
        sheet.frame(Box(64, y - 4, 76, y + 8), weight=2, fill="#16120F")
    elif steering.mode == "lip":
        named = steering.thing
        for side, edge in ((-1, first), (1, last)):
            ground = section.ground[0 if side < 0 else -1]
            sheet.path(f"M{n(edge + 16 * side)} {n(ground)} V{n(y)} h{n(46 * side)} V{n(ground + 14)}", weight=3.2)
    elif steering.mode == "string":
        for x in (70, end):
            sheet.line(x, y - 10, x, 214, weight=4)
    else:
        sheet.path(f"M70 {n(y)} L48 {n(y + 92)} M70 {n(y)} L92 {n(y + 92)} M70 {n(y)} V{n(y + 96)}", weight=2.6)
        sheet.frame(Box(56, y - 9, 88, y + 9), weight=2.4, fill=PAPER)
    x = first - 23 if steering.mode == "lip" else 72
    sheet.write(x, y - (15 if steering.mode == "rod" else 10), named, MAP_STRONG, anchor="middle")


def _draw_point(sheet: Sheet, section: _Section, i: int) -> None:
    """What is measured at one point, its name and its level."""
    x, ground = section.x(section.offsets[i]), section.ground[i]
    steering, reading = section.steering, section.reading
    start = section.reference if steering.mode != "low" else section.design[i]
    way = 1 if ground >= start else -1
    if steering.mode == "rod":
        sheet.frame(Box(x - 4, min(start, ground) - 10, x + 4, max(start, ground) - 3), weight=1.8, fill=PAPER)
    else:
        sheet.path(f"M{n(x)} {n(start)} V{n(ground - 4 * way)}", weight=2.2)
        sheet.path(
            f"M{n(x - 6)} {n(ground - 15 * way)} L{n(x)} {n(ground - 4 * way)} L{n(x + 6)} {n(ground - 15 * way)}",
            weight=2.2,
        )
    high = (start + min(ground, section.design[i])) / 2 if way > 0 else (start + ground) / 2
    kind = _fit(max(reading.written, key=len), section.room(reading.shown))
    inwards = steering.mode == "lip" and i == len(reading.points) - 1  # the lip stands on the other side
    between = (section.all_cut or section.all_fill) and steering.mode != "low"
    baseline = high + kind.above / 2 - 2 if between else min(start, ground, section.design[i]) - 9
    sheet.write(
        x + (-12 if inwards else 12),
        baseline,
        reading.written[i],
        kind,
        anchor="end" if inwards else "start",
        plate=True,
    )
    under = max(ground, start if way < 0 else 0) + 22
    sheet.write(x, under, reading.names[i], MAP_STRONG, anchor="middle")


def _draw_legend(sheet: Sheet, steering: Steering, reading: Reading) -> None:
    """What the two lines are; levels at the page's middle point."""
    point, y = _middle(reading), HIGH - 12
    name = reading.names[reading.shown[len(reading.shown) // 2]]
    low = low_words(point.low.value, steering.unit)
    design, shape = (
        (f"design {steering.level(point.design.value)}", f"pre-grade {steering.level(point.pre_grade.value)}, {low}")
        if steering.mode != "low"
        else ("design", f"pre-grade, {low}")
    )
    x = 150.0
    for text, weight, dash in ((f"{design} at {name}", 2.2, "11 6"), (shape, 4.5, "")):
        sheet.line(x, y - 5, x + 46, y - 5, weight=weight, dash=dash)
        x = sheet.write(x + 54, y, text, MAP).right + 26
    sheet.write(LATH.left - 20, y, "not to scale", MAP_PLAIN, anchor="end")


def _draw_lath(sheet: Sheet, steering: Steering, reading: Reading) -> None:
    """The lath: station, how low, the figures, what they are from."""
    middle, foot = (LATH.left + LATH.right) / 2, LATH.bottom - POINTED
    sheet.path(
        f"M{n(LATH.left)} {n(LATH.top)} H{n(LATH.right)} V{n(foot)} L{n(middle)} {n(LATH.bottom)} L{n(LATH.left)} {n(foot)} Z",
        weight=3, fill=PAPER,
    )  # fmt: skip
    for i, word in enumerate(("write", "on the", "lath")):
        sheet.write(LATH.left - 12, 104 + 19 * i, word, MAP, colour=LOAM, anchor="end")
    sheet.write(middle, 40, reading.station, STATION, anchor="middle")
    lows = list(dict.fromkeys(low_words(reading.points[i].low.value, steering.unit) for i in reading.shown))
    sheet.write(middle, 64, ", ".join(lows), _fit(", ".join(lows), LATH.right - LATH.left - 16, 700), anchor="middle")
    sheet.path(f"M{n(LATH.left + 10)} 74 H{n(LATH.right - 10)}", weight=1.6)
    lines = [f"{_short(reading, i)} {reading.written[i]}" for i in reading.shown]
    step = min(27.0, 106.0 / len(lines))
    for i, text in enumerate(lines):
        sheet.write(middle, 74 + step * (i + 0.8), text, _fit(text, LATH.right - LATH.left - 16), anchor="middle")
    sheet.write(middle, foot + 6, _from(steering, reading), MAP, anchor="middle")


def _short(reading: Reading, i: int) -> str:
    """``L``, ``CL``, ``R``; with their distance where there are more than three."""
    side_offset = reading.points[i].side_offset_m
    if side_offset == 0:
        return "CL"
    letter = "L" if side_offset < 0 else "R"
    return letter if len(reading.points) == 3 else f"{letter} {reading.names[i].split(' ')[1]}"


def _from(steering: Steering, reading: Reading) -> str:
    """What the lath's figures are from."""
    if steering.mode == "low":
        return "below design"
    if steering.mode == "rod":
        return f"HI {steering.level(steering.height_m)}"
    if reading.hub:
        return f"hub {reading.hub}" if steering.mode == "hub" else "below string"
    return f"below {steering.thing if steering.mode == 'lip' else 'string'}"


def _fit(text: str, room: float, weight: int = 900) -> Type:
    """The largest lettering that fits."""
    kinds = [Type(size, weight) for size in SIZES]
    return next((kind for kind in kinds if kind.width(text) <= room), kinds[-1])
