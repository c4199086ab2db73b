"""Odds of every zone: at its worst place, for all of it at once, by rate and by day; what they hang on; the stress beside them.

A *place* is the 3 m that one look at the axle test judges. The odds of a zone are those of its worst place; that all of it passes at
once, and all of the street, comes from joint draws of the ground and of what the whole street shares, never from a product.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.special import ndtr

from hardpan.laws.layered import stresses
from hardpan.laws.stiffness import modulus_powell
from hardpan.laws.strength import treated_modulus, treated_undrained
from hardpan.plan.axle_odds import (
    AGE,
    AXLES,
    FIELD,
    MIX,
    PLACES,
    POISSON,
    RIGS,
    WATER,
    Gain,
    Mix,
    contact_radius,
    local_scatter,
    need_of,
    passing,
    rate_needed,
)  # fmt: skip
from hardpan.plan.balance import ZoneBalance
from hardpan.plan.ground import Ground
from hardpan.plan.ground_field import Floats
from hardpan.plan.ground_posterior import GRID
from hardpan.plan.instructions import InForce, Piece
from hardpan.plan.odds_basis import DAYS, DRAWS, OddsBasis
from hardpan.plan.zone_ground import bays_of
from hardpan.plan.zones import Zone
from hardpan.street import Basis, Figure, Notice, Street
from hardpan.street.defaults import default
from hardpan.street.figure import worked
from hardpan.street.vehicles import FULL, tyres
from hardpan.street.words import say_odds

FIELDS, LEAST_FIELDS = 1024, 128
"""Joint draws of the ground, each with one of the ``RIGS``; fewer where so many bays would not fit into memory."""

_MOST_STRENGTHS = 8_000_000  # in all draws of the ground
_AT_ONCE = 128  # draws

RATES = np.arange(0.0, 51.0, 1.0)
"""Rates of the curves [kg/m2]."""

GROUND, LAW = "strength of the ground", "rut law and stiffness"
_SHARPER = {
    MIX: "three laboratory strengths at two rates",
    WATER: "a moisture sample before the wet pass",
    FIELD: "strengths of samples taken behind the mixer",
    AGE: "a thermometer in the treated ground",
    LAW: "an axle pass over a length treated earlier",
    GROUND: "a penetrometer test there",
}
"""What a crew can do about each unknown."""

_SAFE_STRESS = 2.8  # times the undrained strength, see the source of the figure
_SOURCE = "joint draws: rut law, layered bearing and elasticity; judgement where no laboratory strength is known"


@dataclass(frozen=True, slots=True)
class Weight:
    """One unknown, the share of the doubt that it holds, and what would sharpen it."""

    name: str
    share: float
    sharper: str


@dataclass(frozen=True, slots=True, eq=False)
class ZoneOdds:
    """Odds of one zone.

    ``worst`` at its worst place, ``low`` to ``high`` if the defaults of the mix were off by their own error (8 times in 10); ``whole`` that all of it passes at once;
    ``failing`` the share of its length expected to fail. ``curve``, ``curve_low`` and ``curve_high`` are the worst place's odds at ``RATES`` on the
    day of the test, ``later`` at ``RATES`` on each of ``DAYS``. ``waiting`` is the rate that waiting for each of ``DAYS`` is worth. ``enough`` is the
    lowest rate in steps that reaches the least odds, None where none does. ``stress`` on the ground under the layer stands beside
    ``safe_stress``.
    """

    zone: str
    rate: Figure
    worst: Figure
    low: float
    high: float
    worst_m: float
    worst_strip: int
    whole: Figure
    failing: Figure
    least: Figure
    enough: Figure | None
    curve: Floats
    curve_low: Floats
    curve_high: Floats
    later: Floats
    waiting: tuple[Figure, ...]
    matters: tuple[Weight, ...]
    stress: Figure
    safe_stress: Figure
    notices: tuple[Notice, ...]


@dataclass(frozen=True, slots=True, eq=False)
class Odds:
    """Odds of the street: by zone, of all of it at once, on which day, by what mix."""

    zones: tuple[ZoneOdds, ...]
    street: Figure
    day: Figure
    movement: Figure
    mix: Figure
    calculated: bool
    notices: tuple[Notice, ...]

    def may_propose_less(self, zone: Zone) -> bool:
        """Whether a lower rate than instructed may be offered: never in soft ground without laboratory strength."""
        return self.calculated or zone.soil != "soft"


@dataclass(frozen=True, slots=True, eq=False)
class Treatment:
    """Pieces of every strip under one instruction, in order of strip and station, and what they can be expected to do."""

    pieces: tuple[Piece, ...]
    odds: Odds
    notices: tuple[Notice, ...]


@dataclass(frozen=True, slots=True, eq=False)
class _Scene:
    """What every zone of a street shares in the sums."""

    street: Street
    ground: Ground
    basis: OddsBasis
    fields: Floats  # (draws, strips, bays) of ln CBR
    seed: int
    made: dict[tuple[float, float], tuple[Floats, ...]]

    def tables(self, depth: float, dry_density: float) -> tuple[Floats, ...]:
        """Chance that a place passes: by the gain, low, high, later; (draws, strengths, rates) each."""
        key, basis = (round(depth, 6), round(dry_density, 3)), self.basis
        if key not in self.made:
            given = {"movement": basis.movement.value, "depth": key[0], "dry_density": key[1]}
            gains = (basis.gain, basis.low, basis.high, *basis.later)
            self.made[key] = tuple(passing(gain, RATES, **given) for gain in gains)
        return self.made[key]

    def chances(self, zone: Zone, balance: ZoneBalance) -> tuple[Floats, ...]:
        """The same for a zone; ground that is dug out and replaced passes."""
        tables = self.tables(balance.original_depth.value, _dry_density(balance))
        return tuple(np.ones_like(one) for one in tables) if zone.instruction.dig_out else tables

    def place_rng(self) -> np.random.Generator:
        """Where the scatter of places is drawn from."""
        return np.random.default_rng([self.seed, 2])


def treat(
    street: Street, ground: Ground, in_force: InForce, *, zones: tuple[Zone, ...], balance: tuple[ZoneBalance, ...],
    basis: OddsBasis, seed: int,
) -> Treatment:  # fmt: skip
    """Treatment as instructed, or proposed where nobody did, weighed."""
    odds = weigh_odds(
        _Scene(street, ground, basis, draw_fields(ground, _count(ground), seed), seed, {}), zones, balance
    )
    notices = (*in_force.notices, *odds.notices, *(notice for one in odds.zones for notice in one.notices))
    return Treatment(in_force.pieces, odds, notices)


def weigh_odds(scene: _Scene, zones: tuple[Zone, ...], balance: tuple[ZoneBalance, ...]) -> Odds:
    """Odds of every zone and of the street."""
    basis = scene.basis
    wanted = [_wanted(scene, zone, each) for zone, each in zip(zones, balance, strict=True)]
    odds = tuple(_zone(scene, zone, each, mine) for zone, each, mine in zip(zones, balance, wanted, strict=True))
    together = np.max([_gain_asked(mine, zone.rate.value) for zone, mine in zip(zones, wanted, strict=True)], axis=0)
    whole = worked(
        "odds that the whole street passes at once", float(_met(basis.gain, together).mean()), "1",
        basis.mix_figure, basis.day, basis.movement,
        formula="share of joint draws of ground and mix in which every place passes", source=_SOURCE,
    )  # fmt: skip
    return Odds(
        odds, whole, basis.day, basis.movement, basis.mix_figure, basis.mix.tests > 0, _notices(scene.street, basis.mix)
    )


def _count(ground: Ground) -> int:
    """Joint draws of a ground: a multiple of the rigs."""
    return int(np.clip(_MOST_STRENGTHS // ground.word.size // RIGS * RIGS, LEAST_FIELDS, FIELDS))


def draw_fields(ground: Ground, count: int, seed: int) -> Floats:
    """Joint draws of the ln CBR that decides, (count, strips, bays): ties by the joint normal, each bay's own distribution exact."""
    rng = np.random.default_rng([seed, 1])
    moments = ground.posterior.moments(ground.posterior.prior.by_bay)
    return np.concatenate(
        [_draw(ground, min(_AT_ONCE, count - done), rng, moments) for done in range(0, count, _AT_ONCE)]
    )


