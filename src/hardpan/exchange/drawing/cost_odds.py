"""Price a square metre against the odds, for one zone: rates as points along a line, the instruction, digging out, leaving it untreated."""

from __future__ import annotations

import math

import numpy as np

from hardpan.exchange.drawing import ground_marks
from hardpan.exchange.drawing.ink import CLAY, INK, LOAM, PAPER, RULE, STOP, n
from hardpan.exchange.drawing.odds_marks import (
    AXIS,
    AXIS_PLAIN,
    PLANNED,
    STRONG,
    WIDTH,
    LabelledSheet,
    Scale,
    about_dollars,
    along,
    dollars,
    fence,
    given_word,
    lath,
    lath_size,
    nearest,
    points,
    put,
    remarks,
    ring,
    round_steps,
    tenths,
    zone_line,
)
from hardpan.exchange.drawing.placement import Box, Field
from hardpan.exchange.drawing.street_frame import Drawn
from hardpan.exchange.figures_in_words import number
from hardpan.plan import Plan
from hardpan.plan.alternatives import Prices, prices
from hardpan.street.defaults import default
from hardpan.street.words import say_odds

LEFT, RIGHT, TALL = 92.0, 876.0, 240.0
POINTS = 5.0  # kg/m2 between the rates that have a point
ROOM = 1.3  # the scale goes that far over the dearest thing that must be seen
TITLE = "What the odds cost, a square metre"


