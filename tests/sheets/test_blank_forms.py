"""Blank forms: the phone's words in the day's order, this street's own places printed, every measurement an empty box."""

from __future__ import annotations

import re
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

import hardpan
from hardpan.exchange.figures_in_words import clock, number
from hardpan.exchange.sheets.blank_forms import blank_forms, shown_forms
from hardpan.exchange.sheets.day_forms import day_forms
from hardpan.exchange.sheets.forms import ROW, Column, deal, form, form_head
from hardpan.exchange.sheets.phrases import blocks_of, days
from hardpan.plan import Plan
from hardpan.street import example
from tests.drawing.map_streets import MapStreet, map_plans
from tests.sheets.odd_streets import changed, many, strained
from tests.sheets.pdf_text import check_document, pages, plain, planned, reader, written

TITLE = "blank forms"
LEAST_BOX = 11.0  # mm, for a gloved pencil
ORDER = (
    "go", "ticket", "six shots", "fill started", "strip spread", "ran out here", "tray kg", "dry 1 2 3, wet, feet walked out, final roll", "depth hole mm",
    "coupled, truck empty here", "squeeze", "problem, closed", "density", "axle test",
)  # fmt: skip


def of_day(plan: Plan, day: int) -> str:
    """Text of one day's pages."""
    shown = shown_forms(plan)["pages"]
    told = pages(blank_forms(plan))
    mine = [i for i, page in enumerate(shown) if f"day {day} of" in page["under"] or days(plan) == [1]]
    return " ".join(told[i] for i in mine)


@pytest.mark.parametrize("name", ["teal-crescent", "kestrel-road"])
def test_forms_stand_in_the_order_of_the_treatment_day(name: str) -> None:
    plan = planned(name)
    for day in days(plan):
        titles = [one.title.split(":")[0] for one in day_forms(plan, day)]
        assert tuple(dict.fromkeys(titles)) == ORDER
        text = of_day(plan, day)
        headings = [f" {words}" for words in ("ticket Net kg", "six shots", "fill started", "strip spread:", "ran out here", "tray kg", "dry 1 2 3, wet", "depth hole mm", "coupled, truck", "squeeze Smears", "problem, closed", "density Limit", "axle test Limit")]  # fmt: skip
        places = [text.index(words) for words in headings]
        assert places == sorted(places)


@pytest.mark.parametrize("name", ["teal-crescent", "kestrel-road"])
def test_every_load_fill_run_out_truck_block_and_strip_is_printed(name: str) -> None:
    plan = planned(name)
    show = plan.street.stationing.show
    for day in days(plan):
        text = of_day(plan, day)
        for load in (load for load in plan.supply.cement.loads if load.day == day):
            assert re.search(
                rf"load {load.number}(, \S+)? due {clock(load.time_min)} {plain(number(load.cement.value))} kg ordered",
                text,
            )
        for fill in (fill for fill in plan.supply.cement.fills if fill.day == day):
            assert (
                f"fill {fill.number}, load {fill.load} {plain(number(fill.cement.value))} kg, hopper {plain(number(fill.in_hopper.value))}"
                in text
            )
        for out in (out for out in plan.supply.cement.run_outs if out.day == day):
            assert f"{show(round(out.station.value))}, fill {out.fill}" in text
            assert f"strip {out.strip} block {out.block} back to {show(round(out.back_up_to_m))}, tray" in text
        for empty in (each for each in plan.supply.water.empties if each.day == day):
            assert f"{show(round(empty.station.value))}, truck {empty.truck}" in text
            assert f"cut {empty.cut} block {empty.block}" in text
        for block in blocks_of(plan, day):
            stretch = f"block {block.number}, {show(block.start_m)} to {show(block.end_m)}"
            assert f"strip spread: {stretch}" in text
            assert f"final roll: {stretch}" in text


def test_a_row_a_strip_in_every_block_with_its_rates_and_water() -> None:
    text = of_day(planned("teal-crescent"), 1)
    assert text.count("12 then 28 kg/m\u00b2 12 from 0+000, 28 from 0+060") == 4
    assert text.count("HALF then FULL HALF from 0+000, FULL from 0+060") == 4
    for strip in (1, 2, 3, 4):
        assert len(re.findall(rf"strip {strip} (?:12|28)", text)) == 3
    assert "300 mm of original" in text
    assert "about 200 mm of original: not said" in text


def test_limits_in_force_with_their_owner_and_source() -> None:
    text = of_day(planned("kestrel-road"), 1)
    for words in (
        "wind km/h to 15, gusts 22 30 km/h engineer, job limits 5", "air \u00b0C 12 to 19 5 \u00b0C engineer, job limits 6", "7 frost-free days engineer, job limits 7",
        "Clock: first mix to final rolling ends 4 h 00, engineer, job limits 3.", "Clock: water to final rolling ends 2 h 00, engineer, job limits 4.",
        "Tolerance: 5 % either way, engineer, job limits 1.", "Tolerance: 15 mm either way, engineer, job limits 2.", "Limit: at least 97 %, engineer, job limits 8, treated reference.",
        "Limit: at most 13 mm, engineer, job limits 9.",
    ):  # fmt: skip
        assert words in text
    assert "Tolerance: no limit is written." in text  # nobody wrote one for pre-grade


def test_where_no_limit_is_written_the_form_says_so() -> None:
    text = of_day(planned("teal-crescent"), 1)
    # wind, air, frost; clock; shots, trays, holes; density, axle test
    forms = day_forms(planned("teal-crescent"), 1)
    said = [line for one in forms for line in one.note] + [cell[0] for one in forms for row in one.rows for cell in row]
    assert sum("no limit is written" in words for words in said) == 9
    assert text.count("no limit is written") >= 9
    assert "Latest first mix of block 3 14:05, before rain." in text
    assert "STOP, anyone: gas smell" in text


