"""What stands: one entry an id, each with the mending that counts; the order of arrival changes nothing.

Rules. Of several bodies under one id the first received counts. A correction or withdrawal belongs to the entry it names; a correction
of a correction belongs to the same entry. Of the mendings that belong to an entry the latest by (``entered_at``, id) stands. A mending
that is itself withdrawn counts as never made.
"""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Literal, NamedTuple

from hardpan.ledger.entry import Entry, Received, received_body
from hardpan.ledger.mending import MENDINGS, Correction
from hardpan.ledger.moments import Moment
from hardpan.ledger.parts import Payload, Place

Status = Literal["in force", "corrected", "withdrawn", "replaced", "waiting", "not counted"]
_NEVER = dt.datetime.max.replace(tzinfo=dt.UTC)
_MISSING = -1


class Standing(NamedTuple):
    """An entry as it was written and as it stands: payload, place and time after the correction that counts.

    Status: ``in force``; ``corrected`` or ``withdrawn`` (``mended_by`` says by which); for a mending also ``replaced`` by a later one,
    ``waiting`` for an entry that is not here, or ``not counted``.
    """

    received: Received
    entry: Entry
    status: Status
    payload: Payload
    place: Place | None
    happened_at: Moment
    mended_by: str = ""
    conflicting: bool = False

    @property
    def id(self) -> str:
        """Id of the entry."""
        return self.entry.id

    @property
    def kind(self) -> str:
        """Kind of the entry."""
        return self.entry.kind

    @property
    def at(self) -> dt.datetime:
        """Instant it happened, by the device's clock."""
        return self.happened_at.at

    @property
    def counts(self) -> bool:
        """Whether the street's state rests on it."""
        return self.status in ("in force", "corrected") and self.kind not in MENDINGS

    @property
    def late(self) -> bool:
        """Whether it was entered more than 15 minutes after it happened."""
        return self.entry.late


@dataclass(frozen=True, slots=True)
class Kept:
    """One received entry an id, and those refused because another body came first under their id."""

    by_id: dict[str, Received]
    refused: tuple[Received, ...]


def keep(received: Iterable[Received]) -> Kept:
    """First body under every id; resent copies vanish."""
    kept: dict[str, Received] = {}
    copies: dict[str, list[Received]] = defaultdict(list)
    for one in received:
        if kept.setdefault(one.entry.id, one) is not one:
            copies[one.entry.id].append(one)
    refused: dict[bytes, Received] = {}
    for name, more in copies.items():
        several = [kept[name], *more]
        kept[name] = min(several, key=_first)
        refused.update((received_body(one), one) for one in several if one.entry != kept[name].entry)
    return Kept(kept, tuple(refused[body] for body in sorted(refused)))


def _first(one: Received) -> tuple[dt.datetime, bytes]:
    """Order in which bodies under one id count: by receipt, then by content; never received comes last."""
    return one.received_at.at if one.received_at else _NEVER, received_body(one)


def stand(kept: dict[str, Received]) -> tuple[Standing, ...]:
    """Every entry as it stands, in order of happening."""
    mending = _Mending(kept)
    return tuple(sorted(map(mending.standing, kept.values()), key=_order))


def _order(one: Standing) -> tuple[dt.datetime, dt.datetime, str]:
    """Order of happening; what happened at one instant by when it was entered."""
    entry = one.entry
    return one.happened_at.at, entry.entered_at.at, entry.id