def _draw(ground: Ground, count: int, rng: np.random.Generator, moments: tuple[Floats, Floats]) -> Floats:
    """Some joint draws."""
    drawn, _ = ground.posterior.draws(count, rng)
    (mean, variance), (n, s) = moments, ground.posterior.shape
    share = ndtr((drawn.reshape(count, -1) - mean) / np.sqrt(variance)).reshape(count, n, s).transpose(0, 2, 1)
    felt = _inverse(ground.felt, share)
    hidden = rng.random(share.shape) < _hiding(ground, count, rng)
    under = _inverse(ground.hidden.strength, rng.random(share.shape))
    return np.where(hidden, under, felt)


def _hiding(ground: Ground, count: int, rng: np.random.Generator) -> Floats:
    """Share of places that hide soft ground, (count, strips, bays): one a draw for the street, for its skins come together."""
    chance, weight = ground.hidden.chance, default("ground.hidden_weight").value
    shares = np.broadcast_to(chance, (count, *chance.shape)).copy()
    for mean in np.unique(chance[(chance > 0) & (chance < 1)]):
        shares[:, chance == mean] = rng.beta(mean * weight, (1 - mean) * weight, count)[:, None]
    return shares


def _inverse(strength: Floats, share: Floats) -> Floats:
    """Ln CBR below which a share lies, for distributions on ``GRID`` (strips, bays, grid) and shares (count, strips, bays)."""
    reached = np.cumsum(strength, axis=-1)
    reached /= reached[..., -1:]
    flat, wanted = reached.reshape(-1, GRID.size), share.reshape(len(share), -1)
    found = np.stack([np.interp(wanted[:, i], flat[i], GRID) for i in range(len(flat))], axis=1)
    return found.reshape(share.shape)


