"""The far look: what is read from two metres. The next strip, by when, the water, how low; and every clock that runs."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any, TypedDict

from hardpan.compare.taps_day import BlockOfDay, Day
from hardpan.compare.taps_events import Plain, Told
from hardpan.compare.taps_mixing import dry_at, setting_words
from hardpan.compare.taps_offer import Bench, Offer, left, place_words, show, stretches, strips_of
from hardpan.compare.taps_offers import offers
from hardpan.compare.taps_reading import read
from hardpan.compare.taps_words import clock, elapsed

ALARMS_MIN = (0.0, 15.0)
NEXT = {"spread": "next_spread", "rate": "next_spread", "run-out": "next_spread", "wet": "next_wet", "empty": "next_wet", "coupled": "next_wet",
        "mixing": "next_dry", "walked_out": "next_roll", "padfoot_starts": "next_roll", "trim": "next_trim", "final": "next_final"}  # fmt: skip
STOPS = {"padfoot starts": "padfoot", "padfoot ends": "padfoot", "final rolling ends": "smooth"}


class ClockLook(TypedDict):
    """A clock that runs: since when, for how long, what is left of a written limit. ``alarm`` is 15, 0 or -1 for none."""

    block: int
    event: str
    started: str
    elapsed: str
    elapsed_min: float
    planned_min: float
    within_min: float | None
    left_min: float | None
    owner: str
    alarm: float


class Look(TypedDict):
    """What is read from two metres; empty words where there is nothing to say."""

    block: int
    strip: int
    what: str
    start: str
    end: str
    by: str
    by_words: str
    late: bool
    setting: str
    level: int
    water: str
    water_second: str
    low_mm: str
    low_basis: str
    our_low_mm: str
    our_low_basis: str
    first: Offer | None
    clocks: list[ClockLook]


def look(day: Day, entries: Iterable[Plain], *, now: str) -> Look:
    """What is next, by when, at which water, how low.

    Examples
    --------
    >>> import datetime, hardpan
    >>> from hardpan.compare.taps import day_of
    >>> from hardpan.ledger import fold, plain_entry, read_ledger
    >>> folder, now = hardpan.example("teal-crescent"), "2026-06-04T12:40:00-06:00"
    >>> street, ledger = hardpan.read_street(folder), read_ledger(folder).received
    >>> day = day_of(hardpan.make_plan(street), fold(ledger, street), now=datetime.datetime.fromisoformat(now))
    >>> seen = look(day, [plain_entry(one.entry) for one in ledger], now=now)
    >>> (seen["strip"], seen["what"], seen["setting"], seen["low_mm"])
    (2, 'next: wet mix', 'FULL', '45')
    """
    entries = list(entries)
    reading = read(day, entries, now=now)
    bench = Bench(reading)
    found = [one for one in offers(day, entries, now=now) if one["first"]]
    first = found[0] if found else None
    clocks = _clocks(bench)
    told = Look(
        block=0, strip=0, what=bench.say("next_done"), start="", end="", by="", by_words="", late=False, setting="", level=-1, water="",
        water_second="", low_mm="", low_basis="", our_low_mm="", our_low_basis="", first=first, clocks=clocks,
    )  # fmt: skip
    if first is None:
        return told
    told["what"] = _what(bench, first)
    block = next((one for one in day["blocks"] if one["block"] == first["block"]), None)
    if block is None:
        return told
    told["block"], told["strip"] = first["block"], first["strip"]
    if first["start_m"] is not None and first["end_m"] is not None:
        told["start"], told["end"] = place_words(day, first["start_m"]), show(day, first["end_m"])
    _low(bench, told, block, first)
    _water(bench, told, block, first)
    _by(bench, told, block, first)
    return told


def _what(bench: Bench, first: Offer) -> str:
    """What is next, in words."""
    kind = first["key"].split(" ")[0]
    if kind == "dry":
        return bench.say("next_dry", number=first["key"].split(" ")[2])
    if kind in NEXT:
        return bench.say(NEXT[kind], number=1)
    return first["words"]


def _zone(block: BlockOfDay, first: Offer) -> int:
    """Zone at the start of what is next."""
    strip = first["strip"] or strips_of(block)[0]
    start = block["start_m"] if first["start_m"] is None else first["start_m"]
    zones = [part["zone"] for part in block["parts"] if part["strip"] == strip and part["end_m"] > start + 1e-6]
    return zones[0] if zones else block["parts"][0]["zone"]


def _low(bench: Bench, told: Look, block: BlockOfDay, first: Offer) -> None:
    """How low the ground is shaped, and whose figure that is."""
    zone = bench.day["zones"][_zone(block, first)]
    told["low_mm"], told["low_basis"] = bench.amount(zone["low_mm"]), zone["low_basis"]
    told["our_low_mm"], told["our_low_basis"] = bench.amount(zone["our_low_mm"]), zone["our_low_basis"]


def _water(bench: Bench, told: Look, block: BlockOfDay, first: Offer) -> None:
    """Setting of the bar there, and where the truck runs dry."""
    zone = bench.day["zones"][_zone(block, first)]
    setting, litres = zone["setting"], zone["water_l_m2"]
    told["setting"] = setting_words(bench, setting, litres)
    told["level"] = {"off": 0, "half": 1, "full": 2}.get(setting, 2)
    told["water"] = bench.say("no_water") if setting == "off" else bench.say("litres", litres=bench.amount(litres, 1))
    told["water_second"] = _truck_words(bench, block)


def _truck_words(bench: Bench, block: BlockOfDay) -> str:
    """Where the coupled truck runs dry on the strips of a block that want water."""
    truck = bench.reading.truck
    if truck is None:
        return bench.say("no_truck")
    number, kept = truck.name.removeprefix("water "), truck.left_l
    for strip in strips_of(block):
        spans = left(bench.reading, "wet", strip, stretches(block, strip))
        spot = dry_at(bench, strip, spans)
        if spot is not None:
            truck.left_l = kept
            return bench.say("empties", truck=number, start=show(bench.day, bench.whole(spot)), strip=strip)
        truck.left_l -= sum(bench.reading.litres(strip, start, end) for start, end in spans)
    truck.left_l = kept
    return bench.say("reaches", truck=number)


def _by(bench: Bench, told: Look, block: BlockOfDay, first: Offer) -> None:
    """By when it is to be done: the plan's time as far as the block is late, or what a written limit leaves."""
    now = bench.reading.clock_min
    delay = _delay(bench, block)
    planned = first["minute"] + delay
    told["late"] = planned < now - 0.5
    told["by"], told["by_words"] = clock(planned), bench.say("by_plan")
    limits = [one for one in told["clocks"] if one["block"] == block["block"] and one["left_min"] is not None]
    if bench.day["limits"]:
        told["by_words"] = ""
    for one in limits:
        stop = _planned_stop(bench, block, one)
        latest = now + (one["left_min"] or 0.0) - max(stop - first["minute"], 0.0)
        hours = elapsed(bench.day["words"], one["within_min"] or 0.0)
        if told["by_words"] == "" or latest < planned:
            planned = min(planned, latest)
            told["by"], told["late"] = clock(planned), planned < now - 0.5
            told["by_words"] = bench.say(
                "by_limit",
                hours=hours,
                event=bench.say(one["event"]),
                owner=one["owner"] or bench.say("owner_not_said"),
            )


