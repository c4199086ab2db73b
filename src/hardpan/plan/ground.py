"""The ground: for every bay how strong it is and how sure that is, from words, ruts, penetrometer, laboratory and rates.

``Ground.strength`` holds for each bay the probability of every CBR on a grid: what the wheel felt, and with the chance ``hidden``
soft ground under a skin that no wheel feels.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from hardpan.laws.rutting import rut_constant
from hardpan.plan.bogging import Bogging, weigh_bogging
from hardpan.plan.ground_evidence import (
    RUT_LAW,
    WORDS,
    Places,
    bay_at,
    mark_places,
    prior_of,
    seen_by,
    softest,
    told_by,
)
from hardpan.plan.ground_field import Floats
from hardpan.plan.ground_findings import reading_notices, trench_notices
from hardpan.plan.ground_hidden import Hidden, hide
from hardpan.plan.ground_posterior import Posterior, chance_below, infer, quantile
from hardpan.plan.instructions import InForce
from hardpan.plan.next_tests import NextTest, choose_tests
from hardpan.plan.soundings import Sounding, depth_findings, read_soundings
from hardpan.street import Basis, Figure, Notice, Street
from hardpan.street.bays import Bays
from hardpan.street.defaults import default
from hardpan.street.figure import worked
from hardpan.street.vehicles import tyre_of

_SHARES = (0.1, 0.5, 0.9)  # of the band that holds 8 in 10, and its middle
_UNSETTLED = Notice(
    "judgement",
    "readings side by side contradict each other: the strength of the ground is less sure than its band says; drive those places again",
    "slow drive",
)


@dataclass(frozen=True, slots=True, eq=False)
class Ground:
    """What is known of the ground, bay by bay; arrays are (strips, bays).

    ``word`` indexes ``WORDS``, 0 where nothing was read; ``reading`` indexes the street's readings, -1 where nothing was read.
    ``strength`` (strips, bays, grid) is the probability of each ln CBR of ``GRID``, hidden soft ground counted, ``felt``
    of what a wheel felt. ``shown`` is the same where
    nothing is hidden, and what a test found under a skin where one was; ``low``, ``middle`` and ``high`` are the CBR [%] that 1, 5 and 9
    in 10 of it lie below. ``soft`` is the chance of ground that counts as soft, hidden or not.
    """

    bays: Bays
    word: NDArray[np.int8]
    reading: NDArray[np.int32]
    places: Places
    strength: Floats
    felt: Floats
    shown: Floats
    low: Floats
    middle: Floats
    high: Floats
    soft: Floats
    hidden: Hidden
    posterior: Posterior
    soundings: tuple[Sounding, ...]
    rut_constant: Figure
    tests: tuple[NextTest, ...]
    bogging: Bogging
    notices: tuple[Notice, ...]

    def stretches(self, row: int) -> list[tuple[float, float, int]]:
        """Runs of bays of one strip that share a reading: start [m], end [m], index of the reading."""
        reading, edges = self.reading[row], self.bays.edges_m
        breaks = [0, *(np.flatnonzero(np.diff(reading)) + 1).tolist(), reading.size]
        return [(float(edges[a]), float(edges[b]), int(reading[a])) for a, b in pairwise(breaks)]

    def bay_of(self, sounding: Sounding) -> tuple[int, int]:
        """Row and column of the bay that a test was driven in."""
        return sounding.strip - 1, bay_at(self.bays, sounding.station_m)


def read_ground(street: Street, bays: Bays, in_force: InForce) -> Ground:
    """Ground of a street from everything that was read.

    Where one kind of vehicle drove a place twice the softest word stands: a place that once rutted is not firm because another trip missed it.
    """
    soundings, unread_tests = read_soundings(street)
    word, reading = softest(enumerate(street.readings), bays)
    places = mark_places(street, bays, in_force)
    sounded = {(one.strip - 1, bay_at(bays, one.station_m)): one for one in soundings}
    unread = word == 0
    for row, column in sounded:
        unread[row, column] = False
    prior = prior_of(street, bays, places, unread)
    at = [(one, column * len(bays.strips) + row) for (row, column), one in sounded.items()]
    posterior = infer(prior, told_by(street, bays, prior, at), seen_by(street, bays, prior, places))
    felt = _by_strip(posterior.marginal(prior.by_bay), bays)
    hidden = hide(word, places, sounded)
    strength = hidden.mixed(felt)
    shown = np.where(hidden.chance[..., None] == 1, hidden.strength, felt)
    low, middle, high = (quantile(shown, share) for share in _SHARES)
    soft = chance_below(strength, float(np.log(default("ground.soft_below").value)))
    tests = choose_tests(street, bays, places, posterior=posterior, hidden=hidden)
    bogging = weigh_bogging(street, bays, in_force, posterior=posterior, hidden=hidden)
    notices = (
        *unread_tests,
        *(() if posterior.settled else (_UNSETTLED,)),
        *reading_notices(street, bays, word, reading, hidden.chance),
        *trench_notices(street, bays, places, cbr=(low, middle, high)),
        *(notice for one in soundings for notice in depth_findings(street, one)),
        *bogging.notices,
    )
    return Ground(
        bays, word, reading, places, strength, felt, shown, low, middle, high, soft, hidden, posterior, soundings,
        _rut_constant(posterior, sounded), tests, bogging, notices,
    )  # fmt: skip


def _by_strip(by_bay: Floats, bays: Bays) -> Floats:
    """Rows of bays, station by station, as (strips, bays, ...)."""
    return by_bay.reshape(bays.middles_m.size, len(bays.strips), -1).transpose(1, 0, 2)


def _rut_constant(posterior: Posterior, sounded: dict[tuple[int, int], Sounding]) -> Figure:
    """Constant of the rut law for the grader, re-scaled by what ruts and tests side by side say."""
    tyre = tyre_of("grader")
    raw = rut_constant(tyre.wheel)
    given = Figure(
        "rut of the grader's tyre at CBR 1",
        raw,
        "m",
        Basis.DEFAULT,
        tyre.source,
        default("ground.rut_shared").value * raw,
    )
    tests = Figure("penetrometer tests", float(len(sounded)), "1", Basis.MEASURED, "penetrometer.csv")
    moved = float(posterior.joint.shared_mean[RUT_LAW])
    left = float(np.sqrt(posterior.joint.shared_cov[RUT_LAW, RUT_LAW]))
    return worked(
        "rut of the grader's tyre at CBR 1 on this street", raw * float(np.exp(moved)), "m", given, tests,
        formula="default x exp(shared error), the error as ruts, tests and words together say",
        source="rut law; joint normal posterior", spread=raw * float(np.exp(moved)) * left,
    )  # fmt: skip


__all__ = ["WORDS", "Ground", "Hidden", "read_ground"]
