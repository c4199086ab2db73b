"""Odds in sentences: every figure of the plan's own, what a rate risks, what would sharpen it."""

from __future__ import annotations

from pathlib import Path

import pytest

import hardpan
from hardpan.exchange.odds_in_words import odds_lines, odds_title
from hardpan.plan import Plan
from hardpan.plan.alternatives import chances
from hardpan.street.words import say_band
from tests.drawing.odds_streets import without_a_rate


def planned(name: str) -> Plan:
    return hardpan.make_plan(hardpan.read_street(hardpan.example(name)))


def test_each_instructed_rate_stands_with_odds_band_basis_cost_and_what_would_sharpen_it() -> None:
    plan = planned("teal-crescent")
    assert odds_title(plan).endswith("judgement, not calculated")
    soft, ours, cost, doubt, rest, *_ = odds_lines(plan)
    one = plan.treatment.odds.zones[0]
    assert soft.startswith(
        f"soft, 28 kg/m2: about 6 in 10, {say_band(one.low, one.high)}, at its worst place (0+150 strip 4)"
    )
    assert rest.startswith("rest, 12 kg/m2: about 9 in 10")
    assert "no rate reaches 0.85" in ours
    assert "on day 3 (worth 8 kg/m2)" in ours
    failing = plan.treatment.odds.zones[0].failing.value
    # 28 kg/m2 at 240 $/t, and 100 $/m2 for every place that fails: the defaults
    assert cost.strip().startswith(f"costs about 6.7 $/m2 in cement and risks about {100 * failing:.1f} $/m2")
    assert "hangs most on the strength of the mix (three laboratory strengths at two rates would sharpen it)" in doubt


def test_what_is_dug_out_is_priced_beside_treating_it(tmp_path: Path) -> None:
    plan = without_a_rate(tmp_path / "s")
    index = next(i for i, zone in enumerate(plan.zones) if zone.instruction.dig_out)
    line = next(line for line in odds_lines(plan) if line.startswith("  costs") and "treated at 40 kg/m2" in line)
    best = max(chances(plan, index, depths=[depth]).worst[0, 40] for depth in (0.2, 0.25, 0.3, 0.35, 0.4))
    assert f"about {round(10 * best)} in 10" in line
    assert "the engineer weighs it" in line


@pytest.mark.parametrize("name", ["teal-crescent", "kestrel-road"])
def test_every_zone_and_the_street_are_told(name: str) -> None:
    plan = planned(name)
    lines = odds_lines(plan)
    for zone in plan.zones:
        assert any(line.startswith(f"{zone.name}, {zone.rate.value:.3g} kg/m2: ") for line in lines)
    assert lines[-1].startswith("the whole street at once: about ")
