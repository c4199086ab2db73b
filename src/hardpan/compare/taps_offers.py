"""Offers: what can happen next, the first choice first; STOP, a problem and the undo always beside it."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from hardpan.compare.taps_closing import offer_closing
from hardpan.compare.taps_day import Day
from hardpan.compare.taps_events import Plain
from hardpan.compare.taps_mixing import offer_mixer
from hardpan.compare.taps_offer import Bench, Offer, Ready
from hardpan.compare.taps_reading import read
from hardpan.compare.taps_rows import last_group, row_of
from hardpan.compare.taps_spreading import offer_spreader, offer_ticket

__all__ = ["Offer", "offers"]

SHOTS_AHEAD_MIN = 45.0  # minutes before spreading: check shots come before the first load
ABOUT = {
    "soft place": "soft place", "about_depth": "depth", "about_cement": "cement", "about_water": "water", "about_machine": "machine",
    "about_service": "service", "about_dust": "dust", "about_rain": "rain", "about_hurt": "person hurt", "about_other": "other",
}  # fmt: skip


def offers(day: Day, entries: Iterable[Plain], *, now: str, device: str = "") -> tuple[Offer, ...]:
    """What can be tapped at an instant.

    Parameters
    ----------
    day
        The digest of ``day_of``.
    entries
        Entries as the ledger writes them, in any order: the server's, and those still on the phone.
    now
        The instant with its offset, as the phone's clock has it.
    device
        Name of the phone: it undoes only what it entered itself. Not said: anything.

    Returns
    -------
    tuple of Offer
        The first choice first, then what may happen to it, then the rest by the plan's times; undo, problem and STOP last.

    Examples
    --------
    >>> import datetime, hardpan
    >>> from hardpan.compare.taps import day_of
    >>> from hardpan.ledger import fold
    >>> street, now = hardpan.read_street(hardpan.example("teal-crescent")), "2026-06-04T06:00:00-06:00"
    >>> day = day_of(hardpan.make_plan(street), fold([], street), now=datetime.datetime.fromisoformat(now))
    >>> [one["words"] for one in offers(day, [], now=now)]
    ['go', 'no-go', 'ticket', 'problem', 'STOP']
    """
    reading = read(day, entries, now=now)
    bench = Bench(reading)
    if reading.stopped is None:
        _day(bench)
    may = day["may"]
    found = [one for one in bench.offers if may is None or all(ready["kind"] in may for ready in one["entries"])]
    fixed = Bench(reading)
    _fixed(fixed, device)
    beside = [one for one in fixed.offers if may is None or all(ready["kind"] in may for ready in one["entries"])]
    return (*_ordered(found), *beside)


def _day(bench: Bench) -> None:
    """What the day's work offers."""
    reading = bench.reading
    if reading.went != "go":
        if reading.went == "":
            _ticket_before_the_call(bench)
        _go(bench)
        return
    if not reading.shots and not reading.began:
        _shots(bench)
    offer_spreader(bench)
    offer_mixer(bench)
    offer_closing(bench)


def _ticket_before_the_call(bench: Bench) -> None:
    """A load may come before the call: its ticket can be entered then, nothing else."""
    offer_ticket(bench)
    bench.offers[-1:] = [{**one, "main": False} for one in bench.offers[-1:]]


def _go(bench: Bench) -> None:
    """The call of the morning, with the rules that stop the day."""
    rules = " \u00b7 ".join(bench.day["rules"]) or bench.say("no_limit")
    for key, decision, second in (("go", "go", rules), ("no_go", "no-go", bench.say("no_go_second"))):
        if key == "no_go" and bench.reading.went == "no-go":
            continue
        bench.add(
            key, bench.say(key), second, minute=0.0, icon=key, machine="", rank=1, main=key == "go", now=bench.say("now_go"),
            entries=[{"kind": "go/no-go", "place": None, "payload": {"decision": decision}}],
        )  # fmt: skip


