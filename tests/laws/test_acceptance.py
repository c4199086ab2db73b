"""Percent within limits."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import integrate

from hardpan.errors import LawError
from hardpan.laws import acceptance

INDICES = st.floats(-4, 4)
COUNTS = st.integers(3, 200)


@given(INDICES, COUNTS)
def test_two_sides_of_one_limit_make_the_whole(index: float, n: int) -> None:
    within = float(acceptance.percent_within_limits(index, n))
    assert 0 <= within <= 100
    assert acceptance.percent_within_limits(-index, n) == pytest.approx(100 - within, abs=1e-9)


@given(INDICES, st.floats(0, 2), COUNTS)
def test_farther_from_the_limit_is_never_worse(index: float, more: float, n: int) -> None:
    near, far = acceptance.percent_within_limits([index, index + more], n)
    assert far >= near - 1e-12


@given(st.floats(-1.4, 1.4))
def test_four_tests_give_a_straight_line(index: float) -> None:
    assert acceptance.percent_within_limits(index, 4) == pytest.approx(50 + 100 * index / 3, abs=1e-9)


@pytest.mark.parametrize(("index", "n"), [(0.3, 5), (1.1, 8), (-0.8, 12), (1.9, 30)])
def test_closed_form_is_the_integral_of_its_density(index: float, n: int) -> None:
    # symmetric beta density on the standardised value, integrated by quadrature
    half = n / 2 - 1
    scale = math.gamma(2 * half) / math.gamma(half) ** 2
    x = 0.5 - index * math.sqrt(n) / (2 * (n - 1))
    outside, _ = integrate.quad(lambda t: scale * (t * (1 - t)) ** (half - 1), 0, x, epsabs=1e-12)
    assert acceptance.percent_within_limits(index, n) == pytest.approx(100 * (1 - outside), abs=1e-7)


def test_many_tests_approach_the_normal_distribution() -> None:
    normal = 50 * (1 + math.erf(1.2 / math.sqrt(2)))
    assert acceptance.percent_within_limits(1.2, 100_000) == pytest.approx(normal, abs=1e-3)


def test_arrays_broadcast() -> None:
    assert acceptance.percent_within_limits(np.array([[0.0], [1.0]]), [3, 8, 20]).shape == (2, 3)


@given(INDICES, INDICES, COUNTS)
def test_two_limits_are_never_easier_than_one(upper: float, lower: float, n: int) -> None:
    both = acceptance.within_two_limits(upper, lower, n)
    assert 0 <= both <= acceptance.percent_within_limits(upper, n) + 1e-9  # percent; sums of rounded areas
    assert acceptance.within_two_limits(lower, upper, n) == pytest.approx(both, abs=1e-9)


def test_mean_outside_leaves_nothing_between() -> None:
    assert acceptance.within_two_limits(-2.0, 1.0, 5) == 0.0


def test_indices_feed_the_share_between_two_limits() -> None:
    values = [95.0, 97.0, 98.0, 99.0, 101.0]  # mean 98, s = sqrt(5)
    upper, lower = acceptance.quality_indices(values, lower=95.0, upper=103.0)
    assert upper == pytest.approx(5 / math.sqrt(5), rel=1e-12)
    assert lower == pytest.approx(3 / math.sqrt(5), rel=1e-12)


def test_absent_limit_has_no_index() -> None:
    indices = acceptance.quality_indices([95.0, 97.0, 99.0], upper=99.0)
    assert indices.lower is None
    assert indices.upper == pytest.approx(1.0, rel=1e-12)


@pytest.mark.parametrize(
    ("value", "limit", "within"),
    [(0.1, 0.05, 100.0), (0.1, 0.1, 100.0), (98.0, 98.0, 100.0), (0.7, 0.7, 100.0), (0.1, 0.11, 0.0)],
)
def test_tests_all_alike_are_within_or_not(value: float, limit: float, within: float) -> None:
    index = acceptance.quality_indices([value] * 3, lower=limit).lower
    assert index is not None
    assert acceptance.percent_within_limits(index, 3) == within


def test_lots_stack() -> None:
    lots = [[95.0, 97.0, 99.0], [98.0, 98.0, 98.0]]
    index = acceptance.quality_indices(lots, lower=95.0).lower
    assert index is not None
    assert index.tolist() == [1.0, math.inf]


@pytest.mark.parametrize("n", [2, 3.5, float("nan"), float("inf")])
def test_fewer_than_three_tests_have_no_share(n: float) -> None:
    with pytest.raises(
        LawError, match=r"n: given .*; allowed: 3 tests or more, whole; list them one by one below that"
    ):
        acceptance.percent_within_limits(1.0, n)


def test_index_must_be_a_number() -> None:
    with pytest.raises(
        LawError, match=r"quality_index: given nan; allowed: a number; infinite where all tests are alike"
    ):
        acceptance.percent_within_limits(float("nan"), 5)


@pytest.mark.parametrize("values", [[1.0, 2.0], 5.0, [1.0, 2.0, float("nan")]])
def test_lot_needs_three_values(values: list[float] | float) -> None:
    with pytest.raises(LawError, match=r"values: given .*; allowed: 3 numbers or more; take another test"):
        acceptance.quality_indices(values, lower=0.0)


def test_lot_needs_a_limit() -> None:
    with pytest.raises(LawError, match=r"limits: given None; allowed: a lower limit, an upper limit or both"):
        acceptance.quality_indices([1.0, 2.0, 3.0])


def test_limits_in_order() -> None:
    with pytest.raises(LawError, match=r"limits: given \(3\.0, 1\.0\); allowed: the lower below the upper"):
        acceptance.quality_indices([1.0, 2.0, 3.0], lower=3.0, upper=1.0)


def test_limits_that_leave_nothing_between_are_refused() -> None:
    with pytest.raises(LawError, match=r"^limits: given \(2.0, 2.0\); allowed: the lower below the upper"):
        acceptance.quality_indices([1.0, 2.0, 3.0], lower=2.0, upper=2.0)
