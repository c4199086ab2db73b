"""Progress: the worked days beside their plan, minute by minute and metre by metre."""

from __future__ import annotations

import datetime as dt

import pytest

from hardpan.compare import Progress, compare_progress
from tests.compare.days import KESTREL, TEAL, at, folded, minute, plan, state
from tests.ledger.making import Diary, place


def made(name: str, until: str) -> Progress:
    return compare_progress(plan(name), state(name, until), now=at(until))


def test_the_worked_days_placed_and_planned_block_by_block() -> None:
    found = made(KESTREL, "06-10 16:00")
    assert [(one.name, round(one.cement_planned.value)) for one in found.blocks] == [
        ("B1", 17_280), ("B2", 22_140), ("B3", 17_280), ("B4", 18_360), ("B5", 17_820),
    ]  # fmt: skip
    assert [round(one.cement_placed.value) if one.cement_placed else None for one in found.blocks] == [
        17_430, 22_280, 17_420, 18_510, 17_980,
    ]  # fmt: skip
    assert [round(one.water_metered.value) if one.water_metered else None for one in found.blocks] == [
        10_800, 4_725, 10_800, 9_450, 10_125,
    ]  # fmt: skip
    assert [one.water_planned.value for one in found.blocks] == pytest.approx([10_800, 4_725, 10_800, 9_450, 10_125])
    assert [round(one.value) for one in (found.planned, found.ordered, found.delivered)] == [92_880, 94_738, 94_360]
    assert found.placed is not None
    assert found.placed.value == 93_620


def test_passes_and_what_is_left_are_told_block_by_block() -> None:
    found = made(KESTREL, "06-09 10:15").blocks
    assert found[0].dry_passes == (2, 2)
    assert found[0].left == {"spread": 0, "dry": 0, "wet": 0, "padfoot": 1, "grader": 1, "smooth": 1}
    assert found[1].left["spread"] == pytest.approx(14 * 2.25 / 720)
    assert found[2].name == ""
    assert set(found[2].left.values()) == {1}
    assert {one.dry_passes for one in made(KESTREL, "06-10 16:00").blocks} == {(2, 2), (2, 3)}


def test_events_of_a_block_are_late_by_minutes() -> None:
    first = made(TEAL, "06-04 12:40").blocks
    events = {one.event: one for one in first[0].events}
    late = {name: round(one.late_min) for name, one in events.items() if one.late_min is not None}
    assert late == {"cement on the ground": 120, "first mix": 115, "water": 115, "final rolling ends": 115}
    waiting = {one.event: one for one in first[1].events}["final rolling ends"]
    assert waiting.happened_at is None
    assert waiting.late_min == pytest.approx((at("06-04 12:40") - waiting.planned_at).total_seconds() / 60)
    to_come = {one.event: one for one in first[2].events}["final rolling ends"]
    assert (to_come.happened_at, to_come.late_min) == (None, None)


def test_the_second_day_is_planned_on_its_own_date() -> None:
    for until in ("06-09 12:00", "06-10 16:00"):
        fourth = made(KESTREL, until).blocks[3]
        assert {one.planned_at.date() for one in fourth.events} == {dt.date(2026, 6, 10)}


def test_rates_landed_by_load_and_by_tray_stand_side_by_side() -> None:
    found = made(TEAL, "06-04 12:40").landed
    rows = [
        (round(one.instructed.value, 2), round(one.by_load.value, 2), [round(tray.value, 1) for tray in one.by_trays])
        for one in found
        if one.instructed and one.by_load
    ]
    # 15,000 kg on 60 m x 9 m at 12, 20 m x 9 m at 28 and 50 m of one strip at 28
    area, asked = 720 + 50 * 2.25, 540 * 12 + 180 * 28 + 50 * 2.25 * 28
    assert rows[0] == (round(asked / area, 2), round(15_000 / area, 2), [12.2, 28.2])
    assert rows[1][2] == [27.2]


def test_trays_without_a_spot_stand_alone() -> None:
    alone = [one for one in made(KESTREL, "06-10 16:00").landed if one.by_load is None]
    assert [(one.place, one.by_trays[0].value) for one in alone] == [
        ("B1, spot not recorded", 23.9), ("B1, spot not recorded", 24.6), ("B1, spot not recorded", 24.3),
    ]  # fmt: skip


def test_zones_say_how_far_placed_lies_over_instructed() -> None:
    found = {one.zone: one for one in made(KESTREL, "06-10 16:00").zones}
    whole = sum(one.placed.value for one in found.values() if one.placed)
    assert whole == pytest.approx(93_620)
    assert found["A"].over is not None
    assert found["A"].over.value == pytest.approx(0.0059, abs=5e-5)
    assert made(KESTREL, "06-09 10:15").zones[1].placed is None  # nothing lies on zone B yet


def test_rate_changes_are_held_against_the_painted_edge() -> None:
    diary = Diary()
    for station, strip in ((101.5, 1), (144, 2), (300, 1), (250, 3)):
        diary.say(100, "rate change", place(station, strips=(strip,)), rate_kg_m2=36)
    found = compare_progress(plan(KESTREL), folded(diary), now=minute(200)).edges
    # zone A is painted at 0+100 and 0+145 on all strips, zone B at 0+300 and 0+330 on strips 3 and 4 only
    assert [(one.strip, one.painted_m, one.off_m) for one in found] == [
        (1, 100, 1.5), (2, 145, -1), (1, None, None), (3, None, None),
    ]  # fmt: skip


def test_run_outs_are_held_against_the_plan_s() -> None:
    found = made(KESTREL, "06-10 16:00").run_outs
    happened = [one for one in found if one.entry]
    assert [(one.strip, one.station_m, round(one.planned_m or 0, 1)) for one in happened] == [
        (4, 35, 37.8),
        (4, 146, 151.1),
    ]
    assert [round(one.off_m, 1) for one in happened if one.off_m is not None] == [-2.8, -5.1]
    assert [(one.planned_strip, round(one.planned_m or 0, 1)) for one in found if not one.entry] == [
        (3, 107.0), (4, 188.9), (4, 267.8), (3, 370.6),
    ]  # fmt: skip


def test_an_empty_ledger_is_all_still_to_come() -> None:
    found = compare_progress(plan(KESTREL), folded(Diary()), now=minute(0))
    assert {set(one.left.values()) == {1} for one in found.blocks} == {True}
    assert (found.placed, found.landed, found.edges) == (None, (), ())
    assert found.delivered.value == 0
