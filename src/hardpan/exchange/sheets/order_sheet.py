"""The order sheet: what the foreman reads out on the telephone the day before, one page a day.

Cement first (planned, with allowance, in loads, what is short and where it leaves ground bare), then the fills, then water, then lines to write on.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from hardpan.exchange.figures_in_words import about, clock, number
from hardpan.exchange.sheets.pdf import Paper, make_pdf
from hardpan.exchange.sheets.phrases import (
    SETTINGS,
    blocks_of,
    date_parts,
    day_words,
    days,
    fitted,
    painted,
    setting_words,
)
from hardpan.exchange.spreading import Drive, drive_block, needed_by
from hardpan.plan import Plan
from hardpan.plan.blocks import Block
from hardpan.plan.cement import Bare, Fill, Load, RunOut
from hardpan.plan.water_supply import ZoneWater
from hardpan.street.defaults import default

MOST_BAGS = 100  # that a crew opens by hand (common practice, no source)
PLACE, BARE_PLACE = 50.0, 112.0  # mm for a place in the tables of fills and of bare stretches
WATER_LINE, HOPPER_LINE = 128.0, 130.0  # mm
# heights in mm: what is left of a page under its head and the first page's figures, of rows, of a section's head, of what ends a day
FIRST_PAGE, LATER_PAGE, SHORTER = 208.0, 254.0, 18.0
HIGH = {"bare": 6.2, "loads": 12.4, "fills": 5.6, "water": 5.6}
SECTION, FOOT, LINE = 13.5, 58.0, 5.0


def order_sheet(plan: Plan, *, paper: Paper = "a4") -> bytes:
    """PDF of the order sheet.

    Parameters
    ----------
    plan
        The plan it is taken from.
    paper
        ``a4`` or ``us-letter``.
    """
    return make_pdf("order_sheet", shown_order(plan, shorter=paper != "a4"), plan, paper=paper)


def shown_order(plan: Plan, *, shorter: bool = False) -> dict[str, Any]:
    """What the sheet shows; ``shorter`` on paper less high than A4."""
    return {
        "title": f"{plan.street.name}: order sheet",
        "about": "Cement and water to order by telephone: loads by day, what is short, fills, trucks, who confirmed",
        "name": plan.street.name,
        "date": date_parts(plan),
        "pages": [page for day in days(plan) for page in _pages(plan, day, SHORTER if shorter else 0.0)],
    }


def _pages(plan: Plan, day: int, less: float) -> list[dict[str, Any]]:
    """Pages of one day; rows that one page does not hold go on to further ones."""
    today = _Day(plan, day)
    parts = {"bare": today.bare_rows(), "loads": today.loads(), "fills": today.fills(), "water": today.water()}
    foot = today.foot()
    room, pages = FIRST_PAGE - less, [_blank()]
    for part, rows in parts.items():
        for row in rows:
            high = HIGH[part] + (0.0 if pages[-1][part] else SECTION)
            if room < high:
                room, high = LATER_PAGE - less, HIGH[part] + SECTION
                pages.append(_blank())
            pages[-1][part].append(row)
            room -= high
    if room < FOOT + LINE * len(foot["water_lines"]):
        pages.append(_blank())
    for i, page in enumerate(pages):
        page.update(today.head(i, len(pages)))
    pages[0].update(today.figures())
    pages[-1].update(foot)
    return pages


def _blank() -> dict[str, Any]:
    """A page without rows."""
    return {"bare": [], "loads": [], "fills": [], "water": []}


@dataclass(frozen=True, slots=True)
class _Timed:
    """A fill with when it is begun, where it runs out and when."""

    fill: Fill
    start: float | None
    out: RunOut | None
    out_minute: float | None


class _Day:
    """One day's orders."""

    def __init__(self, plan: Plan, day: int) -> None:
        self.plan, self.day, self.cement = plan, day, plan.supply.cement
        self.blocks = blocks_of(plan, day)
        self.day_loads = [load for load in self.cement.loads if load.day == day]
        self.day_fills = [fill for fill in self.cement.fills if fill.day == day]
        self.drives: list[Drive] = [drive_block(plan, block) for block in self.blocks]
        self.last = day == days(plan)[-1]

    def head(self, page: int, count: int) -> dict[str, Any]:
        """Head of a page."""
        shift = self.plan.street.file.shift
        starts = f" \u00b7 shift {shift.start:%H:%M} to {shift.end:%H:%M}"
        counted = f", sheet {page + 1} of {count}" if count > 1 else ""
        planned = sum(each.planned.value for each in self.cement.blocks if each.day == self.day)
        loads = sum(load.cement.value for load in self.day_loads)
        right = [f"planned for this day {number(planned)} kg", f"loads for this day {number(loads)} kg"]
        return {"under": day_words(self.plan, self.day) + starts + counted, "right": right}

    def figures(self) -> dict[str, Any]:
        """Tonnes of the whole street, what is short, what a hopper covers."""
        return {
            "tonnes": self._tonnes(),
            "short": self._short(),
            "hopper": self._hopper(),
            "no_load": not self.day_loads,
        }

    # cement

    def _tonnes(self) -> list[dict[str, str]]:
        """Planned, allowance, ordered, in loads: tonnes large, kilograms below."""
        cement, allowance = self.cement, self.plan.street.file.cement.order_allowance
        loads = sum(load.cement.value for load in cement.loads)
        return [
            _tonne("planned", cement.planned.value, self._whole()),
            _tonne(
                f"allowance {about(allowance)}{allowance.value * 100:g} %", cement.ordered.value - cement.planned.value, "on the tonnes ordered"
            ),
            _tonne("to order", cement.ordered.value, "planned and allowance"),
            _tonne("in loads", loads, f"{len(cement.loads)} load{'' if len(cement.loads) == 1 else 's'} in all"),
        ]  # fmt: skip

    def _whole(self) -> str:
        """What the tonnes are of."""
        count = days(self.plan)[-1]
        return "the whole street" if count == 1 else f"the whole street, {count} days"

    def loads(self) -> list[dict[str, str]]:
        """A row a load: when it is due, when the first hose is on, kilograms, fills."""
        return [self._load(load) for load in self.day_loads]

    def _load(self, load: Load) -> dict[str, str]:
        """One load."""
        mine = [str(fill.number) for fill in self.day_fills if fill.load == load.number]
        by = needed_by(self.plan, load)
        return {
            "name": str(load.number),
            "ticket": fitted(load.ticket, 24, 10, weight=600)
            if load.ticket
            else "not ordered yet"
            if load.proposed
            else "no ticket yet",
            "state": "proposed" if load.proposed else "stated",
            "due": clock(load.time_min),
            "by": clock(by) if by is not None else "not used",
            "kg": number(load.cement.value),
            "fills": f"{mine[0]} to {mine[-1]}" if len(mine) > 1 else mine[0] if mine else "none",
        }

    def _bare(self) -> list[Bare]:
        """Stretches that this day's loads leave bare."""
        start, end = self.blocks[0].start_m, self.blocks[-1].end_m
        return [bare for bare in self.cement.bare if start - 1e-6 <= bare.start_m and bare.end_m <= end + 1e-6]

    def bare_rows(self) -> list[dict[str, str]]:
        """A row a stretch that this day's loads leave bare."""
        return [
            {
                "seen": fitted(stretch.place, BARE_PLACE, 10, weight=600), "strip": f"strip {stretch.strip}",
                "area": f"{number(stretch.area.value)} m\u00b2", "kg": f"{number(stretch.cement.value)} kg",
            }
            for stretch in self._bare()
        ]  # fmt: skip

    def _short(self) -> dict[str, Any]:
        """What is short of the order, and what to say."""
        short = self.cement.short.value
        kilograms = sum(stretch.cement.value for stretch in self._bare())
        return {
            "kg": f"{number(short)} kg short of the order" if short > 0 else "nothing short",
            "is": short > 0 or kilograms > 0,
            "say": _what_to_say(short, kilograms, self.cement.left_over.value),
        }

    def _hopper(self) -> list[str]:
        """What a full hopper covers, how it is filled, the cement type to fill in."""
        spreader = self.plan.street.file.spreader
        covers = dict.fromkeys(
            f"{number(zone.strip_a_hopper.value)} m of strip at {zone.rate.value:.3g} kg/m\u00b2"
            for zone in self.cement.zones
            if zone.strip_a_hopper
        )
        return [
            fitted(
                f"Hopper {about(spreader.hopper)}{number(spreader.hopper.value)} kg covers {' or '.join(covers)}.", HOPPER_LINE, 9, lines=2
            ) if covers else "No cement is laid.",
            f"Transfer {about(spreader.transfer_rate)}{number(spreader.transfer_rate.value)} kg/min, {number(spreader.coupling.value)} min to couple.",
        ]  # fmt: skip

    def fills(self) -> list[dict[str, str]]:
        """A row a fill: kilograms, when it is begun, where and when it runs out, what then."""
        return [self._fill(each) for each in self._timed()]

    def _timed(self) -> list[_Timed]:
        """Fills with their times."""
        starts = {number: at for drive in self.drives for number, at in drive.fill_starts.items()}
        ends = {number: at for drive in self.drives for number, at in drive.run_outs.items()}
        outs = {out.fill: out for out in self.cement.run_outs if out.day == self.day}
        return [
            _Timed(fill, starts.get(fill.number), outs.get(fill.number), ends.get(fill.number))
            for fill in self.day_fills
        ]

    def _fill(self, timed: _Timed) -> dict[str, str]:
        """One fill."""
        fill, out = timed.fill, timed.out
        row = {
            "name": str(fill.number), "load": str(fill.load), "kg": number(fill.cement.value), "hopper": number(fill.in_hopper.value),
            "from": clock(timed.start) if timed.start is not None else "",
        }  # fmt: skip
        if out is None or timed.out_minute is None:
            return {**row, "at": "", "station": "", "seen": "lasts to the end of the day", "strip": "", "then": ""}
        station, words = painted(self.plan.street, out.station.value)
        back = "no cement left" if out.bare_after else f"back to {painted(self.plan.street, out.back_up_to_m)[0]}, tray"
        return {
            **row, "at": clock(timed.out_minute), "station": station, "seen": fitted(words, PLACE, 10), "strip": str(out.strip), "then": back,
        }  # fmt: skip

    def _left_over(self) -> list[str]:
        """What is left: in the hopper overnight, in the loads, at the end of the street."""
        told = []
        following = [fill for fill in self.cement.fills if fill.day > self.day]
        if following:
            held = following[0].in_hopper.value - following[0].cement.value
            told.append(f"Left in the hopper for the next day {number(held)} kg.")
        rest = sum(load.cement.value for load in self.day_loads) - sum(fill.cement.value for fill in self.day_fills)
        told.append(f"Left in the loads of this day {number(max(rest, 0.0))} kg.")
        if self.last:
            told.append(f"Left over at the end of the street {number(self.cement.left_over.value)} kg.")
        return told

    # water

    def water(self) -> list[dict[str, str]]:
        """A row a block: litres by the areas, through the bar, trucks that change in it."""
        blocks = {each.block: each for each in self.plan.supply.water.blocks}
        return [
            {
                "name": str(block.number),
                "where": self.plan.street.place(block.start_m, block.end_m),
                "litres": number(blocks[block.number].litres.value),
                "bar": number(through_bar(self.plan, [block])),
                "changes": str(blocks[block.number].truck_changes),
                "at": self._wet(block),
            }
            for block in self.blocks
        ]

    def _wet(self, block: Block) -> str:
        """When the first truck is coupled."""
        run = next(run for run in self.plan.shift.runs if run.block == block.number and run.work == "wet mix")
        return clock(run.start.value)

    def foot(self) -> dict[str, Any]:
        """Leftovers, water of the day, trucks."""
        supply, truck = self.plan.supply.water, self.plan.street.file.water_truck
        drawn = truck_loads(self.plan, self.blocks)
        at_work = round(supply.trucks_at_work.value)
        litres = sum(
            each.litres.value for each in supply.blocks if each.block in {block.number for block in self.blocks}
        )
        tops_up = " It tops up between blocks." if truck.tops_up_between_blocks else ""
        return {
            "left": self._left_over(),
            "trucks": str(drawn),
            "trucks_unit": f"truck load{'' if drawn == 1 else 's'} of {about(truck.volume)}{number(truck.volume.value)} L",
            "water_lines": [
                f"{number(litres)} L by the areas of this day, {number(through_bar(self.plan, self.blocks))} L through the bar.",
                f"{at_work} truck{' keeps' if at_work == 1 else 's keep'} the mixer moving.{tops_up}",
                f"The whole street: {round(supply.truck_loads.value)} truck loads, {about(supply.litres)}{number(supply.litres.value)} L.",
                *self._settings(),
            ],
        }  # fmt: skip

    def _settings(self) -> list[str]:
        """Each water setting with what a truck does at it."""
        told: dict[str, list[str]] = {}
        for water in self.plan.supply.water.zones:
            told.setdefault(_truck_words(water), []).append(water.zone)
        return [fitted(f"{what} ({', '.join(zones)})", WATER_LINE, 10) for what, zones in told.items()]


