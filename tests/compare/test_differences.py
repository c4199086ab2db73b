"""What was different at a failed place: the stated rule finds the only difference, and claims nothing where nothing differs."""

from __future__ import annotations

from typing import Any

import pytest

from hardpan.compare import Difference, propose_acceptance, what_was_different
from hardpan.compare.differences import FAR_M, NEAR_M
from tests.compare.days import KESTREL, TEAL, folded, plan, state
from tests.ledger.making import Diary, place

ALL = (1, 2, 3, 4)
BAD = (30.0, 36.0)  # strip 4: far from every zone, joint, structure and reading of its block


def block(diary: Diary, start: float = 0, name: str = "B1", *, dry: int = 2) -> None:
    """A block spread, mixed, watered and rolled, all strips alike."""
    where = place(start, start + 80, ALL, name)
    diary.say(100, "spread run", where, rate_kg_m2=24, kg=17_280, started=90)
    for number in range(1, dry + 1):
        diary.say(100 + 10 * number, "mixing pass", where, mixed="dry", number=number, started=90 + 10 * number)
    diary.say(150, "mixing pass", where, mixed="wet", number=1, water_l_m2=15, started=140)
    diary.say(200, "rolling", where, rolled="final", started=190)


def failed(
    diary: Diary, bad: tuple[float, float] = BAD, *, strip: int = 4, minute: float = 3000
) -> tuple[Difference, ...]:
    """Differences at a stretch that failed the axle test on a block that passed it elsewhere."""
    start, end = bad
    others = [one for one in ALL if one != strip]
    movements: list[dict[str, Any]] = [
        {"start_m": 0, "end_m": start, "strips": list(ALL), "moved_mm": 5},
        {"start_m": start, "end_m": end, "strips": others, "moved_mm": 5},
        {"start_m": end, "end_m": 80, "strips": list(ALL), "moved_mm": 5},
        {"start_m": start, "end_m": end, "strips": [strip], "moved_mm": 18},
    ]
    diary.say(minute, "axle test", place(0, 80), vehicle="loaded tandem", limit_mm=13, movements=movements)
    now = folded(diary)
    (bad_one,) = [one for one in propose_acceptance(plan(KESTREL), now).failed if one.kind == "axle test"]
    return what_was_different(plan(KESTREL), now, bad_one)


def kinds(found: tuple[Difference, ...]) -> list[str]:
    return [one.kind for one in found]


# the worked days


def test_the_failed_stretch_of_the_worked_days_is_the_restart_without_a_tray() -> None:
    now = state(KESTREL)
    failed_check = propose_acceptance(plan(KESTREL), now).failed[0]
    found = what_was_different(plan(KESTREL), now, failed_check)
    assert found[0].kind == "restart after run-out, no tray"
    assert "(0+146), strip 4, no tray" in found[0].words
    assert found[0].away_m == 0
    assert found[0].passed_share is not None
    assert found[0].passed_share < 0.01
    assert kinds(found)[1:] == ["held strip", "rate edge", "water off or on", "read as soft: ruts", "block joint"]


def test_a_result_of_the_ledger_does_as_well_as_a_check() -> None:
    now = state(KESTREL)
    result = next(one for one in now.results if one.verdict == "outside")
    check = propose_acceptance(plan(KESTREL), now).failed[0]
    assert what_was_different(plan(KESTREL), now, result) == what_was_different(plan(KESTREL), now, check)


def test_repairs_and_tests_that_followed_explain_nothing() -> None:
    now, before = state(KESTREL), state(KESTREL, "06-14 23:00")
    check = propose_acceptance(plan(KESTREL), before).failed[0]
    assert kinds(what_was_different(plan(KESTREL), now, check)) == kinds(
        what_was_different(plan(KESTREL), before, check)
    )


# another cause is the only difference


def test_nothing_is_claimed_where_nothing_differs() -> None:
    diary = Diary()
    block(diary)
    assert failed(diary) == ()


def say_run_out(diary: Diary) -> None:
    diary.say(95, "run-out", place(31, strips=(4,)))


def say_run_out_with_a_tray(diary: Diary) -> None:
    say_run_out(diary)
    diary.say(96, "tray check", place(32, strips=(4,)), checked="weighed", tray_kg_m2=24.0)


