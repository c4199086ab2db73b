"""What lies on the ground as the ledger tells it, cut into patches that were worked alike, before anything is drawn."""

from __future__ import annotations

from bisect import bisect_right
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

from hardpan.compare.happened import Happened
from hardpan.exchange.drawing.street_rows import Span, rectangles
from hardpan.ledger.ground import Area
from hardpan.ledger.hopper import Run
from hardpan.ledger.placed import of
from hardpan.ledger.progress import BayState
from hardpan.ledger.reckoning import merged
from hardpan.ledger.water import watered
from hardpan.ledger.working import MixingPass, Rolling

SLIVER_M = 0.05


@dataclass(frozen=True, slots=True)
class Work:
    """How a patch was worked; ``rate`` is what the spreader was set to there, None where nobody said and nobody instructed."""

    block: str
    rate: float | None
    by_hand: bool
    dry: int
    wet: int
    aired: int
    water_off: bool
    rolled: bool

    @property
    def rate_words(self) -> str:
        """``24 kg/m2``."""
        return f"{self.rate:.3g} kg/m\u00b2" if self.rate is not None else "rate not recorded"

    @property
    def passes(self) -> tuple[str, ...]:
        """Passes in the order of the day; a gap is said."""
        found = [f"aired {self.aired}" if self.aired else "", f"dry {self.dry}" if self.dry else "not mixed"]
        found += [f"wet {self.wet}" if self.wet else "no wet pass", "water OFF" if self.water_off else ""]
        return tuple(part for part in (*found, "rolled" if self.rolled else "not rolled") if part)


@dataclass(frozen=True, slots=True)
class Patch:
    """A rectangle of strips that was worked alike."""

    work: Work
    start_m: float
    end_m: float
    first_strip: int
    last_strip: int


def patches(happened: Happened) -> tuple[Patch, ...]:
    """Every spread patch, strips side by side that were worked alike together."""
    alike: dict[Work, list[tuple[int, Span]]] = defaultdict(list)
    worked = _Worked(happened)
    for strip in happened.widths:
        for work, start, end in _joined(worked.pieces(strip)):
            alike[work].append((strip, Span(start, end)))
    found = [
        Patch(work, start, end, first, last)
        for work, parts in alike.items()
        for start, end, first, last in rectangles(parts)
    ]
    return tuple(sorted(found, key=lambda patch: (patch.start_m, patch.first_strip, patch.end_m)))


def bare(happened: Happened) -> list[tuple[float, float, int, int]]:
    """Rectangles that no cement is recorded on: start, end, first and last strip."""
    parts: list[tuple[int, Span]] = []
    stationing = happened.plan.street.stationing
    for strip in happened.widths:
        at = stationing.first
        laid = merged(run.area[:2] for run in happened.state.runs if strip in run.area.strips)
        for start, end in [*laid, (stationing.last, stationing.last)]:
            if start - at > SLIVER_M:
                parts.append((strip, Span(at, start)))
            at = max(at, end)
    return rectangles(parts)


class _Worked:
    """What was done on any piece of a block: passes, water and rolling of that block alone, so that a repair stands for itself."""

    def __init__(self, happened: Happened) -> None:
        self.happened = happened
        self.bays: dict[int, list[BayState]] = defaultdict(list)
        for bay in happened.state.bays:
            self.bays[bay.strip].append(bay)
        self.runs: dict[int, list[Run]] = defaultdict(list)
        for run in happened.state.runs:
            for strip in run.area.strips:
                self.runs[strip].append(run)
        self.passes: dict[str, list[tuple[Area, MixingPass, list[Area]]]] = defaultdict(list)
        for event, said in of(MixingPass, happened.state.events):
            if event.area is not None and event.ended is not None:
                self.passes[event.block].append((event.area, said, watered(event, said)))
        self.rolled: dict[str, list[Area]] = defaultdict(list)
        for event, rolling in of(Rolling, happened.state.events):
            if event.area is not None and event.ended is not None and rolling.rolled == "final":
                self.rolled[event.block].append(event.area)

    def pieces(self, strip: int) -> Iterator[tuple[Work, float, float]]:
        """Spread pieces of one strip between the ends of everything done on it, up-station; of two runs over one piece the later counts."""
        bays, runs = self.bays[strip], self.runs[strip]
        first, last = bays[0].start_m, bays[-1].end_m
        ends = {bay.start_m for bay in bays} | {end for run in runs for end in run.area[:2] if first < end < last}
        starts = [bay.start_m for bay in bays]
        for start, end in pairwise(sorted(ends | {last})):
            middle = (start + end) / 2
            over = [run for run in runs if run.area.start_m < middle < run.area.end_m]
            if over and end - start > SLIVER_M:
                yield self._work(over[-1], bays[bisect_right(starts, middle) - 1], middle), start, end

    def _work(self, run: Run, bay: BayState, middle: float) -> Work:
        """Work on one piece; the hood-up pass before the cement may name another block or none."""
        rate = run.rate_kg_m2 if run.rate_kg_m2 is not None else bay.instructed_kg_m2
        here = [one for one in self.passes[run.block] if _covers(one[0], bay.strip, middle)]
        dry = {said.number for _, said, _ in here if said.mixed == "dry"}
        wet = {said.number for _, said, _ in here if said.mixed == "wet"}
        ran = any(_covers(area, bay.strip, middle) for _, _, areas in here for area in areas)
        rolled = any(_covers(area, bay.strip, middle) for area in self.rolled[run.block])
        aired = 0 if run.by_hand else bay.aerating_passes
        return Work(run.block, rate, run.by_hand, len(dry), len(wet), aired, bool(wet) and not ran, rolled)


def _covers(area: Area, strip: int, middle: float) -> bool:
    """Whether an area covers the middle of a piece."""
    return strip in area.strips and area.start_m <= middle < area.end_m


def _joined(pieces: Iterator[tuple[Work, float, float]]) -> list[tuple[Work, float, float]]:
    """Neighbours that were worked alike as one."""
    found: list[tuple[Work, float, float]] = []
    for work, start, end in pieces:
        if found and found[-1][0] == work and start - found[-1][2] <= SLIVER_M:
            found[-1] = work, found[-1][1], end
        else:
            found.append((work, start, end))
    return found


def painted_edges(happened: Happened) -> list[tuple[int, float]]:
    """Strip and station of every edge between two instructed rates."""
    return [
        (after.strip, after.start_m)
        for before, after in pairwise(happened.state.bays)
        if before.strip == after.strip and before.instructed_kg_m2 != after.instructed_kg_m2
    ]
