"""Water that a fresh wet surface loses to the air.

Both relations give the potential of an open wet surface; the real rate lies within about 40 % of it (Hover 2020).
Tilled soil follows it while the surface is dark and wet (common practice, no source).
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from hardpan.errors import LawError
from hardpan.laws.ranges import Floats, Range, holds_for, not_negative

KILOMETRES_PER_HOUR = 3.6
"""One metre per second [km/h]."""

_CHART = (
    Range("concrete_celsius", 5.0, 38.0, "C", "axis of the ACI 305 chart, from memory"),
    Range("air_celsius", 5.0, 38.0, "C", "axis of the ACI 305 chart, from memory"),
    Range("wind", 0.0, 11.2, "m/s", "0 to 25 mph on the ACI 305 chart, from memory"),
)


@holds_for(*_CHART)
def uno(concrete_celsius: ArrayLike, air_celsius: ArrayLike, relative_humidity: ArrayLike, wind: ArrayLike) -> Floats:
    """Evaporation from a wet surface, by Uno's single equation.

    Parameters
    ----------
    concrete_celsius : array_like, shape (...)
        Temperature of the wet surface [C].
    air_celsius : array_like, shape (...)
        Temperature of the air [C].
    relative_humidity : array_like, shape (...)
        Relative humidity, 0 to 1 [-].
    wind : array_like, shape (...)
        Wind 0.5 m above the surface [m/s].

    Returns
    -------
    ndarray, shape (...)
        Evaporation, 0 where the air would wet the surface instead [kg/m2/h].

    Raises
    ------
    LawError
        Humidity outside 0 to 1, wind below 0, or a temperature of -18 C and below.

    Notes
    -----
    E = 5 ([Tc + 18]^2.5 - r [Ta + 18]^2.5)(V + 4) 1e-6, V in km/h. Its rounded constants give about 4 % less than the
    chart it stands for, see ``aci_chart``. Chart axes: 5 to 38 C, wind to 11 m/s.

    Examples
    --------
    >>> round(float(uno(30.0, 30.0, 0.4, 20 / 3.6)), 3)
    1.149

    References
    ----------
    Uno, P. J. (1998), Plastic shrinkage cracking and evaporation formulas, ACI Materials Journal 95-M34.
    """
    return _menzel(concrete_celsius, air_celsius, relative_humidity, wind, constants=(5.0, 18.0, 4.0))


@holds_for(*_CHART)
def aci_chart(
    concrete_celsius: ArrayLike, air_celsius: ArrayLike, *, relative_humidity: ArrayLike, wind: ArrayLike
) -> Floats:
    """Evaporation from a wet surface, by the equation of the ACI 305 chart converted exactly to metric units.

    Parameters
    ----------
    concrete_celsius : array_like, shape (...)
        Temperature of the wet surface [C].
    air_celsius : array_like, shape (...)
        Temperature of the air [C].
    relative_humidity : array_like, shape (...)
        Relative humidity, 0 to 1 [-].
    wind : array_like, shape (...)
        Wind 0.5 m above the surface [m/s].

    Returns
    -------
    ndarray, shape (...)
        Evaporation, 0 where the air would wet the surface instead [kg/m2/h].

    Raises
    ------
    LawError
        Humidity outside 0 to 1, wind below 0, or a temperature of -17.778 C and below.

    Notes
    -----
    (Tc^2.5 - r Ta^2.5)(1 + 0.4 V) 1e-6 lb/ft2/h in F and mph, which is
    E = 5.275 ([Tc + 17.778]^2.5 - r [Ta + 17.778]^2.5)(V + 4.02336) 1e-6, V in km/h. Chart axes: 5 to 38 C, wind to
    11 m/s; a reading of the chart is good to about 3 %.

    Examples
    --------
    >>> round(float(aci_chart(30.556, 26.667, relative_humidity=0.5, wind=5.364)), 3)
    1.189

    References
    ----------
    ACI 305R chart (after Menzel 1954); its equation in F, mph and lb/ft2/h: trianglereadymix.com/concrete-evaporation.
    """
    return _menzel(concrete_celsius, air_celsius, relative_humidity, wind, constants=(5.275, 17.778, 4.02336))


def _menzel(
    surface: ArrayLike, air: ArrayLike, humidity: ArrayLike, wind: ArrayLike, *, constants: tuple[float, float, float]
) -> Floats:
    """Difference of vapour terms times wind, never below 0."""
    scale, cold, still = constants
    damp = np.asarray(humidity, dtype=np.float64)
    if not bool(np.all((damp >= 0) & (damp <= 1))):
        raise LawError("relative_humidity", humidity, "a fraction from 0 to 1 (0.60, not 60)")
    speed = not_negative("wind", wind) * KILOMETRES_PER_HOUR
    surface_term = _warm("concrete_celsius", surface, cold) ** 2.5
    air_term = _warm("air_celsius", air, cold) ** 2.5
    return np.maximum(scale * (surface_term - damp * air_term) * (speed + still) * 1e-6, 0.0)


def _warm(name: str, celsius: ArrayLike, cold: float) -> Floats:
    """Degrees above the zero of the equation."""
    degrees = np.asarray(celsius, dtype=np.float64) + cold
    if not bool(np.all(np.isfinite(degrees) & (degrees > 0))):
        raise LawError(name, celsius, f"above {-cold:g} C, where the equation ends")
    return degrees
