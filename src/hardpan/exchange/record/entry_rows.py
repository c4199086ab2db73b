"""Rows about the entries themselves: signatures, roles, device clocks, conflicts, every entry in order."""

from __future__ import annotations

import datetime as dt
from collections import Counter
from collections.abc import Iterator

from hardpan.exchange.record.gathered import Gathered
from hardpan.exchange.record.words import day, when
from hardpan.exchange.tables import Cell
from hardpan.ledger import Standing
from hardpan.ledger.mending import Signature
from hardpan.ledger.skew import Skew

Rows = Iterator[tuple[Cell, ...]]


def signatures(record: Gathered) -> Rows:
    """Everything that was signed."""
    for one in record.state.entries:
        said = one.payload
        if isinstance(said, Signature):
            decision = said.decision if one.status == "in force" else f"{said.decision}, {one.status}"
            yield (
                when(one.happened_at), one.entry.role, one.entry.name, said.signed, decision, said.reason, record.telling.id(one.id),
            )  # fmt: skip


def photos(record: Gathered) -> Rows:
    """Photos by their entries; the hash tells whether a file is the one that was taken."""
    for one in record.state.entries:
        if one.entry.photo:
            yield when(one.happened_at), one.kind, record.place(one), one.entry.photo, record.telling.id(one.id)


def roles(record: Gathered) -> Rows:
    """Roles, and names where they were entered, with how many entries each made."""
    people = Counter((one.entry.role, one.entry.name) for one in record.state.entries)
    for (role, name), count in sorted(people.items()):
        own = [one for one in record.state.entries if (one.entry.role, one.entry.name) == (role, name)]
        yield role, name or "name not entered", count, when(own[0].happened_at), when(own[-1].happened_at)


def devices(record: Gathered) -> Rows:
    """Bounds of every device's clock against the store's."""
    entries = Counter(one.entry.device for one in record.state.entries)
    for name, count in sorted(entries.items()):
        skew = record.state.skews.get(name)
        bounds = [_seconds(skew.at_least_s if skew else None), _seconds(skew.at_most_s if skew else None)]
        yield name, count, *bounds, _judged(skew)


def _seconds(seconds: float | None) -> Cell:
    """Seconds of skew; not known where nothing bounds it."""
    return "not known" if seconds is None else round(seconds)


def _judged(skew: Skew | None) -> str:
    """What the bounds say of a clock."""
    if skew is None:
        return "never sent, never heard: not known"
    if skew.wrong:
        return "wrong, or set in between: both readings stand beside its entries" if skew.torn else "wrong: both readings stand beside its entries"  # fmt: skip
    return "nothing says that it is wrong"


def conflicts(record: Gathered) -> Rows:
    """Notices about entries, entries that were refused, lines that cannot be read."""
    for notice in record.state.notices:
        yield notice.kind, str(notice)
    for refused in record.state.refused:
        entry = refused.entry
        said = record.telling.said(entry.payload)
        yield (
            "refused",
            f"{entry.kind} {entry.id}, {entry.role}, {when(entry.happened_at)}: {said}; another body came first under its id",
        )
    for problem in record.ledger.problems:
        yield "cannot be read", f"{problem}; the line as it stands: {problem.text[:200]}"


def entries(record: Gathered) -> Rows:
    """Every entry in order of happening: what it says as it stands, and what became of it."""
    for one in record.state.entries:
        entry, received = one.entry, one.received.received_at
        by = f"{entry.role}{f', {entry.name}' if entry.name else ''}"
        became = ", ".join(
            part for part in (record.telling.stands(one), _first_said(record, one), _by_store(record, one)) if part
        )
        yield (
            record.telling.id(one.id), when(one.happened_at), by, one.kind, record.place(one), record.telling.said(one.payload), became,
            _received(received.at if received else None),
        )  # fmt: skip


def _received(at: dt.datetime | None) -> str:
    """When the store received an entry, by its own clock."""
    if at is None:
        return "not sent"
    at = at.astimezone(dt.UTC)
    return f"{day(at)} {at:%H:%M:%S}Z"


def _first_said(record: Gathered, one: Standing) -> str:
    """What a corrected entry said first: a correction hides nothing."""
    return f"first said: {record.telling.said(one.entry.payload)}" if one.status == "corrected" else ""


def _by_store(record: Gathered, one: Standing) -> str:
    """Both readings where the device's clock is wrong."""
    both = record.state.by_store(one)
    if both is None:
        return ""
    early, late = (f"{at.astimezone(dt.UTC):%H:%M:%S}Z" if at else "not known" for at in both)
    return f"store's clock {early} to {late}"
