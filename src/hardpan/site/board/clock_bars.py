"""Clocks drawn: used is solid, to the expected end is dashed, the limit is a fence; without a limit the end stays open."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass

from django.utils.translation import gettext as _

from hardpan.exchange.drawing.ink import INK, LOAM, PAPER, RULE, STOP, Sheet, Type, n
from hardpan.exchange.drawing.placement import Box
from hardpan.site.board.clocks import ClockBar
from hardpan.site.board.now_legend import STRAW

LEAST_NAMES, LEAST_AXIS = 220.0, 360.0  # the column of names, the axis
ROW, BAR, HEAD = 32.0, 20.0, 24.0
MOST_HOURS = 14.0  # a longer window would squeeze the bars: clocks from before it are told in words
NAME, FIGURE, AXIS = Type(17, 600), Type(15, 700), Type(14, 600)
GAP = 28.0  # between a fence and its words


@dataclass(frozen=True, slots=True)
class Drawn:
    """The drawing, and the clocks that began before its window."""

    svg: str
    before: tuple[str, ...]


def draw_clocks(bars: Sequence[ClockBar], now: dt.datetime, *, width: float = 1240.0) -> Drawn:
    """Bars of clocks over one axis of time."""
    earliest = now - dt.timedelta(hours=MOST_HOURS - 4)
    shown = [bar for bar in bars if bar.started >= earliest]
    before = tuple(bar.words for bar in bars if bar.started < earliest)
    if not shown:
        return Drawn("", before)
    sheet = Sheet(width, _("Clocks"), ". ".join(bar.words for bar in shown))
    _name_apart(sheet)
    names = max(LEAST_NAMES, *(NAME.width(bar.name) for bar in shown)) + 14
    room = max(FIGURE.width(f"{bar.used} \u00b7 {bar.limit}") for bar in shown) + GAP
    axis = _Axis.over(shown, now, Box(names, 0, max(width - room, names + LEAST_AXIS), HEAD + ROW * len(shown)))
    axis.draw(sheet)
    for i, bar in enumerate(shown):
        _draw_bar(sheet, axis, bar, top=HEAD + ROW * i + (ROW - BAR) / 2)
    axis.draw_now(sheet)
    return Drawn(sheet.text(HEAD + ROW * len(shown) + 6), before)


def _name_apart(sheet: Sheet) -> None:
    """Ids of this drawing's title and words: a page has two drawings."""
    sheet.root.set("aria-labelledby", "clocks-title clocks-about")
    for element, name in zip(sheet.root, ("clocks-title", "clocks-about"), strict=False):
        element.set("id", name)


@dataclass(frozen=True, slots=True)
class _Axis:
    """Time along the drawing."""

    first: dt.datetime
    last: dt.datetime
    now: dt.datetime
    box: Box

    @classmethod
    def over(cls, bars: Sequence[ClockBar], now: dt.datetime, box: Box) -> _Axis:
        """From the hour of the earliest start to the hour after the last end, at least two."""
        ends = [at for bar in bars for at in (bar.expected, bar.by) if at is not None]
        first = _hour(min(bar.started for bar in bars).astimezone(now.tzinfo))
        last = _hour(max([now, *ends]).astimezone(now.tzinfo)) + dt.timedelta(hours=1)
        return cls(first, min(last, first + dt.timedelta(hours=MOST_HOURS)), now, box)

    def x(self, at: dt.datetime) -> float:
        """Where an instant stands; what lies outside stands at the edge."""
        share = (at - self.first) / (self.last - self.first)
        return self.box.left + min(max(share, 0.0), 1.0) * (self.box.right - self.box.left)

    @property
    def tag(self) -> tuple[str, Box]:
        """Tag of now, and its box."""
        text = _("now %(time)s") % {"time": f"{self.now:%H:%M}"}
        x, half = self.x(self.now), AXIS.width(text) / 2 + 6
        return text, Box(x - half, 1, x + half, HEAD - 3)

    def draw(self, sheet: Sheet) -> None:
        """Hairlines of the hours, each named where the tag of now leaves room."""
        hours = int((self.last - self.first) / dt.timedelta(hours=1))
        for i in range(hours + 1):
            at = self.first + dt.timedelta(hours=i)
            x, text = self.x(at), f"{at:%H:%M}"
            sheet.line(x, 4, x, self.box.bottom, weight=1.0, colour=RULE)
            if i < hours and not Box(x + 4, 1, x + 4 + AXIS.width(text), HEAD - 3).hits(self.tag[1], 2.0):
                sheet.write(x + 4, AXIS.above + 2, text, AXIS, colour=LOAM)

    def draw_now(self, sheet: Sheet) -> None:
        """The line of now, with its tag."""
        x, (text, box) = self.x(self.now), self.tag
        sheet.path(f"M{n(x)} {n(HEAD - 4)} V{n(self.box.bottom)}", weight=3.0)
        sheet.frame(box, weight=1.6, fill=STRAW)
        sheet.write(x, AXIS.above + 3, text, AXIS, anchor="middle")


