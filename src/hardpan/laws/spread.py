"""Cement on the ground: percent and rate, how far a load goes, and where each one runs out."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from hardpan.errors import LawError
from hardpan.laws.ranges import Floats, Range, fraction, holds_for, not_negative, positive

# Sums of some hundred products agree to this part of the whole: a tenth of a gram on 100 t.
_ROUNDING = 1e-9


def rate_from_percent(cement_content: ArrayLike, dry_density: ArrayLike, depth: ArrayLike) -> Floats:
    """Rate of cement that gives a content, by dry mass of soil.

    Parameters
    ----------
    cement_content : array_like
        Cement over oven-dry soil [fraction of one].
    dry_density : array_like
        Dry density of the soil alone, in the state that ``depth`` is measured in [kg/m3].
    depth : array_like
        Depth of the layer [m].

    Returns
    -------
    ndarray
        Rate [kg/m2], broadcast over the arguments.

    Raises
    ------
    LawError
        Where the content is not a fraction, or density or depth are not above zero.

    Notes
    -----
    rate = c rho_d D; exact. In lb/yd2, inches and lb/ft3 the factor is 0.75 (9 ft2 a square yard over 12 in a foot).

    Examples
    --------
    >>> round(float(rate_from_percent(0.05, 1600.0, 0.300)), 6)
    24.0

    References
    ----------
    Ohio DOT, Manual of Procedures (2003), item 804: 6 %, 110 lb/ft3, 16 in gives 79 lb/yd2.
    """
    return fraction("cement_content", cement_content) * positive("dry_density", dry_density) * positive("depth", depth)


def content_from_rate(rate: ArrayLike, dry_density: ArrayLike, depth: ArrayLike) -> Floats:
    """Cement content, by dry mass of soil, that a rate gives.

    Parameters
    ----------
    rate : array_like
        Cement spread [kg/m2].
    dry_density : array_like
        Dry density of the soil alone, in the state that ``depth`` is measured in [kg/m3].
    depth : array_like
        Depth of the layer [m].

    Returns
    -------
    ndarray
        Cement over oven-dry soil [fraction of one].

    Raises
    ------
    LawError
        Where the rate is negative, or density or depth are not above zero.

    Notes
    -----
    c = rate / (rho_d D); exact.

    Examples
    --------
    >>> round(float(content_from_rate(28.0, 1475.0, 0.300)), 4)
    0.0633

    References
    ----------
    Ohio DOT, Manual of Procedures (2003), item 804, turned round.
    """
    return not_negative("rate", rate) / (positive("dry_density", dry_density) * positive("depth", depth))


def soil_density_from_mixture(mixture_density: ArrayLike, cement_content: ArrayLike) -> Floats:
    """Dry density of the soil alone in a mixture of soil and cement.

    Parameters
    ----------
    mixture_density : array_like
        Dry density of soil and cement together, as a moisture-density test of the mixture reports it [kg/m3].
    cement_content : array_like
        Cement over oven-dry soil [fraction of one].

    Returns
    -------
    ndarray
        Dry soil in a cubic metre of mixture [kg/m3].

    Raises
    ------
    LawError
        Where the density is not above zero or the content is not a fraction.

    Notes
    -----
    rho_s = rho_mix / (1 + c); exact. A rate figured on the mixture's density is too high by the factor 1 + c.

    Examples
    --------
    >>> round(float(soil_density_from_mixture(1696.0, 0.06)), 6)
    1600.0

    References
    ----------
    ASTM D558, whose maximum density is that of soil and cement together.
    """
    return positive("mixture_density", mixture_density) / (1 + fraction("cement_content", cement_content))


def content_of_mixture(cement_content: ArrayLike) -> Floats:
    """Cement over soil and cement, from cement over soil.

    Parameters
    ----------
    cement_content : array_like
        Cement over oven-dry soil [fraction of one].

    Returns
    -------
    ndarray
        Cement over oven-dry soil and cement [fraction of one].

    Raises
    ------
    LawError
        Where the content is not a fraction.

    Notes
    -----
    c_mix = c / (1 + c); exact.

    Examples
    --------
    >>> round(float(content_of_mixture(0.25)), 6)
    0.2

    References
    ----------
    Conservation of mass.
    """
    content = fraction("cement_content", cement_content)
    return content / (1 + content)


def content_of_soil(mixture_content: ArrayLike) -> Floats:
    """Cement over soil, from cement over soil and cement.

    Parameters
    ----------
    mixture_content : array_like
        Cement over oven-dry soil and cement [fraction of one].

    Returns
    -------
    ndarray
        Cement over oven-dry soil [fraction of one].

    Raises
    ------
    LawError
        Where the content is not a fraction.

    Notes
    -----
    c = c_mix / (1 - c_mix); exact.

    Examples
    --------
    >>> round(float(content_of_soil(0.2)), 6)
    0.25

    References
    ----------
    Conservation of mass.
    """
    content = fraction("mixture_content", mixture_content)
    return content / (1 - content)


def coverage_length(load: ArrayLike, rate: ArrayLike, width: ArrayLike) -> Floats:
    """Length of strip that one load covers.

    Parameters
    ----------
    load : array_like
        Cement in the hopper, or in one bag [kg].
    rate : array_like
        Cement spread [kg/m2].
    width : array_like
        Width of the strip [m].

    Returns
    -------
    ndarray
        Length of strip [m].

    Raises
    ------
    LawError
        Where the load is negative, or rate or width are not above zero.

    Notes
    -----
    L = load / (rate b); exact, and without any handling allowance.

    Examples
    --------
    >>> round(float(coverage_length(15_000.0, 24.0, 2.25)), 1)
    277.8

    References
    ----------
    Portland Cement Association, PA050, Soil-Cement Inspector's Manual (contents seen, pages not).
    """
    return not_negative("load", load) / (positive("rate", rate) * positive("width", width))


def tray_rate(gross: ArrayLike, tare: ArrayLike, area: ArrayLike) -> Floats:
    """Rate that a tray or canvas caught.

    Parameters
    ----------
    gross : array_like
        Tray with the cement it caught [kg].
    tare : array_like
        Tray empty [kg].
    area : array_like
        Area of the tray [m2].

    Returns
    -------
    ndarray
        Rate at the tray [kg/m2].

    Raises
    ------
    LawError
        Where the tray weighs less full than empty, or the area is not above zero.

    Notes
    -----
    rate = (gross - tare) / area; exact.

    Examples
    --------
    >>> float(tray_rate(14.5, 2.5, 0.5))
    24.0

    References
    ----------
    Portland Cement Association, PA050, Soil-Cement Inspector's Manual (contents seen, pages not).
    """
    caught = not_negative("gross", gross) - not_negative("tare", tare)
    return not_negative("gross less tare", caught) / positive("area", area)


def load_rate(load: ArrayLike, area: ArrayLike) -> Floats:
    """Mean rate of a load over the area it went on.

    Parameters
    ----------
    load : array_like
        Cement placed [kg].
    area : array_like
        Area it was spread on [m2].

    Returns
    -------
    ndarray
        Mean rate [kg/m2].

    Raises
    ------
    LawError
        Where the load is negative or the area is not above zero.

    Notes
    -----
    rate = load / area; exact.

    Examples
    --------
    >>> round(float(load_rate(93_620.0, 3_600.0)), 2)
    26.01

    References
    ----------
    Portland Cement Association, PA050, Soil-Cement Inspector's Manual (contents seen, pages not).
    """
    return not_negative("load", load) / positive("area", area)


def spreading_speed(discharge: ArrayLike, rate: ArrayLike, width: ArrayLike) -> Floats:
    """Speed at which a spreader lays a rate.

    Parameters
    ----------
    discharge : array_like
        Cement leaving the spreader [kg/s].
    rate : array_like
        Cement wanted on the ground [kg/m2].
    width : array_like
        Width of the strip [m].

    Returns
    -------
    ndarray
        Speed [m/s].

    Raises
    ------
    LawError
        Where an argument is not above zero.

    Notes
    -----
    v = discharge / (rate b); exact.

    Examples
    --------
    >>> round(60 * float(spreading_speed(2160 / 60, 36.0, 2.25)), 1)
    26.7

    References
    ----------
    Portland Cement Association, PA050, Soil-Cement Inspector's Manual (contents seen, pages not).
    """
    return positive("discharge", discharge) / (positive("rate", rate) * positive("width", width))


@holds_for(Range("speed", 20 / 60, 60 / 60, "m/s", "20 to 60 m/min; common practice, no source"))
def discharge_needed(speed: ArrayLike, rate: ArrayLike, width: ArrayLike) -> Floats:
    """Discharge that lays a rate at a speed.

    Parameters
    ----------
    speed : array_like
        Speed of the spreader [m/s].
    rate : array_like
        Cement wanted on the ground [kg/m2].
    width : array_like
        Width of the strip [m].

    Returns
    -------
    ndarray
        Cement leaving the spreader [kg/s].

    Raises
    ------
    LawError
        Where an argument is not above zero.

    Notes
    -----
    discharge = v rate b; exact. Spreaders work at 20 to 60 m/min (common practice, no source).

    Examples
    --------
    >>> round(60 * float(discharge_needed(40 / 60, 24.0, 2.25)), 6)
    2160.0

    References
    ----------
    Portland Cement Association, PA050, Soil-Cement Inspector's Manual (contents seen, pages not).
    """
    return positive("speed", speed) * positive("rate", rate) * positive("width", width)


@holds_for(Range("bulk_density", 800.0, 1510.0, "kg/m3", "blown cement to cement settled in a sack; from memory"))
def powder_depth(rate: ArrayLike, bulk_density: ArrayLike) -> Floats:
    """Depth of cement powder lying on the ground before mixing.

    Parameters
    ----------
    rate : array_like
        Cement spread [kg/m2].
    bulk_density : array_like
        Bulk density of the powder as it lies [kg/m3].

    Returns
    -------
    ndarray
        Depth of powder [m].

    Raises
    ------
    LawError
        Where the rate is negative or the density is not above zero.

    Notes
    -----
    t = rate / rho_bulk; exact. A sack of 94 lb in one cubic foot is 1,506 kg/m3, freshly blown cement as little as 800.

    Examples
    --------
    >>> round(1000 * float(powder_depth(24.0, 1200.0)), 1)
    20.0

    References
    ----------
    Portland Cement Association, EB052 (a sack is 94 lb and one cubic foot; from memory).
    """
    return not_negative("rate", rate) / positive("bulk_density", bulk_density)


@dataclass(frozen=True, slots=True, eq=False)
class RunOuts:
    """Where each fill runs out on a walk along strips.

    Attributes
    ----------
    segment : ndarray of int, shape (k,)
        Segment of the walk on which the fill runs out; -1 where the walk ends first.
    distance : ndarray, shape (k,)
        Distance into that segment, in the direction of the walk [m]; nan where the walk ends first.
    unused : float
        Left of the fills at the end of the walk [kg or L].
    missing : float
        Demand that the fills do not meet [kg or L].
    """

    segment: NDArray[np.intp]
    distance: Floats
    unused: float
    missing: float


def run_outs(lengths: ArrayLike, per_metre: ArrayLike, fills: ArrayLike) -> RunOuts:
    """Places where the fills of a spreader, or the loads of water trucks, run out.

    Parameters
    ----------
    lengths : array_like, shape (n,)
        Lengths of the segments of strip in the order in which they are worked [m].
    per_metre : array_like, shape (n,)
        Demand of each segment, zero allowed [kg/m or L/m].
    fills : array_like, shape (k,)
        Fills in the order in which they are used [kg or L].

    Returns
    -------
    RunOuts
        Segment and distance for every fill, what is unused and what is missing.

    Raises
    ------
    LawError
        Where an argument is negative or not a list, or there is not one demand for each length.

    Notes
    -----
    Fill i runs out where the cumulated demand first reaches the sum of fills 0 to i. A demand that is met exactly at the
    very end counts as the end of the walk, not as a run-out.

    Examples
    --------
    >>> found = run_outs([100.0, 50.0], [10.0, 20.0], [1200.0, 900.0])
    >>> found.segment.tolist(), found.distance.tolist(), found.unused, found.missing
    ([1, -1], [10.0, nan], 100.0, 0.0)

    References
    ----------
    Conservation of mass.
    """
    length, demand, cumulated_fills = _walk(lengths, per_metre, fills)
    cumulated = np.cumsum(length * demand)
    total = float(cumulated[-1]) if cumulated.size else 0.0
    supply = float(cumulated_fills[-1]) if cumulated_fills.size else 0.0
    rounding = _ROUNDING * total
    ends_first = cumulated_fills >= total - rounding
    segment = np.searchsorted(cumulated, cumulated_fills)
    distance = np.full(cumulated_fills.shape, np.nan)
    on = segment[~ends_first]
    left = cumulated_fills[~ends_first] - (cumulated - length * demand)[on]
    # Only a first fill of nothing can stand on a segment without demand: it runs out where it starts.
    into = np.divide(left, demand[on], out=np.zeros_like(left), where=demand[on] > 0)
    distance[~ends_first] = np.clip(into, 0, length[on])
    return RunOuts(
        segment=np.where(ends_first, -1, segment),
        distance=distance,
        unused=max(supply - total, 0.0),
        missing=total - supply if total - supply > rounding else 0.0,
    )


def _walk(lengths: ArrayLike, per_metre: ArrayLike, fills: ArrayLike) -> tuple[Floats, Floats, Floats]:
    """Lengths, demands and cumulated fills, checked."""
    length = not_negative("lengths", lengths)
    demand = not_negative("per_metre", per_metre)
    fill = not_negative("fills", fills)
    if length.ndim != 1 or fill.ndim != 1:
        raise LawError("lengths, fills", f"{length.ndim} and {fill.ndim} dimensions", "one list each")
    if demand.shape != length.shape:
        raise LawError("per_metre", f"{demand.size} demands for {length.size} lengths", "one demand for each length")
    return length, demand, np.cumsum(fill)
