"""The ground map: every bay is hatched as its ground is, the softer the denser; words, tests and trenches stand once and collide with nothing."""

from __future__ import annotations

import math
import xml.etree.ElementTree as ET
from collections.abc import Callable
from itertools import pairwise
from pathlib import Path

import pytest
from hypothesis import HealthCheck, Phase, given, settings

from hardpan.exchange.drawing.ground_map import draw_ground_map
from hardpan.exchange.drawing.ground_marks import HATCHES
from hardpan.exchange.drawing.ground_rows import alike, asked_tests, done_tests, ground_spans
from hardpan.exchange.drawing.ink import MAP
from hardpan.exchange.drawing.placement import Box
from hardpan.exchange.drawing.street_rows import Span
from hardpan.exchange.drawing.strip_map import Drawn, draw_strip_map
from hardpan.plan import Plan
from hardpan.street.words import word_for
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
RANDOM = settings(deadline=None, suppress_health_check=list(HealthCheck), phases=[Phase.generate])


def whole(plan: Plan) -> Span:
    return Span(plan.street.stationing.first, plan.street.stationing.last)


def hatched(drawn: Drawn, x: float, y: float) -> str:
    """Hatch of the ground at a place; empty where it is white. The last one drawn stands on top."""
    found = ""
    for one in elements(drawn, "rect"):
        left, top, wide, high = (float(one.get(key, "nan")) for key in ("x", "y", "width", "height"))
        fill = one.get("fill", "")
        if fill.startswith("url(#ground-") and left <= x <= left + wide and top <= y <= top + high:
            found = fill.removeprefix("url(#ground-").rstrip(")")
    return found


def word_at(plan: Plan, row: int, column: int) -> str:
    """Word of a bay, worked out anew: rut = k CBR^-1.52 at the middle of its band, by the bounds of the drive's words."""
    return word_for(plan.ground.rut_constant.value * float(plan.ground.middle[row, column]) ** -1.52)


def hold(plan: Plan) -> Drawn:
    """What holds for every ground map: nothing collides, leaves, shrinks or is lost."""
    drawn = draw_ground_map(plan)
    assert collisions(drawn) == []
    assert outside(drawn) == []
    sizes = [float(one.get("font-size", "0")) for one in elements(drawn, "text") if len(one.text or "") > 1]
    assert min(sizes) >= MAP.size
    said = texts(drawn)
    for one in asked_tests(plan, whole(plan)):
        assert len([text for text in said if text == one.name or text.startswith(f"{one.name} asked for at")]) == 1
    for done in done_tests(plan, whole(plan)):
        assert done.lines[0] in said or any(text.startswith(done.said) for text in said)
    return drawn


@pytest.mark.parametrize("name", EXAMPLES)
def test_nothing_collides_and_no_test_is_lost_on_the_two_streets(name: str) -> None:
    hold(planned(name))


@pytest.mark.parametrize("make", ODD)
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


def test_a_collision_would_be_seen() -> None:
    drawn = draw_ground_map(planned("teal-crescent"))
    doubled = Drawn(drawn.svg, drawn.width, drawn.height, (*drawn.labels, drawn.labels[3]), drawn.words)
    assert collisions(doubled) == [(drawn.labels[3][0], drawn.labels[3][0])]


@pytest.mark.parametrize("name", EXAMPLES)
def test_every_bay_is_hatched_as_its_ground_is(name: str) -> None:
    plan = planned(name)
    bays, strips = plan.ground.bays, len(plan.street.strips)
    for span in ground_spans(plan):
        drawn = draw_ground_map(plan, spans=[span], legend=False)
        rows = [box for text, box in drawn.labels if text.startswith("strip ")]
        assert len(rows) == strips
        left, right = 96.0, drawn.width - 44.0
        for column, middle in enumerate(bays.middles_m):
            if not span.holds(float(middle)):
                continue
            x = left + (float(middle) - span.start) / span.length * (right - left)
            for row, box in enumerate(rows):
                word = word_at(plan, row, column)
                assert hatched(drawn, x, (box.top + box.bottom) / 2) == ("" if word == "nothing" else word)


def test_softer_ground_has_more_ink() -> None:
    """Share of the ground that lines cover: weight over spacing, twice where they cross. In grey each step is seen: at least double."""
    drawn = draw_ground_map(planned("teal-crescent"))
    found = {one.get("id"): one for one in elements(drawn, "pattern")}
    shares = []
    for word, (_, _, crossed) in HATCHES.items():
        tile = found[f"ground-{word}"]
        (lines,) = tile
        spacing = float(tile.get("width", "nan")) / math.sqrt(2)
        shares.append(float(lines.get("stroke-width", "nan")) / spacing * (2 if crossed else 1))
    assert list(HATCHES) == ["shows", "ruts", "sinks"]
    assert [softer / firmer >= 2 for firmer, softer in pairwise(shares)] == [True, True]
    assert shares[-1] < 0.75  # black ground would swallow its edges


def test_every_stretch_has_its_word_once_on_a_dotted_foot(tmp_path: Path) -> None:
    drawn = draw_ground_map(one_strip(tmp_path / "s"), legend=False)
    said = [
        text
        for text, box in drawn.labels
        if text in ("nothing", "shows", "ruts", "sinks") and box.bottom - box.top > 20
    ]
    assert sorted(said) == ["ruts", "shows", "sinks"]
    assert len(elements(drawn, "path", stroke_dasharray="2 4", stroke_width="2.4")) == 3


