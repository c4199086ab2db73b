"""The ground along the street: bands, middles and scales stand where the plan's figures are; every word once, none on another."""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from hypothesis import HealthCheck, Phase, given, settings

from hardpan.exchange.drawing.ground_along import FIRMEST, SOFTEST, draw_ground_along
from hardpan.exchange.drawing.ground_map import draw_ground_map
from hardpan.exchange.drawing.ground_rows import asked_tests, done_tests, ground_spans
from hardpan.exchange.drawing.ink import CLAY, MAP
from hardpan.exchange.drawing.placement import Box
from hardpan.exchange.drawing.street_rows import Span
from hardpan.exchange.drawing.strip_map import Drawn
from hardpan.plan import Plan
from hardpan.street.words import say_odds
from tests.drawing.ground_streets import (
    collisions,
    elements,
    in_feet,
    long_and_wide,
    one_strip,
    outside,
    texts,
    unread,
    with_a_skin,
)
from tests.drawing.map_streets import MapStreet, map_plans
from tests.sheets.odd_streets import many, strained
from tests.sheets.pdf_text import planned

EXAMPLES = ["teal-crescent", "kestrel-road"]
ODD = [unread, one_strip, in_feet, with_a_skin, many, strained]
LEFT, RIGHT = 96.0, 1122.0 - 44.0
RANDOM = settings(deadline=None, suppress_health_check=list(HealthCheck), phases=[Phase.generate])


def hold(plan: Plan) -> Drawn:
    """What holds for every drawing: nothing collides, leaves, shrinks or is lost."""
    drawn = draw_ground_along(plan)
    assert collisions(drawn) == []
    assert outside(drawn) == []
    sizes = [float(one.get("font-size", "0")) for one in elements(drawn, "text") if len(one.text or "") > 1]
    assert min(sizes) >= MAP.size
    said, whole = texts(drawn), Span(plan.street.stationing.first, plan.street.stationing.last)
    for one in asked_tests(plan, whole):
        assert len([text for text in said if text == one.name or text.startswith(f"{one.name} asked for at")]) == 1
    for done in done_tests(plan, whole):
        assert done.lines[0] in said or any(text.startswith(done.said) for text in said)
    return drawn


@pytest.mark.parametrize("name", EXAMPLES)
def test_nothing_collides_and_no_test_is_lost_on_the_two_streets(name: str) -> None:
    hold(planned(name))


@pytest.mark.parametrize("make", [*ODD, long_and_wide])
def test_nothing_collides_and_no_test_is_lost_on_odd_streets(tmp_path: Path, make: Callable[[Path], Plan]) -> None:
    hold(make(tmp_path / "s"))


@settings(RANDOM, max_examples=30)
@given(street=map_plans())
def test_nothing_collides_and_no_test_is_lost_on_random_streets(street: MapStreet) -> None:
    hold(street.plan)


@pytest.mark.nightly
@settings(RANDOM, max_examples=200)
@given(street=map_plans())
def test_nothing_collides_and_no_test_is_lost_on_200_random_streets(street: MapStreet) -> None:
    hold(street.plan)


def panel(drawn: Drawn, strip: int) -> Box:
    """Plot of a strip in a drawing of one row: its ticks of CBR 20 and 1 on the right, carried on to the scale's end."""
    strips = [text for text, _ in drawn.labels if text.startswith("strip ")]
    ticks = ticks_at(drawn, RIGHT, RIGHT + 5)[5 * strips.index(f"strip {strip}") :][:5]
    return Box(LEFT, ticks[0], RIGHT, ticks[0] + (ticks[4] - ticks[0]) / math.log(20) * math.log(FIRMEST / SOFTEST))


def ticks_at(drawn: Drawn, left: float, right: float) -> list[float]:
    """Heights of the ticks between two places, downwards."""
    lines = elements(drawn, "line", x1=f"{left:g}", x2=f"{right:g}")
    return sorted(float(one.get("y1", "nan")) for one in lines)


def height(plot: Box, cbr: float) -> float:
    """Where a bearing ratio stands in a plot, worked out anew."""
    share = math.log(FIRMEST / min(max(cbr, SOFTEST), FIRMEST)) / math.log(FIRMEST / SOFTEST)
    return plot.top + share * (plot.bottom - plot.top)


def middles(drawn: Drawn, plot: Box) -> list[tuple[float, float, float]]:
    """Dotted middles inside a plot: from, to, height."""
    found = []
    for one in elements(drawn, "path", stroke_dasharray="3 4", stroke_width="3.2"):
        for a, y, b in re.findall(r"M([\d.]+) ([\d.]+) H([\d.]+)", one.get("d", "")):
            if plot.top - 0.1 <= float(y) <= plot.bottom + 0.1:
                found.append((float(a), float(b), float(y)))
    return found


