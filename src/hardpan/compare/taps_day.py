"""The day as a phone needs it: a digest of the plan in plain data, small enough to be kept for when there is no signal."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Mapping
from typing import Any, TypedDict

from hardpan.compare.cement_ahead import placed_over_planned
from hardpan.compare.happened import Happened
from hardpan.compare.taps_words import ENGLISH, amount
from hardpan.errors import HardpanError
from hardpan.ledger import State
from hardpan.ledger.ground import Area
from hardpan.plan import Plan
from hardpan.plan.blocks import Block, Segment
from hardpan.street import Basis, Street
from hardpan.street.model import Limit
from hardpan.street.units import factor

Words = Mapping[str, str]
STAGE_OF = {"spread": "spread", "dry mix": "dry", "wet mix": "wet"}
STAGE_OF_MACHINE = {"padfoot": "padfoot", "grader": "grader", "smooth drum": "smooth"}
TICKET_UNIT = "kg"


class Part(TypedDict):
    """A stretch of one strip of a block in one zone at one rate, and the dry passes that it wants."""

    strip: int
    start_m: float
    end_m: float
    zone: int
    rate_kg_m2: float
    dry: int


class BlockOfDay(TypedDict):
    """One block; ``times`` are minutes after midnight of its day, start and end of every kind of work."""

    block: int
    name: str
    day: int
    start_m: float
    end_m: float
    parts: list[Part]
    times: dict[str, list[float]]


class ZoneOfDay(TypedDict):
    """One zone: rate, water as it is set, and how low the ground is shaped, with whose figure that is."""

    zone: str
    rate_kg_m2: float
    setting: str
    water_l_m2: float
    low_mm: float
    low_basis: str
    our_low_mm: float
    our_low_basis: str


class Day(TypedDict):
    """Everything that a phone needs of the plan; stations in metres."""

    schema: str
    street: str
    name: str
    date: str
    first_m: float
    last_m: float
    unit: str
    unit_m: float
    digits: int
    point: str
    landmarks: list[dict[str, Any]]
    strips: list[dict[str, float]]
    cuts: list[list[int]]
    zones: list[ZoneOfDay]
    blocks: list[BlockOfDay]
    limits: list[dict[str, Any]]
    rules: list[str]
    hopper_kg: float
    factor: float
    truck_l: float
    tops_up: bool
    loads: list[dict[str, Any]]
    shots: list[dict[str, Any]]
    shots_by: str
    may: list[str] | None
    words: dict[str, str]


def day_of(
    plan: Plan, state: State, *, now: dt.datetime, slug: str = "", words: Words = ENGLISH, may: list[str] | None = None
) -> Day:
    """Digest of a street's day for its phones.

    Parameters
    ----------
    plan
        The street's plan.
    state
        What the entries add up to: it names the blocks, and the rates that were instructed since.
    now
        The instant, with its offset.
    slug
        Short name of the street, as entries bear it.
    words
        Phrases in the language of the phone.
    may
        Kinds of entry that the phone's role may make; None for all.

    Returns
    -------
    Day
        Plain data, the same on both sides of the signal.

    Raises
    ------
    HardpanError
        Where ``now`` has no offset.

    Examples
    --------
    >>> import datetime, hardpan
    >>> from hardpan.ledger import fold
    >>> street = hardpan.read_street(hardpan.example("teal-crescent"))
    >>> now = datetime.datetime.fromisoformat("2026-06-04T06:00:00-06:00")
    >>> day = day_of(hardpan.make_plan(street), fold([], street), now=now)
    >>> [(block["name"], block["start_m"], block["end_m"]) for block in day["blocks"]]
    [('B1', 0.0, 80.0), ('B2', 80.0, 160.0), ('B3', 160.0, 240.0)]
    """
    if now.tzinfo is None:
        raise HardpanError("now: given without an offset; allowed: an instant such as 2026-06-09T10:15:00-06:00")
    street, happened = plan.street, Happened(plan, state)
    stationing, file = street.stationing, street.file
    unit = factor(stationing.unit, "m")
    return Day(
        schema="hardpan.phone-day/1",
        street=slug,
        name=street.name,
        date=now.date().isoformat(),
        first_m=stationing.first,
        last_m=stationing.last,
        unit=stationing.unit,
        unit_m=float(unit),
        digits=stationing.digits,
        point=".",
        landmarks=[
            {"name": one.name, "station_m": one.station, "side": one.side}
            for one in sorted(stationing.landmarks, key=lambda one: one.station)
        ],
        strips=_strips(plan),
        cuts=[list(_strips_of_cut(plan, cut.middle_m)) for cut in plan.shift.cuts],
        zones=_zones(plan),
        blocks=[_block(happened, block) for block in plan.shift.blocks],
        limits=_clock_limits(street),
        rules=list(_rules(street)),
        hopper_kg=file.spreader.hopper.value,
        factor=placed_over_planned(happened).value,
        truck_l=file.water_truck.volume.value,
        tops_up=file.water_truck.tops_up_between_blocks,
        loads=_loads(plan),
        shots=_shots(plan),
        shots_by="level_m" if plan.levels.reference == "datum" else "down_mm",
        may=may,
        words=dict(words),
    )


def _strips(plan: Plan) -> list[dict[str, float]]:
    """Strips with their width, and the width that the mixer's cuts over them wet."""
    wetted = {strip.number: 0.0 for strip in plan.street.strips}
    for cut in plan.shift.cuts:
        for strip in _strips_of_cut(plan, cut.middle_m)[:1]:
            wetted[strip] += cut.wetted_width_m
    return [
        {"strip": strip.number, "width_m": strip.width, "wetted_m": wetted[strip.number] or strip.width}
        for strip in plan.street.strips
    ]