def _hour(at: dt.datetime) -> dt.datetime:
    """The hour that an instant lies in."""
    return at.replace(minute=0, second=0, microsecond=0)


def _draw_bar(sheet: Sheet, axis: _Axis, bar: ClockBar, *, top: float) -> None:
    """One clock: name, bar, fence or open end, words."""
    baseline = top + BAR / 2 + NAME.above / 2 - 1
    sheet.write(0, baseline, bar.name, NAME)
    start, now = axis.x(bar.started), axis.x(axis.now)
    colour = STOP if bar.over else INK
    sheet.frame(Box(start, top, max(now, start + 3), top + BAR), weight=1.0, colour=colour, fill=colour)
    inside = FIGURE.width(bar.used) + 14 <= now - start
    if inside:
        sheet.write(start + 8, top + BAR / 2 + FIGURE.above / 2 - 1, bar.used, FIGURE, colour=PAPER)
    end = axis.x(bar.expected) if bar.expected and bar.expected > axis.now else now
    if end > now:
        _dashed(sheet, bar, now, end, top)
    if bar.by is not None:
        _fence(sheet, axis.x(bar.by), top)
        end = max(end, axis.x(bar.by) + 18)
    said = bar.limit if inside else f"{bar.used} \u00b7 {bar.limit}"
    sheet.write(end + 8, baseline, said, FIGURE, colour=STOP if bar.by else INK, plate=True)


def _dashed(sheet: Sheet, bar: ClockBar, now: float, end: float, top: float) -> None:
    """From now to the expected end; its time at the end, open where no limit is written."""
    sheet.path(f"M{n(now)} {n(top)} H{n(end)} M{n(now)} {n(top + BAR)} H{n(end)}", weight=2.0, dash="6 4")
    if bar.by is not None and bar.expected is not None:
        sheet.path(f"M{n(end)} {n(top - 2)} V{n(top + BAR + 2)}", weight=2.4)
    if bar.expected is not None:
        text = f"{bar.expected:%H:%M}"
        if FIGURE.width(text) + 12 <= end - now:
            sheet.write(end - 6, top + BAR / 2 + FIGURE.above / 2 - 1, text, FIGURE, anchor="end")


def _fence(sheet: Sheet, x: float, top: float) -> None:
    """A bar at the limit, hatched on the forbidden side."""
    low, high = top - 4, top + BAR + 4
    steps = range(4)
    hatch = " ".join(f"M{n(x)} {n(high - 7 * i)} L{n(x + 16)} {n(max(high - 7 * i - 16, low))}" for i in steps)
    sheet.path(hatch, weight=1.4, colour=STOP)
    sheet.path(f"M{n(x)} {n(low)} V{n(high)}", weight=4.0, colour=STOP)
