"""The outlook at several instants of the worked days, and what holds at every instant of any ledger."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from hardpan.compare import (
    Outlook,
    compare_progress,
    look_ahead,
    propose_acceptance,
    three_agree,
    what_was_different,
)
from hardpan.compare.differences import COMMON
from hardpan.compare.pace import SCATTER
from hardpan.compare.tasks import Task
from hardpan.errors import HardpanError
from hardpan.ledger import Received, State, fold
from hardpan.street import Basis
from tests.compare.days import KESTREL, TEAL, at, folded, ledger, minute, plan, state, street
from tests.ledger.making import Diary, place
from tests.ledger.test_fold import ledgers

ALL = (1, 2, 3, 4)


def ahead(name: str, when: str) -> Outlook:
    return look_ahead(plan(name), state(name, when), now=at(when))


def after(diary: Diary, count: float) -> Outlook:
    return look_ahead(plan(KESTREL), folded(diary), now=minute(count))


def machine(found: Outlook, name: str) -> Task:
    return next(task for task in found.of("operator") if task.machine == name)


def clock(when: dt.datetime | None) -> str:
    return "" if when is None else f"{when:%H:%M}"


# Kestrel Road, 10:15 on the first day: strip 4 of block 2 waits, the second load is late


def test_at_10_15_strip_4_of_block_2_waits_for_770_kg() -> None:
    (waiting,) = ahead(KESTREL, "06-09 10:15").waiting
    assert (waiting.block, waiting.strip, waiting.start_m, waiting.end_m) == ("B2", 4, 146, 160)
    # 14 m x 2.25 m x 24 kg/m2 = 756 kg, at the 38,940 kg placed so far over 38,664 planned on that ground
    assert waiting.cement.value == pytest.approx(756 * 38_940 / 38_664)
    assert round(waiting.cement.value, -1) == 760
    assert ahead(KESTREL, "06-09 10:30").waiting[0].waited_min == 15


def test_at_10_15_the_second_load_is_15_minutes_late_and_the_foreman_sees_who_waits() -> None:
    found = ahead(KESTREL, "06-09 10:15")
    assert (found.loads[0].ticket, found.loads[0].late_min) == ("T2", 15)
    assert [task.what for task in found.of("foreman")] == [
        "strip 4 of B2 waits for cement (T2): 761 kg, 14.0 m", "T2: 19460 kg due 10:00, 15 min late",
    ]  # fmt: skip
    assert "T2 is 15 min late" in str(found.notices[0])
    spreader = machine(found, "spreader")
    assert (spreader.waits_for, spreader.place) == ("cement", "0+146 to 0+160, strip 4")
    # a load that comes now: 4 min of coupling and 15,000 kg at 900 kg/min
    assert clock(spreader.starts.at if spreader.starts else None) == "10:36"


def test_at_10_15_the_mixer_s_stop_would_put_two_blocks_at_risk() -> None:
    first, second = ahead(KESTREL, "06-09 10:15").at_risk
    assert (first.block, first.spread_not_mixed_m2, round(first.mixed_not_rolled_m2)) == ("B1", 0, 720)
    assert (second.block, second.mixed_not_rolled_m2) == ("B2", 0)
    assert second.spread_not_mixed_m2 == pytest.approx(720 - 14 * 2.25)
    # 21,384 kg instructed on the ground of block 2 that is spread, at the 38,940 placed over 38,664 planned
    assert second.spread_not_mixed.value == pytest.approx(21_384 * 38_940 / 38_664)
    limits = {one.starts_with: (one.limit, one.left_min, clock(one.by)) for one in first.clocks}
    assert limits == {
        "cement on the ground": ("no limit is written", None, ""),
        "first mix": ("240 min (engineer, job limits 3)", 115, "12:10"),
        "water": ("120 min (engineer, job limits 4)", 65, "11:20"),
    }


def test_at_10_15_every_machine_has_its_next_run_by_a_time_of_day() -> None:
    found = ahead(KESTREL, "06-09 10:15")
    # as the day went on: padfoot to 10:16, grader to 10:49, smooth drum to 11:05; dry 1 of block 2 to 10:55
    by = {task.machine: (task.what, clock(task.by.at if task.by else None)) for task in found.of("operator")}
    assert by == {
        "padfoot": ("padfoot", "10:16"),
        "grader": ("trim, cut only", "10:49"),
        "smooth drum": ("final rolling", "11:06"),
        "mixer": ("dry pass 1", "10:51"),
        "spreader": ("spread strip 4", "10:39"),
    }
    latest = machine(found, "smooth drum")
    assert (clock(latest.at_latest), latest.owner) == ("11:20", "engineer")  # 2 h from water at 09:20
    # block 2 has its own clock, to 14:15; its rolling is expected to end 42 min before, so its first pass may end 42 min after 10:51
    assert clock(machine(found, "mixer").at_latest) == "11:33"


def test_the_tester_owes_a_tray_at_the_restart_until_the_place_is_mixed() -> None:
    owed = [task.what for task in ahead(KESTREL, "06-09 10:15").of("tester")]
    assert owed == ["tray at the restart", "depth check"]
    assert "tray at the restart" not in [task.what for task in ahead(KESTREL, "06-09 11:00").of("tester")]
    assert [(one.kind, one.said) for one in ahead(KESTREL, "06-09 11:00").not_checked] == [
        ("tray at the restart", False)
    ] * 2


# where things run out


@pytest.mark.parametrize(
    ("when", "block", "strip", "happened_m"),
    [
        ("06-09 08:11", 2, 3, 104.2),  # hopper 12,570: the day's empty at 0+104 strip 3
        ("06-09 10:47", 3, 4, 181.4),  # hopper 14,230: the day's empty at 0+181 strip 4
    ],
)
def test_the_spreader_runs_out_where_it_did(when: str, block: int, strip: int, happened_m: float) -> None:
    first = ahead(KESTREL, when).cement.run_outs[0]
    assert (first.block, first.strip) == (block, strip)
    assert first.station.value == pytest.approx(happened_m, abs=0.6)
    assert first.back_up_to_m == pytest.approx(first.station.value - 3)
    assert first.earliest is not None
    assert first.latest is not None
    assert first.earliest[1] < first.station.value < first.latest[1]


def test_before_anything_is_laid_the_run_out_is_the_plan_s() -> None:
    diary = Diary()
    diary.say(60, "delivery ticket", ticket="T1", net_kg=38_940)
    diary.say(85, "spreader fill", added_kg=15_000, ticket="T1")
    found = after(diary, 86).cement
    planned = plan(KESTREL).supply.cement.run_outs
    assert [(one.strip, round(one.station.value, 6)) for one in found.run_outs] == [
        (one.strip, round(one.station.value, 6)) for one in planned[:2]
    ]
    assert (found.factor.value, found.in_hopper.value) == (1, 15_000)


def test_a_run_out_on_a_strip_that_is_not_entered_yet_tells_of_its_cement() -> None:
    found = ahead(TEAL, "06-04 10:45").cement  # ran out at 0+122 on strip 4, its run entered at 11:05
    assert found.in_hopper.value == 0
    assert found.factor.value == pytest.approx(30_000 / (11_520 + 28 * 2.25 * (3 * 80 + 42)))
    assert found.run_outs[0].after == "the next fill"


def test_cement_that_is_short_is_told_in_kilograms_to_order() -> None:
    found = ahead(TEAL, "06-04 12:40")
    assert [task.what for task in found.of("foreman")] == [f"order {found.cement.wanting.value:.0f} kg more"]
    assert found.cement.wanting.value == pytest.approx(40_320 * found.cement.factor.value - 40_000, rel=2e-3)
    assert not found.cement.reaches_end
    assert ahead(KESTREL, "06-09 10:15").cement.wanting.value == pytest.approx(found_to_lay(), rel=1e-9)


def found_to_lay() -> float:
    """Still to lay on Kestrel Road at 10:15, by hand: the plan's 92,880 less 38,664, at the ratio so far."""
    return (92_880 - 38_664) * 38_940 / 38_664


