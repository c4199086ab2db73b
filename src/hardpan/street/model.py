"""The typed content of ``street.toml``: one class a table, one field a key, each with its unit, its range and its default."""

from __future__ import annotations

import datetime as dt
import re
from typing import Annotated, Literal

from pydantic import BeforeValidator, Field, WithJsonSchema

from hardpan.street.figure import Figure
from hardpan.street.given import Moment, Table, figure, quoted, wrong

SCHEMA = "hardpan.street/1"

StationStyle = Literal["0+000 m", "0+00 m", "0+00 ft"]
SoilWord = Literal["silt", "lean clay", "fat clay"]
Side = Literal["left", "centre", "right"]


def _clock_time(value: object) -> object:
    """Time of day from ``"06:30"`` or a TOML time; one place, so no time zone."""
    if isinstance(value, str):
        hours = re.fullmatch(r"(\d{1,2}):(\d{2})", value.strip())
        if not hours or int(hours[1]) > 23 or int(hours[2]) > 59:
            raise wrong(quoted(value), 'a time of day like "06:30"', "Write hours and minutes, 24 h.")
        return dt.time(int(hours[1]), int(hours[2]))
    if not isinstance(value, dt.time):
        raise wrong(quoted(value), 'a time of day like "06:30"', "Write hours and minutes in quotes.")
    return value


TimeOfDay = Annotated[dt.time, BeforeValidator(_clock_time), WithJsonSchema({"type": "string", "format": "time"})]


class Line(Table):
    """The line of the street: how long, how wide, how it is counted."""

    length: Figure = figure("m", 5, 20_000, "length along the line")
    width: Figure = figure("m", 1, 60, "treated width between the edges")
    first_station: float = Field(0.0, ge=0, description="station of the start [m]")
    station_style: StationStyle = Field(
        "0+000 m", description="how stations in this folder are written; feet are declared here"
    )
    bay_length: Figure = figure("m", 1, 100, key="line.bay_length")
    strips: int | None = Field(
        None, ge=1, le=30, description="spreader strips; not said: as many as the pan width needs"
    )


class Crossfall(Table):
    """Crossfall at one station; positive falls away from the crown."""

    station: str | float = Field(description="station or landmark; a bare number is in the unit of station_style")
    left: Figure = figure("1", -0.15, 0.15, "fall away from the crown on the left")
    right: Figure = figure("1", -0.15, 0.15, "fall away from the crown on the right")


class Section(Table):
    """The cross-section: crown and crossfall."""

    crossfall: Figure = figure("1", -0.15, 0.15, "fall away from the crown on both sides")
    crown_side_offset: float = Field(
        0.0, ge=-30, le=30, description="where the crown is, metres right of the centreline (left is negative)"
    )
    transition: tuple[Crossfall, ...] = Field(
        (), description="stations where the crossfall is fixed; linear between them"
    )


class GradePoint(Table):
    """A point of vertical intersection of the design line."""

    station: str | float = Field(description="station or landmark; a bare number is in the unit of station_style")
    level: float = Field(ge=-1000, le=10_000, description="design level of the centreline [m]")
    curve_length: float = Field(0.0, ge=0, le=5_000, description="length of the vertical curve centred there [m]")


class DesignLevel(Table):
    """Where the finished subgrade shall be, and what is set aside from it."""

    down_from: str = Field(
        "", description="what the operator measures down from, such as lip; empty with a surveyed line"
    )
    down_at_edge: Figure | None = figure("m", -5, 5, "finished subgrade below that at the street's edge", optional=True)
    point: tuple[GradePoint, ...] = Field((), description="surveyed design line of the centreline")
    trim: Figure = figure("m", 0, 0.15, key="level.trim")
    settlement: Figure = figure("m", 0, 0.15, key="level.settlement")
    ramp: Figure = figure("m", 0.5, 100, key="level.ramp")
    stake_spacing: Figure = figure("m", 1, 200, key="level.stake_spacing")
    stake_spacing_transition: Figure = figure("m", 1, 200, key="level.stake_spacing_transition")
    side_offset: tuple[float, ...] = Field(
        (), description="further stake lines, metres right of the centreline (left is negative)"
    )


