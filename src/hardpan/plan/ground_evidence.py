"""Evidence on the ground by bay: what the street shares, words and ruts as curves, penetrometer and laboratory as normals.

What many bays share is drawn once, never once a bay: the mean of the street, the error of the rut law, what this eye reads
high or low, the error of the penetrometer's equation, what rain has taken since the drive, and the level of each region
between painted edges.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass, field
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr

from hardpan.laws.rutting import RUT_EXPONENT, Wheel, rut_constant, rut_scatter
from hardpan.plan.ground_field import Floats, unit_field
from hardpan.plan.ground_posterior import SEEN_AT, Prior, Seen, Told
from hardpan.plan.instructions import InForce
from hardpan.plan.soundings import Sounding
from hardpan.street import Street
from hardpan.street.bays import Bays, trench_walls
from hardpan.street.defaults import default
from hardpan.street.street import Reading
from hardpan.street.vehicles import tyre_of
from hardpan.street.words import RUT_MM, heard

Ints = NDArray[np.intp]

STREET, RUT_LAW, EYE, CONE, RAIN, REGIONS = range(6)
"""Columns of what bays share; from ``REGIONS`` on one for each region."""

_LEAST_RUT, _MOST_RUT = 0.005, 0.200  # a rut outside says only less or more [m]
_CLOSEST = 0.995  # correlation of two bays however near
_CERTAIN = 1e-6  # scatter that stands for none
_IMPOSSIBLE = 1e-30  # chance that stands for none
_BLEND = 0.3  # of ln CBR, over which the rut law's scatter widens where its parents part


@dataclass(frozen=True, slots=True, eq=False)
class Places:
    """Where the bays lie: region of each, and whether it is a trench line; both (strips, bays)."""

    region: Ints
    trench: NDArray[np.bool_]


@dataclass(slots=True)
class _Rows:
    """Evidence as it is gathered."""

    columns: int
    bay: list[Ints] = field(default_factory=list)
    shared: list[Floats] = field(default_factory=list)
    first: list[Floats] = field(default_factory=list)
    second: list[Floats] = field(default_factory=list)

    def add(self, bay: Ints, shared: Floats, first: Floats | float, second: Floats | float = 0.0) -> None:
        """Add some bays."""
        self.bay.append(bay)
        self.shared.append(shared)
        self.first.append(np.broadcast_to(first, bay.shape).astype(float))
        self.second.append(np.broadcast_to(second, bay.shape).astype(float))

    def joined(self) -> tuple[Ints, Floats, Floats, Floats]:
        """Bays, shares, and both columns."""
        if not self.bay:
            return np.empty(0, np.intp), np.empty((0, self.columns)), np.empty(0), np.empty(0)
        return (
            np.concatenate(self.bay).astype(np.intp),
            np.concatenate(self.shared),
            np.concatenate(self.first),
            np.concatenate(self.second),
        )


def mark_places(street: Street, bays: Bays, in_force: InForce) -> Places:
    """Regions between painted edges, and trench lines as regions of their own."""
    middles = bays.middles_m
    region = np.zeros((len(bays.strips), middles.size), dtype=np.intp)
    for piece in in_force.pieces:
        region[piece.strip - 1, (middles > piece.start_m) & (middles < piece.end_m)] = piece.instruction
    trench = np.zeros(region.shape, dtype=bool)
    for index, one in enumerate(street.structures):
        if one.kind == "trench":
            start, end = trench_walls(one.start, one.end)
            along = (middles > start) & (middles < end)
            for strip in one.strips:
                trench[strip - 1, along] = True
                region[strip - 1, along] = len(street.instructions) + index
    return Places(region, trench)


def prior_of(street: Street, bays: Bays, places: Places, unread: NDArray[np.bool_]) -> Prior:
    """Ground before any evidence; where nothing was read, an instructed rate moves it."""
    spread = default("ground.spread").value
    street_part, region_part = (default(f"ground.{part}_spread").value / spread for part in ("street", "region"))
    mean, whole = _instructed(street, places, unread, np.log(default("ground.median").value), spread)
    regions, numbers = np.unique(places.region.T, return_inverse=True)
    region = numbers.reshape(places.region.T.shape)
    rain = default("ground.rain_softening")
    errors = [default(f"ground.{which}_shared").value for which in ("rut", "eye", "cone")]
    strength = np.zeros((*region.shape, REGIONS + len(regions)))
    strength[..., STREET] = whole.T
    np.put_along_axis(strength, REGIONS + region[..., None], whole.T[..., None], axis=2)
    return Prior(
        mean=mean.T.copy(),
        spread=whole.T * np.sqrt(1 - street_part**2 - region_part**2),
        field=unit_field(*_ties(bays, region)),
        shared_mean=np.array([0.0, 0.0, 0.0, 0.0, rain.value, *np.zeros(len(regions))]),
        shared_spread=np.array([street_part, *errors, rain.spread, *np.full(len(regions), region_part)]),
        strength=strength,
    )


def _ties(bays: Bays, region: Ints) -> tuple[Floats, Floats]:
    """Correlation along and across, weak over the edge of a region; ``region`` is (bays, strips)."""
    link = default("ground.edge_link").value
    near = np.minimum(np.exp(-np.diff(bays.middles_m) / default("ground.length").value), _CLOSEST)[:, None]
    along = near * np.where(region[1:] == region[:-1], 1, link)
    across = default("ground.across").value * np.where(region[:, 1:] == region[:, :-1], 1, link)
    return along, across


def _instructed(
    street: Street, places: Places, unread: NDArray[np.bool_], mean: float, spread: float
) -> tuple[Floats, Floats]:
    """Mean and spread of ln CBR by bay: the street's, or what a rate alone says where nothing was read."""
    means, spreads = np.full(places.region.shape, mean), np.full(places.region.shape, spread)
    for index, one in enumerate(street.instructions):
        heavy = one.rate.value >= default("ground.heavy_rate").value
        if heavy or one.rate.value < default("ground.light_rate").value:
            here = unread & (places.region == index)
            means[here] = np.log(default("ground.heavy_median" if heavy else "ground.light_median").value)
            spreads[here] = default("ground.instructed_spread").value
    return means, spreads