def draw_cost_odds(plan: Plan, index: int, *, tall: float = TALL, alone: bool = True) -> Drawn:
    """Price against odds of one zone.

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
    return _Cost(plan, index, tall, alone).draw()


def price_words(plan: Plan, found: Prices) -> list[str]:
    """What the prices are made of."""
    cement, place = plan.street.file.prices.cement, default("prices.failed_place")
    stated = "a default" if cement.basis.value == "default" else cement.source
    return [
        f"Cement at {number(cement.value)} $/t ({stated}), and every place that may fail dug out and made good at {number(place.value)} $/m\u00b2 (a default).",
        f"Crew and plant, mobilisation, testing and traffic come on top at every rate, {about_dollars(found.on_top.value, found.on_top.basis)} over the street; digging out at its whole price.",
    ]


class _Cost:
    """The drawing while it is made."""

    def __init__(self, plan: Plan, index: int, tall: float, alone: bool) -> None:
        self.plan, self.index = plan, index
        self.odds, self.prices = plan.treatment.odds.zones[index], prices(plan, index)
        self.dug = plan.zones[index].instruction.dig_out
        self.sheet = LabelledSheet(f"{TITLE}: {plan.street.name}")
        head = self.sheet.head(TITLE, zone_line(plan, index, street=True) if alone else "")
        top = head + 30
        self.plot = Box(LEFT, top, RIGHT, top + tall)
        seen = max(self.prices.dig_out.value, self.prices.instructed.value)
        self.step = round_steps(ROOM * seen, 6)
        self.most = self.step * np.ceil(ROOM * seen / self.step)
        self.y = Scale(0.0, self.most, self.plot.bottom, self.plot.top)
        seen_odds = [
            float(odds) for odds, cost in zip(self.prices.odds, self.prices.cost, strict=True) if cost <= self.most
        ]
        self.least_tenth = min(math.floor(10 * min([*seen_odds, *([] if self.dug else [self.odds.worst.value])])), 8)
        self.x = Scale(self.least_tenth / 10, 1.0, LEFT, RIGHT)
        self.room = Field(Box(LEFT + 4, top - 28, WIDTH - 2, self.plot.bottom - 3), gap=3.0)

    def draw(self) -> Drawn:
        """Scales, line, points; then the labels."""
        sheet, found = self.sheet, self.prices
        self._axes()
        self._line()
        self._least()
        self._dig_out()
        self._points()
        first, *more = price_words(self.plan, found)
        dotted = found.instructed.basis.value == "default"
        bottom = remarks(sheet, self.plot.bottom + 66, first=first, dotted=dotted, more=more)
        words = self._words()
        sheet.root[1].text = words
        return Drawn(sheet.text(bottom + 2), WIDTH, bottom + 2, tuple(sheet.labels), words)

    def _axes(self) -> None:
        """Odds along, price upwards."""
        sheet, plot = self.sheet, self.plot
        for i in range(round(self.most / self.step) + 1):
            y = self.y(i * self.step)
            if i:
                sheet.line(LEFT, y, WIDTH, y, weight=1.2, colour=RULE)
            sheet.write(LEFT - 12, y + AXIS.size * 0.34, f"{i * self.step:g}", AXIS, anchor="end")
        sheet.write(LEFT - 12, plot.top - 12, "$/m\u00b2", AXIS, anchor="end")
        sheet.line(LEFT, plot.bottom, RIGHT, plot.bottom, weight=3.0)
        for tenth in range(self.least_tenth, 11):
            x = self.x(tenth / 10)
            sheet.line(x, plot.bottom, x, plot.bottom + 9, weight=2.0)
            sheet.write(x, plot.bottom + 27, f"{tenth} in 10" if tenth else "0", AXIS, anchor="middle")
        sheet.write((LEFT + RIGHT) / 2, plot.bottom + 49, f"odds that the axle test passes at the worst place, day {self.plan.treatment.odds.day.value:g}; on the line: rates, kg/m\u00b2", AXIS_PLAIN, colour=LOAM, anchor="middle")  # fmt: skip

    def _spots(self) -> list[tuple[float, float]]:
        """Every rate on paper, as far as the scale goes."""
        found = self.prices
        within = [i for i, cost in enumerate(found.cost) if cost <= self.most]
        spots = [(self.x(float(found.odds[i])), self.y(float(found.cost[i]))) for i in within]
        first = within[0] if within else 0
        if first:  # the line comes in from over the top
            share = (self.most - found.cost[first]) / (found.cost[first - 1] - found.cost[first])
            odds = found.odds[first] + share * (found.odds[first - 1] - found.odds[first])
            spots.insert(0, (self.x(float(odds)), self.plot.top))
        return spots

    def _line(self) -> None:
        """Line of the rates."""
        line = self._spots()
        if len(line) > 1:
            self.sheet.path(points(line), weight=4.0, under=True)
            self.room.taken += along(line, 4.0)

    def _least(self) -> None:
        """The least odds as a fence where somebody wrote them."""
        if self.plan.street.file.limits.least_probability is None:
            return
        x = self.x(self.odds.least.value)
        fence(self.sheet, (x, self.plot.top), (x, self.plot.bottom), side=(-9, 9))
        self.room.faint.append(Box(x - 11, self.plot.top, x + 3, self.plot.bottom))
        text = f"least {tenths(self.odds.least.value)}"
        wide = STRONG.width(text)
        left = min(max(x - wide / 2, LEFT), WIDTH - wide)
        box = self.sheet.write(left, self.plot.top - 8, text, STRONG, colour=STOP)
        self.room.taken.append(box)

    def _dig_out(self) -> None:
        """Digging out: a dashed line across at its price, to a ring where the odds are ten in ten, for the plan takes it to pass."""
        sheet, y = self.sheet, self.y(self.prices.dig_out.value)
        sheet.line(LEFT, y, RIGHT, y, weight=2.4, dash="14 6")
        sheet.path(ground_marks.ring(RIGHT, y, 8), weight=3.0, fill=PAPER, dash="" if self.dug else "6 4")
        self.room.taken += [Box(LEFT, y - 4, RIGHT, y + 4), Box(RIGHT - 12, y - 12, RIGHT + 12, y + 12)]
        price = about_dollars(self.prices.dig_out.value, self.prices.dig_out.basis)
        lines = [("dig out and replace", STRONG), (price, STRONG), ("taken to pass", AXIS_PLAIN)]
        high = sum(kind.height + 2 for _, kind in lines)
        top = min(max(y - high / 2, self.plot.top - 10), self.plot.bottom - high)
        for text, kind in lines:
            colour = INK if kind is STRONG else LOAM
            self.room.taken.append(sheet.write(RIGHT + 22, top + kind.above, text, kind, colour=colour, plate=True))
            top += kind.height + 2

    def _points(self) -> None:
        """A point at every fifth rate; the instruction on its own, in a lath."""
        found, shown = self.prices, []
        for rate, odds, cost in zip(found.rates, found.odds, found.cost, strict=True):
            if rate % POINTS == 0 and cost <= self.most:
                x, y = self.x(float(odds)), self.y(float(cost))
                self.sheet.path(ground_marks.ring(x, y, 4.5), weight=1.0, fill=INK)
                self.room.taken.append(Box(x - 6, y - 6, x + 6, y + 6))
                shown.append((float(rate), x, y))
        if self.odds.rate.value or self.dug:
            self._untreated()
        self._instruction()
        treated = [one for one in shown if one[0]]
        for rate, x, y in treated[:1] + treated[:0:-1]:
            self._number(f"{rate:g}", x, y)

    def _number(self, text: str, x: float, y: float) -> None:
        """Number of a rate under or over its point, where there is room."""
        half, high = AXIS.width(text) / 2, AXIS.height
        moves = ((0.0, 10.0), (0.0, -10 - high), (-half - 7, 4.0), (half + 7, -4 - high), (half + 10, -high / 2), (-half - 10, 9.0), (half + 10, -9 - high), (0.0, 16.0))  # fmt: skip
        places = [Box(x - half + across, y + down, x + half + across, y + down + high) for across, down in moves]
        box = self.room.put(places)
        if box is not None:
            self.sheet.write(box.left, box.top + AXIS.above, text, AXIS, plate=True)

    def _instruction(self) -> None:
        """The instruction on its place, in a lath."""
        zone, price = self.plan.zones[self.index], self.prices.dig_out if self.dug else self.prices.instructed
        spot = (self.x(self.odds.worst.value), self.y(price.value))
        if not self.dug:
            ring(self.sheet, *spot)
        self.room.taken.append(Box(spot[0] - 12, spot[1] - 12, spot[0] + 12, spot[1] + 12))
        word, cost = given_word(zone), about_dollars(price.value, price.basis)
        what = "dig out" if self.dug else "leave untreated" if not self.odds.rate.value else ""
        text = f"{word}: {what}, {cost}" if what else f"{word} {self.odds.rate.value:.3g} kg/m\u00b2: {cost}"
        wide, high = lath_size(text, STRONG)
        wanted = nearest(self.room.area, wide, high, to=(spot[0], spot[1] - 34), step=7.0)
        over = [box for box in wanted if box.bottom < spot[1] - 20]
        near = [
            box for box in over if box.bottom > spot[1] - 75 and box.left < spot[0] + 10 and box.right > spot[0] - 10
        ]
        box = self.room.put(near) or put(self.room, over or wanted)
        foot = (spot[0], spot[1] - 10) if box.bottom < spot[1] else (spot[0], spot[1] + 10)
        dash = PLANNED if zone.instruction.proposed else ""
        lath(self.sheet, box, foot, text, kind=STRONG, colour=CLAY, dash=dash)

    def _untreated(self) -> None:
        """Leave untreated: rate 0, at its end of the line or over the top of the scale."""
        over = self.prices.untreated > self.most
        price = about_dollars(self.prices.untreated, self.prices.instructed.basis)
        text = f"leave untreated: {price}{', over the top of this scale' if over else ''}"
        x, y, wide, high = (
            self.x(float(self.prices.odds[0])),
            self.y(self.prices.untreated),
            AXIS.width(text),
            AXIS.height,
        )
        if over:
            x, top = x + 6, self.plot.top
            self.sheet.path(f"M{n(x)} {n(top - 4)} V{n(top - 24)} M{n(x - 5)} {n(top - 18)} L{n(x)} {n(top - 25)} L{n(x + 5)} {n(top - 18)}", weight=2.2)  # fmt: skip
            places = [Box(x + 10, top - 27, x + 10 + wide, top - 27 + high)]
        else:
            places = [
                Box(left, y + down, left + wide, y + down + high)
                for down in (-12 - high, 12.0)
                for left in (max(x - 6, LEFT + 6), x - wide + 6)
            ]
        box = put(self.room, places + nearest(self.room.area, wide, high, to=(x, y)))
        self.sheet.write(box.left, box.top + AXIS.above, text, AXIS, plate=True)

    def _words(self) -> str:
        """The drawing in words."""
        found, odds = self.prices, self.odds
        rates = ", ".join(
            f"{rate:g} kg/m\u00b2 {dollars(float(cost))}, {say_odds(float(chance))}"
            for rate, cost, chance in zip(found.rates, found.cost, found.odds, strict=True)
            if rate % POINTS == 0 and rate
        )
        basis = found.instructed.basis
        word = given_word(self.plan.zones[self.index])
        treated = (
            f"{word} {odds.rate.value:.3g} kg/m\u00b2: {about_dollars(found.instructed.value, basis)}, of it cement {dollars(found.cement.value)} "
            f"and failed places {dollars(found.failed.value)}, {say_odds(odds.worst.value)}. "
        )
        return (
            f"{TITLE}, {zone_line(self.plan, self.index, street=True)}. {f'{word} dig out. ' if self.dug else treated}"
            f"Leave untreated: {about_dollars(found.untreated, basis)}, {say_odds(float(found.odds[0]))}. At {rates}. "
            f"Dig out and replace: {about_dollars(found.dig_out.value, found.dig_out.basis)}; taken to pass. {' '.join(price_words(self.plan, found))}"
        )
