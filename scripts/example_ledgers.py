"""Write the ledgers of the example streets: entries as a crew would have made them, the same bytes every time.

Kestrel Road holds its two days, cure, tests and repair; Teal Crescent stands half-way through its day. What nobody timed carries
"time not recorded" in its note.
"""

from __future__ import annotations

import datetime as dt
import hashlib
from collections import Counter
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from hardpan.ledger import Received, parse_received, received_body
from hardpan.street import example

ZONE = dt.timezone(dt.timedelta(hours=-6))
ALL = (1, 2, 3, 4)
SENT_AFTER = dt.timedelta(seconds=2)
UNTIMED = "time not recorded"


@dataclass
class Diary:
    """Entries of one street, in the order in which they were made."""

    street: str
    first_day: dt.date
    devices: dict[str, str]
    written: list[Received] = field(default_factory=list)
    in_minute: Counter[dt.datetime] = field(default_factory=Counter)

    def at(self, day: int, time: str) -> dt.datetime:
        """Time of day of a day of the work, from 1; day 0 is the day before."""
        hours, minutes = time.split(":")
        date = self.first_day + dt.timedelta(days=day - 1)
        return dt.datetime(date.year, date.month, date.day, int(hours), int(minutes), tzinfo=ZONE)

    def day(self, day: int) -> Day:
        """One day to write in."""
        return Day(self, day)

    def write(self, happened: dt.datetime, entered: dt.datetime, role: str, rest: dict[str, Any]) -> str:
        """Write one entry; gives its id."""
        seed = hashlib.sha256(f"{self.street} {len(self.written)}".encode()).digest()
        self.in_minute[entered] += 1
        entered += dt.timedelta(seconds=17 + 3 * self.in_minute[entered])
        sent = entered + SENT_AFTER
        entry = {
            "id": uuid7(entered, seed),
            "street": self.street,
            "happened_at": happened.isoformat(),
            "entered_at": entered.isoformat(),
            "role": role,
            "device": self.devices[role],
            **rest,
        }
        received = (sent + dt.timedelta(seconds=1 + seed[1] % 3)).astimezone(dt.UTC).isoformat().replace("+00:00", "Z")
        self.written.append(parse_received({"entry": entry, "received_at": received, "sent_at": sent.isoformat()}))
        return self.written[-1].entry.id

    def lines(self) -> bytes:
        """The ledger as it stands in the folder."""
        return b"".join(received_body(one) + b"\n" for one in self.written)


@dataclass(frozen=True)
class Day:
    """One day of a diary; times are its times of day."""

    diary: Diary
    number: int

    def __call__(
        self, time: str, kind: str, place: dict[str, Any] | None = None, /, *, role: str = "operator", **payload: Any
    ) -> str:
        """Write an entry; ``entered`` tells that it was entered later, ``corrects`` which one it mends."""
        happened = self.diary.at(self.number, time)
        entered = self.diary.at(self.number, payload.pop("entered", time))
        rest: dict[str, Any] = {"kind": kind, "payload": payload}
        if place:
            rest["place"] = place
        if corrects := payload.pop("corrects", ""):
            rest["corrects"] = corrects
        if started := payload.pop("started", ""):
            payload["started_at"] = self.diary.at(self.number, started).isoformat()
        return self.diary.write(happened, entered, role, rest)


def uuid7(made: dt.datetime, seed: bytes) -> str:
    """UUID of version 7 (RFC 9562, section 5.7) from a time and seeded bits."""
    value = (round(made.timestamp() * 1000) << 80) | int.from_bytes(seed[2:12], "big")
    value = value & ~(0xF << 76) | 0x7 << 76
    value = value & ~(0x3 << 62) | 0x2 << 62
    text = f"{value:032x}"
    return "-".join((text[:8], text[8:12], text[12:16], text[16:20], text[20:]))


def on(block: str, start: float, end: float | None = None, strips: tuple[int, ...] = ALL) -> dict[str, Any]:
    """A place."""
    named: dict[str, Any] = {"block": block} if block else {}
    return {**named, "start_m": start, "strips": list(strips), **({"end_m": end} if end is not None else {})}


def kestrel_road() -> Diary:
    """Kestrel Road: two days, cure, densities, axle test, repair and re-test."""
    diary = Diary(
        "kestrel-road",
        dt.date(2026, 6, 9),
        {"operator": "k3f9-op", "foreman": "k7b2-fo", "tester": "k1d8-te", "reviewer": "k5a4-re"},
    )
    _kestrel_eve(diary.day(0))
    _kestrel_morning(diary.day(1))
    _kestrel_second_block(diary.day(1))
    _kestrel_afternoon(diary.day(1))
    _kestrel_second_day(diary.day(2))
    _kestrel_after(diary)
    return diary


