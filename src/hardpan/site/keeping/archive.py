"""The file of a backup: a zip whose every byte is vouched for.

::

    manifest.json        schema, version, epoch, when it was made, migrations, and of each member: sha256, bytes, rows
    rows/APP.MODEL.jsonl one row of the store a line
    photos/SHA256        a photo's bytes
    secret-key           only where it was asked for

The comment at the end of the zip is the SHA-256 of all bytes before it.
"""

from __future__ import annotations

import hashlib
import json
import os
import re
import zipfile
import zlib
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Annotated, Any, BinaryIO, Literal

from pydantic import AwareDatetime, BaseModel, ConfigDict, Field, ValidationError

from hardpan.errors import HardpanError
from hardpan.site.serving import files

SCHEMA = "hardpan.backup/1"
MANIFEST = "manifest.json"
ROWS, PHOTOS, KEY = "rows/", "photos/", "secret-key"
CHUNK = 1 << 20
NAME = re.compile(r"rows/[a-z_]+\.[a-z_]+\.jsonl|photos/[0-9a-f]{64}|secret-key")
SEAL = 64  # bytes of the hash at the end
BROKEN = (zipfile.BadZipFile, zlib.error, OSError, EOFError, ValueError, KeyError, NotImplementedError, RuntimeError)


class BackupError(HardpanError):
    """A backup that cannot be written, or that is not taken; the message says what to do."""


class Member(BaseModel):
    """What is vouched for of a member."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    sha256: str
    bytes: int
    rows: int | None = None


class Manifest(BaseModel):
    """What a backup holds."""

    model_config = ConfigDict(extra="forbid", frozen=True, populate_by_name=True)

    schema_name: Annotated[Literal["hardpan.backup/1"], Field(alias="schema")] = "hardpan.backup/1"
    version: str
    made_at: AwareDatetime  # before the first row was read: what was stored earlier is in it
    epoch: str
    migrations: dict[str, tuple[str, ...]]
    missing_photos: tuple[str, ...] = ()  # named by a row, but their file was gone
    members: dict[str, Member] = {}

    @property
    def rows(self) -> dict[str, int]:
        """Number of rows by model."""
        told = {name: member.rows or 0 for name, member in self.members.items() if name.startswith(ROWS)}
        return {name.removeprefix(ROWS).removesuffix(".jsonl"): count for name, count in told.items()}


class Writer:
    """Adds members to a backup that is being written; ``manifest`` is there when it was read back."""

    manifest: Manifest

    def __init__(self, packed: zipfile.ZipFile) -> None:
        self._packed = packed
        self.members: dict[str, Member] = {}

    def lines(self, name: str, rows: Iterable[dict[str, Any]]) -> None:
        """Add rows, one a line."""
        made = (json.dumps(row, ensure_ascii=False, sort_keys=True).encode() + b"\n" for row in rows)
        self._add(name, made, squeeze=zipfile.ZIP_DEFLATED, counted=True)

    def file(self, name: str, path: Path) -> None:
        """Add a file as it is."""
        with path.open("rb") as file:
            self._add(name, iter(lambda: file.read(CHUNK), b""), squeeze=zipfile.ZIP_STORED)

    def _add(self, name: str, parts: Iterable[bytes], *, squeeze: int, counted: bool = False) -> None:
        """Add a member, and what is vouched for of it."""
        told, size, count = hashlib.sha256(), 0, 0
        member = zipfile.ZipInfo(name)
        member.compress_type = squeeze
        with self._packed.open(member, "w", force_zip64=True) as file:
            for part in parts:
                told.update(part)
                size, count = size + len(part), count + 1
                file.write(part)
        self.members[name] = Member(sha256=told.hexdigest(), bytes=size, rows=count if counted else None)


@contextmanager
def writing(path: Path, manifest: Manifest) -> Iterator[Writer]:
    """Write a backup beside, read it back, and only then give it its name; raises ``BackupError``."""
    try:
        with files.whole(path) as made:
            with zipfile.ZipFile(made, "w") as packed:
                writer = Writer(packed)
                yield writer
                whole = manifest.model_copy(update={"members": writer.members})
                packed.writestr(MANIFEST, whole.model_dump_json(by_alias=True, indent=1))
                packed.comment = b"0" * SEAL
            _seal(made)
            writer.manifest = _check_open(path, made)
    except OSError as error:
        raise BackupError(
            f"backup {path}: cannot be written ({error.strerror or error}); allowed: a folder with room. Name another one."
        ) from error


def _seal(file: BinaryIO) -> None:
    """Put the hash of a file's bytes in place of its comment."""
    size = file.seek(0, os.SEEK_END)
    file.seek(0)
    seal = _hash(file, size - SEAL)
    file.seek(size - SEAL)
    file.write(seal)


