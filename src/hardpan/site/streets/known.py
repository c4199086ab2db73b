"""What is known of a stored street, and its plan: read from its files, kept in memory under the hash of their bytes."""

from __future__ import annotations

import tempfile
import threading
from functools import lru_cache
from pathlib import Path

import hardpan
from hardpan.exchange.drawing.strip_map import draw_strip_map
from hardpan.exchange.json_plan import plan_json
from hardpan.plan import Plan
from hardpan.site.streets.models import Street, content_hash
from hardpan.street import Street as Known

_ONE_AT_A_TIME = threading.Lock()  # ten phones that ask for a new plan wait for one, and do not make ten


class Files:
    """A folder that is told apart by the hash of its bytes."""

    def __init__(self, folder: dict[str, bytes]) -> None:
        # what happened does not change what is known, nor the plan
        self.folder = {name: content for name, content in folder.items() if name != "ledger.jsonl"}
        self.hash = content_hash(self.folder)

    def __hash__(self) -> int:
        return hash(self.hash)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Files) and other.hash == self.hash


@lru_cache(maxsize=32)
def _known(files: Files) -> Known:
    """Street of files."""
    with tempfile.TemporaryDirectory(prefix="hardpan-") as made:
        for name, content in files.folder.items():
            (Path(made) / name).write_bytes(content)
        return hardpan.read_street(made)


@lru_cache(maxsize=32)
def _plan(files: Files) -> Plan:
    """Plan of files."""
    return hardpan.make_plan(_known(files))


@lru_cache(maxsize=32)
def _plan_json(files: Files) -> bytes:
    """Plan of files as JSON."""
    return plan_json(_plan(files)).encode()


@lru_cache(maxsize=32)
def _strip_map(files: Files) -> tuple[bytes, str]:
    """Drawing of a plan and what it shows in words."""
    drawn = draw_strip_map(_plan(files))
    return drawn.svg.encode(), drawn.words


def known_of(folder: dict[str, bytes]) -> Known:
    """Typed street of a folder's files; raises ``StreetError`` with every problem."""
    return _known(Files(folder))


def known(street: Street) -> Known:
    """Typed street."""
    return known_of(street.folder())


def plan(street: Street) -> Plan:
    """Plan of a street; raises ``StreetError`` where it cannot be planned."""
    with _ONE_AT_A_TIME:
        return _plan(Files(street.folder()))


def plan_as_json(street: Street) -> bytes:
    """Plan as the JSON object of the command line."""
    with _ONE_AT_A_TIME:
        return _plan_json(Files(street.folder()))


def strip_map(street: Street) -> tuple[bytes, str]:
    """Strip map as SVG, and its words."""
    with _ONE_AT_A_TIME:
        return _strip_map(Files(street.folder()))
