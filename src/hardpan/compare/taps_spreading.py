"""Offers of the spreader: loads, fills, strips, the rate at painted edges, run-outs and their trays."""

from __future__ import annotations

from itertools import pairwise
from typing import Any

from hardpan.compare.progress import EDGE_REACH_M
from hardpan.compare.taps_day import BlockOfDay
from hardpan.compare.taps_events import Span
from hardpan.compare.taps_offer import (
    Bench,
    Ready,
    cement_out,
    left,
    parts_of,
    place,
    stretches,
    strips_of,
)
from hardpan.compare.taps_reading import EMPTY_KG

DUE_KG = 0.5  # kilograms: less is the scale of the hopper
BEFORE = 0.001  # minutes: puts an offer before another of the same moment
TRAY_MOST = 120.0  # kg/m2, the ledger's own
FILL_AHEAD, FILLED_AHEAD = 2 * BEFORE, BEFORE


def offer_spreader(bench: Bench) -> None:
    """What the spreader may do next."""
    reading = bench.reading
    offer_ticket(bench)
    found = _next_strip(bench)
    if reading.filling is not None:
        _fill_in(bench, found)
    if found is None:
        return
    block, strip, spans, minute = found
    out = cement_out(reading)
    if out and strip not in reading.spots:
        return
    if reading.filling is None and not out:
        _fill_starts(bench, block, minute)
    if reading.filling is None and (reading.hopper_kg >= EMPTY_KG or out):
        _strip(bench, block, strip, spans=spans, minute=minute, out=out)
        _ruts(bench, block, strip, spans[0], minute)
    _tray(bench, block, strip, minute)


def _next_strip(bench: Bench) -> tuple[BlockOfDay, int, list[Span], float] | None:
    """Next strip to spread, what is left of it, and the minute at which it is planned to be done."""
    for block in bench.day["blocks"]:
        strips = strips_of(block)
        for at, strip in enumerate(strips):
            spans = left(bench.reading, "spread", strip, stretches(block, strip))
            if spans:
                return block, strip, spans, bench.minute(block, "spread", (at + 1) / len(strips))
    return None


def offer_ticket(bench: Bench) -> None:
    """A load that comes: the next of the plan, or one more."""
    reading, loads = bench.reading, bench.day["loads"]
    number = len(reading.delivered)
    expected = loads[number] if number < len(loads) else None
    if expected is None and not cement_out(reading):
        return
    ordered = {} if expected is None else {"ordered_kg": expected["kg"]}
    name = (expected or {}).get("ticket") or f"load {number + 1}"
    second = bench.say("ticket_second_more")
    minute = bench.day["blocks"][-1]["times"]["spread"][1]
    if expected is not None:
        second = bench.say("ticket_second", kg=bench.amount(expected["kg"]))
        minute = expected["time_min"] + 1440.0 * (expected["day"] - reading.number)
    field: dict[str, Any] = {"path": ["net_kg"], "unit": "kg", "label": bench.say("ticket_second_more")}
    field |= {"typical": (expected or {}).get("kg"), "least": 100.0, "most": 60000.0}
    bench.add(
        "ticket", bench.say("ticket"), second, minute=minute, icon="ticket", machine="spreader", rank=60,
        main=expected is not None and expected["day"] <= reading.number,
        pad={"kind": "number", "title": second, "where": "", "fields": [field], "photo": True, "text": "ticket", "not_checked": None},
        entries=[{"kind": "delivery ticket", "place": None, "payload": {"ticket": name, **ordered}}],
    )  # fmt: skip


def _source(bench: Bench) -> tuple[str, float]:
    """Load that the next fill comes from, and what is left of it: one truck stands there at a time."""
    reading, before = bench.reading, 0.0
    for name, kilograms in reading.delivered:
        before += kilograms
        if before - reading.filled_kg >= EMPTY_KG:
            return name, before - reading.filled_kg
    return "", 0.0


def _fill_starts(bench: Bench, block: BlockOfDay, minute: float) -> None:
    """A fill: to the brim, or what is left in the truck."""
    reading = bench.reading
    source, rest = _source(bench)
    added = min(bench.day["hopper_kg"] - reading.hopper_kg, rest)
    if added < EMPTY_KG:
        return
    payload = {"added_kg": added, "ticket": source, "under_way": True}
    bench.add(
        "fill starts",
        bench.say("fill_starts", fill=reading.fills + 1),
        bench.say("fill_second", kg=bench.amount(added), ticket=source),
        minute=minute - FILL_AHEAD,
        icon="spreader",
        machine="spreader",
        rank=58,
        main=reading.hopper_kg < EMPTY_KG and bench.today(block["block"]),
        entries=[{"kind": "spreader fill", "place": None, "payload": payload}],
    )


