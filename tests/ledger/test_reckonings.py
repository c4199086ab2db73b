"""Cement, water and clocks from small ledgers whose sums can be done by hand."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace
from typing import Any

import pytest

from hardpan.ledger import Received, State, fold, parse_received, plain_received
from hardpan.ledger.skew import Skew
from hardpan.street import Street
from hardpan.street.figure import Basis, Figure
from hardpan.street.model import ClockLimit, Start, Stop
from tests.ledger.making import MORNING, Diary, kestrel, place, teal

HOPPER = 15_000
STRIP_M2 = 80 * 2.25


def at(minute: float) -> dt.datetime:
    return MORNING + dt.timedelta(minutes=minute)


def folded(diary: Diary, street: Street | None = None) -> State:
    return fold(diary.received, street or kestrel())


# the hopper


def test_a_run_out_tells_what_lies_on_the_strips_before_it() -> None:
    diary = Diary()
    diary.say(0, "delivery ticket", ticket="T1", net_kg=20_000)
    diary.say(10, "spreader fill", added_kg=HOPPER)
    diary.say(20, "spread run", place(0, 80, (1, 2, 3), "B1"))
    diary.say(25, "run-out", place(30, strips=(4,), block="B1"))
    diary.say(30, "spreader fill", added_kg=5_000)
    diary.say(40, "spread run", place(0, 80, (4,), "B1"))  # the whole strip, tapped when it was done
    state = folded(diary)
    (laid,) = state.laid
    assert laid.kg == HOPPER
    assert [run.area for run in laid.runs] == [(0, 80, (1, 2, 3)), (0, 30, (4,))]
    assert [run.area for run in state.cement.unweighed] == [(30, 80, (4,))]
    assert state.cement.in_truck_kg == 0
    assert state.cement.in_hopper_kg == pytest.approx(5_000 - 50 * 2.25 * 24)
    assert state.cement.street.fills.area_m2 == pytest.approx(3 * STRIP_M2 + 30 * 2.25)
    assert state.cement.street.fills_less_tickets_kg is None  # part of the ground is not known


def test_what_was_read_in_the_hopper_tells_as_a_run_out_does() -> None:
    diary = Diary()
    diary.say(10, "spreader fill", hopper_kg=HOPPER)
    diary.say(20, "spread run", place(0, 80, (1,), "B1"), left_kg=10_700)
    diary.say(30, "spread run", place(0, 80, (2,), "B1"))
    diary.say(35, "spreader fill", added_kg=2_000, hopper_kg=8_400)
    assert [laid.kg for laid in folded(diary).laid] == [4_300, 4_300]


def test_a_fill_that_tells_only_the_content_loses_what_lay_before_it_and_says_so() -> None:
    diary = Diary()
    diary.say(10, "spreader fill", hopper_kg=HOPPER)
    diary.say(20, "spread run", place(0, 80, (1,), "B1"))
    diary.say(30, "spreader fill", hopper_kg=HOPPER)
    state = folded(diary)
    assert state.laid == ()
    assert [notice.kind for notice in state.cement.notices] == ["missing"]


def test_a_hopper_that_holds_other_than_fills_less_runs_is_told_of() -> None:
    diary = Diary()
    diary.say(10, "spreader fill", added_kg=HOPPER)
    diary.say(20, "spread run", place(0, 80, (1,), "B1"), kg=4_300, left_kg=10_000)
    (notice,) = folded(diary).cement.notices
    assert (notice.kind, notice.value, notice.limit) == ("conflict", "10000 kg", "10700 kg")


def test_more_in_the_hopper_than_on_the_tickets_is_told_of() -> None:
    diary = Diary()
    diary.say(0, "delivery ticket", ticket="T1", net_kg=10_000)
    diary.say(10, "spreader fill", added_kg=HOPPER)
    (notice,) = folded(diary).cement.notices
    assert notice.message.startswith("fills add up to 5000 kg more than the tickets brought")


def test_a_mass_over_two_blocks_is_shared_by_ground_times_rate_and_says_so() -> None:
    diary = Diary()
    diary.say(10, "spreader fill", added_kg=HOPPER)
    diary.say(20, "spread run", place(0, 80, (1,), "B1"), rate_kg_m2=24)
    diary.say(30, "spread run", place(80, 160, (1,), "B2"), rate_kg_m2=36)
    diary.say(31, "run-out", place(160, strips=(1,), block="B2"))
    cement = folded(diary).cement
    assert cement.block("B1").fills.kg == pytest.approx(HOPPER * 24 / 60)
    assert cement.block("B2").fills.kg == pytest.approx(HOPPER * 36 / 60)
    assert cement.block("B1").fills.shared
    assert not cement.street.fills.shared


def test_ground_that_was_run_twice_counts_once() -> None:
    diary = Diary()
    diary.say(20, "spread run", place(0, 45, (1,), "B1"), kg=2_000)
    diary.say(30, "spread run", place(42, 80, (1,), "B1"), kg=2_000)
    assert folded(diary).cement.street.area_m2 == pytest.approx(STRIP_M2)


def test_cement_by_hand_is_no_part_of_the_hopper() -> None:
    diary = Diary()
    diary.say(20, "spread run", place(0, 6, (1,), "B1"), kg=325, by="hand")
    cement = folded(diary).cement
    assert (cement.by_hand_kg, cement.street.area_m2, cement.street.fills.kg) == (325, 0, None)


def test_a_run_under_way_is_not_yet_spread() -> None:
    diary = Diary()
    diary.say(20, "spread run", place(0, 80, (1,), "B1"), under_way=True)
    state = folded(diary)
    assert state.runs == ()
    assert state.clock("B1", "cement on the ground").started_at == at(20)


def test_trays_of_one_zone_do_not_judge_another() -> None:
    diary = Diary()
    diary.say(20, "spread run", place(80, 160, (1,), "B2"), kg=5_000)
    diary.say(21, "tray check", place(85, strips=(1,)), checked="weighed", tray_kg_m2=24)
    diary.say(22, "tray check", place(120, strips=(1,)), checked="weighed", tray_kg_m2=36)
    diary.say(23, "tray check", place(125, strips=(1,)), checked="weighed", tray_kg_m2=37)
    diary.say(24, "tray check", place(130, strips=(1,)), checked="not checked")
    cement = folded(diary).cement
    assert cement.zone("base").trays.kg == pytest.approx(35 * 2.25 * 24)
    assert cement.zone("A").trays.kg == pytest.approx(45 * 2.25 * 36.5)
    assert cement.block("B2").tray_count == 3


def test_a_later_instruction_is_in_force_where_it_was_said() -> None:
    diary = Diary()
    said = {"said_by": "engineer", "heard_by": "foreman"}
    diary.say(5, "rate instruction", place(100, 120, (2,)), zone="A2", rate_kg_m2=40, **said)
    zones = {(one.strip, one.start_m): (one.zone, one.instructed_kg_m2) for one in folded(diary).bays}
    told = [zones[at] for at in ((2, 110), (1, 110), (2, 120), (2, 90))]
    assert told == [("A2", 40), ("A", 36), ("A", 36), ("base", 24)]


def test_a_later_instruction_for_elsewhere_leaves_named_places_alone() -> None:
    diary = Diary()
    said = {"said_by": "engineer", "heard_by": "foreman"}
    diary.say(5, "rate instruction", zone="base", rate_kg_m2=26, elsewhere=True, **said)
    assert {(one.zone, one.instructed_kg_m2) for one in folded(diary).bays} == {("base", 26), ("A", 36), ("B", 36)}


# water


def test_water_that_was_shut_counts_on_no_ground() -> None:
    diary = Diary()
    shut = [{"start_m": 100, "end_m": 145, "strips": [1, 2]}, {"start_m": 140, "end_m": 150}]
    diary.say(60, "mixing pass", place(80, 160, block="B2"), mixed="wet", number=1, water_l_m2=15, shut=shut)
    state = folded(diary)
    assert state.water.watered_m2 == pytest.approx(2.25 * (2 * 30 + 2 * 70))
    assert state.water.by_area_l == pytest.approx(15 * state.water.watered_m2)
    water = {(one.strip, one.start_m): one.water for one in state.bays if 80 <= one.start_m < 160}
    assert (water[1, 110], water[3, 110], water[3, 145], water[1, 150]) == ("off", "on", "off", "on")


def test_water_shut_inside_a_stretch_where_it_was_shut_changes_nothing() -> None:
    diary = Diary()
    shut = [{"start_m": 100, "end_m": 150}, {"start_m": 110, "end_m": 120}]
    diary.say(60, "mixing pass", place(80, 160, block="B2"), mixed="wet", number=1, water_l_m2=15, shut=shut)
    assert folded(diary).water.watered_m2 == pytest.approx(9 * 30)


def test_a_truck_nobody_read_is_taken_as_full_and_says_so() -> None:
    diary = Diary()
    diary.say(60, "water truck coupled", truck="1")
    diary.say(75, "water truck empty", truck="1")
    diary.say(90, "water truck coupled", truck="1", filled_l=9_000)
    diary.say(99, "water truck empty", truck="1", left_l=500)
    (truck,) = folded(diary).water.trucks
    assert (truck.drawn_l, truck.on_board_l, truck.rests_on_volume) == (18_000 + 8_500, 500, True)


# clocks


def limited(start: Start, stop: Stop, minutes: float) -> Street:
    within = Figure("within", minutes, "min", Basis.STATED)
    clock = ClockLimit.model_construct(start=start, stop=stop, within=within, owner="", source="clause 7")
    limits = teal().file.limits.model_copy(update={"clock": (clock,)})
    return replace(teal(), file=teal().file.model_copy(update={"limits": limits}))


def rolled(diary: Diary) -> None:
    diary.say(90, "rolling", place(0, 80, block="B1"), rolled="padfoot", started=60)
    diary.say(130, "rolling", place(0, 80, (1, 2), "B1"), rolled="final")


def test_a_clock_runs_until_the_last_of_its_ground_is_rolled() -> None:
    diary = Diary()
    diary.say(35, "mixing pass", place(0, 80, block="B1"), mixed="dry", number=1, started=0)
    rolled(diary)
    clock = folded(diary).clock("B1", "first mix")
    assert clock.stopped_at is None
    assert clock.elapsed_min(at(140)) == 140
    assert clock.elapsed_min() is None
    assert clock.left_min(at(140)) == 100
    assert clock.left_min(at(250)) == -10
    assert clock.by == at(240)
    diary.say(150, "rolling", place(0, 80, (3, 4), "B1"), rolled="final")
    clock = folded(diary).clock("B1", "first mix")
    assert clock.stopped_at == at(150)
    assert clock.elapsed_min(at(500)) == 150


def test_airing_starts_no_clock() -> None:
    diary = Diary()
    diary.say(35, "mixing pass", place(0, 80, block="B1"), mixed="aerate", number=1, started=0)
    assert folded(diary).clocks == ()


def test_water_off_starts_no_water_clock() -> None:
    diary = Diary()
    diary.say(35, "mixing pass", place(0, 80, block="B1"), mixed="wet", number=1, setting="off")
    assert [clock.starts_with for clock in folded(diary).clocks] == ["first mix"]


def test_a_clock_whose_start_nobody_entered_says_so() -> None:
    diary = Diary()
    diary.say(35, "mixing pass", place(0, 80, (1,), "B1"), mixed="dry", number=1)
    diary.say(45, "mixing pass", place(0, 80, (2,), "B1"), mixed="dry", number=1)
    clock = folded(diary).clock("B1", "first mix")
    assert (clock.started_at, clock.start_sure) == (at(35), False)


def test_a_coupled_truck_tells_when_water_began_where_no_pass_does() -> None:
    diary = Diary()
    diary.say(30, "water truck coupled", place(0, block="B1"), truck="1")
    diary.say(45, "mixing pass", place(0, 80, block="B1"), mixed="wet", number=1, setting="full")
    clock = folded(diary).clock("B1", "water")
    assert (clock.started_at, clock.start_sure) == (at(30), True)


def test_a_coupled_truck_starts_no_clock_where_a_pass_tells_its_start() -> None:
    diary = Diary()
    diary.say(30, "water truck coupled", place(0, block="B1"), truck="1")
    diary.say(45, "mixing pass", place(0, 80, block="B1"), mixed="wet", number=1, setting="full", started=35)
    assert folded(diary).clock("B1", "water").started_at == at(35)


@pytest.mark.parametrize(("stop", "minute"), [("padfoot starts", 60), ("padfoot ends", 90)])
def test_a_limit_chooses_what_stops_its_clock(stop: Stop, minute: float) -> None:
    diary = Diary()
    diary.say(35, "mixing pass", place(0, 80, block="B1"), mixed="dry", number=1, started=0)
    rolled(diary)
    clocks = folded(diary, limited("first mix", stop, 60)).clocks
    (clock,) = [clock for clock in clocks if clock.limit_min is not None]
    assert (clock.stopped_at, clock.limit_min, clock.owner, clock.source) == (at(minute), 60, "", "clause 7")
    assert [clock.stops_with for clock in clocks if clock.limit_min is None] == ["final rolling ends"]


def test_without_a_limit_only_elapsed_time_is_told() -> None:
    diary = Diary()
    diary.say(35, "mixing pass", place(0, 80, block="B1"), mixed="dry", number=1, started=0)
    clock = folded(diary, teal()).clock("B1", "first mix")
    assert (clock.limit_min, clock.by, clock.left_min(at(9))) == (None, None, None)
    assert clock.elapsed_min(at(9)) == 9


def test_work_on_a_closed_block_moves_no_clock_of_it() -> None:
    diary = Diary()
    diary.say(35, "mixing pass", place(0, 80, block="B1"), mixed="dry", number=1, started=0)
    diary.say(130, "rolling", place(0, 80, block="B1"), rolled="final")
    diary.say(140, "closed", place(0, 80, block="B1"))
    diary.say(900, "mixing pass", place(20, 30, (4,), "B1"), mixed="dry", number=4, started=890)
    diary.say(950, "rolling", place(20, 30, (4,), "B1"), rolled="final")
    state = folded(diary)
    assert state.clock("B1", "first mix").elapsed_min() == 130
    assert state.clock("B1, again", "first mix").elapsed_min() == 60


def test_rolling_before_the_first_mix_stops_nothing() -> None:
    diary = Diary()
    diary.say(5, "rolling", place(0, 80, block="B1"), rolled="final")
    diary.say(35, "mixing pass", place(0, 80, block="B1"), mixed="dry", number=1, started=10)
    assert folded(diary).clock("B1", "first mix").stopped_at is None


def test_an_entry_without_a_block_falls_to_the_block_it_lies_in() -> None:
    diary = Diary()
    diary.say(20, "mixing pass", place(80, 160, block="B2"), mixed="dry", number=1)
    diary.say(30, "squeeze", place(100, strips=(1,)), result="holds")
    diary.say(31, "squeeze", place(200, strips=(1,)), result="holds")
    diary.say(500, "mixing pass", place(100, 106, (1,), "R1"), mixed="dry", number=3)
    diary.say(510, "squeeze", place(103, strips=(1,)), result="holds")
    assert [event.block for event in folded(diary).events if event.standing.kind == "squeeze"] == ["B2", "", "R1"]


# passes


def test_a_pass_tapped_twice_counts_once() -> None:
    diary = Diary()
    for minute, number in ((20, 1), (21, 1), (30, 2)):
        diary.say(minute, "mixing pass", place(0, 80, (1,), "B1"), mixed="dry", number=number)
    assert {one.dry_passes for one in folded(diary).bays if one.strip == 1 and one.end_m <= 80} == {2}


def test_a_pass_by_cuts_covers_the_strips_whose_middle_each_cut_covers() -> None:
    diary = Diary()
    diary.say(20, "mixing pass", {"start_m": 0, "end_m": 80}, mixed="dry", number=1, cuts=[2])
    assert {one.strip for one in folded(diary).bays if one.dry_passes} == {2}


def test_walked_out_is_what_was_said_last_and_nothing_where_nobody_said() -> None:
    diary = Diary()
    diary.say(20, "walk-out", place(0, 80, (1, 2)), walked_out=False)
    diary.say(25, "walk-out", place(0, 80, (1,)), walked_out=True)
    told = {one.strip: one.walked_out for one in folded(diary).bays if one.start_m == 0}
    assert told == {1: True, 2: False, 3: None, 4: None}


def test_shots_not_checked_are_a_state_and_a_check_takes_it_away() -> None:
    diary = Diary()
    diary.say(5, "pre-grade shots", place(0, 80), checked="not checked")
    shots = [{"station_m": 10, "side_offset_m": 0, "down_mm": 383}]
    diary.say(6, "pre-grade shots", place(0, 40), checked="checked", shots=shots)
    told = {one.start_m: one.pre_grade_shots for one in folded(diary).bays if one.strip == 1 and one.end_m <= 100}
    assert (told[0], told[50], told[90]) == ("checked", "not checked", "")


# results


def slip(curve: str, dry: float) -> dict[str, Any]:
    reference = {"curve": curve, "maximum_kg_m3": 1_660 if curve == "raw" else 1_600, "proctor": curve}
    return {"test": "1", "dry_density_kg_m3": dry, "reference": reference}


def test_a_density_against_the_raw_curve_is_not_comparable() -> None:
    diary = Diary()
    diary.say(5, "density", place(40, strips=(1,)), **slip("raw", 1_576))
    diary.say(6, "density", place(40, strips=(1,)), **slip("treated", 1_551))
    verdicts = [(one.verdict, round(one.value or 0, 1)) for one in folded(diary).results]
    assert verdicts == [("not comparable", 94.9), ("outside", 96.9)]
    assert [one.verdict for one in folded(diary, teal()).results] == ["not comparable", "no limit"]


@pytest.mark.parametrize(
    ("caught", "verdict"), [(22.8, "inside"), (25.2, "inside"), (22.7, "outside"), (25.3, "outside")]
)
def test_a_tray_keeps_within_five_per_cent_of_the_rate(caught: float, verdict: str) -> None:
    """22.8 to 25.2 at 24 kg/m2: Caltrans Standard Specifications, section 24-1, 5 per cent (read in excerpt)."""
    diary = Diary()
    diary.say(5, "tray check", place(40, strips=(1,)), checked="weighed", tray_kg_m2=caught)
    (result,) = folded(diary).results
    assert (result.verdict, result.limit, result.owner) == (verdict, 24, "engineer")


def test_entries_after_a_bad_result_are_marked_even_where_it_was_mended_or_withdrawn() -> None:
    diary = Diary()
    diary.say(0, "note", place(40, strips=(1,)), note="before")
    bad = diary.say(5, "density", place(40, strips=(1,)), **slip("treated", 1_500))
    late = diary.say(2, "squeeze", place(40, strips=(1,)), result="holds", envelope={"entered_at": at(8).isoformat()})
    diary.say(9, "squeeze", place(60, strips=(1,)), result="holds")
    worse = diary.say(20, "density", place(40, strips=(1,)), **slip("treated", 1_400))
    diary.say(21, "squeeze", place(45, strips=(1,)), result="holds")
    diary.say(30, "density", place(60, strips=(1,)), **slip("treated", 1_500))  # the squeeze there came before
    good = {"kind": "density", "payload": slip("treated", 1_590)}
    mending = diary.say(10, "correction", **good, envelope={"corrects": bad})
    taken = diary.say(11, "withdrawal", envelope={"corrects": bad})
    assert folded(diary).after_bad == {late: bad, mending: bad, taken: bad, worse: bad}


# clocks of devices


def stamps(**of: str) -> dict[str, str]:
    return {key: f"2026-06-09T{time}Z" for key, time in of.items()}


def skew_of(*rows: dict[str, str]) -> Skew:
    diary = Diary()
    for minute in range(len(rows)):
        diary.say(minute, "closed")
    received = [one.model_copy(update={"received_at": None}) for one in diary.received]
    plain = [plain_received(one) | row for one, row in zip(received, rows, strict=True)]
    return fold([parse_received(one) for one in plain], kestrel()).skews["phone-1"]


def test_a_clock_is_bounded_by_what_was_sent_and_what_was_heard() -> None:
    skew = skew_of(
        stamps(sent_at="12:05:00", received_at="12:00:10"),  # received before it was sent: at least 290 s ahead
        stamps(sent_at="12:15:00", received_at="12:14:00"),  # a slow message bounds less
        stamps(heard_at="12:25:10", heard_said="12:20:00"),  # heard after it was said: at most 310 s ahead
        stamps(heard_at="12:35:30", heard_said="12:30:00"),  # what came slowly bounds less
    )
    assert (skew.at_least_s, skew.at_most_s, skew.wrong, skew.torn) == (290, 310, True, False)
    noon = dt.datetime(2026, 6, 9, 12, tzinfo=dt.UTC)
    assert skew.by_store(noon) == (noon - dt.timedelta(seconds=310), noon - dt.timedelta(seconds=290))


def test_a_clock_that_may_be_right_is_not_called_wrong() -> None:
    assert not skew_of(stamps(sent_at="12:00:00", received_at="14:00:00")).wrong  # a late message proves nothing
    assert not skew_of(stamps(sent_at="12:02:00", received_at="12:00:00")).wrong  # two minutes are let pass


def test_a_clock_that_is_behind_is_known_by_what_it_heard() -> None:
    skew = skew_of(stamps(heard_at="11:50:00", heard_said="12:00:00"))
    assert (skew.at_least_s, skew.at_most_s, skew.wrong) == (None, -600, True)


def test_a_clock_that_was_set_in_between_is_told_of() -> None:
    skew = skew_of(
        stamps(sent_at="12:05:00", received_at="12:00:00"), stamps(heard_at="12:10:00", heard_said="12:10:00")
    )
    assert skew.torn
    assert skew.wrong


def test_both_readings_stand_beside_an_entry_of_a_wrong_clock_and_its_time_stays() -> None:
    diary = Diary()
    diary.say(0, "closed")
    (one,) = diary.received
    wrong = one.model_copy(update={"sent_at": one.entry.entered_at, "received_at": one.entry.happened_at})
    state = fold([wrong], kestrel())
    assert state.by_store(state.entries[0]) is None  # 20 s are no matter
    far = parse_far(wrong)
    state = fold([far], kestrel())
    assert state.by_store(state.entries[0]) == (None, at(-10))
    assert state.entries[0].at == at(0)
    assert (
        state.notices[0].message
        == "the clock of device phone-1 is at least 600 s ahead of the store's: both readings are shown"
    )


def parse_far(one: Received) -> Received:
    """An entry received ten minutes before it was sent."""
    return parse_received(plain_received(one) | {"sent_at": at(0).isoformat(), "received_at": at(-10).isoformat()})
