"""Solids, water and air of a soil: how density, water content, voids and saturation hang together."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from hardpan.errors import LawError
from hardpan.laws.ranges import Floats, not_negative, positive

WATER_DENSITY = 1000.0
"""Density of water, rho_w [kg/m3]; that at 4 C, which specific gravity is defined by."""

AIR_HAIR = 0.0005
"""Air below zero by no more than this is rounding of the inputs (air is reported to 0.1 % of the volume)."""


def dry_density(bulk_density: ArrayLike, water_content: ArrayLike) -> Floats:
    """Mass of dry soil in a volume of moist soil.

    Parameters
    ----------
    bulk_density : array_like, shape (...)
        Mass of soil and water per volume [kg/m3].
    water_content : array_like, shape (...)
        Mass of water per mass of dry soil [-].

    Returns
    -------
    ndarray, shape (...)
        Dry density [kg/m3].

    Raises
    ------
    LawError
        Density not above 0, or water below 0.

    Notes
    -----
    rho_d = rho / (1 + w); a definition, so it holds for every soil.

    Examples
    --------
    >>> round(float(dry_density(1925.0, 0.268)), 1)
    1518.1

    References
    ----------
    ASTM D7263 (dry density from total density and water content); section not checked.
    """
    return positive("bulk_density", bulk_density) / (1 + not_negative("water_content", water_content))


def void_ratio(dry_density: ArrayLike, specific_gravity: ArrayLike) -> Floats:
    """Volume of voids per volume of solids.

    Parameters
    ----------
    dry_density : array_like, shape (...)
        Mass of dry soil per total volume [kg/m3].
    specific_gravity : array_like, shape (...)
        Density of the solids over that of water [-].

    Returns
    -------
    ndarray, shape (...)
        Void ratio [-].

    Raises
    ------
    LawError
        Soil denser than its own solids, or a value not above 0.

    Notes
    -----
    e = Gs rho_w / rho_d - 1; a definition.

    Examples
    --------
    >>> round(float(void_ratio(1573.1, 2.70)), 4)
    0.7164

    References
    ----------
    ASTM D7263 (void ratio); section not checked.
    """
    ratio = positive("specific_gravity", specific_gravity) * WATER_DENSITY / positive("dry_density", dry_density) - 1
    if bool(np.any(ratio < 0)):
        raise LawError("dry_density", dry_density, "at most that of the solids, 1000 x specific gravity; check both")
    return ratio


def dry_density_from_void_ratio(void_ratio: ArrayLike, specific_gravity: ArrayLike) -> Floats:
    """Dry density of a soil whose void ratio is known.

    Parameters
    ----------
    void_ratio : array_like, shape (...)
        Volume of voids per volume of solids [-].
    specific_gravity : array_like, shape (...)
        Density of the solids over that of water [-].

    Returns
    -------
    ndarray, shape (...)
        Dry density [kg/m3].

    Raises
    ------
    LawError
        Void ratio below 0, or specific gravity not above 0.

    Notes
    -----
    rho_d = Gs rho_w / (1 + e); a definition, the reverse of ``void_ratio``.

    Examples
    --------
    >>> round(float(dry_density_from_void_ratio(0.7163, 2.70)), 1)
    1573.2

    References
    ----------
    ASTM D7263 (void ratio, solved for dry density); section not checked.
    """
    return positive("specific_gravity", specific_gravity) * WATER_DENSITY / (1 + not_negative("void_ratio", void_ratio))


def saturation(water_content: ArrayLike, specific_gravity: ArrayLike, void_ratio: ArrayLike) -> Floats:
    """Share of the voids that water fills.

    Parameters
    ----------
    water_content : array_like, shape (...)
        Mass of water per mass of dry soil [-].
    specific_gravity : array_like, shape (...)
        Density of the solids over that of water [-].
    void_ratio : array_like, shape (...)
        Volume of voids per volume of solids [-].

    Returns
    -------
    ndarray, shape (...)
        Saturation, 0 to 1 [-].

    Raises
    ------
    LawError
        More water than the voids hold, a negative value, or no voids.

    Notes
    -----
    S = w Gs / e; a definition. Where rounded inputs put the water a hair (0.05 % of the volume) over the voids, S is 1.

    Examples
    --------
    >>> round(float(saturation(0.26, 2.70, 0.7163)), 3)
    0.98

    References
    ----------
    ASTM D7263 (degree of saturation); section not checked.
    """
    voids = positive("void_ratio", void_ratio)
    water = not_negative("water_content", water_content) * positive("specific_gravity", specific_gravity)
    _fitting_air((voids - water) / (1 + voids))
    return np.minimum(water / voids, 1.0)


def water_content_at(dry_density: ArrayLike, specific_gravity: ArrayLike, saturation: ArrayLike) -> Floats:
    """Water content that fills a stated share of the voids.

    Parameters
    ----------
    dry_density : array_like, shape (...)
        Mass of dry soil per total volume [kg/m3].
    specific_gravity : array_like, shape (...)
        Density of the solids over that of water [-].
    saturation : array_like, shape (...)
        Share of the voids filled with water, 0 to 1 [-].

    Returns
    -------
    ndarray, shape (...)
        Mass of water per mass of dry soil [-].

    Raises
    ------
    LawError
        Saturation outside 0 to 1, or soil denser than its solids.

    Notes
    -----
    w = S e / Gs; a definition, the reverse of ``saturation``.

    Examples
    --------
    >>> round(float(water_content_at(1608.0, 2.68, 1.0)), 4)
    0.2488

    References
    ----------
    ASTM D7263 (degree of saturation, solved for water content); section not checked.
    """
    filled = np.asarray(saturation, dtype=np.float64)
    if not bool(np.all((filled >= 0) & (filled <= 1))):
        raise LawError("saturation", saturation, "a fraction from 0 to 1 (0.98, not 98)")
    return filled * void_ratio(dry_density, specific_gravity) / np.asarray(specific_gravity, dtype=np.float64)


def air_voids(dry_density: ArrayLike, water_content: ArrayLike, specific_gravity: ArrayLike) -> Floats:
    """Volume of air per total volume.

    Parameters
    ----------
    dry_density : array_like, shape (...)
        Mass of dry soil per total volume [kg/m3].
    water_content : array_like, shape (...)
        Mass of water per mass of dry soil [-].
    specific_gravity : array_like, shape (...)
        Density of the solids over that of water [-].

    Returns
    -------
    ndarray, shape (...)
        Air, 0 to 1 of the total volume [-].

    Raises
    ------
    LawError
        Solids and water that need more room than the volume has.

    Notes
    -----
    Va = 1 - (rho_d / rho_w)(1 / Gs + w); a definition. A hair below zero (0.05 % of the volume) is rounding and gives 0.

    Examples
    --------
    >>> round(float(air_voids(1576.0, 0.20, 2.70)), 4)
    0.1011

    References
    ----------
    BS 1377-4:1990 (air voids lines; clause not checked).
    """
    solids = positive("dry_density", dry_density) / (positive("specific_gravity", specific_gravity) * WATER_DENSITY)
    water = not_negative("water_content", water_content) * np.asarray(dry_density, dtype=np.float64) / WATER_DENSITY
    return _fitting_air(1 - solids - water)


def _fitting_air(air: Floats) -> Floats:
    """``air`` with rounding taken out; raises ``LawError`` where the three phases do not fit."""
    if bool(np.any(air < -AIR_HAIR)):
        allowed = "0 or more: solids and water do not fit; check dry density, water content and specific gravity"
        raise LawError("air", float(np.min(air)), allowed)
    return np.maximum(air, 0.0)
