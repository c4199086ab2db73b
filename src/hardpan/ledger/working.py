"""Payloads of the work on the ground: shots, mixing, rolling, closing."""

from __future__ import annotations

from typing import Annotated, ClassVar, Literal

from pydantic import Field, model_validator

from hardpan.ledger.parts import (
    Count,
    DepthBelow,
    EntryId,
    Level,
    Litres,
    LitresPerArea,
    Millimetres,
    PassNumber,
    Payload,
    Said,
    Short,
    SideOffset,
    Span,
    Station,
    Stretch,
    WaterSetting,
    Yes,
)
from hardpan.street.given import wrong
from hardpan.street.words import DepthState

Cuts = Annotated[tuple[Annotated[int, Field(strict=True, ge=1, le=60)], ...], Field(max_length=60)]


class Shot(Said):
    """One shot: a level, or how far down from what the operator measures from."""

    station_m: Station
    side_offset_m: SideOffset
    down_mm: DepthBelow | None = None
    level_m: Level | None = None

    @model_validator(mode="after")
    def _one_reading(self) -> Shot:
        """A shot has one reading."""
        if (self.down_mm is None) == (self.level_m is None):
            found = "neither" if self.down_mm is None else "both"
            raise wrong(found, "down_mm or level_m", "Write the one that was read.")
        return self


class PreGradeShots(Payload):
    """Check shots of the shaped ground before spreading, or that none were taken."""

    words: ClassVar[str] = "pre-grade shots"

    checked: Literal["checked", "not checked"]
    shots: Annotated[tuple[Shot, ...], Field(max_length=500)] = ()

    @model_validator(mode="after")
    def _checked_or_not(self) -> PreGradeShots:
        """Checked ground has shots, ground that was not checked has none."""
        if (self.checked == "checked") != bool(self.shots):
            do = "Write each shot, or say not checked: a tap alone is no measurement."
            raise wrong(f"{self.checked}, {len(self.shots)} shots", "checked with shots, or not checked without", do)
        return self


class MixingPass(Span):
    """One pass of the mixer over a stretch: dry, wet, or to let the ground dry."""

    words: ClassVar[str] = "mixing pass done"

    mixed: Literal["dry", "wet", "aerate"] = Field(description="dry, wet, or aerate: hood up, before the cement")
    number: PassNumber
    cuts: Cuts = Field((), description="mixer cuts; empty: the strips of the place")
    setting: WaterSetting | None = Field(None, description="setting of the water bar")
    water_l_m2: LitresPerArea | None = None
    water_l: Litres | None = Field(None, description="through the meter on this pass [L]")
    shut: Annotated[tuple[Stretch, ...], Field(max_length=50)] = Field(
        (), description="stretches of the pass on which the water was shut"
    )

    @model_validator(mode="after")
    def _only_wet_passes_have_water(self) -> MixingPass:
        """Water says that a pass was wet."""
        if self.mixed != "wet" and (self.setting or self.water_l_m2 or self.water_l or self.shut):
            raise wrong(f"water on a pass called {self.mixed}", "water on a wet pass", "Call it wet, or leave it out.")
        if self.setting == "off" and (self.water_l_m2 or self.water_l):
            raise wrong("off, and water", "one of the two", "Say the setting that was used.")
        return self


class DepthCheck(Payload):
    """A hole: how deep, of which ground, measured down from what."""

    words: ClassVar[str] = "depth hole"

    depth_mm: Millimetres
    state: DepthState = Field(description="ground that the depth counts in: original, loose or rolled")
    measured_from: Literal["original surface", "loose surface", "rolled surface"] = Field(
        description="the surface that the rule stood on"
    )
    untreated_below: Yes | None = Field(None, description="whether untreated ground showed above the wanted depth")
    largest_clod_mm: Millimetres | None = None


class Rolling(Span):
    """Rolling, or trimming between two rollers."""

    words: ClassVar[str] = "rolling"

    rolled: Literal["padfoot", "trim", "smooth", "final"] = Field(
        description="padfoot, the grader's trim, smooth drum before it, or final: its end stops the clock"
    )
    passes: Count | None = None
    vibrating: Yes | None = None


class WalkOut(Payload):
    """Whether the feet of the padfoot stopped sinking."""

    words: ClassVar[str] = "feet walked out"

    walked_out: Yes
    passes: Count | None = None


class Levels(Payload):
    """Surveyed or taped levels of the ground."""

    words: ClassVar[str] = "levels"

    stage: Literal["before treatment", "before spreading", "after mixing", "after final rolling"]
    shots: Annotated[tuple[Shot, ...], Field(min_length=1, max_length=2_000)]
    trimmed_mm: Millimetres | None = Field(None, description="cut off in the trim [mm]")


class Stop(Payload):
    """Work stopped, or went on; anyone may call it."""

    words: ClassVar[str] = "stop"

    state: Literal["stopped", "resumed"]
    reason: Short = ""


class Problem(Payload):
    """Something is wrong; a word is enough."""

    words: ClassVar[str] = "problem"

    about: Literal[
        "soft place", "depth", "cement", "water", "machine", "service", "dust", "rain", "person hurt", "other"
    ]
    what: Short = ""


class Closed(Payload):
    """A block is closed, or a problem is."""

    words: ClassVar[str] = "closed"

    problem: EntryId | None = Field(None, description="problem that this closes; not said: the block of the place")
    what: Short = ""


class BladeChatters(Payload):
    """The grader's blade chatters: the ground sets."""

    words: ClassVar[str] = "blade chatters"


class MachineRuts(Payload):
    """A machine ruts the ground, in a word."""

    words: ClassVar[str] = "machine ruts"

    machine: Annotated[str, Field(min_length=1, max_length=80)]
    word: Literal["shows", "ruts", "sinks"]
