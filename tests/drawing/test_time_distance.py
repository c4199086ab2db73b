"""Time and distance: the lines are the plan's runs, no word stands on another, the same plan gives the same drawing."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from itertools import combinations

import pytest
from hypothesis import HealthCheck, Phase, given, settings

import hardpan
from hardpan.exchange.drawing.lettering import FAMILY
from hardpan.exchange.drawing.placed_chart import PlacedChart, Stroke
from hardpan.exchange.drawing.run_lines import to_and_fro, trips
from hardpan.exchange.drawing.strip_map import Drawn
from hardpan.exchange.drawing.time_distance import WIDTH, draw_time_distance
from hardpan.exchange.figures_in_words import clock
from hardpan.exchange.spreading import drive_block, fill_starts, needed_by
from hardpan.plan import Plan
from tests.drawing.map_streets import MapStreet, map_plans
from tests.sheets.pdf_text import planned
from tests.streets import write_long_street

EXAMPLES = [("teal-crescent", 1), ("kestrel-road", 1), ("kestrel-road", 2)]
LEAST = 12.0  # units: smaller is not read at arm's length
SLOW = settings(max_examples=15, deadline=None, suppress_health_check=list(HealthCheck), phases=[Phase.generate])


def words(drawn: Drawn) -> list[str]:
    return [text for text, _ in drawn.labels]


def colliding(drawn: Drawn) -> list[tuple[str, str]]:
    return [(a, b) for (a, one), (b, other) in combinations(drawn.labels, 2) if one.hits(other)]


def off_the_sheet(drawn: Drawn) -> list[str]:
    return [
        text
        for text, box in drawn.labels
        if box.left < 0 or box.top < 0 or box.right > drawn.width or box.bottom > drawn.height
    ]


def svg_texts(drawn: Drawn) -> list[ET.Element]:
    return list(ET.fromstring(drawn.svg).iter("{http://www.w3.org/2000/svg}text"))


@pytest.mark.parametrize(("name", "day"), EXAMPLES)
def test_no_word_stands_on_another(name: str, day: int) -> None:
    drawn = draw_time_distance(planned(name), day)
    assert colliding(drawn) == []
    assert off_the_sheet(drawn) == []


@pytest.mark.parametrize("day", [1, 2, 7, 10])
def test_no_word_stands_on_another_on_two_kilometres(tmp_path_factory: pytest.TempPathFactory, day: int) -> None:
    drawn = draw_time_distance(long_street(tmp_path_factory), day)
    assert colliding(drawn) == []
    assert off_the_sheet(drawn) == []


_LONG: list[Plan] = []


def long_street(folders: pytest.TempPathFactory) -> Plan:
    """Kestrel Road five times over, planned once."""
    if not _LONG:
        _LONG.append(hardpan.make_plan(hardpan.read_street(write_long_street(folders.mktemp("long") / "s", 5))))
    return _LONG[0]


@SLOW
@given(street=map_plans(longest=1500))
def test_no_word_stands_on_another_on_any_street(street: MapStreet) -> None:
    plan = street.plan
    for day in sorted({block.day for block in plan.shift.blocks})[:2]:
        drawn = draw_time_distance(plan, day)
        assert colliding(drawn) == []
        assert off_the_sheet(drawn) == []
        assert drawn.width == WIDTH


@pytest.mark.parametrize(("name", "day"), EXAMPLES)
def test_words_are_real_text_in_our_face_and_large_enough(name: str, day: int) -> None:
    drawn = draw_time_distance(planned(name), day)
    found = svg_texts(drawn)
    assert sorted(element.text or "" for element in found) == sorted(words(drawn))
    for element in found:
        assert element.get("font-family") == FAMILY
        assert float(str(element.get("font-size")).removesuffix("px")) >= LEAST


@pytest.mark.parametrize(("name", "day"), EXAMPLES)
def test_same_plan_same_drawing(name: str, day: int) -> None:
    assert draw_time_distance(planned(name), day).svg == draw_time_distance(planned(name), day).svg


@pytest.mark.parametrize(("name", "day"), EXAMPLES)
def test_every_load_run_out_truck_and_fence_of_the_day_is_there(name: str, day: int) -> None:
    plan = planned(name)
    drawn = draw_time_distance(plan, day)
    blocks = {block.number for block in plan.shift.blocks if block.day == day}
    show = plan.street.stationing.show
    wanted = [
        f"{load.cement.value:,.0f} kg".replace(",", "\u2009") for load in plan.supply.cement.loads if load.day == day
    ]
    wanted += [f"runs out {show(round(out.station.value))}" for out in plan.supply.cement.run_outs if out.day == day]
    wanted += [f"truck {empty.truck} empty" for empty in plan.supply.water.empties if empty.day == day]
    wanted += [
        clock(each.start.value + each.limit.value) for each in plan.shift.clocks if each.limit and each.block in blocks
    ]
    assert [text for text in wanted if text not in words(drawn)] == []
    assert ("limit" in words(drawn)) == bool(plan.street.file.limits.clock)
    assert ("no limit is written" in words(drawn)) == (not plan.street.file.limits.clock)


def test_it_is_told_in_words() -> None:
    told = draw_time_distance(planned("kestrel-road"), 1).words
    assert "Block 1, 0+000 to 0+080: spreader spread 07:21 to 08:05, mixer dry mix 08:05 to 09:15" in told
    assert "Block 2: 3 h 18 from first mix to final rolling ends, limit at 14:25." in told
    assert "Fill 3 runs out at 0+151.1, strip 4." in told
    assert "Block 4" not in told


# the lines are the plan's runs


@pytest.mark.parametrize("name", ["teal-crescent", "kestrel-road"])
def test_lines_fill_their_run_and_stay_in_their_block(name: str) -> None:
    plan = planned(name)
    for block in plan.shift.blocks:
        drive = drive_block(plan, block)
        for run in (run for run in plan.shift.runs if run.block == block.number):
            points = [point for line in trips(plan, block, run, drive) for point in line]
            assert min(minute for _, minute in points) == pytest.approx(run.start.value)
            late = max(minute for _, minute in points)
            assert late <= run.end.value + 1e-6
            assert run.machine == "spreader" or late == pytest.approx(run.end.value)
            assert all(block.start_m - 1e-9 <= station <= block.end_m + 1e-9 for station, _ in points)


def test_third_dry_pass_and_airing_are_in_soft_ground_only() -> None:
    plan = planned("kestrel-road")
    block = plan.shift.blocks[1]  # zone A, 0+100 to 0+145, lies in it
    drive = drive_block(plan, block)
    air = next(run for run in plan.shift.runs if run.block == 2 and run.work == "air, hood up")
    assert {station for line in trips(plan, block, air, drive) for station, _ in line} == {100.0, 145.0}
    dry = next(run for run in plan.shift.runs if run.block == 2 and run.work == "dry mix")
    ends = [sorted(station for station, _ in line) for line in trips(plan, block, dry, drive)]
    assert ends == [[80.0, 160.0]] * 8 + [[100.0, 145.0]] * 4


def test_to_and_fro_turns_every_second_leg() -> None:
    assert list(to_and_fro(0, 10, [(0, 80), (0, 80)])) == [[(0, 0), (80, 5)], [(80, 5), (0, 10)]]
    assert list(to_and_fro(0, 10, [])) == []


# the spreader's drive


@pytest.mark.parametrize("name", ["teal-crescent", "kestrel-road"])
def test_drive_takes_as_long_as_the_planned_run(name: str) -> None:
    # the plan adds up minutes of driving, strips and refills; the drive walks them: both must end together
    plan = planned(name)
    for block in plan.shift.blocks:
        run = next(run for run in plan.shift.runs if run.block == block.number and run.machine == "spreader")
        assert drive_block(plan, block).end_min == pytest.approx(run.end.value, abs=1e-6)


@SLOW
@given(street=map_plans(longest=1500))
def test_drive_takes_as_long_as_the_planned_run_on_any_street(street: MapStreet) -> None:
    plan = street.plan
    for block in plan.shift.blocks:
        run = next(run for run in plan.shift.runs if run.block == block.number and run.machine == "spreader")
        drive = drive_block(plan, block)
        assert drive.end_min == pytest.approx(run.end.value, abs=1e-6)
        length = sum(stretch.end_m - stretch.start_m for stretch in drive.stretches)
        assert length == pytest.approx(sum(segment.length_m for segment in block.spread))
        bare = sum(stretch.end_m - stretch.start_m for stretch in drive.stretches if stretch.bare)
        wanting = [each for each in plan.supply.cement.bare if block.start_m <= each.start_m < block.end_m]
        assert bare >= sum(min(each.end_m, block.end_m) - each.start_m for each in wanting) - 1e-6 or not drive.run_outs


def test_loads_are_needed_when_their_first_fill_is_begun() -> None:
    # Kestrel Road: T1 is coupled so that 15 000 kg are in when spreading begins at 07:21 (4 min to couple, 900 kg/min); T2 at the run-out
    plan = planned("kestrel-road")
    first, second, _ = plan.supply.cement.loads
    spread = next(run for run in plan.shift.runs if run.block == 1 and run.machine == "spreader").start.value
    assert needed_by(plan, first) == pytest.approx(spread - 4 - 15000 / 900)
    starts = fill_starts(plan, 1)
    assert needed_by(plan, second) == starts[4] == drive_block(plan, plan.shift.blocks[1]).run_outs[3]
    assert sorted(starts) == [1, 2, 3, 4, 5]
    assert all(needed_by(plan, load) >= load.time_min - 1e-6 for load in plan.supply.cement.loads)  # type: ignore[operator]


# the chart


def test_a_double_line_is_a_line_with_white_along_its_middle() -> None:
    chart = PlacedChart()
    chart.line(Stroke(5.0, inner=2.4), (10, 10), (90, 40))
    svg = chart.svg(100, 50)
    assert [stroke for stroke in re.findall(r'stroke-width="([\d.]+)"', svg) if float(stroke) > 1] == ["5", "2.4"]
    assert "M10,10L90,40" in svg


def test_overlapping_words_are_found() -> None:
    drawn = draw_time_distance(planned("teal-crescent"), 1)
    text, box = drawn.labels[0]
    twice = Drawn(drawn.svg, drawn.width, drawn.height, (*drawn.labels, ("again", box)), drawn.words)
    assert colliding(twice) == [(text, "again")]
