"""Cure: the nights after final rolling, and how cold each was."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from hardpan.compare.happened import Happened
from hardpan.compare.held import Bounds, Verdict
from hardpan.ledger.placed import of
from hardpan.ledger.supplying import Curing
from hardpan.ledger.testing import Weather
from hardpan.ledger.working import Rolling
from hardpan.street import Basis, Figure

FROST_C = 0.0


@dataclass(frozen=True, slots=True)
class Night:
    """One night of the cure of the blocks that were rolled on one day; ``low`` None where it is not recorded.

    ``number`` counts from 1, the night after final rolling; ``date`` is that of its morning.
    """

    blocks: tuple[str, ...]
    number: int
    date: dt.date
    low: Figure | None
    verdict: Verdict
    limit: Bounds | None
    entry: str


def cure_nights(happened: Happened) -> tuple[Night, ...]:
    """Nights that the limit asks for after each day of final rolling; every recorded one where no limit is written."""
    written = happened.plan.street.file.limits.frost_free_days
    lows = _lows(happened)
    limit = None
    if written is not None:
        least = Figure(
            "least of a night without frost", FROST_C, "C", Basis.STATED, f"{written.value:g} days without frost"
        )
        limit = Bounds(least, None, written.owner, written.source)
    found = []
    for day, blocks in _rolled_days(happened).items():
        last = max((date for date in lows), default=day)
        count = int(written.value) if written is not None else max((last - day).days, 0)
        for number in range(1, count + 1):
            date = day + dt.timedelta(days=number)
            low, entry = lows.get(date, (None, ""))
            found.append(Night(blocks, number, date, low, _side(low, limit), limit, entry))
    return tuple(found)


def _side(low: Figure | None, limit: Bounds | None) -> Verdict:
    """Frost is below 0 C: a night that nobody recorded is not comparable."""
    if limit is None:
        return "no limit"
    if low is None:
        return "not comparable"
    return "inside" if low.value > FROST_C else "outside"


def _lows(happened: Happened) -> dict[dt.date, tuple[Figure, str]]:
    """Lowest of every night by the date of its morning, as the weather and the curing entries say."""
    found: dict[dt.date, tuple[Figure, str]] = {}
    for event in happened.state.events:
        said = event.payload
        if isinstance(said, Weather | Curing) and said.low_night_c is not None:
            low = Figure("lowest of the night", said.low_night_c, "C", Basis.MEASURED, event.standing.kind)
            before = found.get(event.at.date())
            if before is None or low.value < before[0].value:
                found[event.at.date()] = (low, event.id)
    return found


def _rolled_days(happened: Happened) -> dict[dt.date, tuple[str, ...]]:
    """Blocks by the day on which their final rolling ended."""
    days: dict[dt.date, dict[str, None]] = {}
    for event, said in of(Rolling, happened.state.events):
        if said.rolled == "final" and event.ended is not None:
            days.setdefault(event.ended.date(), {})[event.block] = None
    return {day: tuple(blocks) for day, blocks in days.items()}