def _kestrel_eve(say: Day) -> None:
    """The day before: rates and the pre-grade."""
    depth = {"depth_mm": 300, "depth_state": "original", "low_mm": 10, "water": "target"}
    fixed = {"said_by": "engineer", "heard_by": "foreman", "where": "on site", **depth}
    zones = (("base", 24, None), ("A", 36, on("", 100, 145)), ("B", 36, on("", 300, 330, (3, 4))))
    for zone, rate, place in zones:
        elsewhere = {"elsewhere": True} if place is None else {}
        say("14:30", "rate instruction", place, role="foreman", zone=zone, rate_kg_m2=rate, **(elsewhere | fixed))
    say("14:30", "signature", role="reviewer", signed="rate instruction 24 and 36 kg/m2, 300 mm", decision="accepted")
    shot = {"station_m": 100, "side_offset_m": 0, "level_m": 102.99}
    say("15:30", "levels", on("", 100), stage="before spreading", shots=[shot], note="10 mm low; lip 102.900")


def _kestrel_morning(say: Day) -> None:
    """Day 1 to the end of block 1."""
    say("06:00", "go/no-go", role="foreman", decision="go", low_night_c=4, rain_percent=10)
    say("06:30", "note", role="foreman", note="tailgate, lids walked, catch basins socked")
    say("07:00", "delivery ticket", role="foreman", ticket="T1", net_kg=38940)
    say("07:25", "spreader fill", added_kg=15000, ticket="T1")
    say("07:33", "mixing pass", on("B2", 100, 145), started="07:10", mixed="aerate", number=1, note="hood up")
    say("07:45", "spread run", on("B1", 0, 80, (1, 2, 3)), started="07:25", rate_kg_m2=24)
    say("07:45", "spread run", on("B1", 0, 35, (4,)), rate_kg_m2=24)
    say("07:45", "run-out", on("B1", 35, strips=(4,)), painted=True)
    say("07:50", "note", on("B2", 100, 145), note="zone A shaped and sealed light")
    say("08:10", "spread run", on("B1", 35, 80, (4,)), rate_kg_m2=24, kg=2430)
    say("08:10", "spreader fill", started="07:45", added_kg=15000, ticket="T1", note=f"end {UNTIMED}, by 08:10")
    for caught in (23.9, 24.6, 24.3):
        say(
            "08:10",
            "tray check",
            {"block": "B1"},
            role="tester",
            checked="weighed",
            tray_kg=caught,
            tray_area_m2=1,
            rate_kg_m2=24,
            note=f"spot and {UNTIMED}",
        )
    say("08:10", "mixing pass", on("B1", 0, 80), mixed="dry", number=1, under_way=True)
    say("08:45", "mixing pass", on("B1", 0, 80), started="08:10", mixed="dry", number=1)
    say("09:20", "mixing pass", on("B1", 0, 80), started="08:45", mixed="dry", number=2)
    say("09:20", "water truck coupled", on("B1", 0), truck="water 1", on_board_l=18000, water_l_m2=15)
    wet: dict[str, Any] = {"mixed": "wet", "number": 1, "water_l_m2": 15}
    say("10:00", "mixing pass", on("B1", 0, 80), started="09:20", water_l=10800, note="360 and 330 L/min", **wet)
    say("10:16", "rolling", on("B1", 0, 80), started="09:35", rolled="padfoot", passes=6)
    say("10:49", "rolling", on("B1", 0, 80), started="10:16", rolled="trim")
    say("11:05", "rolling", on("B1", 0, 80), rolled="final")