def _truck_words(water: ZoneWater) -> str:
    """What a truck does in a zone."""
    if water.cut_a_truck is None or water.minutes_a_truck is None:
        return "No water"
    lasts = f"{number(water.cut_a_truck.value)} m of cut, {number(water.minutes_a_truck.value)} min"
    litres = f"{about(water.rate)}{number(water.rate.value, 1)} L/m\u00b2"
    return f"{setting_words(water.setting).capitalize() if water.setting not in SETTINGS else setting_words(water.setting)}, {litres}: {number(water.flow.value)} L/min, a truck lasts {lasts}"


def _tonne(head: str, kilograms: float, under: str) -> dict[str, str]:
    """One large figure."""
    return {"head": head, "value": number(kilograms / 1000, 1), "kg": f"{number(kilograms)} kg", "under": under}


def _what_to_say(short: float, bare: float, left: float) -> str:
    """What to say on the telephone."""
    if bare > 0:
        bag = default("cement.bag").value
        count = math.ceil(bare / bag - 1e-9)
        bags = f"{number(bare)} kg more" + (f", or {count} bags of {bag:g} kg" if count <= MOST_BAGS else "")
        return f"Say: {bags}. Without it the spreader stops where the cement ends; mix nothing that is bare."
    if short > 0:
        spare = f", {number(left)} kg are left over" if left >= 1 else ""
        return f"Say: {number(short)} kg more make the whole allowance. Without it the planned rates still reach the end{spare}."
    return "Say: the loads cover the order; ask again when the rate is changed."


def through_bar(plan: Plan, blocks: Sequence[Block]) -> float:
    """Litres that the bar lays in some blocks: rate x wetted width along every cut, overlaps counted twice."""
    wetted = {cut.number: cut.wetted_width_m for cut in plan.shift.cuts}
    return sum(
        segment.length_m * wetted[segment.lane] * plan.balance[segment.zone].water.value
        for block in blocks
        for segment in block.mix
    )


def truck_loads(plan: Plan, blocks: Sequence[Block]) -> int:
    """Truck loads drawn for one day's blocks: each truck runs dry where it is, unless it tops up between blocks."""
    truck = plan.street.file.water_truck
    stages = [[block] for block in blocks] if truck.tops_up_between_blocks else [list(blocks)]
    return sum(math.ceil(through_bar(plan, stage) / truck.volume.value - 1e-9) for stage in stages)
