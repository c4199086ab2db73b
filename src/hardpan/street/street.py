"""The typed street: everything that is known of one job, resolved to stations and strips."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import Literal

from hardpan.street.figure import Figure, Notice
from hardpan.street.model import StreetFile
from hardpan.street.places import Stationing, Strip, say_strips
from hardpan.street.rows import LabRow, PenetrometerRow
from hardpan.street.units import factor
from hardpan.street.words import DepthState, WaterWord, Word

SoilWordState = Literal["firm", "soft"]


@dataclass(frozen=True, slots=True)
class Reading:
    """What a stretch did under the slow drive; stations in metres."""

    start: float
    end: float
    strips: tuple[int, ...]
    word: Word
    rut: Figure | None
    bounces: bool
    vehicle: str
    driven_at: dt.datetime | None
    note: str
    row: int


@dataclass(frozen=True, slots=True)
class Instruction:
    """A rate instruction, in force where no later one is; ``elsewhere`` covers what no other does.

    Nobody has said a ``proposed`` one; ``dig_out`` ground is dug out and replaced, not treated.
    """

    zone: str
    elsewhere: bool
    start: float
    end: float
    strips: tuple[int, ...]
    rate: Figure
    depth: Figure | None
    depth_state: DepthState | None
    low: Figure | None
    water: WaterWord | Figure | None
    soil: SoilWordState | None
    said_by: str
    heard_by: str
    said_at: dt.datetime | None
    where: str
    note: str
    row: int
    proposed: bool = False
    dig_out: bool = False


@dataclass(frozen=True, slots=True)
class Structure:
    """A structure or service; stations in metres, ``end`` equal to ``start`` for a point."""

    id: str
    kind: str
    start: float
    end: float
    side: str
    side_offset: float | None
    strips: tuple[int, ...]
    top_depth: Figure | None
    clearance: Figure | None
    exposed: bool
    method: str


@dataclass(frozen=True, slots=True)
class SurveyedLevel:
    """A surveyed point."""

    station: float
    side_offset: float
    level: Figure
    kind: str
    name: str


@dataclass(frozen=True, slots=True)
class PenetrometerReading:
    """One row of a penetrometer test, placed."""

    test: str
    station: float
    row: PenetrometerRow


@dataclass(frozen=True, slots=True)
class BearingTest:
    """A laboratory bearing ratio of the ground as it lies, placed."""

    test: str
    station: float
    strips: tuple[int, ...]
    cbr: Figure


@dataclass(frozen=True, slots=True)
class Street:
    """A street as read from its folder: the file's tables, and every place resolved."""

    file: StreetFile
    stationing: Stationing
    strips: tuple[Strip, ...]
    crossfall_stations: tuple[float, ...]
    level_points: tuple[tuple[float, float, float], ...]
    readings: tuple[Reading, ...] = ()
    instructions: tuple[Instruction, ...] = ()
    structures: tuple[Structure, ...] = ()
    levels: tuple[SurveyedLevel, ...] = ()
    lab: tuple[LabRow, ...] = ()
    bearing: tuple[BearingTest, ...] = ()
    penetrometer: tuple[PenetrometerReading, ...] = ()
    notices: tuple[Notice, ...] = ()

    @property
    def name(self) -> str:
        """Name of the street."""
        return self.file.name

    @property
    def width(self) -> float:
        """Treated width in metres."""
        return self.file.line.width.value

    def place(self, start: float, end: float, strips: tuple[int, ...] = ()) -> str:
        """Stretch in words: ``0+060 to 0+160, strips 3 and 4``."""
        stretch = f"{self.stationing.show(start)} to {self.stationing.show(end)}"
        return f"{stretch}, {say_strips(strips, len(self.strips))}" if strips else stretch

    def painted(self, station: float) -> str:
        """Place in words, to the whole metre or foot that a crew paints: ``5 m before no. 19 (0+131)``."""
        unit = factor(self.stationing.unit, "m")
        return self.stationing.place(round(station / unit) * unit)
