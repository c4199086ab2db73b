"""Read a street folder: every problem at once, or a typed street."""

from __future__ import annotations

import math
import tomllib
from itertools import pairwise
from pathlib import Path
from typing import TypeVar

from pydantic import ValidationError

from hardpan.errors import Problem, StreetError
from hardpan.street.figure import Notice
from hardpan.street.given import Table
from hardpan.street.model import StreetFile
from hardpan.street.places import Landmark, PlaceError, Stationing, Strip, equal_strips, read_strips, station_of
from hardpan.street.rows import (
    TABLES,
    InstructionRow,
    LabRow,
    LandmarkRow,
    LevelRow,
    PenetrometerRow,
    ReadingRow,
    StructureRow,
)
from hardpan.street.street import Instruction, PenetrometerReading, Reading, Street, Structure, SurveyedLevel
from hardpan.street.tables import Problems, read_rows, read_text
from hardpan.street.units import UnitError
from hardpan.street.words import word_for

Row = TypeVar("Row", bound=Table)


def read_street(path: str | Path) -> Street:
    """Typed street of a folder.

    Parameters
    ----------
    path
        Folder that holds ``street.toml`` and the CSV tables beside it.

    Raises
    ------
    StreetError
        When anything in the folder cannot be read; ``.problems`` lists every problem at once.

    Examples
    --------
    >>> import hardpan
    >>> street = hardpan.read_street(hardpan.example("teal-crescent"))
    >>> street.name, len(street.strips)
    ('Teal Crescent', 4)
    """
    folder = Path(path)
    problems = Problems()
    file = _read_file(folder, problems)
    rows = {name: read_rows(folder / name, kind, problems) for name, kind in TABLES.items()}
    if file is None:
        raise StreetError(problems.found)
    street = _Resolver(file, problems).street(rows)
    if problems.found:
        raise StreetError(problems.found)
    return street


def _read_file(folder: Path, problems: Problems) -> StreetFile | None:
    """``street.toml``, or None with its problems noted."""
    path = folder / "street.toml"
    if not path.is_file():
        found = "no such folder" if not folder.is_dir() else "no such file"
        do = f"Write one with: hardpan new {folder.name or 'FOLDER'}"
        problems.add("street.toml", None, "", found=found, allowed="a folder that holds street.toml", do=do)
        return None
    try:
        table = tomllib.loads(read_text(path).replace("\r\n", "\n"))
    except tomllib.TOMLDecodeError as error:
        do = "Mend that line; text stands in quotes, a decimal sign is a dot."
        problems.add(
            "street.toml",
            None,
            "",
            found=f"a line that is not TOML ({error})",
            allowed="key = value lines under [table] heads",
            do=do,
        )
        return None
    try:
        return StreetFile.model_validate(table, context={"file": "street.toml"})
    except ValidationError as error:
        problems.add_validation("street.toml", None, error, StreetFile)
        return None


