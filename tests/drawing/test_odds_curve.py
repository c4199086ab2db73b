"""The curve of odds by rate: every line stands where the plan's figures are, every word says them, none on another."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from hypothesis import HealthCheck, Phase, given, settings

from hardpan.exchange.drawing.ink import CLAY, LOAM, STOP
from hardpan.exchange.drawing.odds_curve import draw_odds_curve
from hardpan.exchange.drawing.odds_marks import PLAIN as PLAIN_TYPE
from hardpan.exchange.drawing.odds_marks import band_words, named, wrap
from hardpan.exchange.drawing.placement import Box
from hardpan.exchange.drawing.street_frame import Drawn
from hardpan.exchange.figures_in_words import number
from hardpan.plan import Plan
from hardpan.street.words import say_odds
from tests.drawing.ground_streets import collisions, elements, in_feet, outside, texts
from tests.drawing.map_streets import MapStreet, map_plans
from tests.drawing.odds_streets import ODD, least_written, six_zones, with_strengths, without_a_rate
from tests.sheets.odd_streets import FIFTY, many, strained
from tests.sheets.pdf_text import planned

EXAMPLES = ["teal-crescent", "kestrel-road"]
LEFT, RIGHT = 92.0, 876.0
RANDOM = settings(deadline=None, suppress_health_check=list(HealthCheck), phases=[Phase.generate])


def hold(plan: Plan) -> None:
    """What holds for every zone: nothing collides, leaves or shrinks; the odds of the plan are said."""
    for index, odds in enumerate(plan.treatment.odds.zones):
        drawn = draw_odds_curve(plan, index)
        assert collisions(drawn) == []
        assert outside(drawn) == []
        assert min(float(one.get("font-size", "0")) for one in elements(drawn, "text")) >= 15
        assert say_odds(odds.worst.value) in texts(drawn)
        assert hidden(drawn) == []
        assert f"{say_odds(odds.worst.value)}, {band_words(odds.low, odds.high)}, on day" in drawn.words


def hidden(drawn: Drawn) -> list[tuple[float, float]]:
    """Places of a curve that the answer's box or the lath of our sum hides."""
    boxes = [
        Box(x, y, x + wide, y + high)
        for one in elements(drawn, "rect", stroke_width="2.2")
        for x, y, wide, high in [[float(one.get(key, "nan")) for key in ("x", "y", "width", "height")]]
    ]
    boxes += [box for text, box in drawn.labels if text.startswith("our sum ")]
    curves = [one.get("d", "") for one in elements(drawn, "path") if one.get("stroke-width") == "5.5" or one.get("stroke-dasharray") in ("18 7", "9 6")]  # fmt: skip
    spots = [spot for d in curves for spot in places(d)]
    assert len(boxes) >= 1
    assert len(spots) >= 51
    return [(x, y) for x, y in spots if any(box.left < x < box.right and box.top < y < box.bottom for box in boxes)]


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


def floor_and_top(drawn: Drawn) -> tuple[float, float]:
    """Heights of no odds and of ten in ten: the heavy axis, and the hairline as far above it as eight in ten is from two, and a third more."""
    (floor,) = (float(one.get("y1", "nan")) for one in elements(drawn, "line", stroke_width="3") if one.get("x1") == "92" and one.get("x2") == "876")  # fmt: skip
    hairs = [float(one.get("y1", "nan")) for one in elements(drawn, "line", stroke="#CFC5B6")]
    assert len(hairs) == 5
    return floor, min(hairs)


def places(d: str) -> list[tuple[float, float]]:
    return [(float(x), float(y)) for x, y in re.findall(r"([-\d.]+) ([-\d.]+)", d)]


def curve_at(drawn: Drawn, **look: str) -> list[tuple[float, float]]:
    """A curve as rates and odds, read off the drawing; its scale ends at 50 kg/m2."""
    (one,) = [path for path in elements(drawn, "path", **look) if path.get("d", "").count("L") == 50]
    floor, top = floor_and_top(drawn)
    return [((x - LEFT) / (RIGHT - LEFT) * 50, (floor - y) / (floor - top)) for x, y in places(one.get("d", ""))]