@pytest.mark.parametrize("name", EXAMPLES)
def test_middles_and_bands_stand_at_the_plans_figures(name: str) -> None:
    plan = planned(name)
    ground, span = plan.ground, ground_spans(plan)[0]
    drawn = draw_ground_along(plan, spans=[span], legend=False)
    bands = [one.get("d", "") for one in elements(drawn, "path", fill="url(#ground-band)")]
    for row, strip in enumerate(ground.bays.strips):
        plot = panel(drawn, strip)
        lines = middles(drawn, plot)
        for column, middle in enumerate(ground.bays.middles_m):
            if not span.holds(float(middle)) or ground.places.trench[row, column]:
                continue
            x = LEFT + (float(middle) - span.start) / span.length * (RIGHT - LEFT)
            (y,) = (y for a, b, y in lines if a < x < b)
            assert y == pytest.approx(height(plot, float(ground.middle[row, column])), abs=0.02)
            for cbr in (ground.low[row, column], ground.high[row, column]):
                edge = height(plot, float(cbr))
                assert any(_passes(d, x, edge) for d in bands), (strip, middle)


def _passes(outline: str, x: float, y: float) -> bool:
    """Whether a level part of an outline passes a place."""
    corners = [(float(a), float(b), float(c)) for a, b, c in re.findall(r"[ML]([\d.]+) ([\d.]+) H([\d.]+)", outline)]
    return any(min(a, c) < x < max(a, c) and abs(b - y) < 0.02 for a, b, c in corners)


@pytest.mark.parametrize("name", EXAMPLES)
def test_words_and_millimetres_stand_where_the_rut_law_puts_them(name: str) -> None:
    """Rut = k CBR^-1.52: the line of 30 mm stands where k / 0.030 to the power 1 / 1.52 does, and each word between its bounds."""
    plan = planned(name)
    drawn = draw_ground_along(plan, spans=ground_spans(plan)[:1], strips=[1], legend=False)
    plot = panel(drawn, 1)
    found = ticks_at(drawn, LEFT - 5, LEFT)
    wanted = [height(plot, (plan.ground.rut_constant.value / rut) ** (1 / 1.52)) for rut in (0.015, 0.030, 0.075)]
    assert found == pytest.approx(wanted, abs=0.01)
    at = {text: (box.top + box.bottom) / 2 for text, box in drawn.labels if box.right < LEFT}
    assert [at["15"], at["30"], at["75"]] == pytest.approx(wanted, abs=1)
    order = ["nothing", "15", "shows", "30", "ruts", "75", "sinks"]
    assert sorted(order, key=lambda text: at[text]) == order


def test_every_line_is_dotted_even_where_a_test_was_made() -> None:
    """A posterior rests on a default: a test narrows the band, and its own mark alone is solid."""
    plan = planned("kestrel-road")
    drawn = draw_ground_along(plan, spans=ground_spans(plan)[:1], legend=False)
    plot = panel(drawn, 2)
    x = LEFT + 120 / 240 * (RIGHT - LEFT)
    assert [a < x <= b for a, b, _ in middles(drawn, plot)].count(True) == 1
    solid = [one for one in elements(drawn, "path", fill="#16120F") if "stroke-dasharray" not in one.attrib]
    (lath,) = (one for one in solid if one.get("d", "").endswith("Z"))
    (foot,) = re.findall(rf"L{x:g} ([\d.]+)", lath.get("d", ""))
    (felt,) = (math.exp(one.felt) for one in plan.ground.soundings)
    assert float(foot) == pytest.approx(height(plot, felt), abs=0.02)
    assert f"P1: CBR {felt:.2g}" in texts(drawn)


def test_what_was_read_stands_over_each_strip_with_its_millimetres() -> None:
    plan = planned("kestrel-road")
    first, second = (texts(draw_ground_along(plan, spans=[span], legend=False)) for span in ground_spans(plan))
    assert first.count("ruts, 38 mm, bounces") == 4
    assert second.count("shows, 28 mm") == 2


def test_soft_ground_under_a_skin_is_said_once_a_stretch() -> None:
    """Four strips that share a stretch say it once; every one of them has its line."""
    plan = planned("kestrel-road")
    drawn = draw_ground_along(plan, legend=False)
    words = [text for text in texts(drawn) if "hide soft" in text]
    assert words == ["about 2 in 10 hide soft ground under a skin"] * 5  # 2 of the first row, 1 and 2 of the second
    assert say_odds(float(plan.ground.hidden.chance[0, 0])) == "about 2 in 10"
    bounds = elements(drawn, "path", stroke_width="2")
    uprights = [one for one in bounds if re.fullmatch(r"M[\d.]+ [\d.]+ V[\d.]+", one.get("d", ""))]
    assert len(uprights) == 2 * (4 * 2 + 2 + 2 * 2)


