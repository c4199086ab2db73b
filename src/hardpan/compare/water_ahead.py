"""Water from here on: where the truck that is coupled runs dry, walked along the mixer's cuts as in the plan."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass

from hardpan.compare.ground_left import DONE, SLIVER_M, share_left
from hardpan.compare.happened import Happened
from hardpan.laws import spread
from hardpan.ledger import Event
from hardpan.ledger.placed import of
from hardpan.ledger.reckoning import merged
from hardpan.ledger.supplying import WaterTruckCoupled, WaterTruckEmpty
from hardpan.ledger.working import MixingPass
from hardpan.plan.blocks import Block, Segment
from hardpan.plan.mixing_water import setting_litres
from hardpan.street import Basis, Figure
from hardpan.street.figure import EIGHT_IN_TEN, worked


@dataclass(frozen=True, slots=True)
class TruckAhead:
    """The truck that is coupled: where it runs dry, or that it does not in what it still waters (``station`` None, ``left`` over).

    ``earliest`` and ``latest`` are cut and station of the band, None where nothing scatters.
    """

    truck: str
    coupled: str
    on_board: Figure
    block: int | None
    cut: int | None
    station: Figure | None
    place: str
    earliest: tuple[int, float] | None
    latest: tuple[int, float] | None
    left: Figure


def look_at_water(happened: Happened) -> TruckAhead | None:
    """Where the coupled truck runs dry; None where no truck is coupled.

    Notes
    -----
    The walk begins where the truck coupled, with what it held then, over ground that no wet pass had watered by then: the setting that
    was said at the coupling where the plan wants as much water as there, else the plan's water of the zone, on the width that the bar
    wets. A truck that tops up between blocks is walked to the end of the block that is being watered now.
    """
    coupled = _coupled(happened)
    if coupled is None:
        return None
    event, said = coupled
    on_board = _on_board(happened, said)
    ground = _ground(happened, event, said)
    lengths = [segment.length_m for _, segment, _ in ground]
    demand = [litres for _, _, litres in ground]
    needed = sum(length * litres for length, litres in zip(lengths, demand, strict=True))
    rates = tuple(balance.water for balance in happened.plan.balance)
    left = worked(
        "left over",
        max(on_board.value - needed, 0.0),
        "L",
        on_board,
        *rates,
        formula="on board - what the ground takes",
    )
    middle = _dry_at(ground, on_board.value)
    if middle is None:
        return TruckAhead(said.truck, event.id, on_board, None, None, None, "", None, None, left)
    block, segment, distance = middle
    station = worked(
        "truck empty at", segment.start_m + distance, "m", on_board, *rates,
        formula="where rate x wetted width, summed along the cuts from the coupling on, has used what was on board", source="walk along cuts",
    )  # fmt: skip
    ends = [_dry_at(ground, on_board.value + sign * EIGHT_IN_TEN * on_board.spread) for sign in (-1, 1)]
    spots = [None if at is None or not on_board.spread else (at[1].lane, at[1].start_m + at[2]) for at in ends]
    place = happened.plan.street.painted(station.value)
    return TruckAhead(
        said.truck, event.id, on_board, block.number, segment.lane, station, place, spots[0], spots[1], left
    )


def _coupled(happened: Happened) -> tuple[Event, WaterTruckCoupled] | None:
    """Last coupling of a truck that has not been told empty or uncoupled since."""
    couplings = list(of(WaterTruckCoupled, happened.state.events))
    if not couplings:
        return None
    event, said = couplings[-1]
    over = any(
        empty.at >= event.at and one.truck == said.truck for empty, one in of(WaterTruckEmpty, happened.state.events)
    )
    return None if over else (event, said)


def _on_board(happened: Happened, said: WaterTruckCoupled) -> Figure:
    """What the truck held when it coupled: read, else by the ledger, else the volume of the street's truck."""
    volume = happened.plan.street.file.water_truck.volume
    if said.on_board_l is not None:
        return Figure("on board", said.on_board_l, "L", Basis.MEASURED, "read at the coupling")
    truck = next((one for one in happened.state.water.trucks if one.name == said.truck), None)
    if truck is None or truck.rests_on_volume or truck.on_board_l is None:
        return worked(
            "on board", volume.value, "L", volume, formula="a full truck: nobody read it", spread=volume.spread
        )
    return Figure("on board", truck.on_board_l, "L", Basis.STATED, "by the ledger")


