"""What the soil of a zone is taken to be: measured, stated, or the default of its word."""

from __future__ import annotations

from dataclasses import dataclass

from hardpan.laws import compaction, phases
from hardpan.plan.zones import Zone
from hardpan.street import Basis, Figure, Street
from hardpan.street.defaults import default
from hardpan.street.figure import worked
from hardpan.street.street import SoilWordState


@dataclass(frozen=True, slots=True)
class SoilFigures:
    """Soil of one state, figure by figure; densities dry, contents over dry mass.

    ``saturation`` is None where the water content was measured or stated itself.
    """

    dry_density: Figure
    specific_gravity: Figure
    water_content: Figure
    saturation: Figure | None
    treated_optimum: Figure
    treated_maximum: Figure
    final_air: Figure | None
    final_dry_density: Figure | None
    usual_air: Figure
    water_losses: Figure


def soil_figures(street: Street, zone: Zone) -> SoilFigures:
    """Soil of a zone's state."""
    word, state = street.file.soil.word, zone.soil
    said = getattr(street.file.soil, state)
    dry_density = said.dry_density or default(f"{word}.{state}.dry_density")
    specific_gravity = said.specific_gravity or default(f"{word}.specific_gravity")
    content = zone.rate.value / (dry_density.value * zone.depth.value)
    water_content, saturation = _water(street, state, dry_density, specific_gravity)
    return SoilFigures(
        dry_density=dry_density,
        specific_gravity=specific_gravity,
        water_content=water_content,
        saturation=saturation,
        treated_optimum=said.treated_optimum or _from_lab(street, state, "optimum") or _usual_optimum(street, content),
        treated_maximum=said.treated_maximum or _from_lab(street, state, "maximum") or _usual_maximum(street, content),
        final_air=said.final_air,
        final_dry_density=said.final_dry_density,
        usual_air=default(f"{word}.final_air"),
        water_losses=said.water_losses,
    )


def _water(
    street: Street, state: SoilWordState, dry_density: Figure, specific_gravity: Figure
) -> tuple[Figure, Figure | None]:
    """Water content: as said, else from saturation in soft ground, else the default of firm ground."""
    soil = street.file.soil
    said = getattr(soil, state)
    if said.water_content is not None:
        return said.water_content, None
    if state == "firm" and said.saturation is None:
        return default(f"{soil.word}.firm.water_content"), None
    saturation: Figure = said.saturation or default(f"{soil.word}.soft.saturation")
    value = float(phases.water_content_at(dry_density.value, specific_gravity.value, saturation.value))
    water_content = worked(
        "water content before", value, "1", saturation, dry_density, specific_gravity,
        formula="w = S e / Gs, with e = Gs rho_w / rho_d - 1", source="three-phase relations",
    )  # fmt: skip
    return water_content, saturation


def _from_lab(street: Street, state: SoilWordState, which: str) -> Figure | None:
    """Treated optimum or maximum from the laboratory's moisture-density points; None without four of them."""
    points = [row for row in street.lab if row.treated and row.soil == state and row.water_content and row.dry_density]
    if len(points) < 4:
        return None
    waters = [row.water_content.value for row in points if row.water_content]
    densities = [row.dry_density.value for row in points if row.dry_density]
    optimum, maximum = compaction.fit_proctor(waters, densities)
    tests = ", ".join(sorted({row.test for row in points}))
    source = f"measured, lab.csv, curve through {len(points)} points of {tests}"
    if which == "optimum":
        return Figure("treated optimum water content", float(optimum), "1", Basis.MEASURED, source)
    return Figure("treated maximum dry density", float(maximum), "kg/m3", Basis.MEASURED, source)


def _usual_optimum(street: Street, content: float) -> Figure:
    """Treated optimum of the soil's word: the raw one and its rise with cement, linear from 0 over 3 to 6 %."""
    word = street.file.soil.word
    raw, at_3, at_6 = (
        default(f"{word}.raw_optimum"),
        default(f"{word}.optimum_rise_3"),
        default(f"{word}.optimum_rise_6"),
    )
    rise = (
        at_3.value * content / 0.03
        if content < 0.03
        else at_3.value + (at_6.value - at_3.value) * (content - 0.03) / 0.03
    )
    return worked(
        "treated optimum water content", raw.value + rise, "1", raw, at_3, at_6,
        formula=f"raw optimum + rise at {content:.3f} cement over dry soil, linear through 3 and 6 %",
        source="common practice, no source", spread=at_6.spread,
    )  # fmt: skip


def _usual_maximum(street: Street, content: float) -> Figure:
    """Treated maximum dry density of the soil's word: the raw one and its fall with cement."""
    word = street.file.soil.word
    raw, drop = default(f"{word}.raw_maximum"), default(f"{word}.maximum_drop_6")
    return worked(
        "treated maximum dry density", raw.value - drop.value * content / 0.06, "kg/m3", raw, drop,
        formula=f"raw maximum - fall at 6 % x {content:.3f} / 0.06", source="common practice, no source", spread=drop.spread,
    )  # fmt: skip
