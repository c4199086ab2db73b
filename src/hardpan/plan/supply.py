"""Supply: cement and water, walked in the order of work, and what the treatment is worth beside digging out."""

from __future__ import annotations

from dataclasses import dataclass

from hardpan.plan.balance import ZoneBalance
from hardpan.plan.blocks import BlockPlan
from hardpan.plan.cement import Cement, supply_cement
from hardpan.plan.water_supply import WaterSupply, supply_water
from hardpan.plan.worth import Worth, weigh_worth
from hardpan.plan.zones import Zone
from hardpan.street import Notice, Street


@dataclass(frozen=True, slots=True)
class Supply:
    """Cement and water of the whole street, and their worth."""

    cement: Cement
    water: WaterSupply
    worth: Worth

    @property
    def notices(self) -> tuple[Notice, ...]:
        """Notices of all three."""
        return (*self.cement.notices, *self.water.notices, *self.worth.notices)


def order_supply(
    street: Street, zones: tuple[Zone, ...], balances: tuple[ZoneBalance, ...], blocks: BlockPlan
) -> Supply:
    """Cement and water, walked in the order of work, and the worth of the plan."""
    cement = supply_cement(street, zones, blocks)
    water = supply_water(street, zones, balances, blocks)
    return Supply(cement, water, weigh_worth(street, zones, cement, blocks))
