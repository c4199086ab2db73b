"""Mixing depth in its three states: original ground, loose behind the mixer, rolled.

A hole dug to 300 mm in the rolled layer holds less than 300 mm of original ground, so a depth never goes without its
state. Original and rolled are tied by mass, original and loose by a bulking factor.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from hardpan.errors import LawError
from hardpan.laws.ranges import Floats, Range, holds_for, not_negative, positive

_BULKING = Range(
    "loose_factor",
    1.2,
    1.5,
    "-",
    "original to loose: earth 1.2 to 1.3, dry clay to 1.5 (Church 1981, from memory); behind a mixer common practice",
)


def rolled_from_original(
    original: ArrayLike, *, dry_density: ArrayLike, cement: ArrayLike, final_dry_density: ArrayLike
) -> Floats:
    """Thickness of the rolled layer that a depth of original ground becomes.

    Parameters
    ----------
    original : array_like, shape (...)
        Depth of original ground [m].
    dry_density : array_like, shape (...)
        Dry density of the original ground [kg/m3].
    cement : array_like, shape (...)
        Cement spread [kg/m2].
    final_dry_density : array_like, shape (...)
        Dry mass of soil and cement per volume of the rolled layer [kg/m3].

    Returns
    -------
    ndarray, shape (...)
        Thickness of the rolled layer [m].

    Raises
    ------
    LawError
        A depth or density not above 0, or cement below 0.

    Notes
    -----
    D1 = (rho_0 D0 + r) / rho_1; conservation of dry mass, nothing lost sideways.

    Examples
    --------
    >>> thickness = rolled_from_original(0.300, dry_density=1600.0, cement=24.0, final_dry_density=1576.0)
    >>> round(float(thickness), 4)
    0.3198

    References
    ----------
    Conservation of mass; exact.
    """
    soil = positive("original", original) * positive("dry_density", dry_density)
    return (soil + not_negative("cement", cement)) / positive("final_dry_density", final_dry_density)


def original_from_rolled(
    rolled: ArrayLike, *, dry_density: ArrayLike, cement: ArrayLike, final_dry_density: ArrayLike
) -> Floats:
    """Depth of original ground that a rolled layer holds.

    Parameters
    ----------
    rolled : array_like, shape (...)
        Thickness of the rolled layer [m].
    dry_density : array_like, shape (...)
        Dry density of the original ground [kg/m3].
    cement : array_like, shape (...)
        Cement spread [kg/m2].
    final_dry_density : array_like, shape (...)
        Dry mass of soil and cement per volume of the rolled layer [kg/m3].

    Returns
    -------
    ndarray, shape (...)
        Depth of original ground [m].

    Raises
    ------
    LawError
        A layer lighter than the cement spread on it, a depth or density not above 0, or cement below 0.

    Notes
    -----
    D0 = (rho_1 D1 - r) / rho_0; conservation of dry mass, the reverse of ``rolled_from_original``.

    Examples
    --------
    >>> depth = original_from_rolled(0.300, dry_density=1573.0, cement=30.0, final_dry_density=1403.0)
    >>> round(float(depth), 4)
    0.2485

    References
    ----------
    Conservation of mass; exact.
    """
    layer = positive("rolled", rolled) * positive("final_dry_density", final_dry_density)
    soil = layer - not_negative("cement", cement)
    if not bool(np.all(soil > 0)):
        raise LawError("cement", cement, "less than the mass of the rolled layer; check its thickness and density")
    return soil / positive("dry_density", dry_density)


@holds_for(_BULKING)
def loose_from_original(original: ArrayLike, *, loose_factor: ArrayLike) -> Floats:
    """Depth of loose soil behind the mixer that a depth of original ground becomes.

    Parameters
    ----------
    original : array_like, shape (...)
        Depth of original ground [m].
    loose_factor : array_like, shape (...)
        Loose depth over original depth, 1 or more [-].

    Returns
    -------
    ndarray, shape (...)
        Loose depth [m].

    Raises
    ------
    LawError
        A depth not above 0, or a factor below 1.

    Notes
    -----
    D_loose = f D0. Mixing bulks a soil by 20 to 30 % for a while (common practice, no source); measure it on the job.

    Examples
    --------
    >>> round(float(loose_from_original(0.300, loose_factor=1.25)), 4)
    0.375

    References
    ----------
    Church, Excavation Handbook (1981), bank to loose, from memory.
    """
    return positive("original", original) * _bulking("loose_factor", loose_factor)


@holds_for(_BULKING)
def original_from_loose(loose: ArrayLike, *, loose_factor: ArrayLike) -> Floats:
    """Depth of original ground that a depth of loose soil behind the mixer holds.

    Parameters
    ----------
    loose : array_like, shape (...)
        Loose depth [m].
    loose_factor : array_like, shape (...)
        Loose depth over original depth, 1 or more [-].

    Returns
    -------
    ndarray, shape (...)
        Depth of original ground [m].

    Raises
    ------
    LawError
        A depth not above 0, or a factor below 1.

    Notes
    -----
    D0 = D_loose / f, the reverse of ``loose_from_original``.

    Examples
    --------
    >>> round(float(original_from_loose(0.375, loose_factor=1.25)), 4)
    0.3

    References
    ----------
    Church, Excavation Handbook (1981), bank to loose, from memory.
    """
    return positive("loose", loose) / _bulking("loose_factor", loose_factor)


def _bulking(name: str, value: ArrayLike) -> Floats:
    """``value`` as a factor of 1 or more."""
    factor = positive(name, value)
    if bool(np.any(factor < 1)):
        raise LawError(name, value, "1 or more: loose soil takes more room than the ground it came from")
    return factor
