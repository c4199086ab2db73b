"""The slow drive that the phones entered, laid over what the street's folder knows: of two drives of one place the later counts."""

from __future__ import annotations

import csv
import datetime as dt
import io
from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache

import hardpan
from hardpan.compare.taps_events import gaps
from hardpan.ledger import State
from hardpan.ledger.placed import of
from hardpan.ledger.testing import SlowDrive
from hardpan.plan import Plan
from hardpan.site.streets.known import Files, known_of
from hardpan.street import Street

COLUMNS = ("from", "to", "strips", "word", "rut [m]", "bounces", "vehicle", "driven_at", "note")
SAME = 1e-6


@dataclass(frozen=True, slots=True)
class Driven:
    """What one stretch of some strips did, when and under what."""

    start_m: float
    end_m: float
    strips: tuple[int, ...]
    word: str
    rut_m: float | None
    bounces: bool
    vehicle: str
    at: dt.datetime | None
    note: str


def entered(state: State) -> tuple[Driven, ...]:
    """Stretches that the ledger tells of, in order of happening."""
    return tuple(
        Driven(
            event.area.start_m, event.area.end_m, event.area.strips, said.word, None, said.bounces, said.vehicle,
            event.at.replace(tzinfo=None), said.note,
        )
        for event, said in of(SlowDrive, state.events)
        if event.area is not None and not event.area.point
    )  # fmt: skip


def known_before(street: Street) -> tuple[Driven, ...]:
    """Stretches that the folder tells of."""
    return tuple(
        Driven(
            one.start, one.end, one.strips, one.word, None if one.rut is None else one.rut.value, one.bounces, one.vehicle,
            one.driven_at, one.note,
        )
        for one in street.readings
    )  # fmt: skip


def laid_over(before: Iterable[Driven], later: tuple[Driven, ...]) -> list[Driven]:
    """Stretches strip by strip: what was driven later takes the place of what was known there."""
    found: list[Driven] = []
    order = [*before, *later]
    for at, one in enumerate(order):
        for strip in one.strips:
            over = [(two.start_m, two.end_m) for two in order[at + 1 :] if two in later and strip in two.strips]
            for start, end in gaps(over, one.start_m, one.end_m):
                found.append(
                    Driven(start, end, (strip,), one.word, one.rut_m, one.bounces, one.vehicle, one.at, one.note)
                )
    return found


def table(driven: Iterable[Driven]) -> bytes:
    """Readings as the folder writes them."""
    text = io.StringIO()
    rows = csv.writer(text, lineterminator="\n")
    rows.writerow(COLUMNS)
    for one in driven:
        at = "" if one.at is None else f"{one.at:%Y-%m-%d %H:%M}"
        rut = "" if one.rut_m is None else repr(one.rut_m)
        strips = ", ".join(str(strip) for strip in one.strips)
        bounces = "yes" if one.bounces else ""
        rows.writerow(
            [f"{one.start_m:g} m", f"{one.end_m:g} m", strips, one.word, rut, bounces, one.vehicle, at, one.note]
        )
    return text.getvalue().encode()


def plan_with(folder: dict[str, bytes], state: State) -> Plan | None:
    """Plan of a street with the slow drive of its ledger in it; None where the ledger has none."""
    later = entered(state)
    if not later:
        return None
    readings = table(laid_over(known_before(known_of(folder)), later))
    return _planned(Files({**folder, "readings.csv": readings}))


@lru_cache(maxsize=8)
def _planned(files: Files) -> Plan:
    """Plan of files; the same drive is planned once."""
    return hardpan.make_plan(known_of(files.folder))
