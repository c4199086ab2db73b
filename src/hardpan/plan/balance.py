"""The balance of a zone: dry soil, cement, water and air before and after, the rise by both routes, and how low to shape the ground.

Of water, air and finished density two are chosen and the third follows. The crew's stated figure makes the level; our sum stands beside it.
"""

from __future__ import annotations

from dataclasses import dataclass

from hardpan.errors import LawError, Problem, StreetError
from hardpan.laws import depth as depths
from hardpan.laws import phases, rise, spread
from hardpan.plan.mixing_water import MixingWater, decide_water
from hardpan.plan.soils import SoilFigures, soil_figures
from hardpan.plan.zones import Zone
from hardpan.street import Basis, Figure, Notice, Street
from hardpan.street.defaults import default
from hardpan.street.figure import propagated_spread, range_notices, weakest, worked

MISFIT = 0.015  # metres of rise between the two routes that are worth a notice (common practice, no source)


@dataclass(frozen=True, slots=True)
class ZoneBalance:
    """Masses, volumes and levels of one zone, all a square metre of street; contents over dry soil and cement where treated."""

    zone: str
    original_depth: Figure
    soil_mass: Figure
    cement_content: Figure
    water_setting: str
    water: Figure
    water_to_target: Figure
    treated_water_content: Figure
    chosen: str
    final_air: Figure
    final_dry_density: Figure
    rise: Figure
    rise_by_three_phases: Figure
    rise_by_final_density: Figure
    our_low: Figure
    low: Figure
    notices: tuple[Notice, ...]


def balance_zones(street: Street, zones: tuple[Zone, ...]) -> tuple[ZoneBalance, ...]:
    """Balance of every zone, in the order of the zones.

    Raises
    ------
    StreetError
        Where what is said of the soil cannot be; every such zone is named.
    """
    balances, problems = [], []
    for zone in zones:
        try:
            balances.append(_balance(street, zone))
        except LawError as error:
            problems.append(_impossible(zone, error))
    if problems:
        raise StreetError(problems)
    return tuple(balances)


def _impossible(zone: Zone, error: LawError) -> Problem:
    """Problem of a zone whose figures no ground can have."""
    return Problem(
        file="street.toml",
        row=None,
        column=f"soil.{zone.soil}",
        found=f"figures that do not fit in zone {zone.name} ({error})",
        allowed="densities, water and air that one cubic metre can hold",
        do="Check what is said of this soil, and the zone's depth and rate in instructions.csv.",
    )


def _balance(street: Street, zone: Zone) -> ZoneBalance:
    """Balance of one zone."""
    soil = soil_figures(street, zone)
    original = _original_depth(zone, soil)
    soil_mass = worked(
        "dry soil",
        soil.dry_density.value * original.value,
        "kg/m2",
        soil.dry_density,
        original,
        formula="dry density x original depth",
    )
    content = worked(
        "cement content", float(spread.content_from_rate(zone.rate.value, soil.dry_density.value, original.value)), "1", zone.rate, soil_mass,
        formula="rate / dry soil", source="definition: cement over oven-dry soil",
    )  # fmt: skip
    mixing_water = decide_water(street, zone, soil, soil_mass)
    after = _Finished(zone, soil, original, mixing_water.water)
    our_rise = after.rise_by_density if after.density_is_chosen else after.rise_by_phases
    our_low = _our_low(street, our_rise)
    return ZoneBalance(
        zone=zone.name,
        original_depth=original,
        soil_mass=soil_mass,
        cement_content=content,
        water_setting=mixing_water.setting,
        water=mixing_water.water,
        water_to_target=mixing_water.sum_to_target,
        treated_water_content=_treated_water(zone, soil, soil_mass, mixing_water),
        chosen="water and finished density; air follows"
        if after.density_is_chosen
        else "water and air; finished density follows",
        final_air=after.air,
        final_dry_density=after.density,
        rise=our_rise,
        rise_by_three_phases=after.rise_by_phases,
        rise_by_final_density=after.rise_by_density,
        our_low=our_low,
        low=zone.instruction.low or our_low,
        notices=(
            *_reach(street, zone, original),
            *mixing_water.notices,
            *after.notices,
            *_level_notices(zone, our_low),
        ),
    )


def _reach(street: Street, zone: Zone, original: Figure) -> tuple[Notice, ...]:
    """A notice where the mixer does not reach the depth, counted in original ground."""
    deepest = street.file.mixer.deepest.value
    if original.value <= deepest + 1e-9:
        return ()
    asked, reached = f"{original.value * 1000:.0f} mm", f"{deepest * 1000:.0f} mm"
    message = f"the mixer does not reach so deep: {asked} of original ground is asked, {reached} is its deepest"
    return (Notice("limit", message, zone.name, asked, reached),)


