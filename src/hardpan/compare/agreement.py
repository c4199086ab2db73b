"""The three that must agree: the rise by levels, by density and by water, zone by zone, where they were measured."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations

from hardpan.compare.checks import Check, checks_of
from hardpan.compare.happened import Happened
from hardpan.compare.level_checks import LevelCheck, level_checks
from hardpan.laws import rise
from hardpan.ledger import State
from hardpan.ledger.placed import of
from hardpan.ledger.testing import DensityTest, Moisture
from hardpan.plan import Plan
from hardpan.plan.balance import MISFIT, ZoneBalance
from hardpan.plan.soils import soil_figures
from hardpan.plan.zones import Zone
from hardpan.street import Basis, Figure, Notice
from hardpan.street.figure import worked


@dataclass(frozen=True, slots=True)
class Misfit:
    """How far two of the three lie apart, in metres of rise."""

    one: str
    other: str
    apart: Figure


@dataclass(frozen=True, slots=True)
class Agreement:
    """Rise of one zone by each of the three; None where it was not measured. ``planned`` is what the levels were set by."""

    zone: str
    planned: Figure
    by_levels: Figure | None
    by_density: Figure | None
    by_water: Figure | None
    misfits: tuple[Misfit, ...]
    notices: tuple[Notice, ...]


def three_agree(plan: Plan, state: State) -> tuple[Agreement, ...]:
    """Water, rise and density held against each other in every zone.

    Parameters
    ----------
    plan, state
        The street's plan and what its entries add up to.

    Returns
    -------
    tuple of Agreement
        One a zone, in the plan's order.

    Notes
    -----
    By levels: mean rise of the points shot before spreading and after final rolling. By density: dry soil and cement over the mean dry
    density found. By water: volumes of soil, cement and the water found in the finished ground, with the usual or the stated air. The cement
    is what the entries say was placed, else the rate. Two that lie more than 15 mm apart make a notice: one of them is not what we think.
    """
    happened = Happened(plan, state)
    checks, levels = checks_of(happened), level_checks(happened)
    return tuple(
        _Zone(happened, zone, balance).agreement(checks, levels)
        for zone, balance in zip(plan.zones, plan.balance, strict=True)
    )


@dataclass(frozen=True)
class _Zone:
    """One zone and what was found in it."""

    happened: Happened
    zone: Zone
    balance: ZoneBalance

    def agreement(self, checks: tuple[Check, ...], levels: tuple[LevelCheck, ...]) -> Agreement:
        """The three of this zone."""
        risen = [one.value for one in levels if one.kind == "rise" and one.zone == self.zone.name]
        found = {
            "levels": _mean("rise by levels", risen),
            "density": self._by_density(checks),
            "water": self._by_water(),
        }
        known = [(name, figure) for name, figure in found.items() if figure is not None]
        misfits = tuple(
            Misfit(
                one,
                other,
                worked("apart", first.value - second.value, "m", first, second, formula=f"by {one} - by {other}"),
            )
            for (one, first), (other, second) in combinations(known, 2)
        )
        return Agreement(
            self.zone.name, self.balance.rise, found["levels"], found["density"], found["water"], misfits,
            tuple(notice for misfit in misfits for notice in self._notice(misfit)),
        )  # fmt: skip

    def _notice(self, misfit: Misfit) -> tuple[Notice, ...]:
        """A notice where two lie too far apart."""
        apart = abs(misfit.apart.value)
        if apart <= MISFIT:
            return ()
        message = f"rise by {misfit.one} and by {misfit.other} lie {apart * 1000:.0f} mm apart: one of them is not what we think"
        return (Notice("judgement", message, self.zone.name, f"{apart * 1000:.0f} mm", f"{MISFIT * 1000:.0f} mm"),)

    def _cement(self) -> Figure:
        """Cement on the ground of this zone."""
        for one in self.happened.state.cement.zones:
            if one.place == self.zone.name and one.fills.kg_m2 is not None:
                shared = "; shared out by ground and rate" if one.fills.shared else ""
                return Figure("cement placed", one.fills.kg_m2, "kg/m2", Basis.STATED, f"fills{shared}")
        return self.zone.rate

    def _by_density(self, checks: tuple[Check, ...]) -> Figure | None:
        """Rise from the dry density that was found, whatever it was held against."""
        tests = [check for check in checks if check.kind == "density" and check.zone == self.zone.name]
        again = [check for check in tests if not check.retested_by]
        dry = [self._dry(check) for check in again]
        density = _mean("dry density found", [one for one in dry if one is not None])
        if density is None:
            return None
        soil, cement = soil_figures(self.happened.plan.street, self.zone), self._cement()
        value = rise.by_final_density(
            self.balance.original_depth.value,
            dry_density=soil.dry_density.value,
            cement=cement.value,
            final_dry_density=density.value,
        )
        return worked(
            "rise by density", float(value), "m", self.balance.original_depth, soil.dry_density, cement, density,
            formula="(dry density before x depth + cement) / dry density found - depth", source="mass balance",
        )  # fmt: skip

    def _dry(self, check: Check) -> Figure | None:
        """Dry density of a test."""
        said = self.happened.events[check.entry].payload
        return (
            Figure("dry density", said.dry_kg_m3, "kg/m3", Basis.MEASURED, f"test {said.test}")
            if isinstance(said, DensityTest)
            else None
        )

    def _by_water(self) -> Figure | None:
        """Rise from the water found in the finished ground, with the usual or stated air."""
        water = _mean("water content found", self._moistures())
        if water is None:
            return None
        soil, cement = soil_figures(self.happened.plan.street, self.zone), self._cement()
        air = soil.final_air or soil.usual_air
        depth = self.balance.original_depth
        mass = soil.dry_density.value * depth.value
        kept = water.value * (mass + cement.value) - soil.water_content.value * mass
        value = rise.by_three_phases(
            depth.value, dry_density=soil.dry_density.value, water_content=soil.water_content.value,
            specific_gravity=soil.specific_gravity.value, cement=cement.value, water_retained=kept, final_air=air.value,
        )  # fmt: skip
        return worked(
            "rise by water", float(value), "m", water, depth, soil.dry_density, soil.specific_gravity, cement, air,
            formula="(dry soil / Gs + cement / 3.15 + water found) / (1 - air) - depth", source="three-phase balance",
        )  # fmt: skip

    def _moistures(self) -> list[Figure]:
        """Water contents found after the wet pass, as shares of dry soil and cement."""
        return [
            Figure("water content", said.water_content_percent / 100, "1", Basis.MEASURED, said.method)
            for event, said in of(Moisture, self.happened.state.events)
            if said.when in ("after wet mixing", "finished")
            and event.area is not None
            and self.happened.zones(event.area) == (self.zone.name,)
        ]


def _mean(name: str, figures: list[Figure]) -> Figure | None:
    """Mean of some figures; None of none."""
    if not figures:
        return None
    middle = sum(figure.value for figure in figures) / len(figures)
    return worked(name, middle, figures[0].unit, *figures, formula="sum / number")