def say_rate_change(diary: Diary) -> None:
    diary.say(95, "rate change", place(33, strips=(4,)), rate_kg_m2=26, from_kg_m2=24)


def say_fewer_passes(diary: Diary) -> None:
    """Two of three dry passes on one bay."""
    where = {"mixed": "dry", "number": 3}
    diary.say(130, "mixing pass", place(0, 80, (1, 2, 3), "B1"), **where)
    diary.say(131, "mixing pass", place(0, 30, (4,), "B1"), **where)
    diary.say(132, "mixing pass", place(40, 80, (4,), "B1"), **where)


def say_truck_empty(diary: Diary) -> None:
    diary.say(145, "water truck empty", place(34, strips=(4,)), truck="water 1")


def say_water_shut(diary: Diary) -> None:
    shut = [{"start_m": 30, "end_m": 33}]
    diary.say(151, "mixing pass", place(0, 80, (4,), "B1"), mixed="wet", number=2, water_l_m2=2, shut=shut)
    diary.say(152, "mixing pass", place(0, 80, (1, 2, 3), "B1"), mixed="wet", number=2, water_l_m2=2)


def say_late_entry(diary: Diary) -> None:
    late = {"entered_at": "2026-06-09T20:00:00-06:00"}
    diary.say(99, "spread run", place(31, 35, (4,), "B1"), rate_kg_m2=24, kg=216, envelope=late)


def say_short_hole(diary: Diary) -> None:
    hole = {"depth_mm": 240, "state": "original", "measured_from": "original surface"}
    diary.say(145, "depth check", place(33, strips=(4,)), **hole)


def say_light_tray(diary: Diary) -> None:
    diary.say(97, "tray check", place(33, strips=(4,)), checked="weighed", tray_kg_m2=18, rate_kg_m2=24)


def say_rutting_machine(diary: Diary) -> None:
    diary.say(98, "machine ruts", place(33, strips=(4,)), machine="spreader", word="ruts")


def say_problem(diary: Diary) -> None:
    diary.say(98, "problem", place(33, strips=(4,)), about="soft place")


def say_smears(diary: Diary) -> None:
    diary.say(145, "squeeze", place(33, strips=(4,)), result="smears")


def say_feet_in(diary: Diary) -> None:
    diary.say(195, "walk-out", place(31, 35, (4,)), walked_out=False)


@pytest.mark.parametrize(
    ("say", "kind"),
    [
        (say_run_out, "restart after run-out, no tray"),
        (say_run_out_with_a_tray, "restart after run-out, tray"),
        (say_rate_change, "rate edge"),
        (say_fewer_passes, "fewer dry passes"),
        (say_truck_empty, "water truck empty"),
        (say_water_shut, "water off or on"),
        (say_late_entry, "entered late"),
        (say_short_hole, "depth check outside"),
        (say_light_tray, "tray check outside"),
        (say_rutting_machine, "machine ruts"),
        (say_problem, "problem: soft place"),
        (say_smears, "squeeze smears"),
        (say_feet_in, "feet did not walk out"),
    ],
)
def test_the_only_difference_comes_first(say: Any, kind: str) -> None:
    diary = Diary()
    block(diary)
    say(diary)
    found = failed(diary)
    assert kinds(found) == [kind]
    assert found[0].away_m == 0


def test_a_held_strip_that_failed_is_the_held_strip() -> None:
    diary = Diary()
    block(diary)
    diary.received = [one for one in diary.received if one.entry.kind != "spread run"]
    diary.say(100, "spread run", place(0, 80, (1, 2, 3), "B1"), rate_kg_m2=24, kg=12_960, started=90)
    diary.say(125, "spread run", place(0, 80, (4,), "B1"), rate_kg_m2=24, kg=4_320, started=120)
    (first, *_) = failed(diary)
    assert first.kind == "held strip"
    assert first.words == "strip 4 of B1 was held: spread 25 min after the block's first mix"


def test_rain_on_all_ground_alike_is_no_difference() -> None:
    diary = Diary()
    block(diary)
    diary.say(500, "weather", rain="rain", rain_mm=12)
    assert failed(diary) == ()


def test_a_block_over_its_clock_differs_only_from_blocks_that_kept_it() -> None:
    slow = Diary()
    block(slow)
    slow.say(700, "rolling", place(0, 80, ALL, "B1"), rolled="final")
    assert failed(slow) == ()  # all ground that passed had it too


