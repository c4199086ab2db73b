"""How low to shape: what a figure does where the ground rises more or less, and our sum step by step."""

from __future__ import annotations

from dataclasses import dataclass

from hardpan.exchange.drawing.low_line import low_mm, other_name, other_rise
from hardpan.exchange.figures_in_words import number
from hardpan.laws.rise import CEMENT_PARTICLE_DENSITY
from hardpan.plan.balance import ZoneBalance
from hardpan.plan.zones import Zone
from hardpan.street import Basis, Figure, Street

WATER = 1000.0  # kg/m3
NOTHING = 0.0005  # m: neither cut nor fill


@dataclass(frozen=True, slots=True)
class End:
    """Where the ground ends if it rises by so much: ``above`` design, before any trimming [m]; what is cut off or filled, cement in it."""

    name: str
    rise: float
    above: float
    volume: float
    mass: float
    cement: float

    @property
    def words(self) -> tuple[str, str, str]:
        """``if it rises 58``, ``ends 13 mm above design``, ``11.7 m3 cut off: 22 t, 0.9 t of it cement``."""
        first = f"if it {'rises' if self.rise >= 0 else 'sinks'} {number(abs(1000 * self.rise))}{f', {self.name}' if self.name else ''}"
        if abs(self.above) < NOTHING:
            return first, "ends at design", "nothing to cut or to fill"
        if self.above < 0:
            return (
                first,
                f"ends {number(-1000 * self.above)} mm below design",
                f"base fills it: {number(self.volume, 1)} m\u00b3",
            )
        cut = f"{number(self.volume, 1)} m\u00b3 cut off: {number(self.mass / 1000, 1)} t, {number(self.cement / 1000, 1)} t of it cement"
        return first, f"ends {number(1000 * self.above)} mm above design", cut


def ends(street: Street, zone: Zone, balance: ZoneBalance) -> list[End]:
    """Ends of the figure in force: at our band's ends and middle; by both sums where no band is known."""
    rise = balance.rise
    if balance.our_low.spread:
        shift = rise.value - balance.our_low.value
        rises = [("", balance.our_low.low + shift), ("", rise.value), ("", balance.our_low.high + shift)]
    else:
        rises = [("our sum", rise.value), (other_name(balance), other_rise(balance).value)]
    return [_end(name, value, street=street, zone=zone, balance=balance) for name, value in rises]


def _end(name: str, rise: float, *, street: Street, zone: Zone, balance: ZoneBalance) -> End:
    """Where one rise ends."""
    above = rise - street.file.level.settlement.value - balance.low.value
    volume = abs(above) * zone.area.value
    dry = volume * balance.final_dry_density.value
    share = zone.rate.value / (zone.rate.value + balance.soil_mass.value)
    return End(name, rise, above, volume, dry * (1 + balance.treated_water_content.value), dry * share)


# --- the working --------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Step:
    """One line of a sum: its name, what is reckoned, what comes out [m or kg/m2], whether a rule stands over it."""

    name: str
    how: str
    value: float
    unit: str = "m"
    rule: bool = False

    @property
    def shown(self) -> str:
        """The result with its unit."""
        return f"{number(1000 * self.value, 1)} mm" if self.unit == "m" else f"{number(self.value, 1)} {self.unit}"


def steps(street: Street, balance: ZoneBalance) -> list[Step]:
    """Our sum of how low, step by step; the last one is the sum."""
    by_density = balance.rise is balance.rise_by_final_density
    lines = _by_density(balance.rise) if by_density else _by_phases(balance.rise)
    level, left = street.file.level, balance.rise.value
    for figure, name in ((level.trim, "less trim"), (level.settlement, "less settlement")):
        if figure.value:
            left -= figure.value
            lines.append(Step(name, f"\u2212 {number(1000 * figure.value, 1)}", left))
    return lines