def _planned_stop(bench: Bench, block: BlockOfDay, one: ClockLook) -> float:
    """Minute at which a clock is planned to stop."""
    stop = next(limit["stop"] for limit in bench.day["limits"] if limit["start"] == one["event"])
    return bench.minute(block, STOPS[stop], 0.0 if stop == "padfoot starts" else 1.0)


def _delay(bench: Bench, block: BlockOfDay) -> float:
    """Minutes by which a block is behind its plan: by its first mix, else by its first cement, else by the block before."""
    for event, stage in (("first mix", "dry"), ("cement on the ground", "spread")):
        began = _began(bench, block, event)
        if began is not None and stage in block["times"]:
            return began[0] - bench.minute(block, stage, 0.0)
    before = [one for one in bench.day["blocks"] if one["block"] < block["block"] and one["day"] == block["day"]]
    return max(_delay(bench, before[-1]), 0.0) if before else 0.0


def _began(bench: Bench, block: BlockOfDay, event: str) -> tuple[float, Told] | None:
    """Minute of today at which an event of a block began, and what told it."""
    found = [one for one in bench.reading.events if one.block == block["block"] and _starts(one, event)]
    if event == "water":
        passes = [one for one in found if one.kind == "mixing pass"]
        trucks = [one for one in found if one.kind != "mixing pass"]
        first = min(passes, key=lambda one: (one.began, one.id), default=None)
        said = first is not None and (first.under_way or bool(first.payload.get("started_at")))
        ahead = [one for one in trucks if first is None or one.at <= first.began]
        found = passes if said or not ahead else [max(ahead, key=lambda one: (one.at, one.id))]
    if not found:
        return None
    first = min(found, key=lambda one: (one.began, one.id))
    return bench.reading.clock_min + (first.began - bench.reading.at) / 60, first


