"""Offers of the mixer and its water truck: passes by number and strip, coupling, where a truck runs dry, the hole, the squeeze."""

from __future__ import annotations

from typing import Any

from hardpan.compare.taps_day import BlockOfDay
from hardpan.compare.taps_events import Span
from hardpan.compare.taps_offer import Bench, Ready, cement_out, left, parts_of, place, stretches, strips_of
from hardpan.compare.taps_spreading import BEFORE

SQUEEZES = ("smears", "holds", "crumbles")
DUE_L = 1.0  # litres: less is the gauge of the truck
DEPTH_MOST = 1500.0  # millimetres, the ledger's own
LOOSE = 1.25  # loose ground stands about a quarter higher (common practice, no source): only for the question of a wrong digit
DEPTH_LIKELY = 300.0 * LOOSE


def offer_mixer(bench: Bench) -> None:
    """What the mixer may do next: on the first block that is not mixed and has cement on it."""
    for block in bench.day["blocks"]:
        if _wet_left(bench, block):
            if any(_ready(bench, block, strip) for strip in strips_of(block)):
                _offer_block(bench, block)
            return


def _offer_block(bench: Bench, block: BlockOfDay) -> None:
    """Passes of one block."""
    number = block["block"]
    if ("mix", number) not in bench.reading.began:
        _starts(bench, block)
    item = _next_dry(bench, block)
    if item is not None:
        number_of_pass, strip, spans, part = item
        _dry(bench, block, number_of_pass, strip=strip, spans=spans, part=part)
    elif not _dry_left(bench, block):
        _wet(bench, block)
    if ("mix", number) in bench.reading.began:
        _depth(bench, block)


def _ready(bench: Bench, block: BlockOfDay, strip: int) -> bool:
    """Whether the cement of a strip lies: all of it, or all that there is."""
    spans = stretches(block, strip)
    gaps = left(bench.reading, "spread", strip, spans)
    return not gaps or (cement_out(bench.reading) and gaps != spans and strip in _begun(bench, block))


def _begun(bench: Bench, block: BlockOfDay) -> list[int]:
    """Strips of a block on which any cement lies."""
    return [
        strip
        for strip in strips_of(block)
        if left(bench.reading, "spread", strip, stretches(block, strip)) != stretches(block, strip)
    ]


def _wet_left(bench: Bench, block: BlockOfDay) -> bool:
    """Whether any strip of a block still wants its wet pass."""
    return any(left(bench.reading, "wet", strip, stretches(block, strip)) for strip in strips_of(block))


def _items(block: BlockOfDay) -> list[tuple[int, int, list[Span]]]:
    """Dry passes of a block in order: number, strip, stretches."""
    most = max((part["dry"] for part in block["parts"]), default=0)
    found = []
    for number in range(1, most + 1):
        for strip in strips_of(block):
            spans = stretches(block, strip, dry=number)
            if spans:
                found.append((number, strip, spans))
    return found


def _next_dry(bench: Bench, block: BlockOfDay) -> tuple[int, int, list[Span], float] | None:
    """Next dry pass on a strip that is ready, and the part of all dry mixing that is then done."""
    items = _items(block)
    for at, (number, strip, spans) in enumerate(items):
        rest = left(bench.reading, f"dry {number}", strip, spans)
        if rest and _ready(bench, block, strip):
            return number, strip, rest, (at + 1) / len(items)
    return None


def _dry_left(bench: Bench, block: BlockOfDay) -> bool:
    """Whether any dry pass is left on a block."""
    return any(left(bench.reading, f"dry {number}", strip, spans) for number, strip, spans in _items(block))


def _starts(bench: Bench, block: BlockOfDay) -> None:
    """The start of mixing, from which most clocks run."""
    strips = [strip for strip in strips_of(block) if _ready(bench, block, strip)]
    where = place(block, strips, block["start_m"], block["end_m"])
    payload = {"mixed": "dry", "number": 1, "under_way": True}
    bench.add(
        f"mixing starts {block['block']}",
        bench.say("mixing_starts"),
        bench.say("block", block=block["block"]),
        minute=bench.minute(block, "dry", 0.0),
        icon="mixer",
        machine="mixer",
        main=True,
        block=block["block"],
        strip=strips[0],
        start_m=block["start_m"],
        end_m=block["end_m"],
        entries=[{"kind": "mixing pass", "place": where, "payload": payload}],
    )