def _wanted(scene: _Scene, zone: Zone, balance: ZoneBalance) -> Floats:
    """Rate times gain that the most demanding place of a zone asks for in every draw of the ground: (draws,)."""
    mask = bays_of(scene.ground, zone)
    lengths = np.broadcast_to(scene.ground.bays.lengths_m, mask.shape)[mask]
    places = np.repeat(np.arange(lengths.size), np.ceil(lengths / default("odds.place").value - 1e-9).astype(int))
    asked = np.zeros(len(scene.fields))
    if zone.instruction.dig_out:
        return asked
    depth, density, rng = balance.original_depth.value, _dry_density(balance), scene.place_rng()
    need, (doses, depths) = need_of(scene.basis.movement.value), local_scatter()
    for rig in range(RIGS):  # a rig at a time: streets with very many places fit into memory
        strength = scene.fields[rig::RIGS][:, mask][:, places]
        dose, deep = (one[rng.integers(0, PLACES, strength.shape)] for one in (doses, depths))
        part = need.at(strength, depth * deep, np.full(strength.shape, rig))
        asked[rig::RIGS] = rate_needed(part, depth=depth * deep, dry_density=density, dose=dose).max(axis=1)
    return asked


def _gain_asked(wanted: Floats, rate: float) -> Floats:
    """Gain at which a rate meets what is wanted; none is asked where nothing is wanted."""
    return np.where(wanted > 0, np.divide(wanted, rate) if rate else np.inf, 0.0)


def _met(gain: Gain, asked: Floats) -> Floats:
    """Share of the draws of the ground with its own rig, for every draw of the gain, in which it reaches what is asked (fields,): (draws,)."""
    return np.asarray((np.exp(gain.log_gain)[:, None] >= asked.reshape(-1, RIGS).T[gain.rig]).mean(axis=1))


def _dry_density(balance: ZoneBalance) -> float:
    """Dry density of the ground before treatment [kg/m3]."""
    return balance.soil_mass.value / balance.original_depth.value


