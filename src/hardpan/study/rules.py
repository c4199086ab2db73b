"""The same street treated by three rules: the plan's own, by eye, and one rate everywhere with the same mean odds."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from hardpan.laws.cost import dig_out_cost
from hardpan.plan.axle_odds import RATES, passing
from hardpan.plan.ground import Ground
from hardpan.plan.ground_evidence import WORDS
from hardpan.plan.ground_field import Floats
from hardpan.street import Street
from hardpan.street.defaults import default
from hardpan.study.decided import Decided
from hardpan.study.simulated import Simulated
from hardpan.study.truth import Treated, failing_places

OWN, BY_EYE, ONE_RATE = "the plan", "by eye", "one rate"
RULES = (OWN, BY_EYE, ONE_RATE)

_EYE = (
    (28.0, 0.300),
    (12.0, 0.200),
)  # rate and depth where it ruts or sinks, and elsewhere (common practice, no source)
_ONE_DEPTH = 0.300  # of the one rate [m]


@dataclass(frozen=True, slots=True)
class Worth:
    """What one rule did on one street: cement laid, money for cement, digging out and failed places, metres of strip, area; failures as the mean of its lives."""

    cement_kg: float
    cement_usd: float
    dug_out_usd: float
    failed_usd: float
    failed_m: float
    dug_out_m: float
    length_m: float
    area_m2: float


def worths(decided: Decided, made: Simulated) -> dict[str, Worth]:
    """What every rule did on a street, by its name."""
    street = made.street
    ways = (decided.treated, by_eye(street, decided.ground), one_rate(street, decided))
    return {rule: weigh(made, way) for rule, way in zip(RULES, ways, strict=True)}


def by_eye(street: Street, ground: Ground) -> Treated:
    """Much where it ruts or sinks, little elsewhere."""
    soft = ground.word >= WORDS.index("ruts")
    rate, depth = (np.where(soft, much, little) for much, little in zip(*_EYE, strict=True))
    return Treated(rate, depth, densities(street, rate), np.zeros(soft.shape, dtype=bool))


def one_rate(street: Street, decided: Decided) -> Treated:
    """Lowest whole rate that, everywhere, has the mean odds of the plan's map; the highest where none reaches them."""
    length = [sum(piece.length_m for piece in zone.pieces) for zone in decided.zones]
    aim = 1 - np.average([odds.failing.value for odds in decided.odds], weights=length)
    reached = np.flatnonzero(mean_odds(street, decided) >= aim)
    shape = decided.ground.word.shape
    rate = np.full(shape, RATES[reached[0] if reached.size else -1])
    return Treated(rate, np.full(shape, _ONE_DEPTH), densities(street, rate), np.zeros(shape, dtype=bool))


def mean_odds(street: Street, decided: Decided) -> Floats:
    """Mean odds over the street's length of every rate of ``RATES`` laid everywhere."""
    basis, lengths = decided.basis, decided.ground.bays.lengths_m
    along = np.average(basis.strength.mean(axis=0), axis=0, weights=lengths)
    density = densities(street, RATES)
    odds = np.empty(RATES.size)
    for each in np.unique(density):
        here = density == each
        table = passing(
            basis.gain, RATES[here], movement=basis.movement.value, depth=_ONE_DEPTH, dry_density=float(each)
        )
        odds[here] = along @ table.mean(axis=0)
    return odds


def densities(street: Street, rate: Floats) -> Floats:
    """Dry density before treatment that the plan takes at a rate [kg/m3]."""
    soft, firm = (default(f"{street.file.soil.word}.{state}.dry_density").value for state in ("soft", "firm"))
    return np.where(rate >= default("soft.from_rate").value, soft, firm)


def weigh(made: Simulated, treated: Treated) -> Worth:
    """What one way of treating a street costs and where it fails, at the default prices."""
    street = made.street
    metres = np.broadcast_to(made.bays.lengths_m, treated.rate.shape)
    width = street.strips[0].width
    failed_m = float((failing_places(made, treated).mean(axis=(0, -1)) * metres).sum())
    dug_out_m = float(metres[treated.dug_out].sum())
    cement = float((np.where(treated.dug_out, 0.0, treated.rate) * metres).sum()) * width
    ordered = cement * (1 + street.file.cement.order_allowance.value)
    return Worth(
        cement_kg=cement,
        cement_usd=ordered * street.file.prices.cement.value / 1000,
        dug_out_usd=dug_out_m * width * _dig_out_price(street),
        failed_usd=failed_m * width * default("prices.failed_place").value,
        failed_m=failed_m,
        dug_out_m=dug_out_m,
        length_m=float(metres.sum()),
        area_m2=float(metres.sum()) * width,
    )


def _dig_out_price(street: Street) -> float:
    """Price of digging out and replacing [$/m2]."""
    prices, dug = street.file.prices, street.file.dig_out
    return dig_out_cost(
        1.0, dug.depth.value, dig_price=prices.dig_haul.value, granular_density=dug.granular_density.value,
        granular_price=prices.granular.value / 1000, placing_price=prices.place.value / 1000,
        geotextile_price=prices.geotextile.value, laps=dug.laps.value,
    ).total  # fmt: skip