class SoilState(Table):
    """What is known of the soil in one state; what is left out stands on the soil word's default."""

    dry_density: Figure | None = figure("kg/m3", 700, 2_400, "dry density before treatment", optional=True)
    water_content: Figure | None = figure(
        "1", 0.0, 1.5, "as it will be mixed, dry mass basis; after airing where the soil is aired", optional=True
    )
    aired_from: Figure | None = figure(
        "1", 0.0, 1.5, "water content before the mixer aired it with the hood up", optional=True
    )
    saturation: Figure | None = figure("1", 0.2, 1.0, "share of the voids that water fills, before", optional=True)
    specific_gravity: Figure | None = figure("1", 2.0, 3.5, "of the soil particles", optional=True)
    treated_optimum: Figure | None = figure(
        "1", 0.02, 1.0, "optimum water content of the treated soil, over soil and cement", optional=True
    )
    treated_maximum: Figure | None = figure(
        "kg/m3", 700, 2_400, "maximum dry density of the treated soil", optional=True
    )
    raw_maximum: Figure | None = figure(
        "kg/m3", 700, 2_400, "maximum dry density of the raw soil: not comparable to treated ground", optional=True
    )
    final_dry_density: Figure | None = figure(
        "kg/m3", 700, 2_400, "finished dry density: chosen, so that air follows", optional=True
    )
    final_air: Figure | None = figure(
        "1", 0.0, 0.4, "air left after rolling: chosen, so that density follows", optional=True
    )
    water_losses: Figure = figure("L/m2", 0, 20, key="water.losses")


class Soil(Table):
    """The soil, by the word a person can say, and what was measured of it."""

    word: SoilWord = Field(description="silt, lean clay or fat clay")
    classified: bool = Field(
        False,
        description="true where a laboratory named the soil: the penetrometer's own equation for it then counts alone",
    )
    wet: bool = Field(
        False, description="true where the whole street is wet: the soft column of defaults counts everywhere"
    )
    firm: SoilState = Field(SoilState(), description="firm ground")
    soft: SoilState = Field(SoilState(), description="soft ground")
    water_full: Figure | None = figure("L/m2", 0, 100, "what the crew's setting full lays", optional=True)
    water_half: Figure | None = figure("L/m2", 0, 100, "what the crew's setting half lays", optional=True)


class Delivery(Table):
    """One bulk load, ordered or weighed."""

    day: int = Field(1, ge=1, le=60, description="day of the work, from 1")
    time: TimeOfDay = Field(description="when it is due, or came")
    cement: Figure = figure("kg", 100, 60_000, "net weight, as ordered or by the ticket")
    ticket: str = Field("", description="number of the ticket")


class Fill(Table):
    """One stated spreader fill: kilograms, ``"brim"``, or ``"rest"`` of the load."""

    day: int = Field(1, ge=1, le=60, description="day of the work, from 1")
    cement: Literal["brim", "rest"] | Figure = figure(
        "kg", 1, 60_000, "kilograms; brim: to the top; rest: what is left of the load", words=("brim", "rest")
    )


class Cement(Table):
    """Cement ordered, delivered and spread."""

    order_allowance: Figure = figure("1", 0, 0.2, key="cement.order_allowance")
    spread_allowance: Figure | None = figure(
        "1", 0, 0.2, "what the spreader lays over the rate; not said: the order allowance", optional=True
    )
    delivery: tuple[Delivery, ...] = Field((), description="loads in order; not said: proposed")
    fill: tuple[Fill, ...] = Field((), description="stated fills; not said: each to the brim or the rest of what came")


class Spreader(Table):
    """The spreader."""

    hopper: Figure = figure("kg", 500, 60_000, key="spreader.hopper")
    pan: Figure = figure("m", 0.5, 6, key="spreader.pan")
    discharge: Figure = figure("kg/min", 50, 20_000, key="spreader.discharge")
    top_speed: Figure = figure("m/min", 5, 200, key="spreader.top_speed")
    transfer_rate: Figure = figure("kg/min", 50, 5_000, key="spreader.transfer_rate")
    coupling: Figure = figure("min", 0, 60, key="spreader.coupling")
    strip_time: Figure = figure("min", 0, 60, key="spreader.strip_time")
    back_up: Figure = figure("m", 0, 20, key="spreader.back_up")


class Mixer(Table):
    """The rotary mixer."""

    drum: Figure = figure("m", 0.5, 6, key="mixer.drum")
    wetting: Figure = figure("m", 0.3, 6, key="mixer.wetting")
    overlap_nozzles_shut: bool = Field(
        False, description="true: the bar wets the full drum on the first cut and the net width on the others"
    )
    least_overlap: Figure = figure("m", 0, 1, key="mixer.least_overlap")
    dry_speed: Figure = figure("m/min", 1, 60, key="mixer.dry_speed")
    first_speed_soft: Figure = figure("m/min", 1, 60, key="mixer.first_speed_soft")
    wet_speed: Figure = figure("m/min", 1, 60, key="mixer.wet_speed")
    turn: Figure = figure("min", 0, 30, key="mixer.turn")
    deepest: Figure = figure("m", 0.1, 1, key="mixer.deepest")
    dry_passes: int = Field(2, ge=1, le=6, description="dry passes; not said: 2, common practice, no source")
    dry_passes_soft: int = Field(
        3, ge=1, le=6, description="dry passes in soft ground; not said: 3, common practice, no source"
    )
    move: Figure = figure("min", 0, 60, key="mixer.move")