def _dry(bench: Bench, block: BlockOfDay, number: int, *, strip: int, spans: list[Span], part: float) -> None:
    """A dry pass over a strip."""
    payload = {"mixed": "dry", "number": number}
    entries: list[Ready] = [
        {"kind": "mixing pass", "place": place(block, [strip], start, end), "payload": payload} for start, end in spans
    ]
    bench.add(
        f"dry {block['block']} {number} {strip}",
        bench.say("dry", number=number, strip=strip),
        _until(bench, block, spans),
        minute=bench.minute(block, "dry", part) + BEFORE,
        icon=f"dry{min(number, 3)}",
        machine="mixer",
        main=True,
        now=bench.say("now_dry", number=number, strip=strip),
        block=block["block"],
        strip=strip,
        start_m=spans[0][0],
        end_m=spans[-1][1],
        entries=entries,
    )


def _until(bench: Bench, block: BlockOfDay, spans: list[Span]) -> str:
    """Where a pass ends, in words."""
    end = spans[-1][1]
    return bench.say("to_end" if end == block["end_m"] else "to", end=bench.show(end), block=block["block"])


def _wet(bench: Bench, block: BlockOfDay) -> None:
    """The wet pass: the truck, where it runs dry, the next strip."""
    strips = strips_of(block)
    for at, strip in enumerate(strips):
        spans = left(bench.reading, "wet", strip, stretches(block, strip))
        if not spans or not _ready(bench, block, strip):
            continue
        minute = bench.minute(block, "wet", (at + 1) / len(strips)) + BEFORE
        takes = bench.minute(block, "wet", 1 / len(strips)) - bench.minute(block, "wet", 0.0)
        watered = [part for span in spans for part in _watered(bench, block, strip, span)]
        truck = bench.reading.truck
        if truck is not None and bench.day["tops_up"] and truck.block != block["block"]:
            truck = None
        if watered and truck is None:
            _coupled(bench, block, strip, spans=spans, minute=minute - takes)
            return
        if watered:
            _empty(bench, block, strip, spans=spans, minute=minute, takes=takes)
        _wet_strip(bench, block, strip, spans=spans, minute=minute)
        _squeeze(bench, block, strip, minute)
        return


def _watered(bench: Bench, block: BlockOfDay, strip: int, span: Span) -> list[tuple[str, float, float, float]]:
    """Parts of a stretch on which the water runs: setting, litres, ends; neighbours of one setting are one."""
    return [one for one in settings(bench, block, strip, span) if one[0] != "off"]


def settings(bench: Bench, block: BlockOfDay, strip: int, span: Span) -> list[tuple[str, float, float, float]]:
    """Parts of a stretch by the setting of the bar: setting, litres, ends."""
    found: list[tuple[str, float, float, float]] = []
    for part in parts_of(block, strip, *span):
        zone = bench.day["zones"][part["zone"]]
        setting, litres = zone["setting"], zone["water_l_m2"]
        if found and found[-1][:2] == (setting, litres):
            found[-1] = (setting, litres, found[-1][2], part["end_m"])
        else:
            found.append((setting, litres, part["start_m"], part["end_m"]))
    return found


def setting_words(bench: Bench, setting: str, litres: float) -> str:
    """Setting as it is called out: ``FULL``, ``15 L/m2``."""
    return bench.say(setting) if setting else bench.say("litres", litres=bench.amount(litres, 1))


def _truck(bench: Bench) -> int:
    """Number of the truck: one that tops up stays the same."""
    return 1 if bench.day["tops_up"] else bench.reading.emptied + 1


def _coupled(bench: Bench, block: BlockOfDay, strip: int, *, spans: list[Span], minute: float) -> None:
    """A truck couples, where the last one ran dry or at the start of the strip."""
    spot = bench.reading.dry_spots.get(strip)
    at = spans[0][0] if spot is None else spot
    setting, litres, _, _ = next(
        (one for span in spans for one in _watered(bench, block, strip, span) if one[3] > at),
        _watered(bench, block, strip, spans[-1])[-1],
    )
    truck = _truck(bench)
    payload: dict[str, Any] = {"truck": f"water {truck}"}
    payload |= {"setting": setting} if setting else {"water_l_m2": litres}
    said = setting_words(bench, setting, litres)
    bench.add(
        f"coupled {block['block']} {strip} {truck}",
        bench.say("coupled", setting=said),
        bench.say("coupled_second", truck=truck, litres=bench.amount(litres, 1)),
        minute=minute,
        icon="water",
        machine="mixer",
        main=True,
        block=block["block"],
        strip=strip,
        start_m=spans[0][0],
        end_m=spans[-1][1],
        entries=[{"kind": "water truck coupled", "place": place(block, [strip], at), "payload": payload}],
    )


def dry_at(bench: Bench, strip: int, spans: list[Span]) -> float | None:
    """Where the coupled truck runs dry on what is left of a strip; None where it holds enough."""
    truck = bench.reading.truck
    if truck is None:
        return None
    content = truck.left_l
    for start, end in spans:
        low = start
        if strip == truck.strip and truck.start_m is not None and start < truck.start_m <= end:
            low = truck.start_m
        for _, first, last in bench.reading.parts(strip, low, end):
            takes = bench.reading.litres(strip, first, last)
            if takes > 0 and content + DUE_L < takes:
                return first + (last - first) * content / takes
            content = max(content - takes, 0.0)
    return None


