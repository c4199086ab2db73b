"""What a street's entries add up to."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from hardpan.ledger.clocks import Clock, HeldStrip
from hardpan.ledger.entry import Received
from hardpan.ledger.ground import Area, Reach, Rule
from hardpan.ledger.hopper import Laid, Run
from hardpan.ledger.placed import Event
from hardpan.ledger.progress import BayState
from hardpan.ledger.reckoning import CementState
from hardpan.ledger.results import Result
from hardpan.ledger.skew import Skew
from hardpan.ledger.standing import Standing
from hardpan.ledger.water import WaterState
from hardpan.street.figure import Notice


@dataclass(frozen=True, slots=True)
class State:
    """State of a street from its ledger; the order in which entries arrived changes nothing.

    ``entries`` holds every entry in order of happening with what became of it, ``events`` those that count, each with its ground and
    block. ``after_bad`` names entries made after a bad result at the same place, ``refused`` bodies that came second under their id.
    """

    entries: tuple[Standing, ...]
    events: tuple[Event, ...]
    refused: tuple[Received, ...]
    blocks: dict[str, Reach]
    instructions: tuple[Rule, ...]
    runs: tuple[Run, ...]
    laid: tuple[Laid, ...]
    run_outs: tuple[tuple[str, Area], ...]
    bays: tuple[BayState, ...]
    clocks: tuple[Clock, ...]
    held: tuple[HeldStrip, ...]
    cement: CementState
    water: WaterState
    results: tuple[Result, ...]
    after_bad: dict[str, str]
    skews: dict[str, Skew]
    notices: tuple[Notice, ...]

    def entry(self, name: str) -> Standing:
        """Entry of an id, as it stands."""
        return next(one for one in self.entries if one.id == name)

    def clock(self, block: str, starts_with: str) -> Clock:
        """Clock of one block from one event, to the end of final rolling."""
        return next(
            one
            for one in self.clocks
            if (one.block, one.starts_with, one.stops_with) == (block, starts_with, "final rolling ends")
        )

    def by_store(self, one: Standing) -> tuple[dt.datetime | None, dt.datetime | None] | None:
        """Earliest and latest instant by the store's clock of an entry whose device's clock is wrong; None where it is not."""
        skew = self.skews.get(one.entry.device)
        return skew.by_store(one.at) if skew is not None and skew.wrong else None
