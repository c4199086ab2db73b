"""Percent within limits: what share of a lot meets a limit, estimated from a few tests."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike
from scipy.special import betainc

from hardpan.errors import LawError
from hardpan.laws.ranges import Floats

FEWEST_TESTS = 3
"""With two tests the estimate is undefined: its beta distribution has no spread to draw on."""


class QualityIndices(NamedTuple):
    """Distance of the mean from each limit, in standard deviations [-]; None where there is no such limit."""

    upper: Floats | None
    lower: Floats | None


def quality_indices(values: ArrayLike, *, lower: float | None = None, upper: float | None = None) -> QualityIndices:
    """Distance of the mean of some tests from their limits, in standard deviations.

    Parameters
    ----------
    values : array_like, shape (..., n)
        Test results of a lot, 3 or more, in any one unit [-].
    lower, upper : float, optional
        Limits in the unit of the values [-]; at least one.

    Returns
    -------
    QualityIndices
        ``(upper, lower)``, each of shape (...) [-], None where there is no such limit.

    Raises
    ------
    LawError
        Fewer than 3 values, a value that is not a number, no limit, or limits in the wrong order.

    Notes
    -----
    QU = (U - mean) / s and QL = (mean - L) / s with the sample's s (n - 1). Values all alike give plus or minus
    infinity: all within or none.

    Examples
    --------
    >>> indices = quality_indices([96.0, 97.0, 99.0, 100.0], lower=96.3)
    >>> indices.upper, round(float(indices.lower), 3)
    (None, 0.931)

    References
    ----------
    FAA AC 150/5370-10G, section 110-02; FHWA T 5080.12, appendix.
    """
    tests = np.asarray(values, dtype=np.float64)
    if tests.ndim == 0 or tests.shape[-1] < FEWEST_TESTS or not bool(np.all(np.isfinite(tests))):
        raise LawError("values", values, "3 numbers or more; take another test")
    if lower is None and upper is None:
        raise LawError("limits", None, "a lower limit, an upper limit or both")
    if lower is not None and upper is not None and not lower < upper:
        raise LawError("limits", (lower, upper), "the lower below the upper")
    return QualityIndices(
        upper=None if upper is None else _in_deviations(tests, upper - tests.mean(axis=-1)),
        lower=None if lower is None else _in_deviations(tests, tests.mean(axis=-1) - lower),
    )


def percent_within_limits(quality_index: ArrayLike, n: ArrayLike) -> Floats:
    """Share of a lot within one limit, estimated from the quality index of n tests.

    Parameters
    ----------
    quality_index : array_like, shape (...)
        Distance of the mean from the limit, in standard deviations; negative where the mean is beyond it [-].
    n : array_like, shape (...)
        Number of tests, 3 or more [-].

    Returns
    -------
    ndarray, shape (...)
        Percent within the limit, 0 to 100 [%].

    Raises
    ------
    LawError
        Fewer than 3 tests, a part of a test, or an index that is not a number.

    Notes
    -----
    PWL = 100 [1 - I_x(n/2 - 1, n/2 - 1)], x = 1/2 - Q sqrt(n) / (2 (n - 1)) held to 0..1, I the regularised incomplete
    beta function; normal values assumed. For n = 4, PWL = 50 + 100 Q / 3.

    Examples
    --------
    >>> round(float(percent_within_limits(0.60, 4)), 2), round(float(percent_within_limits(1.50, 10)), 3)
    (70.0, 94.125)

    References
    ----------
    MIL-STD-414 (1957), table B-5; FHWA T 5080.12, table 1B; the closed form reproduces both.
    """
    index, tests = np.asarray(quality_index, dtype=np.float64), _tests(n)
    if bool(np.any(np.isnan(index))):
        raise LawError("quality_index", quality_index, "a number; infinite where all tests are alike")
    x = np.clip(0.5 - index * np.sqrt(tests) / (2 * (tests - 1)), 0.0, 1.0)
    return np.asarray(100 * (1 - betainc(tests / 2 - 1, tests / 2 - 1, x)), dtype=np.float64)[()]


def within_two_limits(upper_index: ArrayLike, lower_index: ArrayLike, n: ArrayLike) -> Floats:
    """Share of a lot between two limits.

    Parameters
    ----------
    upper_index, lower_index : array_like, shape (...)
        Quality index of the upper and of the lower limit [-].
    n : array_like, shape (...)
        Number of tests, 3 or more [-].

    Returns
    -------
    ndarray, shape (...)
        Percent between the limits, 0 to 100 [%].

    Raises
    ------
    LawError
        As ``percent_within_limits``.

    Notes
    -----
    PWL = PU + PL - 100, never below 0.

    Examples
    --------
    >>> round(float(within_two_limits(1.50, 1.60, 10)), 3)
    89.588

    References
    ----------
    MIL-STD-414 (1957), section B, two limits (percent outside adds up); FAA AC 150/5370-10G, section 110-02.
    """
    outside = 200 - percent_within_limits(upper_index, n) - percent_within_limits(lower_index, n)
    return np.maximum(100 - outside, 0.0)


def _in_deviations(tests: Floats, distance: Floats) -> Floats:
    """``distance`` over the sample's deviation; infinite where the tests are all alike."""
    deviation = tests.std(axis=-1, ddof=1)
    alike = np.ptp(tests, axis=-1) == 0
    # rounding of a mean must not decide whether values on the limit are within it
    side = np.where(distance >= -1e-12 * np.abs(tests[..., 0]), np.inf, -np.inf)
    return np.asarray(np.where(alike, side, distance / np.where(alike, 1.0, deviation)))[()]


def _tests(n: ArrayLike) -> Floats:
    """Number of tests as floats."""
    tests = np.asarray(n, dtype=np.float64)
    if not bool(np.all(np.isfinite(tests) & (tests >= FEWEST_TESTS) & (tests == np.floor(tests)))):
        raise LawError("n", n, "3 tests or more, whole; list them one by one below that")
    return tests
