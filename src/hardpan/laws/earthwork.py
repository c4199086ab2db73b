"""Earth moved: trim, areas and volumes from sections, changes of state, loads."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from hardpan.errors import LawError
from hardpan.laws.ranges import Floats, not_negative, positive


def trim_volume(area: ArrayLike, allowance: ArrayLike) -> Floats:
    """Volume of treated soil that a trim takes off.

    Parameters
    ----------
    area : array_like
        Area trimmed [m2].
    allowance : array_like
        Thickness taken off [m].

    Returns
    -------
    ndarray
        Volume as it lies, rolled [m3].

    Raises
    ------
    LawError
        Where an argument is negative.

    Notes
    -----
    V = A t.

    Examples
    --------
    >>> round(float(trim_volume(3600.0, 0.010)), 6)
    36.0

    References
    ----------
    Exact geometry.
    """
    return not_negative("area", area) * not_negative("allowance", allowance)


def average_end_area(areas: ArrayLike, distances: ArrayLike, *, pyramid_ends: bool = False) -> Floats:
    """Volume between neighbouring sections by the mean of their areas.

    Parameters
    ----------
    areas : array_like, shape (n,)
        Areas of the sections [m2].
    distances : array_like, shape (n - 1,)
        Distance from each section to the next [m].
    pyramid_ends : bool
        Take a third of the area, not half, where one of the two sections has none.

    Returns
    -------
    ndarray, shape (n - 1,)
        Volumes [m3]; sum them before rounding.

    Raises
    ------
    LawError
        Where an area is negative, a distance is not above zero, or there is not one distance between neighbours.

    Notes
    -----
    V = L (A1 + A2) / 2; with pyramids V = L A / 3 where the other area is zero. The two rules differ: name the one used.

    Examples
    --------
    >>> average_end_area([60.0, 50.0, 0.0], [50.0, 30.0], pyramid_ends=True).tolist()
    [2750.0, 500.0]

    References
    ----------
    Fundamentals of Transportation (Wikibooks), Earthwork; NAVEDTRA 14080, p. 4-9.
    """
    section, length = not_negative("areas", areas), positive("distances", distances)
    if section.ndim != 1 or length.shape != (max(section.size - 1, 0),) or not length.size:
        given = f"{section.size} areas and {length.size} distances"
        raise LawError("areas, distances", given, "two or more areas and one distance fewer")
    first, last = section[:-1], section[1:]
    pointed = pyramid_ends & ((first == 0) | (last == 0))
    return np.asarray(length * (first + last) / np.where(pointed, 3.0, 2.0))


def prismoidal(first_area: ArrayLike, middle_area: ArrayLike, last_area: ArrayLike, *, length: ArrayLike) -> Floats:
    """Volume between two sections with the section half way known.

    Parameters
    ----------
    first_area, middle_area, last_area : array_like
        Areas at the start, half way and at the end; the middle one is not the mean of the others [m2].
    length : array_like
        Distance between the ends [m].

    Returns
    -------
    ndarray
        Volume [m3].

    Raises
    ------
    LawError
        Where an area is negative or the length is not above zero.

    Notes
    -----
    V = L (A1 + 4 Am + A2) / 6; exact where the area is a cubic of the distance.

    Examples
    --------
    >>> round(float(prismoidal(0.0, 0.25, 1.0, length=3.0)), 6)
    1.0

    References
    ----------
    G. L. Vose, Handbook of Railroad Construction (1857), par. 108.
    """
    ends = not_negative("first_area", first_area) + not_negative("last_area", last_area)
    return positive("length", length) * (ends + 4 * not_negative("middle_area", middle_area)) / 6


def polygon_area(x: ArrayLike, y: ArrayLike) -> float:
    """Area of a polygon by its corners, whichever way round they are given.

    Parameters
    ----------
    x, y : array_like, shape (n,)
        Coordinates of the corners in order; the last joins the first [m].

    Returns
    -------
    float
        Area [m2]; the sides must not cross.

    Raises
    ------
    LawError
        Where there are fewer than three corners, not as many x as y, or a value that is not finite.

    Notes
    -----
    A = |sum (x_i y_i+1 - x_i+1 y_i)| / 2, taken from the first corner so that large coordinates lose no digits.

    Examples
    --------
    >>> polygon_area([0.0, 4.0, 4.0, 0.0], [0.0, 0.0, 3.0, 3.0])
    12.0

    References
    ----------
    J. Mahun, Open Access Surveying, traverse computations, chapter G.
    """
    east, north = np.asarray(x, dtype=float), np.asarray(y, dtype=float)
    if east.ndim != 1 or east.size < 3 or north.shape != east.shape:
        raise LawError("x, y", f"{east.size} and {north.size} coordinates", "three corners or more")
    if not bool(np.all(np.isfinite(east) & np.isfinite(north))):
        raise LawError("x, y", "a value that is not a number", "finite numbers")
    east, north = east - east[0], north - north[0]
    return abs(float(np.sum(east * np.roll(north, -1) - np.roll(east, -1) * north))) / 2


def bank_to_loose(bank_volume: ArrayLike, bulking: ArrayLike) -> Floats:
    """Loose volume of soil dug from the bank.

    Parameters
    ----------
    bank_volume : array_like
        Volume before digging [m3].
    bulking : array_like
        Gain of volume on digging [fraction of one].

    Returns
    -------
    ndarray
        Loose volume [m3].

    Raises
    ------
    LawError
        Where an argument is negative.

    Notes
    -----
    V_loose = V_bank (1 + bulking); 0.2 to 0.5 in common earth and clay.

    Examples
    --------
    >>> round(float(bank_to_loose(200.0, 0.40)), 6)
    280.0

    References
    ----------
    H. K. Church, Excavation Handbook (1981), as listed by public tables of bulking.
    """
    return not_negative("bank_volume", bank_volume) * (1 + not_negative("bulking", bulking))


def loose_to_bank(loose_volume: ArrayLike, bulking: ArrayLike) -> Floats:
    """Volume in the bank of soil that was measured loose.

    Parameters
    ----------
    loose_volume : array_like
        Loose volume [m3].
    bulking : array_like
        Gain of volume on digging [fraction of one].

    Returns
    -------
    ndarray
        Volume before digging [m3].

    Raises
    ------
    LawError
        Where an argument is negative.

    Notes
    -----
    V_bank = V_loose / (1 + bulking).

    Examples
    --------
    >>> round(float(loose_to_bank(280.0, 0.40)), 6)
    200.0

    References
    ----------
    H. K. Church, Excavation Handbook (1981), as listed by public tables of bulking.
    """
    return not_negative("loose_volume", loose_volume) / (1 + not_negative("bulking", bulking))


def bank_for_fill(fill_volume: ArrayLike, *, fill_dry_density: ArrayLike, bank_dry_density: ArrayLike) -> Floats:
    """Volume in the bank that makes a compacted fill.

    Parameters
    ----------
    fill_volume : array_like
        Volume of the compacted fill [m3].
    fill_dry_density, bank_dry_density : array_like
        Dry densities after compaction and before digging [kg/m3].

    Returns
    -------
    ndarray
        Volume before digging [m3].

    Raises
    ------
    LawError
        Where the volume is negative or a density is not above zero.

    Notes
    -----
    V_bank rho_bank = V_fill rho_fill: dry soil is neither lost nor made.

    Examples
    --------
    >>> round(float(bank_for_fill(100.0, fill_dry_density=1800.0, bank_dry_density=1700.0)), 1)
    105.9

    References
    ----------
    Conservation of mass.
    """
    mass = not_negative("fill_volume", fill_volume) * positive("fill_dry_density", fill_dry_density)
    return mass / positive("bank_dry_density", bank_dry_density)


def truck_loads(volume: ArrayLike, density: ArrayLike, payload: ArrayLike) -> Floats:
    """Whole truck loads that carry a volume.

    Parameters
    ----------
    volume : array_like
        Volume [m3], in the state that ``density`` is for.
    density : array_like
        Bulk density in that state, water included [kg/m3].
    payload : array_like
        Load of a truck [kg].

    Returns
    -------
    ndarray
        Loads, a whole number; the last may be part full.

    Raises
    ------
    LawError
        Where the volume is negative, or density or payload are not above zero.

    Notes
    -----
    n = ceil(V rho / payload); a surplus of one part in 1e9 is rounding and takes no truck.

    Examples
    --------
    >>> float(truck_loads(1620.0, 1900.0, 14_000.0))
    220.0

    References
    ----------
    Conservation of mass.
    """
    loads = not_negative("volume", volume) * positive("density", density) / positive("payload", payload)
    return np.asarray(np.ceil(loads * (1 - 1e-9)))
