"""The whole board of one instant: plan and ledger in, what the page shows out; no request, no store."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass

from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from hardpan.compare import Progress, compare_progress, look_ahead
from hardpan.compare.ground_left import DONE
from hardpan.compare.happened import Happened
from hardpan.ledger import State
from hardpan.plan import Plan
from hardpan.site.board import ahead as lines
from hardpan.site.board import supply, words
from hardpan.site.board.ahead import Next, Risk
from hardpan.site.board.clock_bars import draw_clocks
from hardpan.site.board.clocks import clocks_of
from hardpan.site.board.now_map import draw_now
from hardpan.site.board.phones import Phone, phones_of
from hardpan.site.board.supply import Row
from hardpan.site.entries.models import RefusedEntry
from hardpan.street import Notice

STALE_H = (
    12.0  # hours after the last entry from which the page says that nothing is being entered (judgement, no source)
)


@dataclass(frozen=True, slots=True)
class PhoneLine:
    """A phone in words, and whether something is wrong with it."""

    words: str
    wrong: bool


@dataclass(frozen=True, slots=True)
class Board:
    """What the page shows; drawings are ready to stand in it."""

    clock: str
    date: str
    day: str
    entries: str
    last: dt.datetime | None
    stale: str
    stops: tuple[str, ...]
    problems: tuple[str, ...]
    map: SafeString
    map_words: str
    map_also: tuple[str, ...]
    clocks: SafeString
    clocks_before: tuple[str, ...]
    clocks_beside: tuple[str, ...]
    next: tuple[Next, ...]
    cement: tuple[Row, ...]
    cement_bar: SafeString
    water: tuple[Row, ...]
    weather: tuple[Row, ...]
    waits: tuple[tuple[str, str], ...]
    risks: tuple[Risk, ...]
    not_checked: tuple[str, ...]
    owed: tuple[str, ...]
    phones: tuple[PhoneLine, ...]
    notices: tuple[Notice, ...]

    @property
    def last_minute(self) -> str:
        """Minute after the last entry, as the page's address takes it."""
        return f"{self.last + dt.timedelta(minutes=1):%Y-%m-%dT%H:%M}" if self.last else ""


def make_board(plan: Plan, state: State, *, now: dt.datetime, refused: Iterable[RefusedEntry] = ()) -> Board:
    """Board at an instant.

    Parameters
    ----------
    plan, state
        The street's plan and what its entries add up to.
    now
        The instant, in the crew's time.
    refused
        Entries that the store keeps apart.
    """
    happened, ahead = Happened(plan, state), look_ahead(plan, state, now=now)
    progress = compare_progress(plan, state, now=now)
    phones = phones_of(state, refused, now=now)
    drawn, clocks = draw_now(happened, ahead), clocks_of(happened, ahead)
    bars = draw_clocks(clocks.bars, now)
    last = max((one.at for one in state.entries if one.at <= now), default=None)
    return Board(
        clock=f"{now:%H:%M}", date=f"{now:%Y-%m-%d}", day=_day(progress), entries=_entries(state, phones, now),
        last=last, stale=_stale(last, now),
        stops=tuple(lines.stops_in_words(ahead, happened, "stop")),
        problems=tuple(lines.stops_in_words(ahead, happened, "problem")),
        map=_ours(drawn.svg), map_words=drawn.words, map_also=drawn.also,
        clocks=_ours(bars.svg), clocks_before=bars.before, clocks_beside=clocks.beside,
        next=lines.next_things(happened, ahead),
        cement=supply.cement_rows(ahead, progress), cement_bar=_ours(supply.draw_cement(ahead)),
        water=supply.water_rows(happened, ahead, progress), weather=supply.weather_rows(happened, now),
        waits=lines.who_waits(ahead), risks=lines.at_risk(ahead, happened),
        not_checked=lines.not_checked(happened, ahead), owed=lines.owed_tests(happened, ahead),
        phones=tuple(_phone(one, now) for one in phones), notices=ahead.notices,
    )  # fmt: skip


def _ours(svg: str) -> SafeString:
    """Our own drawing, in which words of a street are escaped."""
    return mark_safe(svg)


def _day(progress: Progress) -> str:
    """Blocks that work goes on, of how many."""
    under_way = [str(one.number) for one in progress.blocks if one.left["spread"] < 1 and one.left["smooth"] > DONE]
    count = len(progress.blocks)
    if under_way:
        return _("block %(blocks)s of %(count)s") % {"blocks": ", ".join(under_way), "count": count}
    done = sum(one.left["smooth"] <= DONE for one in progress.blocks)
    return _("%(done)s of %(count)s blocks rolled") % {"done": done, "count": count}


def _entries(state: State, phones: tuple[Phone, ...], now: dt.datetime) -> str:
    """How many entries are here, and when the last came."""
    count = ngettext("%(n)s entry", "%(n)s entries", len(state.entries)) % {"n": len(state.entries)}
    heard = max((one.heard for one in phones if one.heard), default=None)
    return count if heard is None else f"{count}, {_('last came %(time)s') % {'time': words.clock(heard, now)}}"


def _stale(last: dt.datetime | None, now: dt.datetime) -> str:
    """That nothing has been entered for long; empty where something was."""
    if last is None:
        return _("Nothing has been entered yet.")
    gone = (now - last).total_seconds() / 60
    return _("Nothing has been entered for %(time)s.") % {"time": words.minutes(gone)} if gone > 60 * STALE_H else ""


def _phone(one: Phone, now: dt.datetime) -> PhoneLine:
    """One phone in words."""
    count = ngettext("%(n)s entry", "%(n)s entries", one.count) % {"n": one.count}
    refused = ngettext("%(n)s refused", "%(n)s refused", one.refused) % {"n": one.refused} if one.refused else ""
    silent = _("silent for an hour: it may hold entries") if one.silent else ""
    parts = (one.device, one.roles, count, one.heard_words(now), refused, one.clock, silent)
    return PhoneLine(" \u00b7 ".join(filter(None, parts)), wrong=bool(refused or one.clock))