def _ground(happened: Happened, event: Event, said: WaterTruckCoupled) -> list[tuple[Block, Segment, float]]:
    """Cuts that the truck waters from its coupling on, each with its block and litres a metre."""
    street = happened.plan.street
    wetted = {cut.number: cut.wetted_width_m for cut in happened.plan.shift.cuts}
    done = _watered(happened, event)
    zones = happened.zones(event.area) if event.area is not None else ()
    there = {
        balance.water.value
        for zone, balance in zip(happened.plan.zones, happened.plan.balance, strict=True)
        if zone.name in zones[:1]
    }
    found = []
    for block in happened.plan.shift.blocks:
        for segment in block.mix:
            rate = _rate(happened, segment, said, there=there)
            for part in _parts(segment, done[segment.lane]):
                found.append((block, part, rate * wetted[segment.lane]))
    found = _from_spot(happened, event, found)
    return _until_topped_up(happened, found) if street.file.water_truck.tops_up_between_blocks else found


def _until_topped_up(
    happened: Happened, ground: list[tuple[Block, Segment, float]]
) -> list[tuple[Block, Segment, float]]:
    """Ground to the end of the last block that has any water, else of the first: the truck tops up before the next."""
    begun = [one.number for one in happened.plan.shift.blocks if share_left(happened, one)["wet"] < 1 - DONE]
    until = max([*begun, *(block.number for block, _, _ in ground[:1])], default=0)
    return [one for one in ground if one[0].number <= until]


def _rate(happened: Happened, segment: Segment, said: WaterTruckCoupled, *, there: set[float]) -> float:
    """Litres a square metre on a cut: none where the plan wants none, as set where it wants as much as at the coupling, else the plan's."""
    planned = happened.plan.balance[segment.zone].water.value
    if planned == 0 or (there and planned not in there):
        return planned
    if said.water_l_m2 is not None:
        return said.water_l_m2
    return planned if said.setting is None else setting_litres(happened.plan.street, said.setting).value


def _watered(happened: Happened, event: Event) -> dict[int, list[tuple[float, float]]]:
    """Ground of every cut that a wet pass had gone over when the truck coupled."""
    done: dict[int, list[tuple[float, float]]] = defaultdict(list)
    for wet, said in of(MixingPass, happened.state.events):
        if said.mixed == "wet" and wet.area is not None and wet.ended is not None and wet.ended <= event.at:
            for cut in happened.plan.shift.cuts:
                if _strip_under(happened, cut.middle_m) in wet.area.strips:
                    done[cut.number].append((wet.area.start_m, wet.area.end_m))
    return done


def _parts(segment: Segment, done: list[tuple[float, float]]) -> list[Segment]:
    """Parts of a cut that were not watered."""
    found, at = [], segment.start_m
    for start, end in merged((s, e) for s, e in done if e > segment.start_m and s < segment.end_m):
        if start - at > SLIVER_M:
            found.append(Segment(segment.lane, at, start, segment.zone))
        at = max(at, end)
    if segment.end_m - at > SLIVER_M:
        found.append(Segment(segment.lane, at, segment.end_m, segment.zone))
    return found


def _from_spot(
    happened: Happened, event: Event, ground: list[tuple[Block, Segment, float]]
) -> list[tuple[Block, Segment, float]]:
    """Ground from the spot of the coupling on, where it was told as a spot on one strip."""
    place = event.area
    if place is None or not place.point or len(place.strips) != 1:
        return ground
    lane = next(
        (cut.number for cut in happened.plan.shift.cuts if _strip_under(happened, cut.middle_m) == place.strips[0]), 0
    )
    for i, (block, segment, litres) in enumerate(ground):
        if segment.lane == lane and segment.start_m <= place.start_m < segment.end_m:
            rest = Segment(segment.lane, place.start_m, segment.end_m, segment.zone)
            return [(block, rest, litres), *ground[i + 1 :]]
    return ground


def _strip_under(happened: Happened, side_offset: float) -> int:
    """Strip nearest to a side offset."""
    return min(happened.plan.street.strips, key=lambda strip: abs(strip.middle - side_offset)).number


def _dry_at(ground: list[tuple[Block, Segment, float]], litres: float) -> tuple[Block, Segment, float] | None:
    """Block, cut and distance into it at which a truck is empty; None where the ground ends first."""
    lengths, demand = [segment.length_m for _, segment, _ in ground], [per_metre for _, _, per_metre in ground]
    walk = spread.run_outs(lengths, demand, [max(litres, 0.0)])
    at = int(walk.segment[0])
    return None if at < 0 else (ground[at][0], ground[at][1], float(walk.distance[0]))
