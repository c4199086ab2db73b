"""What the treatment costs and weighs in carbon, beside digging out and replacing."""

from __future__ import annotations

from dataclasses import dataclass

from hardpan.laws import carbon, cost
from hardpan.plan.blocks import BlockPlan
from hardpan.plan.cement import Cement
from hardpan.plan.zones import Zone
from hardpan.street import Basis, Figure, Notice, Street
from hardpan.street.figure import worked


@dataclass(frozen=True, slots=True)
class Item:
    """One line of a price."""

    name: str
    amount: Figure


@dataclass(frozen=True, slots=True)
class Way:
    """One way to make the ground carry: its price by item, in all and a square metre, and its carbon."""

    name: str
    items: tuple[Item, ...]
    cost: Figure
    cost_a_square_metre: Figure
    carbon: Figure
    loads: Figure


@dataclass(frozen=True, slots=True)
class Worth:
    """The treatment as planned, and digging out."""

    treatment: Way
    dig_out: Way
    notices: tuple[Notice, ...]


def weigh_worth(street: Street, zones: tuple[Zone, ...], cement: Cement, plan: BlockPlan) -> Worth:
    """Cost and carbon of the plan beside the dig-out."""
    area = worked(
        "area",
        sum(zone.area.value for zone in zones),
        "m2",
        *(zone.area for zone in zones),
        formula="sum of the zones' areas",
    )
    notice = Notice(
        "default",
        "prices and carbon factors are orders of magnitude unless the street states its own; water, rate changes and extra passes are left out",
    )
    return Worth(_treatment(street, area, cement, plan), _dig_out(street, area), (notice,))


def _way(
    name: str,
    items: tuple[tuple[str, float], ...],
    prices: tuple[Figure, ...],
    area: Figure,
    *,
    weight: Figure,
    loads: Figure,
) -> Way:
    """One way, its lines as figures."""
    lines = tuple(Item(item, worked(item, amount, "$", *prices, formula="quantity x price")) for item, amount in items)
    total = worked(
        "cost",
        sum(line.amount.value for line in lines),
        "$",
        *(line.amount for line in lines),
        formula="sum of the lines",
    )
    each = worked("cost a square metre", total.value / area.value, "$/m2", total, area, formula="cost / area")
    return Way(name, lines, total, each, weight, loads)


def _treatment(street: Street, area: Figure, cement: Cement, plan: BlockPlan) -> Way:
    """The plan."""
    prices, factors = street.file.prices, street.file.carbon
    days = Figure("days", max(block.day for block in plan.blocks), "day", Basis.STATED, "the shift as planned")
    lines = cost.treatment_cost(
        cement.ordered.value, prices.cement.value / 1000, days=days.value, day_price=prices.crew_day.value,
        mobilisation=prices.mobilisation.value, testing=prices.testing.value, traffic=prices.traffic.value,
    )  # fmt: skip
    runs = [figure for block in plan.blocks for figure in block.durations.runs]
    hours = worked(
        "machine hours",
        sum(run.value for run in runs) / 60,
        "h",
        *runs,
        formula="sum of all machines' runs over all blocks",
    )
    footprint = carbon.treatment_carbon(
        cement.ordered.value, factors.cement.value, haul_distance=factors.haul_distance.value * 1000, haul_factor=factors.haul.value * 1e-6,
        fuel=hours.value * factors.fuel.value, fuel_factor=factors.diesel.value,
    )  # fmt: skip
    weight = worked(
        "carbon", footprint.total, "kg CO2e", cement.ordered, factors.cement, factors.haul, factors.haul_distance, hours, factors.fuel, factors.diesel,
        formula="cement x factor + cement x distance x haul factor + hours x fuel x diesel factor",
    )  # fmt: skip
    loads = Figure("bulk loads", len(cement.loads), "1", cement.planned.basis, "loads of the plan")
    inputs = (cement.ordered, days, prices.cement, prices.crew_day, prices.mobilisation, prices.testing, prices.traffic)
    return _way("treatment", lines.items, inputs, area, weight=weight, loads=loads)


def _dig_out(street: Street, area: Figure) -> Way:
    """Dig out, geotextile, granular."""
    prices, plan, factors = street.file.prices, street.file.dig_out, street.file.carbon
    lines = cost.dig_out_cost(
        area.value, plan.depth.value, dig_price=prices.dig_haul.value, granular_density=plan.granular_density.value,
        granular_price=prices.granular.value / 1000, placing_price=prices.place.value / 1000, geotextile_price=prices.geotextile.value, laps=plan.laps.value,
    )  # fmt: skip
    volume = area.value * plan.depth.value
    spoil = worked(
        "soil dug out",
        volume * plan.soil_density.value,
        "kg",
        area,
        plan.depth,
        plan.soil_density,
        formula="area x depth x wet density",
    )
    granular = worked(
        "granular brought in",
        volume * plan.granular_density.value,
        "kg",
        area,
        plan.depth,
        plan.granular_density,
        formula="area x depth x density",
    )
    footprint = carbon.dig_out_carbon(
        spoil.value, granular.value, granular_factor=factors.granular.value, spoil_haul_distance=factors.haul_distance.value * 1000,
        granular_haul_distance=factors.haul_distance.value * 1000, haul_factor=factors.haul.value * 1e-6,
    )  # fmt: skip
    weight = worked(
        "carbon", footprint.total, "kg CO2e", granular, factors.granular, spoil, factors.haul, factors.haul_distance,
        formula="granular x factor + (soil + granular) x distance x haul factor; machines left out",
    )  # fmt: skip
    loads = worked(
        "truck loads", -(-spoil.value // plan.truck_load.value) + -(-granular.value // plan.truck_load.value), "1", spoil, granular, plan.truck_load,
        formula="soil / truck load + granular / truck load, each rounded up",
    )  # fmt: skip
    inputs = (
        area,
        plan.depth,
        plan.granular_density,
        plan.laps,
        prices.dig_haul,
        prices.granular,
        prices.place,
        prices.geotextile,
    )
    return _way("dig out", lines.items, inputs, area, weight=weight, loads=loads)
