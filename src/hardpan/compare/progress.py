"""Progress: what was planned against what happened, block by block, rate by rate, run-out by run-out; no verdict on anybody."""

from __future__ import annotations

import datetime as dt
import math
from dataclasses import dataclass

from hardpan.compare.cement_ahead import planned_kg
from hardpan.compare.ground_left import share_left
from hardpan.compare.happened import Happened
from hardpan.compare.times_ahead import dates_of
from hardpan.ledger import Event, State
from hardpan.ledger.ground import Area
from hardpan.ledger.placed import of
from hardpan.ledger.supplying import RateChange, RunOut, TrayCheck
from hardpan.plan import Plan
from hardpan.plan.blocks import Block
from hardpan.street import Basis, Figure
from hardpan.street.figure import worked

EVENTS = ("cement on the ground", "first mix", "water", "final rolling ends")
EDGE_REACH_M = 15.0  # metres: a rate change farther from every painted edge belongs to none (judgement, no source)


@dataclass(frozen=True, slots=True)
class EventProgress:
    """One event of a block: when it was planned, when it happened, how late [min]; negative is early, None where it has not happened.

    An event that is due and has not happened is late by what has passed since; ``happened_at`` is then None.
    """

    event: str
    planned_at: dt.datetime
    happened_at: dt.datetime | None
    late_min: float | None


@dataclass(frozen=True, slots=True)
class BlockProgress:
    """One block of the plan. Cement: planned, and placed as the fills tell (None where they do not); water: planned, and metered."""

    number: int
    name: str
    events: tuple[EventProgress, ...]
    left: dict[str, float]
    dry_passes: tuple[int, int]
    cement_planned: Figure
    cement_placed: Figure | None
    water_planned: Figure
    water_metered: Figure | None


@dataclass(frozen=True, slots=True)
class ZoneProgress:
    """One zone: rate, cement planned and placed on the ground that was spread; ``over`` is the share placed over what was instructed."""

    zone: str
    rate: Figure
    planned: Figure
    instructed_on_spread: Figure | None
    placed: Figure | None
    over: Figure | None
    tray_mean: Figure | None


@dataclass(frozen=True, slots=True)
class Landed:
    """A stretch that one known mass lies on, or that a tray stood on: instructed, by load and by tray side by side."""

    place: str
    areas: tuple[Area, ...]
    entries: tuple[str, ...]
    instructed: Figure | None
    by_load: Figure | None
    by_trays: tuple[Figure, ...]


@dataclass(frozen=True, slots=True)
class EdgeProgress:
    """Where the rate was changed, against the nearest painted edge on that strip; ``off_m`` positive is beyond it."""

    strip: int
    station_m: float
    painted_m: float | None
    off_m: float | None
    entry: str


@dataclass(frozen=True, slots=True)
class RunOutProgress:
    """A run-out as it happened and as it was planned, in order over the street; either may be missing."""

    number: int
    planned_strip: int | None
    planned_m: float | None
    strip: int | None
    station_m: float | None
    off_m: float | None
    entry: str


@dataclass(frozen=True, slots=True)
class Progress:
    """Plan and ledger side by side at ``now``."""

    now: dt.datetime
    blocks: tuple[BlockProgress, ...]
    zones: tuple[ZoneProgress, ...]
    planned: Figure
    ordered: Figure
    delivered: Figure
    placed: Figure | None
    landed: tuple[Landed, ...]
    edges: tuple[EdgeProgress, ...]
    run_outs: tuple[RunOutProgress, ...]


def compare_progress(plan: Plan, state: State, *, now: dt.datetime) -> Progress:
    """Progress at an instant.

    Parameters
    ----------
    plan, state
        The street's plan and what its entries add up to.
    now
        The instant, with its offset.

    Returns
    -------
    Progress
        Blocks and their events with minutes late, cement by block and zone, rates landed, rate edges, run-outs.

    Examples
    --------
    >>> import datetime, hardpan
    >>> from hardpan.ledger import fold, read_ledger
    >>> folder = hardpan.example("kestrel-road")
    >>> street = hardpan.read_street(folder)
    >>> now = datetime.datetime.fromisoformat("2026-06-10T16:00:00-06:00")
    >>> made = compare_progress(hardpan.make_plan(street), fold(read_ledger(folder).received, street), now=now)
    >>> [round(block.cement_placed.value) for block in made.blocks]
    [17430, 22280, 17420, 18510, 17980]
    """
    happened, cement = Happened(plan, state), plan.supply.cement
    dates = _dates(happened, now)
    delivered = Figure("cement delivered", state.cement.delivered_kg, "kg", Basis.STATED, "delivery tickets")
    return Progress(
        now=now,
        blocks=tuple(_block(happened, block, dates[block.day], now) for block in plan.shift.blocks),
        zones=tuple(_zone(happened, index) for index in range(len(plan.zones))),
        planned=cement.planned, ordered=cement.ordered, delivered=delivered,
        placed=_placed("cement placed", state.cement.street.fills.kg, state.cement.street.fills.covers),
        landed=_landed(happened), edges=_edges(happened), run_outs=_run_outs(happened),
    )  # fmt: skip


