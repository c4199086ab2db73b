"""Soil, cement and water as one mixture: the ratios that its strength follows.

Cement content is over oven-dry soil, as ``spread.content_from_rate`` gives it from a rate.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from hardpan.errors import LawError
from hardpan.laws.phases import WATER_DENSITY
from hardpan.laws.ranges import Floats, fraction, not_negative, positive
from hardpan.laws.rise import CEMENT_PARTICLE_DENSITY
from hardpan.laws.spread import soil_density_from_mixture

_CEMENT_GRAVITY = CEMENT_PARTICLE_DENSITY / WATER_DENSITY


def water_cement_ratio(water_content: ArrayLike, cement_content: ArrayLike) -> Floats:
    """Total water over cement.

    Parameters
    ----------
    water_content : array_like, shape (...)
        Water of the mixture when it is rolled, the soil's own and what was added, per mass of dry soil [-].
    cement_content : array_like, shape (...)
        Cement over oven-dry soil [fraction of one].

    Returns
    -------
    ndarray, shape (...)
        Water over cement, by mass [-].

    Raises
    ------
    LawError
        Water below 0, or a cement content that is no fraction above 0.

    Notes
    -----
    wc / C = w / c; a definition. A water content over soil and cement together, as an oven gives it for the mixture, is
    too low by the factor 1 + c.

    Examples
    --------
    >>> round(float(water_cement_ratio(0.30, 0.06)), 6)
    5.0

    References
    ----------
    Horpibulsuk, Miura and Nagaraj (2003), Geotechnique 53(4), 439-444 (from memory).
    """
    cement = fraction("cement_content", positive("cement_content", cement_content))
    return not_negative("water_content", water_content) / cement


def porosity(
    dry_density: ArrayLike,
    cement_content: ArrayLike,
    specific_gravity: ArrayLike,
    *,
    cement_specific_gravity: ArrayLike = _CEMENT_GRAVITY,
) -> Floats:
    """Voids of a mixture, water and air, over its volume.

    Parameters
    ----------
    dry_density : array_like, shape (...)
        Dry density of soil and cement together [kg/m3].
    cement_content : array_like, shape (...)
        Cement over oven-dry soil [fraction of one].
    specific_gravity : array_like, shape (...)
        Density of the soil's solids over that of water [-].
    cement_specific_gravity : array_like, shape (...)
        Density of the cement's grains over that of water [-].

    Returns
    -------
    ndarray, shape (...)
        Voids over total volume, before the cement binds water [fraction of one].

    Raises
    ------
    LawError
        A mixture denser than its grains, a content that is no fraction, or a density or gravity not above 0.

    Notes
    -----
    n = 1 - rho_d (1 / Gs + c / Gc) / [(1 + c) rho_w]; a definition. Papers print it in percent.

    Examples
    --------
    >>> round(100 * float(porosity(1500.0, 0.06, 2.70)), 2)
    44.89

    References
    ----------
    Consoli, Foppa, Festugato and Heineck (2007), J. Geotech. Geoenviron. Eng. 133(2), 197-205 (from memory).
    """
    soil = soil_density_from_mixture(positive("dry_density", dry_density), cement_content)
    cement = cement_volume_share(dry_density, cement_content, cement_specific_gravity=cement_specific_gravity)
    voids = 1 - soil / (positive("specific_gravity", specific_gravity) * WATER_DENSITY) - cement
    if bool(np.any(voids < 0)):
        raise LawError("dry_density", dry_density, "at most that of the grains; check it and the specific gravities")
    return voids


def cement_volume_share(
    dry_density: ArrayLike, cement_content: ArrayLike, *, cement_specific_gravity: ArrayLike = _CEMENT_GRAVITY
) -> Floats:
    """Cement of a mixture over its volume.

    Parameters
    ----------
    dry_density : array_like, shape (...)
        Dry density of soil and cement together [kg/m3].
    cement_content : array_like, shape (...)
        Cement over oven-dry soil [fraction of one].
    cement_specific_gravity : array_like, shape (...)
        Density of the cement's grains over that of water [-].

    Returns
    -------
    ndarray, shape (...)
        Volume of cement grains over total volume [fraction of one].

    Raises
    ------
    LawError
        A content that is no fraction, or a density or gravity not above 0.

    Notes
    -----
    Civ = rho_d c / [(1 + c) Gc rho_w]; a definition. Papers print it in percent.

    Examples
    --------
    >>> round(100 * float(cement_volume_share(1500.0, 0.06)), 3)
    2.695

    References
    ----------
    Consoli, Foppa, Festugato and Heineck (2007), J. Geotech. Geoenviron. Eng. 133(2), 197-205 (from memory).
    """
    soil = soil_density_from_mixture(positive("dry_density", dry_density), cement_content)
    grains = positive("cement_specific_gravity", cement_specific_gravity) * WATER_DENSITY
    return soil * np.asarray(cement_content, dtype=np.float64) / grains


def porosity_cement_index(porosity: ArrayLike, cement_volume_share: ArrayLike, exponent: ArrayLike = 0.28) -> Floats:
    """Porosity over a power of the cement's volume: the lower, the stronger.

    Parameters
    ----------
    porosity : array_like, shape (...)
        Voids over total volume, see ``porosity`` [fraction of one].
    cement_volume_share : array_like, shape (...)
        Volume of cement over total volume, see ``cement_volume_share`` [fraction of one].
    exponent : array_like, shape (...)
        Power of the cement's volume, of the soil [-].

    Returns
    -------
    ndarray, shape (...)
        Index of the papers, which put both volumes in percent [-].

    Raises
    ------
    LawError
        Porosity outside 0 to below 1, a share not above 0, voids and cement that need more room than the volume has, or
        an exponent below 0.

    Notes
    -----
    n / Civ^0.28, both in percent: with fractions the index is smaller by the factor 100^0.72. The exponent is found for
    a soil; 0.28 is that of the first paper's sand.

    Examples
    --------
    >>> round(float(porosity_cement_index(0.4489, 0.02695)), 2)
    34.01

    References
    ----------
    Consoli, Foppa, Festugato and Heineck (2007), J. Geotech. Geoenviron. Eng. 133(2), 197-205 (from memory).
    """
    voids, cement = fraction("porosity", porosity), positive("cement_volume_share", cement_volume_share)
    if bool(np.any(voids + cement > 1)):
        raise LawError(
            "cement_volume_share", cement_volume_share, "what the voids leave of the volume (0.027, not 2.7)"
        )
    return np.asarray(100 * voids / (100 * cement) ** not_negative("exponent", exponent))[()]
