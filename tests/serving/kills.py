"""Phones post while the server is killed, again and again; what was acknowledged has to be there, once."""

from __future__ import annotations

import http.client
import random
import threading
import time
from collections import Counter
from contextlib import closing
from dataclasses import dataclass, field, replace
from typing import Any

from tests.serving.machine import Machine, Phone, note

PHONES = 3
NO_ANSWER = (OSError, http.client.HTTPException)


@dataclass
class Told:
    """What the phones know: every entry they made, and the ids that the server said it has."""

    made: dict[str, dict[str, Any]] = field(default_factory=dict)
    acknowledged: set[str] = field(default_factory=set)
    cut: int = 0  # posts without an answer
    lock: threading.Lock = field(default_factory=threading.Lock)

    def post(self, phone: Phone, entries: list[dict[str, Any]]) -> bool:
        """Post and remember the answers; False where none came."""
        with self.lock:
            self.made |= {one["id"]: one for one in entries}
        try:
            answers = phone.post(entries)
        except NO_ANSWER:
            with self.lock:
                self.cut += 1
            return False
        assert set(answers.values()) <= {"stored", "already have it"}, answers
        with self.lock:
            self.acknowledged |= set(answers)
        return True


@dataclass(frozen=True)
class Found:
    """What the ledger holds after so many kills."""

    kills: int
    made: int
    acknowledged: int
    cut: int
    lost: int
    doubled: int
    changed: int


def killed(machine: Machine, *, kills: int, seed: int) -> Found:
    """Kill a server during posts, start it again and let the phones resend; counts what went wrong."""
    rng = random.Random(seed)
    tokens = machine.people(40)
    told, lost = Told(), 0
    for _ in range(kills):
        machine.start()
        with closing(Phone(machine, rng.choice(tokens))) as phone:
            lost += len(told.acknowledged - {one["entry"]["id"] for one in phone.ledger()})
        phones = [Phone(machine, token) for token in rng.sample(tokens, PHONES)]
        posting = [threading.Thread(target=post_until_cut, args=(phone, told, rng.random())) for phone in phones]
        for thread in posting:
            thread.start()
        time.sleep(rng.uniform(0.05, 0.5))
        machine.kill()
        for thread in posting:
            thread.join(timeout=60)
    machine.start()
    acknowledged = len(told.acknowledged)
    with closing(Phone(machine, tokens[0])) as phone:
        lost += len(told.acknowledged - {one["entry"]["id"] for one in phone.ledger()})
        everything = list(told.made.values())
        for start in range(0, len(everything), 100):
            assert told.post(phone, everything[start : start + 100])
        ledger = phone.ledger()
    machine.stop()
    return judged(told, ledger, Found(kills, len(told.made), acknowledged, told.cut, lost, 0, 0))


def judged(told: Told, ledger: list[dict[str, Any]], found: Found) -> Found:
    """Count what is missing, twice there, or not as it was made, after everything was sent again."""
    count = Counter(one["entry"]["id"] for one in ledger)
    return replace(
        found,
        lost=found.lost + len(set(told.made) - set(count)),
        doubled=sum(number > 1 for number in count.values()) + len(set(count) - set(told.made)),
        changed=sum(one["entry"] != told.made.get(one["entry"]["id"]) for one in ledger),
    )


def post_until_cut(phone: Phone, told: Told, chance: float) -> None:
    """Post new entries, and what nobody answered before, until the line is cut."""
    rng = random.Random(chance)
    with told.lock:
        entries = [told.made[one] for one in sorted(set(told.made) - told.acknowledged)]  # a phone sends these first
    while told.post(phone, entries or [note(f"{rng.random()}") for _ in range(rng.randint(1, 3))]):
        entries = []
    phone.close()
