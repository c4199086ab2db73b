"""Water by truck and by ground."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from hardpan.ledger.ground import Area, Ground
from hardpan.ledger.placed import Event, of
from hardpan.ledger.supplying import Curing, WaterTruckCoupled, WaterTruckEmpty
from hardpan.ledger.working import MixingPass
from hardpan.street import Street


@dataclass(frozen=True, slots=True)
class Truck:
    """One water truck: what left it between two moments when its content was known, and what it holds."""

    name: str
    drawn_l: float
    on_board_l: float | None
    rests_on_volume: bool  # true: nobody read it when it coupled, the volume of the street's truck was taken


@dataclass(frozen=True, slots=True)
class WaterState:
    """Mixing water by meter, by ground (over ``by_area_m2``, where a rate was told) and by truck; curing water beside it."""

    metered_l: float
    by_area_l: float
    by_area_m2: float
    watered_m2: float
    by_truck_l: float
    curing_l: float
    trucks: tuple[Truck, ...]
    blocks_l: tuple[tuple[str, float], ...]

    def block_l(self, name: str) -> float:
        """Metered water of one block [L]."""
        return dict(self.blocks_l).get(name, 0.0)


def watered(event: Event, said: MixingPass) -> list[Area]:
    """Parts of a wet pass on which the water ran."""
    area = event.area
    if said.mixed != "wet" or said.setting == "off" or area is None or area.point:
        return []
    parts = []
    for strip in area.strips:
        shut = sorted((one.start_m, one.end_m) for one in said.shut if not one.strips or strip in one.strips)
        start = area.start_m
        for low, high in [*shut, (area.end_m, area.end_m)]:
            if min(low, area.end_m) > start:
                parts.append(Area(start, min(low, area.end_m), (strip,)))
            start = max(start, high)
    return parts


def reckon_water(events: tuple[Event, ...], ground: Ground, street: Street) -> WaterState:
    """Water of everything that was entered."""
    metered = by_area = by_area_m2 = watered_m2 = 0.0
    blocks: dict[str, float] = {}
    for event, said in of(MixingPass, events):
        per_area = said.water_l_m2
        if per_area is None and said.setting in ("full", "half"):
            stated = street.file.soil.water_full if said.setting == "full" else street.file.soil.water_half
            per_area = stated.value if stated else None
        area = sum((part.end_m - part.start_m) * ground.widths[part.strips[0]] for part in watered(event, said))
        watered_m2 += area
        by_area += area * (per_area or 0.0)
        by_area_m2 += area if per_area is not None else 0.0
        if said.water_l is not None:
            metered += said.water_l
            blocks[event.block] = blocks.get(event.block, 0.0) + said.water_l
    trucks = _trucks(events, street)
    return WaterState(
        metered_l=metered,
        by_area_l=by_area,
        by_area_m2=by_area_m2,
        watered_m2=watered_m2,
        by_truck_l=sum((truck.drawn_l for truck in trucks), 0.0),
        curing_l=sum((said.water_l or 0.0 for _, said in of(Curing, events)), 0.0),
        trucks=trucks,
        blocks_l=tuple(blocks.items()),
    )


def _trucks(events: Iterable[Event], street: Street) -> tuple[Truck, ...]:
    """Every truck's content walked in order."""
    found: dict[str, Truck] = {}
    for event in events:
        said = event.payload
        if type(said) is WaterTruckCoupled:
            found[said.truck] = _coupled(found.get(said.truck, Truck(said.truck, 0.0, None, False)), said, street)
        elif type(said) is WaterTruckEmpty:
            found[said.truck] = _emptied(found.get(said.truck, Truck(said.truck, 0.0, None, False)), said)
    return tuple(found.values())


def _coupled(truck: Truck, said: WaterTruckCoupled, street: Street) -> Truck:
    """A truck that coupled: with what was read, else with what was known and taken on, else full."""
    before = truck.on_board_l
    if said.on_board_l is not None:
        supplied = None if before is None or said.filled_l is None else before + said.filled_l
        drawn = truck.drawn_l + (max(supplied - said.on_board_l, 0.0) if supplied is not None else 0.0)
        return Truck(truck.name, drawn, said.on_board_l, truck.rests_on_volume)
    if before is not None and before > 0:
        return Truck(truck.name, truck.drawn_l, before + (said.filled_l or 0.0), truck.rests_on_volume)
    if said.filled_l is not None:
        return Truck(truck.name, truck.drawn_l, said.filled_l, truck.rests_on_volume)
    return Truck(truck.name, truck.drawn_l, street.file.water_truck.volume.value, True)


def _emptied(truck: Truck, said: WaterTruckEmpty) -> Truck:
    """A truck that ran dry, or uncoupled with what it still held."""
    left = said.left_l or 0.0
    drawn = max((truck.on_board_l or 0.0) - left, 0.0)
    return Truck(truck.name, truck.drawn_l + drawn, left, truck.rests_on_volume)
