"""The cut sheet: every stake with its design level, its pre-grade level and what is written on the lath."""

from __future__ import annotations

from itertools import pairwise
from typing import Any

from hardpan.errors import HardpanError
from hardpan.exchange.drawing.ink import HEAVY_RATE, Type
from hardpan.exchange.drawing.lettering import shorten
from hardpan.exchange.sheets.cut_rows import ROWS_A_PAGE, Ground, stakes_between, stretches
from hardpan.exchange.sheets.cut_sums import Sums
from hardpan.exchange.sheets.how_to_read import Reading, draw_how_to_read
from hardpan.exchange.sheets.pdf import Paper, make_pdf
from hardpan.exchange.sheets.phrases import date_parts
from hardpan.exchange.stake_units import FOOT, LEVEL_UNITS, NO_HUB, NO_SIGHT, UNIT_WORDS, Mode, Steering, Unit, write
from hardpan.plan import Plan
from hardpan.plan.levels import SAME_LEVEL, DesignSurface, Stake, StakePoint, check_shots
from hardpan.street.figure import Basis, weakest
from hardpan.street.units import factor

PAGE_WIDTH: dict[Paper, float] = {"a4": 190.0, "us-letter": 195.9}  # mm between the margins
LEAST_SEEN, MOST_SEEN = 29.0, 48.0  # mm for the landmark and the remark; what is left widens the figures
MM = 25.4 / 72  # a point
STATION, HEAD, PLAIN, STRONG, SEEN, REMARK = (
    Type(9.5, 700), Type(8, 600), Type(9, 400), Type(9, 600), Type(8.5, 400), Type(8, 600),
)  # fmt: skip
INSET, BAND = 0.85, 2.4  # mm at each side of a figure, and for the hatch of a rate
WRITE_SIZES = (11, 10.5, 10)  # points; the largest at which left, centre and right stand side by side
WANTED = 3


def cut_sheet(
    plan: Plan,
    *,
    unit: Unit | None = None,
    from_: Mode | None = None,
    instrument_height: float | None = None,
    string_height: float = 0.0,
    paper: Paper = "a4",
) -> bytes:
    """PDF of the cut sheet, one page or as many as the stakes need.

    Parameters
    ----------
    plan
        The plan it is taken from.
    unit
        What is written on the laths; not said: metres with surveyed levels, else millimetres.
    from_
        What the operator measures from: ``hub``, ``lip`` (whatever the street's levels are down from), ``string``, ``rod``; not said:
        the hub with surveyed levels, else the lip.
    instrument_height
        Level of the instrument's line of sight above the datum, for ``rod`` [m].
    string_height
        Height of the string over the hub's top or the lip, for ``string`` [m].
    paper
        ``a4`` or ``us-letter``.

    Raises
    ------
    HardpanError
        When the street's levels cannot be measured so.
    """
    steering = steer(plan, unit=unit, from_=from_, instrument_height=instrument_height, string_height=string_height)
    return make_pdf("cut_sheet", shown_cut_sheet(plan, steering, paper=paper), plan, paper=paper)


def steer(
    plan: Plan, *, unit: Unit | None, from_: Mode | None, instrument_height: float | None, string_height: float
) -> Steering:
    """What the operator measures from, checked against what the street knows."""
    reference = plan.levels.reference
    surveyed = reference == "datum"
    hubs = surveyed and any(stake.hub for stake in plan.levels.stakes)
    allowed: tuple[Mode, ...] = ("lip", "string")
    if surveyed:
        allowed = ("hub", "string", "rod") if hubs else ("hub", "rod")
    elif reference == "design":
        allowed = ("low",)
    mode = from_ or allowed[0]
    if mode not in allowed:
        known = {"datum": "levels above a datum" + ("" if hubs else ", no hub"), "design": "no design level"}
        raise HardpanError(
            f"cut sheet from {mode}: this street has {known.get(reference, f'levels down from the {reference}')}; allowed: {', '.join(allowed)}"
        )
    if mode == "rod" and instrument_height is None:
        raise HardpanError("cut sheet from rod: given no height of instrument; allowed: its level above the datum [m]")
    height = (instrument_height or 0.0) if mode == "rod" else string_height if mode == "string" else 0.0
    return Steering(mode, unit or ("m" if surveyed else "mm"), "hub" if surveyed else reference, surveyed, height)


