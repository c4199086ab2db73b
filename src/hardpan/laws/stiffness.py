"""Stiffness of ground: moduli from bearing ratio and from a plate, bearing ratio of layered ground.

Relations between bearing ratio and modulus or strength are means of wide scatter: any one can be wrong by a factor of 2.
"""

from __future__ import annotations

import math
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike

from hardpan.errors import LawError
from hardpan.laws.ranges import Floats, Range, holds_for, not_negative, positive

Direction = Literal["vertical", "horizontal", "isotropic"]
PlateStress = Literal["uniform", "rigid", "granular", "cohesive"]

_AUSTROADS = {"vertical": 10e6, "horizontal": 5e6, "isotropic": 6.7e6}  # Pa for one percent
# the factor f of the plate equation: flexible plate; rigid plate; parabola under a rigid plate on sand, and on clay
_PLATE_FACTORS = {"uniform": 2.0, "rigid": math.pi / 2, "granular": 8 / 3, "cohesive": 4 / 3}
_POWELL_FACTOR, _POWELL_EXPONENT = 17.6e6, 0.64


@holds_for(Range("cbr", 2.0, 12.0, "%", "range of the tests, Powell et al. 1984, from memory"))
def modulus_powell(cbr: ArrayLike) -> Floats:
    """Modulus of a subgrade from its bearing ratio, by Powell.

    Parameters
    ----------
    cbr : array_like, shape (...)
        California bearing ratio [%].

    Returns
    -------
    ndarray, shape (...)
        Modulus of elasticity [Pa].

    Raises
    ------
    LawError
        A bearing ratio not above 0.

    Notes
    -----
    E = 17.6 CBR^0.64 MPa. Bearing ratios from 2 to 12 %.

    Examples
    --------
    >>> [round(float(modulus) / 1e6, 1) for modulus in modulus_powell([2, 5, 10])]
    [27.4, 49.3, 76.8]

    References
    ----------
    Powell, Potter, Mayhew and Nunn (1984), The structural design of bituminous roads, TRRL LR 1132 (from memory).
    """
    return _POWELL_FACTOR * positive("cbr", cbr) ** _POWELL_EXPONENT


@holds_for(Range("modulus", 27.4e6, 86.4e6, "Pa", "bearing ratios from 2 to 12 %, Powell et al. 1984, from memory"))
def cbr_from_modulus(modulus: ArrayLike) -> Floats:
    """Bearing ratio of a subgrade from its modulus: the inverse of ``modulus_powell``.

    Parameters
    ----------
    modulus : array_like, shape (...)
        Modulus of elasticity [Pa].

    Returns
    -------
    ndarray, shape (...)
        California bearing ratio [%].

    Raises
    ------
    LawError
        A modulus not above 0.

    Notes
    -----
    CBR = (E / 17.6 MPa)^(1 / 0.64). Moduli from 27.4 to 86.4 MPa.

    Examples
    --------
    >>> round(float(cbr_from_modulus(modulus_powell(3.0))), 9)
    3.0

    References
    ----------
    Powell, Potter, Mayhew and Nunn (1984), The structural design of bituminous roads, TRRL LR 1132 (from memory).
    """
    return (positive("modulus", modulus) / _POWELL_FACTOR) ** (1 / _POWELL_EXPONENT)


@holds_for(Range("cbr", 0.0, 10.0, "%", "upper end as the 1500 psi form of the relation states it, from memory"))
def modulus_austroads(cbr: ArrayLike, direction: Direction = "vertical") -> Floats:
    """Modulus of a subgrade from its bearing ratio, by the linear relation of Austroads.

    Parameters
    ----------
    cbr : array_like, shape (...)
        California bearing ratio [%].
    direction : {"vertical", "horizontal", "isotropic"}
        Which modulus of the cross-anisotropic ground, or the isotropic one that stands for both.

    Returns
    -------
    ndarray, shape (...)
        Modulus of elasticity [Pa].

    Raises
    ------
    LawError
        A bearing ratio not above 0, or another direction.

    Notes
    -----
    10, 5 and 6.7 MPa for one percent. Any mean relation can be wrong by a factor of 2. Bearing ratios to 10 %.

    Examples
    --------
    >>> float(modulus_austroads(5.0)) / 1e6
    50.0

    References
    ----------
    Austroads (1992), Pavement design, as quoted at experts123.com.
    """
    if direction not in _AUSTROADS:
        raise LawError("direction", direction, '"vertical", "horizontal" or "isotropic"')
    return _AUSTROADS[direction] * positive("cbr", cbr)


