"""Change of level that treatment causes after compaction.

Soil, cement and water keep their mass and (air apart) their volume. Of retained water, final air and finished density
two are chosen and the third follows. Every depth here is of original ground; nothing is lost sideways, and swelling
from sulphates is left out.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from hardpan.errors import LawError
from hardpan.laws.depth import rolled_from_original
from hardpan.laws.phases import WATER_DENSITY, air_voids
from hardpan.laws.ranges import Floats, fraction, not_negative, positive

CEMENT_PARTICLE_DENSITY = 3150.0
"""Density of a grain of portland cement [kg/m3]; ACI 211.1 takes a specific gravity of 3.15."""


def by_three_phases(
    depth: ArrayLike,
    *,
    dry_density: ArrayLike,
    water_content: ArrayLike,
    specific_gravity: ArrayLike,
    cement: ArrayLike,
    water_retained: ArrayLike,
    final_air: ArrayLike,
) -> Floats:
    """Rise from the room that soil, cement, water and air take after rolling.

    Parameters
    ----------
    depth : array_like, shape (...)
        Mixing depth of original ground [m].
    dry_density : array_like, shape (...)
        Dry density of the original ground [kg/m3].
    water_content : array_like, shape (...)
        Water before treatment, per mass of dry soil [-].
    specific_gravity : array_like, shape (...)
        Density of the soil's solids over that of water [-].
    cement : array_like, shape (...)
        Cement spread [kg/m2].
    water_retained : array_like, shape (...)
        Water added less water lost; negative where the layer dries [kg/m2].
    final_air : array_like, shape (...)
        Air per total volume of the rolled layer [-].

    Returns
    -------
    ndarray, shape (...)
        Rise of the surface, positive upwards [m].

    Raises
    ------
    LawError
        Ground whose phases do not fit, a layer that loses more water than it holds, air outside 0 to below 1, or a
        depth, density or gravity not above 0.

    Notes
    -----
    H1 = (Ms / Gs rho_w + C / rho_c + (w0 Ms + W) / rho_w) / (1 - Va), rise = H1 - H0; conservation of volume, before
    hydration shrinks the paste (about 0.06 L per kg of cement).

    Examples
    --------
    >>> rise = by_three_phases(
    ...     0.300, dry_density=1573.1, water_content=0.26, specific_gravity=2.70,
    ...     cement=30.0, water_retained=40.0, final_air=0.03,
    ... )
    >>> round(1000 * float(rise), 1)
    57.7

    References
    ----------
    Conservation of volume; exact. Cement grain density: ACI 211.1-91.
    """
    air_voids(dry_density, water_content, specific_gravity)  # raises where the ground cannot exist
    soil = positive("depth", depth) * np.asarray(dry_density, dtype=np.float64)
    water = _water(soil, water_content, water_retained)
    solids = soil / (np.asarray(specific_gravity, dtype=np.float64) * WATER_DENSITY) + _cement_volume(cement)
    return (solids + water / WATER_DENSITY) / (1 - fraction("final_air", final_air)) - np.asarray(
        depth, dtype=np.float64
    )


def by_final_density(
    depth: ArrayLike, *, dry_density: ArrayLike, cement: ArrayLike, final_dry_density: ArrayLike
) -> Floats:
    """Rise from the finished dry density.

    Parameters
    ----------
    depth : array_like, shape (...)
        Mixing depth of original ground [m].
    dry_density : array_like, shape (...)
        Dry density of the original ground [kg/m3].
    cement : array_like, shape (...)
        Cement spread [kg/m2].
    final_dry_density : array_like, shape (...)
        Dry mass of soil and cement per volume of the rolled layer [kg/m3].

    Returns
    -------
    ndarray, shape (...)
        Rise of the surface, positive upwards [m].

    Raises
    ------
    LawError
        A depth or density not above 0, or cement below 0.

    Notes
    -----
    rise = (rho_0 D0 + r) / rho_1 - D0; conservation of dry mass.

    Examples
    --------
    >>> rise = by_final_density(0.300, dry_density=1600.0, cement=24.0, final_dry_density=1576.0)
    >>> round(1000 * float(rise), 1)
    19.8

    References
    ----------
    Conservation of mass; exact.
    """
    rolled = rolled_from_original(depth, dry_density=dry_density, cement=cement, final_dry_density=final_dry_density)
    return rolled - np.asarray(depth, dtype=np.float64)


def final_air(
    depth: ArrayLike,
    *,
    dry_density: ArrayLike,
    water_content: ArrayLike,
    specific_gravity: ArrayLike,
    cement: ArrayLike,
    water_retained: ArrayLike,
    final_dry_density: ArrayLike,
) -> Floats:
    """Air left in the rolled layer, where its water and finished density are chosen.

    Parameters
    ----------
    depth : array_like, shape (...)
        Mixing depth of original ground [m].
    dry_density : array_like, shape (...)
        Dry density of the original ground [kg/m3].
    water_content : array_like, shape (...)
        Water before treatment, per mass of dry soil [-].
    specific_gravity : array_like, shape (...)
        Density of the soil's solids over that of water [-].
    cement : array_like, shape (...)
        Cement spread [kg/m2].
    water_retained : array_like, shape (...)
        Water added less water lost; negative where the layer dries [kg/m2].
    final_dry_density : array_like, shape (...)
        Dry mass of soil and cement per volume of the rolled layer [kg/m3].

    Returns
    -------
    ndarray, shape (...)
        Air per total volume of the rolled layer [-].

    Raises
    ------
    LawError
        A finished density that leaves no room for the water, or impossible ground.

    Notes
    -----
    Va = 1 - (rho_1 / rho_w)(1 / Gm + w1), Gm the specific gravity of soil and cement together; exact.

    Examples
    --------
    >>> air = final_air(
    ...     0.300, dry_density=1600.0, water_content=0.19, specific_gravity=2.70,
    ...     cement=24.0, water_retained=15.0, final_dry_density=1576.0,
    ... )
    >>> round(float(air), 3)
    0.088

    References
    ----------
    Conservation of volume; exact. BS 1377-4:1990 (air voids; clause not checked).
    """
    air_voids(dry_density, water_content, specific_gravity)  # raises where the ground cannot exist
    soil = positive("depth", depth) * np.asarray(dry_density, dtype=np.float64)
    solids = soil / np.asarray(specific_gravity, dtype=np.float64) + _cement_volume(cement) * WATER_DENSITY
    mixed_gravity = (soil + np.asarray(cement, dtype=np.float64)) / solids
    water = treated_water_content(
        depth, dry_density=dry_density, water_content=water_content, cement=cement, water_retained=water_retained
    )
    return air_voids(final_dry_density, water, mixed_gravity)


def final_dry_density(
    depth: ArrayLike,
    *,
    dry_density: ArrayLike,
    water_content: ArrayLike,
    specific_gravity: ArrayLike,
    cement: ArrayLike,
    water_retained: ArrayLike,
    final_air: ArrayLike,
) -> Floats:
    """Finished dry density, where the water and air of the rolled layer are chosen.

    Parameters
    ----------
    depth : array_like, shape (...)
        Mixing depth of original ground [m].
    dry_density : array_like, shape (...)
        Dry density of the original ground [kg/m3].
    water_content : array_like, shape (...)
        Water before treatment, per mass of dry soil [-].
    specific_gravity : array_like, shape (...)
        Density of the soil's solids over that of water [-].
    cement : array_like, shape (...)
        Cement spread [kg/m2].
    water_retained : array_like, shape (...)
        Water added less water lost; negative where the layer dries [kg/m2].
    final_air : array_like, shape (...)
        Air per total volume of the rolled layer [-].

    Returns
    -------
    ndarray, shape (...)
        Dry mass of soil and cement per volume of the rolled layer [kg/m3].

    Raises
    ------
    LawError
        As ``by_three_phases``.

    Notes
    -----
    rho_1 = (Ms + C) / (D0 + rise); exact.

    Examples
    --------
    >>> density = final_dry_density(
    ...     0.300, dry_density=1573.1, water_content=0.26, specific_gravity=2.70,
    ...     cement=30.0, water_retained=40.0, final_air=0.03,
    ... )
    >>> round(float(density))
    1403

    References
    ----------
    Conservation of mass and volume; exact.
    """
    upward = by_three_phases(
        depth,
        dry_density=dry_density,
        water_content=water_content,
        specific_gravity=specific_gravity,
        cement=cement,
        water_retained=water_retained,
        final_air=final_air,
    )
    original = np.asarray(depth, dtype=np.float64)
    return (original * np.asarray(dry_density, dtype=np.float64) + np.asarray(cement, dtype=np.float64)) / (
        original + upward
    )


def treated_water_content(
    depth: ArrayLike,
    *,
    dry_density: ArrayLike,
    water_content: ArrayLike,
    cement: ArrayLike,
    water_retained: ArrayLike,
) -> Floats:
    """Water content of the mixed layer, per dry mass of soil and cement.

    Parameters
    ----------
    depth : array_like, shape (...)
        Mixing depth of original ground [m].
    dry_density : array_like, shape (...)
        Dry density of the original ground [kg/m3].
    water_content : array_like, shape (...)
        Water before treatment, per mass of dry soil [-].
    cement : array_like, shape (...)
        Cement spread [kg/m2].
    water_retained : array_like, shape (...)
        Water added less water lost; negative where the layer dries [kg/m2].

    Returns
    -------
    ndarray, shape (...)
        Mass of water per mass of dry soil and cement [-].

    Raises
    ------
    LawError
        A layer that loses more water than it holds, a depth or density not above 0, or water or cement below 0.

    Notes
    -----
    w1 = (w0 Ms + W) / (Ms + C), before hydration binds any; conservation of mass. Dry cement alone lowers it.

    Examples
    --------
    >>> water = treated_water_content(
    ...     0.300, dry_density=1600.0, water_content=0.19, cement=24.0, water_retained=15.0
    ... )
    >>> round(float(water), 4)
    0.2107

    References
    ----------
    Conservation of mass; exact.
    """
    soil = positive("depth", depth) * positive("dry_density", dry_density)
    return _water(soil, water_content, water_retained) / (soil + not_negative("cement", cement))


def _water(soil: Floats, water_content: ArrayLike, water_retained: ArrayLike) -> Floats:
    """Water in the mixed layer [kg/m2]."""
    retained = np.asarray(water_retained, dtype=np.float64)
    water = not_negative("water_content", water_content) * soil + retained
    if not bool(np.all(np.isfinite(water) & (water >= 0))):
        raise LawError("water_retained", water_retained, "a loss no greater than the water in the layer")
    return water


def _cement_volume(cement: ArrayLike) -> Floats:
    """Room that the cement's grains take [m3/m2]."""
    return not_negative("cement", cement) / CEMENT_PARTICLE_DENSITY
