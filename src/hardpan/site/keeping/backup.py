"""``hardpan backup``: the store at one moment, while the server goes on."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from django.conf import settings
from django.db import connection, transaction
from pydantic import AwareDatetime, BaseModel, ValidationError

import hardpan
from hardpan.site.entries.models import Epoch, epoch
from hardpan.site.keeping import archive, rows
from hardpan.site.keeping.archive import BackupError, Manifest
from hardpan.site.photos.models import Photo
from hardpan.site.photos.store import path_of
from hardpan.site.serving import files

LAST = "last-backup.json"


class Last(BaseModel):
    """What is known of the last backup: what was stored in that life of the store before that time is in it."""

    made_at: AwareDatetime
    epoch: str


def back_up(path: Path, *, with_key: bool = False, replace: bool = False) -> Manifest:
    """Write a backup of the store, read it back, and give what it holds.

    Raises
    ------
    BackupError
        When the file is there already, or cannot be written or read back.
    """
    if path.exists() and not replace:
        raise BackupError(f"backup {path}: a file is there already; allowed: a new name. Choose one, or say --replace.")
    epoch()  # the first one is made here where nobody asked for it yet
    with snapshot():
        photos = sorted(set(Photo.objects.values_list("sha256", flat=True)))
        manifest = Manifest(
            version=hardpan.__version__,
            made_at=datetime.now(UTC),
            epoch=str(Epoch.objects.get(id=1).value),
            migrations=rows.migrations(),
            missing_photos=tuple(one for one in photos if not path_of(one).is_file()),
        )
        with archive.writing(path, manifest) as writer:
            for model in rows.kept_models():
                writer.lines(f"{archive.ROWS}{rows.label(model)}.jsonl", rows.all_rows(model))
            for sha256 in sorted(set(photos) - set(manifest.missing_photos)):
                writer.file(f"{archive.PHOTOS}{sha256}", path_of(sha256))
            if with_key:
                writer.file(archive.KEY, Path(settings.HARDPAN_DATA) / "secret-key")
    told = Last(made_at=manifest.made_at, epoch=manifest.epoch)
    files.write(Path(settings.HARDPAN_DATA) / LAST, told.model_dump_json().encode())
    return writer.manifest


def last_backup() -> Last | None:
    """The last backup of this life of the store, None where there is none."""
    try:
        told = Last.model_validate_json((Path(settings.HARDPAN_DATA) / LAST).read_bytes())
    except (OSError, ValidationError):
        return None
    return told if told.epoch == str(epoch()) else None


@contextmanager
def snapshot() -> Iterator[None]:
    """The store as it is at the first reading, however long it takes; no writer waits for it."""
    connection.ensure_connection()
    if connection.vendor == "postgresql":
        with transaction.atomic(durable=True):
            with connection.cursor() as cursor:
                cursor.execute("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ, READ ONLY")
            yield
        return
    sqlite: Any = connection  # the stubs leave its transaction_mode out
    mode, sqlite.transaction_mode = sqlite.transaction_mode, "DEFERRED"
    try:
        with transaction.atomic(durable=True):
            yield
    finally:
        sqlite.transaction_mode = mode
