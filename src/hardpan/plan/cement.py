"""Cement: tonnes by zone, what to order, the loads, every spreader fill and where it runs out, and what is left bare."""

from __future__ import annotations

import math
from dataclasses import dataclass, field

from hardpan.laws import spread
from hardpan.plan.blocks import Block, BlockPlan, Segment
from hardpan.plan.zones import Zone
from hardpan.street import Basis, Figure, Notice, Street
from hardpan.street.defaults import default
from hardpan.street.figure import worked

ROUND_LOAD = 100.0  # kilograms: a proposed last load is ordered in such steps


@dataclass(frozen=True, slots=True)
class ZoneCement:
    """Cement of one zone; ``strip_a_hopper`` is the length of strip that one full hopper covers (None at rate 0)."""

    zone: str
    rate: Figure
    area: Figure
    planned: Figure
    strip_a_hopper: Figure | None


@dataclass(frozen=True, slots=True)
class BlockCement:
    """Planned cement of one block."""

    block: int
    day: int
    planned: Figure


@dataclass(frozen=True, slots=True)
class Load:
    """A bulk load: stated, or proposed where nobody ordered yet; ``time_min`` is minutes after midnight."""

    day: int
    number: int
    time_min: float
    cement: Figure
    ticket: str
    proposed: bool


@dataclass(frozen=True, slots=True)
class Fill:
    """One spreader fill: what goes in, from which load, what is in the hopper then."""

    day: int
    number: int
    cement: Figure
    in_hopper: Figure
    load: int


@dataclass(frozen=True, slots=True)
class RunOut:
    """Where a fill runs out: back up, set a tray, overlap there. ``bare_after`` where no cement is left for the day."""

    day: int
    fill: int
    block: int
    strip: int
    station: Figure
    place: str
    back_up_to_m: float
    bare_after: bool


@dataclass(frozen=True, slots=True)
class Bare:
    """A stretch that gets no cement because the loads end before it."""

    strip: int
    start_m: float
    end_m: float
    place: str
    area: Figure
    cement: Figure


@dataclass(frozen=True, slots=True)
class Cement:
    """All of the cement."""

    zones: tuple[ZoneCement, ...]
    blocks: tuple[BlockCement, ...]
    planned: Figure
    ordered: Figure
    laid: Figure
    loads: tuple[Load, ...]
    short: Figure
    fills: tuple[Fill, ...]
    run_outs: tuple[RunOut, ...]
    bare: tuple[Bare, ...]
    bare_area: Figure
    left_over: Figure
    notices: tuple[Notice, ...]


def supply_cement(street: Street, zones: tuple[Zone, ...], plan: BlockPlan) -> Cement:
    """Cement of the whole street, walked in the order of work."""
    order_allowance = street.file.cement.order_allowance
    spread_allowance = street.file.cement.spread_allowance or order_allowance
    planned = worked(
        "cement planned", sum(zone.cement.value for zone in zones), "kg", *(zone.cement for zone in zones),
        formula="sum over zones of rate x area",
    )  # fmt: skip
    ordered = worked(
        "cement ordered", planned.value * (1 + order_allowance.value), "kg", planned, order_allowance,
        formula="planned x (1 + order allowance)",
    )  # fmt: skip
    laid = worked(
        "cement the spreader lays", planned.value * (1 + spread_allowance.value), "kg", planned, spread_allowance,
        formula="planned x (1 + spread allowance)",
    )  # fmt: skip
    loads = _loads(street, plan, 1 + max(order_allowance.value, spread_allowance.value), zones)
    delivered = worked(
        "cement in loads",
        sum(load.cement.value for load in loads),
        "kg",
        *(load.cement for load in loads),
        formula="sum of the loads",
    )
    walk = _Walk(street, zones, plan, loads, 1 + spread_allowance.value)
    walk.all_days()
    short = worked(
        "short",
        max(0.0, ordered.value - delivered.value),
        "kg",
        ordered,
        delivered,
        formula="ordered - loads, never below 0",
    )
    bare_area = worked(
        "bare area",
        sum(bare.area.value for bare in walk.bare),
        "m2",
        laid,
        delivered,
        formula="length of strip without cement x strip width",
    )
    left_over = worked(
        "left over", walk.left_over, "kg", delivered, laid, formula="what stays in hopper and loads when the walk ends"
    )
    return Cement(
        zones=tuple(_zone_cement(street, zone) for zone in zones),
        blocks=tuple(_block_cement(street, zones, block) for block in plan.blocks),
        planned=planned, ordered=ordered, laid=laid, loads=loads, short=short,
        fills=tuple(walk.fills), run_outs=tuple(walk.run_outs), bare=tuple(walk.bare), bare_area=bare_area, left_over=left_over,
        notices=(*_notices(loads, short, walk.bare, left_over), *walk.notices),
    )  # fmt: skip