def test_a_trench_has_its_word_and_parts_nothing() -> None:
    plan = planned("teal-crescent")
    said = texts(draw_ground_map(plan, legend=False))
    assert said[said.index("trench 0+149.4") + 1] == "sinks"
    # the strip that sinks on both sides of it is one stretch
    parts = [one.parts for one in alike(plan, whole(plan)) if one.word == "sinks"]
    assert [[(strip, span.start, span.end) for strip, span in each] for each in parts] == [
        [(4, 140.0, 149.4), (4, 150.6, 160.0)]
    ]


def test_ground_that_nobody_read_is_broken_lines_and_says_so(tmp_path: Path) -> None:
    drawn = draw_ground_map(unread(tmp_path / "s"))
    fills = {one.get("fill", "") for one in elements(drawn, "rect") if "ground-" in one.get("fill", "")}
    assert {"url(#ground-ruts-unread)", "url(#ground-nothing-unread)"} <= fills
    for tile in elements(drawn, "pattern"):
        lines = next(iter(tile))
        assert ("stroke-dasharray" in lines.attrib) == tile.get("id", "").endswith("-unread")
    assert "ruts, not read" in texts(drawn)
    assert texts(drawn).count("nothing, not read") == 2
    # nobody read it, so nothing showed, and a skin is not what is to fear
    assert "nothing may hide soft ground" not in texts(drawn)


def test_white_ground_is_not_called_safe() -> None:
    said = texts(draw_ground_map(planned("kestrel-road")))
    assert said[said.index("nothing may hide soft ground") + 1] == "about 2 in 10, under a skin: a test tells"


def test_tests_made_stand_beside_what_they_found(tmp_path: Path) -> None:
    said = texts(draw_ground_map(with_a_skin(tmp_path / "s")))
    assert any(text.startswith("S1: CBR ") and text.endswith(" felt,") for text in said)
    assert any(text.endswith(" under a skin") for text in said)
    assert "lab L1: CBR 4" in said


def test_a_tape_counted_in_feet_shows_whole_feet(tmp_path: Path) -> None:
    said = texts(draw_ground_map(in_feet(tmp_path / "s")))
    assert {"0+00", "0+50", "1+00", "5+50", "6+56.2"} <= set(said)


def test_rates_stand_in_the_ground_they_are_for() -> None:
    drawn = draw_ground_map(planned("teal-crescent"), legend=False)
    rates = [(text, (box.left + box.right) / 2) for text, box in drawn.labels if text.endswith("kg/m\u00b2")]
    scale = (drawn.width - 96 - 44) / 240
    found = sorted((96 + scale * 60 < x < 96 + scale * 160, text) for text, x in rates)
    assert found == [(False, "12 kg/m\u00b2"), (False, "12 kg/m\u00b2"), (True, "28 kg/m\u00b2")]


def test_rows_break_a_long_street_and_hold_all_of_it(tmp_path: Path) -> None:
    plan = long_and_wide(tmp_path / "s")
    spans = ground_spans(plan)
    assert [spans[0].start, spans[-1].end] == [0.0, 4000.0]
    assert [before.end for before in spans[:-1]] == [after.start for after in spans[1:]]
    assert max(span.length for span in spans) <= 378
    drawn = hold(plan)
    assert len([text for text in texts(drawn) if text == "strip 13"]) == len(spans)
    labels = [draw_ground_map(plan, spans=[span], legend=False).labels for span in spans]
    assert sum(map(len, labels)) == len(draw_ground_map(plan, legend=False).labels)


def test_words_say_what_the_picture_shows() -> None:
    plan = planned("teal-crescent")
    drawn = draw_ground_map(plan)
    assert ET.fromstring(drawn.svg).findtext("{http://www.w3.org/2000/svg}desc") == drawn.words
    assert "Strip 4, 0+140 to 0+149.4: about sinks." in drawn.words
    assert "Strip 1, 0+000 to 0+070: about 2 in 10 hide soft ground under a skin." in drawn.words
    for number, one in enumerate(plan.ground.tests, start=1):
        assert f"Asked for: test {number} at {one.place}, strip {one.strip}." in drawn.words


def test_the_rates_of_the_strip_map_stay_without_ground() -> None:
    assert "ground-" not in draw_strip_map(planned("teal-crescent")).svg


def test_the_same_plan_draws_the_same_map() -> None:
    assert draw_ground_map(planned("teal-crescent")).svg == draw_ground_map(planned("teal-crescent")).svg


def test_a_test_between_two_rows_stands_in_one(tmp_path: Path) -> None:
    rows = "test,station,strip,blows,depth [mm],note\n" + "".join(f"B1,200,1,{4 * i},{60 * i},\n" for i in range(8))
    from tests.drawing.ground_streets import planned as street  # noqa: PLC0415  # the name is taken by the examples

    plan = street(tmp_path / "s", 600, 1, penetrometer=rows)
    spans = ground_spans(plan)
    edges = [span.end for span in spans[:-1]]
    assert edges
    assert [len(done_tests(plan, span)) for span in (Span(0, 200), Span(200, 400))] == [1, 0]


def test_a_box_is_where_its_words_are() -> None:
    """The boxes that collisions are sought among are those of the letters drawn."""
    drawn = draw_ground_map(planned("kestrel-road"))
    starts = {(one.text, one.get("text-anchor", "start")): one for one in elements(drawn, "text")}
    box: Box = next(box for text, box in drawn.labels if text == "P1: CBR 2.8")
    mark = starts["P1: CBR 2.8", "start"]
    assert float(mark.get("x", "nan")) == pytest.approx(box.left, abs=0.01)
    assert box.top < float(mark.get("y", "nan")) < box.bottom