def _empty(bench: Bench, block: BlockOfDay, strip: int, *, spans: list[Span], minute: float, takes: float) -> None:
    """A truck runs dry: due here, or not."""
    truck, due = bench.reading.truck, dry_at(bench, strip, spans)
    if truck is None:
        return
    start, end = spans[0][0], spans[-1][1]
    spot = None if due is None else min(max(bench.whole(due), start), end)
    where = place(block, [strip]) if spot is None else place(block, [strip], spot)
    number = truck.name.removeprefix("water ") or _truck(bench)
    second = "empty_second_not_due" if spot is None else "empty_second"
    bench.add(
        f"empty {block['block']} {strip} {number}",
        bench.say("empty"),
        bench.say(second, truck=number, start="" if spot is None else bench.show(spot)),
        minute=minute - BEFORE if due is None else minute - takes * (end - due) / (end - start),
        icon="dry",
        machine="mixer",
        rank=20,
        main=spot is not None,
        now=bench.say("now_wet", strip=strip),
        figure=_figure(bench, block, strip, spans),
        block=block["block"],
        strip=strip,
        start_m=start,
        end_m=end,
        pad={
            "kind": "where", "title": bench.say("empty_where", strip=strip), "station_m": spot, "start_m": start, "end_m": end,
        },
        entries=[{"kind": "water truck empty", "place": where, "payload": {"truck": truck.name}}],
    )  # fmt: skip


def _figure(bench: Bench, block: BlockOfDay, strip: int, spans: list[Span]) -> str:
    """Setting at the start of what is left of a strip."""
    setting, litres, _, _ = settings(bench, block, strip, spans[0])[0]
    return setting_words(bench, setting, litres)


def _wet_strip(bench: Bench, block: BlockOfDay, strip: int, *, spans: list[Span], minute: float) -> None:
    """The wet pass over a strip: one entry a setting."""
    entries: list[Ready] = []
    for span in spans:
        for setting, litres, start, end in settings(bench, block, strip, span):
            payload: dict[str, Any] = {"mixed": "wet", "number": 1}
            payload |= {"setting": setting} if setting else {"water_l_m2": litres}
            entries.append({"kind": "mixing pass", "place": place(block, [strip], start, end), "payload": payload})
    bench.add(
        f"wet {block['block']} {strip}",
        bench.say("wet", strip=strip),
        _until(bench, block, spans),
        minute=minute,
        icon="wet",
        machine="mixer",
        main=True,
        now=bench.say("now_wet", strip=strip),
        figure=_figure(bench, block, strip, spans),
        block=block["block"],
        strip=strip,
        start_m=spans[0][0],
        end_m=spans[-1][1],
        entries=entries,
    )


def _squeeze(bench: Bench, block: BlockOfDay, strip: int, minute: float) -> None:
    """A handful squeezed; nothing is chosen beforehand."""
    choices = [
        {"words": bench.say(word), "second": bench.say(f"{word}_second"), "set": {"result": word}} for word in SQUEEZES
    ]
    bench.add(
        "squeeze",
        bench.say("squeeze"),
        bench.say("squeeze_second"),
        minute=minute,
        icon="hand",
        machine="mixer",
        rank=25,
        block=block["block"],
        strip=strip,
        pad={"kind": "choice", "title": bench.say("squeeze_second"), "choices": choices},
        entries=[{"kind": "squeeze", "place": place(block, [strip]), "payload": {}}],
    )


def _depth(bench: Bench, block: BlockOfDay) -> None:
    """A hole in the loose ground."""
    strips = [strip for strip in strips_of(block) if bench.reading.spans("dry 1", strip)]
    strip = strips[-1] if strips else strips_of(block)[0]
    field = {"path": ["depth_mm"], "unit": "mm", "label": "", "typical": DEPTH_LIKELY, "least": 0.0, "most": DEPTH_MOST}
    spot = bench.say("block", block=block["block"]) + ", " + bench.say("strip", strip=strip)
    bench.add(
        "depth", bench.say("depth"), bench.say("depth_second"), minute=bench.minute(block, "wet"), icon="hole",
        machine="mixer", rank=35, block=block["block"], strip=strip,
        pad={
            "kind": "number", "title": bench.say("depth_title"), "where": spot, "fields": [field], "photo": False, "text": "",
            "spot": block["start_m"], "not_checked": None,
        },
        entries=[
            {
                "kind": "depth check", "place": place(block, [strip]),
                "payload": {"state": "loose", "measured_from": "loose surface"},
            }
        ],
    )  # fmt: skip
