"""A post from a phone: every entry is judged by itself, the good ones are stored together."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from django.utils import timezone

from hardpan.ledger import Entry, LedgerError, Received, parse_entry
from hardpan.ledger.moments import Moment
from hardpan.site.answers import Wrong
from hardpan.site.entries import may, store
from hardpan.site.entries.store import REFUSED, Answer
from hardpan.site.roles import Role
from hardpan.site.streets.models import Street


@dataclass(frozen=True, slots=True)
class Post:
    """Entries as they were sent, and what the phone's clock said."""

    entries: Sequence[object]
    sent_at: Moment | None = None
    heard_at: Moment | None = None
    heard_said: Moment | None = None


def take(street: Street, post: Post, *, role: Role, name: str) -> list[Answer]:
    """Answers to a post, in its order; what is stored is on the disk when this returns."""
    judged = [_judged(_read(plain), street, role=role, name=name) for plain in post.entries]
    now = store.stamp(timezone.now())
    good = [
        Received(entry=one, received_at=now, sent_at=post.sent_at, heard_at=post.heard_at, heard_said=post.heard_said)
        for one in judged
        if isinstance(one, Entry)
    ]
    carried = {one.id for one in judged if isinstance(one, Entry) and may.carried(one, role)}
    stored = iter(store.add(street, good, carried=carried, brought_by=role.value))
    return [next(stored) if isinstance(one, Entry) else one for one in judged]


def _judged(read: Entry | Answer, street: Street, *, role: Role, name: str) -> Entry | Answer:
    """The entry, or why its caller may not make it."""
    if isinstance(read, Answer):
        return read
    mended = store.kinds_mended(street, read)
    wrongs = may.wrongs(read, role, name=name, slug=street.slug, mended=mended)
    return Answer(read.id, REFUSED, None, tuple(wrongs)) if wrongs else read


def _read(plain: object) -> Entry | Answer:
    """Entry of plain data, or why it is refused."""
    try:
        return parse_entry(plain)
    except LedgerError as error:
        said = plain.get("id") if isinstance(plain, dict) else None
        wrongs = tuple(Wrong(one.where, one.found, one.allowed, one.do) for one in error.problems)
        return Answer(said[:100] if isinstance(said, str) else "", REFUSED, None, wrongs)
