"""The order sheet: what is read out on the telephone is what stands in the plan."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, Phase, given, settings

import hardpan
from hardpan.exchange.figures_in_words import clock, number
from hardpan.exchange.sheets.order_sheet import order_sheet, shown_order, through_bar, truck_loads
from hardpan.exchange.sheets.phrases import blocks_of, days
from hardpan.exchange.spreading import fill_starts, needed_by
from hardpan.street import example
from tests.drawing.map_streets import MapStreet, map_plans
from tests.sheets.odd_streets import changed, many, strained
from tests.sheets.pdf_text import check_document, pages, plain, planned
from tests.streets import write_long_street

TITLE = "order sheet"


def kg(value: float) -> str:
    return plain(number(value))


@pytest.mark.parametrize("name", ["teal-crescent", "kestrel-road"])
def test_every_load_fill_and_run_out_stands_on_its_days_page(name: str) -> None:
    plan = planned(name)
    cement, show = plan.supply.cement, plan.street.stationing.show
    told = pages(order_sheet(plan))
    for load in cement.loads:
        by = needed_by(plan, load)
        assert by is not None
        assert f"{clock(load.time_min)} {clock(by)} {kg(load.cement.value)}" in told[load.day - 1]
    outs = {out.fill: out for out in cement.run_outs}
    for fill in cement.fills:
        row = f"{fill.number} {fill.load} {kg(fill.cement.value)} {kg(fill.in_hopper.value)} {clock(fill_starts(plan, fill.day)[fill.number])}"
        assert row in told[fill.day - 1]
        if fill.number in outs:
            out = outs[fill.number]
            then = "no cement left" if out.bare_after else f"back to {show(round(out.back_up_to_m))}, tray"
            assert re.search(rf"{re.escape(row)} \d\d:\d\d {re.escape(show(round(out.station.value)))} .*? {out.strip} {re.escape(then)}", told[fill.day - 1])  # fmt: skip
        else:
            assert f"{row} lasts to the end of the day" in told[fill.day - 1]


@pytest.mark.parametrize("name", ["teal-crescent", "kestrel-road"])
def test_tonnes_allowance_hopper_and_water_are_the_plans(name: str) -> None:
    plan = planned(name)
    cement, water = plan.supply.cement, plan.supply.water
    told = pages(order_sheet(plan))
    for text in told:
        for value in (cement.planned.value, cement.ordered.value, sum(load.cement.value for load in cement.loads)):
            assert f"{plain(number(value / 1000, 1))} t {kg(value)} kg" in text
        assert f"{kg(cement.short.value)} kg short of the order" in text
        for zone in cement.zones:
            assert zone.strip_a_hopper is not None
            assert f"{kg(zone.strip_a_hopper.value)} m of strip at {zone.rate.value:g} kg/m\u00b2" in text
        assert f"{round(water.truck_loads.value)} truck loads" in text
    for block in water.blocks:
        day = plan.shift.blocks[block.block - 1].day
        assert re.search(rf"{block.block} 0\+\d+ to 0\+\d+ \d\d:\d\d {kg(block.litres.value)} ", told[day - 1])


def test_what_is_short_on_teal_crescent() -> None:
    # 900 m2 x 28 + 1 260 m2 x 12 = 40 320 kg, with 2 % 41 126; one road train of 40 t is 1 126 kg short and leaves 92 m2 of strip 4
    (text,) = pages(order_sheet(planned("teal-crescent")))
    assert "40.3 t 40 320 kg" in text
    assert "41.1 t 41 126 kg" in text
    assert "1 126 kg short of the order Say: 1 126 kg more, or 46 bags of 25 kg." in text
    assert "no cement left 5 m before no. 27 (0+199) to end (0+240) strip 4 92 m\u00b2 1 126 kg" in text
    assert "5 truck loads of about 12 000 L" in text
    assert "FULL, about 34.0 L/m\u00b2: 782 L/min, a truck lasts 153 m of cut, 15 min (soft)" in text


def test_kestrel_road_reaches_its_end_all_the_same() -> None:
    first, second = pages(order_sheet(planned("kestrel-road")))
    assert (
        "378 kg more make the whole allowance. Without it the planned rates still reach the end, 1 480 kg are left over."
        in first
    )
    assert "Left in the hopper for the next day 1 700 kg. Left in the loads of this day 0 kg." in first
    assert "Left over at the end of the street 1 480 kg." in second
    assert "no cement left" not in first + second
    assert "planned for this day 56 700 kg loads for this day 58 400 kg" in first
    assert "3 truck loads of 18 000 L 26 325 L by the areas of this day" in first


def test_proposed_loads_are_said_to_be_proposed(tmp_path: Path) -> None:
    def unordered(text: str) -> str:
        return re.sub(r"\[\[cement\.delivery\]\](.|\n)*?cement = 40000\n", "", text)

    plan = changed(tmp_path / "s", "teal-crescent", street=unordered)
    (text,) = pages(order_sheet(plan))
    assert "1 not ordered yet proposed 06:00 06:00 40 000 1 to 3" in text
    assert "2 not ordered yet proposed" in text
    assert "nothing short Say: the loads cover the order" in text


def test_read_from_the_top() -> None:
    (text,) = pages(order_sheet(planned("teal-crescent")))
    order = ["Teal Crescent", "order sheet", "planned for this day", "allowance about 2 %", "to order", "in loads", "kg short", "cement type", "loads, to read out", "confirmed by, when", "fills, and where each runs out", "Left over", "water by block", "5 truck loads", "cement: ordered by", "Wet cement burns"]  # fmt: skip
    places = [text.index(words) for words in order]
    assert places == sorted(places)


@pytest.mark.parametrize("name", ["teal-crescent", "kestrel-road"])
def test_water_of_the_days_adds_up_to_the_plans(name: str) -> None:
    # the plan walks the trucks; here the same litres are added up by day
    plan = planned(name)
    water = plan.supply.water
    by_day = [blocks_of(plan, day) for day in days(plan)]
    assert sum(through_bar(plan, blocks) for blocks in by_day) == pytest.approx(water.through_bar.value)
    assert sum(truck_loads(plan, blocks) for blocks in by_day) == round(water.truck_loads.value)


@settings(max_examples=8, deadline=None, suppress_health_check=list(HealthCheck), phases=[Phase.generate])
@given(street=map_plans(longest=1200))
def test_what_is_shown_holds_every_load_fill_and_bare_stretch_once(street: MapStreet) -> None:
    plan = street.plan
    shown = shown_order(plan)["pages"]
    cement = plan.supply.cement
    assert [row["name"] for page in shown for row in page["loads"]] == [str(load.number) for load in cement.loads if load.day <= days(plan)[-1]]  # fmt: skip
    assert [row["name"] for page in shown for row in page["fills"]] == [str(fill.number) for fill in cement.fills]
    assert sum(len(page["bare"]) for page in shown) == len(cement.bare)
    assert [row["name"] for page in shown for row in page["water"]] == [
        str(block.number) for block in plan.shift.blocks
    ]
    loads = sum(truck_loads(plan, blocks_of(plan, day)) for day in days(plan))
    assert loads == round(plan.supply.water.truck_loads.value)


@pytest.mark.parametrize("paper", ["a4", "us-letter"])
@pytest.mark.parametrize("name", ["teal-crescent", "kestrel-road"])
def test_a_page_a_day_that_stands_alone(name: str, paper: Any) -> None:
    plan = planned(name)
    count = len(shown_order(plan, shorter=paper != "a4")["pages"])
    assert paper != "a4" or count == len(days(plan))
    check_document(order_sheet(plan, paper=paper), plan, TITLE, count=count)


@pytest.mark.parametrize("paper", ["a4", "us-letter"])
def test_long_names_and_many_rows_stay_on_the_paper(tmp_path: Path, paper: Any) -> None:
    for plan in (strained(tmp_path / "s"), many(tmp_path / "m")):
        count = len(shown_order(plan, shorter=paper != "a4")["pages"])
        check_document(order_sheet(plan, paper=paper), plan, TITLE, count=count)
    assert count > len(days(plan))


def test_ten_days_ten_pages(tmp_path: Path) -> None:
    plan = hardpan.make_plan(hardpan.read_street(write_long_street(tmp_path / "long", 5)))
    check_document(order_sheet(plan), plan, TITLE, count=10)


def test_the_same_plan_gives_the_same_bytes() -> None:
    again = hardpan.make_plan(hardpan.read_street(example("kestrel-road")))
    assert order_sheet(planned("kestrel-road")) == order_sheet(again)