def _original_depth(zone: Zone, soil: SoilFigures) -> Figure:
    """Mixing depth as depth of original ground, whatever state it was said in."""
    if zone.depth_state == "original":
        return zone.depth
    if zone.depth_state == "loose":
        loose_factor = default("depth.loose_factor")
        value = float(depths.original_from_loose(zone.depth.value, loose_factor=loose_factor.value))
        return worked("original depth", value, "m", zone.depth, loose_factor, formula="loose depth / loose factor")
    density = soil.final_dry_density or soil.treated_maximum
    value = float(
        depths.original_from_rolled(
            zone.depth.value,
            dry_density=soil.dry_density.value,
            cement=zone.rate.value,
            final_dry_density=density.value,
        )
    )
    return worked(
        "original depth", value, "m", zone.depth, density, zone.rate, soil.dry_density,
        formula="(finished dry density x rolled depth - cement) / dry density before", source="mass balance",
    )  # fmt: skip


class _Finished:
    """The layer after final rolling: air, dry density, and the rise by both routes."""

    def __init__(self, zone: Zone, soil: SoilFigures, original: Figure, water: Figure) -> None:
        self.zone, self.soil, self.original, self.water = zone, soil, original, water
        self.known = {
            "dry_density": soil.dry_density.value,
            "water_content": soil.water_content.value,
            "specific_gravity": soil.specific_gravity.value,
            "cement": zone.rate.value,
            "water_retained": water.value,
        }
        self.phase_inputs = (soil.dry_density, soil.water_content, soil.specific_gravity, zone.rate, water, original)
        wanted = soil.final_dry_density is not None and soil.final_air is None
        self.leaves_no_room = (
            wanted and weakest(soil.water_content.basis, water.basis) is Basis.DEFAULT and not self._fits()
        )
        self.density_is_chosen = wanted and not self.leaves_no_room
        self.air, self.density = self._third()
        self.rise_by_phases = self._rise_by_phases()
        self.rise_by_density = self._rise_by_density()
        self.notices = self._notices()

    def _fits(self) -> bool:
        """Whether soil, cement and water go into a layer of the chosen finished density."""
        try:
            rise.final_air(self.original.value, **self.known, final_dry_density=self.density_for_route)
        except LawError:
            return False
        return True

    def _third(self) -> tuple[Figure, Figure]:
        """Air and finished dry density, one of them chosen, the other following."""
        chosen = self.soil.final_dry_density
        if self.density_is_chosen and chosen is not None:
            value = rise.final_air(self.original.value, **self.known, final_dry_density=chosen.value)
            air = worked(
                "air after rolling", float(value), "1", *self.phase_inputs, chosen,
                formula="1 - (soil + cement + water volumes) / finished thickness", source="three-phase balance",
            )  # fmt: skip
            return air, chosen
        air = self.soil.final_air or self.soil.usual_air
        value = rise.final_dry_density(self.original.value, **self.known, final_air=air.value)
        density = worked(
            "finished dry density", float(value), "kg/m3", *self.phase_inputs, air,
            formula="(dry soil + cement) / finished thickness", source="three-phase balance",
        )  # fmt: skip
        return air, density

    def _rise_by_phases(self) -> Figure:
        """Rise from the volumes of soil, cement, water and the usual or chosen air."""
        air = self.soil.final_air or self.soil.usual_air
        value = rise.by_three_phases(self.original.value, **self.known, final_air=air.value)
        return worked(
            "rise by three phases", float(value), "m", *self.phase_inputs, air,
            formula="(dry soil / Gs + cement / 3.15 + water before + water kept) / (1 - air) - depth", source="three-phase balance",
            spread=self._spread(air), notices=range_notices(rise.by_three_phases, self.zone.name, final_air=air.value),
        )  # fmt: skip

    def _spread(self, air: Figure) -> float:
        """Spread of the rise by three phases from the spreads of what it rests on, water before through saturation where it came from there."""
        soil = self.soil
        free = {
            "dry_density": soil.dry_density,
            "specific_gravity": soil.specific_gravity,
            "wetness": soil.saturation or soil.water_content,
            "water_retained": self.water,
            "final_air": air,
        }

        def law(
            dry_density: float, specific_gravity: float, wetness: float, water_retained: float, final_air: float
        ) -> float:
            full = float(
                phases.water_content_at(dry_density, specific_gravity, 1.0)
            )  # no draw holds more than its pores
            wetness = min(wetness, 1.0) * full if soil.saturation is not None else min(wetness, full)
            value = rise.by_three_phases(
                self.original.value, dry_density=dry_density, water_content=wetness, specific_gravity=specific_gravity,
                cement=self.zone.rate.value, water_retained=max(water_retained, 0.0), final_air=max(final_air, 0.0),
            )  # fmt: skip
            return float(value)

        return propagated_spread(law, free)

    def _rise_by_density(self) -> Figure:
        """Rise from dry masses and a finished dry density: the chosen one, else the treated maximum."""
        density = self.soil.final_dry_density or self.soil.treated_maximum
        value = rise.by_final_density(
            self.original.value,
            dry_density=self.soil.dry_density.value,
            cement=self.zone.rate.value,
            final_dry_density=density.value,
        )
        thickness = self.original.value + float(value)
        rate_of_change = thickness / density.value  # metres of rise lost a kg/m3 of density
        return worked(
            "rise by finished density", float(value), "m", self.soil.dry_density, self.zone.rate, density, self.original,
            formula="(dry density before x depth + cement) / finished dry density - depth", source="mass balance",
            spread=rate_of_change * density.spread,
        )  # fmt: skip

    def _notices(self) -> tuple[Notice, ...]:
        """A misfit between the two routes, and a finished density that the volumes do not allow."""
        notices = []
        if self.leaves_no_room:
            message = (
                f"a finished dry density of {self.density_for_route:.0f} kg/m3 leaves no room for the water that is taken to be there, "
                f"which rests on a default: {self.density.value:.0f} with the usual air stands in; measure the soil's water"
            )
            notices.append(Notice("judgement", message, self.zone.name))
        misfit = self.rise_by_phases.value - self.rise_by_density.value
        if abs(misfit) > MISFIT:
            message = (
                f"the two sums of the rise differ by {abs(misfit) * 1000:.0f} mm: {self.rise_by_phases.value * 1000:z.0f} by water and usual air, "
                f"{self.rise_by_density.value * 1000:z.0f} by a finished dry density of {self.density_for_route:.0f} kg/m3; one of water, air and density is not what we think"
            )
            notices.append(Notice("judgement", message, self.zone.name))
        if self.density_is_chosen and self.air.value > self.soil.usual_air.value + 2 * self.soil.usual_air.spread:
            message = f"a finished dry density of {self.density.value:.0f} kg/m3 leaves {self.air.value * 100:.1f} % air; {self.soil.usual_air.value * 100:.0f} % is usual"
            notices.append(Notice("judgement", message, self.zone.name))
        return tuple(notices)

    @property
    def density_for_route(self) -> float:
        """Density that the route by finished density uses."""
        return (self.soil.final_dry_density or self.soil.treated_maximum).value


