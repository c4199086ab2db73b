"""The worked days, planned once, and their ledgers cut at an instant."""

from __future__ import annotations

import datetime as dt
from functools import cache

import hardpan
from hardpan.ledger import Received, State, fold, read_ledger
from hardpan.plan import Plan
from hardpan.street import Street, example
from tests.ledger.making import MORNING, ZONE, Diary

KESTREL, TEAL = "kestrel-road", "teal-crescent"


@cache
def street(name: str) -> Street:
    """An example street."""
    return hardpan.read_street(example(name))


@cache
def plan(name: str) -> Plan:
    """Its plan."""
    return hardpan.make_plan(street(name))


@cache
def ledger(name: str) -> tuple[Received, ...]:
    """Its ledger."""
    return read_ledger(example(name)).received


def at(text: str) -> dt.datetime:
    """An instant of the worked days: ``06-09 10:15``, Kestrel Road's first morning."""
    return dt.datetime.strptime(f"2026-{text}", "%Y-%m-%d %H:%M").replace(tzinfo=ZONE)


@cache
def state(name: str, until: str = "12-31 23:59") -> State:
    """State of what had happened by an instant."""
    return fold([one for one in ledger(name) if one.entry.happened_at.at <= at(until)], street(name))


def minute(count: float) -> dt.datetime:
    """Minutes after six on the first morning, as a diary counts them."""
    return MORNING + dt.timedelta(minutes=count)


def folded(diary: Diary, name: str = KESTREL) -> State:
    """State of a diary on an example street."""
    return fold(diary.received, street(name))
