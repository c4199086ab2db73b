"""Odds by mixing depth for one zone, at its instructed rate: the curve, the depth as a lath, how far the mixer reaches, what the depth is loose."""

from __future__ import annotations

import numpy as np

from hardpan.exchange.drawing.ink import INK, LOAM, Type
from hardpan.exchange.drawing.odds_marks import (  # fmt: skip
    AXIS,
    AXIS_PLAIN,
    BIG,
    SMALL,
    STRONG,
    WIDTH,
    Answer,
    LabelledSheet,
    Scale,
    along,
    band_words,
    day_words,
    given_word,
    in_state,
    lath,
    lath_size,
    nearest,
    points,
    put,
    ring,
    ten,
    zone_line,
)
from hardpan.exchange.drawing.placement import Box, Field
from hardpan.exchange.drawing.street_frame import Drawn
from hardpan.exchange.figures_in_words import about, millimetres, number
from hardpan.plan import Plan
from hardpan.plan.alternatives import at_depths
from hardpan.plan.axle_odds import DEPTHS
from hardpan.street import Basis
from hardpan.street.defaults import default
from hardpan.street.words import say_odds

LEFT, RIGHT, TALL = 92.0, 876.0, 300.0
LATHS = 46.0
LEAST, STEP, FINE = 0.100, 0.050, 0.025  # metres: shallowest depth drawn, between ticks, between points of the curve
TITLE = "Odds that the axle test passes, by mixing depth"


def draw_odds_depth(plan: Plan, index: int, *, tall: float = TALL, alone: bool = True) -> Drawn:
    """Curve of one zone by depth of original ground, at the instructed rate.

    Parameters
    ----------
    plan
        The plan.
    index
        Of the zone.
    tall
        Height of the plot [units of the drawing].
    alone
        Whether it says of which street and zone it is; a page of one zone says so itself.
    """
    return _Depths(plan, index, tall, alone).draw()


