"""Rates where nobody instructed any: the cheapest that are likely enough, never in place of an instruction."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

import hardpan
from hardpan.plan import Plan
from hardpan.plan.instructions import follow_instructions
from hardpan.plan.odds_basis import odds_basis
from hardpan.plan.proposal import actions_of, bare_bays, cheapest, price_actions
from tests.plan.folders import planned, say, variant

HEADER = "zone,from,to,strips,rate [kg/m2],depth [mm],depth_state,low [mm],water,said_by,heard_by,said_at,where"
SOFT = 'soft,0+060,0+160,all,28,300,original,45,full,engineer,"foreman, grader operator",2026-06-03 16:40,at the curb'


def bare(folder: Path, *rows: str, limits: str = "") -> Plan:
    street = variant(folder / "street", "teal-crescent", {"street.toml": [("[locates]", f"{limits}[locates]")]})
    (street / "instructions.csv").write_text("\n".join([HEADER, *rows]) + "\n", encoding="utf-8")
    return hardpan.make_plan(hardpan.read_street(street))


@pytest.fixture(scope="module")
def unsaid(tmp_path_factory: pytest.TempPathFactory) -> Plan:
    return bare(tmp_path_factory.mktemp("bare"))


def test_every_place_gets_one_action_and_the_worst_is_likely_enough(unsaid: Plan) -> None:
    assert sum(zone.area.value for zone in unsaid.zones) == pytest.approx(2160)
    assert all(zone.instruction.proposed for zone in unsaid.zones)
    for one in unsaid.treatment.odds.zones:
        assert one.worst.value >= one.least.value - 0.002  # densities of a zone's state and of the map round apart


def test_softer_ground_gets_more_cement_and_the_trench_is_dug_out(unsaid: Plan) -> None:
    by_place = {
        (zone.instruction.start, zone.instruction.end, strip): zone
        for zone in unsaid.zones
        for strip in zone.instruction.strips
    }

    def there(station: float, strip: int) -> float:
        return next(
            zone.rate.value for (start, end, mine), zone in by_place.items() if mine == strip and start < station < end
        )

    assert there(30, 1) <= there(195, 4) < there(100, 3)
    dug = [zone for zone in unsaid.zones if zone.instruction.dig_out]
    assert [(zone.instruction.start, zone.instruction.end, zone.instruction.strips) for zone in dug] == [
        (149.4, 150.6, (3, 4))
    ]
    assert "dig out" in dug[0].name


def test_rates_stand_in_steps_and_no_zone_is_short(unsaid: Plan) -> None:
    assert {zone.rate.value % 5 for zone in unsaid.zones} == {0}
    for zone in unsaid.zones:
        if not zone.instruction.dig_out:
            assert all(piece.length_m >= 20 for piece in zone.pieces)


def test_a_proposal_says_that_nobody_agreed_it(unsaid: Plan) -> None:
    assert (
        "960 m of strip have no rate instruction: the rates there are proposed by Hardpan, cheapest within 0.1 %"
        in say(unsaid)
    )
    assert all("nobody has agreed it yet" in zone.instruction.note for zone in unsaid.zones)
    assert all(zone.rate.basis.value == "default" for zone in unsaid.zones)


def test_an_instruction_is_never_replaced(tmp_path: Path) -> None:
    plan = bare(tmp_path, SOFT)
    soft = next(zone for zone in plan.zones if zone.name == "soft")
    assert soft.rate.value == 28
    assert soft.area.value == pytest.approx(900)
    assert sum(zone.area.value for zone in plan.zones if zone.instruction.proposed) == pytest.approx(1260)
    whole = planned(tmp_path / "whole", "teal-crescent", {})
    assert not any(zone.instruction.proposed for zone in whole.zones)


def test_more_certainty_costs_more(tmp_path: Path) -> None:
    def cement(least: float) -> float:
        limits = f'[limits.least_probability]\nvalue = {least}\nowner = "engineer"\n\n'
        return bare(tmp_path / str(least), limits=limits).supply.cement.planned.value

    wanted = [cement(least) for least in (0.6, 0.8, 0.9)]
    assert wanted == sorted(wanted)
    assert wanted[0] < wanted[-1]


def test_the_map_costs_no_more_than_one_rate_for_all(unsaid: Plan) -> None:
    street = hardpan.read_street(hardpan.example("teal-crescent"))
    street = replace(street, instructions=())
    basis = odds_basis(street, unsaid.ground, seed=0)
    priced = price_actions(street, unsaid.ground, basis)
    everywhere = bare_bays(follow_instructions(street), unsaid.ground)
    assert everywhere.all()
    found = cheapest(unsaid.ground, priced, bare=everywhere, least=basis.least.value)
    enough = [
        index
        for index, action in enumerate(priced.actions)
        if action.dig_out or bool(np.all(priced.odds[..., index] >= basis.least.value))
    ]
    assert found.cost <= min(priced.cost[..., index].sum() for index in enough)
    assert found.bound <= found.cost
    assert found.gap <= 1e-3
    chosen = np.take_along_axis(priced.odds, found.action[..., None], axis=-1)
    assert chosen.min() >= basis.least.value


def test_actions_reach_no_deeper_than_the_mixer(tmp_path: Path) -> None:
    shallow = planned(
        tmp_path / "street", "teal-crescent", {"street.toml": [("[mixer]", "[mixer]\ndeepest = 0.28")]}
    ).street
    assert {action.depth for action in actions_of(shallow, laboratory=False)} == {0.20, 0.25}
    assert {action.rate for action in actions_of(shallow, laboratory=True)} == set(range(0, 41, 2))
