"""The rows of the CSV tables of a folder, one class a table, as they stand in the file."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import BeforeValidator, Field, WithJsonSchema, model_validator

from hardpan.street.figure import Figure
from hardpan.street.given import Moment, Table, figure, quoted, wrong
from hardpan.street.words import DepthState, WaterWord, Word

Side = Literal["left", "right", "centre", "full"]
_YES = {"yes": True, "y": True, "true": True, "1": True, "x": True, "no": False, "n": False, "false": False, "0": False}
_STRIPS = "strips: all, left, right, or numbers like 3, 3-4, 1 and 2; strip 1 is the leftmost looking up-station"


def _yes(value: object) -> object:
    """Yes or no as people write it."""
    if isinstance(value, str):
        if value.strip().lower() not in _YES:
            raise wrong(quoted(value), "yes or no", "Write yes, no or nothing.")
        return _YES[value.strip().lower()]
    return value


Yes = Annotated[bool, BeforeValidator(_yes), WithJsonSchema({"enum": ["yes", "no", ""]})]


class LandmarkRow(Table):
    """A fixed thing that everybody sees."""

    name: str = Field(min_length=1, max_length=60, description="what the crew calls it, such as pole 4 or no. 14")
    station: str = Field(min_length=1, description="where along the line it stands, such as 0+140")
    side: Side = Field("centre", description="side it stands on, looking up-station")


class ReadingRow(Table):
    """What one stretch did under the slowly driven machine."""

    from_: str = Field(alias="from", min_length=1, description="start of the stretch: station, landmark, start")
    to: str = Field(min_length=1, description="end of the stretch: station, landmark, end")
    strips: str = Field("all", description=_STRIPS)
    word: Word | None = Field(None, description="what the ground did, where no rut was measured")
    rut: Figure | None = figure("m", 0, 1, "rut left by the wheel", optional=True)
    bounces: Yes = Field(False, description="whether the ground springs back behind the wheel")
    vehicle: str = Field("", description="what was driven, such as grader, 18 t")
    driven_at: Moment | None = Field(None, description="when it was driven, local time")
    note: str = Field("", description="anything else seen")

    @model_validator(mode="after")
    def _says_something(self) -> ReadingRow:
        """A reading without a word or millimetres tells nothing."""
        if self.word is None and self.rut is None:
            allowed = "a word (nothing, shows, ruts, sinks) or a rut"
            raise wrong("neither a word nor a rut", allowed, "Say what the ground did.")
        return self


class InstructionRow(Table):
    """A rate instruction: who fixed which rate and depth for which place."""

    zone: str = Field("", max_length=40, description="name of the zone on the sheets")
    from_: str = Field(alias="from", min_length=1, description="start: station, landmark, start; or elsewhere")
    to: str = Field("", description="end: station, landmark, end; empty where from says elsewhere")
    strips: str = Field("all", description=_STRIPS)
    rate: Figure = figure("kg/m2", 0, 120, "cement on the ground")
    depth: Figure | None = figure("m", 0.05, 1, "mixing depth, in the state that depth_state names", optional=True)
    depth_state: DepthState | None = Field(None, description="ground that the depth counts in")
    low: Figure | None = figure("m", -0.2, 0.3, "how low to shape the ground, below design", optional=True)
    water: WaterWord | Figure | None = figure(
        "L/m2", 0, 100, "the crew's setting or litres", optional=True, words=("full", "half", "off", "target")
    )
    soil: Literal["firm", "soft"] | None = Field(None, description="which state of the soil counts here")
    said_by: str = Field("", description="who fixed it, by role")
    heard_by: str = Field("", description="who heard it, by role")
    said_at: Moment | None = Field(None, description="when it was said, local time; the later of two counts")
    where: str = Field("", description="where it was said, such as at the curb")
    note: str = Field("", description="anything else said")


class StructureRow(Table):
    """A manhole, valve, service, trench or rod that the machines must know of."""

    id: str = Field(min_length=1, max_length=40, description="its name on the sheets; each once")
    kind: Literal[
        "manhole", "valve", "catch basin", "gas", "water", "power", "telecom", "sewer", "trench", "ground rod", "other"
    ] = Field(description="what it is")
    from_: str = Field(alias="from", min_length=1, description="where it is, or where it starts")
    to: str = Field("", description="where it ends; empty for a point")
    side: Side = Field("full", description="side of the street it lies on, looking up-station; full crosses it")
    side_offset: Figure | None = figure("m", -40, 40, "metres right of the centreline, left negative", optional=True)
    strips: str = Field("", description=f"{_STRIPS}; not said: those of its side")
    top_depth: Figure | None = figure("m", 0, 10, "depth to its top below pre-grade", optional=True)
    clearance: Figure | None = figure("m", 0, 5, "hand work round it", optional=True)
    exposed: Yes = Field(False, description="whether it was dug up and seen")
    method: str = Field("", description="how the crew works at it, such as lowered and plated")


class LevelRow(Table):
    """A surveyed point."""

    station: str = Field(min_length=1, description="where along the line")
    side_offset: Figure | None = figure("m", -60, 60, "metres right of the centreline, left negative", optional=True)
    level: Figure = figure("m", -1000, 10_000, "surveyed level")
    kind: Literal["hub", "lip", "ground", "string"] = Field("ground", description="what was surveyed")
    name: str = Field("", description="name on the stake, such as H7")


class LabRow(Table):
    """A laboratory point: moisture and density, or strength."""

    test: str = Field(min_length=1, description="name of the test; points of one moisture-density curve share it")
    soil: Literal["firm", "soft"] = Field("firm", description="state of the soil the sample came from")
    treated: Yes = Field(False, description="whether cement was mixed in")
    cement_content: Figure | None = figure("1", 0, 0.3, "cement over dry soil", optional=True)
    water_content: Figure | None = figure("1", 0, 1.5, "water over dry solids", optional=True)
    dry_density: Figure | None = figure("kg/m3", 700, 2_600, "dry density of the point", optional=True)
    strength: Figure | None = figure("kPa", 0, 50_000, "unconfined compressive strength", optional=True)
    age_days: Figure | None = figure("d", 0, 400, "age at the test", optional=True)
    cbr: Figure | None = figure(
        "%", 0.2, 150, "California bearing ratio as the ground lies, soaked or not", optional=True
    )
    station: str = Field("", description="where a bearing ratio was sampled; a sample without a place tells of none")
    strips: str = Field("all", description=f"strips the bearing ratio stands for; {_STRIPS}")
    note: str = Field("", description="anything else on the slip")

    @model_validator(mode="after")
    def _says_something(self) -> LabRow:
        """A point without a result tells nothing."""
        if all(one is None for one in (self.water_content, self.dry_density, self.strength, self.cbr)):
            allowed = "a water_content, a dry_density, a strength or a cbr"
            raise wrong("no result", allowed, "Fill in what the slip says, or remove the row.")
        return self


class PenetrometerRow(Table):
    """One reading of a dynamic cone penetrometer: blows since the last row, depth reached."""

    test: str = Field(min_length=1, description="name of the test; its rows share it")
    station: str = Field(min_length=1, description="where along the line")
    strip: int = Field(ge=1, le=30, description="strip it was driven in; strip 1 is the leftmost looking up-station")
    blows: int = Field(ge=0, le=500, description="blows since the row before")
    depth: Figure = figure("m", 0, 3, "depth of the tip below the surface, after these blows")
    note: str = Field("", description="anything else seen")


TABLES: dict[str, type[Table]] = {
    "landmarks.csv": LandmarkRow,
    "readings.csv": ReadingRow,
    "instructions.csv": InstructionRow,
    "structures.csv": StructureRow,
    "levels.csv": LevelRow,
    "lab.csv": LabRow,
    "penetrometer.csv": PenetrometerRow,
}
