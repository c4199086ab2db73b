"""Vertical alignment: straight grades joined by parabolas, equal-legged or not."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from hardpan.errors import LawError
from hardpan.laws.ranges import Floats, not_negative


@dataclass(frozen=True, slots=True, eq=False)
class Profile:
    """Points of vertical intersection and the curves that round them.

    Attributes
    ----------
    stations : ndarray, shape (n,)
        Stations of the points, the first and the last included [m].
    levels : ndarray, shape (n,)
        Levels of the points, where the straight grades meet [m].
    curve_lengths : ndarray, shape (n, 2)
        Length of curve before and after each point [m]; 0 and 0 where the grades meet in an edge. May be given as n
        whole lengths, halved for curves with equal legs, or left out for grades without curves.

    Raises
    ------
    LawError
        Where stations do not rise, curves overlap or reach beyond the ends, or a curve has only one leg.
    """

    stations: Floats
    levels: Floats
    curve_lengths: Floats

    def __init__(self, stations: ArrayLike, levels: ArrayLike, curve_lengths: ArrayLike | None = None) -> None:
        places = np.array(stations, dtype=float)
        object.__setattr__(self, "stations", places)
        object.__setattr__(self, "levels", np.array(levels, dtype=float))
        object.__setattr__(self, "curve_lengths", _legs(places.size, curve_lengths))
        _check(self)


@dataclass(frozen=True, slots=True)
class TurningPoint:
    """A place where the line turns from rising to falling (high) or from falling to rising (low)."""

    station: float
    level: float
    kind: Literal["high", "low"]


def level_at(profile: Profile, stations: ArrayLike) -> Floats:
    """Level of the line at stations.

    Parameters
    ----------
    profile : Profile
        The line.
    stations : array_like
        Stations between the line's ends [m].

    Returns
    -------
    ndarray
        Levels [m], one for each station.

    Raises
    ------
    LawError
        Where a station lies outside the line.

    Notes
    -----
    Straight grades plus, inside a curve with legs l1 and l2 and change of grade A, the offset E (x / l1)^2 from the
    start or E (x / l2)^2 from the end, with E = A l1 l2 / (2 (l1 + l2)). With equal legs this is
    y = y0 + g1 x + (g2 - g1) x^2 / (2 L).

    Examples
    --------
    >>> sag = Profile([0.0, 100.0, 200.0], [10.0, 9.0, 10.0], [0.0, 80.0, 0.0])
    >>> level_at(sag, [0.0, 60.0, 100.0]).tolist()
    [10.0, 9.4, 9.2]

    References
    ----------
    Montana DOT, Road Design Manual (2021), appendix K, section 4; T. F. Hickerson, Route Location and Design, unequal
    tangents (from memory).
    """
    place, before = _interval(profile, stations)
    tangent = np.interp(place, profile.stations, profile.levels)
    after = before + 1
    middle = _middle_offset(profile)
    entering, leaving = _leg_shares(profile, place, before)
    return tangent + middle[after] * entering**2 + middle[before] * leaving**2


def gradient_at(profile: Profile, stations: ArrayLike) -> Floats:
    """Gradient of the line at stations, up-station and rising positive.

    Parameters
    ----------
    profile : Profile
        The line.
    stations : array_like
        Stations between the line's ends [m].

    Returns
    -------
    ndarray
        Gradients [m/m]; where two grades meet in an edge, the one ahead.

    Raises
    ------
    LawError
        Where a station lies outside the line.

    Notes
    -----
    The derivative of ``level_at``: linear inside each leg of a curve.

    Examples
    --------
    >>> sag = Profile([0.0, 100.0, 200.0], [10.0, 9.0, 10.0], [0.0, 80.0, 0.0])
    >>> [round(float(slope), 6) for slope in gradient_at(sag, [0.0, 80.0, 150.0])]
    [-0.01, -0.005, 0.01]

    References
    ----------
    Montana DOT, Road Design Manual (2021), appendix K, section 4.
    """
    place, before = _interval(profile, stations)
    after = before + 1
    middle, legs = _middle_offset(profile), profile.curve_lengths
    entering, leaving = _leg_shares(profile, place, before)
    slope = np.diff(profile.levels) / np.diff(profile.stations)
    change_in = _over(2 * middle[after] * entering, legs[after, 0])
    change_out = _over(2 * middle[before] * leaving, legs[before, 1])
    return slope[before] + change_in - change_out


def turning_points(profile: Profile) -> tuple[TurningPoint, ...]:
    """High and low points between the ends of the line, where water parts or gathers.

    Parameters
    ----------
    profile : Profile
        The line.

    Returns
    -------
    tuple of TurningPoint
        In order of station. A level stretch between a fall and a rise, or a rise and a fall, counts at its middle.

    Raises
    ------
    LawError
        Never for a ``Profile`` that could be made.

    Notes
    -----
    The gradient is linear between the ends of legs, so each change of sign has one root.

    Examples
    --------
    >>> crest = Profile([0.0, 100.0, 200.0], [10.0, 12.0, 11.0], [0.0, 60.0, 0.0])
    >>> turning_points(crest)
    (TurningPoint(station=110.0, level=11.8, kind='high'),)

    References
    ----------
    Montana DOT, Road Design Manual (2021), appendix K, section 4.
    """
    knots, slopes = _gradient_knots(profile)
    sloping = np.flatnonzero(slopes)
    left, right = sloping[:-1], sloping[1:]
    turns = np.signbit(slopes[left]) != np.signbit(slopes[right])
    points = []
    for i, j in zip(left[turns], right[turns], strict=True):
        # Knots between i and j have no gradient at all: the line is level from the first to the last of them.
        root = knots[i] + (knots[j] - knots[i]) * slopes[i] / (slopes[i] - slopes[j])
        station = float(root if j == i + 1 else (knots[i + 1] + knots[j - 1]) / 2)
        kind: Literal["high", "low"] = "high" if slopes[i] > 0 else "low"
        points.append(TurningPoint(station, float(level_at(profile, station)), kind))
    return tuple(points)


def _legs(count: int, curve_lengths: ArrayLike | None) -> Floats:
    """Curve lengths as (n, 2): before and after each point."""
    if curve_lengths is None:
        return np.zeros((count, 2))
    lengths = np.array(not_negative("curve_lengths", curve_lengths))
    if lengths.shape == (count,):
        return np.stack([lengths / 2, lengths / 2], axis=1)
    if lengths.shape != (count, 2):
        raise LawError("curve_lengths", f"shape {lengths.shape}", f"({count},) or ({count}, 2), as many as stations")
    return lengths


def _check(profile: Profile) -> None:
    """Raise ``LawError`` for a line that cannot be."""
    stations, levels, legs = profile.stations, profile.levels, profile.curve_lengths
    if stations.ndim != 1 or stations.size < 2 or levels.shape != stations.shape:
        raise LawError(
            "stations, levels", f"shapes {stations.shape} and {levels.shape}", "two or more of each, as many"
        )
    if not bool(np.all(np.isfinite(stations))) or not bool(np.all(np.isfinite(levels))):
        raise LawError("stations, levels", "a value that is not a number", "finite numbers")
    gaps = np.diff(stations)
    if bool(np.any(gaps <= 0)):
        raise LawError("stations", stations.tolist(), "stations that rise")
    if bool(np.any((legs[:, 0] > 0) != (legs[:, 1] > 0))):
        raise LawError("curve_lengths", legs.tolist(), "a length both before and after a point, or neither")
    if bool(np.any(legs[[0, -1]] > 0)):
        raise LawError("curve_lengths", legs.tolist(), "no curve at the first and the last point")
    # A hair of overlap is the rounding of stations that meet.
    if bool(np.any(legs[:-1, 1] + legs[1:, 0] > gaps * (1 + 1e-9))):
        raise LawError("curve_lengths", legs.tolist(), f"curves that do not overlap on tangents of {gaps.tolist()}")


def _interval(profile: Profile, stations: ArrayLike) -> tuple[Floats, NDArray[np.intp]]:
    """Stations, checked, and the point of intersection before each."""
    place = np.asarray(stations, dtype=float)
    first, last = profile.stations[0], profile.stations[-1]
    if not bool(np.all((place >= first) & (place <= last))):
        raise LawError("stations", stations, f"from {first:g} to {last:g}, the ends of the line")
    before = np.searchsorted(profile.stations, place, side="right") - 1
    return place, np.minimum(before, profile.stations.size - 2)


def _leg_shares(profile: Profile, place: Floats, before: NDArray[np.intp]) -> tuple[Floats, Floats]:
    """How far each place is along the leg before the next point, and from the end of the leg after the last one."""
    legs, stations = profile.curve_lengths, profile.stations
    entering = _over(place - (stations[before + 1] - legs[before + 1, 0]), legs[before + 1, 0])
    leaving = _over(stations[before] + legs[before, 1] - place, legs[before, 1])
    return np.maximum(entering, 0.0), np.maximum(leaving, 0.0)


def _middle_offset(profile: Profile) -> Floats:
    """Height of the curve over each point of intersection: E = A l1 l2 / (2 (l1 + l2))."""
    first, second = profile.curve_lengths.T
    before, after = _grades(profile)
    return _over((after - before) * first * second, 2 * (first + second))


def _grades(profile: Profile) -> tuple[Floats, Floats]:
    """Straight grades before and after each point; at the ends the only one there is."""
    slope = np.diff(profile.levels) / np.diff(profile.stations)
    return np.concatenate([slope[:1], slope]), np.concatenate([slope, slope[-1:]])


def _gradient_knots(profile: Profile) -> tuple[Floats, Floats]:
    """Stations and gradients between which the gradient is linear: start, point and end of every curve."""
    before, after = _grades(profile)
    first, second = profile.curve_lengths.T
    share = np.where(first + second > 0, _over(second, first + second), 0.5)
    join = before + (after - before) * share
    stations = profile.stations
    knots = np.stack([stations - first, stations, stations + second], axis=1)
    return knots.ravel(), np.stack([before, join, after], axis=1).ravel()


def _over(value: Floats, length: Floats) -> Floats:
    """``value / length``, and 0 where there is no length."""
    return np.where(length > 0, value / np.where(length > 0, length, 1.0), 0.0)
