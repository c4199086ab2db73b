"""``hardpan doctor``: what was found, what is wanted, what to do."""

from __future__ import annotations

import datetime as dt
import json
import os
import shutil
import stat
from collections.abc import Iterator
from dataclasses import asdict, dataclass
from pathlib import Path

from hardpan.site import home
from hardpan.site.serving import addresses, certificates, lock
from hardpan.site.serving.start import ServingError, data_folder, load_site

SCHEMA = "hardpan.doctor/1"
LEAST_ROOM = 1_000_000_000  # bytes: a season of photos of one street
OLDEST_BACKUP = dt.timedelta(days=1)
CERTIFICATE_ENDS = dt.timedelta(days=30)
CLOCK_MAY_BE_BACK = dt.timedelta(minutes=2)
SQLITE_WANTED = {"journal_mode": "wal", "synchronous": "2", "foreign_keys": "1"}
POSTGRESQL_WANTED = {"fsync": "on", "synchronous_commit": "on", "full_page_writes": "on"}


@dataclass(frozen=True, slots=True)
class Line:
    """One thing that was looked at."""

    what: str
    found: str
    wanted: str
    do: str = ""  # nothing where it is well

    @property
    def well(self) -> bool:
        """Whether nothing is to be done."""
        return not self.do

    def __str__(self) -> str:
        if self.well:
            return f"  {self.what}: {self.found}"
        return f"! {self.what}: found {self.found}; wanted: {self.wanted}. {self.do}"


def examine() -> list[Line]:
    """Every line; where the data folder is not to be used, only that one."""
    try:
        folder = data_folder()
        first = list(_folder(folder))
        load_site()
    except ServingError as error:
        return [Line("data folder", str(error), "a folder of this user", "See there.")]
    return [*first, *_database(), *_store()]


def as_json(lines: list[Line]) -> str:
    """Lines as one JSON object."""
    checks = [asdict(line) | {"well": line.well} for line in lines]
    return json.dumps(
        {"schema": SCHEMA, "well": all(line.well for line in lines), "checks": checks}, ensure_ascii=False, indent=1
    )


def _line(what: str, found: str, wanted: str, *, well: bool, do: str) -> Line:
    """A line that says what to do only where something is to be done."""
    return Line(what, found, wanted, "" if well else do)


def _folder(folder: Path) -> Iterator[Line]:
    """The folder itself, the key in it, the room beside it, the certificate."""
    yield _rights("data folder", folder, 0o700)
    key = folder / "secret-key"
    if key.exists():  # else it is made at the first start
        yield _rights("secret key", key, 0o600)
    free = shutil.disk_usage(folder).free
    wanted = f"{LEAST_ROOM // 1_000_000} MB at least"
    yield _line(
        "room on the disk",
        f"{free // 1_000_000} MB",
        wanted,
        well=free >= LEAST_ROOM,
        do="Make room, or move the data folder.",
    )
    running = lock.address(folder)
    yield Line("server", running or "none runs on this data folder", "either")
    given, own = os.environ.get("HARDPAN_CERTIFICATE"), folder / certificates.FOLDER / "chain.pem"
    if given:
        yield _certificate(Path(given), _told_names(), "Have it renewed, for every name of HARDPAN_HOSTS.")
    elif own.exists():
        yield _certificate(own, [], "Start the server again: it makes another one.")


def _told_names() -> list[str]:
    """Names by which the environment says that others come."""
    return [name for told in home.hosts() if not addresses.is_local(name := home.host_name(told).strip("[]"))]


def _rights(what: str, path: Path, wanted: int) -> Line:
    """Who may open a path."""
    mode = stat.S_IMODE(path.stat().st_mode)
    well = os.name == "nt" or mode & 0o777 & ~wanted == 0  # Windows has other rights
    return _line(what, f"{path}, {mode:04o}", f"{wanted:04o}, its owner only", well=well, do=f"chmod {wanted:o} {path}")


def _certificate(chain: Path, names: list[str], do: str) -> Line:
    """A certificate's end, and the names that it lacks; one that was made here gets its names at every start."""
    wanted = " ".join(["30 days left at least", *(["and for", ", ".join(names)] if names else [])])
    try:
        known = certificates.facts(chain)
    except (OSError, ValueError):
        return Line("certificate", f"none in {chain}", wanted, do)
    missing = [name for name in names if not known.covers(name)]
    found = f"ends {known.ends:%Y-%m-%d}, for {', '.join(sorted(known.names))}"
    well = known.ends > dt.datetime.now(dt.UTC) + CERTIFICATE_ENDS and not missing
    return _line("certificate", found, wanted, well=well, do=do)


