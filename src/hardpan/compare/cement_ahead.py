"""Cement from here on: what is in the hopper by the ledger, how the spreader really lays, where it now runs out."""

from __future__ import annotations

import math
from dataclasses import dataclass

from hardpan.compare.ground_left import Stretch, to_spread, unfinished
from hardpan.compare.happened import Happened
from hardpan.laws import spread
from hardpan.ledger.hopper import Run
from hardpan.street import Basis, Figure
from hardpan.street.figure import EIGHT_IN_TEN, worked

LOAD_SCATTER = 0.03  # scatter of placed over planned from load to load, of its logarithm (judgement, no source)


@dataclass(frozen=True, slots=True)
class RunOutAhead:
    """Where a fill runs out: the middle, and the earliest and latest place that 8 in 10 lie between. ``after`` names the fill."""

    after: str
    block: int
    strip: int
    station: Figure
    place: str
    back_up_to_m: float
    earliest: tuple[int, float] | None
    latest: tuple[int, float] | None


@dataclass(frozen=True, slots=True)
class CementAhead:
    """The hopper and what is left to lay.

    ``filled`` is ``laid`` and ``in_hopper`` together; ``wanting`` is what the ground still needs over hopper and truck.
    """

    filled: Figure
    laid: Figure
    in_hopper: Figure
    in_truck: Figure
    factor: Figure
    to_lay: Figure
    wanting: Figure
    run_outs: tuple[RunOutAhead, ...]
    reaches_end: bool


def look_at_cement(happened: Happened) -> CementAhead:
    """Cement of a street from here on."""
    cement, street = happened.state.cement, happened.plan.street
    factor = placed_over_planned(happened)
    filled = Figure(
        "cement filled into the hopper",
        cement.delivered_kg - cement.in_truck_kg,
        "kg",
        Basis.STATED,
        "fills of the ledger",
    )
    in_hopper = _in_hopper(happened, factor)
    content, basis = in_hopper.value, in_hopper.basis
    laid = worked("cement laid", filled.value - content, "kg", filled, in_hopper, formula="filled - in the hopper")
    in_truck = Figure("in the truck", max(cement.in_truck_kg, 0.0), "kg", basis, "tickets less fills")
    left = [one for block in happened.plan.shift.blocks for one in to_spread(happened, block)]
    needed = sum(_kilograms(happened, one) for one in left)
    to_lay = worked(
        "cement still to lay", factor.value * needed, "kg", factor, formula="rate x ground left x placed over planned"
    )
    wanting = worked(
        "cement wanting", max(to_lay.value - content - in_truck.value, 0.0), "kg", to_lay, in_hopper, in_truck,
        formula="still to lay - in the hopper - in the truck, never below 0",
    )  # fmt: skip
    fills = [content, min(street.file.spreader.hopper.value, in_truck.value)]
    run_outs = _run_outs(happened, left, [fill for fill in fills if fill > 0.0], factor=factor, in_hopper=in_hopper)
    return CementAhead(filled, laid, in_hopper, in_truck, factor, to_lay, wanting, run_outs, wanting.value <= 0.0)


def _in_hopper(happened: Happened, factor: Figure) -> Figure:
    """Content of the hopper: as it was last known, less what the runs since then took at the real rate."""
    cement = happened.state.cement
    since = sum(planned_kg(happened, run) for run in cement.unweighed)
    last = cement.in_hopper_kg + (since if cement.in_hopper_kg > 0 else 0.0)
    if not since:
        return Figure("in the hopper", last, "kg", Basis.STATED, "fills, readings and run-outs of the ledger")
    known = Figure("in the hopper when it was last known", last, "kg", Basis.STATED, "fills, readings and run-outs")
    runs = Figure(
        "planned on the runs since", since, "kg", Basis.STATED, f"{len(cement.unweighed)} runs, rate x ground"
    )
    return worked(
        "in the hopper", max(last - factor.value * since, 0.0), "kg", known, runs, factor,
        formula="last known - planned on the runs since x placed over planned, never below 0", spread=since * factor.spread,
    )  # fmt: skip


