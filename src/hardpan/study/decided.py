"""The steps of the plan that odds need, and how every zone turned out."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from hardpan.plan.balance import balance_zones
from hardpan.plan.ground import Ground, read_ground
from hardpan.plan.instructions import follow_instructions
from hardpan.plan.odds_basis import OddsBasis, odds_basis
from hardpan.plan.proposal import propose_where_bare
from hardpan.plan.treatment import ZoneOdds, treat
from hardpan.plan.zone_ground import bays_of
from hardpan.plan.zones import Zone, draw_zones
from hardpan.street import Street
from hardpan.street.bays import lay_out_bays
from hardpan.study.simulated import Simulated
from hardpan.study.truth import Flags, Treated, failing_places


@dataclass(frozen=True, slots=True, eq=False)
class Decided:
    """A plan as far as its odds: the ground, what they rest on, the zones with their odds, what every bay gets."""

    ground: Ground
    basis: OddsBasis
    zones: tuple[Zone, ...]
    odds: tuple[ZoneOdds, ...]
    treated: Treated


@dataclass(frozen=True, slots=True)
class ZoneOutcome:
    """One zone: the odds that were stated, and what happened.

    ``worst`` and ``whole`` are odds, ``failing`` the share of length expected to fail. Shares of its lives: ``worst_passed`` of the places in the bay
    that was named the worst, ``whole_passed`` of all places at once; ``failed`` is the share of length that failed.
    """

    worst: float
    whole: float
    failing: float
    worst_passed: float
    whole_passed: float
    failed: float
    length_m: float
    rate_kg_m2: float
    proposed: bool
    dug_out: bool


def decide(street: Street, *, seed: int = 0) -> Decided:
    """The steps of ``make_plan`` up to the treatment; levels, supply and shift do not touch the odds."""
    in_force = follow_instructions(street)
    ground = read_ground(street, lay_out_bays(street), in_force)
    basis = odds_basis(street, ground, seed=seed)
    street, in_force = propose_where_bare(street, in_force, ground, basis=basis)
    zones = draw_zones(street, in_force)
    balance = balance_zones(street, zones)
    odds = treat(street, ground, in_force, zones=zones, balance=balance, basis=basis, seed=seed).odds.zones
    rate, depth, density = (np.zeros(ground.word.shape) for _ in range(3))
    dug_out = np.zeros(ground.word.shape, dtype=bool)
    for zone, each in zip(zones, balance, strict=True):
        here = bays_of(ground, zone)
        rate[here], depth[here] = zone.rate.value, each.original_depth.value
        density[here] = each.soil_mass.value / each.original_depth.value
        dug_out[here] = zone.instruction.dig_out
    return Decided(ground, basis, zones, odds, Treated(rate, depth, density, dug_out))


def outcomes(decided: Decided, made: Simulated) -> tuple[ZoneOutcome, ...]:
    """How every zone turned out."""
    fails = failing_places(made, decided.treated)
    return tuple(
        _outcome(decided.ground, zone, odds, fails) for zone, odds in zip(decided.zones, decided.odds, strict=True)
    )


def _outcome(ground: Ground, zone: Zone, odds: ZoneOdds, fails: Flags) -> ZoneOutcome:
    """How one zone turned out."""
    here = bays_of(ground, zone)
    lengths = np.broadcast_to(ground.bays.lengths_m, here.shape)[here]
    row = ground.bays.strips.index(odds.worst_strip)
    column = int(np.argmin(np.abs(ground.bays.middles_m - odds.worst_m)))
    return ZoneOutcome(
        worst=float(odds.worst.value),
        whole=float(odds.whole.value),
        failing=float(odds.failing.value),
        worst_passed=float(1 - fails[:, row, column].mean()),
        whole_passed=float(1 - fails[:, here].any(axis=(1, 2)).mean()),
        failed=float(np.average(fails[:, here].mean(axis=(0, 2)), weights=lengths)),
        length_m=float(lengths.sum()),
        rate_kg_m2=zone.rate.value,
        proposed=zone.instruction.proposed,
        dug_out=zone.instruction.dig_out,
    )
