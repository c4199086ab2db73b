"""The store: entries are added once each, in order; what a phone is told is true after a power cut."""

from __future__ import annotations

import datetime as dt
import hashlib
import json
import uuid
from collections.abc import Container, Iterator, Sequence
from dataclasses import dataclass
from typing import Any, Literal

from django.db import transaction
from django.utils.translation import gettext as _

from hardpan.ledger import Entry, Received, entry_body, parse_received, received_body
from hardpan.ledger.moments import Moment
from hardpan.site.answers import Wrong
from hardpan.site.entries.models import RefusedEntry, Stamped, StoredEntry
from hardpan.site.streets.models import Street

STORED: Literal["stored"] = "stored"
ALREADY: Literal["already have it"] = "already have it"
REFUSED: Literal["refused"] = "refused"
STAMPS = ("received_at", "sent_at", "heard_at", "heard_said")


@dataclass(frozen=True, slots=True)
class Answer:
    """What became of one posted entry."""

    id: str
    answer: Literal["stored", "already have it", "refused"]
    sequence: int | None = None
    reason: tuple[Wrong, ...] = ()


def stamp(now: dt.datetime) -> Moment:
    """The store's clock, in UTC, as it is written."""
    written = now.astimezone(dt.UTC).isoformat(timespec="microseconds").replace("+00:00", "Z")
    return Moment(written, now)


def add(street: Street, received: Sequence[Received], **told: Any) -> list[Answer]:
    """Add entries to a street's ledger; gives an answer for each when all are safely on the disk.

    An id that is already there with the same body is a success; with another body it is refused, kept apart and never counted.
    """
    with transaction.atomic(durable=True):
        return add_within(street, received, **told)


def add_within(
    street: Street,
    received: Sequence[Received],
    *,
    from_folder: bool = False,
    carried: Container[str] = (),
    brought_by: str = "",
) -> list[Answer]:
    """Add entries as part of a larger transaction; ``carried`` ones were brought by somebody of another role."""
    locked = Street.objects.select_for_update().get(pk=street.pk)
    ids = [uuid.UUID(one.entry.id) for one in received]
    there = StoredEntry.objects.filter(street=locked, entry_id__in=ids).values_list("entry_id", "body", "sequence")
    bodies = {str(entry_id): (bytes(body), sequence) for entry_id, body, sequence in there}
    answers, rows = [], []
    for one in received:
        body = entry_body(one.entry)
        have, sequence = bodies.setdefault(one.entry.id, (body, locked.last_sequence + 1))
        if sequence > locked.last_sequence:
            locked.last_sequence = sequence
            by = brought_by if one.entry.id in carried else ""
            rows.append(_row(locked, one, body, sequence=sequence, from_folder=from_folder, brought_by=by))
            answers.append(Answer(one.entry.id, STORED, sequence))
        elif have == body:
            answers.append(Answer(one.entry.id, ALREADY, sequence))
        else:
            _keep_apart(locked, one, body)
            answers.append(Answer(one.entry.id, REFUSED, None, (other_body(),)))
    StoredEntry.objects.bulk_create(rows)
    locked.save(update_fields=["last_sequence"])
    return answers


def other_body() -> Wrong:
    """Why an id with another body is refused."""
    found = _("another entry under an id that the ledger already has")
    do = _("Enter a correction with an id of its own; this one is kept apart and does not count.")
    return Wrong("entry.id", found, _("the same entry again, or a new id"), do)


def _row(street: Street, one: Received, body: bytes, **told: Any) -> StoredEntry:
    """Row of a received entry."""
    entry = one.entry
    return StoredEntry(
        **_stamped(street, one, body),
        **told,
        kind=entry.kind,
        device=entry.device,
    )


def _keep_apart(street: Street, one: Received, body: bytes) -> None:
    """Keep a refused entry, once."""
    told = _stamped(street, one, body)
    key = {"street": told.pop("street"), "entry_id": told.pop("entry_id")}
    RefusedEntry.objects.get_or_create(**key, body_hash=hashlib.sha256(body).hexdigest(), defaults=told)


def _stamped(street: Street, one: Received, body: bytes) -> dict[str, Any]:
    """Columns of an entry and its stamps."""
    stamps = {name: str(getattr(one, name) or "") for name in STAMPS}
    return {"street": street, "entry_id": uuid.UUID(one.entry.id), "body": body, **stamps}


def received(row: Stamped) -> Received:
    """Received entry of a row: exactly what was added."""
    stamps = {name: written for name in STAMPS if (written := getattr(row, name))}
    return parse_received({"entry": json.loads(bytes(row.body)), **stamps})


def plain(row: Stamped) -> dict[str, Any]:
    """Received entry of a row as plain data, for JSON."""
    stamps = {name: getattr(row, name) or None for name in STAMPS}
    return {"entry": json.loads(bytes(row.body)), **stamps}


def rows_since(street: Street, since: int, *, most: int) -> list[StoredEntry]:
    """Rows after a sequence number, at most so many."""
    return list(StoredEntry.objects.filter(street=street, sequence__gt=since).order_by("sequence")[:most])


def refused_rows(street: Street) -> Iterator[RefusedEntry]:
    """Rows that were refused."""
    return RefusedEntry.objects.filter(street=street).order_by("pk").iterator()


def ledger_lines(street: Street) -> Iterator[bytes]:
    """Lines of the entries that came after the ledger that the street's folder brought."""
    rows = StoredEntry.objects.filter(street=street, from_folder=False).order_by("sequence")
    return (received_body(received(row)) for row in rows.iterator())


def kinds_mended(street: Street, entry: Entry) -> frozenset[str]:
    """Kinds of what a mending touches: of the entry it names, and of what that one mends in turn, as far as they are stored."""
    found: dict[str, str] = {}
    following = entry.corrects
    while following is not None and following not in found:
        row = StoredEntry.objects.filter(street=street, entry_id=uuid.UUID(following)).first()
        if row is None:
            break
        found[following], following = row.kind, json.loads(bytes(row.body)).get("corrects")
    return frozenset(found.values())
