"""Rows about the work: clocks, cement, loads, water, cure, weather, access."""

from __future__ import annotations

from collections.abc import Iterator

from hardpan.compare.held import NO_LIMIT
from hardpan.exchange.record.gathered import Gathered
from hardpan.exchange.record.proof_answers import STOPS
from hardpan.exchange.record.proof_rows import ends_words
from hardpan.exchange.record.sentences import SIDES
from hardpan.exchange.record.words import NOT_RECORDED, amount, at_clock, day, when
from hardpan.exchange.tables import Cell
from hardpan.ledger import Clock
from hardpan.ledger.placed import of
from hardpan.ledger.reckoning import Cement, Reckoning
from hardpan.ledger.supplying import Curing, DeliveryTicket, GoNoGo
from hardpan.ledger.testing import Access, Weather
from hardpan.ledger.working import Problem, Stop
from hardpan.street.words import say_minutes

Rows = Iterator[tuple[Cell, ...]]


def clocks(record: Gathered) -> Rows:
    """Every clock: what started and stopped it, the limit with its owner."""
    for clock in record.state.clocks:
        elapsed = clock.elapsed_min()
        shown = NOT_RECORDED if elapsed is None else f"{'' if clock.start_sure else 'at least '}{say_minutes(elapsed)}"
        owner = ", ".join(part for part in (clock.owner or "owner not said", clock.source) if part)
        limit = NO_LIMIT if clock.limit_min is None else f"{say_minutes(clock.limit_min)}, {owner}"
        yield (
            clock.block or "no block", clock.starts_with, at_clock(clock.started_at), STOPS[clock.stops_with].removeprefix("the "),
            at_clock(clock.stopped_at) if clock.stopped_at else NOT_RECORDED, shown, limit, _side(clock, elapsed), record.telling.id(clock.started_by),
        )  # fmt: skip


def _side(clock: Clock, elapsed: float | None) -> str:
    """Side of the limit; a clock whose start is not sure, or that has no end, proves no inside."""
    if clock.limit_min is None:
        return ""
    if elapsed is not None and elapsed > clock.limit_min:
        return "outside"
    return "inside" if clock.start_sure and elapsed is not None else "not proven inside"


def cement(record: Gathered) -> Rows:
    """The street, every block and every zone by tickets less what is left, by fills, by ground and trays."""
    state = record.state.cement
    if not state.street.area_m2:
        return
    yield _cement("the street", state.street)
    for one in state.blocks:
        yield _cement(one.place or "no block", one)
    for one in state.zones:
        yield _cement(f"zone {one.place}", one)


def _cement(name: str, one: Cement) -> tuple[Cell, ...]:
    """One place."""
    return (
        name, round(one.area_m2, 1), _kg(one.instructed_kg), _by(one.tickets), _by(one.fills), "" if one.fills.kg_m2 is None else round(one.fills.kg_m2, 2),
        _by(one.trays), round(one.trays.area_m2, 1) if one.trays.area_m2 else "", _kg(one.fills_less_tickets_kg), _kg(one.trays_less_fills_kg),
        "shared by ground and rate" if one.fills.shared else "",
    )  # fmt: skip


def _by(one: Reckoning | None) -> Cell:
    """Mass by one way of reckoning."""
    return _kg(one.kg) if one is not None else ""


def _kg(kg: float | None) -> Cell:
    """Whole kilograms; empty where nobody knows them."""
    return "" if kg is None else round(kg)


def stretches(record: Gathered) -> Rows:
    """Every known mass on its ground: weighed, or what the hopper gave between two moments when its content was known."""
    for one in record.state.laid:
        area = sum(record.happened.square_metres(run.area) for run in one.runs)
        where = "; ".join(record.happened.words(run.area) for run in one.runs)
        by_area = round(one.kg / area, 2) if area > 0 else ""
        entries = ", ".join(dict.fromkeys(record.telling.id(run.entry) for run in one.runs))
        yield (
            where,
            round(area, 1),
            round(one.kg),
            by_area,
            "weighed or read" if one.weighed else "hopper before and after",
            entries,
        )


def deliveries(record: Gathered) -> Rows:
    """Every ticket as it says."""
    for event, said in of(DeliveryTicket, record.state.events):
        masses = [_kg(kg) for kg in (said.ordered_kg, said.net_kg, said.gross_kg, said.tare_kg)]
        yield (
            said.ticket,
            when(event.standing.happened_at),
            *masses,
            said.cement,
            said.note,
            record.telling.id(event.id),
        )


def water(record: Gathered) -> Rows:
    """Water by meter, by ground and by truck; curing water beside it."""
    state = record.state.water
    if state.metered_l:
        yield "mixing, by meter", round(state.metered_l), "read on the meter"
    for block, litres in state.blocks_l:
        yield f"mixing, {block or 'no block'}", round(litres), "read on the meter"
    if state.by_area_l:
        yield (
            "mixing, by ground",
            round(state.by_area_l),
            f"as set, over {amount(state.by_area_m2, 0)} m\u00b2 of {amount(state.watered_m2, 0)} m\u00b2 watered",
        )
    for truck in state.trucks:
        how = "volume of the street's truck, nobody read it" if truck.rests_on_volume else "read on the truck"
        yield f"drawn from {truck.name or 'water truck'}", round(truck.drawn_l), how
    if state.curing_l:
        yield "curing", round(state.curing_l), "as entered; none of the mixing water"


def nights(record: Gathered) -> Rows:
    """Nights after final rolling."""
    for one in record.acceptance.nights:
        low: Cell = one.low.value if one.low is not None else NOT_RECORDED
        limit = f"above {ends_words(one.limit).removeprefix('at least ')}, {one.limit.by}" if one.limit else NO_LIMIT
        side = SIDES[one.verdict] if one.low is not None else NOT_RECORDED
        yield (
            ", ".join(one.blocks),
            one.number,
            day(one.date),
            low,
            limit,
            side,
            record.telling.id(one.entry) if one.entry else "",
        )


def curing(record: Gathered) -> Rows:
    """Every round of curing."""
    for event, said in of(Curing, record.state.events):
        litres: Cell = said.water_l if said.water_l is not None else NOT_RECORDED
        yield (
            when(event.standing.happened_at), record.place(event.standing), said.method, litres, said.rounds or "", record.telling.id(event.id),
        )  # fmt: skip


def happenings(record: Gathered) -> Rows:
    """The call in the morning, weather, stops, problems."""
    for event in record.state.events:
        if isinstance(event.payload, Weather | Stop | Problem | GoNoGo):
            one = event.standing
            yield (
                when(one.happened_at),
                one.kind,
                record.place(one),
                record.telling.said(event.payload),
                record.telling.id(event.id),
            )


def access(record: Gathered) -> Rows:
    """Who was let through, promised a way, or complained."""
    for event, said in of(Access, record.state.events):
        yield when(event.standing.happened_at), said.what, said.state, record.telling.id(event.id)


def structures(record: Gathered) -> Rows:
    """Structures and services as the street folder names them."""
    street = record.plan.street
    for one in street.structures:
        place = street.place(one.start, one.end) if one.end > one.start else street.painted(one.start)
        top: Cell = round(one.top_depth.value, 2) if one.top_depth is not None else NOT_RECORDED
        name = one.kind if one.id == one.kind else f"{one.kind} {one.id}"
        yield name, place, top, "yes" if one.exposed else "no", one.method or NOT_RECORDED
