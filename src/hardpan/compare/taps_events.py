"""Entries as a phone reads them: those that count, each with its ground and its block; in any order the same."""

from __future__ import annotations

import datetime as dt
import json
import re
from collections.abc import Iterable, Mapping
from functools import lru_cache
from typing import Any, NamedTuple

from hardpan.compare.taps_day import BlockOfDay, Day
from hardpan.ledger import LedgerError, Received, parse_entry
from hardpan.ledger.canonical import canonical
from hardpan.ledger.entry import Entry
from hardpan.ledger.standing import stand

Plain = Mapping[str, Any]
Span = tuple[float, float]
SLIVER_M = 0.05  # metres: a shorter remainder is the wheel of the tape
OFF_STREET = 0  # number of no block


class Told(NamedTuple):
    """An entry that counts, as it stands; ``block`` is 0 where it names and touches none."""

    id: str
    kind: str
    happened: str
    at: float
    clock: str
    date: str
    entered: float
    device: str
    start_m: float | None
    end_m: float | None
    strips: tuple[int, ...]
    block: int
    place: Plain | None
    payload: Plain

    @property
    def under_way(self) -> bool:
        """Whether it tells of work that goes on."""
        return bool(self.payload.get("under_way"))

    @property
    def began(self) -> float:
        """Instant at which it began, as far as it was said."""
        started = self.payload.get("started_at")
        return instant(started) if started else self.at


def instant(text: str) -> float:
    """Seconds since 1970 of a time with its offset."""
    return dt.datetime.fromisoformat(text).timestamp()


def told(day: Day, entries: Iterable[Plain]) -> list[Told]:
    """Entries that count, in order of happening."""
    kept: dict[str, Plain] = {}
    received: dict[str, Received] = {}
    for plain in entries:
        entry = _read(canonical(plain))
        if entry is not None and entry.id not in kept:
            kept[entry.id] = plain
            received[entry.id] = Received(entry=entry)
    found = []
    for one in stand(received):
        if one.counts:
            found.append(_told(day, kept[one.id], kept[one.mended_by] if one.mended_by else None))
    return found


@lru_cache(maxsize=4_096)
def _read(body: bytes) -> Entry | None:
    """Entry of its plain data; None where it is none, which its own page would not have made."""
    try:
        return parse_entry(json.loads(body))
    except LedgerError:
        return None


def _told(day: Day, entry: Plain, mending: Plain | None) -> Told:
    """An entry as the correction that counts says it."""
    happened, place, payload = entry["happened_at"], entry.get("place"), entry["payload"]
    if mending is not None:
        said = mending["payload"]
        payload = said["payload"]
        happened = said.get("happened_at") or happened
        place = mending["place"] if mending.get("place") is not None else place
    start, end, strips = ground(day, place, payload.get("cuts") or ())
    return Told(
        id=entry["id"],
        kind=entry["kind"],
        happened=happened,
        at=instant(happened),
        clock=happened[11:16],
        date=happened[:10],
        entered=instant(entry["entered_at"]),
        device=entry["device"],
        start_m=start,
        end_m=end,
        strips=strips,
        block=_block(day, place, start, end),
        place=place,
        payload=payload,
    )


def ground(
    day: Day, place: Plain | None, cuts: Iterable[int] = ()
) -> tuple[float | None, float | None, tuple[int, ...]]:
    """Ground that a place means: both ends and strips; no ends where it names none that the street has."""
    if place is None:
        return None, None, ()
    every = [int(one["strip"]) for one in day["strips"]]
    asked = [strip for cut in cuts if cut <= len(day["cuts"]) for strip in day["cuts"][cut - 1]] or list(
        place.get("strips") or ()
    )
    strips = tuple(strip for strip in every if strip in asked) if asked else tuple(every)
    start = place.get("start_m")
    if start is None and place.get("landmark"):
        start = _landmark(day, place["landmark"])
    if start is not None:
        end = start if place.get("end_m") is None else place["end_m"]
        if start > day["last_m"] or end < day["first_m"]:
            return None, None, strips
        return float(start), float(end), strips
    block = named_block(day, place.get("block") or "")
    return (block["start_m"], block["end_m"], strips) if block else (None, None, strips)


def _landmark(day: Day, name: str) -> float | None:
    """Station of a landmark by its name."""
    plain = name.strip().lower()
    return next((one["station_m"] for one in day["landmarks"] if one["name"].lower() == plain), None)


def named_block(day: Day, name: str) -> BlockOfDay | None:
    """Block of a name: its own, else the one of its number."""
    for block in day["blocks"]:
        if block["name"] == name:
            return block
    number = re.fullmatch(r"[^0-9]*([0-9]+)", name)
    return next((block for block in day["blocks"] if number and block["block"] == int(number[1])), None)


def _block(day: Day, place: Plain | None, start: float | None, end: float | None) -> int:
    """Number of the block that an entry belongs to."""
    named = named_block(day, (place or {}).get("block") or "")
    if named is not None:
        return named["block"]
    if start is None or end is None:
        return OFF_STREET
    middle = (start + end) / 2
    return next((one["block"] for one in day["blocks"] if one["start_m"] <= middle < one["end_m"]), OFF_STREET)


def gaps(spans: Iterable[Span], start: float, end: float) -> list[Span]:
    """Parts of a stretch that nothing covers."""
    found, at = [], start
    for low, high in sorted(spans):
        if high <= start or low >= end:
            continue
        if low - at > SLIVER_M:
            found.append((at, low))
        at = max(at, high)
    if end - at > SLIVER_M:
        found.append((at, end))
    return found
