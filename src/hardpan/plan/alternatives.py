"""Odds and prices of a zone at other rates and depths than instructed, by the law and the draws that weighed the instruction."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from hardpan.plan import Plan
from hardpan.plan.axle_odds import passing
from hardpan.plan.ground_field import Floats
from hardpan.plan.odds_basis import odds_basis
from hardpan.plan.treatment import RATES
from hardpan.plan.zone_ground import bays_of
from hardpan.street import Figure
from hardpan.street.defaults import default
from hardpan.street.figure import worked


@dataclass(frozen=True, slots=True, eq=False)
class Chances:
    """Odds of a zone, were it treated: ``worst`` at its worst place, ``failing`` the share of its length expected to fail.

    Both by depth of original ground [m] and rate [kg/m2], (depths, rates).
    """

    worst: Floats
    failing: Floats


def chances(plan: Plan, index: int, *, depths: Sequence[float] = (), rates: Floats = RATES) -> Chances:
    """Odds of a zone on the day of the axle test.

    Parameters
    ----------
    plan
        The plan.
    index
        Of the zone.
    depths
        Mixing depths of original ground [m]; the zone's own where none is given.
    rates
        Rates [kg/m2].
    """
    balance, ground = plan.balance[index], plan.ground
    own = balance.original_depth.value
    basis, mask = odds_basis(plan.street, ground, seed=plan.seed), bays_of(ground, plan.zones[index])
    bays, lengths = basis.strength[mask], np.broadcast_to(ground.bays.lengths_m, mask.shape)[mask]
    given = {"movement": basis.movement.value, "dry_density": round(balance.soil_mass.value / own, 3)}
    by_bay = [bays @ passing(basis.gain, rates, depth=round(depth, 6), **given).mean(axis=0) for depth in depths or [own]]  # fmt: skip
    worst = np.array([one.min(axis=0) for one in by_bay])
    return Chances(worst, 1 - np.array([np.average(one, axis=0, weights=lengths) for one in by_bay]))


def at_depths(plan: Plan, index: int, depths: Sequence[float]) -> tuple[list[float], list[float]]:
    """Odds at the worst place and share of the length expected to fail, at the instructed rate and some depths of original ground [m]."""
    rate = min(plan.zones[index].rate.value, float(RATES[-1]))  # over its highest rate the plan's odds stand still
    steps = RATES[np.abs(RATES - rate) < 1]  # the steps on either side: the plan reads between them
    found = chances(plan, index, depths=depths, rates=steps)
    return tuple([float(np.interp(rate, steps, row)) for row in table] for table in (found.worst, found.failing))  # type: ignore[return-value]  # two of them


@dataclass(frozen=True, slots=True, eq=False)
class Prices:
    """Price of a zone a square metre at ``rates``, with the odds at its worst place; and of the two other ways."""

    rates: Floats
    odds: Floats
    cost: Floats
    instructed: Figure
    cement: Figure
    failed: Figure
    untreated: float
    dig_out: Figure
    on_top: Figure


def prices(plan: Plan, index: int) -> Prices:
    """Cement at its price and the places that may fail at theirs, at every rate of the curves."""
    odds, worth = plan.treatment.odds.zones[index], plan.supply.worth
    cement_price, place_price = plan.street.file.prices.cement, default("prices.failed_place")
    found = chances(plan, index)
    cost = RATES * cement_price.value / 1000 + found.failing[0] * place_price.value
    cement = worked(
        "cement a square metre", odds.rate.value * cement_price.value / 1000, "$/m2", odds.rate, cement_price, formula="rate x price"
    )  # fmt: skip
    failed = worked(
        "failed places a square metre", odds.failing.value * place_price.value, "$/m2", odds.failing, place_price,
        formula="share of the length expected to fail x price of a failed place",
    )  # fmt: skip
    instructed = worked(
        "cement and failed places", cement.value + failed.value, "$/m2", cement, failed, formula="sum of both"
    )
    items = {item.name: item.amount for item in worth.treatment.items}
    rest = [amount for name, amount in items.items() if name != "cement"]
    area = sum(zone.area.value for zone in plan.zones)
    on_top = worked("on top at every rate", sum(one.value for one in rest) / area, "$/m2", *rest, formula="sum / area of the street")  # fmt: skip
    return Prices(RATES, found.worst[0], cost, instructed, cement, failed, float(cost[0]), worth.dig_out.cost_a_square_metre, on_top)  # fmt: skip
