"""Phones as the store knows them: what each sent and when it was last heard, what was refused, whose clock is wrong; what a phone still holds is not known."""

from __future__ import annotations

import datetime as dt
import json
from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from django.utils.translation import gettext as _

from hardpan.ledger import State
from hardpan.ledger.skew import Skew
from hardpan.ledger.standing import Standing
from hardpan.site.board import words
from hardpan.site.entries.models import RefusedEntry

DAY_MIN = 24 * 60.0
SILENT_MIN = 60.0  # a phone that was not heard for so long while others were may hold entries (judgement, no source)


@dataclass(frozen=True, slots=True)
class Phone:
    """One device; ``silent`` where it was not heard for an hour in which others were."""

    device: str
    roles: str
    count: int
    heard: dt.datetime | None
    refused: int
    clock: str
    silent: bool

    def heard_words(self, now: dt.datetime) -> str:
        """When the store last heard it."""
        if self.heard is None:
            return _("came with the street's folder, never heard")
        return _("last heard %(time)s") % {"time": words.clock(self.heard, now)}


def phones_of(state: State, refused: Iterable[RefusedEntry], *, now: dt.datetime) -> tuple[Phone, ...]:
    """Every device of a street's ledger, the last heard first; what came after ``now`` was not heard yet."""
    entries: dict[str, list[Standing]] = defaultdict(list)
    for one in state.entries:
        entries[one.entry.device].append(one)
    bad: dict[str, int] = defaultdict(int)
    for row in refused:
        bad[str(json.loads(bytes(row.body)).get("device", ""))] += 1
    heard = {device: max(_received(own, now), default=None) for device, own in entries.items()}
    last = max((at for at in heard.values() if at is not None), default=None)
    found = [
        Phone(
            device, ", ".join(dict.fromkeys(words.said(one.entry.role) for one in entries[device])), len(entries[device]),
            heard.get(device), bad[device], _clock(state.skews.get(device)), _silent(heard.get(device), last),
        )
        for device in {**entries, **bad}
    ]  # fmt: skip
    return tuple(sorted(found, key=lambda one: (one.heard is None, -one.heard.timestamp() if one.heard else 0.0)))


def _received(own: Iterable[Standing], now: dt.datetime) -> Iterator[dt.datetime]:
    """When entries were received."""
    stamps = (one.received.received_at for one in own)
    return (stamp.at for stamp in stamps if stamp is not None and stamp.at <= now)


def _silent(heard: dt.datetime | None, last: dt.datetime | None) -> bool:
    """Whether a device that was heard in the last day was not heard for long while another was."""
    gone = (last - heard).total_seconds() / 60 if heard is not None and last is not None else 0.0
    return SILENT_MIN < gone < DAY_MIN


def _clock(skew: Skew | None) -> str:
    """What is wrong with a device's clock; empty where nothing is known to be."""
    if skew is None or not skew.wrong:
        return ""
    if skew.torn:
        return _("its clock was set in between")
    if skew.at_least_s is not None and skew.at_least_s > 0:
        return _("its clock is ahead by at least %(time)s") % {"time": words.minutes(skew.at_least_s / 60)}
    return _("its clock is behind by at least %(time)s") % {"time": words.minutes(-(skew.at_most_s or 0.0) / 60)}
