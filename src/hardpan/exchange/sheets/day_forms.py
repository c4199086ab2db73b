"""The forms of one day, in the order of the phone's keys: places, strips, rates and limits of this street printed, every measurement an empty box."""

from __future__ import annotations

from collections.abc import Callable

from hardpan.exchange.figures_in_words import clock, hours, millimetres, number
from hardpan.exchange.sheets.cut_rows import stakes_between
from hardpan.exchange.sheets.forms import Column, Form, form
from hardpan.exchange.sheets.phrases import (
    NO_LIMIT,
    NOT_SAID,
    blocks_of,
    limit_words,
    painted,
    planned_depth,
    setting_words,
)
from hardpan.plan import Plan
from hardpan.plan.blocks import Block
from hardpan.plan.levels import StakePoint, check_shots
from hardpan.street.model import LengthLimit, PlainLimit, ShareLimit


def day_forms(plan: Plan, day: int) -> list[Form]:
    """Every form of one day, in the order of the phone's keys."""
    forms = _Forms(plan, day)
    makers: tuple[Callable[[], list[Form]], ...] = (
        forms.go, forms.tickets, forms.shots, forms.fills, forms.spread, forms.run_outs, forms.trays, forms.passes, forms.depth_holes,
        forms.water_trucks, forms.squeeze, forms.problems, forms.densities, forms.axle_test,
    )  # fmt: skip
    return [form for make in makers for form in make()]