def test_the_truck_that_is_coupled_runs_dry_where_the_plan_walks_it() -> None:
    # Teal Crescent's trucks empty at 0+006.9 cut 4 and, from 0+106.9 cut 2, at 0+100.4 cut 4
    first = ahead(TEAL, "06-04 10:45").water_truck
    assert first is not None
    assert (first.block, first.cut) == (1, 4)
    assert first.station is not None
    assert first.station.value == pytest.approx(6.9, abs=0.1)
    third = ahead(TEAL, "06-04 12:40").water_truck
    assert third is not None
    assert (third.truck, third.block, third.cut) == ("water 3", 2, 4)
    assert third.station is not None
    assert third.station.value == pytest.approx(100.4, abs=0.2)
    assert third.on_board.basis is Basis.DEFAULT  # nobody read it: the volume of the street's truck


@pytest.mark.parametrize(("when", "left"), [("06-09 09:30", 7_200), ("06-09 12:40", 2_475)])
def test_a_truck_that_tops_up_between_blocks_says_what_it_has_left(when: str, left: float) -> None:
    truck = ahead(KESTREL, when).water_truck  # 18,000 less 10,800 on block 1, less 4,725 on block 2
    assert truck is not None
    assert truck.station is None
    assert truck.left.value == pytest.approx(left)


