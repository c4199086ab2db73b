"""Water on the day: litres by zone, the flow the pump must give, and where each water truck empties."""

from __future__ import annotations

import math
from dataclasses import dataclass

from hardpan.laws import spread, water
from hardpan.plan.balance import ZoneBalance
from hardpan.plan.blocks import Block, BlockPlan, Cut
from hardpan.plan.zones import Zone
from hardpan.street import Figure, Notice, Street
from hardpan.street.figure import worked


@dataclass(frozen=True, slots=True)
class ZoneWater:
    """Water of one zone: setting, litres, the flow at the wet speed, and what one truck does there (None where no water is laid)."""

    zone: str
    setting: str
    rate: Figure
    litres: Figure
    flow: Figure
    cut_a_truck: Figure | None
    minutes_a_truck: Figure | None


@dataclass(frozen=True, slots=True)
class TruckEmpty:
    """Where a water truck runs dry; numbered in order over the street."""

    truck: int
    day: int
    block: int
    cut: int
    station: Figure
    place: str


@dataclass(frozen=True, slots=True)
class BlockWater:
    """Water of one block by zone areas, and the times a truck changes in it."""

    block: int
    litres: Figure
    truck_changes: int


@dataclass(frozen=True, slots=True)
class WaterSupply:
    """All of the mixing water; ``trucks_at_work`` keep the mixer moving at the wettest zone."""

    zones: tuple[ZoneWater, ...]
    blocks: tuple[BlockWater, ...]
    litres: Figure
    through_bar: Figure
    truck_loads: Figure
    empties: tuple[TruckEmpty, ...]
    trucks_at_work: Figure
    notices: tuple[Notice, ...]


def supply_water(
    street: Street, zones: tuple[Zone, ...], balances: tuple[ZoneBalance, ...], plan: BlockPlan
) -> WaterSupply:
    """Water of the whole street, walked along the cuts in the order of work."""
    zone_waters = tuple(
        _zone_water(street, zone, balance, plan.cuts) for zone, balance in zip(zones, balances, strict=True)
    )
    total = worked(
        "mixing water",
        sum(zone.litres.value for zone in zone_waters),
        "L",
        *(zone.litres for zone in zone_waters),
        formula="sum over zones of rate x area",
    )
    empties, through, loads = _walk(street, balances, plan)
    bar = worked(
        "water through the bar", through, "L", *(zone.rate for zone in zone_waters), formula="sum over cuts of rate x wetted width x length",
    )  # fmt: skip
    truck = street.file.water_truck
    needed = worked(
        "truck loads",
        loads,
        "1",
        bar,
        truck.volume,
        formula="loads to walk every cut, each truck running dry where it is unless it tops up",
    )
    changes = {block.number: sum(1 for empty in empties if empty.block == block.number) for block in plan.blocks}
    blocks = tuple(
        BlockWater(block.number, _block_litres(street, zones, balances, block), changes[block.number])
        for block in plan.blocks
    )
    return WaterSupply(
        zone_waters,
        blocks,
        total,
        bar,
        needed,
        empties,
        _trucks_at_work(street, zone_waters),
        _notices(street, zone_waters, total, bar),
    )


def _zone_water(street: Street, zone: Zone, balance: ZoneBalance, cuts: tuple[Cut, ...]) -> ZoneWater:
    """Water of one zone, at the widest wetted cut."""
    rate, truck, speed = balance.water, street.file.water_truck, street.file.mixer.wet_speed
    wetted = Figure(
        "wetted width",
        max(cut.wetted_width_m for cut in cuts),
        "m",
        street.file.mixer.wetting.basis,
        "spray bar, or the drum with overlap nozzles shut",
    )
    litres = worked("water", rate.value * zone.area.value, "L", rate, zone.area, formula="rate x area")
    flow = worked(
        "flow", float(water.pump_flow(speed.value / 60, wetted.value, rate.value)) * 60, "L/min", speed, wetted, rate,
        formula="wet speed x wetted width x rate",
    )  # fmt: skip
    if rate.value == 0:
        return ZoneWater(zone.name, balance.water_setting, rate, litres, flow, None, None)
    metres = worked(
        "cut a truck", float(water.truck_length(truck.volume.value, rate.value, wetted.value)), "m", truck.volume, rate, wetted,
        formula="truck volume / (rate x wetted width)",
    )  # fmt: skip
    minutes = worked(
        "minutes a truck", truck.volume.value / flow.value, "min", truck.volume, flow, formula="truck volume / flow"
    )
    return ZoneWater(zone.name, balance.water_setting, rate, litres, flow, metres, minutes)


