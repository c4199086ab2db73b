"""Price against odds: every rate stands at the price and the odds that the plan's prices and draws give it."""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from hypothesis import HealthCheck, Phase, given, settings

from hardpan.exchange.drawing.cost_odds import draw_cost_odds
from hardpan.exchange.drawing.ink import CLAY, INK, STOP
from hardpan.exchange.drawing.placement import Box
from hardpan.exchange.drawing.street_frame import Drawn
from hardpan.plan import Plan
from hardpan.plan.alternatives import prices
from hardpan.street.defaults import default
from tests.drawing.ground_streets import collisions, elements, in_feet, outside, texts
from tests.drawing.map_streets import MapStreet, map_plans
from tests.drawing.odds_streets import ODD, least_written, six_zones, with_strengths, without_a_rate
from tests.sheets.odd_streets import many, strained
from tests.sheets.pdf_text import planned

EXAMPLES = ["teal-crescent", "kestrel-road"]
LEFT, RIGHT = 92.0, 876.0
RANDOM = settings(deadline=None, suppress_health_check=list(HealthCheck), phases=[Phase.generate])


def hold(plan: Plan) -> None:
    """What holds for every zone: nothing collides, leaves or shrinks; digging out and leaving it are priced."""
    for index, zone in enumerate(plan.zones):
        drawn = draw_cost_odds(plan, index)
        assert collisions(drawn) == []
        assert outside(drawn) == []
        assert min(float(one.get("font-size", "0")) for one in elements(drawn, "text")) >= 15
        said = " ".join(texts(drawn))
        assert "dig out and replace" in said
        assert "leave untreated" in said
        word = "proposed" if zone.instruction.proposed else "instructed"
        rate = f" {zone.rate.value:.3g} kg/m\u00b2:" if zone.rate.value else ": leave untreated,"
        what = ": dig out," if zone.instruction.dig_out else rate
        assert said.count(f"{word}{what} about ") == 1


@pytest.mark.parametrize("name", EXAMPLES)
def test_nothing_collides_on_the_two_streets(name: str) -> None:
    hold(planned(name))


@pytest.mark.parametrize("make", [*ODD, in_feet, many, strained])
def test_nothing_collides_on_odd_streets(tmp_path: Path, make: Callable[[Path], Plan]) -> None:
    hold(make(tmp_path / "s"))


@settings(RANDOM, max_examples=15)
@given(street=map_plans(longest=800))
def test_nothing_collides_on_random_streets(street: MapStreet) -> None:
    hold(street.plan)


class Scales:
    """Odds and prices of places on a drawing, from the numbers on its scales."""

    def __init__(self, drawn: Drawn) -> None:
        along = [
            (text, box) for text, box in drawn.labels if re.fullmatch(r"\d+ in 10|0", text) and box.left > LEFT - 40
        ]
        upwards = [(text, box) for text, box in drawn.labels if re.fullmatch(r"\d+", text) and box.right < LEFT]
        ends = sorted(((box.left + box.right) / 2, float(text.split()[0]) / 10) for text, box in along if box.top > max(b.top for _, b in upwards))  # fmt: skip
        (self.x0, self.odds0), (self.x1, self.odds1) = ends[0], ends[-1]
        heights = sorted((float(text), (box.top + box.bottom) / 2) for text, box in upwards)
        (self.low, self.y0), (self.high, self.y1) = heights[0], heights[-1]

    def odds(self, x: float) -> float:
        return self.odds0 + (x - self.x0) / (self.x1 - self.x0) * (self.odds1 - self.odds0)

    def price(self, y: float) -> float:
        return self.low + (y - self.y0) / (self.y1 - self.y0) * (self.high - self.low)


def rings(drawn: Drawn, radius: float, **look: str) -> list[tuple[float, float]]:
    """Middles of circles."""
    found = [
        one.get("d", "") for one in elements(drawn, "path", **look) if f" a{radius:g} {radius:g} " in one.get("d", "")
    ]
    return [(float(d[1:].split()[0]) + radius, float(d.split()[1])) for d in found]


@pytest.mark.parametrize("name", EXAMPLES)
def test_the_instruction_stands_at_its_price_and_its_odds(name: str) -> None:
    """Cement at 240 $/t and places that may fail at 100 $/m2, reckoned anew from the plan."""
    plan = planned(name)
    for index, odds in enumerate(plan.treatment.odds.zones):
        drawn, wanted = draw_cost_odds(plan, index), odds.rate.value * 0.240 + odds.failing.value * 100
        scales = Scales(drawn)
        ((x, y),) = rings(drawn, 8, stroke_width="4")
        assert scales.odds(x) == pytest.approx(odds.worst.value, abs=0.002)
        assert scales.price(y) == pytest.approx(wanted, abs=0.4)
        assert f"instructed {odds.rate.value:g} kg/m\u00b2: about {wanted:.2f} $/m\u00b2" in texts(drawn)


@pytest.mark.parametrize("name", EXAMPLES)
def test_every_fifth_rate_has_its_point(name: str) -> None:
    plan = planned(name)
    for index, odds in enumerate(plan.treatment.odds.zones):
        drawn, found = draw_cost_odds(plan, index), prices(plan, index)
        assert found.odds.tolist() == pytest.approx(odds.curve.tolist(), abs=1e-12)
        scales = Scales(drawn)
        points = rings(drawn, 4.5, fill=INK)
        shown = [rate for rate in range(0, 51, 5) if found.cost[rate] <= scales.high]
        assert len(points) == len(shown) >= 8
        for (x, y), rate in zip(points, shown, strict=True):
            assert scales.odds(x) == pytest.approx(odds.curve[rate], abs=0.002)
            assert scales.price(y) == pytest.approx(found.cost[rate], abs=0.4)