def _dates(happened: Happened, now: dt.datetime) -> dict[int, dt.date]:
    """Date of every day of the plan: of the work where it was begun, else as it is expected."""
    found = dates_of(happened, now)
    for clock in happened.state.clocks:
        block = happened.planned(clock.block)
        if block is not None:
            day = clock.started_at.date()
            found[block.day] = day if found[block.day] >= now.date() else min(day, found[block.day])
    return found


def _placed(name: str, kilograms: float | None, covers: str) -> Figure | None:
    """Cement placed as the fills tell it."""
    return None if kilograms is None else Figure(name, kilograms, "kg", Basis.STATED, f"fills, {covers}")


def _block(happened: Happened, block: Block, date: dt.date, now: dt.datetime) -> BlockProgress:
    """One block."""
    name, supply = happened.happened(block), happened.plan.supply
    midnight = dt.datetime.combine(date, dt.time(), now.tzinfo)
    cement = next((one for one in happened.state.cement.blocks if one.place == name and name), None)
    bays = [
        bay.dry_passes for bay in happened.state.bays if block.start_m <= (bay.start_m + bay.end_m) / 2 < block.end_m
    ]
    metered = happened.state.water.block_l(name) if name else 0.0
    return BlockProgress(
        block.number, name,
        tuple(_event(happened, block, name, midnight, now=now, event=event) for event in EVENTS),
        share_left(happened, block), (min(bays), max(bays)),
        next(one.planned for one in supply.cement.blocks if one.block == block.number),
        _placed("cement placed", cement.fills.kg, cement.fills.covers) if cement else None,
        next(one.litres for one in supply.water.blocks if one.block == block.number),
        Figure("water metered", metered, "L", Basis.MEASURED, "meter of the wet passes") if metered else None,
    )  # fmt: skip


def _event(
    happened: Happened, block: Block, name: str, midnight: dt.datetime, *, now: dt.datetime, event: str
) -> EventProgress:
    """One event of a block; what is due and has not happened is late by what has passed."""
    planned = midnight + dt.timedelta(minutes=_planned_minute(happened, block, event))
    at = _happened_at(happened, name, event)
    if at is not None:
        return EventProgress(event, planned, at, (at - planned).total_seconds() / 60)
    late = (now - planned).total_seconds() / 60
    return EventProgress(event, planned, None, late if late > 0 else None)


def _planned_minute(happened: Happened, block: Block, event: str) -> float:
    """Minute of its day on which an event is planned."""
    clocks = [clock for clock in happened.plan.shift.clocks if clock.block == block.number]
    if event == "final rolling ends":
        return next(clock.stop.value for clock in clocks if clock.stops_with == event)
    return next(clock.start.value for clock in clocks if clock.starts_with == event)


def _happened_at(happened: Happened, name: str, event: str) -> dt.datetime | None:
    """When an event of a block happened, by its clocks."""
    clocks = [clock for clock in happened.state.clocks if clock.block == name and name]
    if event == "final rolling ends":
        return next((clock.stopped_at for clock in clocks if clock.stops_with == event), None)
    return next((clock.started_at for clock in clocks if clock.starts_with == event), None)


def _zone(happened: Happened, index: int) -> ZoneProgress:
    """One zone."""
    zone = happened.plan.zones[index]
    cement = next((one for one in happened.state.cement.zones if one.place == zone.name), None)
    placed = _placed("cement placed", cement.fills.kg, cement.fills.covers) if cement else None
    asked, over = None, None
    if cement is not None and cement.instructed_kg is not None:
        asked = Figure("instructed on the ground spread", cement.instructed_kg, "kg", Basis.STATED, "rate x ground")
    whole = cement is not None and abs(cement.fills.area_m2 - cement.area_m2) < 1.0
    if placed is not None and asked is not None and whole and asked.value > 0:
        over = worked(
            "placed over instructed",
            placed.value / asked.value - 1,
            "1",
            placed,
            asked,
            formula="placed / instructed - 1",
        )
    tray = cement.trays.kg_m2 if cement else None
    mean = (
        None
        if tray is None
        else Figure("mean of the trays", tray, "kg/m2", Basis.MEASURED, f"{cement.tray_count if cement else 0} trays")
    )
    return ZoneProgress(zone.name, zone.rate, zone.cement, asked, placed, over, mean)


