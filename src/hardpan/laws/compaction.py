"""Moisture-density points: the curve through them, its limit, its correction for stones and the density reached."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from hardpan.errors import LawError
from hardpan.laws.phases import WATER_DENSITY
from hardpan.laws.ranges import Floats, Range, fraction, holds_for, not_negative, positive

FEWEST_POINTS = 4
"""A parabola through three points fits anything; one more shows scatter."""


def fit_proctor(water_contents: ArrayLike, dry_densities: ArrayLike) -> tuple[float, float]:
    """Optimum and maximum of the moisture-density curve, by a least-squares parabola.

    Parameters
    ----------
    water_contents : array_like, shape (n,)
        Water of each point, per mass of dry soil [-].
    dry_densities : array_like, shape (n,)
        Dry density of each point [kg/m3].

    Returns
    -------
    optimum_water_content : float
        Water content at the top of the curve [-].
    maximum_dry_density : float
        Dry density at the top of the curve [kg/m3].

    Raises
    ------
    LawError
        Fewer than 4 different waters, lists of unlike length, or a curve that has no top.

    Notes
    -----
    rho_d = a + b w + c w^2 with c < 0; w_opt = -b / 2c, rho_max = a - b^2 / 4c. An optimum outside the tested waters
    is an extrapolation: ask ``optimum_is_bracketed``.

    Examples
    --------
    >>> optimum, maximum = fit_proctor([0.12, 0.14, 0.16, 0.18, 0.20], [1580, 1640, 1660, 1640, 1580])
    >>> round(optimum, 4), round(maximum, 1)
    (0.16, 1660.0)

    References
    ----------
    ASTM D698 (compaction curve and its peak; section not checked); the parabola is common practice, no source.
    """
    waters, densities = fraction("water_contents", water_contents), positive("dry_densities", dry_densities)
    if waters.ndim != 1 or waters.shape != densities.shape:
        raise LawError("dry_densities", dry_densities, "one density for each water content, in two plain lists")
    if np.unique(waters).size < FEWEST_POINTS:
        raise LawError("water_contents", water_contents, "at least 4 different waters; compact another point")
    middle, half_span = (waters.max() + waters.min()) / 2, np.ptp(waters) / 2
    # scaled to -1..1, so that the fit keeps its digits
    a, b, c = (float(term) for term in np.polynomial.polynomial.polyfit((waters - middle) / half_span, densities, 2))
    if c > -1e-9 * a:
        allowed = "densities that rise and then fall again; add points drier and wetter than these"
        raise LawError("dry_densities", dry_densities, allowed)
    return float(middle - half_span * b / (2 * c)), a - b**2 / (4 * c)


def optimum_is_bracketed(water_contents: ArrayLike, optimum: float) -> bool:
    """Whether points were compacted on both sides of the optimum.

    Parameters
    ----------
    water_contents : array_like, shape (n,)
        Water of each compacted point, per mass of dry soil [-].
    optimum : float
        Optimum water content read from the curve [-].

    Returns
    -------
    bool
        False where the optimum is an extrapolation; compact a point beyond it.

    Raises
    ------
    LawError
        Water contents outside 0 to 1.

    Notes
    -----
    min(w) <= w_opt <= max(w).

    Examples
    --------
    >>> optimum_is_bracketed([0.12, 0.14, 0.16, 0.18], 0.21)
    False

    References
    ----------
    ASTM D698 (points that bracket the optimum; section not checked).
    """
    waters = fraction("water_contents", water_contents)
    return bool(waters.min() <= optimum <= waters.max())


def zero_air_voids_density(specific_gravity: ArrayLike, water_content: ArrayLike, air: ArrayLike = 0.0) -> Floats:
    """Greatest dry density that a water content leaves room for, with a stated share of air.

    Parameters
    ----------
    specific_gravity : array_like, shape (...)
        Density of the solids over that of water [-].
    water_content : array_like, shape (...)
        Mass of water per mass of dry soil [-].
    air : array_like, shape (...), default 0
        Air per total volume [-].

    Returns
    -------
    ndarray, shape (...)
        Dry density [kg/m3].

    Raises
    ------
    LawError
        Specific gravity not above 0, water below 0, or air outside 0 to below 1.

    Notes
    -----
    rho_d = (1 - Va) Gs rho_w / (1 + w Gs); exact.

    Examples
    --------
    >>> round(float(zero_air_voids_density(2.70, 0.26)), 1)
    1586.4
    >>> round(float(zero_air_voids_density(2.70, 0.15, 0.05)), 1)
    1825.6

    References
    ----------
    BS 1377-4:1990 (air voids lines; clause not checked); ASTM D698 (line of full saturation).
    """
    gravity = positive("specific_gravity", specific_gravity)
    water = not_negative("water_content", water_content)
    return (1 - fraction("air", air)) * gravity * WATER_DENSITY / (1 + water * gravity)


@holds_for(
    Range(
        "coarse_fraction",
        0.0,
        0.40,
        "-",
        "AASHTO T 224: to 40 % retained on 4.75 mm (methods A, B); only to 30 % where 19 mm parts the stones (C, D)",
    )
)
def oversize_corrected(
    max_dry_density: ArrayLike,
    optimum: ArrayLike,
    *,
    coarse_fraction: ArrayLike,
    coarse_specific_gravity: ArrayLike,
    coarse_water_content: ArrayLike,
) -> tuple[Floats, Floats]:
    """Maximum and optimum of the whole soil, from those of its fine part and the stones left out of the mould.

    Parameters
    ----------
    max_dry_density : array_like, shape (...)
        Maximum dry density of the fine part [kg/m3].
    optimum : array_like, shape (...)
        Optimum water content of the fine part [-].
    coarse_fraction : array_like, shape (...)
        Dry mass of stones per dry mass of the whole soil [-].
    coarse_specific_gravity : array_like, shape (...)
        Bulk specific gravity of the stones, oven dry [-].
    coarse_water_content : array_like, shape (...)
        Water of the stones per their dry mass [-].

    Returns
    -------
    density : ndarray, shape (...)
        Corrected maximum dry density [kg/m3].
    optimum : ndarray, shape (...)
        Corrected optimum water content [-].

    Raises
    ------
    LawError
        A density or gravity not above 0, or a fraction outside 0 to below 1.

    Notes
    -----
    1 / D = (1 - Pc) / Df + Pc / (Gc rho_w) and w = wf (1 - Pc) + wc Pc. Where an agency is silent the correction is
    made above 5 % of stones; to 40 % on the 4.75 mm sieve or 30 % on the 19 mm sieve.

    Examples
    --------
    >>> density, optimum = oversize_corrected(
    ...     2146.5, 0.075, coarse_fraction=0.094, coarse_specific_gravity=2.70, coarse_water_content=0.010
    ... )
    >>> round(float(density), 1), round(float(optimum), 4)
    (2188.7, 0.0689)

    References
    ----------
    AASHTO T 224, limits as in the WAQTC field procedure of 2012; ASTM D4718. Sections not checked.
    """
    coarse = fraction("coarse_fraction", coarse_fraction)
    stone_density = positive("coarse_specific_gravity", coarse_specific_gravity) * WATER_DENSITY
    density = 1 / ((1 - coarse) / positive("max_dry_density", max_dry_density) + coarse / stone_density)
    stone_water = fraction("coarse_water_content", coarse_water_content)
    return density, fraction("optimum", optimum) * (1 - coarse) + stone_water * coarse


def relative_compaction(dry_density: ArrayLike, max_dry_density: ArrayLike) -> Floats:
    """Dry density reached, in percent of the reference maximum.

    Parameters
    ----------
    dry_density : array_like, shape (...)
        Dry density in place [kg/m3].
    max_dry_density : array_like, shape (...)
        Reference maximum of the same material: a treated layer has a treated reference [kg/m3].

    Returns
    -------
    ndarray, shape (...)
        Relative compaction [%].

    Raises
    ------
    LawError
        A density not above 0.

    Notes
    -----
    RC = 100 rho_d / rho_max; a definition.

    Examples
    --------
    >>> round(float(relative_compaction(1576.0, 1600.0)), 1)
    98.5

    References
    ----------
    AASHTO T 310 (percent compaction from dry density and the maximum; section not checked).
    """
    return 100 * positive("dry_density", dry_density) / positive("max_dry_density", max_dry_density)
