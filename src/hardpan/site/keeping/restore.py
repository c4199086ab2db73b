"""``hardpan restore``: the store as a backup has it, all or nothing, in a new epoch."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import closing
from dataclasses import dataclass
from datetime import UTC, datetime
from itertools import islice
from pathlib import Path

from django.conf import settings
from django.contrib.sessions.models import Session
from django.core.exceptions import ValidationError
from django.core.management import call_command
from django.core.management.color import no_style
from django.db import DatabaseError, connection, models, transaction
from django.db.migrations.loader import MigrationLoader

from hardpan.site.accounts.models import Company
from hardpan.site.entries import append_only
from hardpan.site.entries.models import renew_epoch
from hardpan.site.keeping import archive, rows
from hardpan.site.keeping.archive import BackupError, Manifest
from hardpan.site.keeping.backup import back_up
from hardpan.site.photos.store import path_of
from hardpan.site.serving import files, lock

AT_ONCE = 500  # rows


@dataclass(frozen=True, slots=True)
class Restored:
    """What was brought back, the store's new epoch, and where that which was there before is kept."""

    manifest: Manifest
    epoch: str
    before: Path | None


def restore(path: Path) -> Restored:
    """Bring a backup back.

    Raises
    ------
    BackupError
        When the backup is damaged or of a newer Hardpan; nothing is changed then.
    ServingError
        When a server or another restore is at work on the data folder.
    """
    manifest = archive.check(path)
    _check_age(path, manifest)
    folder = Path(settings.HARDPAN_DATA)
    with lock.held(folder):
        before = _put_damaged_aside(folder)
        call_command("migrate", interactive=False, verbosity=0)
        _check_alone()
        before = _keep_before(folder) or before
        for name in manifest.members:
            if name.startswith(archive.PHOTOS):
                _put_photo(path, name)
        epoch = _replace_rows(path, manifest)
        if archive.KEY in manifest.members:
            files.write(folder / "secret-key", archive.content(path, archive.KEY))
    return Restored(manifest, epoch, before)


def _check_age(path: Path, manifest: Manifest) -> None:
    """Refuse a backup that knows more than this Hardpan."""
    known = MigrationLoader(None).disk_migrations
    newer = [
        f"{label}.{name}"
        for label, names in manifest.migrations.items()
        for name in names
        if (label, name) not in known
    ]
    if newer:
        raise BackupError(
            f"backup {path}: made by a newer Hardpan ({manifest.version}; this one does not know {', '.join(newer)}); "
            "allowed: one made by this Hardpan or an older one. Install the newer Hardpan first."
        )


def _put_damaged_aside(folder: Path) -> Path | None:
    """Put an SQLite file that cannot be read aside, with what lies beside it; gives its new place."""
    file = Path(connection.settings_dict["NAME"])
    if connection.vendor != "sqlite" or not file.exists() or _is_whole(file):
        return None
    connection.close()
    aside = folder / f"damaged-{_now()}"
    aside.mkdir(mode=0o700)
    for one in (file, *(file.with_name(file.name + end) for end in ("-wal", "-shm"))):
        if one.exists():
            one.replace(aside / one.name)
    return aside


def _is_whole(file: Path) -> bool:
    """Whether SQLite reads a file from one end to the other."""
    try:
        with closing(sqlite3.connect(file)) as opened:
            return bool(opened.execute("PRAGMA quick_check(1)").fetchone() == ("ok",))
    except sqlite3.OperationalError:
        return True  # locked, or not to be opened: another fault, which Django will tell
    except sqlite3.DatabaseError:
        return False


def _now() -> str:
    """Time for the name of a file."""
    return f"{datetime.now(UTC):%Y%m%dT%H%M%S.%fZ}"


def _check_alone() -> None:
    """Refuse while another program is connected to the database; SQLite's is told by the lock."""
    if connection.vendor != "postgresql":
        return
    with connection.cursor() as cursor:
        cursor.execute(
            "SELECT count(*) FROM pg_stat_activity WHERE datname = current_database() "
            "AND pid <> pg_backend_pid() AND backend_type = 'client backend'"
        )
        (others,) = cursor.fetchone()
    if others:
        raise BackupError(
            f"database: {others} other connection{'' if others == 1 else 's'} to it; allowed: none while it is replaced. "
            "Stop every server, and close what else is connected."
        )


def _keep_before(folder: Path) -> Path | None:
    """Keep what is there as a backup beside, key and all; None where there is nothing."""
    if not Company.objects.exists():
        return None
    path = folder / f"before-restore-{_now()}.zip"
    back_up(path, with_key=True)
    return path


def _put_photo(path: Path, name: str) -> None:
    """Put a photo in its place before a row names it; one that is there under its hash stays."""
    target = path_of(name.removeprefix(archive.PHOTOS))
    if not target.is_file():
        target.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        files.write(target, archive.content(path, name))


def _replace_rows(path: Path, manifest: Manifest) -> str:
    """Replace every row, in one transaction; gives the new epoch."""
    try:
        with transaction.atomic(durable=True):
            _empty()
            for model in rows.kept_models():
                if rows.label(model) in manifest.rows:
                    _fill(path, model)
            _reset_keys()
            Session.objects.all().delete()  # they name people by number, and the numbers may be others' now
            return str(renew_epoch())
    except (DatabaseError, ValueError, TypeError, ValidationError) as error:
        raise BackupError(
            f"backup {path}: its rows do not fit ({type(error).__name__}: {error}); allowed: rows of this Hardpan's store. Nothing was changed."
        ) from error


def _empty() -> None:
    """Delete every row; the database refuses that for entries, so that its guard goes and comes back within the transaction."""
    tables = [connection.ops.quote_name(model._meta.db_table) for model in rows.kept_models()]
    with connection.cursor() as cursor:
        for statement in _without_guard(tables):
            cursor.execute(statement)


def _without_guard(tables: list[str]) -> Iterator[str]:
    """Statements that empty tables."""
    if connection.vendor == "postgresql":
        yield f"TRUNCATE {', '.join(tables)}"  # the guard stands before each row, and this asks for none
        return
    with connection.cursor() as cursor:
        cursor.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'")
        guards = [connection.ops.quote_name(name) for (name,) in cursor.fetchall()]
    yield from (f"DROP TRIGGER {guard}" for guard in guards)
    yield from (f"DELETE FROM {table}" for table in tables)
    yield from append_only.statements("sqlite")


def _fill(path: Path, model: type[models.Model]) -> None:
    """Add a model's rows."""
    made = (rows.row(model, told) for told in archive.rows(path, rows.label(model)))
    while some := list(islice(made, AT_ONCE)):
        model._base_manager.bulk_create(some)


def _reset_keys() -> None:
    """Let numbers of new rows begin behind those that came."""
    with connection.cursor() as cursor:
        for statement in connection.ops.sequence_reset_sql(no_style(), rows.kept_models()):
            cursor.execute(statement)
