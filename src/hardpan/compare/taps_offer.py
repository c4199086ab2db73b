"""An offer: something that can happen next, ready to be tapped; and the bench on which offers are made."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, TypedDict

from hardpan.compare.taps_day import BlockOfDay, Day, Part
from hardpan.compare.taps_events import Span, gaps
from hardpan.compare.taps_reading import EMPTY_KG, Reading
from hardpan.compare.taps_words import amount, say

DAY_MIN = 1440.0


class Ready(TypedDict, total=False):
    """An entry less what the phone adds: ids, times, who."""

    kind: str
    place: dict[str, Any] | None
    payload: dict[str, Any]
    corrects: str


class Offer(TypedDict):
    """Something that can happen next.

    ``main`` moves the day on; ``companion`` is what may happen to it; ``first`` is the one choice in solid ink. ``pad`` is what is still
    asked: a number, a choice of words, or the spot. ``minute`` is when the plan has it done, after midnight of today.
    """

    key: str
    words: str
    second: str
    icon: str
    machine: str
    rank: int
    minute: float
    main: bool
    first: bool
    now: str
    figure: str
    block: int
    strip: int
    start_m: float | None
    end_m: float | None
    pad: dict[str, Any] | None
    entries: list[Ready]


@dataclass
class Bench:
    """Where offers are made: the reading, and words with their numbers."""

    reading: Reading
    offers: list[Offer] = field(default_factory=list)

    @property
    def day(self) -> Day:
        """Day of the reading."""
        return self.reading.day

    def say(self, key: str, /, **told: object) -> str:
        """Phrase in the language of the phone."""
        return say(self.day["words"], key, **told)

    def amount(self, value: float, decimals: int = 0) -> str:
        """Number as the phone's language writes it."""
        return amount(value, decimals, point=self.day["point"])

    def show(self, station: float) -> str:
        """Station in the street's style, to a tenth where it is not whole."""
        return show(self.day, station)

    def whole(self, station: float) -> float:
        """Station to the whole metre or foot that a crew paints."""
        unit = self.day["unit_m"]
        return math.floor(station / unit + 0.5) * unit

    def minute(self, block: BlockOfDay, stage: str, part: float = 1.0) -> float:
        """Minute of today at which a part of a kind of work on a block is planned to be done."""
        start, end = block["times"].get(stage, [DAY_MIN, DAY_MIN])
        return start + part * (end - start) + DAY_MIN * (block["day"] - self.reading.number)

    def today(self, number: int) -> bool:
        """Whether a block is one of today's or of a day before; what is of no block is."""
        return all(one["day"] <= self.reading.number for one in self.day["blocks"] if one["block"] == number)

    def add(self, key: str, words: str, second: str, *, minute: float, entries: list[Ready], **more: Any) -> None:
        """Put an offer on the bench; what is not said of it is empty."""
        offer = Offer(
            key=key, words=words, second=second, icon="", machine="", rank=50, minute=minute, main=False, first=False,
            now="", figure="", block=0, strip=0, start_m=None, end_m=None, pad=None, entries=entries,
        )  # fmt: skip
        told: Mapping[str, Any] = more
        offer.update(told)  # type: ignore[typeddict-item]  # the keys are those of Offer: a test compares them
        offer["main"] = offer["main"] and self.today(offer["block"])
        self.offers.append(offer)


def show(day: Day, station: float) -> str:
    """Station in a street's style: 140.0 is ``0+140``."""
    tenths = math.floor(abs(station) / day["unit_m"] * 10 + 0.5)
    whole, rest = divmod(tenths, 10 ** (day["digits"] + 1))
    metres, tenth = divmod(rest, 10)
    sign = "-" if station < 0 and tenths else ""
    return f"{sign}{whole}+{str(metres).rjust(day['digits'], '0')}{f'.{tenth}' if tenth else ''}"


def place_words(day: Day, station: float) -> str:
    """Station by its nearest landmark: ``20 m past pole 2 (0+080)``."""
    shown = show(day, station)
    if not day["landmarks"]:
        return shown
    nearest = day["landmarks"][0]
    for one in day["landmarks"]:
        if abs(one["station_m"] - station) < abs(nearest["station_m"] - station) - 1e-6:
            nearest = one
    away = (station - nearest["station_m"]) / day["unit_m"]
    far = amount(abs(away), 1, point=day["point"])
    if far == "0":
        return say(day["words"], "at", name=nearest["name"], station=shown)
    key = "past" if away > 0 else "before"
    return say(day["words"], key, far=far, unit=day["unit"], name=nearest["name"], station=shown)


def strips_of(block: BlockOfDay) -> list[int]:
    """Strips of a block that are treated, in order of work."""
    return list(dict.fromkeys(part["strip"] for part in block["parts"] if part["rate_kg_m2"] > 0))


def stretches(block: BlockOfDay, strip: int, *, dry: int = 0) -> list[Span]:
    """Stretches of a strip of a block that are treated, of those that want so many dry passes; neighbours are one."""
    found: list[Span] = []
    for part in block["parts"]:
        if part["strip"] != strip or part["rate_kg_m2"] <= 0 or part["dry"] < dry:
            continue
        if found and abs(found[-1][1] - part["start_m"]) < 1e-6:
            found[-1] = (found[-1][0], part["end_m"])
        else:
            found.append((part["start_m"], part["end_m"]))
    return found


def left(reading: Reading, stage: str, strip: int, spans: list[Span]) -> list[Span]:
    """What is left to do of some stretches of a strip."""
    return [gap for start, end in spans for gap in gaps(reading.spans(stage, strip), start, end)]


def done(reading: Reading, block: BlockOfDay, stage: str) -> bool:
    """Whether a kind of work is done on all treated ground of a block."""
    return not any(left(reading, stage, strip, stretches(block, strip)) for strip in strips_of(block))


def cement_out(reading: Reading) -> bool:
    """Whether no cement is left and none is to come today."""
    to_come = [one for one in reading.day["loads"] if one["day"] <= reading.number]
    return (
        reading.hopper_kg < EMPTY_KG
        and reading.in_truck_kg < EMPTY_KG
        and reading.fills > 0
        and len(reading.delivered) >= len(to_come)
    )


def place(block: BlockOfDay, strips: list[int], start: float | None = None, end: float | None = None) -> dict[str, Any]:
    """Place of an entry; what is not said is left out."""
    told: dict[str, Any] = {"block": block["name"], "strips": strips}
    if start is not None:
        told["start_m"] = start
    if end is not None:
        told["end_m"] = end
    return told


def parts_of(block: BlockOfDay, strip: int, start: float, end: float) -> list[Part]:
    """Treated parts of a strip of a block under a stretch, cut to it."""
    found = []
    for part in block["parts"]:
        low, high = max(part["start_m"], start), min(part["end_m"], end)
        if part["strip"] == strip and part["rate_kg_m2"] > 0 and high > low:
            cut: Part = {**part, "start_m": low, "end_m": high}
            found.append(cut)
    return found