def test_no_truck_is_coupled_before_the_first_and_after_the_last() -> None:
    assert ahead(KESTREL, "06-09 08:00").water_truck is None
    assert ahead(KESTREL, "06-09 17:00").water_truck is None


# pace


def test_the_crew_s_own_times_replace_the_plan_s_once_a_block_is_closed() -> None:
    before = {one.stage: one for one in ahead(KESTREL, "06-09 11:00").pace}
    assert {one.blocks for one in before.values()} == {()}
    assert {(one.ratio, one.scatter) for one in before.values()} == {(1.0, SCATTER)}
    own = {one.stage: one for one in ahead(KESTREL, "06-09 16:40").pace}
    assert own["dry"].blocks == ("B1", "B2", "B3")
    # 70, 98 and 70 minutes over the plan's 69 1/3, 92 1/3 and 69 1/3
    ratios = [70 / (69 + 1 / 3), 98 / (92 + 1 / 3), 70 / (69 + 1 / 3)]
    assert own["dry"].ratio == pytest.approx((ratios[0] * ratios[1] * ratios[2]) ** (1 / 3))
    assert own["dry"].scatter == pytest.approx(SCATTER / 3**0.5, abs=0.01)
    assert own["smooth"].blocks == ()  # the record tells no start of final rolling
    assert own["dry"].words == "the crew's own on B1, B2, B3: 1.03 of the plan's"


def test_a_slow_first_block_makes_the_rest_slow() -> None:
    def day(minutes: float) -> Outlook:
        diary = Diary()
        where = place(0, 80, ALL, "B1")
        diary.say(10, "spread run", where, rate_kg_m2=24, kg=17_280)
        diary.say(10 + minutes, "mixing pass", where, mixed="dry", number=1, started=10)
        diary.say(10 + 2 * minutes, "mixing pass", where, mixed="dry", number=2, started=10 + minutes)
        diary.say(300, "rolling", where, rolled="final", started=290)
        return after(diary, 310)

    def mixing(found: Outlook) -> float:
        run = next(one for one in found.runs if (one.block, one.stage) == (2, "dry"))
        return (run.ends.at - run.starts.at).total_seconds() / 60

    plain, slow = mixing(day(104 / 3)), mixing(day(208 / 3))
    assert plain == pytest.approx(92.3, abs=1.1)  # two passes of 34.7 min and a third of 23 in zone A, to whole minutes
    assert slow == pytest.approx(2 * 92.3, abs=1.1)


def test_work_that_should_be_over_is_overdue_and_ends_now() -> None:
    diary = Diary()
    where = place(0, 80, ALL, "B1")
    diary.say(10, "spread run", where, rate_kg_m2=24, kg=17_280)
    diary.say(10, "mixing pass", where, mixed="dry", number=1, under_way=True)
    found = after(diary, 200)
    dry = next(one for one in found.runs if one.stage == "dry")
    assert dry.begun
    assert dry.overdue_min == pytest.approx(190 - 69.3, abs=0.1)
    assert dry.ends.at == minute(200)
    wet = next(one for one in found.runs if one.stage == "wet")
    assert (wet.starts.at, wet.ends.at) == (minute(200), minute(240))  # it follows; 40 min of wet pass


def test_the_second_day_s_blocks_wait_for_its_morning() -> None:
    found = ahead(KESTREL, "06-09 16:40")
    spreader = machine(found, "spreader")
    assert spreader.block == 4
    assert spreader.starts is not None
    assert spreader.starts.at == at("06-10 07:21")  # T3 at 07:00, coupling and transfer


# what is in force


def test_a_stop_is_in_force_until_work_goes_on() -> None:
    diary = Diary()
    stop = diary.say(10, "stop", place(40, strips=(2,)), state="stopped", reason="dust")
    (told,) = after(diary, 20).stops
    assert (told.entry, told.kind, told.words, told.role) == (stop, "stop", "dust", "operator")
    diary.say(30, "stop", state="resumed")
    assert after(diary, 40).stops == ()
    diary.say(50, "stop", state="stopped", reason="gas")
    assert [one.words for one in after(diary, 60).stops] == ["gas"]


def test_a_problem_is_open_until_it_is_closed() -> None:
    assert [one.words for one in ahead(KESTREL, "06-15 17:00").stops] == ["cement, where the hopper ran out"]
    assert ahead(KESTREL, "06-17 16:10").stops == ()


