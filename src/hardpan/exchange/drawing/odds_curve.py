"""Odds that the axle test passes, by rate, for one zone: the curve of the test's day, later days, the band, the instruction as a lath on its rate."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from hardpan.exchange.drawing import ground_marks
from hardpan.exchange.drawing.ink import CLAY, INK, LOAM, STOP, n
from hardpan.exchange.drawing.lettering import shorten
from hardpan.exchange.drawing.odds_marks import (
    AXIS,
    AXIS_PLAIN,
    BIG,
    DOTTED,
    PLANNED,
    SMALL,
    STRONG,
    WIDTH,
    Answer,
    LabelledSheet,
    Scale,
    along,
    band_words,
    day_words,
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
    ten,
    tenths,
    wrap,
    zone_line,
)
from hardpan.exchange.drawing.placement import Box, Field, spread_out
from hardpan.exchange.drawing.street_frame import Drawn
from hardpan.exchange.figures_in_words import number
from hardpan.plan import Plan
from hardpan.plan.ground_field import Floats
from hardpan.plan.odds_basis import DAYS
from hardpan.plan.treatment import RATES, ZoneOdds
from hardpan.street import Basis
from hardpan.street.defaults import default
from hardpan.street.words import say_odds

LEFT, RIGHT, TALL = 92.0, 876.0, 300.0
LATHS = 46.0  # room over the plot for the instruction's lath
COLUMN = RIGHT + 54.0  # words at the ends of the curves
TITLE = "Odds that the axle test passes, by rate"
LATER = ("18 7", "9 6")  # dashes of later days


def draw_odds_curve(plan: Plan, index: int, *, tall: float = TALL, alone: bool = True) -> Drawn:
    """Curve of one zone.

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
    return _Curve(plan, index, tall, alone).draw()


@dataclass(frozen=True, slots=True)
class Day:
    """A curve of one day, what waiting for it is worth in words; the day of the test first."""

    day: float
    odds: Floats
    worth: str = ""

    @property
    def name(self) -> str:
        """What stands at its end."""
        return f"test on day {self.day:g}"


def days(plan: Plan, odds: ZoneOdds) -> list[Day]:
    """The day of the test and those after it that the plan knows."""
    test = plan.treatment.odds.day.value
    later = zip(DAYS, odds.later, odds.waiting, strict=True)
    return [
        Day(test, odds.curve),
        *(Day(day, curve, _worth(odds, curve, wait.value)) for day, curve, wait in later if day > test + 1e-6),
    ]


def _worth(odds: ZoneOdds, later: Floats, worth: float) -> str:
    """What waiting is worth; where no rate reaches what it gives, more than up to the highest; nothing to say over the highest rate."""
    if odds.rate.value >= RATES[-1]:
        return ""
    if worth < 0.5:
        return "nothing"
    reached = float(np.interp(odds.rate.value, RATES, later)) <= odds.curve[-1]
    return f"{'about' if reached else 'more than'} {number(worth)} kg/m\u00b2"


def waiting_words(plan: Plan, odds: ZoneOdds) -> str:
    """``Waiting for day 3 is worth about 8 kg/m2, for day 7 more than 22 kg/m2.``; empty where nothing is known of it."""
    worth = [(day.day, day.worth) for day in days(plan, odds) if day.worth]
    if worth and all(what == "nothing" for _, what in worth):
        return "Waiting is worth nothing."
    said = [f"for day {day:g} {'' if i else 'is worth '}{what}" for i, (day, what) in enumerate(worth)]
    return f"Waiting {', '.join(said)}." if said else ""


def rests_on(plan: Plan) -> str:
    """What the odds rest on, in one line."""
    odds, ground = plan.treatment.odds, plan.ground
    words, tests = len(plan.street.readings), len(ground.soundings) + len(plan.street.bearing)
    read = f"{words} {'reading' if words == 1 else 'readings'} of the slow drive" if words else "nothing read"
    tested = f", {tests} {'test' if tests == 1 else 'tests'}" if tests else ", no test"
    strength = len(odds.mix.inputs) - 1
    if odds.calculated:
        return f"calculated from {strength} laboratory {'strength' if strength == 1 else 'strengths'} and defaults. Ground: {read}{tested}."
    return f"judgement, not calculated: no laboratory strength. Ground: {read}{tested}."