def test_the_forecast_is_that_of_day_one_only() -> None:
    assert "to 15, gusts 22" not in of_day(planned("kestrel-road"), 2)
    assert "wind km/h not said 30 km/h" in of_day(planned("kestrel-road"), 2)


def test_what_is_measured_is_never_printed() -> None:
    for name in ("teal-crescent", "kestrel-road"):
        plan = planned(name)
        for day in days(plan):
            for one in day_forms(plan, day):
                printed = [column.head for column in one.columns if column.printed]
                assert all(len(row) == len(printed) for row in one.rows)
                measured = {"net kg", "reads", "kg in", "tray kg", "hole, mm", "ran out here", "truck empty here", "squeeze", "found", "dry kg/m\u00b3", "mm moved", "dry 1", "dry 2", "dry 3", "wet", "feet walked out", "final roll"}  # fmt: skip
                assert not measured & set(printed)
    heads = {
        column.head for one in day_forms(planned("teal-crescent"), 1) for column in one.columns if not column.printed
    }
    assert measured <= heads


def test_six_shots_are_the_days_own() -> None:
    plan = planned("teal-crescent")
    (shots,) = [one for one in day_forms(plan, 1) if one.title == "six shots"]
    show = plan.street.stationing.show
    assert [(row[0][0], row[1][0], row[2][0]) for row in shots.rows] == [
        (show(shot.station_m), shot.point, f"{-1000 * shot.pre_grade.value:.0f}") for shot in plan.levels.check_shots
    ]
    (second,) = [one for one in day_forms(planned("kestrel-road"), 2) if one.title == "six shots"]
    assert len(second.rows) == 6
    assert all("0+240" <= row[0][0] <= "0+400" for row in second.rows)


def test_boxes_are_high_enough_for_a_gloved_pencil() -> None:
    # heights of printed rows on the paper: the go form's rows stand one box apart
    assert ROW >= LEAST_BOX
    page = reader(blank_forms(planned("teal-crescent"))).pages[0]
    asked = {piece.text.split("\n")[0]: piece.height for piece in written(page)}
    heights = [asked[words] for words in ("wind", "air", "rain", "locates")]
    steps = [(above - below) / 72 * 25.4 for above, below in pairwise(heights)]
    assert steps == pytest.approx([ROW, 2 * ROW, ROW], abs=0.1)


@given(st.lists(st.integers(1, 60), min_size=1, max_size=12), st.booleans())
def test_dealing_loses_no_row_and_overfills_no_page(lengths: list[int], noted: bool) -> None:
    columns = (Column("a", 10, printed=True),)
    forms = [form(f"f{i}", "note" if noted else "", columns, rows=[((f"{i} {j}", ""),) for j in range(count)]) for i, count in enumerate(lengths)]  # fmt: skip
    dealt = deal(forms, 200.0, first=180.0)
    assert [row for page in dealt for one in page for row in one.rows] == [row for one in forms for row in one.rows]
    for i, page in enumerate(dealt):
        assert sum(form_head(one) + ROW * len(one.rows) for one in page) <= (180.0 if i == 0 else 200.0) + 1e-9
    parts = [one for page in dealt for one in page]
    assert [len(one.rows) for one in parts if len(one.rows) == 1] == [1] * lengths.count(1)
    assert [one.title for one in parts if not one.title.endswith(", continued")] == [one.title for one in forms]


@settings(max_examples=10, deadline=None, suppress_health_check=list(HealthCheck), phases=[Phase.generate])
@given(street=map_plans(longest=1200))
def test_a_row_for_every_strip_of_every_block_on_any_street(street: MapStreet) -> None:
    plan = street.plan
    for day in days(plan):
        forms = day_forms(plan, day)
        for words in ("strip spread: ", "dry 1 2 3, "):
            mine = [one for one in forms if one.title.startswith(words)]
            assert len(mine) == len(blocks_of(plan, day))
            assert all(
                [row[0][0] for row in one.rows] == [f"strip {strip.number}" for strip in plan.street.strips]
                for one in mine
            )


@pytest.mark.parametrize("paper", ["a4", "us-letter"])
@pytest.mark.parametrize("name", ["teal-crescent", "kestrel-road"])
def test_pages_stand_alone(name: str, paper: Any) -> None:
    plan = planned(name)
    check_document(blank_forms(plan, paper=paper), plan, TITLE, count=len(shown_forms(plan, paper=paper)["pages"]))


@pytest.mark.parametrize("paper", ["a4", "us-letter"])
def test_long_names_and_many_blocks_stay_on_the_paper(tmp_path: Path, paper: Any) -> None:
    for plan in (strained(tmp_path / "s"), many(tmp_path / "m")):
        count = len(shown_forms(plan, paper=paper)["pages"])
        check_document(blank_forms(plan, paper=paper), plan, TITLE, count=count)


def test_more_cuts_than_strips_is_said(tmp_path: Path) -> None:
    plan = changed(
        tmp_path / "s", "teal-crescent", street=lambda text: text.replace("width = 9.0", "width = 9.0\nstrips = 5")
    )
    assert "The mixer makes 4 cuts over 5 strips" in of_day(plan, 1)


def test_the_same_plan_gives_the_same_bytes() -> None:
    again = hardpan.make_plan(hardpan.read_street(example("teal-crescent")))
    assert blank_forms(planned("teal-crescent")) == blank_forms(again)
