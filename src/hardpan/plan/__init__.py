"""What to do: from what is known of a street to tomorrow's plan, one decision after the other.

Each step is a pure function of the street and of the steps before it; ``make_plan`` names them in order and is the place to read first.
Every figure carries its working; ``why`` opens it.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

from hardpan.plan.balance import ZoneBalance, balance_zones
from hardpan.plan.blocks import block_lengths, lay_out_blocks
from hardpan.plan.conditions import notice_conditions
from hardpan.plan.ground import Ground, read_ground
from hardpan.plan.instructions import follow_instructions
from hardpan.plan.levels import Levels, set_levels
from hardpan.plan.odds_basis import odds_basis
from hardpan.plan.proposal import propose_where_bare
from hardpan.plan.shift import Shift, over_limit, time_shift
from hardpan.plan.supply import Supply, order_supply
from hardpan.plan.treatment import Treatment, treat
from hardpan.plan.zones import Zone, draw_zones
from hardpan.street import Figure, Notice, Street
from hardpan.street.bays import lay_out_bays

CAUTION = (
    "Wet cement burns skin and eyes: wash water on site. Nobody near reversing trucks or the drum. Locates before mixing: it is ground "
    "disturbance. Anyone may stop the work. Hardpan plans and records; local codes, the specification and the licensed engineer decide."
)


class Noted(Protocol):
    """A step of the plan, or a part of one, with its notices."""

    @property
    def notices(self) -> tuple[Notice, ...]:
        """Remarks to show wherever its figures are shown."""


@dataclass(frozen=True, slots=True, eq=False)
class Plan:
    """A street's plan, step by step; every figure in the unit its ``unit`` names."""

    street: Street
    seed: int
    ground: Ground
    treatment: Treatment
    zones: tuple[Zone, ...]
    balance: tuple[ZoneBalance, ...]
    levels: Levels
    supply: Supply
    shift: Shift
    notices: tuple[Notice, ...]


def make_plan(street: Street, *, seed: int = 0) -> Plan:
    """Plan of a street.

    Parameters
    ----------
    street
        As ``read_street`` gives it.
    seed
        Of the random draws; kept with the plan. The odds draw by it; nothing else does.

    Returns
    -------
    Plan
        Frozen; the same street and seed give the same plan, bit for bit.

    Raises
    ------
    StreetError
        Where a place has no rate instruction.

    Examples
    --------
    >>> import hardpan
    >>> plan = hardpan.make_plan(hardpan.read_street(hardpan.example("teal-crescent")))
    >>> round(plan.supply.cement.planned.value), round(1000 * plan.balance[0].rise.value, 1)
    (40320, 47.1)
    """
    in_force = follow_instructions(street)
    ground = read_ground(street, lay_out_bays(street), in_force)
    basis = odds_basis(street, ground, seed=seed)
    street, in_force = propose_where_bare(street, in_force, ground, basis=basis)
    zones = draw_zones(street, in_force)
    balance = balance_zones(street, zones)
    treatment = treat(street, ground, in_force, zones=zones, balance=balance, basis=basis, seed=seed)
    levels = set_levels(street, zones, balance)
    supply, shift = _supply_and_shift(street, zones, balance)
    notices = (
        *notice_conditions(street, zones, days=shift.blocks[-1].day),
        *_all_notices(street, ground, treatment, zones, balance, levels, supply, shift),
    )
    return Plan(street, seed, ground, treatment, zones, balance, levels, supply, shift, tuple(dict.fromkeys(notices)))


def _supply_and_shift(
    street: Street, zones: tuple[Zone, ...], balance: tuple[ZoneBalance, ...]
) -> tuple[Supply, Shift]:
    """Supply and shift in the longest blocks that keep every written clock; in the last length where none does."""
    for length in block_lengths(street, zones):
        tried = _at_length(street, zones, balance, length)
        if not over_limit(tried[1].clocks):
            break
    return tried


def _at_length(
    street: Street, zones: tuple[Zone, ...], balance: tuple[ZoneBalance, ...], length: Figure
) -> tuple[Supply, Shift]:
    """Supply and shift in blocks of one length."""
    blocks = lay_out_blocks(street, zones, length)
    supply = order_supply(street, zones, balance, blocks)
    return supply, time_shift(street, zones, blocks, supply)


def _all_notices(street: Street, *steps: Noted | tuple[Noted, ...]) -> tuple[Notice, ...]:
    """Notices of the street and of every step, in order, each once."""
    parts = [part for step in steps for part in (step if isinstance(step, tuple) else (step,))]
    return tuple(dict.fromkeys([*street.notices, *(notice for part in parts for notice in part.notices)]))
