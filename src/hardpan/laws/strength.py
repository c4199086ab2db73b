"""Strength that cement has reached by age, temperature, and delay before compaction."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from hardpan.errors import LawError
from hardpan.laws.ranges import Floats, Range, holds_for, not_negative, positive

GAS_CONSTANT = 8.314
"""Gas constant [J/mol/K]."""

ZERO_CELSIUS = 273.15
"""Freezing point of water [K]."""

REFERENCE_CELSIUS = 20.0
"""Temperature at which a day is a day of equivalent age [C]."""


@holds_for(Range("s", 0.20, 0.38, "-", "rapid 0.20, normal 0.25, slow 0.38 (CEB-FIP Model Code)"))
def age_factor(equivalent_days: ArrayLike, s: ArrayLike = 0.25) -> Floats:
    """Strength at an age over that at 28 days.

    Parameters
    ----------
    equivalent_days : array_like, shape (...)
        Age at 20 C, see ``equivalent_age`` [d].
    s : array_like, shape (...)
        Slowness of the cement: 0.20 rapid, 0.25 normal, 0.38 slow [-].

    Returns
    -------
    ndarray, shape (...)
        Strength over strength at 28 days, 0 at age 0 [-].

    Raises
    ------
    LawError
        An age below 0, or s not above 0.

    Notes
    -----
    exp[s (1 - sqrt(28 / te))]: above 0 at every age, unlike the laws in the logarithm of age. s from 0.20 to 0.38.

    Examples
    --------
    >>> [round(float(factor), 3) for factor in age_factor([1, 2, 7, 28])]
    [0.342, 0.504, 0.779, 1.0]

    References
    ----------
    CEB-FIP Model Code 1990, 2.1.6.1.
    """
    slowness = positive("s", s)
    # at age 0 the root is infinite and the factor 0, its limit
    with np.errstate(divide="ignore"):
        root = np.sqrt(np.divide(28.0, not_negative("equivalent_days", equivalent_days)))
    return np.asarray(np.exp(slowness * (1 - root)))[()]


@holds_for(Range("celsius", 0.0, 40.0, "C", "water freezes below; hotter ground is rare (common practice, no source)"))
def equivalent_age(days: ArrayLike, celsius: ArrayLike, *, activation_energy: ArrayLike = 33_500.0) -> Floats:
    """Age at 20 C that gives the strength of an age at another temperature.

    Parameters
    ----------
    days : array_like, shape (...)
        Time at the temperature; add the results of spells at several temperatures [d].
    celsius : array_like, shape (...)
        Temperature of the treated ground [C].
    activation_energy : array_like, shape (...)
        Apparent activation energy of the cement [J/mol].

    Returns
    -------
    ndarray, shape (...)
        Equivalent age, in the unit of ``days``: hours give hours [d].

    Raises
    ------
    LawError
        A time below 0, a temperature of -273.15 C and below, or an activation energy below 0.

    Notes
    -----
    te = t exp[-(Ea / R) (1 / T - 1 / Tr)], T in K, Tr = 293.15 K, R = 8.314 J/mol/K. From 0 to 40 C.

    Examples
    --------
    >>> round(float(equivalent_age(2.0, 10.0)), 3)
    1.231

    References
    ----------
    ASTM C1074; Freiesleben Hansen and Pedersen (1977), from memory.
    """
    temperature = np.asarray(celsius, dtype=float) + ZERO_CELSIUS
    if not bool(np.all(np.isfinite(temperature) & (temperature > 0))):
        raise LawError("celsius", celsius, f"a temperature above {-ZERO_CELSIUS} C")
    slowing = 1 / temperature - 1 / (REFERENCE_CELSIUS + ZERO_CELSIUS)
    energy = not_negative("activation_energy", activation_energy)
    return np.asarray(not_negative("days", days) * np.exp(-energy / GAS_CONSTANT * slowing))[()]


@holds_for(Range("hours", 0.0, 5.0, "h", "fitted to one delay of 5 h; laterite with quarry dust, 0 to 10 % cement"))
def delay_factor(hours: ArrayLike) -> Floats:
    """Strength left by a delay between mixing and compaction.

    Parameters
    ----------
    hours : array_like, shape (...)
        Delay, as equivalent age at 20 C [h].

    Returns
    -------
    ndarray, shape (...)
        Strength over strength without the delay [-].

    Raises
    ------
    LawError
        A delay below 0.

    Notes
    -----
    exp(-0.07 t). One published point carries it: 29.5 % of unconfined strength lost in 5 h. Density falls far less, so
    it does not tell strength.

    Examples
    --------
    >>> round(float(delay_factor(5.0)), 3)
    0.705

    References
    ----------
    Ubani et al., delay of compaction of cement-treated laterite with quarry dust (synapsesocial.com); the form is a fit.
    """
    return np.asarray(np.exp(-0.07 * not_negative("hours", hours)))[()]
