"""A whole street comes in as a folder, ledger and all, and goes out again byte for byte."""

from __future__ import annotations

import tempfile
from pathlib import Path

from django.db import transaction
from django.utils.text import slugify
from django.utils.translation import gettext as _

from hardpan.ledger import Ledger, read_ledger
from hardpan.site.accounts.models import User
from hardpan.site.answers import Wrong
from hardpan.site.entries import store
from hardpan.site.entries.store import Answer
from hardpan.site.roles import Role
from hardpan.site.streets.folders import FolderError
from hardpan.site.streets.known import known_of
from hardpan.site.streets.models import Street, StreetFile

LEDGER = "ledger.jsonl"


def bring_in(by: User, folder: dict[str, bytes], *, slug: str = "") -> tuple[Street, list[Answer]]:
    """Store a new street from its folder.

    Raises
    ------
    StreetError
        When the street cannot be read; nothing is stored.
    FolderError
        When the name is taken, or the ledger is of another street.
    """
    known = known_of(folder)
    ledger = _ledger(folder)
    slug = slug or _slug_of(ledger) or slugify(known.name)[:60].strip("-") or "street"
    _check(ledger, slug)
    if Street.objects.filter(company=by.company_id, slug=slug).exists():
        do = _("Give it another short name, or replace the files of the street that is there.")
        raise FolderError(Wrong("slug", slug, _("a short name that no street of yours has"), do))
    with transaction.atomic(durable=True):
        street = Street.objects.create(company_id=by.company_id, slug=slug, name=known.name[:200])
        StreetFile.objects.bulk_create(StreetFile(street=street, name=name, content=folder[name]) for name in folder)
        if by.role != Role.OWNER:
            street.people.add(by)
        answers = store.add_within(street, ledger.received, from_folder=True) if ledger else []
    return street, answers


def replace(street: Street, folder: dict[str, bytes]) -> list[Answer]:
    """Replace what is known of a street; what happened is only ever added to.

    Raises
    ------
    StreetError, FolderError
        As ``bring_in``; nothing is changed then.
    """
    known = known_of(folder)
    ledger = _ledger(folder)
    _check(ledger, street.slug)
    with transaction.atomic(durable=True):
        street.files.exclude(name=LEDGER).delete()
        StreetFile.objects.bulk_create(
            StreetFile(street=street, name=name, content=folder[name]) for name in folder if name != LEDGER
        )
        Street.objects.filter(pk=street.pk).update(name=known.name[:200])
        return store.add_within(street, ledger.received) if ledger else []


def take_out(street: Street) -> dict[str, bytes]:
    """Folder of a street with its ledger up to now."""
    folder = street.folder()
    lines = b"".join(line + b"\n" for line in store.ledger_lines(street))
    if lines:
        before = folder.get(LEDGER, b"")
        folder[LEDGER] = before + (b"\n" if before and not before.endswith(b"\n") else b"") + lines
    return folder


def _ledger(folder: dict[str, bytes]) -> Ledger | None:
    """Ledger of a folder, None where it has none."""
    if LEDGER not in folder:
        return None
    with tempfile.TemporaryDirectory(prefix="hardpan-") as made:
        path = Path(made) / LEDGER
        path.write_bytes(folder[LEDGER])
        return read_ledger(path)


def _slug_of(ledger: Ledger | None) -> str:
    """Short name that the entries of a ledger give their street."""
    return next((one.entry.street for one in ledger.received), "") if ledger else ""


def _check(ledger: Ledger | None, slug: str) -> None:
    """Refuse a ledger of another street."""
    others = {one.entry.street for one in ledger.received} - {slug} if ledger else set()
    if others:
        found = ", ".join(sorted(others))[:200]
        raise FolderError(Wrong(f"{LEDGER}, entry.street", found, slug, _("Use the short name that its entries have.")))