def _kestrel_second_block(say: Day) -> None:
    """Block 2: the short load, the strip that was held."""
    emptied = "hopper empty at 0+104 strip 3, then the rest of T1"
    say("10:00", "spreader fill", added_kg=8940, ticket="T1", note=f"{UNTIMED}, between 09:35 and 10:12; T1 empty")
    say("10:12", "spread run", on("B2", 80, 160, (1, 2, 3)), started="09:35", note=f"{emptied}; 40, in A 26.7 m/min")
    say("10:12", "spread run", on("B2", 80, 146, (4,)))
    say("10:12", "run-out", on("B2", 146, strips=(4,)), painted=True, note="770 kg or 14.2 m short")
    say(
        "10:15", "mixing pass", on("B2", 80, 160, (1, 2, 3)), mixed="dry", number=1, under_way=True, note="strip 4 held"
    )
    say("10:22", "delivery ticket", role="foreman", ticket="T2", net_kg=19460, ordered_kg=20000, note="22 min late")
    say("10:45", "spreader fill", added_kg=15000, ticket="T2")
    say("10:46", "spread run", on("B2", 146, 160, (4,)), rate_kg_m2=24, kg=770)
    strips = on("B2", 80, 160, (1, 2, 3))
    say("10:55", "mixing pass", strips, started="10:15", mixed="dry", number=1, note=f"end {UNTIMED}, by 10:55")
    say("10:55", "mixing pass", on("B2", 80, 160, (4,)), mixed="dry", number=1)
    say("11:53", "mixing pass", on("B2", 80, 160), started="10:55", mixed="dry", number=2)
    say("11:53", "mixing pass", on("B2", 100, 145), mixed="dry", number=3, note="third dry pass in A")
    shut = [{"start_m": 100, "end_m": 145}]
    wet: dict[str, Any] = {"mixed": "wet", "number": 1, "water_l_m2": 15, "shut": shut}
    say("12:33", "mixing pass", on("B2", 80, 160), started="11:53", water_l=4725, **wet)
    say("12:49", "rolling", on("B2", 80, 160), started="12:05", rolled="padfoot")
    say("13:23", "rolling", on("B2", 80, 160), started="12:50", rolled="trim")
    say("13:40", "rolling", on("B2", 80, 160), rolled="final")


def _kestrel_afternoon(say: Day) -> None:
    """Block 3 and the end of day 1."""
    between = f"{UNTIMED}, between 12:33 and 13:05"
    say("12:55", "spread run", on("B3", 160, 240, (1, 2, 3)), started="12:33", rate_kg_m2=24, note=between)
    say("12:55", "spread run", on("B3", 160, 181, (4,)), rate_kg_m2=24, note=f"hopper empty at 0+181; {between}")
    say("13:00", "spreader fill", added_kg=4460, ticket="T2", note=f"T2 empty; {between}")
    say("13:05", "spread run", on("B3", 181, 240, (4,)), rate_kg_m2=24, kg=3190, left_kg=1270)
    say(
        "13:05", "water truck coupled", truck="water 1", filled_l=15525, on_board_l=18000, note="fuel and two teeth too"
    )
    say("13:40", "mixing pass", on("B3", 160, 240), started="13:05", mixed="dry", number=1)
    say("14:15", "mixing pass", on("B3", 160, 240), started="13:40", mixed="dry", number=2)
    wet: dict[str, Any] = {"mixed": "wet", "number": 1, "water_l_m2": 15, "water_l": 10800}
    say("14:55", "mixing pass", on("B3", 160, 240), started="14:15", **wet)
    say("15:11", "rolling", on("B3", 160, 240), started="14:30", rolled="padfoot")
    say("15:44", "rolling", on("B3", 160, 240), started="15:11", rolled="trim")
    say("16:00", "rolling", on("B3", 160, 240), rolled="final")
    say("16:20", "note", on("B3", 240), note="tight blade, light water; joint squared at 0+240")
    say("16:30", "curing", on("", 0, 240), method="water", water_l=2160, water_l_m2=1, rounds=1)
    say("16:30", "water truck empty", truck="water 1", left_l=5040, note="uncoupled for the night")
    say("16:30", "weather", role="foreman", gust_km_h=22, rain="dry", note="12 to 19 C, wind 8 to 15 km/h")
    say("16:30", "note", role="foreman", note="barricades; diary; T3 ordered, 36,000 kg")


