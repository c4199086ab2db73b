"""Clocks that run, block by block: since when, to when they are expected, the limit with who set it, or that no limit is written."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass
from itertools import groupby

from django.utils.translation import gettext as _

from hardpan.compare import Outlook
from hardpan.compare.happened import Happened
from hardpan.compare.times_ahead import RunAhead
from hardpan.ledger import Clock
from hardpan.site.board import words

_STOPS = {"padfoot starts": "padfoot", "padfoot ends": "padfoot", "final rolling ends": "smooth"}
_FIRST_SHOWN = ("first mix", "cement on the ground", "water")


@dataclass(frozen=True, slots=True)
class ClockBar:
    """One clock as it is drawn; ``expected`` None where nothing tells when it stops, ``by`` None where no limit is written."""

    name: str
    started: dt.datetime
    used: str
    expected: dt.datetime | None
    by: dt.datetime | None
    limit: str
    left_min: float | None
    beyond_min: float

    @property
    def over(self) -> bool:
        """Whether the limit has passed."""
        return self.left_min is not None and self.left_min < 0

    @property
    def words(self) -> str:
        """The clock in words."""
        return f"{self.name}, {self.used}; {self.limit}"


@dataclass(frozen=True, slots=True)
class Clocks:
    """Clocks of now: the bars, and those without a limit that run beside them, in words."""

    bars: tuple[ClockBar, ...]
    beside: tuple[str, ...]


def clocks_of(happened: Happened, ahead: Outlook) -> Clocks:
    """Every clock that runs.

    A clock with a limit has a bar. Of a block without any limit the clock from its first mix has one, or from its cement before that; the
    others are told in words.
    """
    running = [clock for clock in happened.state.clocks if clock.stopped_at is None and clock.started_at <= ahead.now]
    blocks = groupby(sorted(running, key=lambda clock: clock.block), key=lambda clock: clock.block)
    bars: list[ClockBar] = []
    beside: list[str] = []
    for _block, own in blocks:
        shown, others = _shown(list(own))
        bars += [_bar(happened, ahead, clock) for clock in shown]
        beside += [_bar(happened, ahead, clock).words for clock in others]
    return Clocks(tuple(sorted(bars, key=lambda bar: (bar.by or bar.started, bar.name))), tuple(beside))


def _shown(clocks: list[Clock]) -> tuple[list[Clock], list[Clock]]:
    """Clocks of a block that have bars, and the others."""
    limited = [clock for clock in clocks if clock.limit_min is not None]
    shown = limited or sorted(clocks, key=lambda clock: _FIRST_SHOWN.index(clock.starts_with))[:1]
    return shown, [clock for clock in clocks if clock not in shown]


def _bar(happened: Happened, ahead: Outlook, clock: Clock) -> ClockBar:
    """One clock."""
    now = ahead.now
    block = happened.planned(clock.block)
    stop = _stop(ahead.runs, block.number, clock) if block else None
    told = {"event": words.said(clock.starts_with), "time": words.clock(clock.started_at, now)}
    named = _("block %(block)s") % {"block": block.number} if block else clock.block
    elapsed = words.minutes((now - clock.started_at).total_seconds() / 60)
    used = elapsed if clock.start_sure else _("at least %(time)s") % {"time": elapsed}
    beyond = (stop - clock.by).total_seconds() / 60 if stop and clock.by else 0.0
    name = f"{named} \u00b7 {_('%(event)s %(time)s') % told}"
    return ClockBar(
        name, clock.started_at, used, stop, clock.by, _limit(clock, now, beyond), clock.left_min(now), beyond
    )


def _stop(runs: Iterable[RunAhead], block: int, clock: Clock) -> dt.datetime | None:
    """When a clock is expected to stop, at the crew's pace."""
    for run in runs:
        if (run.block, run.stage) == (block, _STOPS[clock.stops_with]):
            return run.starts.at if clock.stops_with == "padfoot starts" else run.ends.at
    return None


def _limit(clock: Clock, now: dt.datetime, beyond: float) -> str:
    """Limit with who set it and where, and how far it is passed or will be."""
    if clock.by is None:
        return _("no limit is written")
    left = clock.left_min(now) or 0.0
    told = {"time": words.minutes(abs(left)), "beyond": words.minutes(beyond)}
    if left < 0:
        state = _("passed %(time)s ago") % told
    elif beyond > 0:
        state = _("%(time)s left, passed by %(beyond)s at this pace") % told
    else:
        state = _("%(time)s left") % told
    owner = words.said(clock.owner or "owner not said")
    return f"{words.clock(clock.by, now)}, {state} \u00b7 {owner}, {clock.source or _('source not said')}"
