"""Odds, cost and doubt of every zone in sentences: what a reviewer asks of a rate, and what would sharpen the answer."""

from __future__ import annotations

import numpy as np

from hardpan.exchange.figures_in_words import about, number
from hardpan.plan import Plan
from hardpan.plan.alternatives import chances, prices
from hardpan.plan.odds_basis import DAYS
from hardpan.plan.proposal import DEPTHS
from hardpan.plan.treatment import RATES, ZoneOdds
from hardpan.street import Figure
from hardpan.street.defaults import default
from hardpan.street.words import say_band, say_odds


def odds_title(plan: Plan) -> str:
    """What the odds are of, on which day, and whether anything in them was measured."""
    odds = plan.treatment.odds
    basis = "from laboratory strengths" if odds.calculated else "judgement, not calculated"
    return f"odds that the axle test passes on day {odds.day.value:g}, moving {1000 * odds.movement.value:.0f} mm at most: {basis}"


def odds_lines(plan: Plan) -> list[str]:
    """Every zone's odds, our sum beside its rate, what it costs, what would sharpen them; the street at last."""
    zones = [line for index in range(len(plan.zones)) for line in _zone_lines(plan, index)]
    return [*zones, f"the whole street at once: {say_odds(plan.treatment.odds.street.value)}"]


def _zone_lines(plan: Plan, index: int) -> list[str]:
    """Lines of one zone, the first its odds."""
    zone, one = plan.zones[index], plan.treatment.odds.zones[index]
    if zone.instruction.dig_out:
        return [f"{one.zone}: dug out and replaced, taken to pass", f"  {_if_treated(plan, index)}"]
    where = f"{plan.street.stationing.show(round(one.worst_m))} strip {one.worst_strip}"
    first = f"{one.zone}, {one.rate.value:.3g} kg/m2: {say_odds(one.worst.value)}, {say_band(one.low, one.high)}, at its worst place ({where})"
    rest = f"all of it at once {say_odds(one.whole.value)}; {number(100 * one.failing.value)} % of its length may fail"
    ours = f"by our sum {_enough(one, less=plan.treatment.odds.may_propose_less(zone))}; {_later(one)}"
    return [f"{first}; {rest}", f"  {ours}", f"  {_cost(plan, index)}", f"  {_doubt(one)}"]


def _enough(odds: ZoneOdds, *, less: bool) -> str:
    """What our sum says beside the rate; never less than instructed in soft ground without a laboratory strength."""
    least = f"{odds.least.value:.2g}"
    if odds.enough is None:
        return f"no rate reaches {least} at the worst place"
    if odds.enough.value < odds.rate.value and not less:
        return f"{odds.rate.value:.3g} kg/m2 reaches {least}; less is not proposed in soft ground without a laboratory strength"
    return f"{odds.enough.value:g} kg/m2 reaches {least}"


def _later(odds: ZoneOdds) -> str:
    """Odds on later days, each with the cement that waiting is worth."""
    days = [
        f"{say_odds(float(np.interp(odds.rate.value, RATES, curve)))} on day {day:g} (worth {_at_least(waiting, odds.rate)} kg/m2)"
        for day, curve, waiting in zip(DAYS, odds.later, odds.waiting, strict=True)
    ]
    return ", ".join(days)


def _at_least(waiting: Figure, rate: Figure) -> str:
    """What waiting is worth; more than that where the curve of odds ends before it."""
    return f"{'more than ' if waiting.value + rate.value >= RATES[-1] else ''}{number(waiting.value)}"


def _cost(plan: Plan, index: int) -> str:
    """What the rate costs, and what it risks."""
    found = prices(plan, index)
    return (
        f"costs {_dollars(found.cement)} in cement and risks {_dollars(found.failed)} in places that may fail "
        f"(each made good at {number(default('prices.failed_place').value)} $/m2)"
    )


def _dollars(figure: Figure) -> str:
    """Dollars a square metre."""
    return f"{about(figure)}{number(figure.value, 1)} $/m2"


def _doubt(odds: ZoneOdds) -> str:
    """What the odds hang on most, and what would sharpen that."""
    known = [weight for weight in odds.matters if weight.share > 0][:2]
    if not known:
        return "nothing that is unknown moves these odds"
    return "hangs most on " + ", then on ".join(
        f"the {weight.name} ({weight.sharper} would sharpen it)" for weight in known
    )


def _if_treated(plan: Plan, index: int) -> str:
    """What the ground that is dug out would do at the heaviest rate that may be proposed, mixed as deep as helps most."""
    most = default("odds.rate_most").value
    depths = [depth for depth in DEPTHS if depth <= plan.street.file.mixer.deepest.value + 1e-9]
    depths = depths or [plan.street.file.mixer.deepest.value]
    found = chances(plan, index, depths=depths, rates=np.array([most]))
    best = int(np.argmax(found.worst[:, 0]))
    cement = most * plan.street.file.prices.cement.value / 1000
    risk = found.failing[best, 0] * default("prices.failed_place").value
    dug = plan.supply.worth.dig_out.cost_a_square_metre
    return (
        f"costs {_dollars(dug)}; treated at {most:g} kg/m2 and {1000 * depths[best]:.0f} mm it would pass {say_odds(float(found.worst[best, 0]))} at its worst place, "
        f"for about {number(cement, 1)} $/m2 in cement and {number(risk, 1)} $/m2 at risk: the engineer weighs it"
    )