def _kestrel_second_day(say: Day) -> None:
    """Day 2: blocks 4 and 5."""
    say("06:54", "mixing pass", on("", 300, 330, (3, 4)), started="06:45", mixed="aerate", number=1)
    say("06:58", "note", on("", 300, 330, (3, 4)), note="zone B shaped and sealed")
    say("07:00", "delivery ticket", role="foreman", ticket="T3", net_kg=35960)
    say("07:25", "spreader fill", added_kg=13730, hopper_kg=15000, ticket="T3", note=f"{UNTIMED}, before 08:00")
    say("07:50", "spreader fill", added_kg=15000, ticket="T3", note=f"{UNTIMED}, before 08:00")
    say("08:00", "spread run", on("B4", 240, 320), kg=18510, note="3,250 kg of it in zone B")
    joint = "joint cut back 1.0 m, re-mixed, no cement"
    say("08:35", "mixing pass", on("B4", 240, 320), started="08:00", mixed="dry", number=1, note=joint)
    say("09:10", "mixing pass", on("B4", 240, 320), started="08:35", mixed="dry", number=2)
    say("09:17", "mixing pass", on("B4", 300, 320, (3, 4)), started="09:10", mixed="dry", number=3)
    say("09:17", "water truck coupled", truck="water 1", on_board_l=18000, water_l_m2=15, note="filled overnight")
    wet: dict[str, Any] = {"mixed": "wet", "number": 1, "water_l_m2": 15}
    shut = [{"start_m": 300, "end_m": 320, "strips": [3, 4]}]
    say("09:57", "mixing pass", on("B4", 240, 320), started="09:17", water_l=9450, shut=shut, **wet)
    say("10:00", "spreader fill", added_kg=7230, ticket="T3", note=f"{UNTIMED}, before 10:10; T3 empty")
    say("10:10", "spread run", on("B5", 320, 400), kg=17980, left_kg=740, note="1,640 kg of it in zone B")
    say("10:10", "mixing pass", on("B5", 320, 400), mixed="dry", number=1, under_way=True)
    for time, what in (("10:13", "padfoot"), ("10:46", "trim"), ("11:02", "final")):
        say(time, "rolling", on("B4", 240, 320), rolled=what)
    dry = f"end {UNTIMED}, by 11:26"
    say("11:26", "mixing pass", on("B5", 320, 400), started="10:10", mixed="dry", number=1, note=dry)
    say("11:26", "mixing pass", on("B5", 320, 400), mixed="dry", number=2, note=dry)
    say("11:26", "mixing pass", on("B5", 320, 330, (3, 4)), mixed="dry", number=3, note=dry)
    say("11:26", "water truck coupled", truck="water 1", filled_l=1575, on_board_l=10125, water_l_m2=15)
    shut = [{"start_m": 320, "end_m": 330, "strips": [3, 4]}]
    say("12:06", "mixing pass", on("B5", 320, 400), started="11:26", water_l=10125, shut=shut, **wet)
    say("12:06", "water truck empty", truck="water 1")
    for time, what in (("12:22", "padfoot"), ("12:55", "trim"), ("13:11", "final")):
        say(time, "rolling", on("B5", 320, 400), rolled=what)
    say(
        "15:30",
        "note",
        role="foreman",
        note="13:30 to 15:30 valve rings by hand, edges, clean; trim of both days 10 mm",
    )
    say("15:30", "weather", role="foreman", wind_km_h=10, note="10 to 18 C")


def _kestrel_after(diary: Diary) -> None:
    """Cure, densities, axle test, repair and re-test."""
    rounds = f"three rounds of 1.0 L/m2; {UNTIMED}"
    reference = {"curve": "treated", "maximum_kg_m3": 1600, "optimum_percent": 20.5, "proctor": "treated 1"}
    blocks: tuple[dict[str, Any], ...] = ({"block": "B1"}, {"block": "B2"}, on("B2", 100, 145))
    blocks += ({"block": "B3"}, {"block": "B4"}, {"block": "B5"})
    lows = (5, 4, 6, 3, 4, 5, 6)
    for day in range(2, 9):
        say = diary.day(day)
        say("16:00", "weather", role="foreman", low_night_c=lows[day - 2], note=f"the night before; {UNTIMED}")
        if day == 3:
            for test, (place, dry) in enumerate(zip(blocks, (1576, 1570, 1560, 1581, 1562, 1584), strict=True), 1):
                slip = {"test": str(test), "dry_density_kg_m3": dry, "reference": reference}
                say("16:00", "density", place, role="tester", note=f"spot and {UNTIMED}", **slip)
        if 3 <= day <= 5:
            say("18:00", "curing", on("", 0, 400), method="water", water_l=10800, water_l_m2=3, rounds=3, note=rounds)
        if day == 6:
            failed = _kestrel_axle_test(say)
            open_problem = say(
                "16:00",
                "problem",
                on("B2", 146, 152, (4,)),
                role="foreman",
                about="cement",
                what="where the hopper ran out",
            )
        if day == 7:
            _kestrel_repair(say)
    say = diary.day(9)
    said: dict[str, Any] = {"vehicle": "loaded tandem", "limit_mm": 13, "retest_of": failed}
    moved = [{"start_m": 146, "end_m": 152, "strips": [4], "moved_mm": 7}]
    say("16:00", "axle test", on("B2", 146, 152, (4,)), role="tester", movements=moved, note=UNTIMED, **said)
    say("16:00", "closed", on("B2", 146, 152, (4,)), role="foreman", problem=open_problem)
    say("16:30", "signature", role="reviewer", signed="hand-over of the treated subgrade", decision="accepted")


