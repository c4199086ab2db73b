"""The ground of one zone in one line: what was read, how strong a place picked in it is, the softest place, what may hide."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from hardpan.plan.ground import Ground
from hardpan.plan.ground_evidence import WORDS
from hardpan.plan.ground_posterior import quantile
from hardpan.plan.zones import Zone
from hardpan.street import Street
from hardpan.street.words import say_odds


@dataclass(frozen=True, slots=True)
class ZoneGround:
    """Ground of a zone.

    ``words`` in the order of length read; ``low``, ``middle`` and ``high`` CBR [%] of a place picked anywhere in it, nothing hidden;
    ``soft`` the share of its length expected soft, hidden or not; ``hidden`` the chance of soft ground under a skin where nothing
    showed, 0 where none is to fear; ``softest`` CBR of its softest bay at ``softest_m`` on ``softest_strip``, ``trench`` whether a
    trench line.
    """

    zone: str
    words: tuple[str, ...]
    low: float
    middle: float
    high: float
    soft: float
    hidden: float
    softest: float
    softest_m: float
    softest_strip: int
    trench: bool

    def line(self, street: Street) -> str:
        """The one line of a sheet."""
        read = self.words[0] if self.words else "not read"
        also = f" (also {', '.join(self.words[1:])})" if self.words[1:] else ""
        firm = f"{also}, CBR about {self.middle:.2g}, 8 in 10 between {self.low:.2g} and {self.high:.2g}"
        where = f"{street.stationing.show(round(self.softest_m))} strip {self.softest_strip}"
        softest = f"softest {self.softest:.2g} at {where}{', trench' if self.trench else ''}"
        hidden = (
            f"; {say_odds(self.hidden)} places where nothing showed hide soft ground under a skin"
            if self.hidden
            else ""
        )
        return f"{read}{firm}; {softest}{hidden}"

    def short(self, street: Street) -> str:
        """The same for a sheet that has room for one row of it."""
        read = self.words[0] if self.words else "not read"
        where = f"{street.stationing.show(round(self.softest_m))} strip {self.softest_strip}"
        hidden = f"; {say_odds(self.hidden)} hide soft ground under a skin" if self.hidden else ""
        return f"{read}, CBR {self.middle:.2g} ({self.low:.2g} to {self.high:.2g}), softest {self.softest:.2g} at {where}{hidden}"


def zone_ground(ground: Ground, zone: Zone) -> ZoneGround:
    """Ground of a zone from its bays, each counted by its length."""
    mask = bays_of(ground, zone)
    length = np.broadcast_to(ground.bays.lengths_m, mask.shape)[mask]
    weight = length / length.sum()
    low, middle, high = (float(quantile(weight @ ground.shown[mask], share)) for share in (0.1, 0.5, 0.9))
    hidden = ground.hidden.chance[mask]
    hidden = hidden[(hidden > 0) & (hidden < 1)]
    row, column = np.unravel_index(np.argmin(np.where(mask, ground.middle, np.inf)), mask.shape)
    return ZoneGround(
        zone=zone.name,
        words=_words(ground.word[mask], length),
        low=low,
        middle=middle,
        high=high,
        soft=float(weight @ ground.soft[mask]),
        hidden=float(hidden.min()) if hidden.size else 0.0,
        softest=float(ground.middle[row, column]),
        softest_m=float(ground.bays.middles_m[column]),
        softest_strip=ground.bays.strips[row],
        trench=bool(ground.places.trench[row, column]),
    )


def bays_of(ground: Ground, zone: Zone) -> NDArray[np.bool_]:
    """Bays whose middle lies in a zone, (strips, bays)."""
    middles = ground.bays.middles_m
    mask = np.zeros(ground.word.shape, dtype=bool)
    for piece in zone.pieces:
        mask[piece.strip - 1] |= (middles > piece.start_m) & (middles < piece.end_m)
    return mask


def _words(words: NDArray[np.int8], length: NDArray[np.float64]) -> tuple[str, ...]:
    """Words read, the longest first."""
    metres = np.bincount(words, length, len(WORDS))
    return tuple(WORDS[index] for index in np.argsort(-metres, kind="stable") if index and metres[index] > 0)