def told_by(street: Street, bays: Bays, prior: Prior, soundings: Iterable[tuple[Sounding, int]]) -> Told:
    """Penetrometer and laboratory; soundings come with their bay."""
    rows = _Rows(prior.strength.shape[-1])
    flat, strips = prior.by_bay, len(bays.strips)
    for sounding, bay in soundings:
        if sounding.skin:  # what it found counts in its own bay, and tells of no other
            continue
        shared = flat[[bay]].copy()
        shared[:, CONE] = np.hypot(1, sounding.apart / default("ground.cone_shared").value)
        rows.add(np.array([bay], dtype=np.intp), shared, sounding.felt, default("ground.cone_place").value ** 2)
    for test in street.bearing:
        along = bay_at(bays, test.station)
        at = np.array([along * strips + strip - 1 for strip in test.strips])
        # one sample speaks once, however many strips it stands for
        rows.add(at, flat[at], np.log(test.cbr.value), len(at) * default("ground.lab_spread").value ** 2)
    at, shares, value, variance = rows.joined()
    return Told(at, value, variance, shares)


def bay_at(bays: Bays, station: float) -> int:
    """Index along the street of the bay that holds a station."""
    return int(np.clip(np.searchsorted(bays.edges_m, station, side="right") - 1, 0, bays.middles_m.size - 1))


def softest(readings: Iterable[tuple[int, Reading]], bays: Bays) -> tuple[NDArray[np.int8], NDArray[np.int32]]:
    """Word (index of ``WORDS``, 0 for none) and reading in force in every bay, the softest where they overlap; (strips, bays)."""
    shape = (len(bays.strips), bays.middles_m.size)
    word, reading = np.zeros(shape, dtype=np.int8), np.full(shape, -1, dtype=np.int32)
    for index, one in readings:
        along = (bays.middles_m > one.start) & (bays.middles_m < one.end)
        softness = WORDS.index(heard(one.word, bounces=one.bounces))
        for strip in one.strips:
            softer = along & (softness > word[strip - 1])
            word[strip - 1, softer] = softness
            reading[strip - 1, softer] = index
    return word, reading


WORDS = ("", "nothing", "shows", "ruts", "sinks")


