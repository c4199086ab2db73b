"""Rows of the day: what was tapped, newest first, as the list on the phone shows it; one tap is one row."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TypedDict

from hardpan.compare.taps_day import Day
from hardpan.compare.taps_events import Plain, Told
from hardpan.compare.taps_offer import show
from hardpan.compare.taps_reading import Reading, read
from hardpan.compare.taps_words import amount, say

_NAMED = {
    "delivery ticket": "ticket_row", "pre-grade shots": "shots_row", "rate change": "rate_change_row", "run-out": "run_out_row",
    "tray check": "tray_row", "water truck coupled": "coupled_row", "water truck empty": "empty_row", "depth check": "depth",
    "squeeze": "squeeze", "walk-out": "walked_out", "closed": "closed", "curing": "curing", "blade chatters": "chatters",
    "machine ruts": "ruts", "problem": "problem",
}  # fmt: skip


class Row(TypedDict):
    """One tap: time of day, mark (tick, cross, ask), what it was, its figure, the ids of its entries."""

    clock: str
    mark: str
    words: str
    figure: str
    strong: bool
    ids: list[str]


def rows(day: Day, entries: Iterable[Plain], *, now: str, most: int = 6) -> tuple[Row, ...]:
    """Last taps that count, newest first.

    Examples
    --------
    >>> import datetime, hardpan
    >>> from hardpan.compare.taps import day_of
    >>> from hardpan.ledger import fold, plain_entry, read_ledger
    >>> folder, now = hardpan.example("teal-crescent"), "2026-06-04T10:30:00-06:00"
    >>> street, ledger = hardpan.read_street(folder), read_ledger(folder).received
    >>> day = day_of(hardpan.make_plan(street), fold(ledger, street), now=datetime.datetime.fromisoformat(now))
    >>> told = [plain_entry(one.entry) for one in ledger if one.entry.happened_at.clock <= "09:02"]
    >>> [(row["clock"], row["words"], row["figure"]) for row in rows(day, told, now=now, most=2)]
    [('09:02', 'rate changed, strip 3', '12 to 28 kg/m\u00b2'), ('09:02', 'strip 3 spread', '0+000 to 0+080')]
    """
    reading = read(day, entries, now=now)
    today = [event for event in reading.events if event.date == reading.today]
    return tuple(row_of(reading, group) for group in reversed(_groups(today)[-most:]))


def _groups(events: list[Told]) -> list[list[Told]]:
    """Events by tap: of one phone at one instant."""
    taps: dict[tuple[str, float, float], list[Told]] = {}
    for event in events:
        taps.setdefault((event.device, event.entered, event.at), []).append(event)
    return list(taps.values())


def last_group(reading: Reading, device: str) -> list[Told]:
    """Events of the last tap of a phone today; empty where it made none."""
    own = [one for one in reading.events if one.date == reading.today and device in ("", one.device)]
    if not own:
        return []
    last = max(own, key=lambda one: (one.entered, one.id))
    return [one for one in own if (one.device, one.entered) == (last.device, last.entered)]


def row_of(reading: Reading, group: list[Told]) -> Row:
    """Row of one tap."""
    day, first = reading.day, group[0]
    words, figure, mark = _words(reading, first), _figure(day, first), "tick"
    places = [one for one in group if one.kind == first.kind and one.start_m is not None and one.end_m is not None]
    if not figure and places and first.kind in ("spread run", "mixing pass"):
        start = min(one.start_m for one in places if one.start_m is not None)
        end = max(one.end_m for one in places if one.end_m is not None)
        figure = say(day["words"], "from_to", start=show(day, start), end=show(day, end))
    if first.kind in ("run-out", "stop"):
        mark = "cross"
    if first.payload.get("checked") == "not checked":
        mark = "ask"
    return Row(
        clock=first.clock,
        mark=mark,
        words=words,
        figure=figure,
        strong=mark == "ask",
        ids=[one.id for one in group],
    )


def _strip(event: Told) -> str:
    """Strips of an event as numbers."""
    return ", ".join(str(strip) for strip in event.strips)


def _words(reading: Reading, event: Told) -> str:
    """What a tap was; a kind that has no key on the phone is called by its name."""
    words, strip = reading.day["words"], _strip(event)
    key, told = _NAMED.get(event.kind, ""), {"strip": strip}
    match event.kind:
        case "go/no-go":
            key = "go" if event.payload["decision"] == "go" else "no_go"
        case "delivery ticket":
            told = {"ticket": event.payload["ticket"]}
        case "spreader fill":
            key, told = ("fill_starts" if event.under_way else "fill_row"), {"fill": str(_fill_number(reading, event))}
        case "spread run":
            key = "spreading_starts" if event.under_way else "spread"
        case "mixing pass":
            key, told = _mixing(event)
        case "water truck coupled":
            told = _coupling(reading, event)
        case "rolling":
            started = {"padfoot": "padfoot_starts"} if event.under_way else {"padfoot": "walked_out"}
            key = {**started, "trim": "trim", "final": "final"}.get(event.payload["rolled"], "")
        case "stop":
            key = "stopped_row" if event.payload["state"] == "stopped" else "goes_on"
    return say(words, key, **told) if key else event.kind


def _mixing(event: Told) -> tuple[str, dict[str, str]]:
    """Phrase of a pass of the mixer, and what it tells."""
    told = {"strip": _strip(event), "number": str(event.payload["number"])}
    if event.payload["mixed"] == "wet":
        return "wet", told
    return ("mixing_starts" if event.under_way else "dry"), told


def _coupling(reading: Reading, event: Told) -> dict[str, str]:
    """What a coupling tells: which truck, which setting."""
    words, said = reading.day["words"], event.payload
    litres = say(words, "litres", litres=amount(said.get("water_l_m2") or 0.0, 1, point=reading.day["point"]))
    setting = say(words, said["setting"]) if said.get("setting") else litres
    return {"truck": (said.get("truck") or "").removeprefix("water "), "setting": setting}


def _fill_number(reading: Reading, event: Told) -> int:
    """Number of a fill: of those that were in before it, and one."""
    before = [one for one in reading.events if one.kind == "spreader fill" and not one.under_way and one.id != event.id]
    return 1 + len([one for one in before if (one.at, one.entered, one.id) < (event.at, event.entered, event.id)])


def _figure(day: Day, event: Told) -> str:
    """Figure of a tap; empty where its ground is its figure."""
    words, said, point = day["words"], event.payload, day["point"]
    found = ""
    if said.get("checked") == "not checked":
        found = say(words, "not_checked")
    elif event.kind in ("delivery ticket", "spreader fill"):
        kilograms = next(said[key] for key in ("net_kg", "added_kg", "hopper_kg") if said.get(key) is not None)
        found = say(words, "kilograms", kg=amount(kilograms, point=point))
    elif event.kind == "rate change":
        found = say(words, "rate", rate=amount(said["rate_kg_m2"], 1, point=point))
        if said.get("from_kg_m2") is not None:
            found = say(words, "from_to", start=amount(said["from_kg_m2"], 1, point=point), end=found)
    elif event.kind == "tray check":
        area = said.get("tray_area_m2")
        caught = said["tray_kg"] / area if said.get("tray_kg") is not None and area else said.get("tray_kg_m2")
        found = say(words, "rate", rate=amount(caught or 0.0, 1, point=point))
    elif event.kind == "depth check":
        found = say(words, "millimetres", mm=amount(said["depth_mm"], point=point))
    elif event.kind == "squeeze":
        found = say(words, said["result"])
    elif event.kind in ("rolling", "walk-out", "closed"):
        found = say(words, "block", block=event.block) if event.block else ""
    elif event.kind in ("run-out", "water truck empty", "water truck coupled"):
        found = show(day, event.start_m) if event.start_m is not None else ""
    return found
