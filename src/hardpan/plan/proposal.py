"""Proposals where nobody instructed a rate: the cheapest map of rates and depths whose worst places reach the least odds.

Priced are the cement, every change of rate along a strip and every edge between strips; leaving a place untreated and digging it out stand beside the rates. A proposal is no instruction: the engineer decides.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from hardpan.laws.cost import dig_out_cost
from hardpan.plan.axle_odds import passing
from hardpan.plan.ground import Ground
from hardpan.plan.ground_field import Floats
from hardpan.plan.instructions import InForce, follow_instructions
from hardpan.plan.odds_basis import OddsBasis
from hardpan.plan.zone_map import ZoneMap, cheapest_map
from hardpan.street import Basis, Figure, Notice, Street
from hardpan.street.defaults import default
from hardpan.street.street import Instruction

DEPTHS = (0.20, 0.25, 0.30, 0.35, 0.40)
"""Mixing depths of original ground that are weighed, down to the deepest that the mixer reaches [m]."""

_TIE = 0.01  # $/m2: of actions that cost the same the likelier one is taken
_NOTE = "proposed by Hardpan: nobody has agreed it yet, the engineer decides"


@dataclass(frozen=True, slots=True)
class Action:
    """What a place may get: a rate mixed to a depth, nothing (rate 0), or digging out."""

    rate: float
    depth: float
    dig_out: bool = False


@dataclass(frozen=True, slots=True, eq=False)
class Priced:
    """Actions with their cost [$] and odds in every bay, both (strips, bays, actions)."""

    actions: tuple[Action, ...]
    cost: Floats
    odds: Floats


def propose_where_bare(
    street: Street, in_force: InForce, ground: Ground, *, basis: OddsBasis
) -> tuple[Street, InForce]:
    """Street with a proposal in every place that no instruction covers, and what is then in force.

    A proposal never replaces an instruction.
    """
    bare = bare_bays(in_force, ground)
    if not bare.any():
        return street, in_force
    priced = price_actions(street, ground, basis)
    found = cheapest(ground, priced, bare=bare, least=basis.least.value)
    proposals = _instructions(ground, found, priced.actions, bare)
    proposed = replace(street, instructions=(*street.instructions, *proposals))
    again = follow_instructions(proposed)
    return proposed, replace(again, notices=(*again.notices, *_notices(ground, found, bare)))


def bare_bays(in_force: InForce, ground: Ground) -> NDArray[np.bool_]:
    """Bays that no instruction covers, (strips, bays)."""
    middles = ground.bays.middles_m
    bare = np.zeros(ground.word.shape, dtype=bool)
    for piece in in_force.pieces:
        if piece.instruction < 0:
            bare[piece.strip - 1] |= (middles > piece.start_m) & (middles < piece.end_m)
    return bare


def actions_of(street: Street, *, laboratory: bool) -> tuple[Action, ...]:
    """Nothing, digging out, and every rate in steps that a spreader holds at every depth that the mixer reaches."""
    step = default("odds.rate_step_laboratory" if laboratory else "odds.rate_step").value
    rates = np.arange(step, default("odds.rate_most").value + 1e-9, step)
    depths = [depth for depth in DEPTHS if depth <= street.file.mixer.deepest.value + 1e-9] or [
        street.file.mixer.deepest.value
    ]
    return (
        Action(0.0, depths[0]),
        Action(0.0, depths[0], dig_out=True),
        *(Action(float(rate), depth) for depth in depths for rate in rates),
    )


def price_actions(street: Street, ground: Ground, basis: OddsBasis) -> Priced:
    """Cost and odds of every action in every bay."""
    actions = actions_of(street, laboratory=basis.mix.tests > 0)
    area = ground.bays.lengths_m * street.strips[0].width
    prices = street.file.prices
    allowance = 1 + street.file.cement.order_allowance.value
    odds, cost = np.empty((*ground.word.shape, len(actions))), np.empty((*ground.word.shape, len(actions)))
    for index, action in enumerate(actions):
        odds[..., index] = 1.0 if action.dig_out else _odds(street, basis, action)
        each = _dig_out_price(street) if action.dig_out else action.rate * allowance * prices.cement.value / 1000
        cost[..., index] = area * (each + _TIE * (1 - odds[..., index]))
    return Priced(actions, cost, odds)


def _odds(street: Street, basis: OddsBasis, action: Action) -> Floats:
    """Odds of one action in every bay."""
    heavy = action.rate >= default("soft.from_rate").value or street.file.soil.wet
    state = street.file.soil.soft if heavy else street.file.soil.firm
    density = state.dry_density or default(f"{street.file.soil.word}.{'soft' if heavy else 'firm'}.dry_density")
    table = passing(
        basis.gain,
        np.array([action.rate]),
        movement=basis.movement.value,
        depth=action.depth,
        dry_density=density.value,
    )
    return np.asarray(basis.strength @ table.mean(axis=0)[:, 0])


def _dig_out_price(street: Street) -> float:
    """Price of digging out and replacing [$/m2]."""
    prices, dug = street.file.prices, street.file.dig_out
    return dig_out_cost(
        1.0, dug.depth.value, dig_price=prices.dig_haul.value, granular_density=dug.granular_density.value,
        granular_price=prices.granular.value / 1000, placing_price=prices.place.value / 1000, geotextile_price=prices.geotextile.value,
        laps=dug.laps.value,
    ).total  # fmt: skip


def cheapest(ground: Ground, priced: Priced, *, bare: NDArray[np.bool_], least: float) -> ZoneMap:
    """Cheapest map over the bare bays; an instructed bay takes part as one further action that costs nothing."""
    cost = np.concatenate([priced.cost, np.zeros((*bare.shape, 1))], axis=-1)
    dig_out = np.array([action.dig_out for action in priced.actions])
    allowed = np.concatenate([bare[..., None] & ((priced.odds >= least) | dig_out), ~bare[..., None]], axis=-1)
    length = np.full(cost.shape[-1], default("odds.zone_length").value)
    length[[*np.flatnonzero(dig_out), cost.shape[-1] - 1]] = 0.0
    change = default("prices.rate_change").value
    return cheapest_map(
        cost, allowed, lengths=ground.bays.lengths_m, change_along=change,
        change_across=change / default("odds.zone_length").value, least_length=length,
    )  # fmt: skip


def _instructions(
    ground: Ground, found: ZoneMap, actions: tuple[Action, ...], bare: NDArray[np.bool_]
) -> list[Instruction]:
    """Proposals: runs of one action, strips of the same stretch taken together."""
    stretches: dict[tuple[float, float, int], list[int]] = {}
    edges = ground.bays.edges_m
    for row, strip in enumerate(ground.bays.strips):
        chosen = np.where(bare[row], found.action[row], -1)
        starts = [0, *(np.flatnonzero(np.diff(chosen)) + 1).tolist(), chosen.size]
        for first, last in pairwise(starts):
            if chosen[first] >= 0:
                stretches.setdefault((float(edges[first]), float(edges[last]), int(chosen[first])), []).append(strip)
    ordered = sorted(stretches.items())
    return [
        _instruction(actions[action], number, start, end, tuple(strips))
        for number, ((start, end, action), strips) in enumerate(ordered, 1)
    ]


def _instruction(action: Action, number: int, start: float, end: float, strips: tuple[int, ...]) -> Instruction:
    """One proposal."""
    what = "dig out" if action.dig_out else f"{action.rate:g}" if action.rate else "untreated"
    source = "proposed: cheapest map that reaches the least odds"
    return Instruction(
        zone=f"proposed {number}, {what}",
        elsewhere=False,
        start=start,
        end=end,
        strips=strips,
        rate=Figure("rate", action.rate, "kg/m2", Basis.DEFAULT, source),
        depth=Figure("mixing depth", action.depth, "m", Basis.DEFAULT, source),
        depth_state="original",
        low=None,
        water=None,
        soil=None,
        said_by="",
        heard_by="",
        said_at=None,
        where="",
        note=_NOTE,
        row=0,
        proposed=True,
        dig_out=action.dig_out,
    )


def _notices(ground: Ground, found: ZoneMap, bare: NDArray[np.bool_]) -> tuple[Notice, ...]:
    """That these are proposals, how near to the cheapest map they are, and where nothing else is known."""
    length = float((ground.bays.lengths_m * bare).sum())
    message = f"{length:.0f} m of strip have no rate instruction: the rates there are {_NOTE.split(':', maxsplit=1)[0]}, cheapest within {max(100 * found.gap, 0.1):.1f} %; the engineer decides"
    return (Notice("instruction", message, "rates"),)
