"""A street's folder as it travels: files or a zip on the way in, a zip on the way out; names and bytes stay exactly as they are."""

from __future__ import annotations

import io
import re
import stat
import zipfile
import zlib
from collections.abc import Iterable

from django.utils.translation import gettext as _

from hardpan.errors import HardpanError
from hardpan.site.answers import Wrong

NAME = re.compile(r"[A-Za-z0-9][A-Za-z0-9 ._-]{0,90}\.(?:toml|csv|jsonl|md|txt)")
TOP = re.compile(r"[A-Za-z0-9][A-Za-z0-9 ._-]{0,99}")
NAMES = "letters, digits, space, dot, - and _, ending in .toml, .csv, .jsonl, .md or .txt"
MOST_FILES = 50
MOST_BYTES = 30_000_000  # of a folder, unpacked
FIRST_DAY = (1980, 1, 1, 0, 0, 0)  # a zip has no earlier one; the same folder gives the same zip
ZIP_ERRORS = (zipfile.BadZipFile, zlib.error, NotImplementedError, EOFError, RuntimeError, ValueError, OSError)


class FolderError(HardpanError):
    """A folder that cannot be taken; ``.wrongs`` lists everything that is wrong with it."""

    def __init__(self, *wrongs: Wrong) -> None:
        self.wrongs = wrongs
        super().__init__("\n".join(f"{wrong.where}: found {wrong.found}; allowed: {wrong.allowed}" for wrong in wrongs))


def folder_of_files(files: Iterable[tuple[str, bytes]]) -> dict[str, bytes]:
    """Folder of named files; raises ``FolderError``."""
    folder: dict[str, bytes] = {}
    wrongs: list[Wrong] = []
    for name, content in files:
        if wrong := _wrong_file(name, content, folder):
            wrongs.append(wrong)
        folder[name] = content
    if len(folder) > MOST_FILES or sum(map(len, folder.values())) > MOST_BYTES:
        wrongs.append(_too_much())
    if wrongs:
        raise FolderError(*wrongs)
    return folder


def _wrong_file(name: str, content: bytes, others: dict[str, bytes]) -> Wrong | None:
    """What is wrong with one file."""
    if not NAME.fullmatch(name):
        return Wrong(name[:100], _("a name that is not taken"), NAMES, _("Rename it, or leave it out."))
    if name.lower() in {other.lower() for other in others}:
        return Wrong(name, _("the same name twice"), _("one file a name"), _("Leave one of them out."))
    if b"\0" in content[:4096] and not content.startswith((b"\xff\xfe", b"\xfe\xff")):
        return Wrong(name, _("no text"), _("files of text"), _("Save it as text, or leave it out."))
    return None


def _too_much() -> Wrong:
    """A folder that is too large."""
    allowed = _("at most %(files)d files of %(bytes)d bytes in all") % {"files": MOST_FILES, "bytes": MOST_BYTES}
    return Wrong("", _("a folder that is too large"), allowed, _("Leave out what is not of this street."))


def folder_of_zip(content: bytes) -> tuple[str, dict[str, bytes]]:
    """Name and files of a zipped folder, "" where the zip has no folder inside; raises ``FolderError``."""
    try:
        with zipfile.ZipFile(io.BytesIO(content)) as packed:
            members = [member for member in packed.infolist() if not member.is_dir()]
            _check_members(members)
            files = [(member.filename, _unpacked(packed, member)) for member in members]
    except ZIP_ERRORS as error:
        if isinstance(error, FolderError):
            raise
        raise FolderError(Wrong("", _("no whole zip"), _("a zip"), _("Zip the folder again."))) from error
    tops = {name.split("/")[0] for name, _content in files if "/" in name}
    if len(tops) == 1 and TOP.fullmatch(min(tops)) and all(name.count("/") == 1 for name, _content in files):
        return tops.pop(), folder_of_files((name.split("/")[1], content) for name, content in files)
    return "", folder_of_files(files)


def _check_members(members: list[zipfile.ZipInfo]) -> None:
    """Refuse before anything is unpacked: too many, too large, locked, or links."""
    if len(members) > MOST_FILES or sum(member.file_size for member in members) > MOST_BYTES:
        raise FolderError(_too_much())
    for member in members:
        if member.flag_bits & 1 or stat.S_ISLNK(member.external_attr >> 16):
            found = _("a locked file or a link")
            raise FolderError(
                Wrong(member.filename[:100], found, _("plain files"), _("Zip the folder again, unlocked."))
            )


def _unpacked(packed: zipfile.ZipFile, member: zipfile.ZipInfo) -> bytes:
    """Bytes of a member, never more than it said."""
    with packed.open(member) as file:
        content = file.read(member.file_size + 1)
    if len(content) > member.file_size:
        raise FolderError(_too_much())
    return content


def zip_of(name: str, folder: dict[str, bytes]) -> bytes:
    """Zip of a folder; the same folder gives the same bytes."""
    made = io.BytesIO()
    with zipfile.ZipFile(made, "w", zipfile.ZIP_DEFLATED) as packed:
        for file in sorted(folder):
            member = zipfile.ZipInfo(f"{name}/{file}", FIRST_DAY)
            member.compress_type = zipfile.ZIP_DEFLATED
            member.external_attr = 0o644 << 16
            packed.writestr(member, folder[file])
    return made.getvalue()
