"""How low on a line: the crew's figure as a lath, our sum beside it on a dotted one, our band or our other sum."""

from __future__ import annotations

import math

from hardpan.exchange.drawing import ground_marks
from hardpan.exchange.drawing.ink import INK, LOAM, n
from hardpan.exchange.drawing.odds_marks import (  # fmt: skip
    AXIS,
    DOTTED,
    PLAIN,
    STRONG,
    WIDTH,
    LabelledSheet,
    Scale,
    lath,
    lath_size,
    round_steps,
)
from hardpan.exchange.drawing.placement import Box, Field, spread_out
from hardpan.exchange.drawing.street_frame import Drawn
from hardpan.exchange.figures_in_words import number
from hardpan.plan.balance import ZoneBalance
from hardpan.plan.zones import Zone
from hardpan.street import Basis, Figure

LEFT, RIGHT = 24.0, WIDTH - 24.0
BASE, BAND = 92.0, 26.0  # height of the line; of the band on it
LEAST = 5.0  # mm between ticks


def draw_low_line(zone: Zone, balance: ZoneBalance) -> Drawn:
    """Line of how low, in millimetres.

    Parameters
    ----------
    zone
        The zone.
    balance
        Its balance.
    """
    stated, ours = zone.instruction.low, balance.our_low
    ends = [(ours.low, ours.high)] if ours.spread else [(other_route(balance),) * 2]
    values = [1000 * one for one in (ours.value, *ends[0], *([stated.value] if stated else []))]
    low, high = min(values), max(values)
    step = max(round_steps(max(high - low, 20.0) * 1.3, 10), LEAST)
    x = Scale(step * math.floor((low - step) / step), step * math.ceil((high + step) / step), LEFT, RIGHT)
    sheet = LabelledSheet("How low")
    _axis(sheet, x, step)
    words = [
        f"The crew says {low_mm(stated.value)}." if stated else "The crew has not said.",
        f"Our sum {low_mm(ours.value)}.",
    ]
    laths = [(1000 * stated.value, f"crew {low_mm(stated.value, unit=False)}", "")] if stated else []
    laths.append((1000 * ours.value, f"our sum {low_mm(ours.value, unit=False)}", DOTTED if ours.basis is Basis.DEFAULT else ""))  # fmt: skip
    if ours.spread:
        left, right = x(1000 * ours.low), x(1000 * ours.high)
        _band(sheet, left, right)
        words.append(f"8 times in 10 between {low_mm(ours.low)} and {low_mm(ours.high)}.")
    else:
        other = other_route(balance)
        laths.append((1000 * other, f"{other_name(balance)} {low_mm(other, unit=False)}", DOTTED))
        words.append(f"{other_name(balance)} {low_mm(other)}; no band is known.")
    _laths(sheet, x, sorted(laths, key=lambda one: one[0]))
    text = " ".join(words)
    sheet.root[1].text = text
    height = BASE + 36
    return Drawn(sheet.text(height), WIDTH, height, tuple(sheet.labels), text)


def low_mm(metres: float, *, unit: bool = True) -> str:
    """``45 mm low``, ``6 mm high``; ``45``, ``6 high`` without the unit."""
    shown = number(1000 * metres)
    word = "high" if shown.startswith("-") else "low"
    if unit:
        return f"{shown.removeprefix('-')} mm {word}"
    return f"{shown.removeprefix('-')} high" if word == "high" else shown


def other_route(balance: ZoneBalance) -> float:
    """How low by the sum of the rise that was not chosen [m]."""
    return other_rise(balance).value - (balance.rise.value - balance.our_low.value)


def other_rise(balance: ZoneBalance) -> Figure:
    """The rise by the sum that was not chosen."""
    chosen_by_density = balance.rise is balance.rise_by_final_density
    return balance.rise_by_three_phases if chosen_by_density else balance.rise_by_final_density


def other_name(balance: ZoneBalance) -> str:
    """What that sum goes by."""
    return "by water and air" if balance.rise is balance.rise_by_final_density else "by finished density"


def _axis(sheet: LabelledSheet, x: Scale, step: float) -> None:
    """Line with its ticks and figures."""
    sheet.line(LEFT, BASE, RIGHT, BASE, weight=3.0)
    room = Field(Box(0, BASE, WIDTH, BASE + 40), gap=8.0)
    count = round((x.high - x.low) / step)
    for i in (count, *range(count)):
        value = x.low + i * step
        place = x(value)
        sheet.line(place, BASE, place, BASE + 9, weight=2.0)
        text = low_mm(value / 1000, unit=i == count)
        wide = AXIS.width(text)
        left = min(max(place - wide / 2, 0.0), WIDTH - wide)
        if room.put([Box(left, BASE + 12, left + wide, BASE + 12 + AXIS.height)]) is not None:
            sheet.write(left, BASE + 12 + AXIS.above, text, AXIS)


def _band(sheet: LabelledSheet, left: float, right: float) -> None:
    """Where our sum lies 8 times in 10."""
    top = BASE - BAND
    ground_marks.band(sheet, f"M{n(left)} {n(top)} H{n(right)} V{n(BASE)} H{n(left)} Z")
    sheet.path(f"M{n(left)} {n(BASE)} V{n(top)} H{n(right)} V{n(BASE)}", weight=1.4, colour=LOAM, under=True)
    text = "our band, 8 times in 10"
    wide = PLAIN.width(text)
    at = right + 10 if right + 10 + wide < RIGHT else left - 10 - wide
    if at > 0:
        sheet.write(at, BASE - 8, text, PLAIN, colour=LOAM, plate=True)


def _laths(sheet: LabelledSheet, x: Scale, laths: list[tuple[float, str, str]]) -> None:
    """Laths in one row, apart, their feet on their places."""
    sizes = [lath_size(text, STRONG) for _, text, _ in laths]
    wanted, widths = [x(value) for value, _, _ in laths], [wide for wide, _ in sizes]
    middles = spread_out(wanted, widths, 2.0, WIDTH - 2.0, 8.0) or wanted
    for (value, text, dash), middle, (wide, high) in zip(laths, middles, sizes, strict=True):
        sheet.line(x(value), BASE - BAND - 8, x(value), BASE, weight=3.0, colour=INK, dash=dash)
        lath(sheet, Box(middle - wide / 2, 4, middle + wide / 2, 4 + high), (x(value), BASE - BAND - 6), text, kind=STRONG, dash=dash)  # fmt: skip
