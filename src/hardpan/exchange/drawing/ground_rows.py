"""What the drawings of the ground show, gathered from the plan before anything is drawn."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import label

from hardpan.exchange.drawing.street_frame import LEAST_SCALE, MARGIN
from hardpan.exchange.drawing.street_rows import Span, break_into_rows
from hardpan.laws.rutting import RUT_EXPONENT
from hardpan.plan import Plan
from hardpan.plan.ground import Ground
from hardpan.street.defaults import default
from hardpan.street.words import RUT_MM, say_odds, word_for

WIDTH = 1122.0  # 190 mm of paper
RIGHT_MARGIN = 44.0  # for the bearing ratios; the map keeps it too, so that both stand on one scale of stations
BETWEEN = 14.0  # height between two rows
NAMES: tuple[str, ...] = tuple(RUT_MM)
BOUNDS_MM: tuple[float, ...] = tuple(low for low, _ in RUT_MM.values())[1:]
"""Ruts that part one word from the next: 15, 30, 75."""

WORTH_A_MARK = 0.025
"""Chance of soft ground under a skin from which it is marked: under it the crew says hardly ever."""


def ground_spans(plan: Plan) -> list[Span]:
    """Rows that a street breaks into."""
    return [span for span, _ in break_into_rows(plan.shift.blocks, (WIDTH - MARGIN - RIGHT_MARGIN) / LEAST_SCALE)]


def bearing_ratio(ground: Ground, rut: float) -> float:
    """Bearing ratio [%] at which a grader leaves a rut [mm], on this street."""
    return float((1000 * ground.rut_constant.value / rut) ** (1 / RUT_EXPONENT))


def words_of(ground: Ground) -> NDArray[np.intp]:
    """Word of every bay by the middle of its band, as index of ``NAMES``; (strips, bays)."""
    ruts = 1000 * ground.rut_constant.value * ground.middle**-RUT_EXPONENT
    return np.asarray(np.searchsorted(BOUNDS_MM, ruts, side="right"))


def word_of(ground: Ground, cbr: float) -> str:
    """Word that a grader would have at a bearing ratio [%], on this street."""
    return word_for(ground.rut_constant.value * cbr**-RUT_EXPONENT)


@dataclass(frozen=True, slots=True)
class Alike:
    """Bays side by side that share a word: the stretch of each strip they cover, and whether anything was read there."""

    word: str
    read: bool
    parts: tuple[tuple[int, Span], ...]


def alike(plan: Plan, span: Span) -> list[Alike]:
    """Stretches of alike bays inside a row; trench lines are left out, for they are places of their own, but part nothing."""
    ground, here = plan.ground, _columns(plan.ground, span)
    trench = ground.places.trench[:, here]
    told = _bridged((2 * words_of(ground) + _read(ground))[:, here], trench)
    found = []
    for code in range(2 * len(NAMES)):
        numbers, count = label(told == code)
        for number in range(1, count + 1):
            parts = tuple(_parts(ground, (numbers == number) & ~trench, here.start, span))
            if parts:
                found.append(Alike(NAMES[code // 2], bool(code % 2), parts))
    return sorted(found, key=lambda one: (one.parts[0][1].start, one.parts[0][0]))


def _read(ground: Ground) -> NDArray[np.bool_]:
    """Bays that something was read or tested in, (strips, bays)."""
    read = ground.word > 0
    for sounding in ground.soundings:
        read[ground.bay_of(sounding)] = True
    return np.asarray(read)


def _bridged(told: NDArray[np.intp], trench: NDArray[np.bool_]) -> NDArray[np.intp]:
    """Codes with every trench line given that of both its neighbours along the strip; -1 where they differ or one is missing."""
    column = np.arange(told.shape[1])
    before = np.maximum.accumulate(np.where(trench, -1, column), axis=1)
    after = np.minimum.accumulate(np.where(trench, column.size, column)[:, ::-1], axis=1)[:, ::-1]
    left, right = (np.take_along_axis(told, np.clip(side, 0, column.size - 1), axis=1) for side in (before, after))
    joined = (before >= 0) & (after < column.size) & (left == right)
    return np.where(trench, np.where(joined, left, -1), told)


def _columns(ground: Ground, span: Span) -> slice:
    """Bays that lie in a row, wholly or partly."""
    edges = ground.bays.edges_m
    first = int(np.searchsorted(edges, span.start + 1e-6, side="right")) - 1
    last = int(np.searchsorted(edges, span.end - 1e-6, side="left"))
    return slice(max(first, 0), last)


def _parts(ground: Ground, mask: NDArray[np.bool_], first: int, span: Span) -> Iterator[tuple[int, Span]]:
    """Stretches of strips that a mask of the row's bays covers."""
    for row, strip in enumerate(ground.bays.strips):
        for start, end in _runs(ground, mask[row], first):
            inside = span.cuts(start, end)
            if inside:
                yield strip, inside


