"""Small street folders for the tests of the door."""

from __future__ import annotations

from pathlib import Path

from hardpan.street import Street, StreetError, read_street

FILE = """name = "Elm Street"

[line]
length = 240
width = 9

[section]
crossfall = 0.02

[soil]
word = "fat clay"
"""


def folder(place: Path, *, file: str | bytes = FILE, **tables: str | bytes) -> Path:
    """Folder with ``street.toml`` and the tables given by name, ``readings="from,to..."``."""
    for name, text in {"street.toml": file, **{f"{name}.csv": text for name, text in tables.items()}}.items():
        (place / name).write_bytes(text if isinstance(text, bytes) else text.encode())
    return place


def read(place: Path, *, file: str | bytes = FILE, **tables: str | bytes) -> Street:
    return read_street(folder(place, file=file, **tables))


def problems(place: Path, *, file: str | bytes = FILE, **tables: str | bytes) -> list[str]:
    """What a foreman is told; empty where the street reads."""
    try:
        read(place, file=file, **tables)
    except StreetError as error:
        return [str(problem) for problem in error.problems]
    return []