def _zone(scene: _Scene, zone: Zone, balance: ZoneBalance, wanted: Floats) -> ZoneOdds:
    """Odds of one zone."""
    mask = bays_of(scene.ground, zone)
    today, *others = scene.chances(zone, balance)
    bays = scene.basis.strength[mask]
    by_bay = bays @ today.mean(axis=0)
    at_rate = np.array([np.interp(zone.rate.value, RATES, one) for one in by_bay])
    worst = int(np.argmin(at_rate))
    row, column = (int(one[worst]) for one in np.nonzero(mask))
    curve = by_bay.min(axis=0)
    low, high, *after = ((bays @ one.mean(axis=0)).min(axis=0) for one in others)
    by_draw = np.einsum("x,jxr->jr", bays[worst], today)
    mine = np.array([np.interp(zone.rate.value, RATES, one) for one in by_draw])
    lengths = np.broadcast_to(scene.ground.bays.lengths_m, mask.shape)[mask]
    least = scene.basis.least
    enough = _enough(scene, curve, least.value)
    given = (zone.rate, balance.original_depth, scene.basis.mix_figure, scene.basis.movement, scene.basis.day)
    stress, safe = _stresses(scene, zone, balance, (row, column))
    return ZoneOdds(
        zone=zone.name,
        rate=zone.rate,
        worst=worked("odds at the worst place", at_rate[worst], "1", *given, formula="mean over joint draws", source=_SOURCE),
        low=float(np.interp(zone.rate.value, RATES, low)),
        high=float(np.interp(zone.rate.value, RATES, high)),
        worst_m=float(scene.ground.bays.middles_m[column]),
        worst_strip=scene.ground.bays.strips[row],
        whole=worked(
            "odds that all of the zone passes at once", _met(scene.basis.gain, _gain_asked(wanted, zone.rate.value)).mean(), "1", *given,
            formula="share of joint draws of ground and mix in which every place passes", source=_SOURCE,
        ),
        failing=worked(
            "share of the length expected to fail", 1 - np.average(at_rate, weights=lengths), "1", *given,
            formula="mean of 1 - odds over the zone's length", source=_SOURCE,
        ),
        least=least,
        enough=enough,
        curve=curve,
        curve_low=low,
        curve_high=high,
        later=np.array(after),
        waiting=tuple(_waiting(zone, curve, one, day) for one, day in zip(after, DAYS, strict=True)),
        matters=_matters(scene, mine, np.einsum("jxr->xr", today) / DRAWS, bays[worst], zone.rate.value),
        stress=stress,
        safe_stress=safe,
        notices=_zone_notices(scene, zone, at_rate[worst], enough, (row, column)),
    )  # fmt: skip


def _enough(scene: _Scene, curve: Floats, least: float) -> Figure | None:
    """Lowest rate in steps whose worst place reaches the least odds; None where none does."""
    step = default("odds.rate_step_laboratory" if scene.basis.mix.tests else "odds.rate_step")
    rates = np.arange(0.0, default("odds.rate_most").value + 1e-9, step.value)
    reached = np.flatnonzero(np.interp(rates, RATES, curve) >= least)
    if not reached.size:
        return None
    return worked(
        "lowest rate that reaches the least odds", rates[reached[0]], "kg/m2", scene.basis.mix_figure, scene.basis.least, step,
        formula="first step at which the worst place reaches the least odds", source=_SOURCE,
    )  # fmt: skip


def _waiting(zone: Zone, curve: Floats, later: Floats, day: float) -> Figure:
    """Cement that waiting for a later day is worth."""
    odds = float(np.interp(zone.rate.value, RATES, later))
    rate = float(np.interp(odds, curve, RATES))
    return worked(
        f"what waiting for day {day:g} is worth", max(rate - zone.rate.value, 0.0), "kg/m2", zone.rate,
        formula=f"rate that has the odds of day {day:g} on the day of the test, less the rate", source=_SOURCE,
    )  # fmt: skip


def _matters(scene: _Scene, by_draw: Floats, by_strength: Floats, bay: Floats, rate: float) -> tuple[Weight, ...]:
    """Unknowns by the share of the doubt at the worst place that knowing each alone would take away, the greatest first."""
    found = {
        name: float(np.corrcoef(values, by_draw)[0, 1] ** 2 * by_draw.var()) if by_draw.std() and values.std() else 0.0
        for name, values in scene.basis.gain.factors.items()
    }
    by_rig = np.array([by_draw[scene.basis.gain.rig == rig].mean() for rig in range(RIGS)])
    found[LAW] = float(by_rig.var())
    here = np.array([np.interp(rate, RATES, one) for one in by_strength])
    found[GROUND] = float(bay @ here**2 - (bay @ here) ** 2)
    total = sum(found.values()) or 1.0
    return tuple(
        Weight(name, share / total, _SHARPER[name]) for name, share in sorted(found.items(), key=lambda one: -one[1])
    )


