"""Marks of what happened: solid, where those of the plan are hollow; a gap is a mark of its own, broken."""

from __future__ import annotations

from hardpan.exchange.drawing import marks
from hardpan.exchange.drawing.ink import CLAY, INK, PAPER, STOP, WATER, Sheet, n
from hardpan.exchange.drawing.placement import Box

BROKEN = "4 3"
ARM = 10.0


def ran_out(sheet: Sheet, x: float, y: float, *, restart_told: bool) -> Box:
    """Solid cross: the hopper ran out here; a broken tray beside it where nothing is told of the restart."""
    cross = (
        f"M{n(x - ARM)} {n(y - ARM)} L{n(x + ARM)} {n(y + ARM)} M{n(x + ARM)} {n(y - ARM)} L{n(x - ARM)} {n(y + ARM)}"
    )
    sheet.path(cross, weight=9.0, colour=PAPER)
    sheet.path(cross, weight=5.4)
    right = x + ARM + 4 if restart_told else tray_box(sheet, x + ARM + 12, y, weighed=False).right
    return Box(x - ARM - 4, y - ARM - 4, right, y + ARM + 4)


def tray_box(sheet: Sheet, x: float, y: float, *, weighed: bool) -> Box:
    """Box with the ticks of a scale; broken and empty where it was not checked."""
    sheet.frame(Box(x - 7, y - 7, x + 7, y + 7), weight=2.0, fill=PAPER, dash="" if weighed else BROKEN)
    if weighed:
        sheet.path(f"M{n(x - 3.5)} {n(y + 3)} V{n(y - 1)} M{n(x)} {n(y + 3)} V{n(y - 3)} M{n(x + 3.5)} {n(y + 3)} V{n(y - 1)}", weight=1.5)  # fmt: skip
    return Box(x - 9, y - 9, x + 9, y + 9)


def density(sheet: Sheet, x: float, y: float) -> Box:
    """Small lath driven in, its head filled: a density was found here."""
    sheet.path(f"M{n(x - 7)} {n(y - 9)} H{n(x + 7)} V{n(y + 3)} L{n(x)} {n(y + 10)} L{n(x - 7)} {n(y + 3)} Z", weight=2.0, fill=PAPER)  # fmt: skip
    sheet.path(f"M{n(x - 7)} {n(y - 9)} H{n(x + 7)} V{n(y - 3)} H{n(x - 7)} Z", weight=1.0, fill=INK)
    return Box(x - 9, y - 11, x + 9, y + 12)


def rate_changed(sheet: Sheet, x: float, top: float, bottom: float) -> Box:
    """Where the rate was changed as it was entered: two clay bars across the strip, beside the painted edge or on it."""
    for away in (-3.5, 3.5):
        sheet.path(f"M{n(x + away)} {n(top + 4)} V{n(bottom - 4)}", weight=2.4, colour=CLAY)
    return Box(x - 6, top + 2, x + 6, bottom - 2)


def water_off(sheet: Sheet, box: Box) -> None:
    """Ground whose wet pass had the water shut: a water-coloured edge, ticked inwards."""
    sheet.frame(box, weight=2.4, colour=WATER)
    step = 14.0
    count = int((box.right - box.left) // step)
    ticks = " ".join(f"M{n(box.left + step * (i + 0.5))} {n(box.top)} v6" for i in range(count))
    if ticks:
        sheet.path(ticks, weight=1.6, colour=WATER)


def truck_empty(sheet: Sheet, x: float, y: float) -> Box:
    """Solid drop: a water truck ran dry here."""
    box = marks.truck_empty(sheet, x, y)
    sheet.path(f"M{n(x)} {n(y - 9)} L{n(x + 6)} {n(y + 3)} A6 6 0 0 1 {n(x - 6)} {n(y + 3)} Z", weight=1.0, colour=WATER, fill=WATER)  # fmt: skip
    return box


def failed(sheet: Sheet, box: Box) -> Box:
    """Ground that was outside the limit of a test: a heavy stop-coloured frame with its corners filled."""
    sheet.frame(box, weight=4.0, colour=STOP)
    corner = min(8.0, (box.right - box.left) / 2)
    for x, y, right, down in (
        (box.left, box.top, 1, 1), (box.right, box.top, -1, 1), (box.left, box.bottom, 1, -1), (box.right, box.bottom, -1, -1),
    ):  # fmt: skip
        sheet.path(f"M{n(x)} {n(y)} h{n(right * corner)} L{n(x)} {n(y + down * corner)} Z", weight=1.0, colour=STOP, fill=STOP)  # fmt: skip
    return box


def not_checked(sheet: Sheet, x: float, y: float) -> Box:
    """Broken tag: somebody said that nothing was measured here."""
    sheet.frame(Box(x - 8, y - 8, x + 8, y + 8), weight=2.0, fill=PAPER, dash=BROKEN)
    sheet.path(f"M{n(x - 4)} {n(y)} H{n(x + 4)}", weight=2.0)
    return Box(x - 10, y - 10, x + 10, y + 10)
