"""How much water a zone gets: the crew's setting as it is, or the sum to a target; and when to say none."""

from __future__ import annotations

from dataclasses import dataclass

from hardpan.laws import water
from hardpan.plan.soils import SoilFigures
from hardpan.plan.zones import Zone
from hardpan.street import Basis, Figure, Notice, Street
from hardpan.street.defaults import default
from hardpan.street.figure import worked

SQUEEZE = "find out in the first 20 m: a squeezed handful that smears wants 5 L/m2 less, one that crumbles 5 more"


@dataclass(frozen=True, slots=True)
class MixingWater:
    """Water of a zone: the setting in words, litres a square metre, and the sum to the target beside it."""

    setting: str
    water: Figure
    sum_to_target: Figure
    notices: tuple[Notice, ...]


def decide_water(street: Street, zone: Zone, soil: SoilFigures, soil_mass: Figure) -> MixingWater:
    """Water of one zone: as instructed; unsaid, the sum where soil water and treated optimum were measured, else the usual setting."""
    target = _sum_to_target(zone, soil, soil_mass)
    measured = soil.water_content.basis is Basis.MEASURED and soil.treated_optimum.basis is Basis.MEASURED
    said = zone.instruction.water
    if isinstance(said, Figure):
        return MixingWater("stated", said, target, _far_from_sum(zone, said, target))
    if said in ("full", "half", "off"):
        litres = setting_litres(street, said)
        return MixingWater(said, litres, target, _far_from_sum(zone, litres, target))
    if measured:
        return _measured_target(zone, soil, target)
    return _unmeasured(street, zone, target)


def setting_litres(street: Street, word: str) -> Figure:
    """Litres a square metre of the crew's setting full, half or off."""
    soil = street.file.soil
    if word == "off":
        return Figure("water at off", 0.0, "L/m2", Basis.STATED, "stated: off is none")
    if word == "full":
        return soil.water_full or default(f"{soil.word}.water_full")
    if soil.water_half is not None:
        return soil.water_half
    if soil.water_full is not None:
        return worked("water at half", soil.water_full.value / 2, "L/m2", soil.water_full, formula="half of full")
    return default(f"{soil.word}.water_half")


def _sum_to_target(zone: Zone, soil: SoilFigures, soil_mass: Figure) -> Figure:
    """Water that brings the mix to its treated optimum; negative is water to lose."""
    value = water.water_to_target(
        soil_mass.value, zone.rate.value,
        water_content=soil.water_content.value, target_water_content=soil.treated_optimum.value, losses=soil.water_losses.value,
    )  # fmt: skip
    spread = soil_mass.value * (soil.water_content.spread**2 + soil.treated_optimum.spread**2) ** 0.5
    return worked(
        "water to the target", float(value), "L/m2", soil.treated_optimum, soil_mass, zone.rate, soil.water_content, soil.water_losses,
        formula="target x (dry soil + cement) - water content x dry soil + losses", source="mass balance of water", spread=spread,
    )  # fmt: skip


def _measured_target(zone: Zone, soil: SoilFigures, target: Figure) -> MixingWater:
    """The sum to the target as a pump setting: the nearest whole litre, none where the soil is already over."""
    litres = max(0.0, float(round(target.value)))
    figure = worked(
        "water", litres, "L/m2", target, formula="the whole litre nearest the sum; none where it is negative"
    )
    if target.value >= 0:
        return MixingWater("target", figure, target, ())
    message = f"water: add none; soil water and treated optimum are measured, and the soil is {-target.value:.0f} L/m2 over; no vibration, roll static"
    return MixingWater(
        "none",
        figure,
        target,
        (Notice("limit", message, zone.name, f"{soil.water_content.value:.3f}", f"{soil.treated_optimum.value:.3f}"),),
    )


def _unmeasured(street: Street, zone: Zone, target: Figure) -> MixingWater:
    """The usual setting, with the band of the sum and how to find out; never none on a default."""
    word = "full" if zone.rate.value >= default("depth.heavy_from").value else "half"
    litres = setting_litres(street, word)
    message = (
        f"soil water and treated optimum are not both measured: the setting {word} stands in; "
        f"the sum says {target.low:z.0f} to {target.high:z.0f} L/m2 8 times in 10; {SQUEEZE}"
    )
    return MixingWater(word, litres, target, (Notice("default", message, zone.name),))


def _far_from_sum(zone: Zone, litres: Figure, target: Figure) -> tuple[Notice, ...]:
    """A notice where the crew's setting lies outside the band of the sum, or 5 L/m2 from a measured one."""
    room = max(target.high - target.value, 5.0)
    if abs(litres.value - target.value) <= room:
        return ()
    message = f"the crew lays {litres.value:z.0f} L/m2; our sum to the treated optimum is {target.value:z.0f}, on {target.basis.value} figures; {SQUEEZE}"
    return (
        Notice(
            "judgement",
            message,
            zone.name,
            f"{litres.value:z.0f} L/m2",
            f"{target.low:z.0f} to {target.high:z.0f} L/m2",
        ),
    )
