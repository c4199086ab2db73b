"""Payloads of the cement and the water: instructions, loads, fills, runs, trays, trucks."""

from __future__ import annotations

from typing import Annotated, ClassVar, Literal

from pydantic import Field, model_validator

from hardpan.ledger.parts import (
    Celsius,
    Count,
    Kilograms,
    Litres,
    LitresPerArea,
    Millimetres,
    Payload,
    Rate,
    Short,
    Span,
    WaterSetting,
    Wind,
    Yes,
)
from hardpan.street.given import wrong
from hardpan.street.words import DepthState, WaterWord


class RateInstruction(Payload):
    """Who fixed which rate and depth for which place, and who heard it."""

    words: ClassVar[str] = "rate instruction"

    zone: Annotated[str, Field(min_length=1, max_length=40, description="name of the zone on the sheets")]
    rate_kg_m2: Rate
    elsewhere: Yes = Field(False, description="true: it covers what no other instruction does")
    depth_mm: Annotated[Millimetres, Field(ge=50, description="mixing depth in the state that depth_state names")] | (
        None
    ) = None
    depth_state: DepthState | None = Field(None, description="ground that the depth counts in")
    low_mm: Annotated[float, Field(strict=True, ge=-200, le=300, description="how low to shape the ground [mm]")] | (
        None
    ) = None
    water: WaterWord | None = Field(None, description="the crew's setting")
    water_l_m2: LitresPerArea | None = None
    said_by: Annotated[str, Field(min_length=1, max_length=80, description="who fixed it, by role")]
    heard_by: Annotated[str, Field(min_length=1, max_length=80, description="who heard it, by role")]
    where: Short = Field("", description="where it was said, such as at the curb")

    @model_validator(mode="after")
    def _depth_says_its_state(self) -> RateInstruction:
        """A depth without the state of its ground means nothing."""
        if self.depth_mm is not None and self.depth_state is None:
            raise wrong("depth_mm alone", "depth_mm with depth_state", "Say which ground: original, loose or rolled.")
        return self


class GoNoGo(Payload):
    """The call in the morning, and the figures it was made on."""

    words: ClassVar[str] = "go or no-go"

    decision: Literal["go", "no-go"]
    air_c: Celsius | None = None
    wind_km_h: Wind | None = None
    gust_km_h: Wind | None = None
    low_night_c: Celsius | None = Field(None, description="lowest of the next nights [C]")
    rain_percent: Annotated[float, Field(strict=True, ge=0, le=100, description="chance of rain [%]")] | None = None
    reason: Short = ""


class DeliveryTicket(Payload):
    """One bulk load as its ticket says; weights are never worked out from each other."""

    words: ClassVar[str] = "delivery ticket"

    ticket: Annotated[str, Field(min_length=1, max_length=40, description="number on the ticket")]
    net_kg: Annotated[Kilograms, Field(ge=100)]
    gross_kg: Annotated[float, Field(strict=True, ge=0, le=120_000, description="loaded [kg]")] | None = None
    tare_kg: Annotated[float, Field(strict=True, ge=0, le=120_000, description="empty [kg]")] | None = None
    ordered_kg: Kilograms | None = None
    cement: Short = Field("", description="type of cement on the ticket")
    plant: Short = ""
    seal: Short = ""


class SpreaderFill(Span):
    """Cement moved from a load into the spreader; it counts from the moment it is done."""

    words: ClassVar[str] = "spreader fill"

    added_kg: Kilograms | None = Field(None, description="moved into the hopper [kg]")
    hopper_kg: Kilograms | None = Field(None, description="in the hopper afterwards [kg]")
    ticket: Annotated[str, Field(max_length=40, description="load it came from")] = ""

    @model_validator(mode="after")
    def _says_a_mass(self) -> SpreaderFill:
        """A fill tells how much."""
        if self.added_kg is None and self.hopper_kg is None:
            do = "Say how much went in, or what the hopper holds now."
            raise wrong("neither", "added_kg or hopper_kg", do)
        return self


