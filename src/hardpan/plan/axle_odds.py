"""Odds that the axle test passes on treated ground: how much cement a place needs, and how much strength cement gives.

Movement under the accepting axle is a part that comes back (layered elasticity) and a rut (the rut law at the strength of one clay
that bears as much as the treated layer over the ground under it). Both fall as the layer gains strength, so for every strength of
the ground there is a least strength that the cement must add: the *need*. What one kilogram of cement adds is the *gain*; it
depends on the mix, the field, the age and the temperature, and is one for the whole street. A place passes where gain times
cement reaches the need.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache, lru_cache

import numpy as np
from numpy.typing import NDArray
from scipy.stats import norm, qmc

from hardpan.laws.bearing import equivalent_strength
from hardpan.laws.layered_table import TwoLayerTable, two_layer_table
from hardpan.laws.rutting import RUT_EXPONENT, rut_constant
from hardpan.laws.stiffness import modulus_powell
from hardpan.laws.strength import age_factor, equivalent_age, treated_modulus, treated_undrained
from hardpan.plan.ground_field import Floats
from hardpan.street.defaults import default
from hardpan.street.vehicles import FULL, tyres

STRENGTHS = np.linspace(np.log(0.2), np.log(60.0), 39)
"""Grid of ln CBR on which needs are worked out."""

DEPTHS = np.arange(0.05, 0.66, 0.025)
"""Grid of mixing depths of original ground [m]."""

RATES = np.arange(0.0, 61.0, 1.0)
"""Grid of rates for curves of odds [kg/m2]."""

RIGS = 32
"""Joint draws of what decides the need: error of the rut law, strength for a bearing ratio, stiffness for a strength."""

_PARTS = np.geomspace(1e3, 10e6, 64)  # cement's unconfined part tried [Pa]
_NEVER = 5 * _PARTS[-1]  # a need that nothing reaches
POISSON = (0.35, 0.45)
"""Poisson's ratios of treated layer and ground."""

AXLES = ((0.0, 0.0), (0.35, 0.0), (0.0, 1.3), (0.35, 1.3))
"""Tyres of one side of a loaded tandem, the first where movement is worked out [m]."""

_SIDE = 0.886  # of a square as large as a circle, by its diameter
_CURED = 28.0


@dataclass(frozen=True, slots=True, eq=False)
class Need:
    """Least unconfined part that the cement must add [Pa], (strengths, depths, rigs), on ``STRENGTHS`` and ``DEPTHS``."""

    part: Floats

    def at(self, strength: Floats, depth: Floats, rig: NDArray[np.intp]) -> Floats:
        """Need at ln CBR, mixing depth [m] and rig, all of one shape; bilinear."""
        i, s = _place(strength, STRENGTHS)
        j, t = _place(depth, DEPTHS)
        near = (1 - t) * self.part[i, j, rig] + t * self.part[i, j + 1, rig]
        far = (1 - t) * self.part[i + 1, j, rig] + t * self.part[i + 1, j + 1, rig]
        return np.asarray((1 - s) * near + s * far)


def _place(value: Floats, grid: Floats) -> tuple[NDArray[np.intp], Floats]:
    """Cell of an even grid and the share of it, clipped to its ends."""
    place = np.clip((value - grid[0]) / (grid[1] - grid[0]), 0, len(grid) - 1 - 1e-9)
    below = place.astype(np.intp)
    return below, place - below


@dataclass(frozen=True, slots=True, eq=False)
class Gain:
    """Joint draws of what cement gives, one for a whole street.

    ``log_gain`` (draws,) is ln of the unconfined strength [Pa] at the day of the test for a cement content of 1; ``rig`` (draws,) the rig
    of each draw; ``factors`` the draws of each unknown by name, all of one sign: more is stronger.
    """

    log_gain: Floats
    rig: NDArray[np.intp]
    factors: dict[str, Floats]

    def with_centre(self, sds: float) -> Gain:
        """Draws if the defaults themselves were known to be off by some standard deviations of their own error."""
        log_gain = self.log_gain.copy()
        for name, part in ((MIX, "strength"), (FIELD, "field")):
            own = default(f"odds.{part}_centre").value / default(f"odds.{part}_spread").value
            middle, scatter = self.factors[name].mean(), self.factors[name].std()
            log_gain += (np.sqrt(1 - own**2) - 1) * (self.factors[name] - middle)
            log_gain += sds * own * scatter / np.sqrt(2)  # both off the same way, half the variance each
        return Gain(log_gain, self.rig, self.factors)


