"""Odds at other rates and depths are the plan's own odds at its own rate and depth, and move as the law says."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from hardpan.plan.alternatives import at_depths, chances
from hardpan.plan.axle_odds import PLACES, RIGS, STRENGTHS, local_scatter, need_of
from hardpan.plan.odds_basis import odds_basis
from hardpan.plan.treatment import RATES
from hardpan.plan.zone_ground import bays_of
from tests.drawing.odds_streets import six_zones, without_a_rate
from tests.sheets.pdf_text import planned

EXAMPLES = ["teal-crescent", "kestrel-road"]


@pytest.mark.parametrize("name", EXAMPLES)
def test_at_its_own_depth_they_are_the_plans(name: str) -> None:
    plan = planned(name)
    for index, odds in enumerate(plan.treatment.odds.zones):
        found = chances(plan, index)
        assert found.worst[0].tolist() == pytest.approx(odds.curve.tolist(), abs=1e-12)
        assert np.interp(odds.rate.value, RATES, found.failing[0]) == pytest.approx(odds.failing.value, abs=1e-12)


def test_at_its_own_depth_and_rate_too_whole_or_not(tmp_path: Path) -> None:
    plan = six_zones(tmp_path / "s")
    assert {27.5, 60.0, 0.0} <= {zone.rate.value for zone in plan.zones}
    for index, odds in enumerate(plan.treatment.odds.zones):
        (worst,), (failing,) = at_depths(plan, index, [plan.balance[index].original_depth.value])
        assert worst == pytest.approx(odds.worst.value, abs=1e-12)
        assert failing == pytest.approx(odds.failing.value, abs=1e-12)


def test_another_depth_by_the_law_draw_by_draw() -> None:
    """Kestrel Road's zone B at 36 kg/m2 and 200 mm, place by place: it passes where gain x cement that arrives reaches need x depth mixed x density."""
    plan, index, depth, rate = planned("kestrel-road"), 1, 0.200, 36.0
    basis = odds_basis(plan.street, plan.ground, seed=0)
    (dose, deep), need = local_scatter(), need_of(0.013)
    density = plan.balance[index].soil_mass.value / 0.300
    shape = (RIGS, PLACES)
    chance = []
    for strength in STRENGTHS:
        part = need.at(np.full(shape, strength), np.broadcast_to(depth * deep, shape), np.tile(np.arange(RIGS)[:, None], PLACES))  # fmt: skip
        passed = np.exp(basis.gain.log_gain)[:, None] * rate * dose >= (part * depth * deep * density)[basis.gain.rig]
        chance.append(passed.mean())
    mask = bays_of(plan.ground, plan.zones[index])
    by_bay = basis.strength[mask] @ np.array(chance)
    lengths = np.broadcast_to(plan.ground.bays.lengths_m, mask.shape)[mask]
    (worst,), (failing,) = at_depths(plan, index, [depth])
    assert worst == pytest.approx(by_bay.min(), abs=1e-9)
    assert failing == pytest.approx(1 - lengths @ by_bay / lengths.sum(), abs=1e-9)
    assert worst > plan.treatment.odds.zones[index].worst.value + 0.02


@pytest.mark.parametrize("name", EXAMPLES)
def test_more_cement_never_fails_more(name: str) -> None:
    plan = planned(name)
    for index in range(len(plan.zones)):
        found = chances(plan, index, depths=[0.15, 0.35])
        assert found.worst.shape == found.failing.shape == (2, 51)
        assert np.diff(found.worst, axis=1).min() >= -1e-12
        assert np.diff(found.failing, axis=1).max() <= 1e-12


def test_without_cement_depth_changes_hardly_anything() -> None:
    plan = planned("kestrel-road")
    bare = chances(plan, 2, depths=[0.15, 0.25, 0.40], rates=np.array([0.0]))
    # the strength of stirred ground is the ground's own; its stiffness follows the law of treated soil, and that part alone knows the depth
    assert bare.worst[:, 0] == pytest.approx([plan.treatment.odds.zones[2].curve[0]] * 3, abs=2e-3)
    assert 0.5 < bare.worst[0, 0] < 0.9


def test_ground_that_is_dug_out_is_weighed_as_if_treated(tmp_path: Path) -> None:
    plan = without_a_rate(tmp_path / "s")
    index = next(i for i, zone in enumerate(plan.zones) if zone.instruction.dig_out)
    assert plan.treatment.odds.zones[index].worst.value == pytest.approx(1.0)
    assert chances(plan, index).worst[0, 40] < plan.treatment.odds.zones[index].least.value