@pytest.mark.parametrize("name", EXAMPLES)
def test_curves_stand_where_the_plan_has_them(name: str) -> None:
    plan = planned(name)
    for index, odds in enumerate(plan.treatment.odds.zones):
        drawn = draw_odds_curve(plan, index)
        for mine, look in (
            (odds.curve, {"stroke_width": "5.5"}),
            (odds.later[0], {"stroke_dasharray": "18 7"}),
            (odds.later[1], {"stroke_dasharray": "9 6"}),
        ):
            found = curve_at(drawn, **look)
            assert [rate for rate, _ in found] == pytest.approx(list(range(51)), abs=1e-3)
            assert [chance for _, chance in found] == pytest.approx(mine.tolist(), abs=1e-4)
        floor, top = floor_and_top(drawn)
        edges = [path.get("d", "") for path in elements(drawn, "path", stroke=LOAM, stroke_width="1.2") if path.get("d", "").count("L") == 50]  # fmt: skip
        for edge, mine in zip(edges, (odds.curve_high, odds.curve_low), strict=True):
            assert [(floor - y) / (floor - top) for _, y in places(edge)] == pytest.approx(mine.tolist(), abs=1e-4)


@pytest.mark.parametrize("name", EXAMPLES)
def test_the_instruction_stands_at_its_rate_with_its_odds_and_their_band(name: str) -> None:
    plan = planned(name)
    for index, odds in enumerate(plan.treatment.odds.zones):
        drawn = draw_odds_curve(plan, index)
        x = LEFT + odds.rate.value / 50 * (RIGHT - LEFT)
        (line,) = elements(drawn, "line", stroke=CLAY, stroke_width="3.4")
        assert float(line.get("x1", "nan")) == pytest.approx(x, abs=0.01)
        floor, top = floor_and_top(drawn)
        (ring,) = [one for one in elements(drawn, "path", stroke_width="4") if " a8 8 " in one.get("d", "")]
        (left, middle) = places(ring.get("d", ""))[0]
        assert left + 8 == pytest.approx(x, abs=0.01)
        assert (floor - middle) / (floor - top) == pytest.approx(odds.worst.value, abs=1e-4)
        (bar,) = [one.get("d", "") for one in elements(drawn, "path", stroke_width="3") if " V" in one.get("d", "")]
        low, high = (float(value) for value in re.findall(r"M[\d.]+ ([\d.]+) V([\d.]+)", bar)[0])
        assert [(floor - y) / (floor - top) for y in (low, high)] == pytest.approx([odds.low, odds.high], abs=1e-4)
        assert f"instructed {odds.rate.value:g} kg/m\u00b2" in texts(drawn)


def test_tonnes_are_the_rate_times_the_area() -> None:
    """900 m2: 28 kg/m2 are 25.2 t, 40 are 36.0, and 30 (27.0 t) gives way to its neighbour."""
    said = texts(draw_odds_curve(planned("teal-crescent"), 0))
    assert [text for text in ("0.0", "4.5", "18.0", "25.2", "36.0", "45.0") if text not in said] == []


@pytest.mark.parametrize("name", EXAMPLES)
def test_every_tonne_stands_under_its_rate(name: str) -> None:
    plan = planned(name)
    for index, zone in enumerate(plan.zones):
        drawn = draw_odds_curve(plan, index)
        floor, _ = floor_and_top(drawn)
        rows: dict[int, dict[float, str]] = {27: {}, 49: {}}
        for one in elements(drawn, "text", text_anchor="middle"):
            down = round(float(one.get("y", "nan")) - floor)
            if down in rows:
                rows[down][float(one.get("x", "nan"))] = one.text or ""
        assert len(rows[49]) >= 8
        for x, tonnes in rows[49].items():
            rate = (x - LEFT) / (RIGHT - LEFT) * 50
            assert tonnes == number(rate * zone.area.value / 1000, 1)


def test_waiting_that_no_rate_is_worth_is_said_to_be_more() -> None:
    """On day 7 the instructed rate has odds that no rate of the curve has on day 2."""
    odds = planned("teal-crescent").treatment.odds.zones[0]
    assert odds.later[1][28] > odds.curve[50]
    assert odds.later[0][28] < odds.curve[50]
    words = draw_odds_curve(planned("teal-crescent"), 0).words
    third = float(np.interp(odds.later[0][28], odds.curve, np.arange(51.0))) - 28
    assert f"Waiting for day 3 is worth about {third:.0f} kg/m\u00b2, for day 7 more than 22 kg/m\u00b2." in words


