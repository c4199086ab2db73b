"""The light reading of a day: how far every strip is, what the hopper and the water truck hold, what is in force now."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from typing import Any

from hardpan.compare.taps_day import Day, Part
from hardpan.compare.taps_events import Plain, Span, Told, instant, told

EMPTY_KG = 1.0

TRAY_REACH_M = 10.0  # metres: a tray nearer to a run-out stood at its restart


@dataclass
class Truck:
    """The water truck that is coupled: what it holds, and from which spot on it waters."""

    name: str
    left_l: float
    at: float
    strip: int
    start_m: float | None
    block: int


@dataclass
class Reading:
    """What the entries of a day add up to, as far as the next tap asks."""

    day: Day
    events: list[Told]
    today: str
    at: float
    clock_min: float
    done: dict[tuple[str, int], list[Span]] = field(default_factory=dict)
    began: set[tuple[str, int]] = field(default_factory=set)
    went: str = ""
    stopped: Told | None = None
    shots: bool = False
    delivered: list[tuple[str, float]] = field(default_factory=list)
    filled_kg: float = 0.0
    fills: int = 0
    hopper_kg: float = 0.0
    filling: Told | None = None
    spots: dict[int, float] = field(default_factory=dict)
    changes: list[tuple[int, float]] = field(default_factory=list)
    tray_due: Told | None = None
    truck: Truck | None = None
    emptied: int = 0
    dry_spots: dict[int, float] = field(default_factory=dict)
    problems: list[Told] = field(default_factory=list)
    worked: set[str] = field(default_factory=set)
    cured: bool = False

    @property
    def in_truck_kg(self) -> float:
        """Cement that came and is in no hopper yet."""
        return sum(kg for _, kg in self.delivered) - self.filled_kg

    @property
    def number(self) -> int:
        """Number of today among the days of work."""
        return 1 + len([date for date in self.worked if date < self.today])

    def spans(self, stage: str, strip: int) -> list[Span]:
        """Stretches of a strip on which a kind of work is done."""
        return self.done.get((stage, strip), [])

    def parts(self, strip: int, start: float, end: float) -> list[tuple[Part, float, float]]:
        """Parts of the plan under a stretch of a strip, up-station."""
        found = []
        for block in self.day["blocks"]:
            for part in block["parts"]:
                low, high = max(part["start_m"], start), min(part["end_m"], end)
                if part["strip"] == strip and high > low:
                    found.append((part, low, high))
        return found

    def cement(self, strip: int, start: float, end: float, *, rate: float | None = None) -> float:
        """Cement that a stretch takes, as the spreader lays [kg]."""
        width = self.day["strips"][self._column(strip)]["width_m"]
        kilograms = 0.0
        for part, low, high in self.parts(strip, start, end):
            kilograms += (high - low) * width * (part["rate_kg_m2"] if rate is None else rate)
        return kilograms * self.day["factor"]

    def litres(self, strip: int, start: float, end: float, *, rate: float | None = None) -> float:
        """Water that a stretch takes through the bar [L]."""
        wetted = self.day["strips"][self._column(strip)]["wetted_m"]
        litres = 0.0
        for part, low, high in self.parts(strip, start, end):
            zone = self.day["zones"][part["zone"]]
            litres += (high - low) * wetted * (zone["water_l_m2"] if rate is None else rate)
        return litres

    def _column(self, strip: int) -> int:
        """Place of a strip in the list of strips."""
        return next(at for at, one in enumerate(self.day["strips"]) if one["strip"] == strip)


def read(day: Day, entries: Iterable[Plain], *, now: str) -> Reading:
    """Reading of entries at an instant, given with its offset."""
    events = told(day, entries)
    reading = Reading(day, events, now[:10], instant(now), _clock_min(now))
    for event in events:
        known = _READ.get(event.kind)
        if known is not None:
            known(reading, event)
    return reading


def _clock_min(now: str) -> float:
    """Minutes after midnight of a time as it is written."""
    return 60.0 * int(now[11:13]) + int(now[14:16]) + float(now[17:19]) / 60


def _cover(reading: Reading, stage: str, event: Told) -> None:
    """Work that is done on the ground of an event."""
    if event.start_m is None or event.end_m is None:
        return
    for strip in event.strips:
        reading.done.setdefault((stage, strip), []).append((event.start_m, event.end_m))


def _go(reading: Reading, event: Told) -> None:
    """The call of the morning; yesterday's counts no more."""
    if event.date == reading.today:
        reading.went = event.payload["decision"]


def _ticket(reading: Reading, event: Told) -> None:
    """A load that came."""
    reading.delivered.append((event.payload["ticket"], float(event.payload["net_kg"])))


def _shots(reading: Reading, event: Told) -> None:
    """Check shots, or that none were taken."""
    del event
    reading.shots = True


def _fill(reading: Reading, event: Told) -> None:
    """A fill that began, or one that is in."""
    if event.under_way:
        reading.filling = event
        return
    reading.filling = None
    reading.fills += 1
    added, after = event.payload.get("added_kg"), event.payload.get("hopper_kg")
    reading.filled_kg += added if added is not None else max(float(after or 0.0) - reading.hopper_kg, 0.0)
    reading.hopper_kg = float(after) if after is not None else reading.hopper_kg + float(added or 0.0)


