"""Days for the tests of the phone's engine: of both example streets and of streets made up by chance, tapped through at random."""

from __future__ import annotations

import datetime as dt
import itertools
import random
import tempfile
import uuid
from collections.abc import Callable, Iterator
from functools import cache
from pathlib import Path
from typing import Any

import hardpan
from hardpan.compare import taps
from hardpan.ledger import Received, fold, parse_entry, plain_entry, read_ledger
from hardpan.plan import Plan
from hardpan.street import example

EXAMPLES = {"teal-crescent": "2026-06-04", "kestrel-road": "2026-06-09"}
ZONE = "-06:00"
Entry = dict[str, Any]


def numbers() -> Callable[[], str]:
    """Ids one after the other."""
    counter = iter(range(1, 1_000_000))
    return lambda: str(uuid.UUID(int=(0x019AC0000000 << 80) | (7 << 76) | (2 << 62) | next(counter)))


@cache
def plan_of(name: str) -> Plan:
    """Plan of an example street, or of one made up of a number."""
    if name in EXAMPLES:
        return hardpan.make_plan(hardpan.read_street(example(name)))
    with tempfile.TemporaryDirectory() as folder:
        write_street(Path(folder), random.Random(name))  # a test's own dice
        return hardpan.make_plan(hardpan.read_street(folder))


def date_of(name: str) -> str:
    """Date of a street's first day."""
    return EXAMPLES.get(name, "2026-06-04")


