"""Dynamic cone penetrometer: from blows and depths to California bearing ratio.

The equations differ by a third at the same penetration, so a result names the one it used.
"""

from __future__ import annotations

from typing import Literal

import numpy as np
from numpy.typing import ArrayLike

from hardpan.errors import LawError
from hardpan.laws.ranges import Floats, Range, holds_for, not_negative, positive

Soil = Literal["general", "CL", "CH"]

LEAN_CLAY_LIMIT = 10.0
"""CBR [%] below which the lean clay equation of ASTM D6951 applies."""

_MILLIMETRES = 1000.0


@holds_for(
    Range("penetration", 0.0026, 0.160, "m/blow", "general equation between CBR 100 and 1, Webster 1992, from memory")
)
def cbr_d6951(penetration: ArrayLike, soil: Soil = "general") -> Floats:
    """California bearing ratio from the 8 kg dynamic cone, by ASTM D6951.

    Parameters
    ----------
    penetration : array_like, shape (...)
        Penetration of one blow of the 8 kg hammer [m/blow].
    soil : {"general", "CL", "CH"}
        Equation for any soil, for lean clay, or for fat clay.

    Returns
    -------
    ndarray, shape (...)
        California bearing ratio [%].

    Raises
    ------
    LawError
        Penetration not above 0, or a soil without an equation.

    Notes
    -----
    With DCP in mm per blow: CBR = 292 / DCP^1.12; fat clay 1 / (0.002871 DCP); lean clay 1 / (0.017019 DCP)^2, which
    is for CBR below 10. Where that one gives 10 or more (18.6 mm per blow or less) the general equation takes over,
    with a step from 10.0 to 11.1: the standard names no bridge, and the order of the readings is kept.
    Between CBR 100 and 1 (2.6 to 160 mm per blow).

    Examples
    --------
    >>> round(float(cbr_d6951(0.020)), 2), round(float(cbr_d6951(0.040, "CL")), 2), round(float(cbr_d6951(0.060, "CH")), 2)
    (10.19, 2.16, 5.81)

    References
    ----------
    ASTM D6951 (equations from memory); Webster, Grau and Williams (1992), WES IR GL-92-3; Webster, Brown
    and Porter (1994), WES TR GL-94-17.
    """
    millimetres = positive("penetration", penetration) * _MILLIMETRES
    general = 292.0 / millimetres**1.12
    if soil == "general":
        return general
    if soil == "CH":
        return 1 / (0.002871 * millimetres)
    if soil != "CL":
        raise LawError("soil", soil, '"general", "CL" or "CH"')
    lean = 1 / (0.017019 * millimetres) ** 2
    return np.asarray(np.where(lean < LEAN_CLAY_LIMIT, lean, general))[()]


@holds_for(
    Range("penetration", 0.003, 0.160, "m/blow", "CBR about 100 to 1; the source names no range, common practice")
)
def cbr_trl(penetration: ArrayLike) -> Floats:
    """California bearing ratio from the 8 kg dynamic cone with a 60 degree point, by the TRL equation.

    Parameters
    ----------
    penetration : array_like, shape (...)
        Penetration of one blow of the 8 kg hammer [m/blow].

    Returns
    -------
    ndarray, shape (...)
        California bearing ratio [%].

    Raises
    ------
    LawError
        Penetration not above 0.

    Notes
    -----
    log10 CBR = 2.48 - 1.057 log10(DCP), DCP in mm per blow. About CBR 100 to 1 (3 to 160 mm per blow).

    Examples
    --------
    >>> round(float(cbr_trl(0.050)), 2)
    4.83

    References
    ----------
    TRL Overseas Road Note 18 (1999), as used in the Minnesota DOT DCP user guide.
    """
    millimetres = positive("penetration", penetration) * _MILLIMETRES
    return np.asarray(10 ** (2.48 - 1.057 * np.log10(millimetres)))[()]


def interval_rates(blows: ArrayLike, depths: ArrayLike) -> Floats:
    """Penetration of one blow in each interval between readings.

    Parameters
    ----------
    blows : array_like, shape (..., n)
        Blows counted from the start, at each reading [-].
    depths : array_like, shape (..., n)
        Depth of the cone at the same readings [m].

    Returns
    -------
    ndarray, shape (..., n - 1)
        Penetration of one blow between a reading and the next; 0 where the cone refused [m/blow].

    Raises
    ------
    LawError
        Fewer than 2 readings, lists of unlike length, blows that do not increase, or depths that decrease.

    Notes
    -----
    Depth of the interval over blows of the interval. Total depth over total blows would smear a soft band away.

    Examples
    --------
    >>> [round(1000 * float(rate), 1) for rate in interval_rates([1, 5, 10, 15], [0.050, 0.070, 0.100, 0.220])]
    [5.0, 6.0, 24.0]

    References
    ----------
    ASTM D6951 (penetration between readings over blows between readings; section not checked).
    """
    counted, reached = not_negative("blows", blows), not_negative("depths", depths)
    if counted.shape != reached.shape or counted.ndim == 0 or counted.shape[-1] < 2:
        raise LawError("depths", depths, "one depth for each count of blows, at least two readings")
    struck, sunk = np.diff(counted), np.diff(reached)
    if not bool(np.all(struck > 0)):
        raise LawError(
            "blows", blows, "counts from the start that grow at every reading; merge readings without a blow"
        )
    if not bool(np.all(sunk >= 0)):
        raise LawError("depths", depths, "depths from the surface that never decrease; check for a swapped reading")
    return sunk / struck
