"""Any street: what must balance, and the plan beside oracles that share no code with it."""

from __future__ import annotations

import dataclasses
import math
from collections import defaultdict
from collections.abc import Iterator
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from scipy.integrate import quad

import hardpan
from hardpan.exchange.json_plan import plan_json
from hardpan.plan import Plan
from hardpan.street import Figure, Street
from hardpan.street.defaults import default
from hardpan.street.figure import UNIT_SUFFIXES, Basis
from tests.plan.oracles import Facts, simulate, walk_spreader, walk_trucks
from tests.plan.random_streets import Written, written_streets

any_street = settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.too_slow])


def made(written: Written) -> Plan:
    return hardpan.make_plan(written.read())


@any_street
@given(written_streets())
def test_areas_and_cement_are_conserved(written: Written) -> None:
    plan = made(written)
    cement, blocks = plan.supply.cement, plan.shift.blocks
    total = written.length * written.width
    assert sum(zone.area.value for zone in plan.zones) == pytest.approx(total, rel=1e-12)
    assert sum(block.area.value for block in blocks) == pytest.approx(total, rel=1e-12)
    assert (blocks[0].start_m, blocks[-1].end_m) == (0.0, written.length)
    assert all(one.end_m == two.start_m for one, two in pairwise(blocks))
    assert sum(zone.rate.value * zone.area.value for zone in plan.zones) == pytest.approx(
        cement.planned.value, abs=1e-6
    )
    assert sum(block.planned.value for block in cement.blocks) == pytest.approx(cement.planned.value, abs=1e-6)
    in_loads = sum(load.cement.value for load in cement.loads)
    wanting = sum(bare.cement.value for bare in cement.bare)
    assert in_loads == pytest.approx(cement.laid.value - wanting + cement.left_over.value, abs=1e-5)
    assert sum(bare.area.value for bare in cement.bare) == pytest.approx(cement.bare_area.value, abs=1e-9)
    for load in cement.loads:
        drawn = sum(fill.cement.value for fill in cement.fills if fill.load == load.number)
        assert drawn <= load.cement.value + 1e-6
        assert {fill.day for fill in cement.fills if fill.load == load.number} <= {load.day}
    assert [fill.number for fill in cement.fills] == list(range(1, len(cement.fills) + 1))
    assert sum(fill.cement.value for fill in cement.fills) >= cement.laid.value - wanting - 1e-5


@any_street
@given(written_streets())
def test_bays_add_up_to_the_zones(written: Written) -> None:
    plan = made(written)
    bays, kilograms = plan.ground.bays, 0.0
    for row, strip in enumerate(plan.street.strips):
        assert float(bays.lengths_m.sum()) == pytest.approx(written.length, abs=1e-6)
        for middle, length in zip(bays.middles_m.tolist(), bays.lengths_m.tolist(), strict=True):
            kilograms += written.in_force(row + 1, middle).rate * length * strip.width
            read = [one for one in written.readings if one[2] == str(strip.number) and one[0] < middle < one[1]]
            heard = {"shows" if (word, bounces) == ("nothing", "yes") else word for *_, word, bounces in read}
            index = int(np.searchsorted(bays.edges_m, middle)) - 1
            softest = max(heard, key=["nothing", "shows", "ruts", "sinks"].index, default="")
            assert ("", "nothing", "shows", "ruts", "sinks")[plan.ground.word[row, index]] == softest
    assert kilograms == pytest.approx(plan.supply.cement.planned.value, abs=1e-4)


@any_street
@given(written_streets())
def test_masses_and_volumes_of_a_zone_close(written: Written) -> None:
    plan = made(written)
    water = plan.supply.water
    assert sum(block.litres.value for block in water.blocks) == pytest.approx(water.litres.value, abs=1e-6)
    for zone, balance in zip(plan.zones, plan.balance, strict=True):
        solid = balance.soil_mass.value + zone.rate.value
        said = getattr(plan.street.file.soil, zone.soil)
        gravity = (said.specific_gravity or _usual_gravity(plan)).value
        ground_water = balance.treated_water_content.value * solid - balance.water.value
        by_volume = (
            balance.soil_mass.value / (1000 * gravity)
            + zone.rate.value / 3150
            + (ground_water + balance.water.value) / 1000
        )
        thickness = solid / balance.final_dry_density.value
        assert by_volume == pytest.approx(thickness * (1 - balance.final_air.value), rel=1e-9)
        assert balance.rise.value == pytest.approx(thickness - balance.original_depth.value, abs=1e-9)
        assert balance.cement_content.value * balance.soil_mass.value == pytest.approx(zone.rate.value, abs=1e-9)
        level = plan.street.file.level
        assert balance.our_low.value == pytest.approx(
            balance.rise.value - level.trim.value - level.settlement.value, abs=1e-12
        )
        said_low = written.in_force(zone.pieces[0].strip, (zone.pieces[0].start_m + zone.pieces[0].end_m) / 2).low
        assert balance.low.value == (balance.our_low.value if said_low is None else said_low)
        if balance.water_setting == "none":
            assert said.water_content.basis is Basis.MEASURED
            assert said.treated_optimum.basis is Basis.MEASURED