class WaterTruck(Table):
    """The water trucks."""

    volume: Figure = figure("L", 500, 60_000, key="water_truck.volume")
    pump: Figure = figure("L/min", 10, 6_000, key="water_truck.pump")
    fill: Figure = figure("min", 0, 240, key="water_truck.fill")
    away: Figure = figure("min", 0, 600, key="water_truck.away")
    coupling: Figure = figure("min", 0, 60, key="water_truck.coupling")
    tops_up_between_blocks: bool = Field(False, description="true: the truck is filled between two blocks")


class Rolling(Table):
    """Padfoot, grader and smooth drum."""

    padfoot_rate: Figure = figure("m2/h", 50, 20_000, key="rolling.padfoot_rate")
    padfoot_after_wet: Figure = figure("min", 0, 240, key="rolling.padfoot_after_wet")
    grader_rate: Figure = figure("m2/h", 50, 20_000, key="rolling.grader_rate")
    smooth_rate: Figure = figure("m2/h", 50, 20_000, key="rolling.smooth_rate")
    smooth_before: Figure = figure("min", 0, 240, key="rolling.smooth_before")


class Shift(Table):
    """The day's work: from when to when, in what blocks."""

    date: dt.date | None = Field(None, description="date of day 1")
    start: TimeOfDay = Field(dt.time(6), description="when the first machine may start")
    end: TimeOfDay = Field(dt.time(18), description="when the last machine must have stopped")
    block_length: Figure | None = figure(
        "m", 5, 1_000, "not said: 80 m, or the longest the clock allows where one is written", optional=True
    )
    blocks_by_day: tuple[int, ...] = Field(
        (), description="blocks on day 1, day 2 and so on; not said: as many as close before the end of the shift"
    )


class Weather(Table):
    """The forecast for the day."""

    low_c: float | None = Field(None, ge=-50, le=60, description="lowest of the day [C]")
    high_c: float | None = Field(None, ge=-50, le=60, description="highest of the day [C]")
    wind_from_km_h: float | None = Field(None, ge=0, le=200, description="wind, from [km/h]")
    wind_to_km_h: float | None = Field(None, ge=0, le=200, description="wind, to [km/h]")
    gusts_km_h: float | None = Field(None, ge=0, le=300, description="gusts [km/h]")
    rain_from: TimeOfDay | None = Field(None, description="when rain is due on day 1")
    rained_at: Moment | None = Field(
        None, description="when it last rained hard: what was read before it may be firmer than the ground now is"
    )
    rained_mm: float | None = Field(None, ge=0, le=500, description="how much fell then [mm]")
    next_nights_low_c: float | None = Field(None, ge=-50, le=60, description="lowest of the next nights [C]")


class Locates(Table):
    """Locates of buried services."""

    ticket: str = Field("", description="number of the locate")
    valid_to: dt.date | None = Field(None, description="last day the locates count")


Start = Literal["cement on the ground", "first mix", "water"]
Stop = Literal["padfoot starts", "padfoot ends", "final rolling ends"]


class Limit(Table):
    """A limit of the specification or the engineer: its value, who owns it, where it is written."""

    owner: str = Field("", description="who fixed it; empty is shown as: owner not said")
    source: str = Field("", description="where it is written")


class ClockLimit(Limit):
    """A time limit: the event that starts the clock, the event that stops it."""

    start: Start = Field(description="event that starts the clock")
    stop: Stop = Field("final rolling ends", description="event that stops it")
    within: Figure = figure("min", 1, 1_440, "time from the one to the other")


class ShareLimit(Limit):
    """A limit on a share."""

    value: Figure = figure("1", 0, 1.2, "the limit")


class DensityLimit(ShareLimit):
    """A limit on a density, as a share of a maximum."""

    reference: Literal["treated", "raw"] = Field(
        "treated", description="maximum that it counts over; raw only where the contract names it"
    )


class LengthLimit(Limit):
    """A limit on a length."""

    value: Figure = figure("m", 0, 1_000, "the limit")


