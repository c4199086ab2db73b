"""Entries for tests: one of every kind, and a diary that numbers them and spaces them by minutes."""

from __future__ import annotations

import datetime as dt
from functools import cache
from typing import Any

from hardpan import read_street
from hardpan.ledger import Received, parse_received
from hardpan.street import Street, example

ZONE = dt.timezone(dt.timedelta(hours=-6))
MORNING = dt.datetime(2026, 6, 9, 6, 0, tzinfo=ZONE)
OTHER = "019ead39-0000-7000-8000-0000000fffff"

PAYLOADS: dict[str, dict[str, Any]] = {
    "slow drive": {"word": "ruts", "bounces": True, "vehicle": "grader, 18 t"},
    "rate instruction": {
        "zone": "A",
        "rate_kg_m2": 36,
        "depth_mm": 300,
        "depth_state": "original",
        "said_by": "engineer",
        "heard_by": "foreman",
    },
    "go/no-go": {"decision": "go", "low_night_c": 4, "rain_percent": 10},
    "delivery ticket": {"ticket": "T1", "net_kg": 38940, "gross_kg": 54000, "tare_kg": 15060},
    "pre-grade shots": {"checked": "checked", "shots": [{"station_m": 100, "side_offset_m": 0, "level_m": 102.99}]},
    "spreader fill": {"added_kg": 15000, "ticket": "T1"},
    "spread run": {"rate_kg_m2": 24, "kg": 2430},
    "rate change": {"rate_kg_m2": 36, "from_kg_m2": 24},
    "run-out": {"backed_up_m": 3, "painted": True},
    "tray check": {"checked": "weighed", "tray_kg": 23.9, "tray_area_m2": 1},
    "mixing pass": {"mixed": "wet", "number": 1, "setting": "full", "water_l": 10800},
    "depth check": {"depth_mm": 300, "state": "original", "measured_from": "original surface"},
    "water truck coupled": {"truck": "water 1", "on_board_l": 18000, "setting": "half"},
    "water truck empty": {"truck": "water 1", "left_l": 40},
    "squeeze": {"result": "holds"},
    "moisture": {"water_content_percent": 19.5, "method": "oven", "when": "after wet mixing"},
    "rolling": {"rolled": "final", "passes": 4, "vibrating": False},
    "walk-out": {"walked_out": True},
    "levels": {"stage": "after final rolling", "shots": [{"station_m": 100, "side_offset_m": -4.5, "down_mm": 450}]},
    "curing": {"method": "water", "water_l": 2160, "rounds": 3},
    "density": {
        "test": "1",
        "dry_density_kg_m3": 1576,
        "reference": {"curve": "treated", "maximum_kg_m3": 1600, "proctor": "treated 1"},
    },
    "one-point": {"proctor": "treated 1", "dry_density_kg_m3": 1590, "water_content_percent": 20},
    "penetrometer": {"test": "P1", "rows": [{"blows": 0, "depth_mm": 0}, {"blows": 2, "depth_mm": 70}]},
    "axle test": {
        "vehicle": "loaded tandem",
        "limit_mm": 13,
        "movements": [{"start_m": 146, "end_m": 152, "strips": [4], "moved_mm": 18}],
    },
    "weather": {"air_c": 12, "rain": "dry"},
    "stop": {"state": "stopped", "reason": "dust"},
    "problem": {"about": "soft place"},
    "closed": {},
    "blade chatters": {},
    "machine ruts": {"machine": "spreader", "word": "shows"},
    "access": {"what": "driveway no. 14", "state": "open"},
    "note": {"note": "lids walked"},
    "correction": {"kind": "tray check", "payload": {"checked": "weighed", "tray_kg_m2": 24.3}, "reason": "comma"},
    "withdrawal": {"reason": "tapped twice"},
    "signature": {"signed": "densities of B1", "decision": "accepted"},
}


@cache
def kestrel() -> Street:
    """Kestrel Road."""
    return read_street(example("kestrel-road"))


@cache
def teal() -> Street:
    """Teal Crescent."""
    return read_street(example("teal-crescent"))


def number(count: int) -> str:
    """Id of a number."""
    return f"019ead39-0000-7000-8000-{count:012x}"


def place(start: float, end: float | None = None, strips: tuple[int, ...] = (), block: str = "") -> dict[str, Any]:
    """A place."""
    return {"start_m": start, "end_m": end, "strips": list(strips), "block": block}


def plain(kind: str, payload: dict[str, Any] | None = None, /, *, minute: float = 0, **rest: Any) -> dict[str, Any]:
    """Plain data of an entry that happened some minutes after six; keys given beside the payload replace the envelope's."""
    at = MORNING + dt.timedelta(minutes=minute)
    made: dict[str, Any] = {
        "id": number(1),
        "street": "kestrel-road",
        "kind": kind,
        "happened_at": at.isoformat(),
        "entered_at": (at + dt.timedelta(seconds=20)).isoformat(),
        "role": "operator",
        "device": "phone-1",
        "payload": PAYLOADS[kind] if payload is None else payload,
    }
    if kind in ("correction", "withdrawal"):
        made["corrects"] = OTHER
    return made | rest


class Diary:
    """Entries in the order in which they are written, with numbers for ids; each is received a second after it was entered."""

    def __init__(self) -> None:
        self.received: list[Received] = []

    def say(self, minute: float, kind: str, where: dict[str, Any] | None = None, /, **payload: Any) -> str:
        """Write one entry; ``envelope`` replaces keys of its envelope, ``started`` is a minute."""
        envelope = payload.pop("envelope", {})
        if "started" in payload:
            payload["started_at"] = (MORNING + dt.timedelta(minutes=payload.pop("started"))).isoformat()
        entry = plain(kind, payload, minute=minute, id=number(len(self.received) + 1), place=where, **envelope)
        at = (MORNING + dt.timedelta(minutes=minute, seconds=21)).astimezone(dt.UTC).isoformat()
        self.received.append(parse_received({"entry": entry, "received_at": at}))
        return str(entry["id"])
