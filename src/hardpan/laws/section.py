"""Cross-section: crown, crossfall and its transitions.

A side offset is negative to the left and positive to the right, looking up-station. A crossfall is positive where the
surface falls away from the crown on its side, so a lane that rises outwards has a negative one.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from hardpan.errors import LawError
from hardpan.laws.ranges import Floats, positive


def height_below_crown(
    side_offset: ArrayLike, *, left_crossfall: ArrayLike, right_crossfall: ArrayLike, crown_offset: ArrayLike = 0.0
) -> Floats:
    """Height of the crown above the surface at a side offset.

    Parameters
    ----------
    side_offset : array_like
        Distance from the line, left negative [m].
    left_crossfall, right_crossfall : array_like
        Fall away from the crown on each side [m/m].
    crown_offset : array_like
        Where the crown lies, left negative [m].

    Returns
    -------
    ndarray
        Height below the crown, positive down [m]; negative where a lane rises outwards.

    Raises
    ------
    LawError
        Where an argument is not a finite number.

    Notes
    -----
    drop = |offset - crown| x crossfall of that side. The lip is the surface at the edge of the width.

    Examples
    --------
    >>> drops = height_below_crown([-4.5, 0.0, 2.25], left_crossfall=0.02, right_crossfall=0.02)
    >>> [round(float(drop), 6) for drop in drops]
    [0.09, 0.0, 0.045]

    References
    ----------
    Exact geometry.
    """
    from_crown = _finite("side_offset", side_offset) - _finite("crown_offset", crown_offset)
    left = _finite("left_crossfall", left_crossfall)
    right = _finite("right_crossfall", right_crossfall)
    return np.abs(from_crown) * np.where(from_crown < 0, left, right)


def crossfall_at(stations: ArrayLike, breaks: ArrayLike, crossfalls: ArrayLike) -> Floats:
    """Crossfall of one side at stations, linear between breaks.

    Parameters
    ----------
    stations : array_like
        Stations [m].
    breaks : array_like, shape (n,)
        Stations at which the crossfall is given, rising [m].
    crossfalls : array_like, shape (n,)
        Crossfall at each break [m/m].

    Returns
    -------
    ndarray
        Crossfall [m/m]; before the first break and after the last it stays as it is there.

    Raises
    ------
    LawError
        Where breaks do not rise, there is none, there is not one crossfall for each, or a value is not finite.

    Notes
    -----
    e(x) = e0 + (e1 - e0) x / L between neighbouring breaks.

    Examples
    --------
    >>> round(float(crossfall_at(25.0, [0.0, 100.0], [0.02, -0.02])), 6)
    0.01

    References
    ----------
    AASHTO, A Policy on Geometric Design of Highways and Streets, superelevation transition (from memory).
    """
    at, falls = _finite("breaks", breaks), _finite("crossfalls", crossfalls)
    if at.ndim != 1 or not at.size or falls.shape != at.shape:
        raise LawError("breaks, crossfalls", f"shapes {at.shape} and {falls.shape}", "one or more of each, as many")
    if bool(np.any(np.diff(at) <= 0)):
        raise LawError("breaks", breaks, "stations that rise")
    return np.asarray(np.interp(_finite("stations", stations), at, falls))


def transition_stations(
    curve_start: float, *, runoff: float, normal_crossfall: float, superelevation: float, share_before: float = 2 / 3
) -> tuple[float, float, float, float]:
    """Stations of a superelevation transition, turned about the centreline into a curve without a spiral.

    Parameters
    ----------
    curve_start : float
        Station where the tangent ends and the curve begins [m].
    runoff : float
        Length from the outer lane level to full superelevation [m].
    normal_crossfall, superelevation : float
        Crossfall on the tangent and in the curve, both positive [m/m].
    share_before : float
        Share of the runoff that lies before the curve, 0 to 1 [1].

    Returns
    -------
    tuple of float
        Stations where the normal crown ends, the outer lane is level, the whole width falls inwards at the normal
        crossfall, and the superelevation is full [m].

    Raises
    ------
    LawError
        Where lengths or falls are not above zero, the superelevation is less than the normal crossfall, or the share
        is not 0 to 1.

    Notes
    -----
    Runout = runoff x normal crossfall / superelevation, so the outer edge turns at one rate throughout.

    Examples
    --------
    >>> transition_stations(1000.0, runoff=90.0, normal_crossfall=0.02, superelevation=0.06)
    (910.0, 940.0, 970.0, 1030.0)

    References
    ----------
    AASHTO, A Policy on Geometric Design of Highways and Streets, tangent runout and superelevation runoff (from memory).
    """
    length = float(positive("runoff", runoff))
    normal = float(positive("normal_crossfall", normal_crossfall))
    full_fall = float(positive("superelevation", superelevation))
    if full_fall < normal:
        raise LawError("superelevation", superelevation, f"at least the normal crossfall, {normal_crossfall}")
    if not 0 <= share_before <= 1:
        raise LawError("share_before", share_before, "0 to 1")
    runout = length * normal / full_fall
    level = float(_finite("curve_start", curve_start)) - share_before * length
    return level - runout, level, level + runout, level + length


def slope_board_drop(length: ArrayLike, crossfall: ArrayLike) -> Floats:
    """Gap under the low end of a slope board that is held level.

    Parameters
    ----------
    length : array_like
        Length of the board [m].
    crossfall : array_like
        Crossfall [m/m].

    Returns
    -------
    ndarray
        Drop [m].

    Raises
    ------
    LawError
        Where the length is not above zero or the crossfall is not finite.

    Notes
    -----
    drop = length x crossfall.

    Examples
    --------
    >>> round(float(slope_board_drop(2.0, 0.03)), 6)
    0.06

    References
    ----------
    Exact geometry.
    """
    return positive("length", length) * _finite("crossfall", crossfall)


def _finite(name: str, value: ArrayLike) -> Floats:
    """``value`` as floats; raises ``LawError`` unless every one is finite."""
    values = np.asarray(value, dtype=float)
    if not bool(np.all(np.isfinite(values))):
        raise LawError(name, value, "a finite number")
    return values