def _runs(ground: Ground, true: NDArray[np.bool_], first: int) -> Iterator[tuple[float, float]]:
    """Stations between which neighbouring bays are true."""
    turns = np.flatnonzero(np.diff(np.concatenate([[False], true, [False]]).astype(int)))
    for a, b in turns.reshape(-1, 2):
        yield float(ground.bays.edges_m[first + a]), float(ground.bays.edges_m[first + b])


@dataclass(frozen=True, slots=True)
class Bay:
    """One bay of one strip as it is drawn: its stretch inside the row, its band of CBR [%], whether it is a trench line."""

    span: Span
    low: float
    middle: float
    high: float
    trench: bool


def bays_of(plan: Plan, strip: int, span: Span) -> list[Bay]:
    """Bays of a strip inside a row, in order."""
    ground, here = plan.ground, _columns(plan.ground, span)
    row = ground.bays.strips.index(strip)
    return [bay for bay in (_bay(ground, row, column, span) for column in range(here.start, here.stop)) if bay]


def _bay(ground: Ground, row: int, column: int, span: Span) -> Bay | None:
    """One bay inside a row."""
    inside = span.cuts(*(float(edge) for edge in ground.bays.edges_m[column : column + 2]))
    if inside is None:
        return None
    low, middle, high = (float(band[row, column]) for band in (ground.low, ground.middle, ground.high))
    return Bay(inside, low, middle, high, bool(ground.places.trench[row, column]))


@dataclass(frozen=True, slots=True)
class Trench:
    """A trench line in one strip: its walls inside the row, its softest bay and its word, the odds of soft ground under a skin, empty where none."""

    span: Span
    softest: Bay
    word: str
    hidden: str


def trenches_of(plan: Plan, strip: int, span: Span) -> list[Trench]:
    """Trench lines of a strip inside a row, each structure for itself."""
    ground, row = plan.ground, plan.ground.bays.strips.index(strip)
    here = np.flatnonzero(ground.places.trench[row])
    found = []
    for _, run in groupby(here, key=lambda column: int(ground.places.region[row, column])):
        columns = [int(column) for column in run]
        bays = [bay for bay in (_bay(ground, row, column, span) for column in columns) if bay is not None]
        if bays:
            whole, softest = Span(bays[0].span.start, bays[-1].span.end), min(bays, key=lambda bay: bay.middle)
            found.append(Trench(whole, softest, word_of(ground, softest.middle), _odds(ground, row, columns[0])))
    return found


@dataclass(frozen=True, slots=True)
class Hidden:
    """A stretch of one strip that may hide soft ground under a skin: how often, in words, and its bearing ratio then [%]."""

    span: Span
    odds: str
    cbr: float


def hidden_of(plan: Plan, strip: int, span: Span) -> list[Hidden]:
    """Stretches of a strip with the same odds of soft ground under a skin; none where a test went through, and trench lines tell their own."""
    ground, here = plan.ground, _columns(plan.ground, span)
    row = ground.bays.strips.index(strip)
    odds = [_odds(ground, row, column) for column in range(here.start, here.stop)]
    kinds = list(dict.fromkeys(odds))
    told = _bridged(np.array([[kinds.index(one) for one in odds]]), ground.places.trench[row : row + 1, here])[0]
    found = []
    for code, kind in enumerate(kinds):
        for start, end in _runs(ground, told == code, here.start) if kind else ():
            inside = span.cuts(start, end)
            if inside:
                found.append(Hidden(inside, kind, default("ground.hidden_median").value))
    return sorted(found, key=lambda one: one.span.start)


def _odds(ground: Ground, row: int, column: int) -> str:
    """Odds of soft ground under a skin in a bay; empty where it is not worth a mark, or found."""
    chance = float(ground.hidden.chance[row, column])
    return say_odds(chance) if WORTH_A_MARK <= chance < 1 else ""


