"""Odds of the axle test: against a plain simulation, the anchors of practice, and what must hold whatever the figures."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

import hardpan
from hardpan.exchange.text import plan_text
from hardpan.laws import bearing, layered, rutting, stiffness, strength
from hardpan.plan import Plan
from hardpan.plan.axle_odds import AXLES, POISSON, STRENGTHS, Gain, Mix, draw_gain, need_of, passing
from hardpan.plan.ground_posterior import GRID
from hardpan.plan.mix import mix_of
from hardpan.plan.odds_basis import coarsened
from hardpan.plan.treatment import RATES
from hardpan.street.vehicles import FULL, tyres
from tests.plan.folders import planned, say, variant

Floats = NDArray[np.float64]

FAT_CLAY = Mix(float(np.log(60 * 6_894.757 * 100)), 0.45)
DRY_DENSITY, MOVEMENT = 1550.0, 0.013


def gain(day: float = 2.0, celsius: float = 15.0, mix: Mix = FAT_CLAY, count: int = 2048) -> Gain:
    return draw_gain(mix, day=day, celsius=celsius, celsius_spread=0.0, count=count, seed=0)


def on(cbr: float, spread: float) -> Floats:
    """Normal ln CBR shared out to the grid of strengths."""
    density = np.exp(-((GRID - np.log(cbr)) ** 2) / (2 * spread**2))
    return coarsened(density / density.sum())


def odds(
    strength_chances: Floats, rate: float, *, day: float = 2.0, celsius: float = 15.0, depth: float = 0.3
) -> float:
    table = passing(gain(day, celsius), np.array([rate]), movement=MOVEMENT, depth=depth, dry_density=DRY_DENSITY)
    return float(strength_chances @ table.mean(axis=0)[:, 0])


def simulated(cbr: float, rate: float, *, day: float, celsius: float, count: int = 40_000) -> float:
    """The same by drawing everything at once and adding the movement up, with no table and no need."""
    rng = np.random.default_rng(11)

    def scattered(middle: float, spread: float) -> Floats:
        return np.asarray(middle * np.exp(spread * rng.standard_normal(count)))

    wheel = tyres()[FULL].wheel
    radius = np.sqrt(wheel.load / (np.pi * wheel.inflation_pressure))
    here, depth = scattered(cbr, 0.35), scattered(0.3, 0.1)
    percent = 100 * scattered(rate, 0.1) / (depth * DRY_DENSITY)
    cured = strength.age_factor(strength.equivalent_age(day, celsius), rng.uniform(0.25, 0.38, count))
    part = (
        scattered(60 * 6_894.757, 0.45) * percent * np.exp(rng.normal(-0.25, 0.25, count)) * scattered(0.6, 0.4) * cured
    )
    own = scattered(26e3, 0.15) * here
    layer = own + part / 2
    side = 0.886 * 2 * radius
    bears = bearing.equivalent_strength(layer, own, thickness=depth, width=side, length=side)
    rut = rutting.rut_constant(wheel) * np.exp(0.25 * rng.standard_normal(count)) * (bears / 26e3) ** -1.52
    moduli = np.stack([rng.uniform(150, 300, count) * 2 * layer, stiffness.modulus_powell(here)], axis=-1)
    comes_back = layered.surface_deflection_of_group(
        moduli,
        POISSON,
        depth[:, None],
        pressure=wheel.inflation_pressure,
        radius=radius,
        wheels=AXLES,
        point=AXLES[0],
        accuracy=1e-5,
    )
    return float(np.mean(rut + comes_back <= MOVEMENT))


@pytest.mark.parametrize(
    ("cbr", "rate", "day", "celsius"),
    [(1.5, 10, 2, 15), (1.5, 30, 2, 15), (1.5, 30, 3, 5), (3.0, 20, 7, 10), (6.0, 10, 2, 15)],
)
def test_odds_are_those_of_a_plain_simulation(cbr: float, rate: float, day: float, celsius: float) -> None:
    found = odds(on(cbr, 0.35), rate, day=day, celsius=celsius)
    assert found == pytest.approx(simulated(cbr, rate, day=day, celsius=celsius), abs=0.02)


# anchors: common practice, no source; not tests of truth


def test_thirty_on_ruts_usually_passes_and_ten_seldom() -> None:
    soft = on(1.5, 0.35)
    assert 0.70 <= odds(soft, 30) <= 0.92
    assert odds(soft, 10) <= 0.40


def test_ten_usually_passes_where_nothing_showed() -> None:
    plan = hardpan.make_plan(hardpan.read_street(hardpan.example("teal-crescent")))
    nothing = coarsened(plan.ground.felt[0, 2])
    assert odds(nothing, 10) >= 0.80


def test_at_five_degrees_a_day_more_helps_clearly() -> None:
    soft = on(1.5, 0.35)
    assert odds(soft, 30, celsius=5, day=3) - odds(soft, 30, celsius=5, day=2) > 0.08


# what must hold


def test_need_falls_with_the_strength_of_the_ground() -> None:
    for movement in (0.006, 0.013, 0.025):
        assert np.all(np.diff(need_of(movement).part, axis=0) <= 0)


@given(st.floats(0.1, 0.5), st.floats(1300, 1750), st.floats(0.008, 0.03))
@settings(max_examples=15, deadline=None)
def test_more_strength_and_more_cement_never_hurt(depth: float, dry_density: float, movement: float) -> None:
    table = passing(gain(count=128), RATES, movement=round(movement, 3), depth=depth, dry_density=dry_density)
    assert np.all(np.diff(table, axis=1) >= -1e-12)
    assert np.all(np.diff(table, axis=2) >= 0)


def test_a_softer_limit_passes_more_often() -> None:
    tables = [
        passing(gain(count=128), RATES, movement=limit, depth=0.3, dry_density=1500.0).mean()
        for limit in (0.008, 0.013, 0.025)
    ]
    assert tables == sorted(tables)


def test_ground_that_carries_the_axle_needs_no_cement() -> None:
    assert odds(on(30.0, 0.1), 0.0) == pytest.approx(1.0)
    assert odds(on(1.0, 0.1), 0.0) == pytest.approx(0.0)


def test_chances_are_shared_out_whole() -> None:
    rng = np.random.default_rng(3)
    chances = rng.dirichlet(np.ones(GRID.size), size=4)
    shared = coarsened(chances)
    assert shared.sum(axis=1) == pytest.approx(np.ones(4))
    inside = chances @ np.clip(GRID, STRENGTHS[0], STRENGTHS[-1])
    assert shared @ STRENGTHS == pytest.approx(inside)


# the mix


def with_strengths(folder: Path, *rows: str) -> Plan:
    street = variant(folder / "street", "teal-crescent", {})
    table = "\n".join(["test,treated,cement_content,strength [kPa],age_days", *rows])
    (street / "lab.csv").write_text(table + "\n", encoding="utf-8")
    return hardpan.make_plan(hardpan.read_street(street))


def test_laboratory_strengths_narrow_the_mix_by_conjugate_update(tmp_path: Path) -> None:
    plan = with_strengths(tmp_path, "S1,yes,0.04,1200,28", "S2,yes,0.06,1800,28")
    mix, figure = mix_of(plan.street)
    prior, told = 414.0, 300.0
    weight = (2 / 0.25**2) / (2 / 0.25**2 + 1 / 0.45**2)
    assert figure.value == pytest.approx(np.exp(weight * np.log(told) + (1 - weight) * np.log(prior)))
    assert mix.spread == pytest.approx((2 / 0.25**2 + 1 / 0.45**2) ** -0.5)
    assert mix.tests == 2
    odds = plan.treatment.odds
    assert odds.calculated
    assert "judgement, not calculated" not in say(plan)
    plain = hardpan.make_plan(hardpan.read_street(hardpan.example("teal-crescent"))).treatment.odds
    for one, other in zip(odds.zones, plain.zones, strict=True):
        assert one.high - one.low < other.high - other.low


def test_a_young_strength_counts_as_what_it_grows_to(tmp_path: Path) -> None:
    slow = (0.25 + 0.38) / 2
    young = 1200 * float(strength.age_factor(7.0, slow))
    by_age = [
        mix_of(with_strengths(tmp_path / row[:2], row).street)[1].value
        for row in ("S1,yes,0.04,1200,28", f"S2,yes,0.04,{young},7")
    ]
    assert by_age[0] == pytest.approx(by_age[1])


def test_raw_strengths_and_strengths_without_their_cement_tell_nothing(tmp_path: Path) -> None:
    plan = with_strengths(tmp_path, "S1,no,,90,28", "S2,yes,,900,28")
    assert mix_of(plan.street)[0].tests == 0
    assert "judgement, not calculated" in say(plan)


# the two streets


@pytest.fixture(scope="module", params=["teal-crescent", "kestrel-road"])
def plan(request: pytest.FixtureRequest) -> Plan:
    return hardpan.make_plan(hardpan.read_street(hardpan.example(request.param)))


def test_every_zone_has_odds_with_band_basis_and_what_they_hang_on(plan: Plan) -> None:
    odds = plan.treatment.odds
    assert [one.zone for one in odds.zones] == [zone.name for zone in plan.zones]
    for one in odds.zones:
        assert 0 < one.low < one.worst.value < one.high < 1
        assert one.whole.value <= one.worst.value + 0.03  # the worst place is one of the whole
        assert one.worst.basis.value == "default"
        assert sum(weight.share for weight in one.matters) == pytest.approx(1)
        assert np.interp(one.rate.value, RATES, one.curve) == pytest.approx(one.worst.value, abs=1e-9)
        assert np.all(one.curve_low <= one.curve)
        assert np.all(one.curve <= one.curve_high)
        assert np.all(one.later[1] >= one.later[0])
        assert one.waiting[1].value >= one.waiting[0].value > 0
    assert odds.street.value <= min(one.whole.value for one in odds.zones)


def test_the_instruction_stands_whatever_our_sum_says(plan: Plan) -> None:
    instructed = {one.zone: one.rate.value for one in plan.street.instructions}
    assert {zone.name: zone.rate.value for zone in plan.zones} == instructed
    for one in plan.treatment.odds.zones:
        if one.worst.value < one.least.value:
            assert "the engineer decides" in one.notices[0].message


def test_both_rates_of_teal_crescent_are_printed_with_their_odds() -> None:
    plan = hardpan.make_plan(hardpan.read_street(hardpan.example("teal-crescent")))
    said = " ".join(plan_text(plan).split())
    for one in plan.treatment.odds.zones:
        assert f"{one.zone}, {one.rate.value:.3g} kg/m2: about " in said
    assert "judgement, not calculated" in said
    assert "three strengths at two rates would sharpen them most" in said


def test_a_written_least_and_limit_count(tmp_path: Path) -> None:
    limits = '\n[limits.least_probability]\nvalue = 0.6\nowner = "engineer"\n\n[limits.axle_test_movement]\nvalue = "20 mm"\nowner = "engineer"\n\n[locates]'
    plan = planned(tmp_path / "street", "teal-crescent", {"street.toml": [("\n[locates]", limits)]})
    plain = hardpan.make_plan(hardpan.read_street(hardpan.example("teal-crescent")))
    for one, other in zip(plan.treatment.odds.zones, plain.treatment.odds.zones, strict=True):
        assert one.worst.value > other.worst.value
        assert one.least.value == 0.6
    assert "nobody wrote" not in " ".join(str(notice) for notice in plan.treatment.odds.notices)


def test_the_same_seed_gives_the_same_odds_and_another_nearly() -> None:
    street = hardpan.read_street(hardpan.example("teal-crescent"))
    first, again, other = (hardpan.make_plan(street, seed=seed).treatment.odds for seed in (5, 5, 6))
    assert first.street.value == again.street.value
    assert [one.worst.value for one in first.zones] == [one.worst.value for one in again.zones]
    for one, two in zip(first.zones, other.zones, strict=True):
        assert one.worst.value != two.worst.value
        assert one.worst.value == pytest.approx(two.worst.value, abs=0.02)
        assert one.whole.value == pytest.approx(two.whole.value, abs=0.08)


def test_less_is_never_proposed_in_soft_ground_without_a_laboratory_strength() -> None:
    plan = hardpan.make_plan(hardpan.read_street(hardpan.example("kestrel-road")))
    said = " ".join(plan_text(plan).split())
    soft = next(one for one in plan.treatment.odds.zones if one.zone == "A")
    assert soft.enough is not None
    assert soft.enough.value < soft.rate.value
    assert f"{soft.enough.value:g} kg/m2 reaches 0.85; about" not in said.split("base, 24 kg/m2")[0]
    assert "36 kg/m2 reaches 0.85; less is not proposed in soft ground without a laboratory strength" in said