def _zone_cement(street: Street, zone: Zone) -> ZoneCement:
    """Cement of one zone."""
    hopper, width = street.file.spreader.hopper, street.strips[0].width
    if zone.rate.value == 0:
        return ZoneCement(zone.name, zone.rate, zone.area, zone.cement, None)
    strip = Figure("strip width", width, "m", street.file.line.width.basis, "width / strips")
    length = worked(
        "strip a hopper", float(spread.coverage_length(hopper.value, zone.rate.value, width)), "m", hopper, zone.rate, strip,
        formula="hopper / (rate x strip width), without allowance",
    )  # fmt: skip
    return ZoneCement(zone.name, zone.rate, zone.area, zone.cement, length)


def _block_kilograms(street: Street, zones: tuple[Zone, ...], block: Block) -> float:
    """Planned kilograms of a block."""
    return sum(
        segment.length_m * street.strips[segment.lane - 1].width * zones[segment.zone].rate.value
        for segment in block.spread
    )


def _block_cement(street: Street, zones: tuple[Zone, ...], block: Block) -> BlockCement:
    """Planned cement of one block."""
    rates = {zones[segment.zone].name: zones[segment.zone].rate for segment in block.spread}
    planned = worked(
        "block cement",
        _block_kilograms(street, zones, block),
        "kg",
        *rates.values(),
        block.area,
        formula="sum over the block of rate x area",
    )
    return BlockCement(block.number, block.day, planned)


def _loads(street: Street, plan: BlockPlan, allowance: float, zones: tuple[Zone, ...]) -> tuple[Load, ...]:
    """Loads as stated; else road trains and a last load each day, far enough apart that none waits."""
    stated = sorted(street.file.cement.delivery, key=lambda load: (load.day, load.time))
    if stated:
        return tuple(
            Load(load.day, i + 1, load.time.hour * 60 + load.time.minute, load.cement, load.ticket, proposed=False)
            for i, load in enumerate(stated)
        )
    loads: list[Load] = []
    train, start = default("cement.train_load"), street.file.shift.start
    for day in sorted({block.day for block in plan.blocks}):
        blocks = [block for block in plan.blocks if block.day == day]
        need = allowance * sum(_block_kilograms(street, zones, block) for block in blocks)
        mixing = sum(block.durations.mixing_minutes + street.file.mixer.move.value for block in blocks)
        time = float(start.hour * 60 + start.minute)
        while need > 1e-6:
            kilograms = min(train.value, ROUND_LOAD * math.ceil(need / ROUND_LOAD - 1e-9))
            cement = worked(
                "load", kilograms, "kg", train, formula="a road train, the last load of a day rounded up to 100 kg"
            )
            loads.append(Load(day, len(loads) + 1, time, cement, "", proposed=True))
            time += mixing * min(1.0, kilograms / max(need, kilograms))
            need -= kilograms
    return tuple(loads)