def _fill_in(bench: Bench, found: tuple[BlockOfDay, int, list[Span], float] | None) -> None:
    """The fill that was started is in."""
    began = bench.reading.filling
    if began is None:
        return
    said = began.payload
    payload = {key: said[key] for key in ("added_kg", "hopper_kg", "ticket") if said.get(key) is not None}
    payload["started_at"] = _started(bench, began.id)
    kilograms = said.get("added_kg") if said.get("added_kg") is not None else said.get("hopper_kg")
    bench.add(
        "fill in",
        bench.say("fill_in", fill=bench.reading.fills + 1),
        bench.say("fill_second", kg=bench.amount(float(kilograms or 0.0)), ticket=said.get("ticket") or ""),
        minute=(found[3] if found else 0.0) - FILLED_AHEAD,
        icon="spreader",
        machine="spreader",
        main=True,
        entries=[{"kind": "spreader fill", "place": None, "payload": payload}],
    )


def _started(bench: Bench, name: str) -> str:
    """Time of an entry as it was written."""
    return next(event.happened for event in bench.reading.events if event.id == name)


def _strip(bench: Bench, block: BlockOfDay, strip: int, *, spans: list[Span], minute: float, out: bool) -> None:
    """The next strip: the edge on it, the run-out on it, its end."""
    reading = bench.reading
    spot = reading.spots.get(strip)
    if out and spot is not None:
        spans = [(start, min(end, spot)) for start, end in spans if start < spot]
    if not spans:
        return
    count, whole = len(strips_of(block)), stretches(block, strip)
    takes = bench.minute(block, "spread", 1 / count) - bench.minute(block, "spread", 0.0)
    length = whole[-1][1] - whole[0][0]

    def at(station: float) -> float:
        """Minute at which the spreader is planned to pass a station."""
        return minute - takes * (whole[-1][1] - station) / length

    changed = None if out else _rate_change(bench, block, strip, spans=spans, at=at)
    _starts(bench, block, strip, spans=spans, minute=at(spans[0][0]))
    if not out:
        _run_out(bench, block, strip, spans=spans, at=at)
    entries: list[Ready] = []
    for start, end in spans:
        rates = list(dict.fromkeys(part["rate_kg_m2"] for part in parts_of(block, strip, start, end)))
        payload = {"rate_kg_m2": rates[0]} if len(rates) == 1 else {}
        entries.append({"kind": "spread run", "place": place(block, [strip], start, end), "payload": payload})
    part = parts_of(block, strip, *spans[0])[0]
    end = spans[-1][1]
    key = "to_end" if end == block["end_m"] else "to"
    bench.add(
        f"spread {block['block']} {strip}",
        bench.say("spread", strip=strip),
        bench.say(key, end=bench.show(end), block=block["block"]),
        minute=minute,
        icon="spreader",
        machine="spreader",
        main=True,
        now=bench.say("now_spread", strip=strip),
        figure=bench.say("rate", rate=bench.amount(changed or part["rate_kg_m2"], 1)),
        block=block["block"],
        strip=strip,
        start_m=spans[0][0],
        end_m=end,
        entries=entries,
    )


def _starts(bench: Bench, block: BlockOfDay, strip: int, *, spans: list[Span], minute: float) -> None:
    """The start of spreading a block, where a written limit runs from it."""
    asked = any(limit["start"] == "cement on the ground" for limit in bench.day["limits"])
    if not asked or ("spread", block["block"]) in bench.reading.began:
        return
    where = place(block, [strip], spans[0][0], spans[-1][1])
    bench.add(
        f"spreading starts {block['block']}",
        bench.say("spreading_starts"),
        bench.say("block", block=block["block"]),
        minute=minute - BEFORE / 2,
        icon="spreader",
        machine="spreader",
        main=True,
        block=block["block"],
        strip=strip,
        start_m=spans[0][0],
        end_m=spans[-1][1],
        entries=[{"kind": "spread run", "place": where, "payload": {"under_way": True}}],
    )


def _rate_change(bench: Bench, block: BlockOfDay, strip: int, *, spans: list[Span], at: Any) -> float | None:
    """The next painted edge on the strip where nobody has said yet that the rate was changed; gives the rate up to there."""
    before = None
    for start, end in spans:
        parts = parts_of(block, strip, start, end)
        for last, part in pairwise(parts):
            edge = part["start_m"]
            if last["rate_kg_m2"] == part["rate_kg_m2"] or _changed(bench, strip, edge):
                before = part["rate_kg_m2"]
                continue
            rates = {
                "before": bench.amount(last["rate_kg_m2"], 1),
                "rate": bench.amount(part["rate_kg_m2"], 1),
            }
            payload = {"from_kg_m2": last["rate_kg_m2"], "rate_kg_m2": part["rate_kg_m2"]}
            bench.add(
                f"rate change {block['block']} {strip} {bench.show(edge)}",
                bench.say("rate_change"),
                bench.say("rate_change_second", start=bench.show(edge), **rates),
                minute=at(edge),
                icon="edge",
                machine="spreader",
                main=True,
                now=bench.say("now_spread", strip=strip),
                figure=bench.say("rate", rate=rates["before"]),
                block=block["block"],
                strip=strip,
                start_m=start,
                end_m=end,
                entries=[{"kind": "rate change", "place": place(block, [strip], edge), "payload": payload}],
            )
            return before
    return before


