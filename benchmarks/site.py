"""The site: durable posts through the whole stack, over bare inserts into SQLite; in turns, so that a slow minute slows both."""

from __future__ import annotations

import json
import sqlite3
import statistics
import tempfile
import threading
import time
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

from benchmarks.timing import Ratio
from tests.serving.machine import Machine, Phone, note

ROUNDS = 5
PHONES = 4
POSTS = 100  # a phone and round; fewer than a caller may send in a minute
MANY = 50  # entries of a phone that was out of signal


def bare_inserts(path: Path, count: int) -> float:
    """Seconds of so many inserts of an entry's bytes, a transaction each, with the journal and the flushing of the store."""
    with closing(sqlite3.connect(path, isolation_level=None)) as store:
        store.execute("PRAGMA journal_mode=WAL")
        store.execute("PRAGMA synchronous=FULL")
        store.execute("CREATE TABLE IF NOT EXISTS entry (id TEXT PRIMARY KEY, body BLOB)")
        made = [(one["id"], json.dumps(one).encode()) for one in (note() for _ in range(count))]
        start = time.perf_counter()
        for row in made:
            store.execute("BEGIN IMMEDIATE")
            store.execute("INSERT INTO entry VALUES (?, ?)", row)
            store.execute("COMMIT")
        return time.perf_counter() - start


def posts(phones: list[Phone], entries_each: int) -> float:
    """Seconds until every phone has had its posts acknowledged, all phones at once."""
    threads = [threading.Thread(target=_post, args=(phone, entries_each)) for phone in phones]
    start = time.perf_counter()
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return time.perf_counter() - start


def _post(phone: Phone, entries_each: int) -> None:
    """Posts of one phone, one behind the other."""
    for _ in range(POSTS // entries_each):
        phone.post([note() for _ in range(entries_each)])
    phone.close()


def ratio(what: str, aim: float, *, posting: Callable[[], float], bare: Callable[[], float]) -> Ratio:
    """Bare inserts' time over the posts' time: the part of the store's own speed that is left; the median of the rounds."""
    pairs = [(bare(), posting()) for _ in range(ROUNDS)]
    took = statistics.median(posted for _, posted in pairs) / (PHONES * POSTS)
    return Ratio(what, statistics.median(inserted / posted for inserted, posted in pairs), aim, took, least=True)


def posts_ratios() -> list[Ratio]:
    """One entry a post, and a phone that comes back with fifty."""
    with tempfile.TemporaryDirectory() as folder:
        machine = Machine(Path(folder) / "data")
        tokens = machine.people(2 * PHONES * (ROUNDS + 1))
        machine.start()

        def posting(entries_each: int) -> Callable[[], float]:
            return lambda: posts([Phone(machine, tokens.pop()) for _ in range(PHONES)], entries_each)

        def bare() -> float:
            return bare_inserts(Path(folder) / "bare.sqlite3", PHONES * POSTS)

        posting(1)()  # the server has loaded what it needs
        try:
            return [
                ratio("durable posts / bare inserts, a transaction each", 0.25, posting=posting(1), bare=bare),
                ratio(f"entries in posts of {MANY} / bare inserts", 1.0, posting=posting(MANY), bare=bare),
            ]
        finally:
            machine.stop()


if __name__ == "__main__":
    print(*posts_ratios(), sep="\n")