@dataclass
class _Mending:
    """Which mending stands for which entry."""

    kept: dict[str, Received]
    root: dict[str, str] = field(default_factory=dict)
    void: set[str] = field(default_factory=set)
    winner: dict[str, Entry] = field(default_factory=dict)
    contested: set[str] = field(default_factory=set)
    lost: set[str] = field(default_factory=set)

    def __post_init__(self) -> None:
        depth = self._depths()
        mendings = [one.entry for one in self.kept.values() if one.entry.kind in MENDINGS]
        self.lost = {one.id for one in mendings if depth[one.id] == _MISSING}
        hanging = sorted((one for one in mendings if one.id not in self.lost), key=lambda one: depth[one.id])
        for one in hanging:
            self.root[one.id] = self._root(one)
        for one in reversed(hanging):  # the deepest first: a withdrawal counts unless it is withdrawn itself
            target = self.kept[one.corrects or ""].entry
            if one.kind == "withdrawal" and target.kind in MENDINGS and one.id not in self.void:
                self.void.add(target.id)
        self._choose([one for one in hanging if self.root[one.id] and one.id not in self.void])

    def _depths(self) -> dict[str, int]:
        """Steps from every entry to the one it mends in the end; missing where that is not here, or where they run in a ring."""
        depth = {name: 0 for name, one in self.kept.items() if one.entry.kind not in MENDINGS}
        for name in self.kept.keys() - depth.keys():
            path: dict[str, None] = {}
            here = name
            while here in self.kept and here not in depth and here not in path:
                path[here] = None
                here = self.kept[here].entry.corrects or ""
            steps = depth.get(here, _MISSING)
            for one in reversed(path):
                steps = _MISSING if steps == _MISSING else steps + 1
                depth[one] = steps
        return depth

    def _root(self, one: Entry) -> str:
        """Entry whose content a mending changes; empty where it changes none, as a withdrawal of a mending."""
        target = self.kept[one.corrects or ""].entry
        if target.kind in MENDINGS:
            root = self.root[target.id] if target.kind == one.kind == "correction" else ""
        else:
            root = target.id
        if root and isinstance(one.payload, Correction) and one.payload.kind != self.kept[root].entry.kind:
            return ""
        return root

    def _choose(self, counting: list[Entry]) -> None:
        """Latest mending of every entry, and the entries over which two mendings disagree."""
        direct: dict[str, int] = defaultdict(int)
        for one in counting:
            root = self.root[one.id]
            best = self.winner.get(root)
            if best is None or (one.entered_at.at, one.id) > (best.entered_at.at, best.id):
                self.winner[root] = one
            direct[one.corrects or ""] += 1
            if direct[one.corrects or ""] > 1:
                self.contested.add(root)

    def standing(self, one: Received) -> Standing:
        """An entry with what became of it."""
        entry = one.entry
        if entry.kind in MENDINGS:
            status, by = self._status(entry), self._by(entry)
            return Standing(one, entry, status, entry.payload, entry.place, entry.happened_at, *by)
        winner, contested = self.winner.get(entry.id), entry.id in self.contested
        if winner is None:
            return Standing(one, entry, "in force", entry.payload, entry.place, entry.happened_at)
        if not isinstance(winner.payload, Correction):
            return Standing(
                one, entry, "withdrawn", entry.payload, entry.place, entry.happened_at, winner.id, conflicting=contested
            )
        place, when = winner.place or entry.place, winner.payload.happened_at or entry.happened_at
        return Standing(one, entry, "corrected", winner.payload.payload, place, when, winner.id, conflicting=contested)

    def _status(self, entry: Entry) -> Status:
        """What became of a mending."""
        if entry.id in self.lost:
            return "waiting"
        if entry.id in self.void:
            return "withdrawn"
        root = self.root[entry.id]
        if not root:
            target = self.kept[entry.corrects or ""].entry
            return "in force" if entry.kind == "withdrawal" and target.kind in MENDINGS else "not counted"
        return "in force" if self.winner[root].id == entry.id else "replaced"

    def _by(self, entry: Entry) -> tuple[str, bool]:
        """Later mending that stands in place of this one, and whether both disagree."""
        root = self.root.get(entry.id, "")
        if not root or entry.id in self.void or self.winner[root].id == entry.id:
            return "", root in self.contested and bool(root)
        return self.winner[root].id, root in self.contested