def _shots(bench: Bench) -> None:
    """Check shots before spreading; a reading is never filled in."""
    day = bench.day
    if not day["shots"]:
        return
    first = day["blocks"][0]
    unit, least, most = ("m", -1000.0, 10000.0) if day["shots_by"] == "level_m" else ("mm", -500.0, 5000.0)
    fields = [
        {"path": ["shots", at, day["shots_by"]], "unit": unit, "label": shot["words"], "typical": None, "least": least, "most": most}
        for at, shot in enumerate(day["shots"])
    ]  # fmt: skip
    shots = [{"station_m": shot["station_m"], "side_offset_m": shot["side_offset_m"]} for shot in day["shots"]]
    second = bench.say("shots_second", count=len(shots))
    bench.add(
        "shots", bench.say("shots"), second, minute=bench.minute(first, "spread", 0.0) - SHOTS_AHEAD_MIN, icon="shots",
        machine="grader", main=True,
        pad={
            "kind": "number", "title": bench.say("shots"), "where": second, "fields": fields, "photo": False, "text": "", "spot": None,
            "not_checked": {"checked": "not checked"},
        },
        entries=[{"kind": "pre-grade shots", "place": None, "payload": {"checked": "checked", "shots": shots}}],
    )  # fmt: skip


def _ordered(found: list[Offer]) -> list[Offer]:
    """First choice, what may happen to it, then the rest: what moves the day on by its minute, the others by rank."""
    mains = sorted((one for one in found if one["main"]), key=lambda one: one["minute"])
    others = sorted((one for one in found if not one["main"]), key=lambda one: one["rank"])
    if not mains:
        return others
    first: Offer = {**mains[0], "first": True}
    if not first["now"]:
        first["now"] = first["words"]
    beside = [one for one in others if one["rank"] <= 20 and _touches(one, first)]
    rest = [one for one in others if one not in beside]
    return [first, *beside, *mains[1:], *rest]


def _touches(one: Offer, first: Offer) -> bool:
    """Whether an offer is about what the first choice is about; a tray that is due always is."""
    return one["rank"] == 10 or (one["machine"] == first["machine"] and one["strip"] == first["strip"])


def _fixed(bench: Bench, device: str) -> None:
    """Undo, problem, STOP; while the work is stopped, that it goes on."""
    reading = bench.reading
    if reading.stopped is not None:
        entry: Ready = {"kind": "stop", "place": None, "payload": {"state": "resumed"}}
        second = bench.say("goes_on_second", clock=reading.stopped.clock)
        bench.add("goes on", bench.say("goes_on"), second, minute=0.0, icon="on", entries=[entry], rank=90)
    _undo(bench, device)
    bench.add(
        "problem", bench.say("problem"), bench.say("problem_second"), minute=0.0, icon="problem", rank=92,
        pad={"kind": "choice", "title": bench.say("problem"), "choices": _problems(bench)},
        entries=[{"kind": "problem", "place": _here(bench), "payload": {}}],
    )  # fmt: skip
    if reading.stopped is None:
        stop: Ready = {"kind": "stop", "place": None, "payload": {"state": "stopped"}}
        bench.add("stop", bench.say("stop"), bench.say("stop_second"), minute=0.0, icon="stop", entries=[stop], rank=93)


def _undo(bench: Bench, device: str) -> None:
    """The last tap of this phone is taken back; it says which."""
    group = last_group(bench.reading, device)
    if not group:
        return
    row = row_of(bench.reading, group)
    entries: list[Ready] = [{"kind": "withdrawal", "place": None, "payload": {}, "corrects": one.id} for one in group]
    second = bench.say("undo_second", clock=row["clock"], words=row["words"])
    bench.add("undo", bench.say("undo"), second, minute=0.0, icon="undo", entries=entries, rank=91)


def _problems(bench: Bench) -> list[dict[str, Any]]:
    """Words of a problem, and the closing of those that are open."""
    closing = [
        {
            "words": bench.say("closed"),
            "second": f"{one.clock} {_about(bench, one.payload['about'])}",
            "set": {"problem": one.id},
            "kind": "closed",
        }
        for one in bench.reading.problems[-3:]
    ]
    return closing + [
        {"words": bench.say(key), "second": "", "set": {"about": about}, "kind": ""} for key, about in ABOUT.items()
    ]


def _about(bench: Bench, about: str) -> str:
    """Word of a problem in the phone's language."""
    return next(bench.say(key) for key, word in ABOUT.items() if word == about)


def _here(bench: Bench) -> dict[str, Any] | None:
    """Where work is going on: the ground of the last event, as far as it was told."""
    for event in reversed(bench.reading.events):
        if event.block:
            block = next(one for one in bench.day["blocks"] if one["block"] == event.block)
            return {"block": block["name"], "strips": list(event.strips)}
    return None
