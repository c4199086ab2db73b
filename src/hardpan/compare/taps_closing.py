"""Offers of the rollers and the grader, and what closes a block."""

from __future__ import annotations

from typing import Any

from hardpan.compare.taps_day import BlockOfDay
from hardpan.compare.taps_offer import Bench, Ready, done, place, strips_of
from hardpan.compare.taps_spreading import BEFORE

LITRES_MOST = 200_000.0  # the ledger's own


def offer_closing(bench: Bench) -> None:
    """What follows the mixer on every block that is not closed, and the damp on those that are."""
    reading, closed = bench.reading, []
    for block in bench.day["blocks"]:
        if done(reading, block, "closed"):
            closed.append(block)
        elif done(reading, block, "wet"):
            _after_wet(bench, block)
        elif ("wet", block["block"]) in reading.began:
            _padfoot_starts(bench, block)
    if closed:
        open_today = [
            block for block in bench.day["blocks"] if block["day"] <= reading.number and not done(reading, block, "closed")
        ]  # fmt: skip
        _curing(bench, closed[-1], main=not open_today and not reading.cured)


def _whole(block: BlockOfDay) -> dict[str, Any]:
    """All of a block."""
    return place(block, strips_of(block), block["start_m"], block["end_m"])


def _key(
    bench: Bench, block: BlockOfDay, key: str, *, minute: float, icon: str, machine: str, entries: list[Ready]
) -> None:
    """A key about a whole block."""  # fmt: skip
    bench.add(
        f"{key} {block['block']}",
        bench.say(key),
        bench.say("block", block=block["block"]),
        minute=minute,
        icon=icon,
        machine=machine,
        main=True,
        block=block["block"],
        start_m=block["start_m"],
        end_m=block["end_m"],
        entries=entries,
    )


def _padfoot_starts(bench: Bench, block: BlockOfDay) -> None:
    """The start of the padfoot, where a written limit ends with it."""
    asked = any(limit["stop"] == "padfoot starts" for limit in bench.day["limits"])
    if asked and ("padfoot", block["block"]) not in bench.reading.began:
        entry: Ready = {
            "kind": "rolling",
            "place": _whole(block),
            "payload": {"rolled": "padfoot", "under_way": True},
        }
        minute = bench.minute(block, "padfoot", 0.0)
        _key(bench, block, "padfoot_starts", minute=minute, icon="padfoot", machine="padfoot", entries=[entry])


def _after_wet(bench: Bench, block: BlockOfDay) -> None:
    """Feet walked out, trim, final roll, closed: what is not done, each as it may come."""
    reading, where = bench.reading, _whole(block)
    if not done(reading, block, "walked"):
        _padfoot_starts(bench, block)
        entries: list[Ready] = [
            {"kind": "rolling", "place": where, "payload": {"rolled": "padfoot"}},
            {"kind": "walk-out", "place": where, "payload": {"walked_out": True}},
        ]
        minute = bench.minute(block, "padfoot")
        _key(bench, block, "walked_out", minute=minute, icon="feet", machine="padfoot", entries=entries)
        return
    if done(reading, block, "final"):
        minute = bench.minute(block, "smooth") + BEFORE
        closed: Ready = {"kind": "closed", "place": where, "payload": {}}
        _key(bench, block, "closed", minute=minute, icon="closed", machine="smooth drum", entries=[closed])
        return
    if not done(reading, block, "trim"):
        trim: Ready = {"kind": "rolling", "place": where, "payload": {"rolled": "trim"}}
        minute = bench.minute(block, "grader")
        _key(bench, block, "trim", minute=minute, icon="blade", machine="grader", entries=[trim])
    final: Ready = {"kind": "rolling", "place": where, "payload": {"rolled": "final"}}
    minute = bench.minute(block, "smooth")
    _key(bench, block, "final", minute=minute, icon="roller", machine="smooth drum", entries=[final])
    bench.add(
        f"blade chatters {block['block']}",
        bench.say("chatters"),
        bench.say("chatters_second"),
        minute=minute,
        icon="blade",
        machine="grader",
        rank=70,
        block=block["block"],
        entries=[{"kind": "blade chatters", "place": where, "payload": {}}],
    )


def _curing(bench: Bench, block: BlockOfDay, *, main: bool) -> None:
    """Finished ground is kept damp."""
    field = {"path": ["water_l"], "unit": "L", "label": "", "typical": None, "least": 0.0, "most": LITRES_MOST}
    where = bench.say("block", block=block["block"])
    bench.add(
        "curing", bench.say("curing"), bench.say("curing_second", block=block["block"]),
        minute=bench.minute(block, "smooth") + 2 * BEFORE, icon="water", machine="water truck", rank=75, main=main,
        block=block["block"],
        pad={
            "kind": "number", "title": bench.say("curing_title"), "where": where, "fields": [field], "photo": False, "text": "",
            "spot": None, "not_checked": None,
        },
        entries=[{"kind": "curing", "place": _whole(block), "payload": {"method": "water"}}],
    )  # fmt: skip
