"""What the record and the street know of a place that other places need not have: the candidates for why one failed."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from itertools import pairwise

from hardpan.compare.checks import checks_of
from hardpan.compare.happened import Happened
from hardpan.compare.not_checked import trays_at_restart
from hardpan.ledger.ground import Area
from hardpan.ledger.placed import AGAIN, of
from hardpan.ledger.progress import BayState
from hardpan.ledger.supplying import RateChange, RunOut, SpreadRun, TrayCheck, WaterTruckEmpty
from hardpan.ledger.testing import Squeeze, Weather
from hardpan.ledger.water import watered
from hardpan.ledger.working import BladeChatters, MachineRuts, MixingPass, Problem, Rolling, WalkOut
from hardpan.street.words import say_minutes

_WORK = (SpreadRun, MixingPass, Rolling, TrayCheck)
_SPOTS = (BladeChatters, MachineRuts, Problem, WalkOut, Squeeze)


@dataclass(frozen=True, slots=True)
class Feature:
    """Something that is so at one place; places with the same ``kind`` have the same thing."""

    kind: str
    area: Area
    entries: tuple[str, ...]
    words: str


def features(record: Happened) -> tuple[Feature, ...]:
    """Every feature of every place on the street, as a record tells it."""
    return tuple(feature for find in _FINDERS for feature in find(record))


def _run_outs(record: Happened) -> Iterator[Feature]:
    """Restarts after the hopper ran out, with the tray that was set there or that none was."""
    for event, _ in of(RunOut, record.state.events):
        if event.area is None or not event.area.point:
            continue
        caught = [tray.caught_kg_m2 for tray in trays_at_restart(record, event) if tray.caught_kg_m2 is not None]
        tray = f"tray {caught[0]:.1f} kg/m2" if caught else "no tray"
        kind = "restart after run-out, tray" if caught else "restart after run-out, no tray"
        words = f"restart after run-out at {record.words(event.area)}, {tray}"
        yield Feature(kind, event.area, (event.id,), words)


def _rate_edges(record: Happened) -> Iterator[Feature]:
    """Places where the rate changes along a strip, as instructed or as it was entered."""
    for strip, bays in _by_strip(record).items():
        for before, after in pairwise(bays):
            if before.instructed_kg_m2 != after.instructed_kg_m2:
                place = Area(after.start_m, after.start_m, (strip,))
                yield Feature("rate edge", place, (), f"rate edge at {record.words(place)}")
    for event, said in of(RateChange, record.state.events):
        if event.area is not None and event.area.point:
            words = f"rate changed to {said.rate_kg_m2:g} kg/m2 at {record.words(event.area)}"
            yield Feature("rate edge", event.area, (event.id,), words)


def _joints(record: Happened) -> Iterator[Feature]:
    """Joints between blocks; ends of the street are none."""
    stationing = record.plan.street.stationing
    ends = {station for reach in record.state.blocks.values() for station in reach}
    for station in sorted(station for station in ends if stationing.first < station < stationing.last):
        place = Area(station, station, tuple(record.widths))
        yield Feature("block joint", place, (), f"block joint at {record.plan.street.painted(station)}")


def _held(record: Happened) -> Iterator[Feature]:
    """Strips whose cement came after the rest of their block was being mixed."""
    for held in record.state.held:
        reach = record.state.blocks[held.block.removesuffix(AGAIN)]
        waited = say_minutes((held.spread_at - held.first_mix).total_seconds() / 60)
        words = f"strip {held.strip} of {held.block} was held: spread {waited} after the block's first mix"
        yield Feature("held strip", Area(*reach, (held.strip,)), (), words)


def _passes(record: Happened) -> Iterator[Feature]:
    """Bays with more or fewer passes than most bays of the same block and zone."""
    alike: dict[tuple[str, str], list[BayState]] = defaultdict(list)
    for bay in record.state.bays:
        if bay.spread:
            alike[bay.block, bay.zone].append(bay)
    for bays in alike.values():
        for words, count in _COUNTED.items():
            counts = sorted(count(bay) for bay in bays)
            usual = counts[len(counts) // 2]
            for bay in bays:
                if count(bay) != usual:
                    more = "more" if count(bay) > usual else "fewer"
                    place = Area(bay.start_m, bay.end_m, (bay.strip,))
                    told = f"{count(bay)} {words}, {usual} on most of {bay.block}, {bay.zone}"
                    yield Feature(f"{more} {words}", place, (), told)


_COUNTED: dict[str, Callable[[BayState], int]] = {
    "dry passes": lambda bay: bay.dry_passes,
    "wet passes": lambda bay: bay.wet_passes,
    "aerating passes": lambda bay: bay.aerating_passes,
    "padfoot passes": lambda bay: bay.padfoot_passes or 0,
}


def _water(record: Happened) -> Iterator[Feature]:
    """Places where the water was shut or opened inside a wet pass, and where a water truck ran dry."""
    for event, said in of(MixingPass, record.state.events):
        if said.mixed != "wet" or event.area is None or not said.shut:
            continue
        for part in watered(event, said):
            for station in part[:2]:
                if event.area.start_m < station < event.area.end_m:
                    place = Area(station, station, part.strips)
                    words = f"water shut or opened at {record.words(place)}"
                    yield Feature("water off or on", place, (event.id,), words)
    for event, _ in of(WaterTruckEmpty, record.state.events):
        if event.area is not None and event.area.point:
            words = f"water truck empty at {record.words(event.area)}"
            yield Feature("water truck empty", event.area, (event.id,), words)


def _late(record: Happened) -> Iterator[Feature]:
    """Work that was entered late."""
    for event in record.state.events:
        if event.standing.late and event.area is not None and isinstance(event.payload, _WORK):
            words = f"{event.standing.kind} entered late: {record.where(event)}"
            yield Feature("entered late", event.area, (event.id,), words)


def _outside(record: Happened) -> Iterator[Feature]:
    """Tests outside their limits."""
    for check in checks_of(record):
        if check.verdict == "outside":
            yield Feature(f"{check.kind} outside", check.area, (check.entry,), f"{check.kind} outside: {check.place}")


def _clocks(record: Happened) -> Iterator[Feature]:
    """Blocks whose clock passed its limit."""
    for clock in record.state.clocks:
        elapsed = clock.elapsed_min()
        if clock.limit_min is None or elapsed is None or elapsed <= clock.limit_min:
            continue
        reach = record.state.blocks[clock.block.removesuffix(AGAIN)]
        words = f"{clock.block}: {say_minutes(elapsed)} from {clock.starts_with}, limit {say_minutes(clock.limit_min)}"
        yield Feature("clock over its limit", Area(*reach, tuple(record.widths)), (clock.started_by,), words)


def _soft(record: Happened) -> Iterator[Feature]:
    """Ground that was read soft, and trenches."""
    for reading in record.plan.street.readings:
        if reading.word in ("ruts", "sinks"):
            place = Area(reading.start, reading.end, reading.strips)
            words = f"read as soft ({reading.word}): {record.words(place)}"
            yield Feature(f"read as soft: {reading.word}", place, (), words)


def _structures(record: Happened) -> Iterator[Feature]:
    """Structures and services."""
    for one in record.plan.street.structures:
        place = Area(one.start, one.end, one.strips)
        yield Feature(f"{one.kind} near", place, (), f"{one.kind} {one.id} at {record.words(place)}")


def _said(record: Happened) -> Iterator[Feature]:
    """Things that somebody said of a place: problems, chattering blade, ruts, feet that did not walk out, a squeeze that did not hold."""
    for event in record.state.events:
        said, kind = event.payload, event.standing.kind
        if event.area is None or not isinstance(said, _SPOTS):
            continue
        if isinstance(said, WalkOut):
            kind = "" if said.walked_out else "feet did not walk out"
        elif isinstance(said, Squeeze):
            kind = "" if said.result == "holds" else f"squeeze {said.result}"
        elif isinstance(said, Problem):
            kind = f"problem: {said.about}"
        if kind:
            yield Feature(kind, event.area, (event.id,), f"{kind}: {record.where(event)}")


def _rain(record: Happened) -> Iterator[Feature]:
    """Rain after a place was rolled, and before the test."""
    rain = [
        event
        for event, said in of(Weather, record.state.events)
        if said.rain in ("sprinkle", "rain") or (said.rain_mm or 0) > 0
    ]
    for event, said in of(Rolling, record.state.events):
        if said.rolled != "final" or event.area is None:
            continue
        since = [one.id for one in rain if one.at > event.at]
        if since:
            yield Feature("rain since rolling", event.area, tuple(since), f"rain since {event.block} was rolled")


def _by_strip(record: Happened) -> dict[int, list[BayState]]:
    """Bays of every strip, up-station."""
    strips: dict[int, list[BayState]] = defaultdict(list)
    for bay in record.state.bays:
        strips[bay.strip].append(bay)
    return strips


_FINDERS: tuple[Callable[[Happened], Iterator[Feature]], ...] = (
    _run_outs,
    _rate_edges,
    _joints,
    _held,
    _passes,
    _water,
    _late,
    _outside,
    _clocks,
    _soft,
    _structures,
    _said,
    _rain,
)
