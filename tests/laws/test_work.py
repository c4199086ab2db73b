"""Machine time against sums in minutes and against handbook conversions."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from hardpan.errors import LawError
from hardpan.laws import work
from hardpan.laws.ranges import outside

FOOT, MILE, YARD3 = 0.3048, 1609.344, 0.9144**3


def test_mixing_a_block_of_80_m_takes_34_7_min_dry_and_40_wet() -> None:
    # 4 x (80/12 + 2) and 4 x (80/10 + 2) minutes; speeds and turns are common practice, no source.
    dry, wet = work.mixing_time(80.0, [12 / 60, 10 / 60], cuts=4, turn=120.0) / 60
    assert dry == pytest.approx(4 * (80 / 12 + 2))
    assert wet == pytest.approx(40.0)


def test_roller_factor_is_16_3_in_feet_miles_inches_and_yards() -> None:
    # 5280 / 27 / 12 = 16.296: cubic yards an hour for one foot, one mile an hour, one inch, one rolling pass.
    rate = work.rolling_rate(FOOT, MILE / 3600, passes=1) * FOOT / 12
    assert float(rate) * 3600 / YARD3 == pytest.approx(16.3, abs=0.005)


def test_a_mixing_pass_without_turns_goes_at_the_mixing_rate() -> None:
    seconds = work.mixing_time(80.0, 8 / 60, cuts=4, turn=0.0)
    assert float(work.area_time(80.0 * 4 * 2.2, work.mixing_rate(2.2, 8 / 60))) == pytest.approx(float(seconds))


def test_roller_in_bank_measure() -> None:
    # expertsmind.com, calculate roller production: 589.2 bank yd3/h at 0.83 compacted a bank; 540 asks for 0.92 rollers.
    rate = work.rolling_rate(8 * FOOT, 3 * MILE / 3600, passes=4, efficiency=50 / 60) * FOOT / 2
    bank = float(rate) * 3600 / YARD3 / 0.83
    assert bank == pytest.approx(589.2, abs=0.2)  # the page multiplies and divides rounded figures
    assert 540 / bank == pytest.approx(0.92, abs=0.005)


def test_graders_parts_sum_to_the_whole() -> None:
    # FM 5-434 (from memory): 7.25 + 4.50 + 2.58 = 14.33 h.
    mph = MILE / 3600
    parts = [
        work.blading_time(5 * MILE, [pair], efficiency=0.6) for pair in [(2, 2.3 * mph), (2, 3.7 * mph), (3, 9.7 * mph)]
    ]
    assert [float(part) / 3600 for part in parts] == pytest.approx([7.25, 4.50, 2.58], abs=0.005)


@given(st.lists(st.tuples(st.floats(1, 1000), st.floats(0.1, 10)), min_size=1, max_size=8))
def test_job_speed_never_exceeds_the_mean_of_the_speeds_over_equal_distances(parts: list[tuple[float, float]]) -> None:
    speeds = [speed for _, speed in parts]
    assert work.job_speed([1.0] * len(speeds), speeds) <= sum(speeds) / len(speeds) * (1 + 1e-12)
    distances = [distance for distance, _ in parts]
    assert min(speeds) * (1 - 1e-12) <= work.job_speed(distances, speeds) <= max(speeds) * (1 + 1e-12)


def test_job_speed_takes_one_distance_for_all_speeds() -> None:
    assert work.job_speed(5.0, [6.0, 8.0, 10.0]) == pytest.approx(work.job_speed([5.0] * 3, [6.0, 8.0, 10.0]))


def test_blading_time_is_distance_over_job_speed() -> None:
    speed = work.job_speed([2.0, 2.0, 2.0], [6.0, 8.0, 10.0])
    assert float(work.blading_time(100.0, [(2, 6.0), (2, 8.0), (2, 10.0)])) == pytest.approx(600.0 / speed)


def test_trucks_below_the_balance_number_leave_the_machine_waiting() -> None:
    # allrounder.ai, balance number of trucks: 7.18; 7 trucks bring less than the loader's 90 m3/h, 8 more.
    balance = float(work.trucks_to_keep_busy(39.5, 5.5))
    seven, eight = work.hauled_rate([7, 8], 12.53, 3600.0, machine_rate=90 / 3600) * 3600
    assert 7 < balance < 8
    assert seven == pytest.approx(87.71)
    assert eight == 90.0


def test_cycle_is_the_sum_of_its_links() -> None:
    # scribd.com/document/472604844: 0.126, 0.233, 0.050 and 0.175 h.
    hour = 3600.0
    speeds = {"loaded_speed": 30 * MILE / hour, "empty_speed": 40 * MILE / hour}
    cycle = work.haul_cycle(7 * MILE, **speeds, loading=0.126 * hour, dumping=0.05 * hour)
    assert float(cycle) / hour == pytest.approx(0.126 + 0.233 + 0.050 + 0.175, abs=0.001)


@given(limit=st.floats(0, 20_000), per_metre=st.floats(1, 300), fixed=st.floats(0, 8000))
def test_longest_block_just_closes_inside_the_limit(limit: float, per_metre: float, fixed: float) -> None:
    length = float(work.longest_block(limit, per_metre, fixed))
    if length > 0:
        assert fixed + length * per_metre == pytest.approx(limit)
    else:
        assert limit <= fixed


def test_area_and_transfer_times() -> None:
    assert float(work.area_time(720.0, work.rolling_rate(1.98, 4000 / 3600, passes=6, efficiency=0.8))) / 60 == (
        pytest.approx(720 / 1056 * 60)
    )
    assert float(work.transfer_time(15_000.0, 15.0)) == 1000.0


def test_mixer_speed_has_a_range() -> None:
    assert [left.argument for left in outside(work.mixing_time, speed=1 / 60)] == ["speed"]
    assert outside(work.mixing_time, speed=[3 / 60, 25 / 60]) == ()


def test_impossible_input_says_what_was_given_and_what_is_allowed() -> None:
    with pytest.raises(LawError, match=r"^efficiency: given 50.0; allowed: a share of the time above 0, at most 1"):
        work.rolling_rate(2.0, 1.0, passes=4, efficiency=50.0)
    with pytest.raises(LawError, match=r"^passes_and_speeds: given \[\]; allowed: one or more pairs"):
        work.blading_time(100.0, [])
    with pytest.raises(LawError, match=r"^distances: given \[\]; allowed: one or more"):
        work.job_speed([], [])
    with pytest.raises(LawError, match=r"^service_time: given 6.0; allowed: at most the truck's cycle, 5.0"):
        work.trucks_to_keep_busy(5.0, 6.0)
    with pytest.raises(LawError, match=r"^speed: given 0.0; allowed: a number above 0"):
        work.mixing_time(80.0, 0.0, cuts=4, turn=120.0)


def test_one_service_of_many_longer_than_its_cycle_raises() -> None:
    with pytest.raises(LawError, match=r"^service_time: given \[5.0, 50.0\]; allowed: at most the truck's cycle, 40.0"):
        work.trucks_to_keep_busy(40.0, [5.0, 50.0])