def _spread(reading: Reading, event: Told) -> None:
    """A strip that was spread, or is being."""
    reading.worked.add(event.date)
    reading.began.add(("spread", event.block))
    if event.under_way or event.start_m is None or event.end_m is None:
        return
    _cover(reading, "spread", event)
    if event.payload.get("by") == "hand":
        return
    laid = 0.0
    for strip in event.strips:
        start, spot = event.start_m, reading.spots.get(strip)
        if spot is not None and start < spot <= event.end_m:
            start = spot
            del reading.spots[strip]
        laid += reading.cement(strip, start, event.end_m, rate=event.payload.get("rate_kg_m2"))
    if event.payload.get("kg") is not None:
        laid = event.payload["kg"]
    left = event.payload.get("left_kg")
    reading.hopper_kg = float(left) if left is not None else max(reading.hopper_kg - laid, 0.0)


def _change(reading: Reading, event: Told) -> None:
    """A change of the rate."""
    if event.start_m is not None:
        reading.changes += [(strip, event.start_m) for strip in event.strips]


def _run_out(reading: Reading, event: Told) -> None:
    """The hopper is empty, and a tray is due where it starts again."""
    reading.hopper_kg = 0.0
    if event.start_m is not None and len(event.strips) == 1:
        reading.spots[event.strips[0]] = event.start_m
        reading.tray_due = event


def _tray(reading: Reading, event: Told) -> None:
    """A tray, which may be the one that was due."""
    due = reading.tray_due
    if due is None or due.start_m is None or event.start_m is None or due.strips[0] not in event.strips:
        return
    if event.start_m - TRAY_REACH_M <= due.start_m <= (event.end_m or event.start_m) + TRAY_REACH_M:
        reading.tray_due = None


def _mixed(reading: Reading, event: Told) -> None:
    """A pass of the mixer."""
    said = event.payload
    if said["mixed"] == "aerate":
        return
    reading.worked.add(event.date)
    reading.began.add(("mix", event.block))
    if said["mixed"] == "wet":
        reading.began.add(("wet", event.block))
    if event.under_way:
        return
    _cover(reading, "wet" if said["mixed"] == "wet" else f"dry {said['number']}", event)
    _past_tray(reading, event)
    if said["mixed"] == "wet" and event.start_m is not None and event.end_m is not None:
        _drawn(reading, event, event.start_m, event.end_m)


def _past_tray(reading: Reading, event: Told) -> None:
    """A tray that was due comes too late once its spot is mixed."""
    due = reading.tray_due
    if due is None or due.start_m is None or event.start_m is None or event.end_m is None:
        return
    if due.strips[0] in event.strips and event.start_m <= due.start_m <= event.end_m:
        reading.tray_due = None


def _drawn(reading: Reading, event: Told, start: float, end: float) -> None:
    """Water that a wet pass drew from the coupled truck."""
    for strip in event.strips:
        spot = reading.dry_spots.get(strip)
        if spot is not None and start <= spot <= end:
            del reading.dry_spots[strip]
        truck, low = reading.truck, start
        if truck is not None and event.payload.get("setting") != "off":
            if strip == truck.strip and truck.start_m is not None and start < truck.start_m <= end:
                low = truck.start_m
            truck.left_l = max(
                truck.left_l - reading.litres(strip, low, end, rate=event.payload.get("water_l_m2")), 0.0
            )


def _coupled(reading: Reading, event: Told) -> None:
    """A truck that coupled, full unless its content was read."""
    held = event.payload.get("on_board_l")
    litres = reading.day["truck_l"] if held is None else held
    strip = event.strips[0] if len(event.strips) == 1 else 0
    reading.truck = Truck(event.payload.get("truck") or "", litres, event.at, strip, event.start_m, event.block)


def _emptied(reading: Reading, event: Told) -> None:
    """A truck that ran dry."""
    reading.emptied += 1
    reading.truck = None
    if event.start_m is not None and len(event.strips) == 1:
        reading.dry_spots[event.strips[0]] = event.start_m


def _rolled(reading: Reading, event: Told) -> None:
    """Rolling or trimming."""
    reading.began.add((event.payload["rolled"], event.block))
    if not event.under_way:
        _cover(reading, event.payload["rolled"], event)


def _walked(reading: Reading, event: Told) -> None:
    """Feet that walked out."""
    if event.payload["walked_out"]:
        _cover(reading, "walked", event)


def _closed(reading: Reading, event: Told) -> None:
    """A block that is closed, or a problem."""
    problem = event.payload.get("problem")
    if problem is None:
        _cover(reading, "closed", event)
    else:
        reading.problems = [one for one in reading.problems if one.id != problem]


def _stop(reading: Reading, event: Told) -> None:
    """The work stopped, or went on."""
    reading.stopped = event if event.payload["state"] == "stopped" else None


def _problem(reading: Reading, event: Told) -> None:
    """Something is wrong."""
    reading.problems.append(event)


def _cured(reading: Reading, event: Told) -> None:
    """Finished ground that was kept damp today."""
    reading.cured = reading.cured or event.date == reading.today


_READ: dict[str, Callable[[Reading, Told], Any]] = {
    "go/no-go": _go,
    "delivery ticket": _ticket,
    "pre-grade shots": _shots,
    "spreader fill": _fill,
    "spread run": _spread,
    "rate change": _change,
    "run-out": _run_out,
    "tray check": _tray,
    "mixing pass": _mixed,
    "water truck coupled": _coupled,
    "water truck empty": _emptied,
    "rolling": _rolled,
    "walk-out": _walked,
    "closed": _closed,
    "stop": _stop,
    "problem": _problem,
    "curing": _cured,
}