class _Resolver:
    """Turns rows with places in words into records with stations and strips, noting what does not resolve."""

    def __init__(self, file: StreetFile, problems: Problems) -> None:
        self.file = file
        self.problems = problems
        line = file.line
        self.stationing = Stationing(line.station_style, line.first_station, line.length.value)
        self.strips = self._strips()

    def _strips(self) -> tuple[Strip, ...]:
        """Spreader strips: as many as stated, or as the pan width needs."""
        width, pan = self.file.line.width.value, self.file.spreader.pan.value
        count = self.file.line.strips or max(1, math.ceil(round(width / pan, 6)))
        if count > 30:
            found, allowed = f"{count} strips of {pan:g} m", "30 strips at most"
            self.problems.add(
                "street.toml",
                None,
                "spreader.pan",
                found=found,
                allowed=allowed,
                do="Check the width and the pan width.",
            )
            count = 1
        return equal_strips(width, count)

    def street(self, rows: dict[str, list[tuple[int, Table]]]) -> Street:
        """The whole street."""
        self._landmarks(_rows(rows, "landmarks.csv", LandmarkRow))
        return Street(
            file=self.file,
            stationing=self.stationing,
            strips=self.strips,
            crossfall_stations=self._crossfall_stations(),
            level_points=self._level_points(),
            readings=self._readings(_rows(rows, "readings.csv", ReadingRow)),
            instructions=self._instructions(_rows(rows, "instructions.csv", InstructionRow)),
            structures=self._structures(_rows(rows, "structures.csv", StructureRow)),
            levels=self._levels(_rows(rows, "levels.csv", LevelRow)),
            lab=tuple(row for _, row in _rows(rows, "lab.csv", LabRow)),
            penetrometer=self._penetrometer(_rows(rows, "penetrometer.csv", PenetrometerRow)),
            notices=self._notices(),
        )

    def _place(self, text: str, at: tuple[str, int | None, str], *, inside: bool = True) -> float:
        """Station of a place in words; 0 with a problem noted when there is no such place."""
        try:
            return self.stationing.read(text, inside=inside)
        except (PlaceError, UnitError) as error:
            allowed = error.allowed if isinstance(error, PlaceError) else "a station or a landmark"
            do = error.do if isinstance(error, PlaceError) else f"{str(error)[0].upper()}{str(error)[1:]}."
            self.problems.add(*at, found=f"'{text}'", allowed=allowed, do=do)
            return self.stationing.first

    def _stretch(self, start: str, end: str, at: tuple[str, int]) -> tuple[float, float]:
        """Stations of both ends; the second must lie up-station of the first."""
        before = len(self.problems.found)
        first, last = self._place(start, (*at, "from")), self._place(end, (*at, "to"))
        if len(self.problems.found) == before and last <= first:
            do = "Write the lower station first; a stretch has a length."
            self.problems.add(*at, "to", found=f"'{start}' to '{end}'", allowed="from below to", do=do)
        return first, last

    def _which_strips(self, text: str, at: tuple[str, int]) -> tuple[int, ...]:
        """Strip numbers; all with a problem noted when there are no such strips."""
        try:
            return read_strips(text, self.strips)
        except PlaceError as error:
            self.problems.add(*at, "strips", found=f"'{text}'", allowed=error.allowed, do=error.do)
            return tuple(strip.number for strip in self.strips)

    def _landmarks(self, rows: list[tuple[int, LandmarkRow]]) -> None:
        """Landmarks, in order of station; later places may name them."""
        marks: list[Landmark] = []
        for number, row in rows:
            if row.name.lower() in [mark.name.lower() for mark in marks]:
                do = "Number the things that look alike, as in pole 1, pole 2."
                self.problems.add(
                    "landmarks.csv", number, "name", found=f"'{row.name}' twice", allowed="each name once", do=do
                )
            marks.append(
                Landmark(
                    row.name, self._place(row.station, ("landmarks.csv", number, "station"), inside=False), row.side
                )
            )
        line = self.file.line
        ordered = tuple(sorted(marks, key=lambda mark: mark.station))
        self.stationing = Stationing(line.station_style, line.first_station, line.length.value, ordered)

    def _key_station(self, value: str | float, path: str) -> float:
        """Station of a key of street.toml."""
        if isinstance(value, str):
            return self._place(value, ("street.toml", None, path), inside=False)
        return station_of(value, self.stationing)

    def _crossfall_stations(self) -> tuple[float, ...]:
        """Stations of the crossfall table, rising."""
        stations = [
            self._key_station(fall.station, f"section.transition.{i}.station")
            for i, fall in enumerate(self.file.section.transition)
        ]
        self._must_rise(stations, "section.transition")
        return tuple(stations)

    def _level_points(self) -> tuple[tuple[float, float, float], ...]:
        """Points of vertical intersection: station, level, curve length."""
        level = self.file.level
        points = tuple(
            (self._key_station(point.station, f"level.point.{i}.station"), point.level, point.curve_length)
            for i, point in enumerate(level.point)
        )
        self._must_rise([point[0] for point in points], "level.point")
        if points and (len(points) < 2 or points[0][0] > self.stationing.first or points[-1][0] < self.stationing.last):
            allowed = "at least two points, from the start to the end of the street"
            self.problems.add(
                "street.toml",
                None,
                "level.point",
                found=f"{len(points)} points",
                allowed=allowed,
                do="Add the points that are missing.",
            )
        if points and level.down_at_edge is not None:
            do = "Keep the surveyed points or the height below the lip, not both."
            self.problems.add(
                "street.toml", None, "level", found="both point and down_at_edge", allowed="one of the two", do=do
            )
        return points

    def _must_rise(self, stations: list[float], path: str) -> None:
        """Note stations that do not rise."""
        if any(b <= a for a, b in pairwise(stations)):
            self.problems.add(
                "street.toml",
                None,
                path,
                found="stations that do not rise",
                allowed="each beyond the one before",
                do="Put them in order.",
            )

    def _readings(self, rows: list[tuple[int, ReadingRow]]) -> tuple[Reading, ...]:
        """Readings of the slow drive, placed."""
        placed = []
        for number, row in rows:
            at = ("readings.csv", number)
            start, end = self._stretch(row.from_, row.to, at)
            word = row.word or word_for(row.rut.value if row.rut else 0.0)
            strips = self._which_strips(row.strips, at)
            placed.append(
                Reading(start, end, strips, word, row.rut, row.bounces, row.vehicle, row.driven_at, row.note, number)
            )
        return tuple(placed)

    def _instructions(self, rows: list[tuple[int, InstructionRow]]) -> tuple[Instruction, ...]:
        """Rate instructions, placed."""
        placed = []
        for number, row in rows:
            at = ("instructions.csv", number)
            elsewhere = row.from_.lower() == "elsewhere"
            if elsewhere:
                start, end = self.stationing.first, self.stationing.last
            elif not row.to:
                self.problems.add(
                    *at, "to", found="nothing", allowed="a station or a landmark", do="Say where the stretch ends."
                )
                continue
            else:
                start, end = self._stretch(row.from_, row.to, at)
            zone = row.zone or (
                f"{row.rate.value:g} kg/m2 " + ("elsewhere" if elsewhere else self.stationing.show(start))
            )
            placed.append(
                Instruction(
                    zone=zone,
                    elsewhere=elsewhere,
                    start=start,
                    end=end,
                    strips=self._which_strips(row.strips, at),
                    rate=row.rate,
                    depth=row.depth,
                    depth_state=row.depth_state,
                    low=row.low,
                    water=row.water,
                    soil=row.soil,
                    said_by=row.said_by,
                    heard_by=row.heard_by,
                    said_at=row.said_at,
                    where=row.where,
                    note=row.note,
                    row=number,
                )
            )
        self._no_contradiction(placed)
        return tuple(placed)

    def _no_contradiction(self, placed: list[Instruction]) -> None:
        """Note instructions that overlap and of which neither is the later one."""
        for i, one in enumerate(placed):
            for two in placed[:i]:
                if one.elsewhere != two.elsewhere or not (set(one.strips) & set(two.strips)):
                    continue
                if min(one.end, two.end) - max(one.start, two.start) <= 1e-6:
                    continue
                if None not in (one.said_at, two.said_at) and one.said_at != two.said_at:
                    continue
                place = (
                    "elsewhere"
                    if one.elsewhere
                    else f"{self.stationing.show(max(one.start, two.start))} to {self.stationing.show(min(one.end, two.end))}"
                )
                do = "Give each its said_at: the later one counts; or correct the stations."
                found = f"two instructions for {place}, this one and row {two.row}"
                self.problems.add(
                    "instructions.csv",
                    one.row,
                    "from",
                    found=found,
                    allowed="one instruction in force at each place",
                    do=do,
                )

    def _structures(self, rows: list[tuple[int, StructureRow]]) -> tuple[Structure, ...]:
        """Structures and services, placed."""
        placed = []
        for number, row in rows:
            at = ("structures.csv", number)
            start = self._place(row.from_, (*at, "from"))
            end = self._place(row.to, (*at, "to")) if row.to else start
            side_offset = row.side_offset.value if row.side_offset else None
            strips = self._which_strips(row.strips or (row.side if row.side in ("left", "right") else "all"), at)
            placed.append(
                Structure(
                    row.id,
                    row.kind,
                    start,
                    end,
                    row.side,
                    side_offset,
                    strips,
                    row.top_depth,
                    row.clearance,
                    row.exposed,
                    row.method,
                )
            )
        return tuple(sorted(placed, key=lambda structure: structure.start))

    def _levels(self, rows: list[tuple[int, LevelRow]]) -> tuple[SurveyedLevel, ...]:
        """Surveyed points, placed."""
        return tuple(
            SurveyedLevel(
                station=self._place(row.station, ("levels.csv", number, "station"), inside=False),
                side_offset=row.side_offset.value if row.side_offset else 0.0,
                level=row.level,
                kind=row.kind,
                name=row.name,
            )
            for number, row in rows
        )

    def _penetrometer(self, rows: list[tuple[int, PenetrometerRow]]) -> tuple[PenetrometerReading, ...]:
        """Penetrometer rows, placed; depth must not fall inside a test."""
        placed: list[PenetrometerReading] = []
        for number, row in rows:
            if row.strip > len(self.strips):
                self.problems.add(
                    "penetrometer.csv",
                    number,
                    "strip",
                    found=f"{row.strip}",
                    allowed=f"1 to {len(self.strips)}",
                    do="Correct the strip number.",
                )
            earlier = [reading.row.depth.value for reading in placed if reading.test == row.test]
            if earlier and row.depth.value < earlier[-1]:
                do = "Depth is counted from the surface and never falls; a new test needs a new name."
                self.problems.add(
                    "penetrometer.csv",
                    number,
                    "depth",
                    found=f"{row.depth.value:g} m after {earlier[-1]:g} m",
                    allowed="a depth not above the one before",
                    do=do,
                )
            placed.append(
                PenetrometerReading(row.test, self._place(row.station, ("penetrometer.csv", number, "station")), row)
            )
        return tuple(placed)

    def _notices(self) -> tuple[Notice, ...]:
        """What the folder itself gives cause to say."""
        notices = []
        pan, strip = self.file.spreader.pan.value, self.strips[0].width
        if pan > strip + 1e-6:
            message = f"the pan is {pan:g} m and a strip {strip:.2f} m: close the pan down to the strip, or the laps are dosed twice"
            notices.append(Notice("range", message, value=f"{pan:g} m", limit=f"{strip:.2f} m"))
        for limit_name, limit in self.file.limits:
            for one in limit if isinstance(limit, tuple) else (limit,):
                if one is not None and not one.owner:
                    notices.append(
                        Notice("limit", f"limit {limit_name.replace('_', ' ')}: owner not said", place=one.source)
                    )
        return tuple(notices)


def _rows(rows: dict[str, list[tuple[int, Table]]], name: str, kind: type[Row]) -> list[tuple[int, Row]]:
    """Rows of one table, with their type."""
    return [(number, row) for number, row in rows[name] if isinstance(row, kind)]


__all__ = ["Problem", "read_street"]
