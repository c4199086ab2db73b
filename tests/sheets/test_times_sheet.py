"""The times sheet: every run, clock and limit of the plan stands on its day's page."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

import hardpan
from hardpan.exchange.figures_in_words import clock, hours
from hardpan.exchange.sheets.times_sheet import shown_times, times_sheet
from hardpan.street import example
from tests.sheets.odd_streets import changed, many, strained
from tests.sheets.pdf_text import check_document, pages, planned, reader
from tests.streets import write_long_street

TITLE = "times sheet"


@pytest.mark.parametrize("name", ["teal-crescent", "kestrel-road"])
def test_every_run_clock_and_latest_start_stands_on_its_days_page(name: str) -> None:
    plan = planned(name)
    told = pages(times_sheet(plan))
    day_of = {block.number: block.day for block in plan.shift.blocks}
    for run in plan.shift.runs:
        assert f"{clock(run.start.value)} \u2013 {clock(run.end.value)}" in told[run.day - 1]
    for each in plan.shift.clocks:
        text = told[day_of[each.block] - 1]
        assert hours(each.elapsed.value) in text
        assert each.limit is None or f"by {clock(each.start.value + each.limit.value)}" in text
    for start in plan.shift.latest_starts:
        assert clock(start.latest.value) in told[start.day - 1]


def test_the_rows_of_the_worked_days_table() -> None:
    first, second = pages(times_sheet(planned("kestrel-road")))
    assert "mixer, dry mix 08:05 \u2013 09:15 10:25 \u2013 11:57 12:42 \u2013 13:52 mixer, wet mix" in first
    # 4 h from first mix and 2 h from water, as the engineer wrote; nobody wrote one from cement on the ground
    assert "4 h 00, engineer, job limits 3 2 h 55 by 12:05 3 h 18 by 14:25 2 h 55 by 16:42" in first
    assert "2 h 00, engineer, job limits 4 1 h 45 by 11:15 1 h 45 by 13:57 1 h 45 by 15:52" in first
    assert "cement on the ground to final rolling ends no limit is written 3 h 39 4 h 18 3 h 27" in first
    assert "block 4 0+240 to 0+320 block 5 0+320 to 0+400" in second
    assert "12:05" not in second


def test_read_from_the_top() -> None:
    (text,) = pages(times_sheet(planned("teal-crescent")))
    order = ["Teal Crescent", "times sheet", "Thursday 4 June", "blocks 1 to 3", "machine times and clocks", "smooth drum", "latest first mix", "no limit is written", "sets the pace", "Wet cement burns"]  # fmt: skip
    places = [text.rindex(words) for words in order]
    assert places == sorted(places)


def test_the_drawing_is_told_in_words() -> None:
    def alternatives(node: Any, depth: int = 0) -> list[str]:
        node = node.get_object() if hasattr(node, "get_object") else node
        if isinstance(node, list):
            return [found for each in node for found in alternatives(each, depth)]
        if not isinstance(node, dict):
            return []
        return ([str(node["/Alt"])] if "/Alt" in node else []) + alternatives(node.get("/K", []), depth + 1)

    document = reader(times_sheet(planned("kestrel-road")))
    root: Any = document.trailer["/Root"]
    found = alternatives(root["/StructTreeRoot"]["/K"])
    assert [text.split(" as planned")[0] for text in found] == [
        "Time and distance of day 1",
        "Time and distance of day 2",
    ]
    assert "Block 2: 3 h 18 from first mix to final rolling ends, limit at 14:25." in found[0]


@pytest.mark.parametrize("paper", ["a4", "us-letter"])
@pytest.mark.parametrize("name", ["teal-crescent", "kestrel-road"])
def test_a_page_a_day_that_stands_alone(name: str, paper: Any) -> None:
    plan = planned(name)
    check_document(times_sheet(plan, paper=paper), plan, TITLE, count=plan.shift.blocks[-1].day)


@pytest.mark.parametrize("paper", ["a4", "us-letter"])
def test_long_names_and_many_blocks_stay_on_the_paper(tmp_path: Path, paper: Any) -> None:
    for plan in (strained(tmp_path / "s"), many(tmp_path / "m")):
        count = len(shown_times(plan, paper=paper)["pages"])
        pdf = times_sheet(plan, paper=paper)
        check_document(pdf, plan, TITLE, count=count)
        told = " ".join(pages(pdf))
        assert all(f"block {block.number} " in told for block in plan.shift.blocks)


def test_a_clock_over_its_limit_says_so(tmp_path: Path) -> None:
    plan = changed(tmp_path / "s", "kestrel-road", street=lambda text: text.replace('within = "4 h"', 'within = "3 h"'))
    first, _ = pages(times_sheet(plan))
    assert "2 h 55 by 11:05 3 h 18, over by 13:25 2 h 55 by 15:42" in first


def test_ten_days_ten_pages(tmp_path: Path) -> None:
    plan = hardpan.make_plan(hardpan.read_street(write_long_street(tmp_path / "long", 5)))
    pdf = times_sheet(plan)
    check_document(pdf, plan, TITLE, count=10)
    assert [f"day {day} of 10" in text for day, text in enumerate(pages(pdf), start=1)] == [True] * 10


def test_the_same_plan_gives_the_same_bytes() -> None:
    again = hardpan.make_plan(hardpan.read_street(example("teal-crescent")))
    assert times_sheet(planned("teal-crescent")) == times_sheet(again)
