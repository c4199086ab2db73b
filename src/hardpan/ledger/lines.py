"""The ledger on disk: one entry a line, added under a lock and flushed to the disk; nothing is ever rewritten."""

from __future__ import annotations

import json
import os
import re
import sys
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import BinaryIO

from hardpan.ledger.entry import Received, parse_received, received_body
from hardpan.ledger.problems import EntryProblem, LedgerError

FILE = "ledger.jsonl"
CHAIN_KEYS = ("previous", "hash")
_END = re.compile(rb'\{"end":\{"lines":\d+\}')  # last line of a chain, which holds no entry


@dataclass(frozen=True, slots=True)
class Ledger:
    """Entries of a file in the order of its lines; what cannot be read is kept there and named in ``problems``."""

    received: tuple[Received, ...]
    problems: tuple[EntryProblem, ...]


@dataclass(frozen=True, slots=True)
class Appended:
    """What became of entries that were to be added: stored, there already, or refused because their id holds another body."""

    stored: tuple[str, ...]
    already: tuple[str, ...]
    refused: tuple[Received, ...]


def read_ledger(path: Path) -> Ledger:
    """Ledger of a street folder or of a file of lines; no file is an empty ledger.

    Examples
    --------
    >>> from hardpan.street import example
    >>> read_ledger(example("kestrel-road")).problems
    ()
    """
    file = path / FILE if path.is_dir() else path
    return _parsed(file.read_bytes()) if file.exists() else Ledger((), ())


def append(path: Path, received: Iterable[Received]) -> Appended:
    """Add entries to the ledger of a street folder or to a file of lines; they are on the disk when this returns.

    An id that is there with the same body is left alone; with another body the first stays, and the new one is refused.
    """
    file = path / FILE if path.is_dir() else path
    with file.open("a+b") as ledger, _locked(ledger):
        ledger.seek(0)
        content = ledger.read()
        there = {one.entry.id: one for one in reversed(_parsed(content).received)}
        stored, already, refused = [], [], []
        lines = [] if content.endswith(b"\n") or not content else [b""]  # a line cut short stays as it is
        for one in received:
            first = there.setdefault(one.entry.id, one)
            if first is one:
                stored.append(one.entry.id)
                lines.append(received_body(one))
            elif first.entry == one.entry:
                already.append(one.entry.id)
            else:
                refused.append(one)
        if stored:
            ledger.write(b"\n".join(lines) + b"\n")
            ledger.flush()
            os.fsync(ledger.fileno())
    if not content:
        _sync_folder(file.parent)
    return Appended(tuple(stored), tuple(already), tuple(refused))


def _parsed(content: bytes) -> Ledger:
    """Entries and problems of a file's bytes."""
    received, problems = [], []
    for number, line in enumerate(content.split(b"\n"), start=1):
        if line.strip() and not _END.match(line):
            one = _line(line, number, whole=number <= content.count(b"\n"))
            if isinstance(one, Received):
                received.append(one)
            else:
                problems.extend(one)
    return Ledger(tuple(received), tuple(problems))


def _line(line: bytes, number: int, *, whole: bool) -> Received | list[EntryProblem]:
    """Entry of a line, or what is wrong with it."""
    text = line.decode("utf-8", "replace")
    try:
        plain = json.loads(line)
    except (ValueError, RecursionError):
        do = "It is kept as it stands; enter again what it told." if not whole else "Mend or remove the line by hand."
        found = "a line that is no JSON" if whole else "a line cut short"
        return [EntryProblem("", found, "one entry in JSON", do, number, text)]
    if isinstance(plain, dict):
        plain = {key: value for key, value in plain.items() if key not in CHAIN_KEYS}
    try:
        return parse_received(plain)
    except LedgerError as error:
        return [EntryProblem(one.where, one.found, one.allowed, one.do, number, text) for one in error.problems]


@contextmanager
def _locked(file: BinaryIO) -> Iterator[None]:
    """Keep every other writer out; the system lets go where the process dies."""
    if sys.platform == "win32":
        import msvcrt  # noqa: PLC0415  # there only

        file.seek(0)
        msvcrt.locking(file.fileno(), msvcrt.LK_LOCK, 1)
        try:
            yield
        finally:
            file.seek(0)
            msvcrt.locking(file.fileno(), msvcrt.LK_UNLCK, 1)
    else:
        import fcntl  # noqa: PLC0415  # there only

        fcntl.flock(file, fcntl.LOCK_EX)
        try:
            yield
        finally:
            fcntl.flock(file, fcntl.LOCK_UN)


def _sync_folder(folder: Path) -> None:
    """Make a new file's name as lasting as its content; not every system opens a folder."""
    if sys.platform != "win32":
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)
