"""The rows of the CSV tables of a folder, one class a table, as they stand in the file."""

from __future__ import annotations

import datetime as dt
from typing import Annotated, Literal

from pydantic import BeforeValidator, Field, WithJsonSchema, model_validator

from hardpan.street.figure import Figure
from hardpan.street.given import Table, figure, wrong
from hardpan.street.words import DepthState, Word

Side = Literal["left", "right", "centre", "full"]
_YES = {"yes": True, "y": True, "true": True, "1": True, "x": True, "no": False, "n": False, "false": False, "0": False}


def _yes(value: object) -> object:
    """Yes or no as people write it."""
    if isinstance(value, str):
        if value.strip().lower() not in _YES:
            raise wrong(f"'{value}'", "yes or no", "Write yes, no or nothing.")
        return _YES[value.strip().lower()]
    return value


def _moment(value: object) -> object:
    """Date and time as people write it: 2026-06-03 16:40."""
    if isinstance(value, str):
        try:
            return dt.datetime.fromisoformat(value.strip())
        except ValueError as error:
            raise wrong(
                f"'{value}'", "a date and time like 2026-06-03 16:40", "Write year-month-day, a space, hours:minutes."
            ) from error
    return value


def _lower(value: object) -> object:
    """Words in lower case."""
    return value.strip().lower() if isinstance(value, str) else value


Yes = Annotated[bool, BeforeValidator(_yes), WithJsonSchema({"enum": ["yes", "no", ""]})]
Moment = Annotated[dt.datetime, BeforeValidator(_moment), WithJsonSchema({"type": "string", "format": "date-time"})]
LowerWord = Annotated[Word, BeforeValidator(_lower)]
LowerSide = Annotated[Side, BeforeValidator(_lower)]
LowerState = Annotated[DepthState, BeforeValidator(_lower)]


class LandmarkRow(Table):
    """A fixed thing that everybody sees."""

    name: str = Field(min_length=1, max_length=60)
    station: str = Field(min_length=1)
    side: LowerSide = "centre"


class ReadingRow(Table):
    """What one stretch did under the slowly driven machine."""

    from_: str = Field(alias="from", min_length=1)
    to: str = Field(min_length=1)
    strips: str = "all"
    word: LowerWord | None = None
    rut: Figure | None = figure("m", 0, 1, "rut left by the wheel", optional=True)
    bounces: Yes = False
    vehicle: str = ""
    driven_at: Moment | None = None
    note: str = ""

    @model_validator(mode="after")
    def _says_something(self) -> ReadingRow:
        """A reading without a word or millimetres tells nothing."""
        if self.word is None and self.rut is None:
            raise wrong(
                "neither a word nor a rut", "nothing, shows, ruts, sinks, or a rut in mm", "Say what the ground did."
            )
        return self


class InstructionRow(Table):
    """A rate instruction: who fixed which rate and depth for which place."""

    zone: str = Field("", max_length=40)
    from_: str = Field(alias="from", min_length=1, description="station, landmark, or elsewhere")
    to: str = ""
    strips: str = "all"
    rate: Figure = figure("kg/m2", 0, 120, "cement")
    depth: Figure | None = figure("m", 0.05, 1, "mixing depth", optional=True)
    depth_state: LowerState | None = None
    low: Figure | None = figure("m", -0.2, 0.3, "how low to shape the ground, below design", optional=True)
    water: Literal["full", "half", "off", "target"] | Figure | None = figure(
        "L/m2", 0, 100, "the crew's setting or litres", optional=True, words=("full", "half", "off", "target")
    )
    soil: Literal["firm", "soft"] | None = Field(None, description="which state of the soil counts here")
    said_by: str = ""
    heard_by: str = ""
    said_at: Moment | None = None
    where: str = ""
    note: str = ""


class StructureRow(Table):
    """A manhole, valve, service, trench or rod that the machines must know of."""

    id: str = Field(min_length=1, max_length=40)
    kind: Literal[
        "manhole", "valve", "catch basin", "gas", "water", "power", "telecom", "sewer", "trench", "ground rod", "other"
    ]
    from_: str = Field(alias="from", min_length=1)
    to: str = ""
    side: LowerSide = "full"
    side_offset: Figure | None = figure("m", -40, 40, "metres right of the centreline, left negative", optional=True)
    strips: str = ""
    top_depth: Figure | None = figure("m", 0, 10, "depth to its top below pre-grade", optional=True)
    clearance: Figure | None = figure("m", 0, 5, "hand work round it", optional=True)
    exposed: Yes = False
    method: str = ""


class LevelRow(Table):
    """A surveyed point."""

    station: str = Field(min_length=1)
    side_offset: Figure | None = figure("m", -60, 60, "metres right of the centreline, left negative", optional=True)
    level: Figure = figure("m", -1000, 10_000)
    kind: Literal["hub", "lip", "ground", "string"] = "ground"
    name: str = ""


class LabRow(Table):
    """A laboratory point: moisture and density, or strength."""

    test: str = Field(min_length=1, description="name of the test; points of one moisture-density curve share it")
    soil: Literal["firm", "soft"] = "firm"
    treated: Yes = False
    cement_content: Figure | None = figure("1", 0, 0.3, "cement over dry soil", optional=True)
    water_content: Figure | None = figure("1", 0, 1.5, optional=True)
    dry_density: Figure | None = figure("kg/m3", 700, 2_600, optional=True)
    strength: Figure | None = figure("kPa", 0, 50_000, "unconfined compressive strength", optional=True)
    age_days: Figure | None = figure("d", 0, 400, optional=True)
    note: str = ""


class PenetrometerRow(Table):
    """One reading of a dynamic cone penetrometer: blows since the last row, depth reached."""

    test: str = Field(min_length=1)
    station: str = Field(min_length=1)
    strip: int = Field(ge=1, le=30)
    blows: int = Field(ge=0, le=500)
    depth: Figure = figure("m", 0, 3)
    note: str = ""


TABLES: dict[str, type[Table]] = {
    "landmarks.csv": LandmarkRow,
    "readings.csv": ReadingRow,
    "instructions.csv": InstructionRow,
    "structures.csv": StructureRow,
    "levels.csv": LevelRow,
    "lab.csv": LabRow,
    "penetrometer.csv": PenetrometerRow,
}
