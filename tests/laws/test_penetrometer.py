"""Cone penetration and bearing ratio."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from hardpan.errors import LawError
from hardpan.laws import penetrometer
from hardpan.laws.ranges import outside

RATES = st.floats(0.003, 0.160)


@given(RATES, st.floats(1.001, 3.0), st.sampled_from(["general", "CL", "CH"]))
def test_deeper_blow_means_weaker_soil(rate: float, more: float, soil: penetrometer.Soil) -> None:
    assert penetrometer.cbr_d6951(rate * more, soil) < penetrometer.cbr_d6951(rate, soil)
    assert penetrometer.cbr_trl(rate * more) < penetrometer.cbr_trl(rate)


@given(st.floats(2.0, 90.0))
def test_rate_solved_by_hand_gives_its_ratio_back(cbr: float) -> None:
    assert penetrometer.cbr_d6951((292 / cbr) ** (1 / 1.12) / 1000) == pytest.approx(cbr, rel=1e-12)
    assert penetrometer.cbr_trl(10 ** ((2.48 - np.log10(cbr)) / 1.057) / 1000) == pytest.approx(cbr, rel=1e-12)


def test_lean_clay_equation_ends_at_ratio_ten() -> None:
    border = 1 / (0.017019 * np.sqrt(10)) / 1000  # 18.58 mm per blow
    firm, soft = penetrometer.cbr_d6951(np.array([border * 0.999, border * 1.001]), "CL")
    assert firm == penetrometer.cbr_d6951(border * 0.999)
    assert soft == pytest.approx(10 / 1.001**2, rel=1e-12)


def test_two_equations_differ_as_known() -> None:
    # at 33.3 mm per blow 7.4 against 5.8, at 6.25 mm 43.5 against 37.5 (both equations, computed by hand)
    assert penetrometer.cbr_trl([0.0333, 0.00625]) == pytest.approx([7.4, 43.5], abs=0.05)
    assert penetrometer.cbr_d6951([0.0333, 0.00625]) == pytest.approx([5.8, 37.5], abs=0.05)


def test_soil_without_an_equation_raises() -> None:
    with pytest.raises(LawError, match='soil: given ML; allowed: "general", "CL" or "CH"'):
        penetrometer.cbr_d6951(0.02, "ML")  # type: ignore[arg-type]  # the check is for callers without types


@pytest.mark.parametrize("law", [penetrometer.cbr_d6951, penetrometer.cbr_trl])
def test_cone_that_does_not_move_has_no_ratio(law: Callable[[float], object]) -> None:
    with pytest.raises(LawError, match=r"penetration: given 0.0; allowed: a number above 0"):
        law(0.0)


def test_millimetres_by_mistake_leave_the_range() -> None:
    assert [left.argument for left in outside(penetrometer.cbr_d6951, penetration=20.0)] == ["penetration"]
    assert [left.argument for left in outside(penetrometer.cbr_trl, penetration=20.0)] == ["penetration"]


@given(st.lists(st.tuples(st.integers(1, 20), st.floats(0, 0.2)), min_size=2, max_size=12))
def test_rates_times_blows_add_up_to_the_depth(steps: list[tuple[int, float]]) -> None:
    struck = np.array([step[0] for step in steps])
    depths = np.cumsum([0.0, *(step[1] for step in steps)])
    rates = penetrometer.interval_rates(np.cumsum([0, *struck]), depths)
    assert rates.shape == struck.shape
    assert rates @ struck == pytest.approx(depths[-1], abs=1e-12)


def test_profiles_stack() -> None:
    rates = penetrometer.interval_rates([[0, 5, 10], [0, 2, 4]], [[0.0, 0.1, 0.3], [0.01, 0.01, 0.05]])
    assert rates == pytest.approx(np.array([[0.02, 0.04], [0.0, 0.02]]), abs=1e-15)


@pytest.mark.parametrize(
    ("blows", "depths", "message"),
    [
        ([0, 5], [0.0, 0.1, 0.2], "depths: .*one depth for each count of blows, at least two readings"),
        ([5], [0.1], "at least two readings"),
        (5, 0.1, "at least two readings"),
        ([0, 5, 5], [0.0, 0.1, 0.2], "blows: .*grow at every reading; merge readings without a blow"),
        ([0, 5, 10], [0.0, 0.2, 0.1], "depths: .*never decrease; check for a swapped reading"),
        ([-1, 5], [0.0, 0.1], "blows: .*0 or more"),
    ],
)
def test_profiles_that_cannot_be_raise(blows: list[int], depths: list[float], message: str) -> None:
    with pytest.raises(LawError, match=message):
        penetrometer.interval_rates(blows, depths)


def test_lean_clay_equation_ends_below_a_bearing_ratio_of_ten() -> None:
    at_ten = 0.018580866444376166  # (1 / 0.017019) / sqrt(10) mm, where the lean equation gives 10.0 to the last bit
    assert float(penetrometer.cbr_d6951(at_ten, "CL")) == float(penetrometer.cbr_d6951(at_ten))
    assert float(penetrometer.cbr_d6951(at_ten * 1.0001, "CL")) == pytest.approx(9.998, abs=5e-4)