def _landed(happened: Happened) -> tuple[Landed, ...]:
    """Every known mass with the trays on its ground, and trays on ground of which no mass is known."""
    trays = [(event, said) for event, said in of(TrayCheck, happened.state.events) if said.caught_kg_m2 is not None]
    found, used = [], set()
    for one in happened.state.laid:
        areas = tuple(run.area for run in one.runs)
        square = sum(happened.square_metres(area) for area in areas)
        planned = sum(planned_kg(happened, run) for run in one.runs)
        here = [(event, said) for event, said in trays if _stands_on(event, areas)]
        used |= {event.id for event, _ in here}
        mass = Figure("cement laid there", one.kg, "kg", Basis.STATED, "weighed" if one.weighed else "hopper")
        ground = Figure("ground", square, "m2", Basis.STATED, "runs of the ledger")
        asked = Figure("asked there", planned, "kg", Basis.STATED, "rate x ground")
        found.append(
            Landed(
                "; ".join(happened.words(area) for area in areas), areas,
                (*dict.fromkeys(run.entry for run in one.runs), *(event.id for event, _ in here)),
                worked("mean rate asked", planned / square, "kg/m2", asked, ground, formula="asked / ground") if planned else None,
                worked("rate by load", one.kg / square, "kg/m2", mass, ground, formula="cement / ground"),
                tuple(_caught(event, said) for event, said in here),
            )
        )  # fmt: skip
    rest = [(event, said) for event, said in trays if event.id not in used]
    for event, said in rest:
        areas = (event.area,) if event.area else ()
        rate = said.rate_kg_m2
        asked_rate = None if rate is None else Figure("rate set", rate, "kg/m2", Basis.STATED, "tray's entry")
        found.append(Landed(happened.where(event), areas, (event.id,), asked_rate, None, (_caught(event, said),)))
    return tuple(found)


def _stands_on(event: Event, areas: tuple[Area, ...]) -> bool:
    """Whether a tray stood on one of some stretches; a tray without a spot stands on none."""
    return event.area is not None and event.area.point and any(event.area.touches(area) for area in areas)


def _caught(event: Event, said: TrayCheck) -> Figure:
    """What a tray caught."""
    return Figure(
        "caught by the tray",
        said.caught_kg_m2 or 0.0,
        "kg/m2",
        Basis.MEASURED,
        f"tray, {event.standing.happened_at.clock}",
    )


def _edges(happened: Happened) -> tuple[EdgeProgress, ...]:
    """Rate changes as they were entered, against the painted edges."""
    painted: dict[int, list[float]] = {strip: [] for strip in happened.widths}
    for zone in happened.plan.zones:
        for piece in zone.pieces:
            painted[piece.strip] += [piece.start_m, piece.end_m]
    stationing, found = happened.plan.street.stationing, []
    for event, _ in of(RateChange, happened.state.events):
        if event.area is None or not event.area.point:
            continue
        for strip in event.area.strips:
            edges = [edge for edge in painted[strip] if stationing.first < edge < stationing.last]
            found.append(_edge(strip, event.area.start_m, edges, entry=event.id))
    return tuple(found)


def _edge(strip: int, station: float, edges: list[float], *, entry: str) -> EdgeProgress:
    """One rate change and the painted edge that it belongs to."""
    nearest = min(edges, key=lambda edge: abs(edge - station), default=math.inf)
    off = station - nearest
    if abs(off) > EDGE_REACH_M:
        return EdgeProgress(strip, station, None, None, entry)
    return EdgeProgress(strip, station, nearest, off, entry)


def _run_outs(happened: Happened) -> tuple[RunOutProgress, ...]:
    """Run-outs paired in order within each block of the plan; the distance only where both lie on one strip."""
    planned = list(happened.plan.supply.cement.run_outs)
    found: list[RunOutProgress] = []
    for event, _ in of(RunOut, happened.state.events):
        if event.area is None or not event.area.point or len(event.area.strips) != 1:
            continue
        strip, station = event.area.strips[0], event.area.start_m
        block = next((one.number for one in happened.plan.shift.blocks if one.start_m <= station < one.end_m), 0)
        same = [one for one in planned if one.block == block]
        nearest = min(same, key=lambda one: (abs(one.strip - strip), abs(one.station.value - station)), default=None)
        if nearest is not None:
            planned.remove(nearest)
        off = station - nearest.station.value if nearest is not None and nearest.strip == strip else None
        found.append(
            RunOutProgress(
                len(found) + 1, nearest.strip if nearest else None, nearest.station.value if nearest else None,
                strip, station, off, event.id,
            )
        )  # fmt: skip
    left = [
        RunOutProgress(len(found) + i, one.strip, one.station.value, None, None, None, "")
        for i, one in enumerate(planned, 1)
    ]
    return (*found, *left)
