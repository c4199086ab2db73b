"""The ground sheet: the tests asked for with what they settle, the ground zone by zone and strip by strip, every notice."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, Phase, given, settings

import hardpan
from hardpan.exchange.drawing.ground_rows import ground_spans
from hardpan.exchange.sheets.ground_sheet import TALLEST, ground_sheet, how_to_test, shown_ground
from hardpan.exchange.sheets.shelf import SHEETS, Wishes
from hardpan.plan import Plan
from hardpan.plan.zone_ground import zone_ground
from hardpan.street import example
from hardpan.street.words import say_odds
from tests.drawing.ground_streets import in_feet, long_and_wide, one_strip, unread, with_a_skin
from tests.drawing.map_streets import MapStreet, map_plans
from tests.sheets.odd_streets import changed, many, strained
from tests.sheets.pdf_text import check_document, pages, plain, planned, reader

TITLE = "ground sheet"
EXAMPLES = ["teal-crescent", "kestrel-road"]


def everything(plan: Plan) -> str:
    return " ".join(pages(ground_sheet(plan)))


@pytest.mark.parametrize("name", EXAMPLES)
def test_every_test_asked_for_stands_with_its_place_its_doubt_and_what_it_settles(name: str) -> None:
    plan = planned(name)
    text = everything(plan)
    assert len(plan.ground.tests) == 3
    for number, one in enumerate(plan.ground.tests, start=1):
        (rate,) = {
            f"{zone.rate.value:g} kg/m\u00b2"
            for zone in plan.zones
            for piece in zone.pieces
            if piece.strip == one.strip and piece.start_m < one.station_m < piece.end_m
        }
        row = f"test {number} {one.place} {one.strip} {rate} wrong {say_odds(one.wrong_here.value)} about"
        assert row in text
        assert f"{one.wrong_after.value:.0f} m after" in text
    assert f"about {plan.ground.tests[0].wrong_before.value:.0f} m now, " in text


@pytest.mark.parametrize("name", EXAMPLES)
def test_every_zone_and_every_notice_of_the_ground_is_told(name: str) -> None:
    plan = planned(name)
    text = everything(plan)
    for zone in plan.zones:
        line = zone_ground(plan.ground, zone).line(plan.street)
        assert plain(f"{zone.name} {zone.rate.value:g} kg/m\u00b2: {line}") in text
    assert plan.ground.notices
    for notice in plan.ground.notices:
        assert plain(str(notice)) in text


def test_a_test_that_was_made_names_its_equation() -> None:
    (sounding,) = planned("kestrel-road").ground.soundings
    text = everything(planned("kestrel-road"))
    assert "1 test done 3 tests asked for" in text
    assert "P1: CBR 2.8; no. 14 (0+120), strip 2, to 520 mm; by ASTM D6951 lean clay" in text
    assert sounding.equations == ("CL",)
    assert "no tests done" in everything(planned("teal-crescent"))


def test_equations_that_share_are_weighed_and_a_skin_is_told(tmp_path: Path) -> None:
    plan = with_a_skin(tmp_path / "s")
    text = everything(plan)
    assert "felt, " in text
    assert "under a skin; 0+055, strip 2, to 600 mm; by ASTM D6951 fat clay 0.5, ASTM D6951 0.25, TRL 60 degree cone 0.25" in text  # fmt: skip
    assert "lab L1: CBR 4; 0+140, strip 3" in text


def test_how_deep_to_test_goes_past_the_mixer(tmp_path: Path) -> None:
    """600 mm, or 150 mm under what the mixer reaches where that is deeper: common practice, no source."""
    assert "to 600 mm or as deep as it goes" in " ".join(how_to_test(planned("teal-crescent")))
    deep = changed(tmp_path / "s", "teal-crescent", street=lambda text: text.replace("[mixer]", '[mixer]\ndeepest = "520 mm"'))  # fmt: skip
    assert "to 670 mm or as deep as it goes" in " ".join(how_to_test(deep))
    assert "Locates first" in everything(planned("teal-crescent"))


def test_read_from_the_top() -> None:
    first, second = pages(ground_sheet(planned("teal-crescent")))
    order = ["Teal Crescent", "ground sheet", "Thursday 4 June", "pole 1", "nothing may hide soft ground", "penetrometer tests asked for", "How to make one", "ground by zone", "notices", "Wet cement burns"]  # fmt: skip
    places = [first.index(words) for words in order]
    assert places == sorted(places)
    for words in ("along the street, strip by strip", "8 times in 10", "strip 4", "Wet cement burns"):
        assert words in second
    assert second.count("painted edge") == 1
    law = f"about {1000 * planned('teal-crescent').ground.rut_constant.value:.0f} mm / CBR\u00b9\u00b7\u2075\u00b2"
    assert law in second


def test_a_tester_on_a_long_street_reads_the_tests_first(tmp_path: Path) -> None:
    plan = long_and_wide(tmp_path / "s")
    told = pages(ground_sheet(plan))
    assert told[0].index("penetrometer tests asked for") < told[0].index("strip 13")
    # every strip of every row once on the maps and once along, and the legend of each once
    rows = len(ground_spans(plan))
    assert sum(text.count("strip 13 ") for text in told) >= 2 * rows
    assert " ".join(told).count("a grader ruts over 75 mm") == 1
    assert " ".join(told).count("the ground lies in the band") == 1
    assert len(shown_ground(plan)["along"]) == 2 * rows  # thirteen strips are two pages of panels


def test_a_street_counted_in_feet_is_told_in_feet(tmp_path: Path) -> None:
    plan = in_feet(tmp_path / "s")
    text = everything(plan)
    before = plan.ground.tests[0].wrong_before.value / 0.3048
    assert f"about {before:.0f} ft now, " in text
    assert f"{plan.ground.tests[0].place} {plan.ground.tests[0].strip} " in text
    assert " m now" not in text


@pytest.mark.parametrize("paper", ["a4", "us-letter"])
@pytest.mark.parametrize(("name", "count"), [("teal-crescent", {"a4": 2, "us-letter": 2}), ("kestrel-road", {"a4": 2, "us-letter": 3})])  # fmt: skip
def test_pages_that_stand_alone(name: str, count: dict[str, int], paper: Any) -> None:
    check_document(ground_sheet(planned(name), paper=paper), planned(name), TITLE, count=count[paper])


@pytest.mark.parametrize("paper", ["a4", "us-letter"])
@pytest.mark.parametrize(("make", "count"), [(unread, 2), (one_strip, 1), (in_feet, 2), (with_a_skin, 2), (many, 2)])
def test_odd_streets_stay_on_the_paper(tmp_path: Path, make: Callable[[Path], Plan], count: int, paper: Any) -> None:
    plan = make(tmp_path / "s")
    check_document(ground_sheet(plan, paper=paper), plan, TITLE, count=count)


@pytest.mark.parametrize("paper", ["a4", "us-letter"])
def test_long_names_and_long_streets_stay_on_the_paper(tmp_path: Path, paper: Any) -> None:
    for plan in (strained(tmp_path / "s"), long_and_wide(tmp_path / "l")):
        pdf = ground_sheet(plan, paper=paper)
        check_document(pdf, plan, TITLE, count=len(reader(pdf).pages))


def test_the_drawings_are_told_in_words() -> None:
    def alternatives(node: Any) -> list[str]:
        node = node.get_object() if hasattr(node, "get_object") else node
        if isinstance(node, list):
            return [found for each in node for found in alternatives(each)]
        if not isinstance(node, dict):
            return []
        return ([str(node["/Alt"])] if "/Alt" in node else []) + alternatives(node.get("/K", []))

    root: Any = reader(ground_sheet(planned("teal-crescent"))).trailer["/Root"]
    found = alternatives(root["/StructTreeRoot"]["/K"])
    assert [text.split(",")[0].split(":")[0] for text in found] == [
        "Ground of Teal Crescent",
        "Legend of the ground map",
        "Legend of the ground along the street",
        "Ground of Teal Crescent",
    ]
    assert "Strip 4, 0+140 to 0+149.4: about sinks." in found[0]


@settings(max_examples=8, deadline=None, suppress_health_check=list(HealthCheck), phases=[Phase.generate])
@given(street=map_plans(longest=1500))
def test_on_random_streets_every_page_has_its_head_and_its_caution(street: MapStreet) -> None:
    pdf = ground_sheet(street.plan)
    check_document(pdf, street.plan, TITLE, count=len(reader(pdf).pages))


def test_no_drawing_is_taller_than_a_page(tmp_path: Path) -> None:
    for each in shown_ground(long_and_wide(tmp_path / "s"), paper="us-letter")["along"]:
        box = each["svg"].split('viewBox="')[1].split('"')[0].split()
        assert float(box[3]) <= TALLEST["us-letter"]


def test_the_shelf_holds_the_sheet_and_the_map() -> None:
    plan = planned("teal-crescent")
    assert SHEETS["ground"][0] == "ground-sheet.pdf"
    assert SHEETS["ground"][1](plan, Wishes()) == ground_sheet(plan)
    assert SHEETS["ground-map"][0] == "ground-map.svg"
    assert b"test asked for" in SHEETS["ground-map"][1](plan, Wishes())


def test_the_same_plan_gives_the_same_bytes() -> None:
    again = hardpan.make_plan(hardpan.read_street(example("kestrel-road")))
    assert ground_sheet(planned("kestrel-road")) == ground_sheet(again)