def _kestrel_axle_test(say: Day) -> str:
    """The axle test of day 6; gives its id."""
    stretches = ((0, 146, ALL), (146, 152, (1, 2, 3)), (152, 400, ALL))
    moved: list[dict[str, Any]] = [
        {"start_m": a, "end_m": b, "strips": list(strips), "within_limit": True} for a, b, strips in stretches
    ]
    moved.append({"start_m": 146, "end_m": 152, "strips": [4], "moved_mm": 18})
    note = f"both lanes; {UNTIMED}"
    return say(
        "16:00",
        "axle test",
        on("", 0, 400),
        role="tester",
        vehicle="loaded tandem",
        limit_mm=13,
        movements=moved,
        note=note,
    )


def _kestrel_repair(say: Day) -> None:
    """The six metres cut out, given cement by hand, mixed and rolled."""
    place, untimed = on("R1", 146, 152, (4,)), "day and time not recorded, between day 6 and day 9"
    bags = f"cut to 300 mm, 13 bags of 25 kg; {untimed}"
    say("16:00", "spread run", place, by="hand", rate_kg_m2=24, kg=325, note=bags)
    say("16:00", "mixing pass", place, mixed="dry", number=1, note=untimed)
    say("16:00", "rolling", place, rolled="final", note=untimed)


def teal_crescent() -> Diary:
    """Teal Crescent at 12:40: the road train came late, block 1 is closed, block 2 is half wet."""
    diary = Diary(
        "teal-crescent",
        dt.date(2026, 6, 4),
        {"operator": "t2c6-op", "foreman": "t9e1-fo", "tester": "t4b7-te", "reviewer": "t8d3-re"},
    )
    say = diary.day(1)
    _teal_start(say)
    _teal_spreading(say)
    _teal_first_block(say)
    _teal_second_block(say)
    diary.written.sort(key=lambda one: one.entry.entered_at.at)
    return diary


def _teal_start(say: Day) -> None:
    """The morning until the road train stands there."""
    say("06:00", "go/no-go", role="foreman", decision="go", low_night_c=4, wind_km_h=8, gust_km_h=15)
    shots = ((20, -4.5, 474), (55, 0, 381), (100, 4.5, 497), (140, -4.5, 493), (180, 0, 385), (220, 4.5, 472))
    taken = [{"station_m": station, "side_offset_m": side, "down_mm": down} for station, side, down in shots]
    say("06:20", "pre-grade shots", role="foreman", checked="checked", shots=taken, note="down from the lip")
    say("06:45", "note", role="foreman", note="the road train is held at the plant: two hours")
    say("08:25", "delivery ticket", role="foreman", ticket="40711", net_kg=40000, ordered_kg=40000)
    say("08:46", "spreader fill", started="08:25", added_kg=15000, ticket="40711")


