"""Rows with places in words, turned into records with stations and strips; what does not resolve is noted."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import combinations
from typing import TypeVar

from hardpan.street.given import Table, quoted
from hardpan.street.model import Line
from hardpan.street.places import (
    Landmark,
    PlaceError,
    Stationing,
    Strip,
    UnknownLandmark,
    plain_name,
    read_strips,
    touched_strips,
)
from hardpan.street.problems import Problems
from hardpan.street.rows import InstructionRow, LabRow, LandmarkRow, LevelRow, PenetrometerRow, ReadingRow, StructureRow
from hardpan.street.street import BearingTest, Instruction, PenetrometerReading, Reading, Structure, SurveyedLevel
from hardpan.street.words import word_for

Row = TypeVar("Row", bound=Table)
Numbered = list[tuple[int, Row]]


class Resolver:
    """Finds the places that the rows of one street name.

    Attributes
    ----------
    stationing
        How stations are counted, with the landmarks of the street.
    strips
        Spreader strips, left to right.
    """

    def __init__(
        self, line: Line, strips: tuple[Strip, ...], landmarks: Numbered[LandmarkRow], problems: Problems
    ) -> None:
        self.strips = strips
        self.problems = problems
        self.stationing = Stationing(line.station_style, line.first_station, line.length.value)
        marks = sorted(self._landmarks(landmarks), key=lambda mark: mark.station)
        self.stationing = Stationing(line.station_style, line.first_station, line.length.value, tuple(marks))

    def _landmarks(self, rows: Numbered[LandmarkRow]) -> list[Landmark]:
        """Landmarks that a place can name without doubt."""
        marks: list[Landmark] = []
        for number, row in rows:
            at = ("landmarks.csv", number, "name")
            if self.stationing.reads_alone(row.name):
                do = f"Write what it is too, such as 'no. {row.name}'." if row.name.isdigit() else "Name it otherwise."
                allowed = "a name that is not a place by itself"
                self.problems.add(*at, found=quoted(row.name), allowed=allowed, do=do)
            if plain_name(row.name) in [plain_name(mark.name) for mark in marks]:
                do = "Number the things that look alike, as in pole 1, pole 2."
                self.problems.add(*at, found=f"{quoted(row.name)} twice", allowed="each name once", do=do)
            station = self.place(row.station, ("landmarks.csv", number, "station"), inside=False)
            marks.append(Landmark(row.name, station, row.side))
        return marks

    def place(self, text: str, at: tuple[str, int | None, str], *, inside: bool = True) -> float:
        """Station of a place in words; the start, with a problem noted, when there is no such place."""
        try:
            return self.stationing.read(text, inside=inside)
        except PlaceError as error:
            lost = isinstance(error, UnknownLandmark) and at[0] != "landmarks.csv" and self.problems.of("landmarks.csv")
            do = "Mend landmarks.csv first: it has problems of its own." if lost else error.do
            self.problems.add(*at, found=quoted(text), allowed=error.allowed, do=do)
            return self.stationing.first

    def _stretch(self, start: str, end: str, at: tuple[str, int], *, point: bool = False) -> tuple[float, float]:
        """Stations of both ends, the second up-station of the first; ``point`` allows both at one place."""
        before = len(self.problems.found)
        first, last = self.place(start, (*at, "from")), self.place(end, (*at, "to"))
        if len(self.problems.found) == before and (last < first or (last == first and not point)):
            do = "Write the lower station first; a stretch has a length."
            self.problems.add(*at, "to", found=f"{quoted(start)} to {quoted(end)}", allowed="from below to", do=do)
        return first, last

    def _which_strips(self, text: str, at: tuple[str, int]) -> tuple[int, ...]:
        """Strip numbers; all with a problem noted when there are no such strips."""
        try:
            return read_strips(text, self.strips)
        except PlaceError as error:
            self.problems.add(*at, "strips", found=quoted(text), allowed=error.allowed, do=error.do)
            return tuple(strip.number for strip in self.strips)

    def readings(self, rows: Numbered[ReadingRow]) -> tuple[Reading, ...]:
        """Readings of the slow drive, placed."""
        return tuple(self._reading(number, row) for number, row in rows)

    def _reading(self, number: int, row: ReadingRow) -> Reading:
        """One reading; a rut without a word gives the word."""
        at = ("readings.csv", number)
        start, end = self._stretch(row.from_, row.to, at)
        word = row.word or word_for(row.rut.value if row.rut else 0.0)
        return Reading(
            start=start,
            end=end,
            strips=self._which_strips(row.strips, at),
            word=word,
            rut=row.rut,
            bounces=row.bounces,
            vehicle=row.vehicle,
            driven_at=row.driven_at,
            note=row.note,
            row=number,
        )

    def instructions(self, rows: Numbered[InstructionRow]) -> tuple[Instruction, ...]:
        """Rate instructions, placed; no two contradict."""
        placed, sure = [], []
        for number, row in rows:
            before = len(self.problems.found)
            placed.append(self._instruction(number, row))
            if len(self.problems.found) == before:
                sure.append(placed[-1])
        self._no_contradiction(sure)
        return tuple(placed)

    def _instruction(self, number: int, row: InstructionRow) -> Instruction:
        """One rate instruction."""
        elsewhere = row.from_.lower() == "elsewhere"
        start, end = self._instructed_stretch(row, ("instructions.csv", number), elsewhere=elsewhere)
        place = "elsewhere" if elsewhere else self.stationing.show(start)
        return Instruction(
            zone=row.zone or f"{row.rate.value:.3g} kg/m2 {place}",
            elsewhere=elsewhere,
            start=start,
            end=end,
            strips=self._which_strips(row.strips, ("instructions.csv", number)),
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

    def _instructed_stretch(self, row: InstructionRow, at: tuple[str, int], *, elsewhere: bool) -> tuple[float, float]:
        """Stations of an instruction; the whole street for elsewhere."""
        if not elsewhere and row.to:
            return self._stretch(row.from_, row.to, at)
        if elsewhere and row.to:
            do = "Elsewhere covers what no other instruction does: leave 'to' empty, or write where the stretch starts."
            self.problems.add(*at, "to", found=quoted(row.to), allowed="nothing beside elsewhere", do=do)
        if not elsewhere:
            self.place(row.from_, (*at, "from"))
            do = "Say where the stretch ends."
            self.problems.add(*at, "to", found="nothing", allowed="a station or a landmark", do=do)
        return self.stationing.first, self.stationing.last

    def _no_contradiction(self, placed: Iterable[Instruction]) -> None:
        """Note instructions that overlap and of which neither is the later one."""
        for one, two in combinations(placed, 2):
            start, end = max(one.start, two.start), min(one.end, two.end)
            apart = one.elsewhere != two.elsewhere or not set(one.strips) & set(two.strips) or end - start <= 1e-6
            dated = None not in (one.said_at, two.said_at) and one.said_at != two.said_at
            if apart or dated:
                continue
            place = "elsewhere" if one.elsewhere else f"{self.stationing.show(start)} to {self.stationing.show(end)}"
            found = f"two instructions for {place}, this one and row {one.row}"
            do = "Give each its said_at, so that the later one counts; or correct the stations."
            allowed = "one instruction in force at each place"
            self.problems.add("instructions.csv", two.row, "from", found=found, allowed=allowed, do=do)

    def structures(self, rows: Numbered[StructureRow]) -> tuple[Structure, ...]:
        """Structures and services, placed, in order of station; each once."""
        first_row: dict[str, int] = {}
        for number, row in rows:
            if first_row.setdefault(row.id.lower(), number) != number:
                found = f"{quoted(row.id)} twice, here and in row {first_row[row.id.lower()]}"
                do = "Give each structure a name of its own."
                self.problems.add("structures.csv", number, "id", found=found, allowed="each name once", do=do)
        placed = [self._structure(number, row) for number, row in rows]
        return tuple(sorted(placed, key=lambda structure: structure.start))

    def _structure(self, number: int, row: StructureRow) -> Structure:
        """One structure; the strips are those of its side where none are said."""
        at = ("structures.csv", number)
        start = end = self.place(row.from_, (*at, "from")) if not row.to else 0.0
        if row.to:
            start, end = self._stretch(row.from_, row.to, at, point=True)
        return Structure(
            id=row.id,
            kind=row.kind,
            start=start,
            end=end,
            side=row.side,
            side_offset=row.side_offset.value if row.side_offset else None,
            strips=self._which_strips(row.strips, at) if row.strips else touched_strips(row.side, self.strips),
            top_depth=row.top_depth,
            clearance=row.clearance,
            exposed=row.exposed,
            method=row.method,
        )

    def levels(self, rows: Numbered[LevelRow]) -> tuple[SurveyedLevel, ...]:
        """Surveyed points, placed; on the street or beyond its ends."""
        return tuple(
            SurveyedLevel(
                station=self.place(row.station, ("levels.csv", number, "station"), inside=False),
                side_offset=row.side_offset.value if row.side_offset else 0.0,
                level=row.level,
                kind=row.kind,
                name=row.name,
            )
            for number, row in rows
        )

    def bearing(self, rows: Numbered[LabRow]) -> tuple[BearingTest, ...]:
        """Laboratory bearing ratios of untreated ground, placed; one without a station is a problem."""
        placed = []
        for number, row in rows:
            at = ("lab.csv", number)
            if row.cbr is None:
                continue
            if row.treated:
                do = "Remove the bearing ratio, or write no under treated where the sample holds no cement."
                self.problems.add(
                    *at, "cbr", found="a bearing ratio of treated soil", allowed="that of the ground as it lies", do=do
                )
            if not row.station:
                do = "Write where the sample was taken."
                self.problems.add(*at, "station", found="nothing", allowed="the station of the sample", do=do)
                continue
            station = self.place(row.station, (*at, "station"))
            placed.append(BearingTest(row.test, station, self._which_strips(row.strips, at), row.cbr))
        return tuple(placed)

    def penetrometer(self, rows: Numbered[PenetrometerRow]) -> tuple[PenetrometerReading, ...]:
        """Penetrometer rows, placed; a test stays in one place and its depth never falls."""
        last: dict[str, PenetrometerReading] = {}
        placed = []
        for number, row in rows:
            at = ("penetrometer.csv", number)
            station = self.place(row.station, (*at, "station"))
            if row.strip > len(self.strips):
                allowed, do = (
                    f"1 to {len(self.strips)}",
                    "Correct the strip number; strip 1 is the leftmost looking up-station.",
                )
                self.problems.add(*at, "strip", found=f"'{row.strip}'", allowed=allowed, do=do)
            if row.test in last:
                self._goes_on(last[row.test], PenetrometerReading(row.test, station, row), at)
            last[row.test] = PenetrometerReading(row.test, station, row)
            placed.append(last[row.test])
        return tuple(placed)

    def _goes_on(self, before: PenetrometerReading, now: PenetrometerReading, at: tuple[str, int]) -> None:
        """Note a row that does not go on from the one before it in its test."""
        above, depth = before.row.depth.value, now.row.depth.value
        if depth < above:
            do = "Depth is counted from the surface and never falls; a new test needs a new name."
            found, allowed = f"{depth:g} m after {above:g} m", "a depth not above the one before"
            self.problems.add(*at, "depth", found=found, allowed=allowed, do=do)
        if (now.station, now.row.strip) != (before.station, before.row.strip):
            found = f"{quoted(now.row.station)}, strip {now.row.strip}, in a test begun elsewhere"
            do = "Give the second test a name of its own, or correct the place."
            self.problems.add(*at, "station", found=found, allowed="one place for one test", do=do)
