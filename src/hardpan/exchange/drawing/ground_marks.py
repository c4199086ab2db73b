"""Marks of the ground: hatches that grow denser as it grows softer, the band, the trench's bar, laths of tests, what a skin hides, where trucks bog."""

from __future__ import annotations

import xml.etree.ElementTree as ET

from hardpan.exchange.drawing.ink import INK, LOAM, MAP_STRONG, PAPER, Sheet, Type, n
from hardpan.exchange.drawing.placement import Box

HATCHES = {"shows": (24.0, 1.3, False), "ruts": (10.0, 1.7, False), "sinks": (8.0, 2.1, True)}
"""Spacing of the lines, their weight, whether they cross; ground that shows nothing stays white where it was read."""

STRAW = "#F7D774"
BAND = 7.0  # spacing of the band's lines
LATH_HEIGHT = 24.0
SMALL = Box(-5.0, -14.0, 5.0, 0.0)  # lath without words, its foot at the origin
DOTS, DASHES = "2 4", "6 4"


def ground_hatch(sheet: Sheet, box: Box, word: str, *, read: bool) -> None:
    """Ground of a word: lines fall to the right, unlike those of a rate; broken lines where nothing was read."""
    if read and word not in HATCHES:
        return
    spacing, weight, crossed = HATCHES.get(word, (30.0, 1.3, False))
    name = f"ground-{word}{'' if read else '-unread'}"
    line = spacing * 0.4 if word in HATCHES else 3.0
    dash = "" if read else f"{n(line)} {n(spacing - line)}"
    _pattern(sheet, name, spacing, colour=INK, weight=weight, crossed=crossed, dash=dash)
    attributes = {
        "x": n(box.left),
        "y": n(box.top),
        "width": n(box.right - box.left),
        "height": n(box.bottom - box.top),
    }
    ET.SubElement(sheet.ground, "rect", {**attributes, "fill": f"url(#{name})"})


def band(sheet: Sheet, outline: str) -> None:
    """Ground between two stairs: thin lines in loam."""
    _pattern(sheet, "ground-band", BAND, colour=LOAM, weight=0.8, crossed=False, dash="")
    ET.SubElement(sheet.ground, "path", {"d": outline, "fill": "url(#ground-band)"})


def _pattern(sheet: Sheet, name: str, spacing: float, *, colour: str, weight: float, crossed: bool, dash: str) -> None:
    """Pattern of diagonal lines, made once a drawing; short lines over its corners keep the joints of tiles whole."""
    if sheet.defs.find(f"pattern[@id='{name}']") is not None:
        return
    side = spacing * 2**0.5
    attributes = {"id": name, "width": n(side), "height": n(side), "patternUnits": "userSpaceOnUse"}
    tile = ET.SubElement(sheet.defs, "pattern", attributes)
    d = f"M0 0 L{n(side)} {n(side)} M-1 {n(side - 1)} L1 {n(side + 1)} M{n(side - 1)} -1 L{n(side + 1)} 1"
    if crossed:
        d += f" M0 {n(side)} L{n(side)} 0 M-1 1 L1 -1 M{n(side - 1)} {n(side + 1)} L{n(side + 1)} {n(side - 1)}"
    look = {"stroke": colour, "stroke-width": n(weight), "fill": "none"}
    ET.SubElement(tile, "path", {"d": d, **look, **({"stroke-dasharray": dash} if dash else {})})


def foot(sheet: Sheet, box: Box) -> None:
    """Dotted foot under a word: it rests on a default."""
    y = box.bottom + 1.5
    sheet.path(f"M{n(box.left)} {n(y)} H{n(box.right)}", weight=2.4, dash=DOTS)


def trench_bar(sheet: Sheet, x: float, *, high: float, middle: float, low: float) -> Box:
    """Band of a place too narrow for a band: a dotted upright from end to end, a ring at its middle; given in heights on paper."""
    sheet.path(f"M{n(x)} {n(high)} V{n(low)}", weight=2.0, dash=DOTS)
    sheet.path(f"M{n(x - 5)} {n(high)} H{n(x + 5)} M{n(x - 5)} {n(low)} H{n(x + 5)}", weight=2.0)
    sheet.path(ring(x, middle, 3.6), weight=2.0, fill=PAPER)
    return Box(x - 6, high - 1, x + 6, low + 1)


def ring(x: float, y: float, radius: float) -> str:
    """Path of a circle."""
    across = n(2 * radius)
    arc = f"a{n(radius)} {n(radius)} 0 1 0"
    return f"M{n(x - radius)} {n(y)} {arc} {across} 0 {arc} -{across} 0 Z"


