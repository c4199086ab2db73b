"""The strip map on the two streets and on 200 random ones: nothing collides, nothing shrinks, nothing is lost."""

from __future__ import annotations

import json
import math
import re
import xml.etree.ElementTree as ET
from itertools import pairwise
from pathlib import Path

import pytest
import typst
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

import hardpan
from hardpan.exchange.drawing.ink import MAP
from hardpan.exchange.drawing.lettering import FAMILY, font_folder, shorten, width
from hardpan.exchange.drawing.placement import Box, Field, rows_of_labels, spread_out
from hardpan.exchange.drawing.strip_map import Drawn, draw_strip_map
from hardpan.plan import Plan
from tests.drawing.map_streets import MapStreet, map_plans

SVG = "{http://www.w3.org/2000/svg}"


@pytest.fixture(scope="module", params=["teal-crescent", "kestrel-road"])
def plan(request: pytest.FixtureRequest) -> Plan:
    return hardpan.make_plan(hardpan.read_street(hardpan.example(request.param)))


def collisions(drawn: Drawn) -> list[tuple[str, str]]:
    """Pairs of labels whose boxes overlap, found by a sweep along the drawing."""
    labels = sorted(drawn.labels, key=lambda label: label[1].top)
    found, open_labels = [], list[tuple[str, Box]]()
    for text, box in labels:
        open_labels = [other for other in open_labels if other[1].bottom > box.top + 0.01]
        found += [(text, other) for other, taken in open_labels if box.hits(taken, -0.01)]
        open_labels.append((text, box))
    return found


def outside(drawn: Drawn) -> list[str]:
    """Labels that leave the drawing."""
    whole = Box(-0.5, -0.5, drawn.width + 0.5, drawn.height + 0.5)
    return [text for text, box in drawn.labels if not box.inside(whole)]


def texts(drawn: Drawn) -> list[str]:
    """All text of the drawing, in order."""
    return ["".join(element.itertext()) for element in ET.fromstring(drawn.svg).iter(f"{SVG}text")]


def test_no_label_collides_or_leaves_the_drawing(plan: Plan) -> None:
    drawn = draw_strip_map(plan)
    assert collisions(drawn) == []
    assert outside(drawn) == []


def test_a_collision_would_be_seen(plan: Plan) -> None:
    drawn = draw_strip_map(plan)
    doubled = Drawn(drawn.svg, drawn.width, drawn.height, (*drawn.labels, drawn.labels[0]), drawn.words)
    assert collisions(doubled) == [(drawn.labels[0][0], drawn.labels[0][0])]


@settings(max_examples=200, deadline=None, suppress_health_check=list(HealthCheck), phases=[Phase.generate])
@given(street=map_plans())
def test_on_200_random_streets_nothing_collides_shrinks_or_is_lost(street: MapStreet) -> None:
    drawn_plan = street.plan
    drawn = draw_strip_map(drawn_plan)
    assert collisions(drawn) == []
    assert outside(drawn) == []
    root = ET.fromstring(drawn.svg)
    assert (
        min(float(element.attrib["font-size"]) for element in root.iter(f"{SVG}text") if len(element.text or "") > 1)
        >= MAP.size
    )
    shown = " ".join(texts(drawn))
    cement = drawn_plan.supply.cement
    for out in cement.run_outs:
        assert out.bare_after or f"fill {out.fill} runs out" in shown
    assert len(re.findall(r"truck \d+ empty", shown)) >= len(drawn_plan.supply.water.empties)
    for structure in drawn_plan.street.structures:
        assert (
            structure.id in shown
            or structure.kind in ("gas", "water", "power", "telecom", "sewer")
            or f"{structure.id[:5]}" in shown
        )
    for block in drawn_plan.shift.blocks:
        assert re.search(rf"\bblock {block.number}\b", shown)


def test_every_rate_run_out_truck_and_structure_is_written(plan: Plan) -> None:
    shown = " | ".join(texts(draw_strip_map(plan)))
    show = plan.street.stationing.show
    for zone in plan.zones:
        assert f"{zone.rate.value:g} kg/m\u00b2" in shown
    for out in plan.supply.cement.run_outs:
        assert show(round(out.station.value)) in shown
    for empty in plan.supply.water.empties:
        assert f"truck {empty.truck} empty" in shown
    for mark in plan.street.stationing.landmarks:
        assert mark.name in shown


def test_words_say_what_the_picture_shows(plan: Plan) -> None:
    drawn = draw_strip_map(plan)
    root = ET.fromstring(drawn.svg)
    assert root.attrib["role"] == "img"
    assert root.findtext(f"{SVG}desc") == drawn.words
    for out in plan.supply.cement.run_outs:
        assert f"Fill {out.fill} runs out at {out.place} on strip {out.strip}." in drawn.words
    for zone in plan.zones:
        assert f"{zone.rate.value:g} kg/m2" in drawn.words


