"""Crown, crossfall and superelevation transitions against printed stations and levels computed by hand."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from hardpan.errors import LawError
from hardpan.laws import section


def plus(station: float, rest: float = 0.0) -> float:
    return 100 * station + rest


def test_superelevation_about_the_centreline() -> None:
    # transtutors.com, question 2706796: two 10 ft lanes, crown 1 %, e 3 %, runoff 300 ft, PC 120+00 at 600.00 ft, +4 %.
    breaks = section.transition_stations(plus(120), runoff=300.0, normal_crossfall=0.01, superelevation=0.03)
    assert breaks == pytest.approx((plus(117), plus(118), plus(119), plus(121)))
    stations = np.array([plus(117, 50), plus(118, 50), plus(121, 50)])
    outside = section.crossfall_at(stations, breaks, [0.01, 0.0, -0.01, -0.03])
    inside = section.crossfall_at(stations, breaks[2:], [0.01, 0.03])
    centre = 600 + 0.04 * (stations - plus(120))
    assert centre == pytest.approx([590.0, 594.0, 606.0])
    # The curve turns right: its inside edge is at +10 ft, its outside edge at -10 ft; levels computed by hand.
    low = centre - section.height_below_crown(10.0, left_crossfall=outside, right_crossfall=inside)
    high = centre - section.height_below_crown(-10.0, left_crossfall=outside, right_crossfall=inside)
    assert low == pytest.approx([589.90, 593.90, 605.70])
    assert high == pytest.approx([589.95, 594.05, 606.30])


def test_second_transition_of_the_same_kind() -> None:
    # Question 2706940 (its answer was not seen): starts 17+20, level 17+50, full 19+00, 3 % at 18+40.
    breaks = section.transition_stations(plus(18, 50), runoff=150.0, normal_crossfall=0.01, superelevation=0.05)
    assert breaks == pytest.approx((plus(17, 20), plus(17, 50), plus(17, 80), plus(19)))
    at = section.crossfall_at(plus(18, 40), breaks, [0.01, 0.0, -0.01, -0.05])
    assert float(at) == pytest.approx(-0.03)


@given(runoff=st.floats(10, 200), normal=st.floats(0.01, 0.03), steeper=st.floats(1.0, 5.0), share=st.floats(0, 1))
def test_the_outer_edge_turns_at_one_rate(runoff: float, normal: float, steeper: float, share: float) -> None:
    start, level, reverse, full = section.transition_stations(
        0.0, runoff=runoff, normal_crossfall=normal, superelevation=normal * steeper, share_before=share
    )
    rate = normal * steeper / runoff
    assert rate * (level - start) == pytest.approx(normal)
    assert rate * (reverse - level) == pytest.approx(normal)
    assert full - level == pytest.approx(runoff)
    assert level == pytest.approx(-share * runoff)


def test_crossfall_stays_beyond_the_breaks() -> None:
    falls = section.crossfall_at([-50.0, 25.0, 500.0], [0.0, 100.0], [0.02, -0.02])
    assert falls == pytest.approx([0.02, 0.01, -0.02])
    assert section.crossfall_at([1.0, 2.0], [0.0], [0.02]).tolist() == [0.02, 0.02]


def test_lip_of_a_nine_metre_street_is_90_mm_below_its_crown() -> None:
    # 4.5 m at 2 %: crown 103.000, lip 102.910, mid-lane 102.955; exact arithmetic.
    drops = section.height_below_crown([-4.5, -2.25, 0.0, 2.25, 4.5], left_crossfall=0.02, right_crossfall=0.02)
    assert 103.0 - drops == pytest.approx([102.910, 102.955, 103.000, 102.955, 102.910])


def test_one_way_fall_has_opposite_crossfalls() -> None:
    drops = section.height_below_crown([-3.0, 3.0], left_crossfall=-0.03, right_crossfall=0.03)
    assert drops == pytest.approx([-0.09, 0.09])


def test_a_crown_off_the_line_takes_each_side_with_its_own_fall() -> None:
    drops = section.height_below_crown([-2.0, 1.0, 4.0], left_crossfall=0.02, right_crossfall=0.04, crown_offset=1.0)
    assert drops == pytest.approx([0.06, 0.0, 0.12])


def test_slope_board_of_two_metres() -> None:
    # 40 mm at 2 %, 60 mm at 3 %; exact arithmetic.
    assert section.slope_board_drop(2.0, [0.02, 0.03]) == pytest.approx([0.040, 0.060])


def test_impossible_input_says_what_was_given_and_what_is_allowed() -> None:
    with pytest.raises(LawError, match=r"^breaks: given \[0.0, 0.0\]; allowed: stations that rise"):
        section.crossfall_at(1.0, [0.0, 0.0], [0.02, 0.03])
    with pytest.raises(LawError, match=r"^breaks, crossfalls: given shapes \(2,\) and \(1,\); allowed: one or more"):
        section.crossfall_at(1.0, [0.0, 1.0], [0.02])
    with pytest.raises(LawError, match=r"^side_offset: given nan; allowed: a finite number"):
        section.height_below_crown(float("nan"), left_crossfall=0.02, right_crossfall=0.02)
    with pytest.raises(LawError, match=r"^superelevation: given 0.01; allowed: at least the normal crossfall, 0.02"):
        section.transition_stations(0.0, runoff=50.0, normal_crossfall=0.02, superelevation=0.01)
    with pytest.raises(LawError, match=r"^share_before: given 2; allowed: 0 to 1"):
        section.transition_stations(0.0, runoff=50.0, normal_crossfall=0.02, superelevation=0.04, share_before=2)