def shown_cut_sheet(plan: Plan, steering: Steering, *, paper: Paper = "a4") -> dict[str, Any]:
    """What the sheet shows."""
    pages = _Pages(plan, steering, paper)
    return {
        "title": f"{plan.street.name}: cut sheet, pre-grade",
        "about": "Stakes before treatment: design level, pre-grade level, and what is written on the lath",
        "name": plan.street.name,
        "date": date_parts(plan),
        "pages": pages.shown(),
        "inset": INSET,
        "band": BAND,
        "write_size": pages.write_size,
    }


class _Pages:
    """Pages of the sheet: a stretch each, or a stretch and some of its points."""

    def __init__(self, plan: Plan, steering: Steering, paper: Paper) -> None:
        self.plan, self.steering = plan, steering
        self.page_width, self.stretches = PAGE_WIDTH[paper], stretches(plan, ROWS_A_PAGE[paper])
        self.show = plan.street.stationing.show
        self.ground, self.surface = Ground(plan), DesignSurface(plan.street)
        self.heads = {
            "low": ["write"],
            "hub": ["design", "pre-grade", "write"],
        }.get(steering.mode, ["design", "pre-grade" if steering.has_levels else "low", "write"])
        self.with_hub = steering.mode in ("hub", "string") and steering.has_levels
        self.remarks = self.ground.remarks()
        self.figures = [[self._figures(stake, point) for point in stake.points] for stake in plan.levels.stakes]
        sizes = [(size, self._widths(Type(size, 900))) for size in WRITE_SIZES]
        self.write_size, self.widths = next((one for one in sizes if self._beside(one[1]) >= WANTED), sizes[0])

    def shown(self) -> list[dict[str, Any]]:
        """Every page."""
        every = [(stretch, points) for stretch in self.stretches for points in self._groups()]
        return [
            self._page(stretch, points, f"page {i + 1} of {len(every)}" if len(every) > 1 else "")
            for i, (stretch, points) in enumerate(every)
        ]

    def _figures(self, stake: Stake, point: StakePoint) -> list[str]:
        """Figures of one point under the page's heads."""
        steering = self.steering
        written = steering.write(stake, point, string_m=self._string(stake, point))
        if steering.mode == "low":
            return [written]
        second = steering.level(point.pre_grade.value) if steering.has_levels else self._low(point.low.value)
        return [steering.level(point.design.value), second, written]

    def _low(self, low_m: float) -> str:
        """How low in the unit of the sheet, a minus where the ground is shaped high."""
        return write(low_m, self.steering.unit, marks=True)

    def _lips(self, station: float) -> float:
        """How much the left lip lies above the right one; both lie equally far above the design surface beside them."""
        left, right = (float(self.surface.below_crown([station], side * self.surface.edge)[0]) for side in (-1, 1))
        return right - left

    def _string(self, stake: Stake, point: StakePoint) -> float:
        """How much higher a string from lip to lip hangs at a point than at the lip its levels are down from."""
        if self.steering.mode != "string" or self.steering.has_levels:
            return 0.0
        edge = self.surface.edge
        across = min(max(point.side_offset_m, -edge), edge)
        step = self._lips(stake.station_m)
        return -step * (edge + across) / (2 * edge) if across < 0 else step * (edge - across) / (2 * edge)

    def _widths(self, writing: Type) -> dict[str, float]:
        """Widths of columns in millimetres: what the widest text of the whole sheet needs."""
        stakes = self.plan.levels.stakes
        kinds = [PLAIN, STRONG, writing][-len(self.heads) :]
        columns = {}
        for i, (head, kind) in enumerate(zip(self.heads, kinds, strict=True)):
            texts = [figures[i] for row in self.figures for figures in row]
            columns[head] = max(HEAD.width(head), *(kind.width(text) for text in texts)) * MM + 2 * INSET
        stations = max(HEAD.width("station"), *(STATION.width(self.show(stake.station_m)) for stake in stakes))
        hub = max(PLAIN.width(self._hub(stake)) for stake in stakes) * MM + 2 * INSET if self.with_hub else 0.0
        return {"station": stations * MM + 2 * INSET, "hub": hub, "point": BAND + sum(columns.values()), **columns}

    def _hub(self, stake: Stake) -> str:
        """Level of the hub, or that there is none."""
        return write(stake.hub.value, LEVEL_UNITS[self.steering.unit]) if stake.hub else NO_HUB

    def _beside(self, widths: dict[str, float]) -> int:
        """How many points stand side by side."""
        return max(1, int((self.page_width - widths["station"] - widths["hub"] - LEAST_SEEN) / widths["point"]))

    def _groups(self) -> list[list[int]]:
        """Points of every page of a stretch, as many as fit beside each other, shared out evenly from the left."""
        total = len(self.plan.levels.stakes[0].points)
        count = -(-total // self._beside(self.widths))
        marks = [round(i * total / count) for i in range(count + 1)]
        return [list(range(a, b)) for a, b in pairwise(marks)]

    def _page(self, stretch: tuple[float, float], points: list[int], number: str) -> dict[str, Any]:
        """One page."""
        stakes = stakes_between(self.plan, *stretch)
        drawn = draw_how_to_read(self.steering, self._reading(self._example(stakes), points))
        left = self.page_width - self.widths["station"] - self.widths["hub"] - len(points) * self.widths["point"]
        seen = min(left, MOST_SEEN)
        wider = (left - seen) / (len(points) * len(self.heads))
        sums = Sums(self.plan, self.steering.unit, self.ground.between(*stretch))
        return {
            "under": self._under(stretch, number),
            "lows": sums.lows(),
            "sums": sums.lines(),
            "laths": sums.laths(),
            "tolerance": sums.tolerance(),
            "drawing": drawn.svg,
            "drawing_words": drawn.words,
            "label": self._label(),
            "heads": self.heads,
            "hub": self.with_hub,
            "points": [self._name(stakes[0].points[i]) for i in points],
            "widths": [
                self.widths["station"],
                seen,
                *([self.widths["hub"]] if self.with_hub else []),
                *(
                    [self.widths[head] + wider + (BAND if i == 0 else 0) for i, head in enumerate(self.heads)]
                    * len(points)
                ),
            ],
            "rows": [self._row(stake, points, seen - 2 * INSET) for stake in stakes],
            "shots": [
                {"place": f"{self.show(stake.station_m)} {self._name(point)}", "seen": self._landmark(stake)}
                for stake, point in check_shots(stakes, points)
            ],
            "notes": self._notes(stakes, points),
        }

    def _example(self, stakes: list[Stake]) -> Stake:
        """Stake to explain the sheet by: with a hub where there are hubs, off the ramps, the lowest, in the heaviest rate, near the middle."""
        middle = (stakes[0].station_m + stakes[-1].station_m) / 2

        def liking(stake: Stake) -> tuple[bool, bool, int, float, float]:
            """What to prefer, first things first."""
            low = max(round(point.low.value / SAME_LEVEL) for point in stake.points)
            rate = max(self._rate(stake, point) for point in stake.points)
            hub = not self.with_hub or stake.hub is not None
            return hub, "ramp" not in stake.remark, low, rate, -abs(stake.station_m - middle)

        return max(stakes, key=liking)

    def _rate(self, stake: Stake, point: StakePoint) -> float:
        """Rate at a point."""
        return self.ground.zone(stake.station_m, point.side_offset_m).rate.value

    def _reading(self, stake: Stake, points: list[int]) -> Reading:
        """What the drawing shows of one stake."""
        steering = self.steering
        over = 0.0 if stake.hub is None or not self.with_hub else stake.hub.value
        written = [figures[-1] for figures in self._of(stake)]
        return Reading(
            self.show(stake.station_m),
            stake.points,
            [self._name(point) for point in stake.points],
            written,
            points,
            over + steering.height_m,
            self._hub(stake) if self.with_hub else "",
        )

    def _of(self, stake: Stake) -> list[list[str]]:
        """Figures of every point of a stake."""
        return self.figures[self.plan.levels.stakes.index(stake)]

    def _name(self, point: StakePoint) -> str:
        """Side and how far out, in the unit of the sheet."""
        if self.steering.unit in ("m", "mm") or point.side_offset_m == 0:
            return point.name
        return f"{'left' if point.side_offset_m < 0 else 'right'} {abs(point.side_offset_m) / FOOT:.1f} ft"

    def _landmark(self, stake: Stake) -> str:
        """Landmark words; nothing where they only repeat the station."""
        return "" if stake.seen_by == self.show(stake.station_m) else stake.seen_by

    def _row(self, stake: Stake, points: list[int], room: float) -> dict[str, Any]:
        """One stake."""
        figures = self._of(stake)
        return {
            "station": self.show(stake.station_m),
            "seen": self._seen(stake, room / MM),
            "hub": self._hub(stake),
            "cells": [
                {
                    "values": figures[i],
                    "rate": self._rate(stake, stake.points[i]) if self._shaded(stake, stake.points[i]) else 0,
                    "crossed": self._rate(stake, stake.points[i]) >= HEAVY_RATE,
                    "default": self._basis(stake, stake.points[i]) is Basis.DEFAULT,
                }
                for i in points
            ],
            "joint": any("joint" in remark for remark in self.remarks[stake.station_m]),
        }

    def _shaded(self, stake: Stake, point: StakePoint) -> bool:
        """Whether a point lies in a heavier rate than the least."""
        return self._rate(stake, point) > self.ground.least

    def _seen(self, stake: Stake, room: float) -> list[tuple[str, bool]]:
        """Landmark and remarks in two lines, a remark true; the landmark gives way where the remarks need both."""
        landmark, remarks = self._landmark(stake), ", ".join(self.remarks[stake.station_m])
        if REMARK.width(remarks) <= room:
            lines = [(shorten(landmark, room, SEEN.size), False), (remarks, True)]
            return [line for line in lines if line[0]]
        words, first = remarks.split(" "), ""
        while words and REMARK.width(f"{first} {words[0]}".strip()) <= room:
            first = f"{first} {words.pop(0)}".strip()
        return [(first, True), (shorten(" ".join(words), room, REMARK.size, REMARK.weight), True)]

    def _basis(self, stake: Stake, point: StakePoint) -> Basis:
        """Basis of what is written: that of the zone's own figure, and of both zones' on a ramp."""
        zone = self.ground.zone(stake.station_m, point.side_offset_m)
        low = next(one.low for one in self.plan.balance if one.zone == zone.name)
        if abs(low.value - point.low.value) > SAME_LEVEL / 2:
            return point.pre_grade.basis
        return weakest(low.basis, point.design.basis, *([stake.hub.basis] if stake.hub and self.with_hub else []))

    def _under(self, stretch: tuple[float, float], number: str) -> str:
        """What the page is of."""
        blocks = self.plan.shift.blocks
        days = [block.day for block in blocks if block.start_m < stretch[1] and block.end_m > stretch[0]]
        unit = self.plan.street.stationing.unit
        every = f"{self.plan.street.file.level.stake_spacing.value / factor(unit, 'm'):.4g} {unit}"
        parts = [f"{self.show(stretch[0])} to {self.show(stretch[1])}"]
        if blocks[-1].day > 1:
            parts.append(f"day {days[0]}" if days[0] == days[-1] else f"days {days[0]} to {days[-1]}")
        parts += [f"stakes every {every}", *([number] if number else [])]
        return " \u00b7 ".join(parts)

    def _label(self) -> str:
        """Units of the table in words."""
        steering, levels = self.steering, UNIT_WORDS[LEVEL_UNITS[self.steering.unit]]
        unit = UNIT_WORDS[steering.unit]
        high = write(steering.height_m, steering.unit, marks=True) + (
            "" if steering.unit == "ft-in" else f" {steering.unit}"
        )
        if steering.mode == "low":
            return f"no design level is known: write how far below design, in {'millimetres' if unit == 'metres' else unit}"
        if steering.mode == "rod":
            line = write(steering.height_m, LEVEL_UNITS[steering.unit])
            return f"levels in {levels}; write what the rod reads, in {unit}, from an instrument at {line}"
        if steering.mode == "string":
            over = f"{high} over the {steering.thing}" if steering.height_m else f"at the {steering.thing}"
            beside = f"levels in {levels}; " if steering.has_levels else f"design below the {steering.thing}; "
            return f"{beside}write {unit} down from a string {over}"
        if steering.has_levels:
            return f"levels in {levels}; write the cut in {unit} below the hub"
        return f"{unit} down from the {steering.thing}"

    def _notes(self, stakes: list[Stake], points: list[int]) -> list[str]:
        """What the page's marks mean, and what to mind."""
        steering, written = self.steering, [self._of(stake)[i][-1] for stake in stakes for i in points]
        chosen = [(stake, stake.points[i]) for stake in stakes for i in points]
        notes = ["C is down from the hub's top, F is up from it."] if steering.mode == "hub" else []
        if self.with_hub and any(stake.hub is None for stake in stakes):
            notes.append("No hub: the figure is the pre-grade level itself.")
        if NO_SIGHT in written:
            notes.append("No sight: pre-grade lies above the instrument; set up again.")
        if not steering.has_levels and any(abs(self._lips(stake.station_m)) > SAME_LEVEL for stake in stakes):
            notes.append(
                f"The two {steering.thing}s are not level here: left is down from the left one, centre and right from the right one."
            )
        rates = sorted({self._rate(*at) for at in chosen if self._shaded(*at)})
        notes += [f"Hatched: {' and '.join(f'{rate:.3g}' for rate in rates)} kg/m\u00b2."] if rates else []
        if any(self._basis(*at) is Basis.DEFAULT for at in chosen):
            notes.append("Dotted foot: rests on a default.")
        notes.append("Each figure is rounded by itself. Cut only: never fill thin; a thin fill peels.")
        return notes
