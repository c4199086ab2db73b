"""Cuts and strips: they cover the width, lap enough, and are as few as can be."""

from __future__ import annotations

import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from scipy.integrate import quad

from hardpan.errors import LawError
from hardpan.laws import strips

WIDTHS = st.floats(2.0, 30.0)


def test_nine_metres_take_four_cuts_of_2_40_lapping_0_20() -> None:
    # Exact geometry: (4 x 2.40 - 9.00) / 3.
    cuts = strips.machine_cuts(9.0, 2.4, 0.10)
    assert cuts.count == 4
    assert cuts.overlap == pytest.approx(0.20)
    assert cuts.net_widths == pytest.approx((2.40, 2.20, 2.20, 2.20))
    assert [left for left, _ in cuts.edges] == pytest.approx([0.0, 2.2, 4.4, 6.6])


@given(width=WIDTHS, drum=st.floats(1.0, 3.0), least=st.floats(0.0, 0.4))
def test_cuts_cover_the_street_and_lap_at_least_as_asked(width: float, drum: float, least: float) -> None:
    cuts = strips.machine_cuts(width, drum, least)
    assert cuts.edges[0][0] == 0.0
    assert cuts.edges[-1][1] == pytest.approx(width)
    assert sum(cuts.net_widths) == pytest.approx(width)
    for (_, right), (left, _) in zip(cuts.edges, cuts.edges[1:], strict=False):
        assert right - left >= least - 1e-6
        assert right - left == pytest.approx(cuts.overlap, abs=1e-9)


@given(width=WIDTHS, drum=st.floats(1.0, 3.0), least=st.floats(0.0, 0.4))
def test_one_cut_fewer_would_not_do(width: float, drum: float, least: float) -> None:
    assume(width > drum)
    fewer = strips.machine_cuts(width, drum, least).count - 1
    assert fewer * drum - (fewer - 1) * least < width


def test_a_drum_wider_than_the_street_makes_one_cut_of_the_streets_width() -> None:
    assert strips.machine_cuts(2.0, 2.4, 0.1) == strips.Cuts(1, 0.0, ((0.0, 2.0),), (2.0,))


def test_cuts_that_just_fit_need_no_further_one() -> None:
    # 0.1 x 3 is above 0.3 in binary: rounding must not buy a cut.
    assert strips.machine_cuts(0.1 * 3, 0.1, 0.0).count == 3
    assert strips.machine_cuts(0.3, 0.1, 0.0).overlap == pytest.approx(0.0, abs=1e-12)


@given(width=st.floats(0.5, 30.0), pan=st.floats(0.5, 3.0))
def test_spreader_strips_are_equal_cover_the_width_and_fit_the_pan(width: float, pan: float) -> None:
    count, each = strips.spreader_strips(width, pan)
    assert count * each == pytest.approx(width)
    assert each <= pan * (1 + 1e-8)
    assert count == 1 or (count - 1) * pan < width


def test_wrong_spacing_by_150_mm_doubles_6_7_percent() -> None:
    # 6.7 % of 93 t is 6.2 t: exact arithmetic.
    assert 93 * float(strips.doubled_fraction(0.15, 2.25)) == pytest.approx(6.2, abs=0.05)


def test_fillet_is_what_a_quarter_circle_leaves_of_a_square() -> None:
    def between(x: float) -> float:
        return 5.0 - math.sqrt(25.0 - (x - 5.0) ** 2)

    assert float(strips.fillet_area(5.0)) == pytest.approx(quad(between, 0.0, 5.0)[0], rel=1e-8)


def test_bulb_and_four_fillets_make_the_square_around_it() -> None:
    assert float(strips.bulb_area(7.0) + 4 * strips.fillet_area(7.0)) == pytest.approx(14.0**2)


def test_taper_is_the_integral_of_its_width() -> None:
    assert float(strips.taper_area(3.0, 7.5, 20.0)) == pytest.approx(quad(lambda x: 3 + 4.5 * x / 20, 0, 20)[0])


def test_impossible_input_says_what_was_given_and_what_is_allowed() -> None:
    with pytest.raises(LawError, match=r"^least_overlap: given 2.4; allowed: less than the drum's width, 2.4"):
        strips.machine_cuts(9.0, 2.4, 2.4)
    with pytest.raises(LawError, match=r"^overlap: given 3.0; allowed: at most the pan's width, 2.25"):
        strips.doubled_fraction(3.0, 2.25)
    with pytest.raises(LawError, match=r"^pan_width: given 0.0; allowed: a number above 0"):
        strips.spreader_strips(9.0, 0.0)
