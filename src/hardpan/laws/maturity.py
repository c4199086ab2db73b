"""Maturity: what temperatures and time together have done for the strength of cement.

A history is a row of spells over the last axis, each with its length and its mean temperature. Strength follows from
the equivalent age by ``strength.age_factor``.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from hardpan.errors import LawError
from hardpan.laws.ranges import Floats, Range, holds_for, not_negative
from hardpan.laws.strength import ZERO_CELSIUS, equivalent_age

_GROUND = Range("celsius", 0.0, 40.0, "C", "water freezes below; hotter ground is rare (common practice, no source)")
_DATUM = Range("datum_celsius", -11.0, 0.0, "C", "older practice -11 C (civinnovate.com), ASTM C1074 0 C")


@holds_for(_GROUND, _DATUM)
def nurse_saul(days: ArrayLike, celsius: ArrayLike, *, datum_celsius: ArrayLike) -> Floats:
    """Maturity of a spell at one temperature.

    Parameters
    ----------
    days : array_like, shape (...)
        Length of the spell [d].
    celsius : array_like, shape (...)
        Mean temperature of the treated ground in it [C].
    datum_celsius : array_like, shape (...)
        Temperature at which strength stops growing [C].

    Returns
    -------
    ndarray, shape (...)
        Temperature-time factor, 0 below the datum [C d].

    Raises
    ------
    LawError
        A time below 0, or a temperature of -273.15 C and below.

    Notes
    -----
    M = (T - T0) t. A straight line in temperature: it flatters cold spells and belittles warm ones beside
    ``strength.equivalent_age``, whose tangent at 20 C has its datum at -1.3 C for 33.5 kJ/mol. Datums from -11 to 0 C.

    Examples
    --------
    >>> float(nurse_saul(28.0, 15.0, datum_celsius=-11.0))
    728.0

    References
    ----------
    Saul (1951), Magazine of Concrete Research 2(6), 127-140 (from memory); ASTM C1074.
    """
    above = _temperature("celsius", celsius) - _temperature("datum_celsius", datum_celsius)
    return not_negative("days", days) * np.maximum(above, 0.0)


@holds_for(_GROUND, _DATUM)
def nurse_saul_of_history(days: ArrayLike, celsius: ArrayLike, *, datum_celsius: float) -> Floats:
    """Maturity of a temperature history.

    Parameters
    ----------
    days : array_like, shape (..., n)
        Length of every spell, or one length for all [d].
    celsius : array_like, shape (..., n)
        Mean temperature of the treated ground in every spell [C].
    datum_celsius : float
        Temperature at which strength stops growing [C].

    Returns
    -------
    ndarray, shape (...)
        Temperature-time factor [C d].

    Raises
    ------
    LawError
        No spell, not one length for each, a time below 0, or a temperature of -273.15 C and below.

    Notes
    -----
    M = sum (T - T0) dt. A spell counts by its mean temperature, so none may cross the datum.

    Examples
    --------
    >>> float(nurse_saul_of_history([1.0, 2.0], [20.0, 10.0], datum_celsius=0.0))
    40.0

    References
    ----------
    ASTM C1074, temperature-time factor.
    """
    durations, temperatures = _spells(days, celsius)
    return np.asarray(np.sum(nurse_saul(durations, temperatures, datum_celsius=datum_celsius), axis=-1))[()]


@holds_for(_GROUND)
def equivalent_age_of_history(days: ArrayLike, celsius: ArrayLike, *, activation_energy: float = 33_500.0) -> Floats:
    """Age at 20 C that gives the strength of a temperature history.

    Parameters
    ----------
    days : array_like, shape (..., n)
        Length of every spell, or one length for all [d].
    celsius : array_like, shape (..., n)
        Mean temperature of the treated ground in every spell [C].
    activation_energy : float
        Apparent activation energy of the cement [J/mol].

    Returns
    -------
    ndarray, shape (...)
        Equivalent age, in the unit of ``days``: hours give hours [d].

    Raises
    ------
    LawError
        No spell, not one length for each, a time below 0, a temperature of -273.15 C and below, or an activation energy
        below 0.

    Notes
    -----
    te = sum of ``strength.equivalent_age``. Means of long spells understate it, as warm hours gain more than cold ones
    lose: a day between 5 and 25 C passes for 0.79 d by its mean and is 0.83 d by its hours.

    Examples
    --------
    >>> round(float(equivalent_age_of_history([1.0, 1.0], [5.0, 15.0])), 3)
    1.264

    References
    ----------
    ASTM C1074; Freiesleben Hansen and Pedersen (1977), from memory.
    """
    durations, temperatures = _spells(days, celsius)
    ages = equivalent_age(durations, temperatures, activation_energy=activation_energy)
    return np.asarray(np.sum(ages, axis=-1))[()]


def _temperature(name: str, value: ArrayLike) -> Floats:
    """``value`` as floats; raises ``LawError`` unless every one is finite and above absolute zero."""
    celsius = np.asarray(value, dtype=float)
    if not bool(np.all(np.isfinite(celsius) & (celsius > -ZERO_CELSIUS))):
        raise LawError(name, value, f"a temperature above {-ZERO_CELSIUS} C")
    return celsius


def _spells(days: ArrayLike, celsius: ArrayLike) -> tuple[Floats, Floats]:
    """Lengths and temperatures as floats; raises ``LawError`` where they make no row of spells."""
    durations, temperatures = np.asarray(days, dtype=float), np.asarray(celsius, dtype=float)
    count = temperatures.shape[-1:]
    if count in {(), (0,)}:
        raise LawError("celsius", celsius, "a list of at least one temperature")
    if durations.shape[-1:] not in {(), count}:
        raise LawError("days", days, "one length for each temperature, or one for all")
    return durations, temperatures