def least_words(plan: Plan, odds: ZoneOdds) -> str:
    """Who wrote the least odds; else that nobody did and what stands in."""
    limit = plan.street.file.limits.least_probability
    if limit is None:
        return f"No least odds are written, so no line is drawn; {tenths(odds.least.value)}, a default, stands in."
    return f"Least odds {tenths(odds.least.value)}: {limit.owner or 'owner not said'}, {limit.source or 'source not said'}."


def enough_words(plan: Plan, index: int) -> str:
    """What rate reaches the least odds by our sum, and what we do not propose."""
    odds = plan.treatment.odds.zones[index]
    if odds.enough is None:
        most = default("odds.rate_most").value
        return f"By our sum no rate up to {most:g} kg/m\u00b2 reaches it at the worst place."
    text = f"By our sum {odds.enough.value:g} kg/m\u00b2 reaches it at the worst place."
    if odds.enough.value < odds.rate.value and not plan.treatment.odds.may_propose_less(plan.zones[index]):
        text += " We propose nothing below the instructed rate: soft ground, no strength test."
    return text


def movement_words(plan: Plan) -> str:
    """How far the axle may move the ground, and who wrote it."""
    limit, movement = plan.street.file.limits.axle_test_movement, plan.treatment.odds.movement
    who = (
        f"{limit.owner or 'owner not said'}, {limit.source or 'source not said'}"
        if limit
        else "a default, for nobody wrote a limit"
    )
    return f"The test passes where the axle moves the ground {number(1000 * movement.value)} mm at most: {who}."


