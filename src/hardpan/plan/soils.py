"""What the soil of a zone is taken to be: measured, stated, or the default of its word."""

from __future__ import annotations

from dataclasses import dataclass

from hardpan.laws import compaction, phases
from hardpan.plan.zones import Zone
from hardpan.street import Basis, Figure, Street
from hardpan.street.defaults import default
from hardpan.street.figure import worked
from hardpan.street.rows import LabRow
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
    specific_gravity = said.specific_gravity or default(f"{word}.specific_gravity")
    dry_density = said.dry_density or _usual_density(
        default(f"{word}.{state}.dry_density"), said.water_content, specific_gravity
    )
    loose = default("depth.loose_factor").value if zone.depth_state == "loose" else 1.0
    content = zone.rate.value / (dry_density.value * zone.depth.value / loose)
    water_content, saturation = _water(street, state, dry_density, specific_gravity)
    return SoilFigures(
        dry_density=dry_density,
        specific_gravity=specific_gravity,
        water_content=water_content,
        saturation=saturation,
        treated_optimum=said.treated_optimum
        or _from_lab(street, state, "optimum", content)
        or _usual_optimum(street, content),
        treated_maximum=said.treated_maximum
        or _from_lab(street, state, "maximum", content)
        or _usual_maximum(street, content),
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
        return _usual_water(default(f"{soil.word}.firm.water_content"), dry_density, specific_gravity), None
    saturation: Figure = said.saturation or default(f"{soil.word}.soft.saturation")
    value = float(phases.water_content_at(dry_density.value, specific_gravity.value, saturation.value))
    water_content = worked(
        "water content before", value, "1", saturation, dry_density, specific_gravity,
        formula="w = S e / Gs, with e = Gs rho_w / rho_d - 1", source="three-phase relations",
    )  # fmt: skip
    return water_content, saturation


def _usual_density(usual: Figure, water_content: Figure | None, specific_gravity: Figure) -> Figure:
    """Default dry density, or the densest that ground as wet as stated can have."""
    if water_content is None:
        return usual
    densest = float(compaction.zero_air_voids_density(specific_gravity.value, water_content.value))
    if densest >= usual.value:
        return usual
    return worked(
        "dry density before", densest, "kg/m3", usual, water_content, specific_gravity,
        formula="the default, or without air: rho_w / (w + 1 / Gs)", source="three-phase relations", spread=usual.spread,
    )  # fmt: skip


def _usual_water(usual: Figure, dry_density: Figure, specific_gravity: Figure) -> Figure:
    """Default water content, or what just fills the pores where ground as dense as stated holds no more."""
    full = float(phases.water_content_at(dry_density.value, specific_gravity.value, 1.0))
    if full >= usual.value:
        return usual
    return worked(
        "water content before", full, "1", usual, dry_density, specific_gravity,
        formula="the default, or what just fills the pores: 1 / rho_d - 1 / Gs", source="three-phase relations", spread=usual.spread,
    )  # fmt: skip


def _from_lab(street: Street, state: SoilWordState, which: str, content: float) -> Figure | None:
    """Treated optimum or maximum from the curve nearest the zone's cement content; None without a curve of four points."""
    curves: dict[str, list[LabRow]] = {}
    for row in street.lab:
        if row.treated and row.soil == state and row.water_content and row.dry_density:
            curves.setdefault(row.test, []).append(row)
    long_enough = [rows for rows in curves.values() if len(rows) >= 4]
    if not long_enough:
        return None
    points = min(long_enough, key=lambda rows: _away_from(content, rows))
    waters = [row.water_content.value for row in points if row.water_content]
    densities = [row.dry_density.value for row in points if row.dry_density]
    optimum, maximum = compaction.fit_proctor(waters, densities)
    source = f"measured, lab.csv, curve through {len(points)} points of {points[0].test}"
    if which == "optimum":
        return Figure("treated optimum water content", float(optimum), "1", Basis.MEASURED, source)
    return Figure("treated maximum dry density", float(maximum), "kg/m3", Basis.MEASURED, source)


def _away_from(content: float, rows: list[LabRow]) -> float:
    """How far a curve's cement content lies from a zone's; a curve that names none counts as far."""
    named = [row.cement_content.value for row in rows if row.cement_content]
    return abs(sum(named) / len(named) - content) if named else 1.0


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