def _by_phases(rise: Figure) -> list[Step]:
    """The layer from the room that soil, cement, water and air take."""
    density, content, gravity, rate, kept, depth, air = (float(one) for one in rise.inputs)
    soil = density * depth
    solids, cement, water = soil / (gravity * WATER), rate / CEMENT_PARTICLE_DENSITY, (content * soil + kept) / WATER
    together = solids + cement + water
    layer = together / (1 - air)
    return [
        Step("solids", f"{number(density)} \u00d7 {depth:.3f} / {number(gravity * WATER)}", solids),
        Step("cement", f"{rate:.3g} / {number(CEMENT_PARTICLE_DENSITY)}", cement),
        Step("water", f"{number(content * soil, 1)} + {number(kept, 1)}", water),
        Step("together", "", together, rule=True),
        Step("with air", f"{number(1000 * together, 1)} / {1 - air:.3g}", layer),
        Step("less depth", f"\u2212 {number(1000 * depth, 1)}", layer - depth, rule=True),
    ]


def _by_density(rise: Figure) -> list[Step]:
    """The layer from its dry mass and its finished density."""
    density, rate, finished, depth = (float(one) for one in rise.inputs)
    soil = density * depth
    return [
        Step("dry soil", f"{number(density)} \u00d7 {depth:.3f}", soil, "kg/m\u00b2"),
        Step("cement", "", rate, "kg/m\u00b2"),
        Step("together", "", soil + rate, "kg/m\u00b2", rule=True),
        Step("layer", f"{number(soil + rate, 1)} / {number(finished)}", (soil + rate) / finished),
        Step("less depth", f"\u2212 {number(1000 * depth, 1)}", (soil + rate) / finished - depth, rule=True),
    ]


def given(figure: Figure) -> list[Figure]:
    """Figures that nobody worked out and that one rests on, each once, in the order of the sum."""
    if not figure.inputs:
        return [figure]
    found: dict[tuple[str, float], Figure] = {}
    for one in figure.inputs:
        for leaf in given(one):
            found.setdefault((leaf.name, leaf.value), leaf)
    return list(found.values())


def input_value(figure: Figure) -> str:
    """Value of an input as the trade writes it: lengths in millimetres, shares in percent, other ratios as they are."""
    if figure.unit == "m":
        shown = number(1000 * figure.value, 1)
        return f"{shown.removesuffix('.0')} mm"
    if figure.unit == "1":
        plain = figure.value > 1.05 and "water" not in figure.name  # gravity, loose factor
        return f"{figure.value:.2f}" if plain else f"{100 * figure.value:.3g} %"
    decimals = 0 if figure.value == round(figure.value) else 1
    unit = figure.unit.replace("m2", "m\u00b2").replace("m3", "m\u00b3")
    return f"{number(figure.value, decimals)} {unit}"


def weakest_words(figure: Figure) -> str:
    """``weakest basis: default, 5 of 9 inputs``."""
    inputs = given(figure)
    count = sum(one.basis is figure.basis for one in inputs)
    return f"weakest basis: {figure.basis.value}, {count} of {len(inputs)} inputs"


def density_notice(zone: Zone, balance: ZoneBalance) -> str:
    """That no density was measured, and what would help; empty where one was."""
    density = next((one for one in given(balance.our_low) if one.unit == "kg/m3" and "dry density" in one.name), None)
    if density is None or density.basis is not Basis.DEFAULT:
        return ""
    count = sum(one.basis is Basis.DEFAULT for one in given(balance.rise))
    return (
        f"no density was measured here: {number(density.value)} kg/m\u00b3 is a default for {zone.soil} ground. "
        f"Six shots before and after the first {first_stretch(zone):.0f} m would put one measured rise in place of {count} defaults."
    )


def first_stretch(zone: Zone) -> float:
    """How much of a zone is done before it is measured [m]: 50, or its longest stretch."""
    return min(50.0, max(piece.length_m for piece in zone.pieces))


def choices(zone: Zone, balance: ZoneBalance) -> list[str]:
    """Choices to tick."""
    ours, stated = low_mm(balance.our_low.value), zone.instruction.low
    found = [f"keep {low_mm(stated.value)}"] if stated else []
    if not stated or low_mm(stated.value) != ours:
        found.append(f"shape {ours}, our sum")
    return [*found, f"measure the first {first_stretch(zone):.0f}\u00a0m", "other, mm low:"]