def _strips_of_cut(plan: Plan, middle: float) -> tuple[int, ...]:
    """Strip that the middle of a cut runs along; on the line between two, the right one."""
    strips = plan.street.strips
    over = next((one.number for one in strips if one.left <= middle + 1e-6 < one.right), strips[-1].number)
    return (over,)


def _zones(plan: Plan) -> list[ZoneOfDay]:
    """Zones as the plan has them."""
    return [
        ZoneOfDay(
            zone=zone.name,
            rate_kg_m2=zone.rate.value,
            setting=_setting(balance.water_setting, balance.water.value),
            water_l_m2=balance.water.value,
            low_mm=balance.low.value * 1000,
            low_basis=_basis(balance.low.basis),
            our_low_mm=balance.our_low.value * 1000,
            our_low_basis=_basis(balance.our_low.basis),
        )
        for zone, balance in zip(plan.zones, plan.balance, strict=True)
    ]


def _setting(said: str, litres: float) -> str:
    """Setting of the bar as a word; empty where it is set in litres."""
    if litres <= 0:
        return "off"
    return said if said in ("full", "half") else ""


def _basis(basis: Basis) -> str:
    """Basis as a word."""
    return basis.value


def _block(happened: Happened, block: Block) -> BlockOfDay:
    """One block with its times."""
    runs = [run for run in happened.plan.shift.runs if run.block == block.number]
    times: dict[str, list[float]] = {}
    for run in runs:
        stage = STAGE_OF.get(run.work) if run.machine in ("spreader", "mixer") else STAGE_OF_MACHINE.get(run.machine)
        if stage is not None:
            times[stage] = [run.start.value, run.end.value]
    return BlockOfDay(
        block=block.number,
        name=happened.happened(block) or f"B{block.number}",
        day=block.day,
        start_m=block.start_m,
        end_m=block.end_m,
        parts=[part for segment in block.spread for part in _parts(happened, segment)],
        times=times,
    )


def _parts(happened: Happened, segment: Segment) -> Iterator[Part]:
    """Parts of a segment by the rate that is in force on its bays."""
    plan, area = happened.plan, Area(segment.start_m, segment.end_m, (segment.lane,))
    zone = plan.zones[segment.zone]
    mixer = plan.street.file.mixer
    dry = mixer.dry_passes_soft if zone.soil == "soft" else mixer.dry_passes
    found: list[Part] = []
    for bay, low, high in happened.bays_under(area):
        rate = zone.rate.value if bay.instructed_kg_m2 is None else bay.instructed_kg_m2
        if found and found[-1]["rate_kg_m2"] == rate:
            found[-1]["end_m"] = high
        else:
            found.append(Part(strip=segment.lane, start_m=low, end_m=high, zone=segment.zone, rate_kg_m2=rate, dry=dry))
    yield from found


def _clock_limits(street: Street) -> list[dict[str, Any]]:
    """Time limits that are written, each with its owner."""
    return [
        {"start": one.start, "stop": one.stop, "within_min": one.within.value, "owner": one.owner, "source": one.source}
        for one in street.file.limits.clock
    ]


def _rules(street: Street) -> Iterator[str]:
    """Rules that stop the day, with the figures that are written: ``wind 30 km/h, engineer``."""
    limits = street.file.limits
    for limit, name, unit in (
        (limits.wind_km_h, "wind", "km/h"),
        (limits.air_temperature_c, "air", "\u00b0C"),
        (limits.frost_free_days, "frost-free", "d"),
    ):
        if limit is not None:
            yield f"{name} {amount(limit.value, 1)} {unit}, {_owner(limit)}"


def _owner(limit: Limit) -> str:
    """Who fixed a limit."""
    return limit.owner or ENGLISH["owner_not_said"]


def _loads(plan: Plan) -> list[dict[str, Any]]:
    """Bulk loads in order, as they are ordered."""
    return [
        {
            "day": one.day,
            "number": one.number,
            "time_min": one.time_min,
            "kg": one.cement.value,
            "ticket": one.ticket,
        }
        for one in plan.supply.cement.loads
    ]


def _shots(plan: Plan) -> list[dict[str, Any]]:
    """Check shots before spreading: where, and what the rod should find is not told, so that nobody types it back."""
    sides = {"left": -1.0, "right": 1.0}
    found = []
    for shot in plan.levels.check_shots:
        side, _, far = shot.point.partition(" ")
        found.append(
            {
                "station_m": shot.station_m,
                "side_offset_m": sides.get(side, 0.0) * float(far or 0.0),
                "words": f"{shot.place}, {shot.point}",
            }
        )
    return found