def _block_litres(street: Street, zones: tuple[Zone, ...], balances: tuple[ZoneBalance, ...], block: Block) -> Figure:
    """Litres of a block by the areas of its strips."""
    litres = sum(
        segment.length_m * street.strips[segment.lane - 1].width * balances[segment.zone].water.value
        for segment in block.spread
    )
    rates = {zones[segment.zone].name: balances[segment.zone].water for segment in block.spread}
    return worked("block water", litres, "L", *rates.values(), block.area, formula="sum over the block of rate x area")


def _walk(
    street: Street, balances: tuple[ZoneBalance, ...], plan: BlockPlan
) -> tuple[tuple[TruckEmpty, ...], float, int]:
    """Places where trucks empty, litres through the bar, loads drawn; a truck that tops up starts each block full."""
    volume, wetted = street.file.water_truck.volume.value, {cut.number: cut.wetted_width_m for cut in plan.cuts}
    each_block = street.file.water_truck.tops_up_between_blocks
    stages = (
        [[block] for block in plan.blocks]
        if each_block
        else [[b for b in plan.blocks if b.day == day] for day in sorted({b.day for b in plan.blocks})]
    )
    empties: list[TruckEmpty] = []
    through, loads = 0.0, 0
    for stage in stages:
        walked = [(block, segment) for block in stage for segment in block.mix]
        per_metre = [balances[segment.zone].water.value * wetted[segment.lane] for _, segment in walked]
        total = sum(segment.length_m * litres for (_, segment), litres in zip(walked, per_metre, strict=True))
        count = math.ceil(total / volume - 1e-9)
        found = spread.run_outs([segment.length_m for _, segment in walked], per_metre, [volume] * count)
        for at, distance in zip(found.segment.tolist(), found.distance.tolist(), strict=True):
            if at >= 0:
                block, segment = walked[at]
                station = worked(
                    "truck empty at", segment.start_m + distance, "m", street.file.water_truck.volume, balances[segment.zone].water,
                    formula="where rate x wetted width, summed along the cuts in working order, has used the trucks so far", source="walk along cuts",
                )  # fmt: skip
                empties.append(
                    TruckEmpty(
                        len(empties) + 1, block.day, block.number, segment.lane, station, street.painted(station.value)
                    )
                )
        through, loads = through + total, loads + count
    return tuple(empties), through, loads


def _trucks_at_work(street: Street, zones: tuple[ZoneWater, ...]) -> Figure:
    """Trucks that keep the mixer moving: one always coupled while the others are away to fill."""
    truck = street.file.water_truck
    emptying = [zone.minutes_a_truck for zone in zones if zone.minutes_a_truck is not None]
    if not emptying:
        return Figure("water trucks", 0, "1", truck.volume.basis, "no water is laid")
    fastest = min(emptying, key=lambda figure: figure.value)
    count = (
        1
        if truck.tops_up_between_blocks
        else math.ceil(
            (truck.away.value + truck.coupling.value + fastest.value) / (fastest.value + truck.coupling.value) - 1e-9
        )
    )
    return worked(
        "water trucks", count, "1", truck.away, truck.coupling, fastest,
        formula="one where it tops up between blocks, else (away + coupling + emptying) / (emptying + coupling), rounded up",
    )  # fmt: skip


def _notices(street: Street, zones: tuple[ZoneWater, ...], total: Figure, bar: Figure) -> tuple[Notice, ...]:
    """A pump that cannot give the flow, and water that overlaps lay twice."""
    pump, speed = street.file.water_truck.pump, street.file.mixer.wet_speed.value
    notices = [
        Notice(
            "limit",
            f"the pump gives {pump.value:.0f} L/min: drive {speed * pump.value / zone.flow.value:.1f} m/min there",
            zone.zone,
            f"{zone.flow.value:.0f} L/min",
            f"{pump.value:.0f} L/min",
        )
        for zone in zones
        if zone.flow.value > pump.value
    ]
    extra = bar.value - total.value
    if extra > 0.01 * total.value:
        notices.append(
            Notice(
                "judgement",
                f"the bar wets {extra:.0f} L more than the areas need, in the overlaps; shut the overlap nozzles",
            )
        )
    return tuple(notices)