def write_street(folder: Path, dice: random.Random) -> None:
    """A street by chance: length, width, rates on some strips, blocks, limits, loads, feet or metres."""
    length = 10 * dice.randrange(8, 41)
    width = dice.choice([4.5, 6.75, 9.0, 11.25])
    feet = dice.random() < 0.25
    limits = "".join(
        f'\n[[limits.clock]]\nstart = "{start}"\nstop = "{stop}"\nwithin = {minutes}\nowner = "{owner}"\nsource = "job limits"\n'
        for start, stop, minutes, owner in (
            ("first mix", "final rolling ends", 240, "engineer"),
            ("water", "padfoot ends", 120, ""),
            ("cement on the ground", "padfoot starts", 200, "engineer"),
        )
        if dice.random() < 0.4
    )
    loads = "".join(
        f'\n[[cement.delivery]]\nday = 1\ntime = "{6 + 2 * at:02d}:30"\ncement = {dice.randrange(15, 41) * 1000}\nticket = "{at}"\n'
        for at in range(dice.randrange(1, 4))
    )
    (folder / "street.toml").write_text(
        f'schema = "hardpan.street/1"\nname = "Chance Street"\n[line]\nlength = {length}\nwidth = {width}\n'
        + ('station_style = "0+00 ft"\n' if feet else "")
        + "[section]\ncrossfall = 0.02\n"
        + f'[soil]\nword = "{dice.choice(["fat clay", "lean clay", "silt"])}"\nwet = {dice.choice(["true", "false"])}\n'
        + f"[mixer]\ndry_passes = {dice.choice([1, 2])}\ndry_passes_soft = {dice.choice([2, 3])}\n"
        + f"[water_truck]\ntops_up_between_blocks = {dice.choice(['true', 'false'])}\n"
        + f'[shift]\ndate = 2026-06-04\nstart = "06:00"\nend = "18:00"\nblock_length = {dice.choice([40, 60, 80])}\n'
        + loads
        + limits,
        encoding="utf-8",
    )
    edges = sorted({0, length, *(10 * dice.randrange(1, length // 10) for _ in range(2))})
    rows = ["zone,from,to,strips,rate [kg/m2],depth [mm],depth_state,low [mm],water,said_by,heard_by"]
    for at, (start, end) in enumerate(itertools.pairwise(edges)):
        rate, water = dice.choice([10, 12.5, 24, 28, 36]), dice.choice(["full", "half", "off", ""])
        side = dice.choice(["all", "left", "right"]) if at == 1 and width > 4.5 else "all"
        rows.append(
            f"z{at},{start} m,{end} m,{side},{rate},300,original,{dice.choice(['20', ''])},{water},engineer,foreman"
        )
    rows.append("rest,elsewhere,,all,14,250,original,,half,engineer,foreman")
    (folder / "instructions.csv").write_text("\n".join(rows) + "\n", encoding="utf-8")
    marks = ["name,station,side", *(f"pole {at},{30 * at + 7} m,left" for at in range(1, length // 30))]
    (folder / "landmarks.csv").write_text("\n".join(marks) + "\n", encoding="utf-8")


def day_of(name: str, entries: list[Entry], now: str) -> taps.Day:
    """Digest of a street's day as a server would make it of some entries."""
    plan = plan_of(name)
    state = fold([Received(entry=parse_entry(entry)) for entry in entries], plan.street)
    return taps.day_of(plan, state, now=dt.datetime.fromisoformat(now), slug="a-street")


def answers(offer: taps.Offer, dice: random.Random | None = None) -> dict[str, Any]:
    """What somebody answers a pad: what the plan has, or by chance."""
    pad = offer["pad"]
    if pad is None:
        return {}
    if pad["kind"] == "choice":
        return {"choice": dice.randrange(len(pad["choices"])) if dice else 0}
    if pad["kind"] == "where":
        if dice is None or (pad["station_m"] is not None and dice.random() < 0.7):
            return {"station_m": pad["station_m"]}
        return {"station_m": float(dice.randrange(int(pad["start_m"]), int(pad["end_m"]) + 1))}
    if dice and pad["not_checked"] is not None and dice.random() < 0.4:
        return {"not_checked": True}
    found: dict[str, Any] = {
        "numbers": [
            round((one["typical"] or 450.0) * (dice.uniform(0.8, 1.2) if dice else 1.0), 1) for one in pad["fields"]
        ]
    }
    if dice and pad.get("text") and dice.random() < 0.5:
        found["text"] = str(dice.randrange(1000, 9999))
    return found


def follow(name: str, *, until: int = 500) -> Iterator[tuple[str, taps.Offer, list[Entry]]]:
    """First choices of a whole day, each at the minute that the plan has it: time, offer, entries made."""
    ids, entries = numbers(), list[Entry]()
    midnight = dt.datetime.fromisoformat(f"{date_of(name)}T00:00:00{ZONE}")
    now = midnight + dt.timedelta(hours=6)
    day = day_of(name, [], now.isoformat())
    for _ in range(until):
        offer = taps.offers(day, entries, now=now.isoformat(), device="phone-1")[0]
        if not offer["first"]:
            return
        now = max(now + dt.timedelta(seconds=10), midnight + dt.timedelta(minutes=offer["minute"]))
        now = now.replace(microsecond=0)
        ready = taps.filled(offer, answers(offer))
        made = taps.entered(day, entries, ready, now=now.isoformat(), role="operator", device="phone-1", new_id=ids)
        entries = [*entries, *made]
        yield now.isoformat(), offer, made


def random_day(name: str, dice: random.Random, *, most: int) -> list[Entry]:
    """Entries of a day tapped by chance on several phones whose clocks differ, in the order in which they were made."""
    ids, entries = numbers(), list[Entry]()
    start = dt.datetime.fromisoformat(f"{date_of(name)}T06:00:00{ZONE}")
    skews = {f"phone-{at}": dice.choice([0, 0, -90, 240, 3600]) for at in range(3)}
    day = day_of(name, [], start.isoformat())
    now = start
    for _ in range(dice.randrange(most)):
        now += dt.timedelta(seconds=dice.choice([2, 4, 30, 200, 600, 900]))
        if dice.random() < 0.01:
            now += dt.timedelta(hours=14)
        device = dice.choice(sorted(skews))
        at = (now + dt.timedelta(seconds=skews[device])).isoformat()
        found = taps.offers(day, entries, now=at, device=device)
        offer = found[0] if dice.random() < 0.6 else dice.choice(found)
        if offer["key"] == "stop" and dice.random() < 0.8:
            continue
        ready = taps.filled(offer, answers(offer, dice))
        entries += taps.entered(day, entries, ready, now=at, role="operator", device=device, new_id=ids)
        if entries and dice.random() < 0.06:
            entries.append(mending(dice.choice(entries), at, ids, dice))
    return entries


def mending(entry: Entry, now: str, ids: Callable[[], str], dice: random.Random) -> Entry:
    """A correction or a withdrawal of any entry, mendings too."""
    made = {**entry, "id": ids(), "happened_at": now, "entered_at": now, "corrects": entry["id"]}
    plain = entry["payload"]["kind"] if entry["kind"] == "correction" else entry["kind"]
    if entry["kind"] == "withdrawal" or dice.random() < 0.5:
        return {**{key: value for key, value in made.items() if key != "place"}, "kind": "withdrawal", "payload": {}}
    payload = entry["payload"]["payload"] if entry["kind"] == "correction" else entry["payload"]
    said: dict[str, Any] = {"kind": plain, "payload": payload}
    if dice.random() < 0.3:
        said["happened_at"] = entry["happened_at"]
    return {**made, "kind": "correction", "payload": said}


def example_entries(name: str) -> list[Entry]:
    """Ledger of an example street as plain entries."""
    return [plain_entry(one.entry) for one in read_ledger(example(name)).received]