def _changed(bench: Bench, strip: int, edge: float) -> bool:
    """Whether somebody said that the rate was changed at an edge."""
    return any(one == strip and abs(station - edge) <= EDGE_REACH_M for one, station in bench.reading.changes)


def run_out_at(bench: Bench, strip: int, spans: list[Span]) -> float | None:
    """Where the hopper runs out on what is left of a strip, by what it holds; None where it holds enough."""
    reading = bench.reading
    content, spot = reading.hopper_kg, reading.spots.get(strip)
    width = bench.day["strips"][[one["strip"] for one in bench.day["strips"]].index(strip)]["width_m"]
    for start, end in spans:
        for part, low, high in reading.parts(strip, start, end):
            low = max(low, spot) if spot is not None and spot < high else low  # noqa: PLW2901  # laid already
            each = part["rate_kg_m2"] * width * bench.day["factor"]
            if content + DUE_KG < each * (high - low):
                return low + content / each
            content = max(content - each * (high - low), 0.0)
    return None


def _run_out(bench: Bench, block: BlockOfDay, strip: int, *, spans: list[Span], at: Any) -> None:
    """The run-out: due here, or not."""
    due = run_out_at(bench, strip, spans)
    spot = None if due is None else min(max(bench.whole(due), spans[0][0]), spans[-1][1])
    second = "run_out_second_not_due" if spot is None else "run_out_second"
    where = place(block, [strip]) if spot is None else place(block, [strip], spot)
    bench.add(
        f"run-out {block['block']} {strip}",
        bench.say("run_out"),
        bench.say(second, start="" if spot is None else bench.show(spot)),
        minute=at(spans[-1][1]) - FILLED_AHEAD if due is None else at(due),
        icon="cross",
        machine="spreader",
        rank=20,
        main=spot is not None,
        now=bench.say("now_spread", strip=strip),
        figure=bench.say("rate", rate=bench.amount(parts_of(block, strip, *spans[0])[0]["rate_kg_m2"], 1)),
        block=block["block"],
        strip=strip,
        start_m=spans[0][0],
        end_m=spans[-1][1],
        pad={
            "kind": "where", "title": bench.say("run_out_where", strip=strip), "station_m": spot,
            "start_m": spans[0][0], "end_m": spans[-1][1],
        },
        entries=[{"kind": "run-out", "place": where, "payload": {}}],
    )  # fmt: skip


def _tray(bench: Bench, block: BlockOfDay, strip: int, minute: float) -> None:
    """A tray under the spreader: at the restart where one is due, else on the strip that is spread."""
    reading = bench.reading
    due = reading.tray_due
    if due is None and ("spread", block["block"]) not in reading.began and reading.hopper_kg < EMPTY_KG:
        return
    number, row, station = block["block"], strip, None
    if due is not None:
        number, row, station = due.block, due.strips[0], due.start_m
    home = next((one for one in bench.day["blocks"] if one["block"] == number), block)
    here = home["start_m"] if station is None else station
    parts = [part for part in home["parts"] if part["strip"] == row]
    rate = next((part["rate_kg_m2"] for part in parts if part["end_m"] > here), parts[-1]["rate_kg_m2"])
    where = place(home, [row]) if station is None else place(home, [row], station)
    spot = bench.say("block", block=home["block"]) + ", " + bench.say("strip", strip=row)
    restart = "" if station is None else bench.say("tray_due", start=bench.show(station))
    field = {
        "path": ["tray_kg_m2"],
        "unit": "kg/m\u00b2",
        "label": "",
        "typical": rate,
        "least": 0.0,
        "most": TRAY_MOST,
    }
    bench.add(
        "tray", bench.say("tray"), restart or bench.say("tray_second"), minute=minute, icon="tray", machine="spreader",
        rank=10 if due is not None else 30, block=home["block"], strip=row,
        pad={
            "kind": "number", "title": bench.say("tray_title"), "where": f"{spot}: {restart}" if restart else spot,
            "fields": [field], "photo": False, "text": "", "spot": here if station is None else None,
            "not_checked": {"checked": "not checked", "rate_kg_m2": rate},
        },
        entries=[
            {"kind": "tray check", "place": where, "payload": {"checked": "weighed", "rate_kg_m2": rate}}
        ],
    )  # fmt: skip


def _ruts(bench: Bench, block: BlockOfDay, strip: int, span: Span, minute: float) -> None:
    """The spreader ruts the ground, in a word."""
    choices = [
        {"words": bench.say(words), "second": bench.say(f"{words}_second"), "set": {"word": word}}
        for word, words in (("shows", "shows"), ("ruts", "rut_ruts"), ("sinks", "sinks"))
    ]
    bench.add(
        "machine ruts", bench.say("ruts"), bench.say("ruts_second"), minute=minute, icon="rut", machine="spreader",
        rank=80, block=block["block"], strip=strip, start_m=span[0], end_m=span[1],
        pad={"kind": "choice", "title": bench.say("ruts_second"), "choices": choices},
        entries=[{"kind": "machine ruts", "place": place(block, [strip]), "payload": {"machine": "spreader"}}],
    )  # fmt: skip