def done_lath(sheet: Sheet, x: float, y: float) -> Box:
    """Solid lath with its foot where a test was made: measured."""
    return _small_lath(sheet, x, y, dash="", fill=INK)


def asked_lath(sheet: Sheet, x: float, y: float) -> Box:
    """Hollow dashed lath with its foot where a test is asked for: planned."""
    return _small_lath(sheet, x, y, dash="3 2", fill=PAPER)


def _small_lath(sheet: Sheet, x: float, y: float, *, dash: str, fill: str) -> Box:
    """Lath without words."""
    box = SMALL.moved(x, y)
    d = f"M{n(box.left)} {n(box.top)} H{n(box.right)} V{n(y - 5)} L{n(x)} {n(y)} L{n(box.left)} {n(y - 5)} Z"
    sheet.path(d, weight=1.8, fill=fill, dash=dash)
    return Box(box.left - 1, box.top - 1, box.right + 1, box.bottom + 1)


def lath_box(text: str, x: float, y: float, *, up: bool = True, kind: Type = MAP_STRONG) -> Box:
    """Box of a lath with words whose foot stands at a place, its head above or below."""
    half = kind.width(text) / 2 + 7
    return Box(x - half, y - LATH_HEIGHT, x + half, y) if up else Box(x - half, y, x + half, y + LATH_HEIGHT)


def lath(sheet: Sheet, box: Box, text: str, *, x: float, y: float) -> Box:
    """Dashed lath with words, its foot or a leader on its place; gives the box of the words."""
    up = box.top + box.bottom < 2 * y
    middle = (box.left + box.right) / 2
    head, end = (box.top, box.bottom) if up else (box.bottom, box.top)
    shoulder = end - 6 if up else end + 6
    if abs(middle - x) > 1 or abs(end - y) > 1:
        sheet.line(middle, end, x, y, weight=1.4, dash="2 3")
    d = f"M{n(box.left)} {n(head)} H{n(box.right)} V{n(shoulder)} L{n(middle)} {n(end)} L{n(box.left)} {n(shoulder)} Z"
    sheet.path(d, weight=1.8, fill=PAPER, dash=DASHES)
    return sheet.write(middle, (head + shoulder) / 2 + MAP_STRONG.above / 2 - 1.5, text, MAP_STRONG, anchor="middle")


def pointer(sheet: Sheet, box: Box, x: float, y: float) -> None:
    """Dotted leader from a word to the place it stands for, a dot at its end."""
    edge = box.bottom + 2 if y > box.bottom else box.top if y < box.top else (box.top + box.bottom) / 2
    side = min(max(x, box.left), box.right)
    sheet.path(f"M{n(side)} {n(edge)} L{n(x)} {n(y)}", weight=1.6, dash=DOTS)
    sheet.path(ring(x, y, 2.6), weight=1.0, fill=INK)


def notice(sheet: Sheet, box: Box) -> None:
    """Straw lath with an exclamation mark."""
    x, bottom = (box.left + box.right) / 2, box.bottom
    d = f"M{n(x - 11)} {n(box.top)} H{n(x + 11)} V{n(bottom - 9)} L{n(x)} {n(bottom)} L{n(x - 11)} {n(bottom - 9)} Z"
    sheet.path(d, weight=1.8, fill=STRAW)
    sheet.write(x, bottom - 12, "!", Type(18, 900), anchor="middle")


def hidden(sheet: Sheet, left: float, right: float, y: float, *, gap: tuple[float, float]) -> None:
    """Dotted line where soft ground may lie under a skin, broken where its words stand, an upright at both ends."""
    for start, end in ((left + 3, gap[0]), (gap[1], right - 3)):
        if end - start > 3:
            sheet.path(f"M{n(start)} {n(y)} H{n(end)}", weight=2.6, dash="2.6 5", under=True)
    for x in (left + 3, right - 3):
        sheet.path(f"M{n(x)} {n(y - 5)} V{n(y + 5)}", weight=2.0, under=True)


def bogs(sheet: Sheet, left: float, right: float, y: float) -> Box:
    """Tyre half in the ground at both ends of a dashed line: a loaded truck is predicted to bog between them."""
    wide = max(right - left, 22.0)
    middle = (left + right) / 2
    left, right = middle - wide / 2, middle + wide / 2
    for x in (left + 5, right - 5):
        sheet.path(f"M{n(x - 5)} {n(y)} a5 5 0 0 0 10 0", weight=2.0, fill=INK)
    sheet.path(f"M{n(left)} {n(y)} H{n(right)}", weight=2.2, dash=DASHES)
    return Box(left - 1, y - 3, right + 1, y + 7)