def test_a_joint_of_blocks_is_found_across_all_strips() -> None:
    diary = Diary()
    where = {"rate_kg_m2": 24, "kg": 8_640}
    for name, start in (("B1", 0), ("B2", 40)):
        diary.say(100 + start, "spread run", place(start, start + 40, ALL, name), **where)
        diary.say(110 + start, "mixing pass", place(start, start + 40, ALL, name), mixed="dry", number=1)
    found = failed(diary, (39, 42), strip=4)
    assert kinds(found) == ["block joint"]


def test_ground_read_as_soft_and_a_structure_speak_where_they_are() -> None:
    # Teal Crescent's trench at 0+149.4 to 0+150.6, strips 3 and 4; the reading there says sinks
    diary = Diary()
    where = place(80, 160, ALL, "B2")
    diary.say(100, "spread run", where, rate_kg_m2=28, kg=20_160)
    diary.say(
        3000, "axle test", place(0, 240), vehicle="loaded tandem", limit_mm=13,
        movements=[
            {"start_m": 0, "end_m": 149, "strips": list(ALL), "moved_mm": 5},
            {"start_m": 149, "end_m": 151, "strips": [4], "moved_mm": 20},
            {"start_m": 151, "end_m": 240, "strips": list(ALL), "moved_mm": 5},
        ],
    )  # fmt: skip
    now = folded(diary, TEAL)
    (check,) = propose_acceptance(plan(TEAL), now).failed
    assert kinds(what_was_different(plan(TEAL), now, check))[:2] == ["trench near", "read as soft: sinks"]


# the rule


def test_what_lies_within_3_m_comes_before_what_is_rarer_and_farther() -> None:
    diary = Diary()
    block(diary)
    for station in (5, 55, 70, 31):  # common, and here
        diary.say(95, "run-out", place(station, strips=(4,)))
    diary.say(145, "water truck empty", place(41, strips=(4,)), truck="water 1")  # alone, 5 m away
    found = failed(diary)
    assert kinds(found) == ["restart after run-out, no tray", "water truck empty"]
    assert found[0].away_m <= NEAR_M < found[1].away_m <= FAR_M


def test_of_two_near_things_the_rarer_comes_first_and_of_two_as_rare_the_nearer() -> None:
    diary = Diary()
    block(diary)
    for station in (5, 60, 31):
        diary.say(95, "run-out", place(station, strips=(4,)))
    diary.say(145, "water truck empty", place(34, strips=(4,)), truck="water 1")
    diary.say(146, "problem", place(28, strips=(4,)), about="water")
    assert kinds(failed(diary)) == ["water truck empty", "problem: water", "restart after run-out, no tray"]


def test_what_happened_beyond_10_m_or_on_another_strip_is_not_near() -> None:
    diary = Diary()
    block(diary)
    diary.say(95, "run-out", place(47, strips=(4,)))
    diary.say(96, "run-out", place(33, strips=(3,)))
    assert failed(diary) == ()


def test_what_happened_after_the_test_is_no_difference() -> None:
    diary = Diary()
    block(diary)
    diary.say(3100, "problem", place(33, strips=(4,)), about="soft place")
    assert failed(diary) == ()


def test_without_ground_that_passed_nothing_is_compared() -> None:
    diary = Diary()
    block(diary)
    say_run_out(diary)
    diary.say(
        3000, "axle test", place(0, 80), vehicle="loaded tandem", limit_mm=13,
        movements=[{"start_m": 30, "end_m": 36, "strips": [4], "moved_mm": 18}],
    )  # fmt: skip
    now = folded(diary)
    found = what_was_different(plan(KESTREL), now, propose_acceptance(plan(KESTREL), now).failed[0])
    assert found[0].passed_share is None
    assert found[0].rarity == "no other place passed this test: nothing to compare with"


def test_the_share_counts_cells_of_3_m_that_passed_and_have_it_within_3_m() -> None:
    diary = Diary()
    block(diary)
    for station in (33, 60):
        diary.say(95, "run-out", place(station, strips=(4,)))
    (found,) = failed(diary)
    # 80 m of four strips in cells of 3 m (27 a strip, 108) less the two that failed; near 0+060 lie four, near 0+033 two more
    assert found.passed_share == pytest.approx(6 / 106)
    assert found.rarity == "5.7 % of what passed has it too"
