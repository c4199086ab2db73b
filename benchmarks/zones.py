"""Cheapest maps against HiGHS on the same invented streets, all in one run; HiGHS is timed without laying out its rows.

The rows are as tight as they are known to be, so that HiGHS needs few nodes or none: what is timed is mostly its linear programme.
"""

from __future__ import annotations

from functools import partial

from benchmarks.timing import Ratio, best
from hardpan.plan.zone_map import ZoneMap, cheapest_map, cheapest_strip
from tests.plan.zone_oracles import Actions, Case, Programme, smooth_case

STATIONS, LONGER = 400, 10
SHORT, STRIPS = 40, 4
CERTIFIED = 1e-3
EDGES = ((0.75, 15.0), (2.0, None), (5.0, None))  # price of an unlike edge a metre, and the aim
NEAR, ABOVE = 0.1, 1e-7  # percent


def strip_of(case: Case) -> tuple[Actions, float]:
    """Cheapest first strip."""
    return cheapest_strip(
        case.cost[0], case.allowed[0], lengths=case.lengths, change=case.prices, least_length=case.least
    )


def map_of(case: Case) -> ZoneMap:
    """Cheapest map, certified to a thousandth."""
    return cheapest_map(
        case.cost,
        case.allowed,
        lengths=case.lengths,
        change_along=case.prices,
        change_across=case.across,
        least_length=case.least,
        gap=CERTIFIED,
    )


def percent_above(cost: float, least: float) -> float:
    """By how much a cost is above the least."""
    return 100 * abs(cost - least) / abs(least)


def strip_ratios() -> list[Ratio]:
    """One strip: HiGHS, and ten times the length."""
    case, longer = (smooth_case(STATIONS * times, 1, seed=0) for times in (1, LONGER))
    solver = Programme(case).solver()
    ours, highs, long = best(partial(strip_of, case)), best(solver), best(partial(strip_of, longer))
    name = f"zones, strip of {STATIONS} x {case.cost.shape[-1]} actions"
    return [
        Ratio(f"{name}: percent from HiGHS", percent_above(strip_of(case)[1], solver().fun), ABOVE, ours),
        Ratio(f"{name} / HiGHS", highs / ours, 200.0, ours, least=True),
        Ratio(f"zones, strip of {STATIONS * LONGER:,} / {STATIONS} stations", long / ours, 15.0, long),
    ]


def map_ratios(across: float, aim: float | None) -> list[Ratio]:
    """Four strips at a price of unlike edges: the certificate, how near to HiGHS, and its time with the same gap allowed."""
    case = smooth_case(SHORT, STRIPS, seed=0, across=across)
    found, solver = map_of(case), Programme(case).solver(CERTIFIED)
    least = Programme(case).solver()().fun
    ours, highs = best(partial(map_of, case)), best(solver)
    name = f"zones, {SHORT} x {STRIPS}, unlike edge {across:g} a m"
    return [
        Ratio(f"{name}: certificate, percent", 100 * found.gap, NEAR, ours),
        Ratio(f"{name}: percent above HiGHS", percent_above(found.cost, least), NEAR, ours),
        Ratio(f"{name} / HiGHS", highs / ours, aim, ours, least=True),
    ]


def zone_ratios() -> list[Ratio]:
    """Strips, maps, and a long map by itself."""
    long = smooth_case(STATIONS, STRIPS, seed=0)
    name = f"zones, {STATIONS} x {STRIPS}: certificate, percent"
    whole = Ratio(name, 100 * map_of(long).gap, NEAR, best(partial(map_of, long)))
    return [*strip_ratios(), *(one for across, aim in EDGES for one in map_ratios(across, aim)), whole]


if __name__ == "__main__":
    print(*zone_ratios(), sep="\n")