def hidden_odds(plan: Plan) -> str:
    """Least odds of soft ground under a skin where nothing showed; empty where none is to fear."""
    chance = plan.ground.hidden.chance
    worth = chance[(chance >= WORTH_A_MARK) & (chance < 1)]
    return say_odds(float(worth.min())) if worth.size else ""


@dataclass(frozen=True, slots=True)
class Tested:
    """A test that was done: what it is called, where, the bearing ratio a wheel feels [%], and what lies under a skin, if one does."""

    name: str
    station: float
    strip: int
    cbr: float
    under: float | None

    @property
    def lines(self) -> tuple[str, ...]:
        """Name and bearing ratio."""
        if self.under is None:
            return (f"{self.name}: CBR {self.cbr:.2g}",)
        return f"{self.name}: CBR {self.cbr:.2g} felt,", f"{self.under:.2g} under a skin"

    @property
    def said(self) -> str:
        """The same in one line."""
        return " ".join(self.lines)


def done_tests(plan: Plan, span: Span) -> list[Tested]:
    """Penetrometer tests and laboratory values of a row; a sample that stands for several strips is told once, on the first."""
    done = [
        Tested(
            one.test, one.station_m, one.strip, float(np.exp(one.felt)), float(np.exp(one.under)) if one.skin else None
        )
        for one in plan.ground.soundings
    ]
    done += [Tested(f"lab {one.test}", one.station, one.strips[0], one.cbr.value, None) for one in plan.street.bearing]
    return [one for one in done if _mine(plan, span, one.station)]


@dataclass(frozen=True, slots=True)
class Asked:
    """A test asked for: its number, where, the middle of the ground there [%]."""

    name: str
    station: float
    strip: int
    middle: float


def asked_tests(plan: Plan, span: Span) -> list[Asked]:
    """Tests asked for in a row."""
    ground = plan.ground
    found = []
    for number, one in enumerate(ground.tests, start=1):
        if _mine(plan, span, one.station_m):
            column = int(np.argmin(np.abs(ground.bays.middles_m - one.station_m)))
            middle = float(ground.middle[ground.bays.strips.index(one.strip), column])
            found.append(Asked(f"test {number}", one.station_m, one.strip, middle))
    return found


def _mine(plan: Plan, span: Span, station: float) -> bool:
    """Whether a station belongs to a row: to the one before where it lies between two."""
    first = plan.street.stationing.first
    return span.holds(station) and (station > span.start + 1e-6 or span.start < first + 1e-6)


def painted_edges(plan: Plan, strip: int, span: Span) -> list[float]:
    """Stations inside a row where another instruction begins on a strip."""
    starts = {piece.start_m for zone in plan.zones for piece in zone.pieces if piece.strip == strip}
    return sorted(start for start in starts if span.start + 1e-6 < start < span.end - 1e-6)


def ground_in_words(plan: Plan, spans: Sequence[Span], strips: Sequence[int]) -> str:
    """The ground of some rows in words, for whoever cannot see it."""
    street = plan.street
    said = [
        f"Ground of {street.name}, {street.place(spans[0].start, spans[-1].end)}; strip 1 is the leftmost looking up-station."
    ]
    for span in spans:
        for one in alike(plan, span):
            parts = [(strip, part) for strip, part in one.parts if strip in strips]
            said += [
                f"Strip {strip}, {street.place(part.start, part.end)}: about {one.word}{'' if one.read else ', not read'}."
                for strip, part in parts
            ]
        for strip in strips:
            said += [
                f"Strip {strip}, trench at {street.place(trench.span.start, trench.span.end)}: CBR about {trench.softest.middle:.2g}."
                for trench in trenches_of(plan, strip, span)
            ]
            said += [
                f"Strip {strip}, {street.place(one.span.start, one.span.end)}: {one.odds} hide soft ground under a skin."
                for one in hidden_of(plan, strip, span)
            ]
        said += [
            f"Test {one.said}, at {street.painted(one.station)}, strip {one.strip}."
            for one in done_tests(plan, span)
            if one.strip in strips
        ]
        said += [
            f"Asked for: {one.name} at {street.painted(one.station)}, strip {one.strip}."
            for one in asked_tests(plan, span)
            if one.strip in strips
        ]
    return " ".join(said)
