"""A street counted in feet, written by a spreadsheet with semicolons and decimal commas, planned to its very end."""

from __future__ import annotations

from pathlib import Path

import pytest

import hardpan
from hardpan.exchange.text import plan_text

TOML = """schema = "hardpan.street/1"
name = "Elm Lane"
[line]
length = "600 ft"
width = "28 ft"
station_style = "0+00 ft"
[section]
crossfall = "2 %"
[soil]
word = "silt"
"""
RATES = "\ufeffzone;from;to;strips;rate [lb/yd2];depth [in];depth_state;low [in];water\r\nsoft;1+40,5;4+00;all;50;12;original;1,5;full\r\nrest;elsewhere;;all;25;;;;half\r\n"
FOOT = 0.3048


def test_a_foreman_who_counts_in_feet_has_the_same_plan(tmp_path: Path) -> None:
    (tmp_path / "street.toml").write_text(TOML, encoding="utf-8")
    (tmp_path / "instructions.csv").write_text(RATES, encoding="utf-8", newline="")
    (tmp_path / "landmarks.csv").write_text("name,station,side\nbarn,2+10,left\n", encoding="utf-8")
    plan = hardpan.make_plan(hardpan.read_street(tmp_path))
    soft = plan.zones[0]
    assert soft.rate.value == pytest.approx(50 * 0.542492, rel=1e-5)  # 1 lb/yd2 is 0.542492 kg/m2
    assert (soft.pieces[0].start_m, soft.pieces[0].end_m) == pytest.approx((140.5 * FOOT, 400 * FOOT))
    assert plan.balance[0].low.value == pytest.approx(1.5 * 0.0254)
    assert plan.levels.stakes[-1].station_m == plan.street.stationing.last
    assert [plan.levels.stakes[i].seen_by for i in (0, -1)] == ["start", "end"]
    shown = plan_text(plan)
    assert "117 ft past barn (3+27)" in shown
    assert "27.1246" not in shown
