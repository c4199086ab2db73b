"""How far a device's clock may be ahead of the store's: bounds from when it sent and when it last heard, never a new time."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass

from hardpan.ledger.entry import Received

BEYOND_S = 120.0  # a clock wrong by more than this is told of wherever its times stand


@dataclass(frozen=True, slots=True)
class Skew:
    """Seconds that a device's clock is ahead of the store's, at least and at most; None where nothing bounds it.

    A message takes no negative time: what was received before it was sent tells that the device is ahead at least so far, what was
    heard later than it was said tells that it is ahead at most so far. Both take one skew for the whole ledger; ``torn`` says that none fits.
    """

    device: str
    at_least_s: float | None
    at_most_s: float | None

    @property
    def torn(self) -> bool:
        """Whether the clock was set in between: the bounds contradict each other."""
        return self.at_least_s is not None and self.at_most_s is not None and self.at_least_s > self.at_most_s

    @property
    def wrong(self) -> bool:
        """Whether the clock is wrong by more than two minutes for certain, or was set in between."""
        ahead = self.at_least_s is not None and self.at_least_s > BEYOND_S
        behind = self.at_most_s is not None and self.at_most_s < -BEYOND_S
        return ahead or behind or self.torn

    def by_store(self, at: dt.datetime) -> tuple[dt.datetime | None, dt.datetime | None]:
        """Earliest and latest instant by the store's clock of a time on the device's."""
        early = None if self.at_most_s is None else at - dt.timedelta(seconds=self.at_most_s)
        late = None if self.at_least_s is None else at - dt.timedelta(seconds=self.at_least_s)
        return early, late


def skews(received: Iterable[Received]) -> dict[str, Skew]:
    """Skew of every device that sent or heard anything."""
    least: dict[str, float] = {}
    most: dict[str, float] = {}
    for one in received:
        device = one.entry.device
        if one.sent_at and one.received_at:
            bound = (one.sent_at.at - one.received_at.at).total_seconds()
            least[device] = max(bound, least.get(device, bound))
        if one.heard_at and one.heard_said:
            bound = (one.heard_at.at - one.heard_said.at).total_seconds()
            most[device] = min(bound, most.get(device, bound))
    return {name: Skew(name, least.get(name), most.get(name)) for name in sorted(least.keys() | most.keys())}
