"""Strips and cuts side by side across a street, and the small areas beside it."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from hardpan.errors import LawError
from hardpan.laws.ranges import Floats, not_negative, positive

# A street that is a hair wider than its cuts by rounding alone needs no further cut.
_ROUNDING = 1e-9


@dataclass(frozen=True, slots=True)
class Cuts:
    """Cuts of a mixer, or passes of a roller, side by side across a width.

    Attributes
    ----------
    count : int
        Number of cuts.
    overlap : float
        Overlap of neighbours [m]; 0 for a single cut.
    edges : tuple of (float, float)
        Left and right side of every cut from the street's left edge [m]; a single cut ends at the right edge.
    net_widths : tuple of float
        Widths with every overlap counted once [m]: the first cut full, later ones less the overlap.
    """

    count: int
    overlap: float
    edges: tuple[tuple[float, float], ...]
    net_widths: tuple[float, ...]


def machine_cuts(width: float, machine_width: float, least_overlap: float) -> Cuts:
    """Fewest equal cuts that cover a street with at least a given overlap.

    Parameters
    ----------
    width : float
        Width of the street [m].
    machine_width : float
        Width of the drum [m].
    least_overlap : float
        Overlap that neighbours must have [m].

    Returns
    -------
    Cuts
        Their number, overlap, sides and net widths. Where the drum is as wide as the street: one cut, as wide as the street.

    Raises
    ------
    LawError
        Where a width is not above zero, or the overlap is negative or not below the drum's width.

    Notes
    -----
    n = ceil((W - o) / (b - o)); overlap = (n b - W) / (n - 1).

    Examples
    --------
    >>> cuts = machine_cuts(9.0, 2.4, 0.10)
    >>> cuts.count, round(cuts.overlap, 3)
    (4, 0.2)

    References
    ----------
    Exact geometry; 0.10 to 0.15 m of overlap is common practice, no source.
    """
    street, drum = float(positive("width", width)), float(positive("machine_width", machine_width))
    least = float(not_negative("least_overlap", least_overlap))
    if least >= drum:
        raise LawError("least_overlap", least_overlap, f"less than the drum's width, {machine_width}")
    if street <= drum * (1 + _ROUNDING):
        return Cuts(count=1, overlap=0.0, edges=((0.0, street),), net_widths=(street,))
    count = math.ceil((street - least) / (drum - least) - _ROUNDING)
    overlap = max((count * drum - street) / (count - 1), 0.0)
    lefts = [i * (drum - overlap) for i in range(count)]
    return Cuts(
        count=count,
        overlap=overlap,
        edges=tuple((left, left + drum) for left in lefts),
        net_widths=(drum, *([drum - overlap] * (count - 1))),
    )


def spreader_strips(width: float, pan_width: float) -> tuple[int, float]:
    """Fewest equal strips across a street, none wider than the spreader's pan.

    Parameters
    ----------
    width : float
        Width of the street [m].
    pan_width : float
        Width of the pan [m].

    Returns
    -------
    tuple of (int, float)
        Number of strips and the width of each [m].

    Raises
    ------
    LawError
        Where a width is not above zero.

    Notes
    -----
    n = ceil(W / b); strip = W / n, without overlap.

    Examples
    --------
    >>> spreader_strips(9.0, 2.25)
    (4, 2.25)

    References
    ----------
    Exact geometry.
    """
    street, pan = float(positive("width", width)), float(positive("pan_width", pan_width))
    count = max(math.ceil(street / pan - _ROUNDING), 1)
    return count, street / count


def doubled_fraction(overlap: ArrayLike, pan_width: ArrayLike) -> Floats:
    """Share of the cement that falls where cement lies already, when strips overlap.

    Parameters
    ----------
    overlap : array_like
        Overlap of neighbouring strips [m].
    pan_width : array_like
        Width of the pan [m].

    Returns
    -------
    ndarray
        Share of what each further strip lays [fraction of one].

    Raises
    ------
    LawError
        Where the overlap is negative or wider than the pan, or the pan's width is not above zero.

    Notes
    -----
    f = o / b. Against the cement that the same ground needs the surplus is o / (b - o), a little more.

    Examples
    --------
    >>> round(float(doubled_fraction(0.150, 2.25)), 3)
    0.067

    References
    ----------
    Exact geometry.
    """
    lapped, pan = not_negative("overlap", overlap), positive("pan_width", pan_width)
    if bool(np.any(lapped > pan)):
        raise LawError("overlap", overlap, f"at most the pan's width, {pan}")
    return lapped / pan


def fillet_area(radius: ArrayLike) -> Floats:
    """Area between a rounded corner and its two tangents at right angles.

    Parameters
    ----------
    radius : array_like
        Radius of the corner [m].

    Returns
    -------
    ndarray
        Area [m2].

    Raises
    ------
    LawError
        Where the radius is negative.

    Notes
    -----
    A = (1 - pi/4) R2 = 0.2146 R2.

    Examples
    --------
    >>> round(float(fillet_area(10.0)), 2)
    21.46

    References
    ----------
    Exact geometry.
    """
    return (1 - math.pi / 4) * not_negative("radius", radius) ** 2


def bulb_area(radius: ArrayLike) -> Floats:
    """Area of a turning circle.

    Parameters
    ----------
    radius : array_like
        Radius [m].

    Returns
    -------
    ndarray
        Area [m2].

    Raises
    ------
    LawError
        Where the radius is negative.

    Notes
    -----
    A = pi R2.

    Examples
    --------
    >>> round(float(bulb_area(10.0)), 1)
    314.2

    References
    ----------
    Exact geometry.
    """
    return math.pi * not_negative("radius", radius) ** 2


def taper_area(first_width: ArrayLike, last_width: ArrayLike, length: ArrayLike) -> Floats:
    """Area of a taper, flare or triangle between two widths.

    Parameters
    ----------
    first_width, last_width : array_like
        Widths at the two ends, zero allowed [m].
    length : array_like
        Length along the line [m].

    Returns
    -------
    ndarray
        Area [m2].

    Raises
    ------
    LawError
        Where an argument is negative.

    Notes
    -----
    A = mean width x length.

    Examples
    --------
    >>> float(taper_area(3.0, 0.0, 20.0))
    30.0

    References
    ----------
    Exact geometry.
    """
    widths = not_negative("first_width", first_width) + not_negative("last_width", last_width)
    return widths / 2 * not_negative("length", length)