class _Forms:
    """Forms of one day."""

    def __init__(self, plan: Plan, day: int) -> None:
        self.plan, self.day, self.street, self.limits = plan, day, plan.street, plan.street.file.limits
        self.blocks = blocks_of(plan, day)
        self.show = plan.street.stationing.show

    def place(self, station: float) -> tuple[str, str]:
        """Station and landmark of a place, to the whole metre."""
        return painted(self.street, station)

    def stretch(self, block: Block) -> str:
        """A block's name and stations."""
        return f"block {block.number}, {self.show(block.start_m)} to {self.show(block.end_m)}"

    # before

    def go(self) -> list[Form]:
        """Go or no-go with the limits in force."""
        columns = (
            Column("ask", 32, printed=True), Column("forecast", 36, printed=True), Column("limit in force", 58, printed=True), Column("found", 34), Column("go, no-go", 30, ticks=("go", "no-go")),
        )  # fmt: skip
        call = form(
            "go: the call", "Anyone may stop the work. Say the numbers, the call and the name.",
            (Column("call", 40, ticks=("go", "no-go")), Column("who called it", 60), Column("when", 40), Column("heard by", 50)), rows=((),),
        )  # fmt: skip
        return [form("go", self._clock_note(), columns, rows=tuple(self._go_rows())), call]

    def _go_rows(self) -> list[tuple[tuple[str, str], ...]]:
        """What is asked before the first cement."""
        weather, limits, locates = self.street.file.weather, self.limits, self.street.file.locates
        first = self.day == 1
        wind = (
            f"to {weather.wind_to_km_h:g}, gusts {weather.gusts_km_h or weather.wind_to_km_h:g}"
            if first and weather.wind_to_km_h is not None
            else ""
        )
        air = (
            f"{weather.low_c:g} to {weather.high_c:g}"
            if first and weather.low_c is not None and weather.high_c is not None
            else ""
        )
        nights = f"{weather.next_nights_low_c:+g}" if first and weather.next_nights_low_c is not None else ""
        rain = f"from {weather.rain_from:%H:%M}" if first and weather.rain_from else ""
        valid = f"valid to {locates.valid_to.day} {locates.valid_to:%B}" if locates.valid_to else ""
        return [
            _asked("wind", "km/h", wind, _written(limits.wind_km_h, "km/h")),
            _asked("air", "\u00b0C", air, _written(limits.air_temperature_c, "\u00b0C")),
            _asked("next nights' low", "\u00b0C", nights, _written(limits.frost_free_days, "frost-free days")),
            _asked("rain", "next six hours", rain, ("none inside mixing time", "stop rule")),
            _asked("locates", "all services seen", valid, ("valid on the day", "before any mixing")),
            _asked("crew, plant, notices", "all here", None, ("all here", "")),
        ]  # fmt: skip

    def _clock_note(self) -> tuple[str, ...]:
        """Written clocks, a line each, and the latest first mix of the day's last block."""
        written = [
            f"Clock: {limit.start} to {limit.stop} {limit_words(limit, hours(limit.within.value))}."
            for limit in self.limits.clock
        ]
        start = next(each for each in self.plan.shift.latest_starts if each.block == self.blocks[-1].number)
        latest = clock(start.latest.value) if start.latest.value >= 0 else "never"
        return *(
            written or [f"Clock: {NO_LIMIT}."]
        ), f"Latest first mix of block {start.block} {latest}, before {start.before}."

    def tickets(self) -> list[Form]:
        """A row a load, and one more."""
        loads = [load for load in self.plan.supply.cement.loads if load.day == self.day]
        rows = [
            ((f"load {load.number}{f', {load.ticket}' if load.ticket else ''}", f"due {clock(load.time_min)}"), (f"{number(load.cement.value)} kg", "proposed" if load.proposed else "ordered"))
            for load in loads
        ]  # fmt: skip
        columns = (
            Column("load", 34, printed=True), Column("ordered", 26, printed=True), Column("ticket no.", 34), Column("net kg", 34), Column("arrived", 24), Column("seal, plant", 24), Column("photo", 14, ticks=("yes",)),
        )  # fmt: skip
        return [
            form(
                "ticket",
                "Net kg as the ticket says it, not as ordered.",
                columns,
                rows=(*rows, _spare("another load", "")),
            )
        ]

    def shots(self) -> list[Form]:
        """Six check shots of the day's stretch."""
        stakes = stakes_between(self.plan, self.blocks[0].start_m, self.blocks[-1].end_m)
        if not stakes:
            return []
        points = list(range(len(stakes[0].points)))
        rows = tuple(
            (self.place(stake.station_m), (point.name, ""), (self._should(point), self._unit()))
            for stake, point in check_shots(stakes, points)
        )
        limit = self.limits.pre_grade_tolerance
        note = f"Tolerance: {_either_way(limit)}."
        columns = (
            Column("place", 48, printed=True), Column("point", 24, printed=True), Column("should read", 34, printed=True), Column("reads", 44), Column("not checked", 22, ticks=("",)), Column("who, when", 30),
        )  # fmt: skip
        return [form("six shots", note, columns, rows=rows)]

    def _should(self, point: StakePoint) -> str:
        """What the plan wants at a point."""
        reference = self.plan.levels.reference
        if reference == "datum":
            return number(point.pre_grade.value, 3)
        return number((point.low.value if reference == "design" else -point.pre_grade.value) * 1000)

    def _unit(self) -> str:
        """Unit of a shot, and from what it is read."""
        reference = self.plan.levels.reference
        return {"datum": "m, level", "design": "mm below design"}.get(reference, f"mm down from {reference}")

    # cement

    def fills(self) -> list[Form]:
        """A row a fill, and one more."""
        fills = [fill for fill in self.plan.supply.cement.fills if fill.day == self.day]
        rows = [((f"fill {fill.number}, load {fill.load}", f"{number(fill.cement.value)} kg, hopper {number(fill.in_hopper.value)}"),) for fill in fills]  # fmt: skip
        columns = (
            Column("planned", 52, printed=True), Column("from load", 22), Column("kg in", 34), Column("started", 26), Column("ended", 26), Column("left in hopper, kg", 30),
        )  # fmt: skip
        return [form("fill started", "", columns, rows=(*rows, (("another fill", ""),)))]

    def spread(self) -> list[Form]:
        """A form a block, a row a strip."""
        columns = (
            Column("strip", 20, printed=True), Column("rate, by plan", 62, printed=True), Column("started", 26), Column("spread, time", 26), Column("rate changed at", 32), Column("kg or reading", 24),
        )  # fmt: skip
        return [
            form(f"strip spread: {self.stretch(block)}", "", columns, rows=tuple(self._spread_row(block, strip.number) for strip in self.street.strips))
            for block in self.blocks
        ]  # fmt: skip

    def _spread_row(self, block: Block, strip: int) -> tuple[tuple[str, str], ...]:
        """A strip with its rates, and where they change."""
        segments = [each for each in block.spread if each.lane == strip]
        rates = [f"{self.plan.zones[each.zone].rate.value:.3g}" for each in segments]
        edges = [f"{rate} from {self.show(each.start_m)}" for rate, each in zip(rates, segments, strict=True)]
        return (f"strip {strip}", ""), (
            f"{' then '.join(rates)} kg/m\u00b2",
            ", ".join(edges) if len(edges) > 1 else "",
        )

    def run_outs(self) -> list[Form]:
        """A row a predicted run-out, and one more."""
        rows = [
            (self._due(out.fill, out.station.value), (f"strip {out.strip}", f"block {out.block}"), (f"back to {self.place(out.back_up_to_m)[0]}, tray", "no cement left after" if out.bare_after else ""))
            for out in self.plan.supply.cement.run_outs
            if out.day == self.day
        ]  # fmt: skip
        columns = (
            Column("due at", 54, printed=True), Column("strip", 22, printed=True), Column("then", 40, printed=True), Column("ran out here", 34), Column("strip", 16), Column("time", 24),
        )  # fmt: skip
        spare = (("another fill", ""), ("", ""), ("back up, tray", ""))
        return [form("ran out here", "", columns, rows=(*rows, spare))]

    def _due(self, fill: int, station: float) -> tuple[str, str]:
        """Where a fill is due to run out."""
        shown, words = self.place(station)
        return f"{shown}, fill {fill}", words

    def trays(self) -> list[Form]:
        """A tray at every run-out and in every block."""
        outs = [out for out in self.plan.supply.cement.run_outs if out.day == self.day and not out.bare_after]
        at_outs = [
            ((f"run-out, fill {out.fill}", f"{self.place(out.station.value)[0]}, strip {out.strip}"),) for out in outs
        ]
        in_blocks = [((f"block {block.number}", self._rates(block)),) for block in self.blocks]
        limit = self.limits.rate_tolerance
        note = f"Tolerance: {_either_way(limit)}."
        columns = (
            Column("where, rate", 48, printed=True), Column("station", 30), Column("strip", 18), Column("tray kg", 30), Column("tray m\u00b2", 20), Column("time", 22), Column("not checked", 22, ticks=("",)),
        )  # fmt: skip
        return [form("tray kg", note, columns, rows=(*at_outs, *in_blocks))]

    def _rates(self, block: Block) -> str:
        """Rates of a block."""
        rates = dict.fromkeys(f"{self.plan.zones[each.zone].rate.value:.3g}" for each in block.spread)
        return f"{' and '.join(rates)} kg/m\u00b2"

    # mixing

    def passes(self) -> list[Form]:
        """A form a block, a row a strip: dry passes, wet, feet walked out, final roll."""
        columns = (
            Column("strip", 22, printed=True), Column("water, by plan", 48, printed=True), Column("dry 1", 20), Column("dry 2", 20), Column("dry 3", 20), Column("wet", 20), Column("feet walked out", 20), Column("final roll", 20),
        )  # fmt: skip
        cuts, strips = len(self.plan.shift.cuts), len(self.street.strips)
        note = "Write the time at the end of each. Not done: a line through the box."
        if cuts != strips:
            note = f"The mixer makes {cuts} cuts over {strips} strips: a strip is mixed when the cut over its middle is. Write the time at the end of each."
        return [
            form(f"dry 1 2 3, wet, feet walked out, final roll: {self.stretch(block)}", note, columns, rows=tuple(self._pass_row(block, strip.number) for strip in self.street.strips))
            for block in self.blocks
        ]  # fmt: skip

    def _pass_row(self, block: Block, strip: int) -> tuple[tuple[str, str], ...]:
        """A strip with its water settings."""
        segments = [each for each in block.spread if each.lane == strip]
        words = [self._water(each.zone) for each in segments]
        edges = [f"{word} from {self.show(each.start_m)}" for word, each in zip(words, segments, strict=True)]
        told = list(dict.fromkeys(words))
        return (f"strip {strip}", ""), (" then ".join(words) if len(told) > 1 else told[0], ", ".join(edges) if len(told) > 1 else "")  # fmt: skip

    def _water(self, zone: int) -> str:
        """Water of a zone in few words."""
        balance = self.plan.balance[zone]
        setting = setting_words(balance.water_setting)
        return (
            setting
            if balance.water_setting in ("full", "half", "off", "none")
            else f"{number(balance.water.value, 1)} L/m\u00b2"
        )

    def depth_holes(self) -> list[Form]:
        """Two holes a block, the depth by plan with its state printed."""
        rows = [
            ((f"block {block.number}", words),) for block in self.blocks for words in self._depths(block)
        ]  # fmt: skip
        limit = self.limits.depth_tolerance
        columns = (
            Column("block, depth by plan", 54, printed=True), Column("station", 30), Column("strip", 18), Column("hole, mm", 30), Column("state", 36, ticks=("loose", "rolled")), Column("time", 22),
        )  # fmt: skip
        return [
            form(
                "depth hole mm",
                f"Tolerance: {_either_way(limit)}. Say the state: a depth without it is no depth.",
                columns,
                rows=tuple(rows),
            )
        ]

    def _depths(self, block: Block) -> list[str]:
        """Depths of a block, one a hole; twice where there is one."""
        zones = dict.fromkeys(each.zone for each in block.spread)
        depths = list(dict.fromkeys(f"{planned_depth(self.plan.zones[zone])}{': not said' if self.plan.zones[zone].instruction.depth is None else ''}" for zone in zones))  # fmt: skip
        return depths if len(depths) > 1 else depths * 2

    def water_trucks(self) -> list[Form]:
        """A row a truck with its predicted place, and one more."""
        empties = [each for each in self.plan.supply.water.empties if each.day == self.day]
        rows = [
            (self._truck_due(each.truck, each.station.value), (f"cut {each.cut}", f"block {each.block}"))
            for each in empties
        ]
        columns = (
            Column("due empty at", 54, printed=True), Column("cut", 20, printed=True), Column("truck", 20), Column("coupled, time", 26), Column("setting", 22), Column("truck empty here", 26), Column("litres", 22),
        )  # fmt: skip
        spare = [(("another truck", ""), ("", "")) for _ in range(2 if not empties else 1)]
        return [form("coupled, truck empty here", "", columns, rows=(*rows, *spare))]

    def _truck_due(self, truck: int, station: float) -> tuple[str, str]:
        """Where a truck is due to empty."""
        shown, words = self.place(station)
        return f"{shown}, truck {truck}", words

    def squeeze(self) -> list[Form]:
        """A row a block."""
        columns = (
            Column("block, water by plan", 48, printed=True), Column("station", 30), Column("strip", 16), Column("squeeze", 54, ticks=("smears", "holds", "crumbles")), Column("set to L/m\u00b2", 24), Column("time", 18),
        )  # fmt: skip
        rows = tuple(((f"block {block.number}", " and ".join(dict.fromkeys(self._water(each.zone) for each in block.spread))),) for block in self.blocks)  # fmt: skip
        return [form("squeeze", "Smears: 5 L/m\u00b2 less. Crumbles: 5 more. In the first 20 m.", columns, rows=rows)]

    # after

    def problems(self) -> list[Form]:
        """Problems, and when they were closed."""
        columns = (
            Column("problem: what", 70),
            Column("where, strip", 34),
            Column("found", 26),
            Column("who decided", 32),
            Column("closed, time", 28),
        )
        return [form("problem, closed", "", columns, rows=((), (), (), ()))]

    def densities(self) -> list[Form]:
        """A row a block, and one more."""
        columns = (
            Column("block", 20, printed=True), Column("station, strip", 30), Column("depth mm", 18), Column("wet kg/m\u00b3", 24), Column("water %", 18), Column("dry kg/m\u00b3", 24), Column("reference", 28, ticks=("treated", "raw")), Column("%", 16), Column("tester", 22),
        )  # fmt: skip
        limit = self.limits.relative_compaction
        written = limit_words(limit, f"at least {limit.value.value * 100:g} %") if limit else NO_LIMIT
        rows = [((f"block {block.number}", ""),) for block in self.blocks]
        return [
            form(
                "density",
                f"Limit: {written}. Against the treated reference; raw is not comparable.",
                columns,
                rows=(*rows, (("again", ""),)),
            )
        ]

    def axle_test(self) -> list[Form]:
        """Two rows a block: one a lane."""
        columns = (
            Column("block, lane", 34, printed=True), Column("vehicle, axle load", 40), Column("tyre kPa", 22), Column("worst at", 28), Column("mm moved", 26), Column("pumping, cracks", 40, ticks=("pumps", "cracks")),
        )  # fmt: skip
        limit = self.limits.axle_test_movement
        written = limit_words(limit, f"at most {millimetres(limit.value)} mm") if limit else NO_LIMIT
        rows = tuple(
            ((f"block {block.number}", lane),) for block in self.blocks for lane in ("left lane", "right lane")
        )
        return [form("axle test", f"Limit: {written}.", columns, rows=rows)]


def _asked(what: str, unit: str, forecast: str | None, limit: tuple[str, str]) -> tuple[tuple[str, str], ...]:
    """One row of go or no-go."""
    return (what, unit), ("" if forecast is None else forecast or NOT_SAID, ""), limit


def _written(limit: PlainLimit | None, unit: str) -> tuple[str, str]:
    """A limit in two lines: its value, whose it is and where it is written."""
    if limit is None:
        return NO_LIMIT, ""
    return f"{limit.value:g} {unit}", f"{limit.owner or 'owner not said'}, {limit.source or 'source not said'}"


def _either_way(limit: LengthLimit | ShareLimit | None) -> str:
    """A tolerance in words, in millimetres or in per cent."""
    if limit is None:
        return NO_LIMIT
    value = limit.value
    shown = f"{value.value * 100:g} %" if value.unit == "1" else f"{millimetres(value)} mm"
    return limit_words(limit, f"{shown} either way")


def _spare(strong: str, plain: str) -> tuple[tuple[str, str], ...]:
    """A row for what nobody planned."""
    return (strong, plain), ("", "")
