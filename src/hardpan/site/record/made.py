"""The record of a stored street: made from its folder with its ledger up to now, kept in memory under the hash of both."""

from __future__ import annotations

import tempfile
import threading
from functools import lru_cache
from pathlib import Path

from hardpan.exchange.record import write_record
from hardpan.site.entries.folders import take_out
from hardpan.site.streets.models import Street, content_hash

_ONE_AT_A_TIME = threading.Lock()  # who asks for a record that is being made waits for it
TYPES = {
    "record.pdf": "application/pdf",
    "record.xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
    "record.jsonl": "application/jsonl; charset=utf-8",
}


class _Whole:
    """A folder with its ledger, told apart by the hash of its bytes."""

    def __init__(self, folder: dict[str, bytes]) -> None:
        self.folder, self.hash = folder, content_hash(folder)

    def __hash__(self) -> int:
        return hash(self.hash)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Whole) and other.hash == self.hash


@lru_cache(maxsize=4)
def _made(whole: _Whole) -> dict[str, bytes]:
    """Files of the record by name."""
    with tempfile.TemporaryDirectory(prefix="hardpan-") as made:
        street, out = Path(made) / "street", Path(made) / "record"
        street.mkdir()
        for name, content in whole.folder.items():
            (street / name).write_bytes(content)
        return {path.name: path.read_bytes() for path in write_record(street, out)}


def record_of(street: Street) -> dict[str, bytes]:
    """Files of a street's record by name; raises ``StreetError`` where the street cannot be planned."""
    whole = _Whole(take_out(street))
    with _ONE_AT_A_TIME:
        return _made(whole)
