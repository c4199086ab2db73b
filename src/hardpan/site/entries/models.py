"""Entries as they were received: rows are added, never changed, never deleted; the database itself refuses it too."""

from __future__ import annotations

import uuid
from typing import ClassVar, NoReturn, TypeVar

from django.db import models
from django.utils import timezone

from hardpan.errors import HardpanError
from hardpan.site.streets.models import Street

Row = TypeVar("Row", bound=models.Model)


class AppendOnlyError(HardpanError):
    """Somebody tried to change or delete what was entered."""

    def __init__(self) -> None:
        super().__init__("entries are added, never changed: enter a correction or a withdrawal")


class AppendedSet(models.QuerySet[Row]):
    """Rows that may be read and added."""

    def update(self, **_: object) -> NoReturn:
        """Refuse."""
        raise AppendOnlyError

    def delete(self) -> NoReturn:
        """Refuse."""
        raise AppendOnlyError

    def bulk_update(self, *_: object, **__: object) -> NoReturn:
        """Refuse."""
        raise AppendOnlyError


class Appended(models.Model):
    """A row that is written once."""

    class Meta:
        """A base."""

        abstract = True

    def save(self, *_: object, **__: object) -> None:
        """Write a new row; refuse to write one again."""
        if not self._state.adding:
            raise AppendOnlyError
        super().save(force_insert=True)

    def delete(self, *_: object, **__: object) -> NoReturn:
        """Refuse."""
        raise AppendOnlyError


class Stamped(Appended):
    """An entry's body and its stamps, each as it was written."""

    street = models.ForeignKey(Street, on_delete=models.PROTECT, related_name="+")
    entry_id = models.UUIDField()
    body = models.BinaryField()  # canonical bytes: two entries are the same when these are
    received_at = models.CharField(max_length=40, blank=True)
    sent_at = models.CharField(max_length=40, blank=True)
    heard_at = models.CharField(max_length=40, blank=True)
    heard_said = models.CharField(max_length=40, blank=True)
    stored_at = models.DateTimeField(default=timezone.now)

    class Meta:
        """A base."""

        abstract = True


class StoredEntry(Stamped):
    """An entry of a street's ledger."""

    sequence = models.PositiveBigIntegerField()  # in the street, from 1, without a gap
    kind = models.CharField(max_length=40)
    device = models.CharField(max_length=64)
    brought_by = models.CharField(max_length=10, blank=True)  # role of who carried it from another's phone
    from_folder = models.BooleanField(default=False)  # its line stands in the ledger.jsonl that the street came with

    objects: ClassVar[models.Manager[StoredEntry]] = AppendedSet["StoredEntry"].as_manager()

    class Meta:
        """One row an id and street: the devices of two companies may have been given the same example."""

        ordering: ClassVar[list[str]] = ["sequence"]
        constraints: ClassVar[list[models.BaseConstraint]] = [
            models.UniqueConstraint(fields=["street", "entry_id"], name="entry_once"),
            models.UniqueConstraint(fields=["street", "sequence"], name="entry_sequence"),
        ]

    def __str__(self) -> str:
        return f"{self.kind} {self.entry_id}"


class RefusedEntry(Stamped):
    """Another body under an id that the ledger already has: kept and shown, never counted."""

    body_hash = models.CharField(max_length=64)

    objects: ClassVar[models.Manager[RefusedEntry]] = AppendedSet["RefusedEntry"].as_manager()

    class Meta:
        """Sent again, it is the same row."""

        ordering: ClassVar[list[str]] = ["pk"]
        constraints: ClassVar[list[models.BaseConstraint]] = [
            models.UniqueConstraint(fields=["street", "entry_id", "body_hash"], name="refused_once"),
        ]

    def __str__(self) -> str:
        return str(self.entry_id)


class Epoch(models.Model):
    """One row: which life of the store this is. A restore starts a new one, and phones send again what they still hold."""

    id = models.PositiveSmallIntegerField(primary_key=True, default=1)
    value = models.UUIDField(default=uuid.uuid4)

    class Meta:
        """One row, and the database sees to it."""

        constraints: ClassVar[list[models.BaseConstraint]] = [
            models.CheckConstraint(condition=models.Q(id=1), name="one_epoch"),
        ]

    def __str__(self) -> str:
        return str(self.value)


def epoch() -> uuid.UUID:
    """Epoch of the store."""
    return Epoch.objects.get_or_create(id=1)[0].value


def renew_epoch() -> uuid.UUID:
    """Start a new epoch, as after a restore."""
    return Epoch.objects.update_or_create(id=1, defaults={"value": uuid.uuid4()})[0].value