class SpreadRun(Span):
    """Cement laid on a stretch of one or more strips."""

    words: ClassVar[str] = "strip spread"

    rate_kg_m2: Rate | None = Field(None, description="rate the spreader was set to [kg/m2]")
    kg: Kilograms | None = Field(None, description="laid on this run, where it was weighed or read [kg]")
    left_kg: Kilograms | None = Field(None, description="in the hopper after the run, where it was read [kg]")
    by: Literal["spreader", "hand"] = Field("spreader", description="hand: from bags, not out of the hopper")
    wind_km_h: Wind | None = None


class RateChange(Payload):
    """Where the spreader's rate was changed."""

    words: ClassVar[str] = "rate changed here"

    rate_kg_m2: Rate
    from_kg_m2: Rate | None = None


class RunOut(Payload):
    """Where the hopper ran empty."""

    words: ClassVar[str] = "ran out here"

    backed_up_m: Annotated[float, Field(strict=True, ge=0, le=50, description="backed up before the restart [m]")] | (
        None
    ) = None
    painted: Yes | None = Field(None, description="whether the spot was painted")


class TrayCheck(Payload):
    """What a tray or canvas caught under the spreader, or that none was set."""

    words: ClassVar[str] = "tray"

    checked: Literal["weighed", "not checked"]
    tray_kg_m2: Rate | None = None
    tray_kg: Annotated[float, Field(strict=True, ge=0, le=200, description="caught [kg]")] | None = None
    tray_area_m2: Annotated[float, Field(strict=True, ge=0.05, le=10, description="area of the tray [m2]")] | None = (
        None
    )
    rate_kg_m2: Rate | None = Field(None, description="rate the spreader was set to [kg/m2]")

    @model_validator(mode="after")
    def _weighed_or_not(self) -> TrayCheck:
        """A weighed tray has a mass per area, one that was not checked has none."""
        weighed = [self.tray_kg_m2, self.tray_kg, self.tray_area_m2]
        if self.checked == "not checked" and any(one is not None for one in weighed):
            raise wrong("not checked, and a weight", "one of the two", "Say weighed, or leave the weight out.")
        per_area, both = self.tray_kg_m2 is not None, self.tray_kg is not None and self.tray_area_m2 is not None
        if self.checked == "weighed" and per_area == both:
            do = "Say what the tray caught: a tap alone is no measurement."
            raise wrong("weighed", "tray_kg_m2, or tray_kg with tray_area_m2", do)
        return self

    @property
    def caught_kg_m2(self) -> float | None:
        """Rate that the tray caught [kg/m2]; None where it was not checked."""
        if self.tray_kg is not None and self.tray_area_m2 is not None:
            return self.tray_kg / self.tray_area_m2
        return self.tray_kg_m2


class WaterTruckCoupled(Payload):
    """A water truck coupled to the mixer, or filled."""

    words: ClassVar[str] = "water truck coupled"

    truck: Short = Field("", description="which truck, such as water 1")
    on_board_l: Litres | None = Field(None, description="on board now, where it was read [L]")
    filled_l: Litres | None = Field(None, description="taken on since it was last told of [L]")
    setting: WaterSetting | None = Field(None, description="setting of the bar")
    water_l_m2: LitresPerArea | None = None


class WaterTruckEmpty(Payload):
    """Where a water truck ran dry, or what it still held when it uncoupled."""

    words: ClassVar[str] = "truck empty here"

    truck: Short = Field("", description="which truck, such as water 1")
    left_l: Litres | None = Field(None, description="still on board, where it was not quite empty [L]")


class Curing(Span):
    """Keeping the finished ground damp."""

    words: ClassVar[str] = "curing"

    method: Literal["water", "emulsion", "cover", "other"]
    water_l: Litres | None = None
    water_l_m2: LitresPerArea | None = None
    rounds: Count | None = Field(None, description="rounds that this entry tells of")
    low_night_c: Celsius | None = Field(None, description="lowest of the night [C]")