class _Depths:
    """The drawing while it is made."""

    def __init__(self, plan: Plan, index: int, tall: float, alone: bool) -> None:
        self.plan, self.index = plan, index
        self.odds = plan.treatment.odds.zones[index]
        self.own = plan.balance[index].original_depth.value
        self.deepest = plan.street.file.mixer.deepest
        self.sheet = LabelledSheet(f"{TITLE}: {plan.street.name}")
        top = LATHS + self.sheet.head(TITLE, zone_line(plan, index, street=True) if alone else "")
        self.plot = Box(LEFT, top, RIGHT, top + tall)
        most = max(self.own, self.deepest.value, LEAST + 4 * STEP) + STEP
        self.x = Scale(min(LEAST, self.own), STEP * np.ceil(round(most / STEP, 6)), LEFT, RIGHT)
        self.y = Scale(0.0, 1.0, self.plot.bottom, self.plot.top)
        self.room = Field(self.plot, gap=5.0)
        self.chances: dict[float, float] = {}

    def draw(self) -> Drawn:
        """Scale, curve, rows of depths, then the labels."""
        ten(self.sheet, self.plot, self.y)
        self._curve()
        self._rows()
        self._instruction()
        self._reach()
        self._answer()
        words, bottom = self._words(), self.plot.bottom + 86
        self.sheet.root[1].text = words
        return Drawn(self.sheet.text(bottom), WIDTH, bottom, tuple(self.sheet.labels), words)

    def _curve(self) -> None:
        """Odds at every depth that the sum knows."""
        last = min(self.x.high, float(DEPTHS[-1]))
        steps = [*np.arange(self.x.low, last + 1e-9, FINE), min(self.own, last)]
        depths = sorted({round(float(depth), 6) for depth in steps})
        self.chances = dict(zip(depths, at_depths(self.plan, self.index, depths)[0], strict=True))
        line = [(self.x(depth), self.y(chance)) for depth, chance in self.chances.items()]
        self.sheet.path(points(line), weight=5.5, under=True)
        self.room.taken += along(line)

    def _rows(self) -> None:
        """Depth of original ground, the same loose, and the cement it makes of the dry soil."""
        sheet, bottom, balance = self.sheet, self.plot.bottom, self.plan.balance[self.index]
        sheet.line(LEFT, bottom, RIGHT, bottom, weight=3.0)
        loose, rate = default("depth.loose_factor").value, self.odds.rate.value
        density = balance.soil_mass.value / balance.original_depth.value
        ticks = [self.own, *(tick for tick in np.arange(STEP * np.ceil(self.x.low / STEP - 1e-9), self.x.high + 1e-9, STEP).tolist() if abs(tick - self.own) > 1e-6)]  # fmt: skip
        rows = [Field(Box(0, bottom, WIDTH, bottom + 90), gap=6.0) for _ in range(3)]
        for depth in ticks:
            own, x = depth == self.own, self.x(depth)
            sheet.line(x, bottom, x, bottom + 9, weight=2.0)
            shown = (number(1000 * depth), number(1000 * depth * loose), number(100 * rate / (density * depth), 1))
            for i, (row, text) in enumerate(zip(rows, shown, strict=True)):
                kind = (STRONG if own else AXIS) if i == 0 else (AXIS if own else AXIS_PLAIN)
                half, baseline = kind.width(text) / 2, bottom + 27 + 22 * i
                if row.put([Box(x - half, baseline - kind.above, x + half, baseline + kind.below)]) is not None:
                    sheet.write(x, baseline, text, kind, colour=INK if own or i == 0 else LOAM, anchor="middle")
        names = (("mm of original ground", AXIS), ("mm loose, about", AXIS_PLAIN), ("% cement of dry soil", AXIS_PLAIN))
        for i, (text, kind) in enumerate(names):
            sheet.write(RIGHT + 32, bottom + 27 + 22 * i, text, kind, colour=INK if i == 0 else LOAM)

    def _instruction(self) -> None:
        """The depth in force as a lath on its place; dotted where it is a default."""
        sheet, x, top, zone = self.sheet, self.x(self.own), self.plot.top, self.plan.zones[self.index]
        said = given_word(zone) if zone.instruction.depth else "planned with"
        text = f"{said} {about(zone.depth)}{millimetres(zone.depth)} mm {in_state(zone.depth_state)}"
        wide, high = lath_size(text)
        left = min(max(x - wide / 2, 2.0), WIDTH - wide - 2)
        dash = "3 5" if zone.depth.basis is Basis.DEFAULT else ""
        lath(sheet, Box(left, top - LATHS + 4, left + wide, top - LATHS + 4 + high), (x, top - 2), text, dash=dash)
        sheet.line(x, top - 2, x, self.plot.bottom, weight=3.0)
        ring(sheet, x, self.y(self.odds.worst.value))
        y = self.y(self.odds.worst.value)
        self.room.taken += [*along([(x, top), (x, self.plot.bottom)]), Box(x - 12, y - 12, x + 12, y + 12)]

    def _reach(self) -> None:
        """How far the mixer reaches."""
        x = self.x(self.deepest.value)
        self.sheet.line(x, self.plot.top, x, self.plot.bottom, weight=2.4, dash="14 6")
        self.room.taken += along([(x, self.plot.top), (x, self.plot.bottom)])
        self._label(f"the mixer reaches {millimetres(self.deepest)} mm", STRONG, (x + 8, self.plot.bottom - 40))

    def _label(self, text: str, kind: Type, to: tuple[float, float]) -> None:
        """A word near its place."""
        inside = Box(LEFT + 6, self.plot.top + 6, WIDTH, self.plot.bottom - 8)
        room = Field(inside, gap=5.0, taken=self.room.taken)
        box = put(room, nearest(inside, kind.width(text), kind.height, to=to, step=7.0))
        self.sheet.write(box.left, box.top + kind.above, text, kind, plate=True)

    def _answer(self) -> None:
        """Odds of the depth in force in words."""
        odds = self.odds
        lines = ((say_odds(odds.worst.value), BIG, INK), (band_words(odds.low, odds.high), STRONG, INK), (f"at {odds.rate.value:.3g} kg/m\u00b2, {day_words(self.plan)}", SMALL, LOAM))  # fmt: skip
        answer = Answer(lines, odds.worst.basis is Basis.DEFAULT)
        spot = (self.x(self.own), self.y(odds.worst.value))
        inside = Box(LEFT + 6, self.plot.top + 6, RIGHT - 6, self.plot.bottom - 8)
        answer.draw(self.sheet, put(self.room, nearest(inside, *answer.size, to=spot)), spot)

    def _words(self) -> str:
        """The drawing in words."""
        zone, odds = self.plan.zones[self.index], self.odds
        said = ", ".join(f"{number(1000 * depth)} mm {say_odds(chance)}" for depth, chance in self.chances.items())
        return (
            f"{TITLE}, {zone_line(self.plan, self.index, street=True)}, at {odds.rate.value:.3g} kg/m\u00b2. "
            f"{about(zone.depth)}{millimetres(zone.depth)} mm {in_state(zone.depth_state)}: {say_odds(odds.worst.value)}. "
            f"Depth of original ground: {said}. The mixer reaches {millimetres(self.deepest)} mm."
        )