def _notices(loads: tuple[Load, ...], short: Figure, bare: list[Bare], left_over: Figure) -> tuple[Notice, ...]:
    """Short loads and the bays they leave, loads that are only proposed, and cement that is there but not on the day."""
    notices = []
    if any(load.proposed for load in loads):
        notices.append(
            Notice(
                "default",
                f"no load is ordered yet: {len(loads)} are proposed, by the road train of {default('cement.train_load').value:.0f} kg",
            )
        )
    if short.value > 0:
        leaves = "; the planned rates still reach the end" if not bare else ""
        notices.append(
            Notice(
                "shortage",
                f"the loads are {short.value:.0f} kg short of the order{leaves}",
                value=f"{short.value:.0f} kg",
            )
        )
    if bare:
        area = sum(stretch.area.value for stretch in bare)
        where = "; ".join(f"{stretch.place}, strip {stretch.strip}" for stretch in bare)
        kilograms, left = sum(stretch.cement.value for stretch in bare), left_over.value
        wanted = f"order {kilograms:.0f} kg more, or have bags at hand"
        if left > 1:
            wanted = f"{kilograms:.0f} kg are wanting there while {left:.0f} kg are left over: check the fills and the days of the loads"
        notices.append(
            Notice(
                "shortage",
                f"no cement left for {area:.0f} m2: {wanted}",
                where,
                f"{area:.0f} m2",
            )
        )
    return tuple(notices)


