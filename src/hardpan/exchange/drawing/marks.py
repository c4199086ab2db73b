"""Icons of the strip map, drawn about their place; each with a ground of its own so that it reads on a hatch."""

from __future__ import annotations

import math

from hardpan.exchange.drawing.ink import INK, PAPER, STOP, WATER, Sheet, Type, n
from hardpan.exchange.drawing.placement import Box

LETTER = Type(13, 700)
SERVICE_LETTERS = {"gas": "G", "water": "W", "power": "E", "telecom": "T", "sewer": "S"}


def run_out(sheet: Sheet, x: float, y: float, back_up: float) -> Box:
    """Hollow cross: a fill is predicted to run out here; the hook goes back to a tray ``back_up`` units before."""
    arm = 11.0
    cross = (
        f"M{n(x - arm)} {n(y - arm)} L{n(x + arm)} {n(y + arm)} M{n(x + arm)} {n(y - arm)} L{n(x - arm)} {n(y + arm)}"
    )
    sheet.path(cross, weight=8.5)
    sheet.path(cross, weight=4.6, colour=PAPER)
    tray = x - max(back_up, arm + 14)
    sheet.path(f"M{n(tray)} {n(y + 6)} V{n(y + 14)} H{n(x)}", weight=1.6)
    sheet.frame(Box(tray - 6, y - 6, tray + 6, y + 6), weight=2.0, fill=PAPER)
    sheet.path(f"M{n(tray - 3)} {n(y)} H{n(tray + 3)}", weight=1.4)
    return Box(tray - 8, y - 15, x + 15, y + 16)


def truck_empty(sheet: Sheet, x: float, y: float) -> Box:
    """Drop with a slash: a water truck is predicted to empty here."""
    drop = (
        f"M{n(x)} {n(y - 13)} C{n(x + 3)} {n(y - 7)} {n(x + 9)} {n(y - 1)} {n(x + 9)} {n(y + 4)} "
        f"A9 9 0 0 1 {n(x - 9)} {n(y + 4)} C{n(x - 9)} {n(y - 1)} {n(x - 3)} {n(y - 7)} {n(x)} {n(y - 13)} Z"
    )
    sheet.path(drop, weight=2.2, colour=WATER, fill=PAPER)
    sheet.path(f"M{n(x - 6)} {n(y + 9)} L{n(x + 7)} {n(y - 3)}", weight=2.0, colour=WATER)
    return Box(x - 11, y - 15, x + 11, y + 15)


def manhole(sheet: Sheet, x: float, y: float) -> Box:
    """Two rings and M."""
    return _ringed(sheet, x, y, "M", rings=2)


def valve(sheet: Sheet, x: float, y: float) -> Box:
    """One ring and V."""
    return _ringed(sheet, x, y, "V", rings=1)


def other(sheet: Sheet, x: float, y: float) -> Box:
    """One ring with a dot: something else in the way."""
    return _ringed(sheet, x, y, "\u2022", rings=1)


def _ringed(sheet: Sheet, x: float, y: float, letter: str, *, rings: int) -> Box:
    """Rings round a letter."""
    for radius in (11.0, 7.5)[:rings]:
        sheet.path(_circle(x, y, radius), weight=2.0, fill=PAPER)
    size = LETTER if rings == 1 else Type(10, 700)
    sheet.write(x, y + size.above / 2 - 0.5, letter, size, anchor="middle")
    return Box(x - 13, y - 13, x + 13, y + 13)


def service(sheet: Sheet, x: float, y: float, kind: str) -> Box:
    """Letter in a square, standing on the line of the service."""
    sheet.frame(Box(x - 9, y - 9, x + 9, y + 9), weight=2.0, fill=PAPER)
    sheet.write(x, y + LETTER.above / 2 - 0.5, SERVICE_LETTERS.get(kind, "\u2022"), LETTER, anchor="middle")
    return Box(x - 11, y - 11, x + 11, y + 11)


def trench(sheet: Sheet, box: Box) -> Box:
    """Ladder strip; at least wide enough to see."""
    wide = max(box.right - box.left, 6.0)
    middle = (box.left + box.right) / 2
    seen = Box(middle - wide / 2, box.top, middle + wide / 2, box.bottom)
    sheet.frame(seen, weight=1.5, fill=PAPER)
    steps = range(1, math.ceil((seen.bottom - seen.top) / 5))
    rungs = " ".join(
        f"M{n(seen.left)} {n(seen.top + 5 * i)} L{n(seen.right)} {n(max(seen.top, seen.top + 5 * i - wide))}"
        for i in steps
    )
    if rungs:
        sheet.path(rungs, weight=1.1)
    return seen


def bare(sheet: Sheet, box: Box) -> None:
    """No cement left: a stop-coloured dashed edge, crossed inside."""
    sheet.fill(box, PAPER)
    sheet.hatch(box, STOP, 13.0, crossed=True, stroke=1.0)
    sheet.frame(box, weight=3.0, colour=STOP, dash="9 4")


def ground_word(
    sheet: Sheet, word: str, start: float, end: float, y: float, *, gap: tuple[float, float], bounces: bool
) -> None:
    """Line of one word of the slow drive from ``start`` to ``end``, broken where the word stands."""
    for left, right in ((start + 4, gap[0]), (gap[1], end - 4)):
        if right - left < 3:
            continue
        if word == "ruts":
            for dy in (-2.5, 2.5):
                sheet.line(left, y + dy, right, y + dy, weight=1.8)
        elif word in ("shows", "sinks"):
            sheet.path(_wave(left, right, y, kind=word), weight=2.6 if word == "sinks" else 1.8, under=True)
        else:
            sheet.line(left, y, right, y, weight=1.8, dash="2 5" if word == "not read" else "")
        if bounces:
            sheet.path(_wave(left, right, y - 7, kind="bounces"), weight=1.4, under=True)


def _wave(left: float, right: float, y: float, *, kind: str) -> str:
    """Shallow dips, teeth, or a wave above."""
    step, high = {"shows": (14.0, 4.0), "sinks": (12.0, 9.0), "bounces": (16.0, 5.0)}[kind]
    count = max(1, round((right - left) / step))
    width = (right - left) / count
    if kind == "sinks":
        points = " ".join(
            f"L{n(left + width * (i + 0.5))} {n(y + high / 2)} L{n(left + width * (i + 1))} {n(y - high / 2)}"
            for i in range(count)
        )
        return f"M{n(left)} {n(y - high / 2)} {points}"
    curves = " ".join(
        f"q{n(width / 2)} {n(high)} {n(width)} 0"
        if kind == "shows" or i % 2 == 0
        else f"q{n(width / 2)} {n(-high)} {n(width)} 0"
        for i in range(count)
    )
    return f"M{n(left)} {n(y)} {curves}"


def _circle(x: float, y: float, radius: float) -> str:
    """Path of a circle."""
    return f"M{n(x - radius)} {n(y)} a{n(radius)} {n(radius)} 0 1 0 {n(2 * radius)} 0 a{n(radius)} {n(radius)} 0 1 0 {n(-2 * radius)} 0 Z"


__all__ = ["INK", "bare", "ground_word", "manhole", "other", "run_out", "service", "trench", "truck_empty", "valve"]
