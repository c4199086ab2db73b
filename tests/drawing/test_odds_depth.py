"""Odds by mixing depth: the curve is the law's, the depth in force stands on it with the plan's odds, rows tell the same depth loose and as cement."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import HealthCheck, Phase, given, settings

from hardpan.exchange.drawing.odds_depth import draw_odds_depth
from hardpan.exchange.drawing.street_frame import Drawn
from hardpan.plan import Plan
from hardpan.plan.alternatives import at_depths
from tests.drawing.ground_streets import collisions, elements, in_feet, outside, texts
from tests.drawing.map_streets import MapStreet, map_plans
from tests.drawing.odds_streets import ODD, six_zones, without_a_rate
from tests.sheets.odd_streets import changed, many, strained
from tests.sheets.pdf_text import planned

EXAMPLES = ["teal-crescent", "kestrel-road"]
RANDOM = settings(deadline=None, suppress_health_check=list(HealthCheck), phases=[Phase.generate])


def hold(plan: Plan) -> None:
    """What holds for every zone: nothing collides, leaves or shrinks."""
    for index in range(len(plan.zones)):
        drawn = draw_odds_depth(plan, index)
        assert collisions(drawn) == []
        assert outside(drawn) == []
        assert min(float(one.get("font-size", "0")) for one in elements(drawn, "text")) >= 15
        assert any(text.startswith("the mixer reaches") for text in texts(drawn))


@pytest.mark.parametrize("name", EXAMPLES)
def test_nothing_collides_on_the_two_streets(name: str) -> None:
    hold(planned(name))


@pytest.mark.parametrize("make", [*ODD, in_feet, many, strained])
def test_nothing_collides_on_odd_streets(tmp_path: Path, make: Callable[[Path], Plan]) -> None:
    hold(make(tmp_path / "s"))


@settings(RANDOM, max_examples=10)
@given(street=map_plans(longest=600))
def test_nothing_collides_on_random_streets(street: MapStreet) -> None:
    hold(street.plan)


def depth_at(drawn: Drawn, x: float) -> float:
    """Depth of a place [mm], from the numbers of the first row under the axis."""
    (floor,) = {one.get("y1") for one in elements(drawn, "line", stroke_width="3") if one.get("y1") == one.get("y2")}
    row = sorted((float(one.get("x", "nan")), float(one.text or "nan")) for one in elements(drawn, "text", text_anchor="middle") if abs(float(one.get("y", "nan")) - float(floor or "nan") - 27) < 1)  # fmt: skip
    (x0, first), (x1, last) = row[0], row[-1]
    return first + (x - x0) / (x1 - x0) * (last - first)


def test_the_curve_is_the_laws() -> None:
    plan = planned("teal-crescent")
    drawn = draw_odds_depth(plan, 0)
    (curve,) = elements(drawn, "path", stroke_width="5.5")
    spots = [(float(x), float(y)) for x, y in re.findall(r"([\d.]+) ([\d.]+)", curve.get("d", ""))]
    hairs = sorted({float(one.get("y1", "nan")) for one in elements(drawn, "line", stroke="#CFC5B6")})
    top, floor = hairs[0], hairs[-1] + (hairs[-1] - hairs[-2])
    depths = [depth_at(drawn, x) / 1000 for x, _ in spots]
    assert depths == pytest.approx([0.1 + 0.025 * i for i in range(len(spots))], abs=1e-4)
    wanted, _ = at_depths(plan, 0, depths)
    assert [(floor - y) / (floor - top) for _, y in spots] == pytest.approx(wanted, abs=1e-3)
    own = wanted[8]
    assert own == pytest.approx(plan.treatment.odds.zones[0].worst.value, abs=1e-3)


def test_a_depth_stands_with_the_same_loose_and_its_cement() -> None:
    """300 mm at 28 kg/m2 in ground of 1 475 kg/m3: 375 loose at 1.25, and 28 / (1475 x 0.3) = 6.3 %."""
    drawn = draw_odds_depth(planned("teal-crescent"), 0)
    at = {(one.get("x"), one.text) for one in elements(drawn, "text", text_anchor="middle")}
    (x,) = {x for x, text in at if text == "300"}
    assert {text for place, text in at if place == x} >= {"300", "375", "6.3"}


def test_the_depth_in_force_wears_how_firm_it_is(tmp_path: Path) -> None:
    plan = six_zones(tmp_path / "s")
    said = ["instructed 300 mm rolled", "instructed 150 mm loose", "instructed 350 mm of original", "planned with about 200 mm of original"]  # fmt: skip
    for index, text in zip((0, 1, 2, 5), said, strict=True):
        drawn = draw_odds_depth(plan, index)
        assert text in texts(drawn)
        (lath,) = [one for one in elements(drawn, "path", stroke_width="2.6") if "Z" in one.get("d", "")]
        assert ("stroke-dasharray" in lath.attrib) == (index == 5)
        foot = float(re.findall(r"L([\d.]+) ", lath.get("d", ""))[0])
        assert depth_at(drawn, foot) == pytest.approx(1000 * plan.balance[index].original_depth.value, abs=0.5)


def test_what_nobody_agreed_is_proposed(tmp_path: Path) -> None:
    plan = without_a_rate(tmp_path / "s")
    index = next(i for i, zone in enumerate(plan.zones) if not zone.instruction.dig_out)
    assert any(text.startswith("proposed about ") for text in texts(draw_odds_depth(plan, index)))


def test_how_far_the_mixer_reaches(tmp_path: Path) -> None:
    plan = changed(tmp_path / "s", "teal-crescent", street=lambda text: text.replace("[mixer]", '[mixer]\ndeepest = "520 mm"'))  # fmt: skip
    drawn = draw_odds_depth(plan, 0)
    assert "the mixer reaches 520 mm" in texts(drawn)
    (line,) = elements(drawn, "line", stroke_dasharray="14 6")
    assert depth_at(drawn, float(line.get("x1", "nan"))) == pytest.approx(520, abs=0.5)


def test_the_same_plan_draws_the_same_depths() -> None:
    assert draw_odds_depth(planned("kestrel-road"), 1).svg == draw_odds_depth(planned("kestrel-road"), 1).svg