class _Curve:
    """The drawing while it is made."""

    def __init__(self, plan: Plan, index: int, tall: float, alone: bool) -> None:
        self.plan, self.index = plan, index
        self.odds = plan.treatment.odds.zones[index]
        self.rate = self.odds.rate.value
        self.days = days(plan, self.odds)
        self.sheet = LabelledSheet(f"{TITLE}: {plan.street.name}")
        head = self.sheet.head(TITLE, zone_line(plan, index, street=True) if alone else "")
        top = head + LATHS
        self.plot = Box(LEFT, top, RIGHT, top + tall)
        self.most = float(RATES[-1]) if self.rate <= RATES[-1] else 10.0 * np.ceil(self.rate / 10)
        self.x = Scale(0.0, self.most, LEFT, RIGHT)
        self.y = Scale(0.0, 1.0, self.plot.bottom, self.plot.top)
        self.room = Field(self.plot, gap=5.0)
        self.extra: list[str] = []

    def draw(self) -> Drawn:
        """Lines that cannot move first, then what finds a place among them."""
        plan, sheet, odds = self.plan, self.sheet, self.odds
        ten(sheet, self.plot, self.y)
        self._band()
        self._curves()
        self._axes()
        self._instruction()
        self._least()
        self._enough()
        self._answer()
        self._column()
        more = [" ".join([movement_words(plan), least_words(plan, odds), enough_words(plan, self.index), *self.extra])]
        dotted = odds.worst.basis is Basis.DEFAULT
        bottom = remarks(sheet, self.plot.bottom + 68, first=rests_on(plan), dotted=dotted, more=more)
        words = self._words()
        sheet.root[1].text = words
        return Drawn(sheet.text(bottom + 2), WIDTH, bottom + 2, tuple(sheet.labels), words, tuple(self.extra))

    def _line(self, odds: Floats) -> list[tuple[float, float]]:
        """A curve on paper."""
        return [(self.x(rate), self.y(chance)) for rate, chance in zip(RATES.tolist(), odds.tolist(), strict=True)]

    def _band(self) -> None:
        """Where the odds of the test's day lie 8 times in 10."""
        high, low = self._line(self.odds.curve_high), self._line(self.odds.curve_low)
        ground_marks.band(self.sheet, f"{points(high)} L{points(low[::-1])[1:]} Z")
        for edge in (high, low):
            self.sheet.path(points(edge), weight=1.2, colour=LOAM, under=True)
        self.room.faint += [Box(a[0], a[1], b[0], b[1]) for a, b in zip(high, low[1:], strict=False)]

    def _curves(self) -> None:
        """Heavy for the day of the test, dashed for later days; dotted on over the highest rate that the sum knows."""
        for day, dash in zip(self.days, ("", *LATER), strict=False):
            line = self._line(day.odds)
            self.sheet.path(points(line), weight=3.0 if dash else 5.5, dash=dash, under=True)
            self.room.taken += along(line)
            if self.most > RATES[-1]:
                end = (RIGHT, line[-1][1])
                self.sheet.path(points([line[-1], end]), weight=3.0, dash=DOTTED, under=True)
                self.room.taken += along([line[-1], end])
        if self.most > RATES[-1]:
            self.extra.append(f"Our sum goes to {RATES[-1]:g} kg/m\u00b2; over it its odds stand still, dotted.")

    def _axes(self) -> None:
        """Rates, and tonnes for this zone under them."""
        sheet, bottom = self.sheet, self.plot.bottom
        sheet.line(LEFT, bottom, RIGHT, bottom, weight=3.0)
        area = self.plan.zones[self.index].area.value
        step = round_steps(self.most, 12)
        others = [float(rate) for rate in np.arange(0.0, self.most + 1e-9, step) if abs(rate - self.rate) > 1e-9]
        rows = {
            27.0: Field(Box(0, bottom, WIDTH, bottom + 70), gap=6.0),
            49.0: Field(Box(0, bottom, WIDTH, bottom + 70), gap=6.0),
        }
        ends = [RIGHT]
        for rate in (self.rate, *others):
            x, own = self.x(rate), rate == self.rate
            sheet.line(x, bottom, x, bottom + 9, weight=2.0, colour=CLAY if own else INK)
            tonnes = rate * area / 1000
            shown = ((27.0, f"{rate:.3g}", STRONG if own else AXIS, CLAY if own else INK), (49.0, number(tonnes, 1 if tonnes < 1000 else 0), AXIS if own else AXIS_PLAIN, INK if own else LOAM))  # fmt: skip
            for down, text, kind, colour in shown:
                half = kind.width(text) / 2
                if (
                    rows[down].put([Box(x - half, bottom + down - kind.above, x + half, bottom + down + kind.below)])
                    is not None
                ):
                    sheet.write(x, bottom + down, text, kind, colour=colour, anchor="middle")
                    ends.append(x + half)
        sheet.write(max(ends) + 12, bottom + 27, "kg/m\u00b2", AXIS)
        sheet.write(max(ends) + 12, bottom + 49, "t for this zone", AXIS_PLAIN, colour=LOAM)

    def _instruction(self) -> None:
        """The instruction as a lath at its rate, and the odds of it with their band on its line."""
        sheet, x, top = self.sheet, self.x(self.rate), self.plot.top
        zone = self.plan.zones[self.index]
        text = f"{given_word(zone)} {self.rate:.3g} kg/m\u00b2"
        wide, high = lath_size(text)
        left = min(max(x - wide / 2, 2.0), WIDTH - wide - 2)
        lath(
            sheet,
            Box(left, top - LATHS + 4, left + wide, top - LATHS + 4 + high),
            (x, top - 2),
            text,
            colour=CLAY,
            dash=PLANNED if zone.instruction.proposed else "",
        )
        sheet.line(x, top - 2, x, self.plot.bottom, weight=3.4, colour=CLAY)
        low, high_odds = self.y(self.odds.low), self.y(self.odds.high)
        sheet.path(f"M{n(x)} {n(low)} V{n(high_odds)} M{n(x - 11)} {n(low)} H{n(x + 11)} M{n(x - 11)} {n(high_odds)} H{n(x + 11)}", weight=3.0)  # fmt: skip
        ring(sheet, x, self.y(self.odds.worst.value))
        self.room.taken += [*along([(x, top), (x, self.plot.bottom)]), Box(x - 13, high_odds - 3, x + 13, low + 3)]

    def _least(self) -> None:
        """The least odds as a fence where somebody wrote them."""
        limit = self.plan.street.file.limits.least_probability
        if limit is None:
            return
        y = self.y(self.odds.least.value)
        fence(self.sheet, (LEFT, y), (RIGHT, y), side=(-9, 9))
        self.room.taken.append(Box(LEFT, y - 4, RIGHT, y + 11))
        whole = f"least {tenths(self.odds.least.value)}, {limit.owner or 'owner not said'}, {limit.source or 'source not said'}"
        for text in (
            shorten(whole, (RIGHT - LEFT) * 0.6, STRONG.size, STRONG.weight),
            f"least {tenths(self.odds.least.value)}",
        ):
            wide, high = STRONG.width(text) + 4, STRONG.height
            spots = [
                Box(left, top, left + wide, top + high)
                for top in (y - high - 11, y + 18)
                for left in np.arange(LEFT + 14, RIGHT - wide - 6, 12.0).tolist()
            ]
            box = self.room.put(spots)
            if box is not None:
                self.sheet.write(box.left + 2, box.top + STRONG.above, text, STRONG, colour=STOP, plate=True)
                return

    def _enough(self) -> None:
        """The lowest rate that reaches the least odds, as a dotted lath on the axis."""
        if self.odds.enough is None:
            return
        text, x, bottom = f"our sum {self.odds.enough.value:g}", self.x(self.odds.enough.value), self.plot.bottom
        wide, high = lath_size(text, STRONG)
        spots = [
            Box(x - wide / 2 + shift, bottom - rise - high, x + wide / 2 + shift, bottom - rise)
            for rise in (14.0, 44.0, 74.0)
            for shift in (0.0, wide / 3, -wide / 3, wide / 2 + 12, -wide / 2 - 12)
        ]
        box = self.room.put(spots)
        if box is None:
            return  # the remarks under the drawing say it
        lath(self.sheet, box, (x, bottom - 1), text, kind=STRONG, dash=DOTTED)

    def _answer(self) -> None:
        """Odds of the instruction in words."""
        odds = self.odds
        answer = Answer(
            (
                (say_odds(odds.worst.value), BIG, INK),
                (band_words(odds.low, odds.high), STRONG, INK),
                (day_words(self.plan), SMALL, LOAM),
            ),
            odds.worst.basis is Basis.DEFAULT,
        )
        spot = (self.x(self.rate), self.y(odds.worst.value))
        inside = Box(LEFT + 6, self.plot.top + 6, RIGHT - 6, self.plot.bottom - 8)
        answer.draw(self.sheet, put(self.room, nearest(inside, *answer.size, to=spot)), spot)

    def _column(self) -> None:
        """At the right: which curve is which, what waiting is worth, what the hatch is."""
        sheet, plot = self.sheet, self.plot
        ends = sorted(
            ((self.y(float(day.odds[-1])), i, day) for i, day in enumerate(self.days)), key=lambda one: one[:2]
        )
        tall = STRONG.height + 3
        clear = RIGHT + (16 if self.x(self.rate) > RIGHT - 14 else 2)  # past the ring of an instruction at the end
        middles = spread_out([y for y, _, _ in ends], [tall] * len(ends), plot.top - 14, plot.bottom, 0.0) or []
        for (y, i, day), middle in zip(ends, middles, strict=False):
            dash = ("", *LATER)[i]
            sheet.line(clear, y, clear + 10, middle, weight=1.2, colour=LOAM)
            sheet.line(clear + 10, middle, COLUMN - 6, middle, weight=3.0 if dash else 5.5, dash=dash)
            sheet.write(COLUMN, middle + STRONG.size * 0.34, day.name, STRONG)
        waiting = wrap(waiting_words(self.plan, self.odds), WIDTH - COLUMN, SMALL)
        band = wrap(f"band, day {self.days[0].day:g}: 8 times in 10, as far as our defaults of the mix may be off", WIDTH - COLUMN, SMALL)  # fmt: skip
        high = (len(waiting) + len(band)) * (SMALL.height + 4) + 14
        top = middles[-1] + tall if middles else plot.top
        if top + high > plot.bottom:
            top = middles[0] - tall - high
        top = sheet.paragraph(COLUMN, top, waiting, SMALL) + 10 if waiting_words(self.plan, self.odds) else top
        swatch = Box(COLUMN - 34, top + 2, COLUMN - 8, top + 24)
        ground_marks.band(sheet, f"M{n(swatch.left)} {n(swatch.top)} H{n(swatch.right)} V{n(swatch.bottom)} H{n(swatch.left)} Z")  # fmt: skip
        for y in (swatch.top, swatch.bottom):
            sheet.path(f"M{n(swatch.left)} {n(y)} H{n(swatch.right)}", weight=1.2, colour=LOAM, under=True)
        sheet.paragraph(COLUMN, top, band, SMALL)

    def _words(self) -> str:
        """The drawing in words."""
        odds, plan = self.odds, self.plan
        later = " ".join(
            f"{day.name}: {say_odds(float(np.interp(self.rate, RATES, day.odds)))}." for day in self.days[1:]
        )
        return " ".join(
            part
            for part in (
                f"{TITLE}, {zone_line(plan, self.index, street=True)}.",
                f"{given_word(plan.zones[self.index])} {self.rate:.3g} kg/m\u00b2: {say_odds(odds.worst.value)}, {band_words(odds.low, odds.high)}, {day_words(plan)}.",
                later, waiting_words(plan, odds), rests_on(plan), movement_words(plan), least_words(plan, odds), enough_words(plan, self.index), *self.extra,
            )
            if part
        )  # fmt: skip
