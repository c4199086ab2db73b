"""Payloads of the tests: what was found, by which method, against which reference."""

from __future__ import annotations

from typing import Annotated, ClassVar, Literal

from pydantic import Field, model_validator

from hardpan.laws.phases import dry_density
from hardpan.ledger.parts import (
    Celsius,
    Density,
    EntryId,
    Millimetres,
    Minutes,
    Payload,
    Percent,
    Said,
    Short,
    Stretch,
    Wind,
    Yes,
)
from hardpan.street.given import wrong
from hardpan.street.words import Word


class Squeeze(Payload):
    """A handful squeezed to judge the water."""

    words: ClassVar[str] = "squeeze"

    result: Literal["smears", "holds", "crumbles"]


class Moisture(Payload):
    """Water content of the soil, dry mass basis."""

    words: ClassVar[str] = "moisture"

    water_content_percent: Percent
    method: Literal["oven", "pan", "microwave", "gas pressure", "gauge", "other"]
    when: Literal["before treatment", "after dry mixing", "after wet mixing", "finished"]


class Reference(Said):
    """The moisture-density curve that a density is held against."""

    curve: Literal["treated", "raw"] = Field(description="treated soil, or raw: not comparable to treated ground")
    maximum_kg_m3: Density
    optimum_percent: Percent | None = None
    proctor: Annotated[str, Field(min_length=1, max_length=40, description="number of the moisture-density test")]
    effort: Literal["standard", "modified", "not said"] = "not said"
    delay_min: Minutes | None = Field(None, description="between mixing and moulding [min]")


class DensityTest(Payload):
    """Density in place against a named reference."""

    words: ClassVar[str] = "density"

    test: Annotated[str, Field(min_length=1, max_length=40, description="number of the test")]
    dry_density_kg_m3: Density | None = None
    wet_density_kg_m3: Density | None = None
    water_content_percent: Percent | None = None
    reference: Reference
    method: Literal["direct transmission", "backscatter", "sand cone", "drive tube", "other", "not said"] = "not said"
    gauge_depth_mm: Millimetres | None = None
    water_by: Literal["gauge", "oven", "pan", "gas pressure", "other", "not said"] = "not said"
    retest_of: EntryId | None = None

    @model_validator(mode="after")
    def _gives_a_dry_density(self) -> DensityTest:
        """A dry density is read, or follows from wet density and water."""
        if self.dry_density_kg_m3 is None and (self.wet_density_kg_m3 is None or self.water_content_percent is None):
            allowed = "dry_density_kg_m3, or wet_density_kg_m3 with water_content_percent"
            raise wrong("no dry density", allowed, "Write what the slip says.")
        return self

    @property
    def dry_kg_m3(self) -> float:
        """Dry density, read or worked out [kg/m3]."""
        if self.dry_density_kg_m3 is not None:
            return self.dry_density_kg_m3
        return float(dry_density(self.wet_density_kg_m3 or 0.0, (self.water_content_percent or 0.0) / 100))

    @property
    def relative_compaction(self) -> float:
        """Share of the reference's maximum."""
        return self.dry_kg_m3 / self.reference.maximum_kg_m3


class OnePoint(Payload):
    """One field Proctor, to see whether the curve still fits."""

    words: ClassVar[str] = "one-point"

    proctor: Annotated[str, Field(min_length=1, max_length=40, description="curve it was held against")]
    dry_density_kg_m3: Density
    water_content_percent: Percent
    delay_min: Minutes | None = Field(None, description="between mixing and moulding [min]")


class SlowDrive(Payload):
    """What a stretch did under the slowly driven machine, in the word of who walked beside it."""

    words: ClassVar[str] = "slow drive"

    word: Word
    bounces: Yes = Field(False, description="whether the ground springs back behind the wheel")
    vehicle: Short = Field("", description="what was driven, such as grader, 18 t")


class Blow(Said):
    """Blows since the row before, and the depth reached."""

    blows: Annotated[int, Field(strict=True, ge=0, le=500)]
    depth_mm: Annotated[Millimetres, Field(le=3_000)]


class Penetrometer(Payload):
    """A penetrometer test: rows of blows and depth, or a strength read from a pocket one."""

    words: ClassVar[str] = "penetrometer"

    test: Annotated[str, Field(min_length=1, max_length=40)]
    rows: Annotated[tuple[Blow, ...], Field(max_length=300)] = ()
    strength_kpa: Annotated[float, Field(strict=True, ge=0, le=1_000, description="pocket reading [kPa]")] | None = None

    @model_validator(mode="after")
    def _says_something(self) -> Penetrometer:
        """A test has a result."""
        if bool(self.rows) == (self.strength_kpa is not None):
            found = "both" if self.rows else "neither"
            raise wrong(found, "rows, or strength_kpa", "Write the blows, or the pocket reading.")
        return self


class Movement(Stretch):
    """What a stretch did under the axle."""

    moved_mm: Millimetres | None = None
    within_limit: Yes | None = Field(None, description="said where it was not measured")
    cracked: Yes | None = None
    pumped: Yes | None = None

    @model_validator(mode="after")
    def _says_something(self) -> Movement:
        """Millimetres, or whether it stayed within the limit."""
        if (self.moved_mm is None) == (self.within_limit is None):
            found = "neither" if self.moved_mm is None else "both"
            raise wrong(found, "moved_mm or within_limit", "Write the millimetres; say within_limit only without them.")
        return self


class AxleTest(Payload):
    """The loaded axle driven over the finished ground."""

    words: ClassVar[str] = "axle test"

    vehicle: Annotated[str, Field(min_length=1, max_length=80, description="what was driven, such as loaded tandem")]
    axle_kg: Annotated[float, Field(strict=True, ge=500, le=60_000, description="load of the axle [kg]")] | None = None
    tyre_kpa: Annotated[float, Field(strict=True, ge=50, le=1_500, description="tyre pressure [kPa]")] | None = None
    limit_mm: Millimetres | None = Field(None, description="most that was agreed to be allowed [mm]")
    movements: Annotated[tuple[Movement, ...], Field(min_length=1, max_length=500)]
    retest_of: EntryId | None = None


class Weather(Payload):
    """The weather as it was."""

    words: ClassVar[str] = "weather"

    air_c: Celsius | None = None
    wind_km_h: Wind | None = None
    gust_km_h: Wind | None = None
    humidity_percent: Annotated[float, Field(strict=True, ge=0, le=100, description="relative humidity [%]")] | (
        None
    ) = None
    rain: Literal["dry", "sprinkle", "rain"] | None = None
    rain_mm: Annotated[float, Field(strict=True, ge=0, le=500, description="fallen [mm]")] | None = None
    low_night_c: Celsius | None = Field(None, description="lowest of the night before [C]")

    @model_validator(mode="after")
    def _says_something(self) -> Weather:
        """Weather has at least one figure or word."""
        if not self.model_fields_set - {"note"}:
            raise wrong("nothing", "at least one of its keys", "Write what the weather was.")
        return self


class Access(Payload):
    """Who was let through, or was promised a way."""

    words: ClassVar[str] = "access"

    what: Annotated[str, Field(min_length=1, max_length=200, description="which access, such as driveway no. 14")]
    state: Literal["open", "shut", "promised", "complaint", "released"]


class Note(Payload):
    """Anything else."""

    words: ClassVar[str] = "note"

    note: Annotated[str, Field(min_length=1, max_length=2_000)]