def _usual_gravity(plan: Plan) -> Figure:
    return default(f"{plan.street.file.soil.word}.specific_gravity")


@any_street
@given(written_streets())
def test_fills_and_run_outs_are_those_of_the_walk(written: Written) -> None:
    plan = made(written)
    cement, walked = plan.supply.cement, walk_spreader(Facts(written, plan))
    assert [fill.cement.value for fill in cement.fills] == pytest.approx(
        [fill.kilograms for fill in walked.fills], abs=1e-5
    )
    assert [fill.load for fill in cement.fills] == [fill.load for fill in walked.fills]
    found = [(out.block, out.strip) for out in cement.run_outs]
    assert found == [(block, lane) for block, lane, _ in walked.run_outs]
    assert [out.station.value for out in cement.run_outs] == pytest.approx(
        [station for *_, station in walked.run_outs], abs=1e-6
    )
    assert sum(kilograms for *_, kilograms in walked.bare) == pytest.approx(
        sum(bare.cement.value for bare in cement.bare), abs=1e-5
    )
    bare: dict[int, float] = defaultdict(float)
    for one in cement.bare:
        bare[one.strip] += one.end_m - one.start_m
    for lane, start, end, _ in walked.bare:
        bare[lane] -= end - start
    assert list(bare.values()) == pytest.approx([0.0] * len(bare), abs=1e-6)
    for out in cement.run_outs:
        block = plan.shift.blocks[out.block - 1]
        assert block.start_m <= out.back_up_to_m <= out.station.value


@any_street
@given(written_streets())
def test_trucks_empty_where_the_walk_along_the_cuts_says(written: Written) -> None:
    plan = made(written)
    water, walked = plan.supply.water, walk_trucks(Facts(written, plan))
    assert [(empty.block, empty.cut) for empty in water.empties] == [(block, cut) for block, cut, _ in walked.run_outs]
    assert [empty.station.value for empty in water.empties] == pytest.approx(
        [station for *_, station in walked.run_outs], abs=1e-6
    )
    assert [block.truck_changes for block in water.blocks] == [
        sum(1 for block, *_ in walked.run_outs if block == number) for number, *_ in Facts(written, plan).blocks
    ]


@any_street
@given(written_streets())
def test_shift_agrees_with_a_simulation(written: Written) -> None:
    plan = made(written)
    facts = Facts(written, plan)
    times = simulate(facts, walk_spreader(facts), walk_trucks(facts))
    runs = {(run.block, run.machine, run.work): (run.start.value, run.end.value) for run in plan.shift.runs}
    assert len(runs) == len(plan.shift.runs)
    assert set(runs) == set(times)
    for key, time in times.items():
        assert runs[key] == pytest.approx(time, abs=1e-6), key


@any_street
@given(written_streets())
def test_no_machine_is_in_two_places_and_none_runs_ahead(written: Written) -> None:
    plan = made(written)
    lag = plan.street.file.rolling.padfoot_after_wet.value
    starts = plan.street.file.shift.start.hour * 60 + plan.street.file.shift.start.minute
    at_work = defaultdict(list)
    runs = {}
    for run in plan.shift.runs:
        assert starts - 1e-9 <= run.start.value <= run.end.value
        at_work[run.day, run.machine].append((run.start.value, run.end.value))
        runs[run.block, run.work] = run
    for spans in at_work.values():
        assert all(one[1] <= two[0] + 1e-9 for one, two in pairwise(sorted(spans)))
    for block in plan.shift.blocks:
        spread, dry, wet, rolled, trimmed, last = (
            runs[block.number, work]
            for work in ("spread", "dry mix", "wet mix", "roll", "trim, cut only", "final rolling")
        )
        assert spread.end.value <= dry.start.value + 1e-9
        assert dry.end.value == wet.start.value
        assert rolled.start.value >= wet.start.value + lag - 1e-9
        assert rolled.end.value >= wet.end.value - 1e-9
        assert trimmed.start.value >= rolled.end.value - 1e-9
        assert last.end.value >= trimmed.end.value - 1e-9
        assert last.start.value >= trimmed.start.value - 1e-9
        events = {
            "cement on the ground": spread.start, "first mix": dry.start, "water": wet.start,
            "final rolling ends": last.end, "padfoot starts": rolled.start, "padfoot ends": rolled.end,
        }  # fmt: skip
        for clock in (each for each in plan.shift.clocks if each.block == block.number):
            gone = events[clock.stops_with].value - events[clock.starts_with].value
            assert clock.elapsed.value == pytest.approx(gone, abs=1e-9)


