"""Many phones at once, each posting an entry every two seconds."""

from __future__ import annotations

import statistics
import threading
import time
from dataclasses import dataclass

from tests.serving.machine import Machine, Phone, note

PHONES = 50
PACE = 2.0  # s


@dataclass(frozen=True)
class Load:
    """How the server did."""

    posts: int
    errors: tuple[str, ...]
    p50: float  # s
    p95: float


def loaded(machine: Machine, *, seconds: float) -> Load:
    """Let fifty phones post for so long."""
    phones = [Phone(machine, token) for token in machine.people(PHONES)]
    machine.start()
    phones[0].ask("GET", "/api/me")  # the server has loaded what it needs
    took: list[float] = []
    errors: list[str] = []
    begin = time.monotonic() + 0.2
    threads = [
        threading.Thread(target=post_paced, args=(phone, begin + PACE * number / PHONES, seconds, took, errors))
        for number, phone in enumerate(phones)
    ]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    for phone in phones:
        phone.close()
    percentiles = statistics.quantiles(took, n=20)
    return Load(len(took), tuple(errors), percentiles[9], percentiles[18])


def post_paced(phone: Phone, begin: float, seconds: float, took: list[float], errors: list[str]) -> None:
    """Posts of one phone at its pace; its place in the pace is its own."""
    for turn in range(int(seconds / PACE)):
        time.sleep(max(0.0, begin + turn * PACE - time.monotonic()))
        start = time.perf_counter()
        try:
            answers = list(phone.post([note()]).values())
        except (OSError, AssertionError) as error:
            errors.append(repr(error))
            continue
        took.append(time.perf_counter() - start)
        if answers != ["stored"]:
            errors.append(f"{answers}")