MIX, WATER, FIELD, AGE = "strength of the mix", "water", "mixing in the field", "age and temperature"


@lru_cache(maxsize=16)
def need_of(movement: float) -> Need:
    """Need for a limit of movement under a loaded tandem [m]."""
    wheel = tyres()[FULL].wheel
    rigs = _rigs()
    x = np.exp(STRENGTHS)[:, None, None, None]
    depth, part = DEPTHS[None, :, None, None], _PARTS[None, None, None, :]
    rut_error, per_cbr, multiple = (one[None, None, :, None] for one in rigs)
    own = per_cbr * x
    layer = treated_undrained(own, part)
    side = _SIDE * 2 * contact_radius()
    bears = equivalent_strength(layer, own, thickness=depth, width=side, length=side)
    cbr = bears / (1000 * default("odds.strength_per_cbr").value)
    rut = rut_constant(wheel) * np.exp(rut_error) * cbr**-RUT_EXPONENT
    comes_back = _table().deflection(treated_modulus(2 * layer, multiple), modulus_powell(x), depth)
    return Need(_crossing(np.log(rut + comes_back), float(np.log(movement))))


@cache
def _rigs() -> tuple[Floats, Floats, Floats]:
    """Error of ln rut in rising order, undrained strength for one percent [Pa], modulus over unconfined strength; (rigs,) each."""
    share = qmc.Sobol(3, scramble=True, rng=np.random.default_rng(1)).random(RIGS)
    share = share[np.argsort(share[:, 0])]
    rut = norm.ppf(share[:, 0]) * default("odds.rut_spread").value
    per_cbr = (
        1000
        * default("odds.strength_per_cbr").value
        * np.exp(norm.ppf(share[:, 1]) * default("odds.strength_per_cbr_spread").value)
    )
    least, most = default("odds.modulus_least").value, default("odds.modulus_most").value
    return rut, per_cbr, least + share[:, 2] * (most - least)


def contact_radius() -> float:
    """Radius of the circle that carries one tyre of the accepting axle at its inflation pressure [m]."""
    wheel = tyres()[FULL].wheel
    return float(np.sqrt(wheel.load / (np.pi * wheel.inflation_pressure)))


@cache
def _table() -> TwoLayerTable:
    """Deflection under the first tyre of the axles, treated layer over ground."""
    wheel = tyres()[FULL].wheel
    return two_layer_table(
        POISSON,
        pressure=wheel.inflation_pressure,
        radius=contact_radius(),
        wheels=AXLES,
        point=AXLES[0],
        thickness_ratios=(0.4, 8.0),
    )


def _crossing(log_movement: Floats, limit: float) -> Floats:
    """Part at which movement first comes down to the limit, along the last axis; 0 where it holds without any."""
    holds = log_movement <= limit
    first = np.argmax(holds, axis=-1)
    before = np.maximum(first - 1, 0)
    above = np.take_along_axis(log_movement, before[..., None], -1)[..., 0]
    below = np.take_along_axis(log_movement, first[..., None], -1)[..., 0]
    share = (above - limit) / np.where(first > 0, above - below, 1.0)
    crossing = np.where(first > 0, _PARTS[before] * (_PARTS[1] / _PARTS[0]) ** share, 0.0)
    return np.asarray(np.where(holds.any(axis=-1), crossing, _NEVER))


