"""The lines and the words of every run over station and time, before they have a place on paper."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace

from hardpan.exchange.drawing.ink import INK, WATER
from hardpan.exchange.spreading import Drive
from hardpan.plan import Plan
from hardpan.plan.blocks import Block
from hardpan.plan.shift import Run

ROLLING_PASSES = 2  # runs drawn of a roller or grader; it makes more


@dataclass(frozen=True, slots=True)
class RunWord:
    """What a run is called: the longest words first, and between which places and minutes they may stand."""

    texts: tuple[str, ...]
    colour: str
    run: Run
    across: float


def run_kind(run: Run) -> str:
    """Name of a run's line."""
    if run.machine == "mixer":
        return "mixer, wet" if run.work == "wet mix" else "mixer, dry"
    return run.machine


def trips(plan: Plan, block: Block, run: Run, drive: Drive) -> Iterator[list[tuple[float, float]]]:
    """Lines of a run as places and minutes: the spreader by strip, refills left open, and the mixer by cut, both up-station; two of each roller."""
    if run.machine == "spreader":
        for stretch in drive.stretches:
            if not stretch.bare:
                yield [(stretch.start_m, stretch.start_min), (stretch.end_m, stretch.end_min)]
        return
    ends = (block.start_m, block.end_m)
    if run.machine != "mixer":
        yield from to_and_fro(run.start.value, run.end.value, [ends] * ROLLING_PASSES)
        return
    if run.work == "wet mix":
        yield from up_station(run.start.value, run.end.value, [ends] * len(plan.shift.cuts))
        return
    soft = _soft(plan, block)
    if run.work == "air, hood up":
        yield from up_station(run.start.value, run.end.value, soft or [ends])
        return
    minute = run.start.value
    for passing in block.durations.dry:
        yield from up_station(minute, minute + passing.value, [ends] * len(plan.shift.cuts))
        minute += passing.value
    if block.durations.extra is not None:
        yield from up_station(minute, run.end.value, soft)


def _soft(plan: Plan, block: Block) -> list[tuple[float, float]]:
    """Soft stretches of every cut of a block."""
    return [(each.start_m, each.end_m) for each in block.mix if plan.zones[each.zone].soil == "soft"]


def up_station(start: float, end: float, legs: Iterable[tuple[float, float]]) -> Iterator[list[tuple[float, float]]]:
    """Legs of equal time, every one up-station, the drive back within it: the order in which cement and water are walked."""
    every = list(legs)
    each = (end - start) / max(len(every), 1)
    for i, (a, b) in enumerate(every):
        yield [(a, start + i * each), (b, start + (i + 1) * each)]


def to_and_fro(start: float, end: float, legs: Iterable[tuple[float, float]]) -> Iterator[list[tuple[float, float]]]:
    """Legs of equal time, every second one backwards."""
    every = list(legs)
    each = (end - start) / max(len(every), 1)
    for i, (a, b) in enumerate(every):
        yield [((a, b)[i % 2], start + i * each), ((b, a)[i % 2], start + (i + 1) * each)]


def run_words(block: Block, runs: Iterable[Run], litres: str) -> Iterator[RunWord]:
    """Words of a block's runs; runs that overlap in time like different places across."""
    from_left = {
        "spreader": 0.2,
        "mixer, dry": 0.5,
        "mixer, wet": 0.75,
        "padfoot": 0.25,
        "grader": 0.6,
        "smooth drum": 0.8,
    }
    names = {"spread": ("spread",), "wet mix": (f"wet, {litres} L", "wet"), "air, hood up": ("air, hood up", "air")}
    for run in (run for run in runs if run.block == block.number):
        kind = run_kind(run)
        colour = WATER if kind == "mixer, wet" else INK
        if run.work != "dry mix":
            yield RunWord(names.get(run.work, (kind,)), colour, run, from_left[kind])
            continue
        minutes = [*block.durations.dry, *((block.durations.extra,) if block.durations.extra else ())]
        minute = run.start.value
        for i, each in enumerate(minutes):
            extra = i == len(block.durations.dry)
            text = f"dry {i + 1}{' in soft ground' if extra else ''}"
            yield RunWord((text, f"dry {i + 1}"), colour, _part(run, minute, minute + each.value), from_left[kind])
            minute += each.value


def _part(run: Run, start: float, end: float) -> Run:
    """A part of a run."""
    return replace(run, start=replace(run.start, value=start), end=replace(run.end, value=end))