def low_of_strip(facts: Facts, strip: int, station: float) -> float:
    """Low of one strip: the zones' lows seen through a box as long as a ramp, kept inside the street."""
    ramp = min(facts.file.level.ramp.value, facts.written.length)
    start, end = max(station - ramp / 2, 0.0), min(station + ramp / 2, facts.written.length)
    edges = facts.written.edges(start, end)
    total = sum(
        quad(lambda place: facts.lows[facts.written.in_force(strip, place).zone], a, b, limit=1, full_output=1)[0]
        for a, b in pairwise(edges)
    )
    return float(total) / (end - start)


@any_street
@given(written_streets())
def test_lows_are_a_box_over_the_painted_edges(written: Written) -> None:
    plan = made(written)
    facts = Facts(written, plan)
    middles = [strip.middle for strip in plan.street.strips]
    stakes = plan.levels.stakes
    for stake in stakes[:: max(1, len(stakes) // 4)]:
        along = [low_of_strip(facts, strip.number, stake.station_m) for strip in plan.street.strips]
        for point in stake.points:
            assert point.low.value == pytest.approx(float(np.interp(point.side_offset_m, middles, along)), abs=1e-9)
            assert point.pre_grade.value == pytest.approx(point.design.value - point.low.value, abs=1e-12)


@any_street
@given(written_streets())
def test_ground_is_straight_between_stakes(written: Written) -> None:
    """A grader works straight from stake to stake: between any two the low may not bend."""
    plan = made(written)
    facts, ramp = Facts(written, plan), plan.street.file.level.ramp.value
    places = [stake.station_m for stake in plan.levels.stakes]
    gaps = [(a, b) for a, b in pairwise(places) if a >= ramp and b <= written.length - ramp]
    for a, b in gaps[:: max(1, len(gaps) // 6)]:
        for strip in (1, written.strips):
            ends = low_of_strip(facts, strip, a) + low_of_strip(facts, strip, b)
            assert low_of_strip(facts, strip, (a + b) / 2) == pytest.approx(ends / 2, abs=5e-4)


def figures(here: object, seen: set[int]) -> Iterator[Figure]:
    """Every figure of a plan and all that they rest on, each once."""
    if id(here) in seen:
        return
    seen.add(id(here))
    if isinstance(here, Figure):
        yield here
        for given in here.inputs:
            yield from figures(given, seen)
    elif isinstance(here, tuple | list):
        for item in here:
            yield from figures(item, seen)
    elif dataclasses.is_dataclass(here) and not isinstance(here, Street):
        for field in dataclasses.fields(here):
            yield from figures(getattr(here, field.name), seen)


@any_street
@given(written_streets())
def test_every_figure_has_a_unit_a_value_and_the_weakest_basis(written: Written) -> None:
    plan = made(written)
    found = 0
    for figure in figures(plan, set()):
        found += 1
        assert figure.unit in UNIT_SUFFIXES, figure.name
        assert math.isfinite(figure.value), figure.name
        assert figure.spread >= 0, figure.name
        if figure.inputs:
            assert figure.basis.rank == max(given.basis.rank for given in figure.inputs), figure.name
            assert figure.working is not None
            assert figure.working.formula
            assert figure.working.source
    assert found > 100


@settings(max_examples=15, deadline=None)
@given(written_streets())
def test_same_street_and_seed_give_the_same_plan(written: Written) -> None:
    street, again = written.read(), written.read()
    before = street.file.model_dump_json(), repr(street)
    first, second = plan_json(hardpan.make_plan(street)), plan_json(hardpan.make_plan(street))
    assert first == second
    assert first == plan_json(hardpan.make_plan(again, seed=0))
    assert (street.file.model_dump_json(), repr(street)) == before
