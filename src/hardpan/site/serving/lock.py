"""One server, or one restore, on a data folder at a time; the system lets go where the process dies."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TextIO

from hardpan.site.serving.start import ServingError

LOCK = "serving.lock"


@contextmanager
def held(folder: Path, *, said: str = "") -> Iterator[None]:
    """Hold the data folder, and say in the lock's file at which address; raises ``ServingError`` where somebody else does.

    A process that forks from the holder goes on holding: a server's worker that outlives its parent still keeps a restore out.
    """
    with (folder / LOCK).open("a+", encoding="utf-8") as file:
        if not _take(file):
            raise ServingError(
                f"data folder {folder}: a server or a restore is at work on it{_at(folder)}; allowed: one at a time. Stop it first."
            )
        file.truncate(0)
        file.write(said)
        file.flush()
        yield


def address(folder: Path) -> str:
    """Address of the server that runs on a data folder, "" where none does."""
    path = folder / LOCK
    if not path.exists():
        return ""
    with path.open("a+", encoding="utf-8") as file:
        if _take(file):
            return ""
        file.seek(0)
        return file.read()


def _at(folder: Path) -> str:
    """Where the holder answers."""
    said = (folder / LOCK).read_text(encoding="utf-8")
    return f" ({said})" if said else ""


def _take(file: TextIO) -> bool:
    """Lock a file until it is closed; False where another process has it."""
    try:
        if sys.platform == "win32":
            import msvcrt  # noqa: PLC0415  # there only

            file.seek(1 << 30)  # beyond what is written, which others may then read
            msvcrt.locking(file.fileno(), msvcrt.LK_NBLCK, 1)
            file.seek(0)
        else:
            import fcntl  # noqa: PLC0415  # there only

            fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError:
        return False
    return True