def modulus_lwd(
    deflection: ArrayLike,
    *,
    pressure: ArrayLike,
    radius: ArrayLike,
    poisson_ratio: ArrayLike,
    plate_stress: PlateStress = "uniform",
) -> Floats:
    """Modulus of the ground under the plate of a light weight deflectometer.

    Parameters
    ----------
    deflection : array_like, shape (...)
        Peak deflection at the middle of the plate [m].
    pressure : array_like, shape (...)
        Peak load over the area of the plate [Pa].
    radius : array_like, shape (...)
        Radius of the plate [m].
    poisson_ratio : array_like, shape (...)
        Poisson's ratio of the ground, 0 to 0.5 [-].
    plate_stress : {"uniform", "rigid", "granular", "cohesive"}
        How the plate presses: uniformly; as a rigid plate on elastic ground; parabolic on granular ground; parabolic on
        cohesive ground.

    Returns
    -------
    ndarray, shape (...)
        Modulus of elasticity [Pa].

    Raises
    ------
    LawError
        A deflection, pressure or radius not above 0, a Poisson's ratio outside 0 to 0.5, or another plate stress.

    Notes
    -----
    E = f (1 - nu^2) p a / w with f = 2, pi/2, 8/3, 4/3 in the order above. The dynamic modulus Evd = 22.5 / w (MPa, w in
    mm) is this at 0.1 MPa on a 300 mm plate, uniform, with Poisson's ratio 0.5.

    Examples
    --------
    >>> round(float(modulus_lwd(0.001, pressure=100e3, radius=0.150, poisson_ratio=0.35)) / 1e6, 1)
    26.3

    References
    ----------
    Factors as given for devices of ASTM E2835 and E2583 at cuadernoedovago.blogspot.com (April 2012).
    """
    if plate_stress not in _PLATE_FACTORS:
        raise LawError("plate_stress", plate_stress, '"uniform", "rigid", "granular" or "cohesive"')
    nu = not_negative("poisson_ratio", poisson_ratio)
    if not bool(np.all(nu <= 0.5)):
        raise LawError("poisson_ratio", poisson_ratio, "0 to 0.5")
    push = positive("pressure", pressure) * positive("radius", radius)
    return _PLATE_FACTORS[plate_stress] * (1 - nu**2) * push / positive("deflection", deflection)


def equivalent_subgrade_cbr(thicknesses: ArrayLike, cbrs: ArrayLike) -> Floats:
    """Bearing ratio of one uniform ground that stands for layers.

    Parameters
    ----------
    thicknesses : array_like, shape (..., n)
        Thickness of every layer, 1 m in all [m].
    cbrs : array_like, shape (..., n)
        California bearing ratio of every layer [%].

    Returns
    -------
    ndarray, shape (...)
        Equivalent California bearing ratio [%].

    Raises
    ------
    LawError
        A value not above 0, or not one bearing ratio for each thickness.

    Notes
    -----
    CBR_E = [sum(h CBR^(1/3)) / sum(h)]^3, over the upper 1 m; the order of the layers does not enter.

    Examples
    --------
    >>> round(float(equivalent_subgrade_cbr([0.15, 0.15, 0.70], [15, 10, 3])), 2)
    4.94

    References
    ----------
    Japan Road Association (1989), Manual for asphalt pavement, as at scribd.com/document/408856033.
    """
    h, ratios = positive("thicknesses", thicknesses), positive("cbrs", cbrs)
    if h.ndim == 0 or ratios.ndim == 0 or h.shape[-1] == 0 or h.shape[-1] != ratios.shape[-1]:
        raise LawError("cbrs", cbrs, "one bearing ratio for each thickness, at least one")
    return np.asarray((np.sum(h * np.cbrt(ratios), axis=-1) / np.sum(h, axis=-1)) ** 3)[()]


@holds_for(
    Range(
        "strength_per_cbr",
        23e3,
        30e3,
        "Pa",
        "remoulded wet fill 23 (Black and Lister 1979) to 30 (Giroud, Noiray 1981)",
    )
)
def undrained_strength(cbr: ArrayLike, *, strength_per_cbr: ArrayLike) -> Floats:
    """Undrained strength of clay from its bearing ratio.

    Parameters
    ----------
    cbr : array_like, shape (...)
        California bearing ratio [%].
    strength_per_cbr : array_like, shape (...)
        Undrained strength for one percent: 23 kPa for remoulded wet fill, 26 between all, 29 in the rut relations [Pa].

    Returns
    -------
    ndarray, shape (...)
        Undrained strength [Pa].

    Raises
    ------
    LawError
        A value not above 0.

    Notes
    -----
    cu = k CBR, k published from 23 to 30 kPa; about 15 % of scatter between sources.

    Examples
    --------
    >>> float(undrained_strength(3.0, strength_per_cbr=26e3))
    78000.0

    References
    ----------
    Black and Lister (1979), TRRL LR 901; FM 5-430-00-1, appendix H (29 kPa); Giroud and Noiray (1981), from memory.
    """
    return positive("strength_per_cbr", strength_per_cbr) * positive("cbr", cbr)