@pytest.mark.parametrize("name", EXAMPLES)
def test_a_number_stands_beside_its_own_point(name: str) -> None:
    """The nearest point to every number is the one that it names."""
    plan = planned(name)
    for index in range(len(plan.zones)):
        drawn, found = draw_cost_odds(plan, index), prices(plan, index)
        scales, points = Scales(drawn), rings(draw_cost_odds(plan, index), 4.5, fill=INK)
        shown = [rate for rate in range(0, 51, 5) if found.cost[rate] <= scales.high]
        at = dict(zip(shown, points, strict=True))
        plot_foot = scales.y0 + 8
        numbers = [(int(text), box) for text, box in drawn.labels if re.fullmatch(r"\d+", text) and box.left > LEFT and box.top < plot_foot]  # fmt: skip
        assert len(numbers) >= 4
        for rate, box in numbers:
            assert _away(box, at[rate]) < 18
            assert _away(box, at[rate]) <= min(_away(box, point) for point in points) + 6


def _away(box: Box, spot: tuple[float, float]) -> float:
    """How far a box is from a place."""
    across = max(box.left - spot[0], 0.0, spot[0] - box.right)
    return math.hypot(across, max(box.top - spot[1], 0.0, spot[1] - box.bottom))


def test_digging_out_stands_at_the_price_of_the_plan() -> None:
    plan = planned("teal-crescent")
    drawn = draw_cost_odds(plan, 0)
    price = plan.supply.worth.dig_out.cost_a_square_metre.value
    ((x, y),) = rings(drawn, 8, stroke_dasharray="6 4")
    assert Scales(drawn).price(y) == pytest.approx(price, abs=0.4)
    assert Scales(drawn).odds(x) == pytest.approx(1.0, abs=0.002)
    assert f"about {price:.2f} $/m\u00b2" in texts(drawn)


def test_leaving_it_untreated_is_priced_over_the_scale_or_on_it() -> None:
    """Without cement only the places that fail cost: their share times 100."""
    plan = planned("kestrel-road")
    over, on = (draw_cost_odds(plan, index) for index in (0, 2))
    for drawn, index in ((over, 0), (on, 2)):
        cost = prices(plan, index).untreated
        assert cost <= 100
        (said,) = [text for text in texts(drawn) if text.startswith("leave untreated")]
        assert f"about {cost:.2f} $/m\u00b2" in said
        assert ("over the top of this scale" in said) == (cost > Scales(drawn).high)
    assert prices(plan, 0).untreated > Scales(over).high


def test_a_stated_price_of_cement_counts(tmp_path: Path) -> None:
    plan = with_strengths(tmp_path / "s")
    found, odds = prices(plan, 0), plan.treatment.odds.zones[0]
    assert found.cement.value == pytest.approx(28 * 0.300)
    assert found.failed.value == pytest.approx(odds.failing.value * default("prices.failed_place").value)
    assert "Cement at 300 $/t (quote)" in draw_cost_odds(plan, 0).words
    assert np.diff(found.cost - np.arange(51) * 0.300).max() <= 1e-9  # more cement, less that fails


def test_what_comes_on_top_is_the_plan_less_its_cement() -> None:
    plan = planned("teal-crescent")
    treatment = plan.supply.worth.treatment
    cement = next(item.amount.value for item in treatment.items if item.name == "cement")
    area = sum(zone.area.value for zone in plan.zones)
    on_top = treatment.cost_a_square_metre.value - cement / area
    assert prices(plan, 0).on_top.value == pytest.approx(on_top)
    assert f"about {on_top:.2f} $/m\u00b2 over the street" in draw_cost_odds(plan, 0).words


def test_least_odds_are_an_upright_fence_only_where_written(tmp_path: Path) -> None:
    drawn = draw_cost_odds(least_written(tmp_path / "s"), 2)
    (fence,) = elements(drawn, "line", stroke=STOP)
    assert fence.get("x1") == fence.get("x2")
    assert Scales(drawn).odds(float(fence.get("x1", "nan"))) == pytest.approx(0.9, abs=0.002)
    assert elements(draw_cost_odds(planned("kestrel-road"), 2), "line", stroke=STOP) == []


def test_no_cement_is_leaving_it_untreated(tmp_path: Path) -> None:
    plan = six_zones(tmp_path / "s")
    said = [text for text in texts(draw_cost_odds(plan, 5)) if "untreated" in text]
    assert said == [f"instructed: leave untreated, about {prices(plan, 5).untreated:.2f} $/m\u00b2"]


def test_digging_out_that_is_proposed_has_the_lath(tmp_path: Path) -> None:
    plan = without_a_rate(tmp_path / "s")
    assert plan.zones[0].instruction.dig_out
    drawn = draw_cost_odds(plan, 0)
    price = plan.supply.worth.dig_out.cost_a_square_metre.value
    assert f"proposed: dig out, about {price:.2f} $/m\u00b2" in texts(drawn)
    (lath,) = [one for one in elements(drawn, "path", stroke=CLAY) if "Z" in one.get("d", "")]
    assert lath.get("stroke-dasharray") == "9 5"
    assert rings(drawn, 8, stroke_width="4") == []
    # the line still tells the odds of treating it, which reach the least at no rate that may be proposed
    assert plan.treatment.odds.zones[0].worst.value == pytest.approx(1.0)
    assert prices(plan, 0).odds[40] < plan.treatment.odds.zones[0].least.value


def test_the_same_plan_draws_the_same_prices() -> None:
    assert draw_cost_odds(planned("kestrel-road"), 1).svg == draw_cost_odds(planned("kestrel-road"), 1).svg