def test_only_days_after_the_test_are_later(tmp_path: Path) -> None:
    said = texts(draw_odds_curve(least_written(tmp_path / "s"), 0))
    assert [text for text in said if text.startswith("test on day")] == ["test on day 7", "test on day 5"]
    said = texts(draw_odds_curve(planned("kestrel-road"), 0))
    assert [text for text in said if text.startswith("test on day")] == [
        "test on day 7",
        "test on day 3",
        "test on day 2",
    ]


def test_least_odds_are_a_fence_only_where_somebody_wrote_them(tmp_path: Path) -> None:
    drawn = draw_odds_curve(least_written(tmp_path / "s"), 2)
    floor, top = floor_and_top(drawn)
    (fence,) = elements(drawn, "line", stroke=STOP)
    assert (floor - float(fence.get("y1", "nan"))) / (floor - top) == pytest.approx(0.9, abs=1e-4)
    assert "least 9 in 10, engineer, job limits 10" in texts(drawn)
    assert "Least odds 9 in 10: engineer, job limits 10." in drawn.words
    bare = draw_odds_curve(planned("kestrel-road"), 2)
    assert elements(bare, "line", stroke=STOP) == []
    assert "No least odds are written, so no line is drawn; 8.5 in 10, a default, stands in." in bare.words


@pytest.mark.parametrize("name", EXAMPLES)
def test_our_sum_is_a_dotted_lath_on_its_rate(name: str) -> None:
    plan = planned(name)
    for index, odds in enumerate(plan.treatment.odds.zones):
        drawn = draw_odds_curve(plan, index)
        floor, _ = floor_and_top(drawn)
        laths = [
            one.get("d", "") for one in elements(drawn, "path", stroke_dasharray="2.5 4.5") if "Z" in one.get("d", "")
        ]
        if odds.enough is None:
            assert laths == []
            assert "By our sum no rate up to 40 kg/m\u00b2 reaches it" in drawn.words
            continue
        (lath,) = laths
        x = LEFT + odds.enough.value / 50 * (RIGHT - LEFT)
        assert re.search(rf"L{round(x, 2):g} {floor - 1:g} ", lath)
        assert f"our sum {odds.enough.value:g}" in texts(drawn)
    assert {odds.enough is None for odds in planned("teal-crescent").treatment.odds.zones} == {True, False}


def test_nothing_below_the_instruction_is_proposed_in_soft_ground_without_strengths() -> None:
    plan = planned("kestrel-road")
    soft, firm = draw_odds_curve(plan, 0), draw_odds_curve(plan, 2)
    assert [plan.zones[i].soil for i in (0, 2)] == ["soft", "firm"]
    assert "We propose nothing below the instructed rate: soft ground, no strength test." in soft.words
    assert "We propose nothing" not in firm.words


def test_what_the_odds_rest_on_is_said(tmp_path: Path) -> None:
    said = texts(draw_odds_curve(planned("teal-crescent"), 0))
    assert "judgement, not calculated: no laboratory strength. Ground: 8 readings of the slow drive, no test." in said
    calculated = draw_odds_curve(with_strengths(tmp_path / "s"), 0)
    assert "calculated from 3 laboratory strengths and defaults." in calculated.words
    assert "judgement, not calculated" not in calculated.words
    feet = list(elements(calculated, "path", stroke_dasharray="0.1 8"))
    assert len(feet) == 1  # its foot stays dotted: day and mix rest on defaults still
    assert "13 mm at most: a default, for nobody wrote a limit." in draw_odds_curve(planned("teal-crescent"), 0).words
    assert "13 mm at most: engineer, job limits 9." in draw_odds_curve(planned("kestrel-road"), 0).words


def test_the_answer_names_day_and_air(tmp_path: Path) -> None:
    plan = planned("teal-crescent")
    said, odds = texts(draw_odds_curve(plan, 0)), plan.treatment.odds.zones[0]
    assert "about 6 in 10" in said
    assert f"between {round(10 * odds.low)} and {round(10 * odds.high)} in 10" in said
    assert "on day 2, at 12 to 19 \u00b0C" in said
    assert "on day 2; no forecast was given" in texts(draw_odds_curve(six_zones(tmp_path / "s"), 0))