def test_more_cement_has_more_lines_and_heavy_rates_are_crossed(plan: Plan) -> None:
    """Readable in grey: the rate shows in the distance of the lines (170 units / rate), not in a colour."""
    sides = [
        float(pattern.attrib["width"]) for pattern in ET.fromstring(draw_strip_map(plan).svg).iter(f"{SVG}pattern")
    ]
    wanted = {round(170 / zone.rate.value * math.sqrt(2), 1) for zone in plan.zones}
    assert wanted <= {round(side, 1) for side in sides}


def test_the_same_plan_draws_the_same_map(plan: Plan) -> None:
    assert draw_strip_map(plan).svg == draw_strip_map(plan).svg


def test_some_blocks_alone_show_only_their_stretch() -> None:
    kestrel = hardpan.make_plan(hardpan.read_street(hardpan.example("kestrel-road")))
    shown = " ".join(texts(draw_strip_map(kestrel, blocks=kestrel.shift.blocks[3:])))
    assert "0+240" in shown
    assert "fill 6 runs out" in shown
    assert "fill 1 runs out" not in shown


@given(st.lists(st.tuples(st.floats(0, 1000), st.floats(5, 60)), min_size=1, max_size=30))
def test_labels_in_a_row_stand_apart_inside_and_in_order(wanted: list[tuple[float, float]]) -> None:
    wanted.sort()
    middles = spread_out([want for want, _ in wanted], [wide for _, wide in wanted], 0.0, 1000.0, 4.0)
    total = sum(wide for _, wide in wanted) + 4.0 * (len(wanted) - 1)
    assert (middles is None) == (total > 1000.0)
    if middles is None:
        return
    edges = [(middle - wide / 2, middle + wide / 2) for middle, (_, wide) in zip(middles, wanted, strict=True)]
    assert edges[0][0] >= -1e-6
    assert edges[-1][1] <= 1000.0 + 1e-6
    assert all(b[0] - a[1] >= 4.0 - 1e-6 for a, b in pairwise(edges))


@given(st.lists(st.tuples(st.floats(0, 300), st.floats(5, 100)), max_size=40))
def test_rows_hold_every_label(wanted: list[tuple[float, float]]) -> None:
    placed = rows_of_labels([want for want, _ in wanted], [wide for _, wide in wanted], 0.0, 300.0, 4.0)
    assert len(placed) == len(wanted)
    for row in {row for row, _ in placed}:
        boxes = sorted(
            (middle - wide / 2, middle + wide / 2)
            for (r, middle), (_, wide) in zip(placed, wanted, strict=True)
            if r == row
        )
        assert boxes[0][0] >= -1e-6
        assert boxes[-1][1] <= 300 + 1e-6
        assert all(b[0] >= a[1] + 4.0 - 1e-6 for a, b in pairwise(boxes))


def test_a_field_gives_faint_ground_only_when_nothing_else_is_left() -> None:
    room = Field(Box(0, 0, 100, 20), faint=[Box(0, 0, 50, 20)])
    first, second = Box(10, 0, 40, 20), Box(60, 0, 90, 20)
    assert room.put([first, second]) == second
    assert room.put([first, second]) == first
    assert room.put([first, second]) is None


@pytest.mark.parametrize("weight", [400, 600, 700, 900])
@pytest.mark.parametrize(
    "text",
    ["fill 1 runs out", "0+131", "28 kg/m\u00b2", "about 200 mm \u00b7 about 23 mm low", "WWW AVA To", "Stra\u00dfe"],
)
def test_text_is_as_wide_as_the_typesetter_sets_it(tmp_path: Path, text: str, weight: int) -> None:
    """Another way round: the typesetter measures the same words in the same face; ours is a hair wider, never narrower."""
    source = f'#set text(font: "{FAMILY}", size: 10pt, weight: {weight})\n#context [#metadata(measure[{text}].width.pt()) <wide>]\n'
    (tmp_path / "wide.typ").write_text(source, encoding="utf-8")
    found = typst.query(
        str(tmp_path / "wide.typ"),
        "<wide>",
        field="value",
        one=True,
        font_paths=[str(font_folder())],
        ignore_system_fonts=True,
    )
    set_width = float(json.loads(found))
    assert set_width <= width(text, 10, weight) <= 1.06 * set_width


def test_a_character_that_the_face_lacks_counts_as_a_wide_one() -> None:
    assert width("\u6c34", 10) >= 10


def test_text_that_does_not_fit_is_cut_with_an_ellipsis() -> None:
    assert shorten("hydrant", 1000, 15) == "hydrant"
    cut = shorten("corner of the old brickworks", 80, 15)
    assert cut.endswith("\u2026")
    assert width(cut, 15) <= 80
    assert shorten("hydrant", 1, 15) == "\u2026"
