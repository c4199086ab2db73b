"""The record: what the hand-over of a 400 m street costs, and how it grows with the entries."""

from __future__ import annotations

import time
from collections.abc import Callable
from pathlib import Path
from tempfile import TemporaryDirectory

import hardpan
from benchmarks.ledger import LENGTHS, long_ledger
from benchmarks.timing import Ratio
from hardpan.exchange.record import write_record
from hardpan.exchange.record.gathered import gather
from hardpan.exchange.record.writing import record_files
from hardpan.ledger import Ledger
from hardpan.plan import Plan
from hardpan.street import example
from tests.streets import write_long_street

FEW, MANY = 111, 1_110
TIMES = 3


def _shortest(work: Callable[[], object]) -> float:
    """Shortest of three times [s]; one takes seconds."""
    times = []
    for _ in range(TIMES):
        start = time.perf_counter()
        work()
        times.append(time.perf_counter() - start)
    return min(times)


def whole_record() -> None:
    """Record of Kestrel Road from its folder: read, plan, fold, PDF, workbook, chain."""
    with TemporaryDirectory() as folder:
        write_record(example("kestrel-road"), Path(folder))


def writing(plan: Plan, count: int) -> Callable[[], object]:
    """Files of a record of that many entries on a planned street."""
    received = tuple(long_ledger(count))
    return lambda: record_files(gather(plan, Ledger(received, ())))


def record_ratios() -> list[Ratio]:
    """Seconds for the record of 400 m, and ten times the entries on a street as long as they need."""
    whole = _shortest(whole_record)
    with TemporaryDirectory() as folder:
        plan = hardpan.make_plan(hardpan.read_street(write_long_street(Path(folder) / "long", LENGTHS // 2)))
    few, many = _shortest(writing(plan, FEW)), _shortest(writing(plan, MANY))
    return [
        Ratio("record of a 400 m street, seconds", whole, 5.0, whole),
        Ratio("record, 1,110 / 111 entries on 4 km", many / few, 12.0, many),
    ]


if __name__ == "__main__":
    print("\n".join(str(one) for one in record_ratios()))
