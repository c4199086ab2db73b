"""The rut of one pass of a wheel on soft, fine-grained ground, and the bearing ratio that a rut tells.

Two models with different parents, an empirical one (Maclaurin) and one by bearing capacity (the chord contact), are
joined by their geometric mean. Ground nearly saturated and alike to at least two tyre widths deep; ruts in sand are
another mechanism, and a firm crust over soft ground needs ``bearing`` first.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, fields

import numpy as np
from numpy.typing import ArrayLike, NDArray

from hardpan.errors import LawError
from hardpan.laws.ranges import Floats, Range, holds_for, not_negative, positive

STRENGTH_PER_CBR = 29_000.0
"""Undrained strength for one percent of bearing ratio, in the rut relations only [Pa]."""

RUT_EXPONENT = 1.52
"""Power of the bearing ratio that a rut falls with, where the two models are fitted by one power [-]."""

_FITTED_AT = (1.5, 2.0, 3.0, 4.0, 6.0, 8.0, 10.0)  # CBR [%]
_BEARING_FACTOR = 5.14  # clay, undrained: 2 + pi
_CONE_INDEX_PER_STRENGTH = 12.5  # published between 10 and 15
_SOIL_UNIT_WEIGHT = 18_000.0  # N/m3
_SCATTER_ALIKE, _SCATTER_APART = 0.45, 0.65  # of ln rut, where the two models agree to within the first, or do not
_HALVINGS = 60


@dataclass(frozen=True, slots=True)
class Wheel:
    """One tyre under its load.

    Parameters
    ----------
    load, inflation_pressure : float
        Load on the tyre [N], and pressure in it above the air's [Pa].
    width, diameter : float
        Width and unloaded diameter of the tyre [m].

    Raises
    ------
    LawError
        A value not above 0, or a tyre pressed flat by its load.
    """

    load: float
    inflation_pressure: float
    width: float
    diameter: float

    def __post_init__(self) -> None:
        for field in fields(self):
            positive(field.name, getattr(self, field.name))
        if tyre_deflection(self.load, self.inflation_pressure) >= self.diameter / 2:
            raise LawError("inflation_pressure", self.inflation_pressure, "enough that the load does not press it flat")


def tyre_deflection(load: ArrayLike, inflation_pressure: ArrayLike) -> Floats:
    """Deflection of a tyre on hard ground.

    Parameters
    ----------
    load : array_like, shape (...)
        Load on the tyre [N].
    inflation_pressure : array_like, shape (...)
        Pressure in the tyre above the air's [Pa].

    Returns
    -------
    ndarray, shape (...)
        Deflection [m].

    Raises
    ------
    LawError
        A load or a pressure not above 0.

    Notes
    -----
    delta = 0.0008 + 0.001 (0.365 + 170 / p) W, in m, with W in kN and p in kPa (equation 2.22).

    Examples
    --------
    >>> round(float(tyre_deflection(35_000.0, 280_000.0)), 4)
    0.0348

    References
    ----------
    Saarilahti (2002), equation 2.22.
    """
    kilonewtons = positive("load", load) / 1000
    kilopascals = positive("inflation_pressure", inflation_pressure) / 1000
    return 0.0008 + 0.001 * (0.365 + 170 / kilopascals) * kilonewtons  # (2.22)


def ground_pressure(load: ArrayLike, *, width: ArrayLike, diameter: ArrayLike, deflection: ArrayLike) -> Floats:
    """Ground pressure of a tyre by Maclaurin, the measure that cone index is held against.

    Parameters
    ----------
    load : array_like, shape (...)
        Load on the tyre [N].
    width, diameter : array_like, shape (...)
        Width and unloaded diameter of the tyre [m].
    deflection : array_like, shape (...)
        Deflection of the tyre on hard ground [m].

    Returns
    -------
    ndarray, shape (...)
        Ground pressure [Pa].

    Raises
    ------
    LawError
        A value not above 0.

    Notes
    -----
    G = W / (b^0.8 d^0.8 delta^0.4) (equation 2.20).

    Examples
    --------
    >>> round(float(ground_pressure(35_000.0, width=0.36, diameter=1.37, deflection=0.034825)) / 1000, 1)
    236.0

    References
    ----------
    Maclaurin (1990), as given by Saarilahti (2002), equation 2.20 (brackets from memory).
    """
    b, d, delta = positive("width", width), positive("diameter", diameter), positive("deflection", deflection)
    return positive("load", load) / (b**0.8 * d**0.8 * delta**0.4)  # (2.20)


def rut_maclaurin(cbr: ArrayLike, wheel: Wheel) -> Floats:
    """Rut of the first pass by Maclaurin's relation.

    Parameters
    ----------
    cbr : array_like, shape (...)
        California bearing ratio of the ground [%].
    wheel : Wheel
        The tyre.

    Returns
    -------
    ndarray, shape (...)
        Rut [m].

    Raises
    ------
    LawError
        A bearing ratio not above 0.

    Notes
    -----
    z = 0.224 d / N^1.25, N = CI / G, CI = 12.5 x 29 kPa for one percent of bearing ratio. Its own no-go, N below 1.85,
    is not applied: ``rut_depth`` takes no-go from the chord model.

    Examples
    --------
    >>> grader = Wheel(35_000.0, 280_000.0, 0.36, 1.37)
    >>> round(1000 * float(rut_maclaurin(3.0, grader)), 1)
    45.5

    References
    ----------
    Maclaurin (1990), as given by Saarilahti (2002).
    """
    return 0.224 * wheel.diameter * (_cbr_of_ground_pressure(wheel) / positive("cbr", cbr)) ** 1.25


def rut_chord(cbr: ArrayLike, wheel: Wheel) -> Floats:
    """Rut of the first pass by bearing capacity under the leading chord of a rolling wheel.

    Parameters
    ----------
    cbr : array_like, shape (...)
        California bearing ratio of the ground [%].
    wheel : Wheel
        The tyre.

    Returns
    -------
    ndarray, shape (...)
        Rut; infinite where the wheel sinks past half its diameter and finds no rest (no-go) [m].

    Raises
    ------
    LawError
        A bearing ratio not above 0.

    Notes
    -----
    W = q b L with L = sqrt(d z - z^2), q = 5.14 cu (1 + 0.2 B / Lm)(1 + 0.4 z / B) + gamma z, B the shorter and Lm the
    longer of b and L, cu = 29 kPa for one percent of bearing ratio, gamma 18 kN/m3. The load carried grows with z up
    to d / 2, so a root there is the only one.

    Examples
    --------
    >>> grader = Wheel(35_000.0, 280_000.0, 0.36, 1.37)
    >>> [round(1000 * float(rut), 1) for rut in rut_chord([3.0, 6.0, 0.1], grader)]
    [25.9, 7.3, inf]

    References
    ----------
    Contact of the leading half only: Hambleton and Drescher (2008), MN/RC 2008-08 (the algebra here is simpler). Shape
    and depth factors: Skempton (1951); Meyerhof (1951), from memory.
    """
    strength = STRENGTH_PER_CBR * positive("cbr", cbr)
    rut = _deepest(lambda sinkage: _chord_strength(sinkage, wheel) > strength, strength.shape, wheel)
    held = _chord_strength(np.asarray(wheel.diameter / 2), wheel) <= strength
    return np.asarray(np.where(held, rut, np.inf))[()]


def rut_depth(cbr: ArrayLike, wheel: Wheel) -> Floats:
    """Rut of the first pass: geometric mean of Maclaurin's and the chord's.

    Parameters
    ----------
    cbr : array_like, shape (...)
        California bearing ratio of the ground [%].
    wheel : Wheel
        The tyre.

    Returns
    -------
    ndarray, shape (...)
        Rut; infinite where the chord model finds no rest (no-go) [m].

    Raises
    ------
    LawError
        A bearing ratio not above 0.

    Notes
    -----
    z = sqrt(z_Maclaurin z_chord). The mean was chosen knowing the Illinois point, CBR 6 at 12.7 mm. Trust ruts from 5 to
    200 mm (``cbr_from_rut`` declares it), with the scatter of ``rut_scatter``.

    Examples
    --------
    >>> grader = Wheel(35_000.0, 280_000.0, 0.36, 1.37)
    >>> [round(1000 * float(rut)) for rut in rut_depth([2.0, 6.0], grader)]
    [63, 12]

    References
    ----------
    Those of ``rut_maclaurin`` and ``rut_chord``; Illinois DOT Subgrade Stability Manual (2005).
    """
    return np.asarray(np.sqrt(rut_maclaurin(cbr, wheel) * rut_chord(cbr, wheel)))[()]


@holds_for(Range("rut", 0.005, 0.200, "m", "below only 'bearing ratio at least'; above the wheel is near to no-go"))
def cbr_from_rut(rut: ArrayLike, wheel: Wheel) -> Floats:
    """Bearing ratio of ground in which the first pass of a wheel left a rut: the inverse of ``rut_depth``.

    Parameters
    ----------
    rut : array_like, shape (...)
        Rut of one pass [m].
    wheel : Wheel
        The tyre.

    Returns
    -------
    ndarray, shape (...)
        California bearing ratio; for a rut deeper than a wheel at rest can have, that of no-go, as a ceiling [%].

    Raises
    ------
    LawError
        A rut not above 0.

    Notes
    -----
    Solved for the chord's share y of z^2 = z_Maclaurin y: the ratio that the chord wants at y falls with y, the one that
    Maclaurin wants at z^2 / y grows. Ruts of 5 to 200 mm.

    Examples
    --------
    >>> grader = Wheel(35_000.0, 280_000.0, 0.36, 1.37)
    >>> round(float(cbr_from_rut(rut_depth(2.5, grader), grader)), 9)
    2.5

    References
    ----------
    Those of ``rut_depth``.
    """
    square = positive("rut", rut) ** 2
    by_maclaurin = STRENGTH_PER_CBR * _cbr_of_ground_pressure(wheel) * (0.224 * wheel.diameter / square) ** 0.8
    chord = _deepest(lambda y: _chord_strength(y, wheel) > by_maclaurin * y**0.8, square.shape, wheel)
    return np.asarray(_chord_strength(chord, wheel) / STRENGTH_PER_CBR)[()]


def rut_scatter(cbr: ArrayLike, wheel: Wheel) -> Floats:
    """Model error of ``rut_depth``: wider where its two parents disagree.

    Parameters
    ----------
    cbr : array_like, shape (...)
        California bearing ratio of the ground [%].
    wheel : Wheel
        The tyre.

    Returns
    -------
    ndarray, shape (...)
        Standard deviation of ln rut [-].

    Raises
    ------
    LawError
        A bearing ratio not above 0.

    Notes
    -----
    0.45; 0.65 where half of ln(z_Maclaurin / z_chord) exceeds 0.45: above CBR 5 for a grader's tyre, 4 for a steer
    tyre, 3 for a dual. At no-go, where no rut scatters, 0.45.

    Examples
    --------
    >>> grader = Wheel(35_000.0, 280_000.0, 0.36, 1.37)
    >>> [float(scatter) for scatter in rut_scatter([2.0, 8.0], grader)]
    [0.45, 0.65]

    References
    ----------
    Judgement: common practice, no source.
    """
    apart = (np.log(rut_maclaurin(cbr, wheel)) - np.log(rut_chord(cbr, wheel))) / 2
    return np.asarray(np.where(apart > _SCATTER_ALIKE, _SCATTER_APART, _SCATTER_ALIKE))[()]


def rut_constant(wheel: Wheel) -> float:
    """Rut at a bearing ratio of one percent by the power that fits a wheel's ruts: the constant that one pair re-scales.

    Parameters
    ----------
    wheel : Wheel
        The tyre.

    Returns
    -------
    float
        Constant k of rut = k CBR^-1.52 [m].

    Raises
    ------
    LawError
        A wheel that finds no rest (no-go) on ground of every bearing ratio from 1.5 to 10 %.

    Notes
    -----
    Geometric mean of ``rut_depth`` CBR^1.52 at 1.5, 2, 3, 4, 6, 8 and 10 %, no-go left out. The power holds within 4 % there.

    Examples
    --------
    >>> round(1000 * rut_constant(Wheel(35_000.0, 280_000.0, 0.36, 1.37)))
    180

    References
    ----------
    Those of ``rut_depth``.
    """
    cbr = np.asarray(_FITTED_AT)
    rut = rut_depth(cbr, wheel)
    held = np.isfinite(rut)
    if not bool(held.any()):
        raise LawError("wheel", wheel, "a wheel that ground of CBR 1.5 to 10 can carry")
    return float(np.exp(np.mean(np.log(rut[held]) + RUT_EXPONENT * np.log(cbr[held]))))


@holds_for(Range("exponent", 2.0, 5.0, "-", "2 to 3 loose or light, 3 to 4 medium, 4 to 5 firm (Saarilahti 1991)"))
def repeated_rut(first: ArrayLike, passes: ArrayLike, exponent: ArrayLike) -> Floats:
    """Rut after passes in one track.

    Parameters
    ----------
    first : array_like, shape (...)
        Rut of the first pass [m].
    passes : array_like, shape (...)
        Passes in all, 1 or more [-].
    exponent : array_like, shape (...)
        Root a of the growth: 2 to 3 loose ground, 3 to 4 medium, 4 to 5 firm [-].

    Returns
    -------
    ndarray, shape (...)
        Rut after the last pass [m].

    Raises
    ------
    LawError
        A rut below 0, fewer than 1 pass, or an exponent not above 0.

    Notes
    -----
    z_n = z_1 n^(1/a) (equation 6.8), a from 2 to 5.

    Examples
    --------
    >>> float(repeated_rut(0.030, 8, 3))
    0.06

    References
    ----------
    Saarilahti (1991), equation 6.8.
    """
    counted = positive("passes", passes)
    if not bool(np.all(counted >= 1)):
        raise LawError("passes", passes, "1 or more, the first included")
    return not_negative("first", first) * counted ** (1 / positive("exponent", exponent))  # (6.8)


def _cbr_of_ground_pressure(wheel: Wheel) -> Floats:
    """Bearing ratio [%] whose cone index equals the wheel's ground pressure."""
    delta = tyre_deflection(wheel.load, wheel.inflation_pressure)
    pressure = ground_pressure(wheel.load, width=wheel.width, diameter=wheel.diameter, deflection=delta)
    return pressure / (_CONE_INDEX_PER_STRENGTH * STRENGTH_PER_CBR)


def _chord_strength(sinkage: Floats, wheel: Wheel) -> Floats:
    """Undrained strength [Pa] that holds a rolling wheel at a sinkage; below 0 where the soil's weight is enough."""
    contact = np.sqrt(sinkage * (wheel.diameter - sinkage))
    short, long = np.minimum(contact, wheel.width), np.maximum(contact, wheel.width)
    factors = _BEARING_FACTOR * (1 + 0.2 * short / long) * (1 + 0.4 * sinkage / short)
    return np.asarray((wheel.load / (wheel.width * contact) - _SOIL_UNIT_WEIGHT * sinkage) / factors)


def _deepest(sinks_on: Callable[[Floats], NDArray[np.bool_]], shape: tuple[int, ...], wheel: Wheel) -> Floats:
    """Sinkage, up to half the diameter, at which a wheel no longer sinks on; by halving."""
    low, high = np.zeros(shape), np.full(shape, wheel.diameter / 2)
    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        deeper = sinks_on(middle)
        low, high = np.where(deeper, middle, low), np.where(deeper, high, middle)
    return high