def _treated_water(zone: Zone, soil: SoilFigures, soil_mass: Figure, mixing_water: MixingWater) -> Figure:
    """Water content of the mix over dry soil and cement."""
    total = soil.water_content.value * soil_mass.value + mixing_water.water.value
    return worked(
        "water content of the mix", total / (soil_mass.value + zone.rate.value), "1", soil.water_content, soil_mass, mixing_water.water, zone.rate,
        formula="(water before + water kept) / (dry soil + cement)", source="mass balance of water; all the water laid counts as kept",
    )  # fmt: skip


def _our_low(street: Street, our_rise: Figure) -> Figure:
    """How low to shape by our own sum."""
    level = street.file.level
    return worked(
        "our low", our_rise.value - level.trim.value - level.settlement.value, "m", our_rise, level.trim, level.settlement,
        formula="rise - trim allowance - settlement under the layer", source="mass balance", spread=our_rise.spread,
    )  # fmt: skip


def _level_notices(zone: Zone, our_low: Figure) -> tuple[Notice, ...]:
    """Where our sum makes the level, and where it lies far from the crew's figure."""
    stated, place = zone.instruction.low, zone.name
    if stated is None:
        message = f"nobody said how low: our sum of {our_low.value * 1000:z.0f} mm makes the level, on {our_low.basis.value} figures; check it on the first 50 m"
        return (Notice("default", message, place),)
    if abs(stated.value - our_low.value) > MISFIT:
        message = f"the crew says {abs(stated.value) * 1000:.0f} mm {'low' if stated.value >= 0 else 'high'}, our sum {abs(our_low.value) * 1000:.0f} {'low' if our_low.value >= 0 else 'high'}: shoot levels before and after on the first 50 m"
        return (Notice("judgement", message, place),)
    return ()
