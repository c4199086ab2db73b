"""How deep to mix: one depth in its three states, and what a shallower or a deeper one does to the odds."""

from __future__ import annotations

from dataclasses import dataclass

from hardpan.exchange.drawing.odds_marks import in_state
from hardpan.exchange.figures_in_words import millimetres, number
from hardpan.laws.depth import loose_from_original, rolled_from_original
from hardpan.plan import Plan
from hardpan.plan.alternatives import at_depths
from hardpan.plan.axle_odds import DEPTHS
from hardpan.street import Figure
from hardpan.street.defaults import default
from hardpan.street.figure import worked

STEP, LEAST = 0.050, 0.100  # metres between depths beside the instructed one; none less


@dataclass(frozen=True, slots=True)
class Depth:
    """One depth of original ground [m]: odds at the worst place, share of the length that may fail, cement over dry soil."""

    metres: float
    instructed: bool
    worst: float
    failing: float
    cement: float
    reached: bool


def depths(plan: Plan, index: int) -> list[Depth]:
    """The instructed depth and two on either side, as far as the odds know any."""
    zone, balance = plan.zones[index], plan.balance[index]
    own, density = balance.original_depth.value, balance.soil_mass.value / balance.original_depth.value
    beside = [own + i * STEP for i in (-2, -1, 1, 2) if LEAST <= own + i * STEP <= DEPTHS[-1]]
    shown, deepest = sorted([own, *beside]), plan.street.file.mixer.deepest.value
    return [
        Depth(
            metres, metres == own, worst, failing,
            cement=zone.rate.value / (density * metres), reached=metres <= deepest + 1e-9,
        )
        for metres, worst, failing in zip(shown, *at_depths(plan, index, shown), strict=True)
    ]  # fmt: skip


def in_states(plan: Plan, index: int) -> dict[str, Figure]:
    """The zone's depth as original ground, as loose soil behind the mixer, as the rolled layer."""
    zone, balance = plan.zones[index], plan.balance[index]
    original, loose_factor, finished = balance.original_depth, default("depth.loose_factor"), balance.final_dry_density
    density = balance.soil_mass.value / original.value
    rolled = rolled_from_original(
        original.value, dry_density=density, cement=zone.rate.value, final_dry_density=finished.value
    )
    found = {
        "original": original,
        "loose": worked("loose depth", float(loose_from_original(original.value, loose_factor=loose_factor.value)), "m", original, loose_factor, formula="original depth x loose factor"),
        "rolled": worked("rolled depth", float(rolled), "m", balance.soil_mass, zone.rate, finished, formula="(dry soil + cement) / finished dry density"),
    }  # fmt: skip
    return {**found, zone.depth_state: zone.depth}


def depth_lines(plan: Plan, index: int) -> list[str]:
    """What a depth is, how it is looked at, how far the mixer goes."""
    zone, deepest = plan.zones[index], plan.street.file.mixer.deepest
    lines = [
        f"The same {zone.rate.value:.3g} kg/m\u00b2 at every depth: in less ground it is stronger, more ground bridges what lies under. Our sum weighs both; how well the mixer breaks the ground it does not know.",
        f"The mixer reaches {number(1000 * deepest.value)} mm of original ground{'' if deepest.basis.value != 'default' else ', a default'}. Locates first: mixing is ground disturbance.",
    ]
    shallowest = _shallowest_service(plan, index)
    return [*lines, shallowest] if shallowest else lines


def _shallowest_service(plan: Plan, index: int) -> str:
    """The service in the zone with the least cover that is known."""
    known = [
        (one.top_depth.value, one)
        for one in plan.street.structures
        if one.top_depth is not None and any(piece.strip in one.strips and piece.start_m <= one.end and one.start <= piece.end_m for piece in plan.zones[index].pieces)
    ]  # fmt: skip
    if not known:
        return ""
    top, one = min(known, key=lambda pair: pair[0])
    return f"Shallowest thing that is known here: {one.kind} {one.id}, top {number(1000 * top)} mm down, {plan.street.painted(one.start)}."


def state_words(state: str, figure: Figure) -> tuple[str, str]:
    """``of original ground``, ``about 375 mm``."""
    names = {
        "original": "of original ground",
        "loose": "loose, behind the mixer",
        "rolled": "rolled, in the finished layer",
    }
    about = "about " if figure.basis.value == "default" else ""
    return names[state], f"{about}{millimetres(figure)} mm"


def choices(plan: Plan, index: int) -> list[str]:
    """Choices to tick: a depth is never proposed, its state is asked for where it was not said."""
    zone = plan.zones[index]
    state = zone.depth_state
    word = "agree" if zone.instruction.proposed else "keep" if zone.instruction.depth else "say"
    keep = f"{word} {number(1000 * zone.depth.value)} mm {in_state(state)}"
    ask = [] if zone.instruction.depth_state and zone.instruction.depth else ["ask: original, loose or rolled?"]
    return [keep, *ask, "dig a hole and look first", "other, mm and state:"]