def _database() -> Iterator[Line]:
    """Whether the database answers, has had every migration, and keeps what it is told."""
    from django.db import DatabaseError, connection  # noqa: PLC0415  # once the settings are there
    from django.db.migrations.executor import MigrationExecutor  # noqa: PLC0415

    try:
        executor = MigrationExecutor(connection)
        missing = executor.migration_plan(executor.loader.graph.leaf_nodes())
    except DatabaseError as error:
        yield Line(
            "database",
            f"no answer ({error})".replace("\n", " "),
            "an answer",
            "Start it, or correct DATABASE_URL; where a file is damaged: hardpan restore.",
        )
        return
    yield Line("database", connection.display_name, "either")
    count = f"{len(missing)} migrations to come" if missing else "up to date"
    yield _line(
        "tables",
        count,
        "up to date",
        well=not missing,
        do="Start the server, or restore a backup: both bring them up to date.",
    )
    yield from _settings(connection.vendor)


def _settings(vendor: str) -> Iterator[Line]:
    """Settings by which an answer means: it is on the disk."""
    from django.db import connection  # noqa: PLC0415  # once the settings are there

    verb, wanted = ("PRAGMA", SQLITE_WANTED) if vendor == "sqlite" else ("SHOW", POSTGRESQL_WANTED)
    for name, value in wanted.items():
        with connection.cursor() as cursor:
            cursor.execute(f"{verb} {name}")
            found = str(cursor.fetchone()[0])
        yield _line(
            name, found, value, well=found == value, do="Set it back: without it an entry may be lost at a power cut."
        )
    if vendor == "sqlite":
        with connection.cursor() as cursor:
            cursor.execute("PRAGMA quick_check(1)")
            found = str(cursor.fetchone()[0])
        yield _line(
            "file of the database", found, "ok", well=found == "ok", do="Stop the server and restore the last backup."
        )


def _store() -> Iterator[Line]:
    """What the store holds: clock, backup, refused entries, photos; the files of the pages."""
    from django.db import DatabaseError  # noqa: PLC0415  # once the settings are there

    try:
        yield _clock()
        yield _backup()
        yield from _entries()
        yield _photos()
    except DatabaseError:
        return  # no tables yet: told already
    yield _static()


def _clock() -> Line:
    """The machine's clock against the newest entry: it has seen later times than it says now where it was set back."""
    from hardpan.site.entries.models import StoredEntry  # noqa: PLC0415  # once the settings are there

    now = dt.datetime.now(dt.UTC)
    newest = StoredEntry.objects.order_by("-stored_at").values_list("stored_at", flat=True).first()
    well = newest is None or now > newest - CLOCK_MAY_BE_BACK
    wanted = f"after {newest:%Y-%m-%d %H:%M:%S} UTC, when the last entry was stored" if newest else "any"
    return _line(
        "clock", f"{now:%Y-%m-%d %H:%M:%S} UTC", wanted, well=well, do="Set the clock, best by the network's time."
    )


def _backup() -> Line:
    """How old the last backup is."""
    from hardpan.site.entries.models import StoredEntry  # noqa: PLC0415  # once the settings are there
    from hardpan.site.keeping.backup import last_backup  # noqa: PLC0415

    last = last_backup()
    since = StoredEntry.objects.filter(stored_at__gt=last.made_at) if last else StoredEntry.objects.all()
    told = f"{since.count()} entries since"
    found = f"{last.made_at:%Y-%m-%d %H:%M} UTC, {told}" if last else f"none, {told}"
    young = last is not None and dt.datetime.now(dt.UTC) - last.made_at < OLDEST_BACKUP
    return _line(
        "backup",
        found,
        "one within a day of the last entry",
        well=young or not since.exists(),
        do="hardpan backup FILE, to another disk.",
    )


def _entries() -> Iterator[Line]:
    """Entries that wait for somebody: refused ones, and such as no device says that it sent."""
    from hardpan.site.entries.models import RefusedEntry, StoredEntry  # noqa: PLC0415  # once the settings are there

    yield Line("entries", str(StoredEntry.objects.count()), "any")
    yield Line("refused entries, kept apart", str(RefusedEntry.objects.count()), "any; somebody should look at each")
    yield Line(
        "entries that came by a file, not by a device", str(StoredEntry.objects.filter(sent_at="").count()), "any"
    )


def _photos() -> Line:
    """Whether every photo that a row names is there."""
    from hardpan.site.photos.models import Photo  # noqa: PLC0415  # once the settings are there
    from hardpan.site.photos.store import path_of  # noqa: PLC0415

    named = set(Photo.objects.values_list("sha256", flat=True))
    gone = sum(not path_of(one).is_file() for one in named)
    return _line(
        "photos",
        f"{len(named)}, {gone} of them gone",
        "none gone",
        well=not gone,
        do="Restore the last backup that had them.",
    )


def _static() -> Line:
    """Whether the files that pages ask for are those of this Hardpan."""
    from hardpan.site.serving import static  # noqa: PLC0415  # once the settings are there

    well = static.are_collected()
    found = "collected" if well else "missing, or of another Hardpan"
    return _line("files of the pages", found, "collected", well=well, do="Start the server: it collects them.")