def test_no_skin_is_feared_where_a_test_went_through(tmp_path: Path) -> None:
    plan = with_a_skin(tmp_path / "s")
    drawn = draw_ground_along(plan, strips=[2], legend=False)
    assert "S1: CBR" in " ".join(texts(drawn))
    skin, firm = (one for one in plan.ground.soundings)
    assert [skin.skin, firm.skin] == [True, False]
    laths = [one for one in elements(drawn, "path", fill="#16120F") if one.get("d", "").endswith("Z")]
    assert len(laths) == 3  # felt and under it, and the firm one
    gaps = [text for text in texts(drawn) if "hide soft" in text or text.startswith("about ")]
    assert len(gaps) == 3  # before, between and after the two bays


def test_a_trench_has_a_bar_of_its_own_and_its_figure() -> None:
    plan = planned("teal-crescent")
    drawn = draw_ground_along(plan, legend=False)
    softest = [float(np.where(plan.ground.places.trench[row], plan.ground.middle[row], np.inf).min()) for row in (2, 3)]
    said = [text for text in texts(drawn) if text.startswith("trench")]
    assert said == [f"trench, CBR about {cbr:.2g}" for cbr in softest]
    rings = [one for one in elements(drawn, "path", fill="#FFFFFF") if " a3.6 3.6 " in one.get("d", "")]
    assert len(rings) == 2
    scale = (RIGHT - LEFT) / 240
    for one in rings:
        start = float(one.get("d", "")[1:].split()[0])
        assert start + 3.6 == pytest.approx(LEFT + 150 * scale, abs=0.1)


def test_boggy_stretches_say_how_often_full_and_half_full() -> None:
    plan = planned("teal-crescent")
    drawn = draw_ground_along(plan, legend=False)
    for one in plan.ground.bogging.stretches:
        words = f"a loaded truck bogs {say_odds(one.full)}, half full {say_odds(one.half)}"
        assert words in texts(drawn)
    assert len({one.strip for one in plan.ground.bogging.stretches}) == 2


def test_painted_edges_stand_between_the_rates_they_part() -> None:
    plan = planned("teal-crescent")
    drawn = draw_ground_along(plan, legend=False)
    scale = (RIGHT - LEFT) / 240
    edges = sorted(float(one.get("x1", "nan")) for one in elements(drawn, "line", stroke=CLAY))
    assert edges == pytest.approx([LEFT + 60 * scale] * 4 + [LEFT + 160 * scale] * 4, abs=0.01)
    rates = sorted((box.left, text) for text, box in drawn.labels if "kg/m\u00b2" in text)
    assert [text for _, text in rates] == ["12 kg/m\u00b2", "28 kg/m\u00b2", "12 kg/m\u00b2"]


@pytest.mark.parametrize("name", EXAMPLES)
def test_it_stands_on_the_same_scale_as_the_map(name: str) -> None:
    plan = planned(name)
    for span in ground_spans(plan):
        tapes = [
            {text: round(box.left, 2) for text, box in draw(plan, spans=[span], legend=False).labels if "+" in text[:2]}
            for draw in (draw_ground_map, draw_ground_along)
        ]
        assert len(tapes[1]) > 8
        assert tapes[1].items() <= tapes[0].items()


def test_some_strips_alone_are_drawn_whole() -> None:
    plan = planned("teal-crescent")
    drawn = draw_ground_along(plan, strips=[3, 4], legend=False)
    assert [text for text in texts(drawn) if text.startswith("strip ")] == ["strip 3", "strip 4"]
    # the rates say themselves in the first strip that is drawn
    rates = [text for text in texts(drawn) if "kg/m\u00b2" in text]
    assert sorted(rates) == ["12 kg/m\u00b2", "12 kg/m\u00b2", "28 kg/m\u00b2"]
    assert "test 1" not in texts(drawn)
    assert "Strip 1" not in drawn.words.replace("strip 1 is", "")


def test_unread_ground_is_a_dotted_lane_and_a_wide_band(tmp_path: Path) -> None:
    drawn = draw_ground_along(unread(tmp_path / "s"), legend=False)
    assert texts(drawn).count("not read") == 3
    lanes = elements(drawn, "line", stroke_dasharray="2 5")
    assert len(lanes) == 6  # on both sides of the word in each strip


def test_the_legend_names_every_kind_of_mark() -> None:
    said = texts(draw_ground_along(planned("teal-crescent")))
    for name in ("8 times in 10", "trench", "under a skin", "bogs", "test asked for", "tested", "painted edge"):
        assert name in said


def test_the_same_plan_draws_the_same_ground() -> None:
    assert draw_ground_along(planned("teal-crescent")).svg == draw_ground_along(planned("teal-crescent")).svg
