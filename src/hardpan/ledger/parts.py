"""What entries are made of: the base of every model, fields with their ranges, places, stretches.

Numbers are strict: text is none, so that nobody guesses at a decimal comma, and true or false is none either.
"""

from __future__ import annotations

from typing import Annotated, ClassVar, Literal

from pydantic import BaseModel, ConfigDict, Field, model_validator

from hardpan.ledger.moments import When
from hardpan.street.given import wrong

Role = Literal["operator", "foreman", "tester", "reviewer"]
WaterSetting = Literal["full", "half", "off"]
ID = r"^[0-9a-f]{8}-[0-9a-f]{4}-7[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}$"

EntryId = Annotated[str, Field(pattern=ID, description="UUID of version 7, made on the device, in lower case")]
Text = Annotated[str, Field(max_length=2_000)]
Short = Annotated[str, Field(max_length=80)]
Station = Annotated[float, Field(strict=True, ge=-100_000, le=1_000_000, description="along the line [m]")]
SideOffset = Annotated[
    float, Field(strict=True, ge=-60, le=60, description="right of the centreline, left negative [m]")
]
Strips = Annotated[
    tuple[Annotated[int, Field(strict=True, ge=1, le=30)], ...],
    Field(max_length=30, description="strips; empty: all of them"),
]
Kilograms = Annotated[float, Field(strict=True, ge=0, le=60_000, description="cement [kg]")]
Rate = Annotated[float, Field(strict=True, ge=0, le=120, description="cement on the ground [kg/m2]")]
Litres = Annotated[float, Field(strict=True, ge=0, le=200_000, description="water [L]")]
LitresPerArea = Annotated[float, Field(strict=True, ge=0, le=100, description="water on the ground [L/m2]")]
Millimetres = Annotated[float, Field(strict=True, ge=0, le=1_500, description="[mm]")]
DepthBelow = Annotated[
    float, Field(strict=True, ge=-500, le=5_000, description="down from the lip, hub or string [mm]")
]
Level = Annotated[float, Field(strict=True, ge=-1_000, le=10_000, description="level [m]")]
Percent = Annotated[float, Field(strict=True, ge=0, le=150, description="water over dry soil [%]")]
Density = Annotated[float, Field(strict=True, ge=700, le=2_800, description="density [kg/m3]")]
Celsius = Annotated[float, Field(strict=True, ge=-50, le=60, description="temperature [C]")]
Wind = Annotated[float, Field(strict=True, ge=0, le=200, description="wind [km/h]")]
PassNumber = Annotated[int, Field(strict=True, ge=1, le=20, description="number of the mixing pass, from 1")]
Count = Annotated[int, Field(strict=True, ge=1, le=99)]
Minutes = Annotated[float, Field(strict=True, ge=0, le=2_880, description="[min]")]


Yes = Annotated[bool, Field(strict=True)]


class Said(BaseModel):
    """Something that was said once: unknown keys are problems, nothing ever changes."""

    model_config = ConfigDict(
        extra="forbid", frozen=True, str_strip_whitespace=True, allow_inf_nan=False, defer_build=True
    )


class Stretch(Said):
    """A stretch of some strips."""

    start_m: Station
    end_m: Station
    strips: Strips = ()

    @model_validator(mode="after")
    def _runs_up(self) -> Stretch:
        """A stretch has a length."""
        if self.end_m <= self.start_m:
            raise wrong(f"{self.start_m:g} to {self.end_m:g}", "start_m below end_m", "Write the lower station first.")
        return self


class Place(Said):
    """Where something happened; every part may be left out."""

    start_m: Station | None = None
    end_m: Station | None = Field(None, description="end of a stretch [m]; not said: the place is a point")
    strips: Strips = ()
    block: Annotated[str, Field(max_length=20, description="name of the block, such as B1")] = ""
    landmark: Annotated[str, Field(max_length=80, description="the place in words")] = ""

    @model_validator(mode="after")
    def _runs_up(self) -> Place:
        """A stretch starts before it ends."""
        if self.end_m is not None and (self.start_m is None or self.end_m < self.start_m):
            found = f"{'nothing' if self.start_m is None else format(self.start_m, 'g')} to {self.end_m:g}"
            raise wrong(found, "start_m, not above end_m", "Write the lower station first, or leave end_m out.")
        return self


class Payload(Said):
    """What one kind of entry says; ``words`` is how people say it."""

    words: ClassVar[str] = ""

    note: Text = ""


class Span(Payload):
    """Work that takes time: the entry happened when it ended, or when it began where it is still under way."""

    started_at: When | None = Field(None, description="when it began, where the entry says when it ended")
    under_way: Yes = Field(False, description="true: the entry happened when the work began, and it goes on")

    @model_validator(mode="after")
    def _one_start(self) -> Span:
        """Work under way began when the entry happened."""
        if self.under_way and self.started_at is not None:
            raise wrong(
                "under_way and started_at", "one of the two", "Leave started_at out: happened_at is when it began."
            )
        return self
