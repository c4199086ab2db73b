"""Lognormal scatter: coefficients of variation, percentiles, and the mean that keeps a share above a limit."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike
from scipy.special import ndtri

from hardpan.errors import LawError
from hardpan.laws.ranges import Floats, not_negative, positive


def from_mean(mean: ArrayLike, variation: ArrayLike) -> tuple[Floats, Floats]:
    """Mean and standard deviation of the logarithm, from mean and coefficient of variation.

    Parameters
    ----------
    mean : array_like, shape (...)
        Mean of the quantity, in any one unit [-].
    variation : array_like, shape (...)
        Coefficient of variation, standard deviation over mean [-].

    Returns
    -------
    ln_mean : ndarray, shape (...)
        Mean of the natural logarithm, the logarithm of the median [-].
    ln_sd : ndarray, shape (...)
        Standard deviation of the natural logarithm [-].

    Raises
    ------
    LawError
        A mean not above 0, or a variation below 0.

    Notes
    -----
    s^2 = ln(1 + V^2); mean of ln x = ln(mean) - s^2 / 2.

    Examples
    --------
    >>> ln_mean, ln_sd = from_mean(1.0, 0.5)
    >>> round(float(ln_mean), 4), round(float(ln_sd), 4)
    (-0.1116, 0.4724)

    References
    ----------
    Definition of the lognormal distribution.
    """
    square = np.log1p(not_negative("variation", variation) ** 2)
    return np.asarray(np.log(positive("mean", mean)) - square / 2)[()], np.asarray(np.sqrt(square))[()]


def to_mean(ln_mean: ArrayLike, ln_sd: ArrayLike) -> tuple[Floats, Floats]:
    """Mean and coefficient of variation, from mean and standard deviation of the logarithm.

    Parameters
    ----------
    ln_mean : array_like, shape (...)
        Mean of the natural logarithm [-].
    ln_sd : array_like, shape (...)
        Standard deviation of the natural logarithm [-].

    Returns
    -------
    mean : ndarray, shape (...)
        Mean of the quantity, in its unit.
    variation : ndarray, shape (...)
        Coefficient of variation [-].

    Raises
    ------
    LawError
        A mean of the logarithm that is not finite, or a standard deviation below 0.

    Notes
    -----
    Inverse of ``from_mean``: mean = exp(m + s^2 / 2), V^2 = exp(s^2) - 1.

    Examples
    --------
    >>> mean, variation = to_mean(*from_mean(3.5, 0.4))
    >>> round(float(mean), 9), round(float(variation), 9)
    (3.5, 0.4)

    References
    ----------
    Definition of the lognormal distribution.
    """
    centre = np.asarray(ln_mean, dtype=float)
    if not bool(np.all(np.isfinite(centre))):
        raise LawError("ln_mean", ln_mean, "finite numbers")
    square = not_negative("ln_sd", ln_sd) ** 2
    return np.asarray(np.exp(centre + square / 2))[()], np.asarray(np.sqrt(np.expm1(square)))[()]


def percentile_ratio(variation: ArrayLike, percent: ArrayLike) -> Floats:
    """Percentile over mean.

    Parameters
    ----------
    variation : array_like, shape (...)
        Coefficient of variation [-].
    percent : array_like, shape (...)
        Share of all values that lie below the percentile, above 0 and below 100 [%].

    Returns
    -------
    ndarray, shape (...)
        Percentile over mean [-].

    Raises
    ------
    LawError
        A variation below 0, or a percent not between 0 and 100.

    Notes
    -----
    P / mean = exp(z s - s^2 / 2), z the standard normal quantile: -1.28155 for the tenth percentile.

    Examples
    --------
    >>> [round(float(ratio), 3) for ratio in percentile_ratio([0.2, 0.4, 0.6], 10)]
    [0.761, 0.567, 0.421]

    References
    ----------
    Definition of the lognormal distribution.
    """
    share = np.asarray(percent, dtype=float) / 100
    if not bool(np.all((share > 0) & (share < 1))):
        raise LawError("percent", percent, "above 0 and below 100")
    centre, sd = from_mean(1.0, variation)
    return np.asarray(np.exp(centre + ndtri(share) * sd))[()]


def mean_needed(limit: ArrayLike, *, variation: ArrayLike, percent_above: ArrayLike) -> Floats:
    """Mean at which a share of all values lies above a limit.

    Parameters
    ----------
    limit : array_like, shape (...)
        Least value, in any one unit [-].
    variation : array_like, shape (...)
        Coefficient of variation [-].
    percent_above : array_like, shape (...)
        Share that shall lie above the limit, above 0 and below 100 [%].

    Returns
    -------
    ndarray, shape (...)
        Mean, in the unit of the limit.

    Raises
    ------
    LawError
        A limit not above 0, a variation below 0, or a percent not between 0 and 100.

    Notes
    -----
    The limit over ``percentile_ratio`` of the share below it.

    Examples
    --------
    >>> round(float(mean_needed(1.0, variation=0.3, percent_above=90)), 3)
    1.521

    References
    ----------
    Definition of the lognormal distribution.
    """
    below = 100 - np.asarray(percent_above, dtype=float)
    if not bool(np.all((below > 0) & (below < 100))):
        raise LawError("percent_above", percent_above, "above 0 and below 100")
    return positive("limit", limit) / percentile_ratio(variation, below)


def combined_variation(variations: ArrayLike) -> Floats:
    """Coefficient of variation of a result of several independent sources of scatter.

    Parameters
    ----------
    variations : array_like, shape (..., n)
        Coefficient of variation of every source [-].

    Returns
    -------
    ndarray, shape (...)
        Coefficient of variation of all [-].

    Raises
    ------
    LawError
        No source, or a variation below 0.

    Notes
    -----
    Root of the sum of squares, the second-moment sum. For a product of lognormals 1 + V^2 multiplies instead; the two
    part by 2 % at 0.30 and 0.30.

    Examples
    --------
    >>> round(float(combined_variation([0.30, 0.15, 0.10])), 9)
    0.35

    References
    ----------
    Phoon and Kulhawy (1999), Canadian Geotechnical Journal 36: inherent, measurement and transformation scatter.
    """
    sources = not_negative("variations", variations)
    if sources.ndim == 0 or sources.shape[-1] == 0:
        raise LawError("variations", variations, "a list of at least one source")
    return np.asarray(np.sqrt(np.sum(sources**2, axis=-1)))[()]