@dataclass(frozen=True, slots=True)
class Mix:
    """What is known of the mix: ln of unconfined strength for a cement content of 1 in the laboratory at 28 days [Pa], and its scatter."""

    log_strength: float
    spread: float
    tests: int = 0


def draw_gain(mix: Mix, *, day: float, celsius: float, celsius_spread: float, count: int, seed: int) -> Gain:
    """Draws of the gain for an axle test on a day after treatment, the ground curing at a temperature [C]."""
    share = qmc.Sobol(6, scramble=True, rng=np.random.default_rng(seed)).random(count)
    mixed, wet, field, slow, warm, rig = share.T
    factors = {
        MIX: mix.log_strength + mix.spread * norm.ppf(mixed),
        WATER: default("odds.wet").value + default("odds.wet").spread * norm.ppf(wet),
        FIELD: np.log(default("odds.field").value) + default("odds.field_spread").value * norm.ppf(field),
        AGE: _aged(day, celsius + celsius_spread * norm.ppf(warm), slow),
    }
    return Gain(np.sum(list(factors.values()), axis=0), (rig * RIGS).astype(np.intp), factors)


def _aged(day: float, celsius: Floats, slow: Floats) -> Floats:
    """Ln of strength at an age over strength at 28 days."""
    least, most = default("odds.slowness_least").value, default("odds.slowness_most").value
    age = equivalent_age(day, np.maximum(celsius, 0.0))
    return np.log(age_factor(age, least + slow * (most - least)))


def rate_needed(part: Floats, *, depth: Floats, dry_density: float, dose: Floats) -> Floats:
    """Rate times gain [kg Pa/m2] that a need [Pa] asks for: mixed to a depth [m], where ``dose`` of the rate arrives."""
    return np.asarray(part * depth * dry_density / dose)


PLACES = 64
"""Draws of how much cement arrives and how deep it is mixed at one 3 m place."""


@cache
def local_scatter() -> tuple[Floats, Floats]:
    """Share of the rate that arrives, and of the depth that is mixed, at one place; (places,) each."""
    share = qmc.Sobol(2, scramble=True, rng=np.random.default_rng(2)).random(PLACES)
    return tuple(  # type: ignore[return-value]  # two of them
        np.exp(default(key).value * norm.ppf(one))
        for key, one in zip(("odds.dose_spread", "odds.depth_spread"), share.T, strict=True)
    )


@lru_cache(maxsize=64)
def asked(movement: float, depth: float) -> Floats:
    """Rate times gain over dry density that places ask for, sorted by place: (strengths, rigs, places), for one mixing depth [m]."""
    need = need_of(movement)
    dose, deep = local_scatter()
    shape = (STRENGTHS.size, RIGS, PLACES)
    part = need.at(
        np.broadcast_to(STRENGTHS[:, None, None], shape),
        np.broadcast_to(depth * deep, shape),
        np.broadcast_to(np.arange(RIGS)[:, None], shape),
    )
    return np.sort(rate_needed(part, depth=depth * deep, dry_density=1.0, dose=dose), axis=-1)


def passing(gain: Gain, rates: Floats, *, movement: float, depth: float, dry_density: float) -> Floats:
    """Chance that a place passes, for every draw of the gain, ln CBR of ``STRENGTHS`` and rate: (draws, strengths, rates)."""
    wanted = asked(movement, depth)
    given = np.exp(gain.log_gain)[:, None] * rates / dry_density  # (draws, rates)
    chance = np.empty((len(gain.rig), STRENGTHS.size, rates.size))
    for rig in range(RIGS):
        mine = np.flatnonzero(gain.rig == rig)
        supply = given[mine].ravel()
        most = supply.max(initial=0.0)
        for i in range(STRENGTHS.size):
            asks = wanted[i, rig]
            if asks[-1] == 0 or asks[0] > most:  # hard ground asks for nothing, the softest for more than there is
                chance[mine, i] = asks[-1] == 0
                continue
            met = np.searchsorted(asks, supply, side="right") / PLACES
            chance[mine, i] = met.reshape(mine.size, rates.size)
    return chance