def _starts(one: Told, event: str) -> bool:
    """Whether an entry tells of the start of a clock."""
    if event == "cement on the ground":
        return one.kind == "spread run"
    if event == "first mix":
        return one.kind == "mixing pass" and one.payload["mixed"] != "aerate"
    if one.kind == "water truck coupled":
        return bool(one.payload.get("setting") != "off")
    return one.kind == "mixing pass" and one.payload["mixed"] == "wet" and one.payload.get("setting") != "off"


def _clocks(bench: Bench) -> list[ClockLook]:
    """Clocks that run: those that limits name, and on a street without limits that of the cement on the soil."""
    limits: list[dict[str, Any]] = bench.day["limits"] or [
        {"start": "cement on the ground", "stop": "final rolling ends", "within_min": None, "owner": "", "source": ""}
    ]
    found = []
    for block in bench.day["blocks"]:
        for limit in limits:
            one = _clock(bench, block, limit)
            if one is not None:
                found.append(one)
    return found


def _clock(bench: Bench, block: BlockOfDay, limit: dict[str, Any]) -> ClockLook | None:
    """One clock of one block; None where it has not begun, or has stopped."""
    began = _began(bench, block, limit["start"])
    if began is None or _stopped(bench, block, limit["stop"]):
        return None
    minute, first = began
    run = max((bench.reading.at - first.began) / 60, 0.0)
    within = limit["within_min"]
    rest = None if within is None else within - run
    stage = {"cement on the ground": "spread", "first mix": "dry", "water": "wet"}[limit["start"]]
    planned = bench.minute(block, STOPS[limit["stop"]]) - bench.minute(block, stage, 0.0)
    return ClockLook(
        block=block["block"],
        event=limit["start"],
        started=clock(minute),
        elapsed=elapsed(bench.day["words"], run),
        elapsed_min=run,
        planned_min=planned,
        within_min=within,
        left_min=rest,
        owner=limit["owner"],
        alarm=_alarm(rest),
    )


def _alarm(rest: float | None) -> float:
    """Alarm that is due: 15 or 0 minutes; -1 for none."""
    if rest is None:
        return -1.0
    return next((limit for limit in ALARMS_MIN if rest <= limit), -1.0)


def _stopped(bench: Bench, block: BlockOfDay, stop: str) -> bool:
    """Whether the event that stops a clock has happened on all of a block."""
    if stop == "padfoot starts":
        return ("padfoot", block["block"]) in bench.reading.began
    stage = "padfoot" if stop == "padfoot ends" else "final"
    return not any(left(bench.reading, stage, strip, stretches(block, strip)) for strip in strips_of(block))