def seen_by(street: Street, bays: Bays, prior: Prior, places: Places) -> Seen:
    """Words and ruts of every drive; where one kind of vehicle drove twice the softest word stands, another kind speaks too."""
    rows, curves = _Rows(prior.strength.shape[-1]), list[Floats]()
    share = _shares(bays, places).T.ravel()
    for wheel in dict.fromkeys(tyre_of(one.vehicle).wheel for one in street.readings):
        mine = [(i, one) for i, one in enumerate(street.readings) if tyre_of(one.vehicle).wheel == wheel]
        _, reading = softest(mine, bays)
        for index, one in mine:
            read = np.flatnonzero(reading.T.ravel() == index)
            for part in np.unique(share[read]):
                bay = read[share[read] == part]
                shared = prior.by_bay[bay].copy()
                shared[:, RUT_LAW] = -1 / RUT_EXPONENT
                shared[:, EYE] = 0.0 if one.rut else -1 / RUT_EXPONENT
                shared[:, RAIN] = float(is_stale(street, one))
                rows.add(bay, shared, len(curves))
                curves.append(curve_of(one, wheel, share=float(part)))
    bay, shares, curve, _ = rows.joined()
    return Seen(bay, curve.astype(np.intp), shares, np.array(curves).reshape(-1, len(SEEN_AT)))


def _shares(bays: Bays, places: Places) -> Floats:
    """Part of one look at the ground that falls on each bay (strips, bays): a bay cut short by an edge is not looked at as long."""
    step = np.max(bays.lengths_m)
    share = np.broadcast_to(np.minimum(bays.lengths_m / step, 1), places.region.shape).copy()
    for region in np.unique(places.region[places.trench]):
        here = (places.region == region) & places.trench
        along = bays.lengths_m * here.any(axis=0)
        share[here] = np.broadcast_to(along / along.sum(), here.shape)[here]
    return np.round(share, 6)


def is_stale(street: Street, reading: Reading) -> bool:
    """Whether it rained after a reading."""
    rained = street.file.weather.rained_at
    return rained is not None and reading.driven_at is not None and _plain(reading.driven_at) < _plain(rained)


def _plain(moment: dt.datetime) -> dt.datetime:
    """Local time without a zone."""
    return moment.replace(tzinfo=None)


def curve_of(reading: Reading, wheel: Wheel, *, share: float = 1.0) -> Floats:
    """Likelihood of a reading at every strength of ``SEEN_AT``.

    The rut at a strength scatters by the rut law's local part and by the eye's or the tape's, the more the shorter the
    ``share`` of a bay that was looked at.
    """
    middle, law = _ruts(wheel)
    scatter = np.hypot(law, default("ground.tape" if reading.rut else "ground.eye_place").value)
    scatter = scatter / np.sqrt(share)
    if reading.rut is not None and _LEAST_RUT <= reading.rut.value <= _MOST_RUT:
        off = (np.log(reading.rut.value) - middle) / scatter
        return np.asarray(np.exp(-(off**2) / 2) / scatter)
    low, high = _bounds(reading)
    with np.errstate(divide="ignore"):
        inside = ndtr((np.log(high) - middle) / scatter) - ndtr((np.log(low) - middle) / scatter)
    return np.asarray(np.maximum(inside, _IMPOSSIBLE))


@lru_cache(maxsize=64)
def _ruts(wheel: Wheel) -> tuple[Floats, Floats]:
    """Middle and local scatter of ln rut at every strength of ``SEEN_AT``."""
    return np.log(rut_constant(wheel)) - RUT_EXPONENT * SEEN_AT, law_scatter(wheel, SEEN_AT)


def _bounds(reading: Reading) -> tuple[float, float]:
    """Ruts between which a reading lies [m]."""
    if reading.rut is not None:
        return (0.0, _LEAST_RUT) if reading.rut.value < _LEAST_RUT else (_MOST_RUT, np.inf)
    low, high = RUT_MM[heard(reading.word, bounces=reading.bounces)]
    return low / 1000, high / 1000


def law_scatter(wheel: Wheel, strength: Floats) -> Floats:
    """Local part of the rut law's error at ln CBR: what is left of it when the street's shared part is taken out.

    The law widens at one bearing ratio; here it does over a band of them, for the ground knows no such step.
    """
    shared = default("ground.rut_shared").value
    steps = np.linspace(-_BLEND, _BLEND, 31)
    whole = rut_scatter(np.exp(strength[..., None] + steps), wheel).mean(axis=-1)
    return np.asarray(np.sqrt(np.maximum(whole**2 - shared**2, _CERTAIN)))