def _hash(file: BinaryIO, size: int) -> bytes:
    """SHA-256 of a file's next bytes."""
    told = hashlib.sha256()
    while size > 0 and (part := file.read(min(CHUNK, size))):
        told.update(part)
        size -= len(part)
    return told.hexdigest().encode()


def check(path: Path) -> Manifest:
    """Manifest of a backup, after every byte, hash and count of it was found as told; raises ``BackupError``."""
    try:
        with path.open("rb") as file:
            return _check_open(path, file)
    except OSError as error:
        raise BackupError(
            f"backup {path}: cannot be read ({error.strerror or error}); allowed: the file of a backup. Name one."
        ) from error


def _check_open(path: Path, file: BinaryIO) -> Manifest:
    """Manifest of an open file."""
    try:
        size = file.seek(0, os.SEEK_END)
        file.seek(0)
        if size <= SEAL or _hash(file, size - SEAL) != file.read(SEAL):
            raise _damaged(path, "its bytes are not those that were written")
        with zipfile.ZipFile(file) as packed:
            return _checked(path, packed)
    except (*BROKEN, ValidationError) as error:
        if isinstance(error, BackupError):
            raise
        raise _damaged(path, f"{type(error).__name__}: {error}"[:300]) from error


def _checked(path: Path, packed: zipfile.ZipFile) -> Manifest:
    """Manifest of a zip whose bytes are those that were written."""
    plain = json.loads(packed.read(MANIFEST))
    if plain.get("schema") != SCHEMA:
        raise BackupError(
            f"backup {path}: of the form {plain.get('schema')}; allowed: {SCHEMA}. Use the Hardpan that made it, or a newer one than this."
        )
    manifest = Manifest.model_validate(plain)
    names = set(packed.namelist()) - {MANIFEST}
    wrong = sorted(names ^ set(manifest.members))
    wrong += [
        name for name in sorted(names - set(wrong)) if not NAME.fullmatch(name) or not _as_told(packed, name, manifest)
    ]
    if wrong:
        raise _damaged(path, f"not as its manifest says: {', '.join(wrong)[:200]}")
    return manifest


def _as_told(packed: zipfile.ZipFile, name: str, manifest: Manifest) -> bool:
    """Whether a member is what the manifest says."""
    told, size, lines = hashlib.sha256(), 0, 0
    with packed.open(name) as file:
        while part := file.read(CHUNK):
            told.update(part)
            size, lines = size + len(part), lines + part.count(b"\n")
    wanted = manifest.members[name]
    named = name.removeprefix(PHOTOS) if name.startswith(PHOTOS) else wanted.sha256
    return (
        (told.hexdigest(), size) == (wanted.sha256, wanted.bytes)
        and named == wanted.sha256
        and wanted.rows in (None, lines)
    )


def _damaged(path: Path, why: str) -> BackupError:
    """A backup that is not whole."""
    return BackupError(
        f"backup {path}: damaged ({why}); allowed: a whole one. Nothing was changed; take another backup."
    )


def rows(path: Path, model: str) -> Iterator[dict[str, Any]]:
    """Rows of a model."""
    with zipfile.ZipFile(path) as packed, packed.open(f"{ROWS}{model}.jsonl") as file:
        for line in file:
            yield json.loads(line)


def content(path: Path, name: str) -> bytes:
    """Bytes of a member that is no table."""
    with zipfile.ZipFile(path) as packed:
        return packed.read(name)