def test_a_rate_over_the_curve_is_dotted_on(tmp_path: Path) -> None:
    plan = six_zones(tmp_path / "s")
    assert [zone.rate.value for zone in plan.zones] == [60, 5, 50, 35, 27.5, 0]
    over, at_its_end = draw_odds_curve(plan, 0), draw_odds_curve(plan, 2)
    assert "Our sum goes to 50 kg/m\u00b2; over it its odds stand still, dotted." in over.words
    assert "Our sum goes to" not in at_its_end.words
    (line,) = elements(over, "line", stroke=CLAY, stroke_width="3.4")
    assert float(line.get("x1", "nan")) == RIGHT
    floor, top = floor_and_top(over)
    dotted = [places(one.get("d", "")) for one in elements(over, "path", stroke_dasharray="2.5 4.5") if "Z" not in one.get("d", "")]  # fmt: skip
    ends = [(floor - two[-1][1]) / (floor - top) for two in dotted]
    odds = plan.treatment.odds.zones[0]
    assert ends == pytest.approx([odds.curve[-1], odds.later[0][-1], odds.later[1][-1]], abs=1e-4)
    assert [two[0][0] for two in dotted] == pytest.approx([LEFT + 50 / 60 * (RIGHT - LEFT)] * 3, abs=0.01)


def test_no_cement_has_its_odds_too(tmp_path: Path) -> None:
    plan = six_zones(tmp_path / "s")
    drawn, odds = draw_odds_curve(plan, 5), plan.treatment.odds.zones[5]
    assert odds.rate.value == 0
    (line,) = elements(drawn, "line", stroke=CLAY, stroke_width="3.4")
    assert float(line.get("x1", "nan")) == LEFT
    assert "Waiting is worth nothing." in drawn.words
    assert odds.low == odds.high == odds.worst.value
    assert "throughout its band" in texts(drawn)


def test_what_nobody_agreed_is_dashed(tmp_path: Path) -> None:
    plan = without_a_rate(tmp_path / "s")
    index = next(i for i, zone in enumerate(plan.zones) if not zone.instruction.dig_out)
    drawn = draw_odds_curve(plan, index)
    assert f"proposed {plan.zones[index].rate.value:g} kg/m\u00b2" in texts(drawn)
    (lath,) = [one for one in elements(drawn, "path", stroke=CLAY) if "Z" in one.get("d", "")]
    assert lath.get("stroke-dasharray") == "9 5"


@pytest.mark.parametrize(
    ("low", "high", "words"),
    [
        (0.52, 0.88, "between 5 and 9 in 10"),
        (0.0, 0.04, "from hardly ever to about 1 in 20"),
        (0.96, 0.99, "from about 19 in 20 to nearly always"),
        (0.98, 0.99, "throughout its band"),
        (0.61, 0.64, "throughout its band"),
    ],
)
def test_bands_in_words(low: float, high: float, words: str) -> None:
    assert band_words(low, high) == words


def test_a_name_from_right_to_left_turns_no_figure_round() -> None:
    assert named(["soft", "Ash Row"], ["0+060"]) == "soft \u00b7 Ash Row \u00b7 0+060"
    assert named([FIFTY, "Ash Row"], ["0+060"]) == f"Ash Row \u00b7 0+060 \u00b7 {FIFTY}"


def test_lines_break_between_words() -> None:
    text = "the quick brown fox jumps over the lazy dog and then an" + "x" * 80
    lines = wrap(text, 180, PLAIN_TYPE)
    assert all(PLAIN_TYPE.width(line) <= 180 for line in lines)
    assert " ".join(lines[:-1]) == text.rsplit(" ", 1)[0]
    assert lines[-1].endswith("\u2026")


def test_a_page_of_one_zone_names_it_itself() -> None:
    plan = planned("teal-crescent")
    whole, part = draw_odds_curve(plan, 0), draw_odds_curve(plan, 0, alone=False, tall=200)
    assert any("Teal Crescent" in text for text in texts(whole))
    assert not any("Teal Crescent" in text for text in texts(part))
    assert collisions(part) == []
    assert part.height == pytest.approx(whole.height - 124, abs=1)


def test_the_same_plan_draws_the_same_curve() -> None:
    assert draw_odds_curve(planned("kestrel-road"), 1).svg == draw_odds_curve(planned("kestrel-road"), 1).svg