def _stresses(scene: _Scene, zone: Zone, balance: ZoneBalance, at: tuple[int, int]) -> tuple[Figure, Figure]:
    """Stress of the axle on the ground under the layer at the middle figures of the worst place, and what that ground bears for long."""
    cbr, depth = float(scene.ground.middle[at]), balance.original_depth.value
    own = 1000 * default("odds.strength_per_cbr").value * cbr
    part = float(np.exp(np.median(scene.basis.gain.log_gain))) * zone.rate.value / balance.soil_mass.value
    multiple = (default("odds.modulus_least").value + default("odds.modulus_most").value) / 2
    wheel = tyres()[FULL].wheel
    stack = [float(treated_modulus(2 * treated_undrained(own, part), multiple)), float(modulus_powell(cbr))]
    load = {"pressure": wheel.inflation_pressure, "radius": contact_radius(), "depth": depth}
    total = sum(
        float(stresses(stack, POISSON, [depth], **load, offset=float(np.hypot(*tyre)), layer=1)[0]) for tyre in AXLES
    )
    stress = worked(
        "stress of the axle on the ground under the layer", total / 1000, "kPa", zone.rate, balance.original_depth, scene.basis.mix_figure,
        formula="layered elasticity under four tyres, at middle figures", source="Burmister (1943)",
    )  # fmt: skip
    strength = worked(
        "undrained strength of the ground", own / 1000, "kPa", default("odds.strength_per_cbr"),
        Figure("bearing ratio at the worst place", cbr, "%", Basis.DEFAULT, "posterior of the ground"), formula="strength for one percent x CBR",
    )  # fmt: skip
    safe = worked(
        "stress that the ground bears without a deep rut", _SAFE_STRESS * own / 1000, "kPa", strength, formula="2.8 x undrained strength",
        source="Steward, Williamson and Mohney (1977), as FM 5-430-00-1 appendix H gives it",
    )  # fmt: skip
    return stress, safe


def _zone_notices(
    scene: _Scene, zone: Zone, odds: float, enough: Figure | None, at: tuple[int, int]
) -> tuple[Notice, ...]:
    """What the reviewer is told of the odds of a zone."""
    least = scene.basis.least.value
    if odds >= least:
        return ()
    station = scene.street.stationing.show(round(float(scene.ground.bays.middles_m[at[1]])))
    where = f"{station} strip {scene.ground.bays.strips[at[0]]}"
    if enough is None:
        most = default("odds.rate_most").value
        more = f"no rate up to {most:g} kg/m2 reaches {least:.2g} there: dig that place out, wait longer, or the engineer decides"
    else:
        more = f"{enough.value:g} kg/m2 would reach {least:.2g}; the instruction stands, the engineer decides"
    message = (
        f"at {zone.rate.value:.3g} kg/m2 the axle test passes {say_odds(odds)} at its worst place, {where}: {more}"
    )
    return (Notice("judgement", message, zone.name),)


def _notices(street: Street, mix: Mix) -> tuple[Notice, ...]:
    """What stands beside every figure of odds."""
    notices = []
    if not mix.tests:
        message = "odds are judgement, not calculated: no laboratory strength of the treated soil; three strengths at two rates would sharpen them most"
        notices.append(Notice("judgement", message, "odds"))
    if street.file.limits.least_probability is None:
        least = default("odds.least").value
        notices.append(Notice("default", f"nobody wrote the least odds of passing: {least:g} is a default", "odds"))
    if street.file.limits.axle_test_movement is None:
        movement = 1000 * default("odds.movement").value
        message = f"nobody wrote how far the axle may move the ground: {movement:.0f} mm is shown, as one study recommends for stabilised subgrade"
        notices.append(Notice("default", message, "odds"))
    return tuple(notices)
