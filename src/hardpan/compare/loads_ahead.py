"""Loads to come: which of the plan's have no ticket yet, when each is due, how late, and when its cement can be on the ground."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from hardpan.compare.cement_ahead import CementAhead
from hardpan.compare.happened import Happened
from hardpan.compare.times_ahead import dates_of
from hardpan.ledger.placed import of
from hardpan.ledger.supplying import DeliveryTicket
from hardpan.plan.cement import Load
from hardpan.street import Figure
from hardpan.street.figure import worked


@dataclass(frozen=True, slots=True)
class LoadAhead:
    """A load of the plan that no ticket tells of; ``late_min`` above 0 once it is due."""

    number: int
    ticket: str
    cement: Figure
    due: dt.datetime
    late_min: float
    proposed: bool


def loads_ahead(happened: Happened, now: dt.datetime) -> tuple[LoadAhead, ...]:
    """Loads without a ticket, in order; a ticket of another number stands for the first load that is still wanting."""
    tickets = [said for _, said in of(DeliveryTicket, happened.state.events)]
    loads = list(happened.plan.supply.cement.loads)
    strange = 0
    for ticket in tickets:
        known = [load for load in loads if load.ticket and load.ticket == ticket.ticket]
        loads = [load for load in loads if load not in known]
        strange += not known
    dates = dates_of(happened, now)
    return tuple(_ahead(load, dates[load.day], now) for load in loads[strange:])


def _ahead(load: Load, date: dt.date, now: dt.datetime) -> LoadAhead:
    """One load on its date."""
    midnight = dt.datetime.combine(date, dt.time(), now.tzinfo)
    due = midnight + dt.timedelta(minutes=load.time_min)
    late = max((now - due).total_seconds() / 60, 0.0)
    return LoadAhead(load.number, load.ticket, load.cement, due, late, load.proposed)


def cement_at(
    happened: Happened, now: dt.datetime, cement: CementAhead, *, wanted_kg: float, loads: tuple[LoadAhead, ...]
) -> dt.datetime | None:
    """When the cement can be laid that the block at hand still wants: now, after a fill from the truck, or after the next load came.

    A load that is late is taken to come now, for nobody said when. None where nothing is wanted, or no load is left to come.
    """
    if wanted_kg <= cement.in_hopper.value:
        return None
    if wanted_kg <= cement.in_hopper.value + cement.in_truck.value or cement.in_truck.value > 1.0:
        return now + dt.timedelta(minutes=_fill_minutes(happened, cement.in_truck.value))
    if not loads:
        return None
    arrives = max(loads[0].due, now)
    return arrives + dt.timedelta(minutes=_fill_minutes(happened, loads[0].cement.value))


def _fill_minutes(happened: Happened, available_kg: float) -> float:
    """Coupling and transfer of one fill, at most to the brim [min]."""
    spreader = happened.plan.street.file.spreader
    return spreader.coupling.value + min(available_kg, spreader.hopper.value) / spreader.transfer_rate.value


def shortage(cement: CementAhead, loads: tuple[LoadAhead, ...]) -> Figure:
    """Cement to order over the loads that are still to come."""
    coming = [load.cement for load in loads if not load.proposed]
    value = max(cement.wanting.value - sum(load.value for load in coming), 0.0)
    return worked(
        "cement to order",
        value,
        "kg",
        cement.wanting,
        *coming,
        formula="wanting - loads ordered and not here, never below 0",
    )
