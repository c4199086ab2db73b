"""Bearing capacity of a treated layer over soft clay, undrained, under a rectangle of contact."""

from __future__ import annotations

import csv
from functools import cache
from importlib.resources import files

import numpy as np
from numpy.typing import ArrayLike

from hardpan.laws.ranges import Floats, Range, holds_for, not_negative, positive

_BEARING_FACTOR = 5.14  # clay, undrained: 2 + pi


@holds_for(Range("strength_ratio", 0.0, 1.0, "-", "chart for a layer at least as strong as the clay under it"))
def adhesion_ratio(strength_ratio: ArrayLike) -> Floats:
    """Adhesion on the sides of the block punched through an upper clay, over that clay's strength.

    Parameters
    ----------
    strength_ratio : array_like, shape (...)
        Strength of the lower clay over that of the upper [-].

    Returns
    -------
    ndarray, shape (...)
        Adhesion over upper strength, 1 where the lower clay is the stronger [-].

    Raises
    ------
    LawError
        A ratio below 0.

    Notes
    -----
    Straight lines between points read from the chart. Ratios from 0 to 1.

    Examples
    --------
    >>> round(float(adhesion_ratio(0.3)), 2)
    0.84

    References
    ----------
    Meyerhof and Hanna (1978), Canadian Geotechnical Journal 15, chart as in Das, Principles of Foundation Engineering
    (read from memory).
    """
    ratios, adhesions = _chart()
    return np.asarray(np.interp(not_negative("strength_ratio", strength_ratio), ratios, adhesions))[()]


def two_layer_clay(
    upper_strength: ArrayLike,
    lower_strength: ArrayLike,
    *,
    thickness: ArrayLike,
    width: ArrayLike,
    length: ArrayLike,
    unit_weight: ArrayLike = 0.0,
    embedment: ArrayLike = 0.0,
) -> Floats:
    """Ultimate bearing pressure of a rectangle on a layer of clay over another clay.

    Parameters
    ----------
    upper_strength, lower_strength : array_like, shape (...)
        Undrained strength of the layer, and of the clay under it [Pa].
    thickness : array_like, shape (...)
        Thickness of the layer below the contact [m].
    width, length : array_like, shape (...)
        Sides of the contact; the shorter is the width, whichever way they are given [m].
    unit_weight : array_like, shape (...)
        Unit weight of the ground above the contact [N/m3].
    embedment : array_like, shape (...)
        Depth of the contact below the surface [m].

    Returns
    -------
    ndarray, shape (...)
        Ultimate pressure [Pa].

    Raises
    ------
    LawError
        A strength, a thickness or a side not above 0, a unit weight or an embedment below 0.

    Notes
    -----
    The lesser of (1 + 0.2 B/L) 5.14 c1 and (1 + 0.2 B/L) 5.14 c2 + (1 + B/L) 2 ca H/B, plus gamma D; ca / c1 by
    ``adhesion_ratio``. For an upper layer at least as strong as the lower. A weaker one governs by the first bound:
    what a stronger clay adds from below is left out, on the safe side, and nothing jumps where the two are equal.

    Examples
    --------
    >>> pressure = two_layer_clay(
    ...     120e3, 48e3, thickness=1.0, width=1.0, length=1.5, unit_weight=16.8e3, embedment=1.0
    ... )
    >>> round(float(pressure) / 1000, 1)
    656.4

    References
    ----------
    Meyerhof and Hanna (1978), Canadian Geotechnical Journal 15, as in Das, Principles of Foundation Engineering
    (from memory).
    """
    upper, lower = positive("upper_strength", upper_strength), positive("lower_strength", lower_strength)
    sides = positive("width", width), positive("length", length)
    b, l = np.minimum(*sides), np.maximum(*sides)  # the paper's symbols
    overburden = not_negative("unit_weight", unit_weight) * not_negative("embedment", embedment)
    shaped = _shape_factor(b, l) * _BEARING_FACTOR
    adhesion = adhesion_ratio(lower / upper) * upper
    punching = shaped * lower + (1 + b / l) * 2 * adhesion * positive("thickness", thickness) / b
    return np.asarray(np.minimum(shaped * upper, punching) + overburden)[()]


def equivalent_strength(
    upper_strength: ArrayLike,
    lower_strength: ArrayLike,
    *,
    thickness: ArrayLike,
    width: ArrayLike,
    length: ArrayLike,
) -> Floats:
    """Strength of one uniform clay that bears as much as a layer over another clay, at the surface.

    Parameters
    ----------
    upper_strength, lower_strength : array_like, shape (...)
        Undrained strength of the layer, and of the clay under it [Pa].
    thickness : array_like, shape (...)
        Thickness of the layer [m].
    width, length : array_like, shape (...)
        Sides of the contact; the shorter is the width, whichever way they are given [m].

    Returns
    -------
    ndarray, shape (...)
        Undrained strength, from the lower one for a thin layer to the upper one for a thick layer [Pa].

    Raises
    ------
    LawError
        A value not above 0.

    Notes
    -----
    c = q / [(1 + 0.2 B/L) 5.14] with q by ``two_layer_clay`` at the surface, where no ground beside the contact adds
    to it.

    Examples
    --------
    >>> round(float(equivalent_strength(120e3, 40e3, thickness=0.10, width=0.2, length=0.2)) / 1000, 1)
    73.5

    References
    ----------
    Definition, on ``two_layer_clay``.
    """
    pressure = two_layer_clay(upper_strength, lower_strength, thickness=thickness, width=width, length=length)
    sides = np.asarray(width, dtype=float), np.asarray(length, dtype=float)
    return np.asarray(pressure / (_shape_factor(np.minimum(*sides), np.maximum(*sides)) * _BEARING_FACTOR))[()]


def _shape_factor(width: Floats, length: Floats) -> Floats:
    """Shape factor of a rectangle on clay, after Skempton."""
    return 1 + 0.2 * width / length


@cache
def _chart() -> tuple[Floats, Floats]:
    """Strength ratios and adhesion ratios read from the chart."""
    table = files("hardpan.laws").joinpath("data/adhesion.csv").read_text(encoding="utf-8")
    rows = list(csv.DictReader(table.splitlines()))
    ratios, adhesions = ([float(row[name]) for row in rows] for name in ("strength_ratio", "adhesion_ratio"))
    return np.array(ratios), np.array(adhesions)