def placed_over_planned(happened: Happened) -> Figure:
    """Ratio of what was placed to what the rate asked, over all ground with a known mass; the spread allowance where there is none.

    Notes
    -----
    The scatter of its logarithm starts at 3 % for one load (judgement, no source) and is updated by the loads laid as one more among
    them: variance = (0.03^2 + sum of squared distances from the mean) / number.
    """
    open_kg = sum(_kilograms(happened, one) for one in unfinished(happened))
    last = [one for one in happened.state.laid if not one.weighed][-1:]
    asked = [(one, sum(planned_kg(happened, run) for run in one.runs)) for one in happened.state.laid]
    pairs = [
        (one.kg, planned + (open_kg if one in last else 0.0)) for one, planned in asked if one.kg > 0 and planned > 0
    ]
    cement = happened.plan.street.file.cement
    if not pairs:
        allowance = cement.spread_allowance or cement.order_allowance
        return worked(
            "placed over planned", 1 + allowance.value, "1", allowance, formula="1 + spread allowance, nothing is known yet",
            spread=LOAD_SCATTER,
        )  # fmt: skip
    placed, planned = sum(kg for kg, _ in pairs), sum(want for _, want in pairs)
    ratio = placed / planned
    squares = sum(math.log(kg / want / ratio) ** 2 for kg, want in pairs)
    scatter = math.sqrt((LOAD_SCATTER**2 + squares) / len(pairs))
    inputs = (
        Figure("placed", placed, "kg", Basis.STATED, f"{len(pairs)} masses known by the ledger"),
        Figure("planned on that ground", planned, "kg", Basis.STATED, "rate x ground"),
    )
    return worked("placed over planned", ratio, "1", *inputs, formula="placed / planned", spread=ratio * scatter)


def planned_kg(happened: Happened, run: Run) -> float:
    """What a run should have taken: at the rate it was set to, else as instructed."""
    mass = 0.0
    for bay, low, high in happened.bays_under(run.area):
        rate = run.rate_kg_m2 if run.rate_kg_m2 is not None else bay.instructed_kg_m2 or 0.0
        mass += (high - low) * happened.widths[bay.strip] * rate
    return mass


def _kilograms(happened: Happened, one: Stretch) -> float:
    """Planned mass of a stretch."""
    return (one.end_m - one.start_m) * happened.widths[one.strip] * one.rate_kg_m2


def _run_outs(
    happened: Happened, left: list[Stretch], fills: list[float], *, factor: Figure, in_hopper: Figure
) -> tuple[RunOutAhead, ...]:
    """Run-outs of what is in the hopper, and of the next fill from the truck; none where the ground ends first."""
    street = happened.plan.street
    middle = _walk(happened, left, fills, factor.value)
    ends = [_walk(happened, left, fills, factor.value + sign * EIGHT_IN_TEN * factor.spread) for sign in (1, -1)]
    found = []
    for i, at in enumerate(middle):
        if at is None:
            continue
        one, distance = at
        station = worked(
            "runs out at", one.start_m + distance, "m", in_hopper, factor,
            formula="where rate x placed over planned x strip width, summed in the order of work, has used the hopper", source="walk along strips",
        )  # fmt: skip
        earliest, latest = (_spot(walk[i]) for walk in ends)
        after = "what is in the hopper" if i == 0 and in_hopper.value > 0 else "the next fill"
        back = max(station.value - street.file.spreader.back_up.value, street.stationing.first)
        found.append(
            RunOutAhead(after, one.block, one.strip, station, street.painted(station.value), back, earliest, latest)
        )
    return tuple(found)


def _spot(at: tuple[Stretch, float] | None) -> tuple[int, float] | None:
    """Strip and station of a place on the walk."""
    return None if at is None else (at[0].strip, at[0].start_m + at[1])


def _walk(
    happened: Happened, left: list[Stretch], fills: list[float], factor: float
) -> list[tuple[Stretch, float] | None]:
    """Stretch and distance into it at which every fill is used; None where the ground ends first."""
    lengths = [one.end_m - one.start_m for one in left]
    demand = [one.rate_kg_m2 * happened.widths[one.strip] * max(factor, 0.0) for one in left]
    walk = spread.run_outs(lengths, demand, fills)
    return [
        (left[at], distance) if at >= 0 else None
        for at, distance in zip(walk.segment.tolist(), walk.distance.tolist(), strict=True)
    ]
