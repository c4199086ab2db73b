"""Files that are there whole or not at all, also after a power cut."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import BinaryIO, cast


@contextmanager
def whole(path: Path) -> Iterator[BinaryIO]:
    """File for its owner only, that gets its name when all of it is on the disk; where writing fails, nothing is left."""
    with tempfile.NamedTemporaryFile(dir=path.parent, prefix=f".{path.name}-", delete=False) as made:
        try:
            yield cast("BinaryIO", made)
            made.flush()
            os.fsync(made.fileno())
        except BaseException:  # Ctrl-C leaves nothing either
            Path(made.name).unlink()
            raise
    Path(made.name).replace(path)
    if os.name != "nt":  # which opens no folder
        folder = os.open(path.parent, os.O_RDONLY)
        try:
            os.fsync(folder)
        finally:
            os.close(folder)


def write(path: Path, content: bytes) -> None:
    """Write a file whole."""
    with whole(path) as file:
        file.write(content)