def test_what_awaits_a_reviewer_is_told_bad_results_first() -> None:
    tasks = [task.what for task in ahead(KESTREL, "06-14 18:00").of("reviewer")]
    assert tasks[0] == "axle test outside its limit"
    assert "lot awaits a signature, proposed: do not accept" in tasks
    assert ahead(KESTREL, "06-17 17:00").of("reviewer") == ()


def test_a_finished_street_has_nothing_left_to_run() -> None:
    found = ahead(KESTREL, "06-17 17:00")
    assert (found.runs, found.of("operator"), found.at_risk, found.waiting) == ((), (), (), ())
    assert found.cement.to_lay.value == 0
    assert found.cement.reaches_end


def test_an_instant_without_an_offset_is_refused() -> None:
    with pytest.raises(HardpanError, match="now: given without an offset"):
        look_ahead(plan(TEAL), state(TEAL), now=dt.datetime(2026, 6, 4, 12, 40))


def test_without_a_street_s_limits_no_task_has_a_latest() -> None:
    found = ahead(TEAL, "06-04 12:40")
    assert {task.at_latest for task in found.of("operator")} == {None}
    assert {one.limit for risk in found.at_risk for one in risk.clocks} == {"no limit is written"}


def test_the_mixer_s_next_pass_says_full_half_or_off_and_how_low() -> None:
    wet = machine(ahead(TEAL, "06-04 12:40"), "mixer")
    assert (wet.what, wet.setting, wet.water.value if wet.water else None) == ("wet pass", "full", 34)
    assert wet.strips == (2, 3, 4)
    assert wet.low is not None
    assert wet.low.value == 0.045


# at every instant of any ledger


def instants(found: Outlook) -> Iterator[dt.datetime]:
    """Every expected instant in an outlook."""
    told = [one for run in found.runs for one in (run.starts, run.ends)]
    told += [one for task in found.tasks if task.role != "foreman" for one in (task.starts, task.by) if one]
    for one in told:
        yield from (one.early, one.at, one.late)


def holds(name: str, folded_state: State, now: dt.datetime) -> None:
    """What holds at every instant."""
    found = look_ahead(plan(name), folded_state, now=now)
    assert all(time >= now for time in instants(found))
    for run in found.runs:
        assert run.ends.early <= run.ends.at <= run.ends.late
        assert 0 < run.left <= 1
    cement = found.cement
    assert cement.in_hopper.value >= 0
    assert cement.in_hopper.value + cement.laid.value == pytest.approx(cement.filled.value)
    assert cement.filled.value == pytest.approx(folded_state.cement.delivered_kg - folded_state.cement.in_truck_kg)
    shares = [
        share for block in compare_progress(plan(name), folded_state, now=now).blocks for share in block.left.values()
    ]
    assert all(-1e-9 <= share <= 1 for share in shares)
    for check in propose_acceptance(plan(name), folded_state).failed:
        rare = [one.passed_share or 0 for one in what_was_different(plan(name), folded_state, check)]
        assert all(0 <= share < COMMON for share in rare)
    assert len(three_agree(plan(name), folded_state)) == len(plan(name).zones)
    line = street(name).stationing
    assert all(line.first <= one.station.value <= line.last for one in cement.run_outs)


@settings(deadline=None, max_examples=40)
@given(name=st.sampled_from([KESTREL, TEAL]), count=st.integers(0, 130), wait=st.integers(0, 3_000))
def test_any_prefix_of_the_worked_days_has_an_outlook(name: str, count: int, wait: int) -> None:
    received = ledger(name)[:count]
    last = max((one.entry.happened_at.at for one in received), default=at("06-04 05:00"))
    now = last + dt.timedelta(minutes=wait)
    holds(name, fold(received, street(name)), now)


@settings(deadline=None, max_examples=30)
@given(name=st.sampled_from([KESTREL, TEAL]), kept=st.sets(st.integers(0, 125)), hour=st.integers(0, 300))
def test_any_part_of_the_worked_days_has_an_outlook(name: str, kept: set[int], hour: int) -> None:
    received = [one for i, one in enumerate(ledger(name)) if i in kept]
    now = at("06-04 00:00") + dt.timedelta(hours=hour)
    holds(name, fold(received, street(name)), now)


@settings(deadline=None, max_examples=40)
@given(received=ledgers(), minutes=st.integers(-600, 3_000))
def test_a_ledger_that_makes_no_sense_has_an_outlook(received: list[Received], minutes: int) -> None:
    holds(KESTREL, fold(received, street(KESTREL)), minute(minutes))


def test_the_same_ledger_and_instant_give_the_same_outlook() -> None:
    assert ahead(KESTREL, "06-09 10:15") == look_ahead(
        plan(KESTREL), state(KESTREL, "06-09 10:15"), now=at("06-09 10:15")
    )
