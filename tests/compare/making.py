"""Small ledgers of one block, and what is proposed for them."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from hardpan.compare import Acceptance, propose_acceptance
from hardpan.compare.lots import Lot
from hardpan.plan import Plan
from hardpan.street.model import Limits
from tests.compare.days import KESTREL, folded, plan, state
from tests.ledger.making import Diary, place

TREATED = {"curve": "treated", "maximum_kg_m3": 1600, "proctor": "treated 1"}
RAW = {"curve": "raw", "maximum_kg_m3": 1660, "proctor": "raw 1"}


def kestrel() -> Acceptance:
    return propose_acceptance(plan(KESTREL), state(KESTREL))


def proposed(diary: Diary, made: Plan | None = None) -> Acceptance:
    return propose_acceptance(made or plan(KESTREL), folded(diary))


def limited(**limits: Any) -> Plan:
    """Kestrel Road's plan with other limits."""
    made = plan(KESTREL)
    file = made.street.file.model_copy(update={"limits": Limits.model_validate(limits)})
    return replace(made, street=replace(made.street, file=file))


def worked_block(diary: Diary, name: str = "B1", start: float = 0, end: float = 80) -> None:
    """A block spread, mixed and rolled within the hour."""
    where = place(start, end, (1, 2, 3, 4), name)
    diary.say(100, "spread run", where, rate_kg_m2=24, kg=17_280, started=90)
    diary.say(110, "mixing pass", where, mixed="dry", number=1, started=100)
    diary.say(120, "mixing pass", where, mixed="wet", number=1, water_l_m2=15, started=110)
    diary.say(150, "rolling", where, rolled="final", started=140)


def lot(found: Acceptance, name: str) -> Lot:
    return next(one for one in found.lots if one.name == name)
