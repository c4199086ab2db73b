"""Supply: cement and water, walked in the order of work."""

from __future__ import annotations

from dataclasses import dataclass

from hardpan.plan.balance import ZoneBalance
from hardpan.plan.blocks import BlockPlan
from hardpan.plan.cement import Cement, supply_cement
from hardpan.plan.water_supply import WaterSupply, supply_water
from hardpan.plan.zones import Zone
from hardpan.street import Street


@dataclass(frozen=True, slots=True)
class Supply:
    """Cement and water of the whole street."""

    cement: Cement
    water: WaterSupply


def order_supply(
    street: Street, zones: tuple[Zone, ...], balances: tuple[ZoneBalance, ...], blocks: BlockPlan
) -> Supply:
    """Cement and water, walked in the order of work."""
    return Supply(supply_cement(street, zones, blocks), supply_water(street, zones, balances, blocks))