def _teal_spreading(say: Day) -> None:
    """Blocks 1 and 2 get their cement."""
    times = ("08:51", "08:57", "09:02", "09:08")
    for strip, time in enumerate(times, start=1):
        say(time, "spread run", on("B1", 0, 80, (strip,)))
        say(time, "rate change", on("B1", 60, strips=(strip,)), rate_kg_m2=28, from_kg_m2=12)
    say(
        "08:52", "tray check", on("B1", 4, strips=(1,)), checked="weighed", tray_kg=6.1, tray_area_m2=0.5, rate_kg_m2=12
    )
    typed = say(
        "08:58",
        "tray check",
        on("B1", 66, strips=(2,)),
        checked="weighed",
        tray_kg=1.41,
        tray_area_m2=0.5,
        rate_kg_m2=28,
    )
    meant = {"checked": "weighed", "tray_kg": 14.1, "tray_area_m2": 0.5, "rate_kg_m2": 28}
    say("08:59", "correction", corrects=typed, kind="tray check", payload=meant, reason="the comma")
    say("10:10", "run-out", on("B2", 130, strips=(1,)), backed_up_m=3, painted=True)
    say("10:24", "spreader fill", started="10:10", added_kg=15000, ticket="40711")
    say(
        "10:26",
        "tray check",
        on("B2", 131, strips=(1,)),
        checked="weighed",
        tray_kg=13.6,
        tray_area_m2=0.5,
        rate_kg_m2=28,
    )
    for strip, time in ((1, "10:27"), (2, "10:33"), (3, "10:38")):
        say(time, "spread run", on("B2", 80, 160, (strip,)), rate_kg_m2=28)
    twice = say("10:38", "spread run", on("B2", 80, 160, (3,)), rate_kg_m2=28, note="tapped twice")
    say("10:39", "withdrawal", corrects=twice, reason="tapped twice")
    say("10:43", "run-out", on("B2", 122, strips=(4,)), backed_up_m=3, painted=True)
    say("10:58", "spreader fill", started="10:43", added_kg=10000, ticket="40711")
    say("10:59", "tray check", on("B2", 123, strips=(4,)), checked="not checked", rate_kg_m2=28)
    say("11:03", "machine ruts", on("B2", 150, strips=(4,)), machine="spreader", word="ruts", note="over the trench")
    say("11:05", "spread run", on("B2", 80, 160, (4,)), rate_kg_m2=28)


def _teal_first_block(say: Day) -> None:
    """Block 1 from first mix to closed."""
    whole = on("B1", 0, 80)
    say("09:08", "mixing pass", whole, mixed="dry", number=1, under_way=True)
    say("09:43", "mixing pass", whole, started="09:08", mixed="dry", number=1)
    say("10:17", "mixing pass", whole, started="09:43", mixed="dry", number=2)
    say("10:17", "water truck coupled", on("B1", 0, strips=(1,)), truck="water 1", setting="half")
    say("10:20", "squeeze", on("B1", 30, strips=(1,)), role="tester", result="holds")
    say("10:22", "depth check", on("B1", 72, strips=(1,)), role="tester", depth_mm=380, state="loose", measured_from="loose surface", entered="11:02")  # fmt: skip
    say("10:50", "water truck empty", on("B1", 7, strips=(4,)), truck="water 1")
    say("10:54", "water truck coupled", on("B1", 7, strips=(4,)), truck="water 2", setting="half")
    say("11:00", "mixing pass", on("B1", 0, 60), started="10:17", mixed="wet", number=1, setting="half")
    say("11:00", "mixing pass", on("B1", 60, 80), started="10:17", mixed="wet", number=1, setting="full")
    say("11:13", "rolling", whole, started="10:32", rolled="padfoot", passes=6, vibrating=True)
    say("11:13", "walk-out", whole, walked_out=True)
    say("11:46", "rolling", whole, started="11:13", rolled="trim")
    say("12:03", "rolling", whole, started="11:35", rolled="final", vibrating=False)
    say("12:05", "closed", whole, role="foreman")


def _teal_second_block(say: Day) -> None:
    """Block 2 until 12:40."""
    whole = on("B2", 80, 160)
    say("11:05", "mixing pass", whole, mixed="dry", number=1, under_way=True)
    say("11:40", "mixing pass", whole, started="11:05", mixed="dry", number=1)
    say("12:00", "weather", role="foreman", air_c=17, wind_km_h=12, rain="dry")
    say("12:15", "mixing pass", whole, started="11:40", mixed="dry", number=2)
    say("12:15", "mixing pass", on("B2", 80, 160, (1,)), mixed="wet", number=1, setting="full", under_way=True)
    say("12:20", "squeeze", on("B2", 110, strips=(1,)), role="tester", result="holds")
    say("12:26", "mixing pass", on("B2", 80, 160, (1,)), started="12:15", mixed="wet", number=1, setting="full")
    say("12:30", "rolling", whole, rolled="padfoot", under_way=True, vibrating=False)
    say("12:31", "water truck empty", on("B2", 107, strips=(2,)), truck="water 2")
    say("12:35", "water truck coupled", on("B2", 107, strips=(2,)), truck="water 3", setting="full")
    say("12:39", "depth check", on("B2", 115, strips=(2,)), role="tester", depth_mm=375, state="loose", measured_from="loose surface")  # fmt: skip


DIARIES = {"kestrel-road": kestrel_road, "teal-crescent": teal_crescent}


def main() -> None:
    """Write both ledgers into their folders."""
    for name, diary in DIARIES.items():
        Path(example(name) / "ledger.jsonl").write_bytes(diary().lines())


if __name__ == "__main__":
    main()
