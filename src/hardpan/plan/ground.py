"""The ground as the slow drive found it: for every bay the word in force and the reading it comes from."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from hardpan.plan.bays import Bays
from hardpan.street import Notice, Street
from hardpan.street.street import Reading
from hardpan.street.words import heard

WORDS = ("", "nothing", "shows", "ruts", "sinks")


@dataclass(frozen=True, slots=True, eq=False)
class Ground:
    """Readings by bay.

    ``word`` indexes ``WORDS``, 0 where nothing was read; ``reading`` indexes the street's readings, -1 where nothing was read;
    both of shape (strips, bays).
    """

    bays: Bays
    word: NDArray[np.int8]
    reading: NDArray[np.int32]
    notices: tuple[Notice, ...]

    def stretches(self, row: int) -> list[tuple[float, float, int]]:
        """Runs of bays of one strip that share a reading: start [m], end [m], index of the reading."""
        reading, edges = self.reading[row], self.bays.edges_m
        breaks = [0, *(np.flatnonzero(np.diff(reading)) + 1).tolist(), reading.size]
        return [(float(edges[a]), float(edges[b]), int(reading[a])) for a, b in pairwise(breaks)]


def read_ground(street: Street, bays: Bays) -> Ground:
    """Word and reading of every bay.

    Where readings overlap the softest word stands: a place that once rutted is not firm because another trip missed it.
    """
    shape = (len(bays.strips), bays.middles_m.size)
    word, reading = np.zeros(shape, dtype=np.int8), np.full(shape, -1, dtype=np.int32)
    for index, one in enumerate(street.readings):
        along = (bays.middles_m > one.start) & (bays.middles_m < one.end)
        softness = WORDS.index(heard(one.word, bounces=one.bounces))
        for strip in one.strips:
            softer = along & (softness > word[strip - 1])
            word[strip - 1, softer] = softness
            reading[strip - 1, softer] = index
    return Ground(bays, word, reading, _notices(street, bays, word, reading))


def _notices(street: Street, bays: Bays, word: NDArray[np.int8], reading: NDArray[np.int32]) -> tuple[Notice, ...]:
    """What was not read, and what the words alone do not tell."""
    notices = []
    for strip in street.strips:
        unread = word[strip.number - 1] == 0
        if unread.any():
            length = float(bays.lengths_m[unread].sum())
            notices.append(
                Notice(
                    "missing",
                    f"{length:.0f} m of strip {strip.number} were not read by the slow drive",
                    f"strip {strip.number}",
                )
            )
    rests = {int(index) for index in np.unique(reading) if index >= 0}
    if any(_skin_may_hide(street.readings[index]) for index in rests) and not street.penetrometer:
        notices.append(
            Notice(
                "judgement",
                "a skin of 100 to 200 mm over soft ground reads nothing; a penetrometer test tells",
                "where the drive showed nothing",
            )
        )
    return tuple(notices)


def _skin_may_hide(reading: Reading) -> bool:
    """Whether soft ground may lie under what was read."""
    return heard(reading.word, bounces=reading.bounces) == "nothing"