class PlainLimit(Limit):
    """A limit in the unit its key names."""

    value: float = Field(description="the limit, in the unit that its key names")


class Limits(Table):
    """Everything that a specification or the engineer fixes. A limit that is not written is absent: no alarm."""

    clock: tuple[ClockLimit, ...] = Field((), description="time limits")
    rate_tolerance: ShareLimit | None = Field(None, description="share that a tray may lie above or below the rate")
    depth_tolerance: LengthLimit | None = Field(None, description="most that a depth may lie above or below")
    pre_grade_tolerance: LengthLimit | None = Field(
        None, description="most that a shot may lie above or below pre-grade"
    )
    level_tolerance: LengthLimit | None = Field(
        None, description="most that the finished level may lie above or below design"
    )
    cement_ahead_of_mixer: LengthLimit | None = Field(None, description="longest stretch spread and not yet mixed")
    wind_km_h: PlainLimit | None = Field(None, description="no spreading in more wind [km/h]")
    air_temperature_c: PlainLimit | None = Field(None, description="no work in colder air [C]")
    frost_free_days: PlainLimit | None = Field(None, description="days without frost afterwards")
    relative_compaction: DensityLimit | None = Field(
        None, description="least share of the maximum dry density: of treated soil, unless the contract names raw"
    )
    axle_test_movement: LengthLimit | None = Field(None, description="most that the ground may move under the axle")
    least_probability: ShareLimit | None = Field(None, description="least odds of passing in every zone")


class AxleTest(Table):
    """The axle test: the day it is driven on."""

    day: Figure = figure("day", 0.5, 60, key="odds.day")


class Prices(Table):
    """Prices in neutral dollars; each not said stands on its default."""

    cement: Figure = figure("$/t", 0, 5_000, key="prices.cement")
    crew_day: Figure = figure("$/day", 0, 1e6, key="prices.crew_day")
    mobilisation: Figure = figure("$", 0, 1e7, key="prices.mobilisation")
    testing: Figure = figure("$", 0, 1e7, key="prices.testing")
    traffic: Figure = figure("$", 0, 1e7, key="prices.traffic")
    dig_haul: Figure = figure("$/m3", 0, 5_000, key="prices.dig_haul")
    granular: Figure = figure("$/t", 0, 5_000, key="prices.granular")
    place: Figure = figure("$/t", 0, 5_000, key="prices.place")
    geotextile: Figure = figure("$/m2", 0, 500, key="prices.geotextile")


class DigOut(Table):
    """The alternative: dig out and replace with granular on geotextile."""

    depth: Figure = figure("m", 0.1, 3, key="dig_out.depth")
    laps: Figure = figure("1", 0, 1, key="dig_out.laps")
    soil_density: Figure = figure("kg/m3", 1_000, 2_500, key="dig_out.soil_density")
    granular_density: Figure = figure("kg/m3", 1_200, 2_800, key="dig_out.granular_density")
    truck_load: Figure = figure("kg", 1_000, 60_000, key="dig_out.truck_load")


class Carbon(Table):
    """Carbon factors."""

    cement: Figure = figure("kg CO2e/kg", 0, 3, key="carbon.cement")
    granular: Figure = figure("kg CO2e/kg", 0, 3, key="carbon.granular")
    haul: Figure = figure("kg CO2e/(t km)", 0, 5, key="carbon.haul")
    haul_distance: Figure = figure("km", 0, 2_000, key="carbon.haul_distance")
    diesel: Figure = figure("kg CO2e/L", 0, 10, key="carbon.diesel")
    fuel: Figure = figure("L/h", 0, 500, key="carbon.fuel")


class StreetFile(Table):
    """``street.toml``, whole."""

    schema_: Literal["hardpan.street/1"] = Field("hardpan.street/1", alias="schema", description="schema of this file")
    name: str = Field(min_length=1, max_length=120, description="name of the street")
    place: str = Field("", description="where it is")
    line: Line
    section: Section
    level: DesignLevel = DesignLevel()
    soil: Soil
    cement: Cement = Cement()
    spreader: Spreader = Spreader()
    mixer: Mixer = Mixer()
    water_truck: WaterTruck = WaterTruck()
    rolling: Rolling = Rolling()
    shift: Shift = Shift()
    weather: Weather = Weather()
    locates: Locates = Locates()
    limits: Limits = Limits()
    axle_test: AxleTest = AxleTest()
    prices: Prices = Prices()
    dig_out: DigOut = DigOut()
    carbon: Carbon = Carbon()
