"""The ledger: what a fold of 10,000 entries costs, and how it grows."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from tempfile import TemporaryDirectory

import hardpan
from benchmarks.timing import Ratio, best
from hardpan.ledger import Received, fold, parse_received, plain_received, read_ledger
from hardpan.street import Street, example
from tests.streets import write_long_street

FEW, MANY = 1_000, 10_000
STREET_M = 400.0
LENGTHS = 20  # the street: 8 km, as many times the worked two days


def long_ledger(count: int) -> list[Received]:
    """The worked two days on every length of a long street, told by one device after another, until there are ``count`` entries."""
    days = read_ledger(example("kestrel-road")).received
    return [_again(days[i % len(days)], i // len(days)) for i in range(count)]


def _again(one: Received, times: int) -> Received:
    """An entry of the worked days as it is made on another length of the street, or by another device."""
    plain = plain_received(one)
    _moved(plain["entry"], times)
    return parse_received(plain)


def _moved(plain: dict[str, object], times: int) -> None:
    """Shift ids, stations and block names in plain data."""
    for key, value in plain.items():
        if isinstance(value, dict):
            _moved(value, times)
        elif isinstance(value, list):
            for inside in value:
                if isinstance(inside, dict):
                    _moved(inside, times)
        elif key in ("start_m", "end_m", "station_m") and isinstance(value, float | int):
            plain[key] = value + STREET_M * (times % LENGTHS)
        elif key in ("id", "corrects", "problem", "retest_of") and isinstance(value, str):
            plain[key] = f"{value[:24]}{times:04x}{value[28:]}"
        elif key == "block" and isinstance(value, str):
            plain[key] = f"{value}.{times % LENGTHS}"


def folding(count: int, street: Street) -> Callable[[], object]:
    """Folding that many entries."""
    received = long_ledger(count)
    return lambda: fold(received, street)


def ledger_ratios() -> list[Ratio]:
    """Seconds for 10,000 entries on a street as long as they need, and ten times the entries on that street."""
    with TemporaryDirectory() as folder:
        street = hardpan.read_street(write_long_street(Path(folder) / "long", LENGTHS))
    few, many = best(folding(FEW, street)), best(folding(MANY, street))
    return [
        Ratio("fold of 10,000 entries, seconds", many, 0.3, many),
        Ratio("fold, 10,000 / 1,000 entries", many / few, 12.0, many),
    ]
