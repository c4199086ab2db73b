"""Limits as they are held against a figure: bounds with owner and source, and on which side a figure lies."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, NamedTuple

from hardpan.street import Figure
from hardpan.street.model import Limit

Verdict = Literal["inside", "outside", "not comparable", "no limit"]
NO_LIMIT = "no limit is written"
_ROUNDING = 1e-9


@dataclass(frozen=True, slots=True)
class Bounds:
    """Least and most that a figure may be; None on a side that is open."""

    low: Figure | None
    high: Figure | None
    owner: str
    source: str

    @property
    def by(self) -> str:
        """Who fixed it and where: ``engineer, job limits 8``; ``owner not said`` where nobody is named."""
        return ", ".join(part for part in (self.owner or "owner not said", self.source) if part)

    def holds(self, value: float) -> bool:
        """Whether a value lies between the bounds; on a bound is inside."""
        above = self.low is None or value >= self.low.value - _ROUNDING
        return above and (self.high is None or value <= self.high.value + _ROUNDING)


def bounds(written: Limit, *, low: Figure | None = None, high: Figure | None = None) -> Bounds:
    """Bounds with the owner and the source of the limit that they come from."""
    return Bounds(low, high, written.owner, written.source)


def verdict(value: Figure | None, limit: Bounds | None) -> Verdict:
    """Side on which a figure lies; a figure that nobody measured is not comparable."""
    if limit is None:
        return "no limit"
    if value is None:
        return "not comparable"
    return "inside" if limit.holds(value.value) else "outside"


class Found(NamedTuple):
    """What one test found: its figure, the figure wanted there, the limit, the side, what else was said or can be read beside it."""

    value: Figure | None
    limit: Bounds | None
    verdict: Verdict
    remark: str = ""
    target: Figure | None = None
    beside: tuple[Figure, ...] = ()