@dataclass
class _Walk:
    """The walk of the spreader over all blocks, day by day, load by load."""

    street: Street
    zones: tuple[Zone, ...]
    plan: BlockPlan
    loads: tuple[Load, ...]
    factor: float
    fills: list[Fill] = field(default_factory=list)
    run_outs: list[RunOut] = field(default_factory=list)
    bare: list[Bare] = field(default_factory=list)
    notices: list[Notice] = field(default_factory=list)
    carry: float = 0.0
    left_over: float = 0.0

    def all_days(self) -> None:
        """Walk every day in turn; what the hopper holds in the evening is there in the morning."""
        self.remaining = {load.number: load.cement.value for load in self.loads}
        for day in sorted({block.day for block in self.plan.blocks}):
            self._day(day, [block for block in self.plan.blocks if block.day == day])
        self.left_over = self.carry + sum(self.remaining.values())

    def _day(self, day: int, blocks: list[Block]) -> None:
        """Walk one day's blocks."""
        walked = [(block, segment) for block in blocks for segment in block.spread]
        lengths = [segment.length_m for _, segment in walked]
        per_metre = [self._kilograms_a_metre(segment) for _, segment in walked]
        need = sum(length * demand for length, demand in zip(lengths, per_metre, strict=True))
        fills = self._fill_up(day, need)
        charges = [fill.in_hopper.value for fill in fills] if fills else [self.carry]
        walk = spread.run_outs(lengths, per_metre, charges)
        self.carry = walk.unused
        for i, (at, distance) in enumerate(zip(walk.segment.tolist(), walk.distance.tolist(), strict=True)):
            if at >= 0 and charges[i] > 0:
                block, segment = walked[at]
                number = fills[i].number if fills else 0
                last = i == len(charges) - 1 and walk.missing > 0
                self.run_outs.append(
                    self._run_out(day, number, block, segment, distance, charges=tuple(fills[: i + 1]), bare_after=last)
                )
        self.fills.extend(fills)
        if walk.missing > 0:
            after = (int(walk.segment[-1]), float(walk.distance[-1])) if charges else (0, 0.0)
            basis = self.run_outs[-1].station.basis if self.run_outs else Basis.STATED
            self._leave_bare([segment for _, segment in walked], *after, basis=basis)

    def _kilograms_a_metre(self, segment: Segment) -> float:
        """Cement that the spreader lays on a metre of strip."""
        return self.zones[segment.zone].rate.value * self.street.strips[segment.lane - 1].width * self.factor

    def _fill_up(self, day: int, need: float) -> list[Fill]:
        """Fills of one day: as stated, else to the brim or the rest of the load, until the day's need is met."""
        hopper = self.street.file.spreader.hopper
        stated = [fill for fill in self.street.file.cement.fill if fill.day == day]
        fills: list[Fill] = []
        held, total = self.carry, self.carry
        while total < need - 1e-6 and not (stated and len(fills) == len(stated)):
            load = next((load for load in self.loads if load.day == day and self.remaining[load.number] > 1e-6), None)
            if load is None:
                break
            wanted = stated[len(fills)].cement if stated else "brim"
            room, rest = hopper.value - held, self.remaining[load.number]
            kilograms = min(wanted.value, rest) if isinstance(wanted, Figure) else min(room, rest)
            if kilograms <= 0:
                break
            if held + kilograms > hopper.value + 1e-6:
                self.notices.append(
                    Notice(
                        "limit",
                        f"fill {len(self.fills) + len(fills) + 1} would hold {held + kilograms:.0f} kg",
                        f"day {day}",
                        limit=f"{hopper.value:.0f} kg hopper",
                    )
                )
            self.remaining[load.number] -= kilograms
            fills.append(self._fill(day, len(self.fills) + len(fills) + 1, kilograms, held, load=load, said=wanted))
            total += kilograms
            held = 0.0
        if len(fills) < len(stated) and total >= need - 1e-6:
            message = f"{len(stated)} fills are stated, {len(fills)} are enough: the others are left out"
            self.notices.append(Notice("judgement", message, f"day {day}"))
        return fills

    def _fill(self, day: int, number: int, kilograms: float, held: float, *, load: Load, said: Figure | str) -> Fill:
        """One fill."""
        hopper = self.street.file.spreader.hopper
        if isinstance(said, Figure) and said.value == kilograms:
            cement = said
        else:
            cement = worked(
                "fill", kilograms, "kg", hopper, load.cement, formula="to the brim, or the rest of the load"
            )
        before = Figure(
            "in hopper before", held, "kg", load.cement.basis, "left of the day before" if held else "empty"
        )
        return Fill(
            day,
            number,
            cement,
            worked("in hopper", held + kilograms, "kg", before, cement, formula="before + fill"),
            load.number,
        )

    def _run_out(
        self,
        day: int,
        number: int,
        block: Block,
        segment: Segment,
        distance: float,
        *,
        charges: tuple[Fill, ...],
        bare_after: bool,
    ) -> RunOut:
        """Where one fill runs out."""
        back_up = self.street.file.spreader.back_up
        spread_allowance = self.street.file.cement.spread_allowance or self.street.file.cement.order_allowance
        station = worked(
            "run-out station", segment.start_m + distance, "m", *(fill.in_hopper for fill in charges), self.zones[segment.zone].rate, spread_allowance,
            formula="where rate x (1 + spread allowance) x strip width, summed in the order of work, has used the day's fills so far",
            source="walk along strips",
        )  # fmt: skip
        return RunOut(
            day, number, block.number, segment.lane, station, self.street.painted(station.value),
            max(segment.start_m + distance - back_up.value, block.start_m), bare_after,
        )  # fmt: skip

    def _leave_bare(self, segments: list[Segment], at: int, distance: float, *, basis: Basis) -> None:
        """Note what the day's loads leave without cement."""
        merged: list[list[float]] = []
        for i, segment in enumerate(segments[at:] if at >= 0 else []):
            start = segment.start_m + (distance if i == 0 else 0.0)
            if segment.end_m - start <= 1e-9 or self.zones[segment.zone].rate.value == 0:
                continue
            kilograms = (segment.end_m - start) * self._kilograms_a_metre(segment)
            if merged and merged[-1][0] == segment.lane and abs(merged[-1][2] - start) < 1e-9:
                merged[-1][2], merged[-1][3] = segment.end_m, merged[-1][3] + kilograms
            else:
                merged.append([segment.lane, start, segment.end_m, kilograms])
        for lane, start, end, kilograms in merged:
            width = self.street.strips[int(lane) - 1].width
            length = Figure(
                "bare length", end - start, "m", basis, "from where the cement ends to the end of the day's strips"
            )
            strip = Figure("strip width", width, "m", self.street.file.line.width.basis, "width / strips")
            area = worked("bare area", (end - start) * width, "m2", length, strip, formula="bare length x strip width")
            cement = worked("cement wanting", kilograms, "kg", area, formula="area x rate x (1 + spread allowance)")
            self.bare.append(
                Bare(int(lane), start, end, f"{self.street.painted(start)} to {self.street.painted(end)}", area, cement)
            )
