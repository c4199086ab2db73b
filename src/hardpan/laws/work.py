"""Machine time: mixing, rolling, blading, filling, hauling, and the block that fits a clock."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike

from hardpan.errors import LawError
from hardpan.laws.ranges import Floats, Range, holds_for, not_negative, positive


@holds_for(Range("speed", 3 / 60, 25 / 60, "m/s", "3 m/min in heavy wet clay to 25 in light soil; common practice"))
def mixing_time(length: ArrayLike, speed: ArrayLike, *, cuts: ArrayLike, turn: ArrayLike) -> Floats:
    """Time of one mixing pass over a block: every cut once, with its turn.

    Parameters
    ----------
    length : array_like
        Length of the block [m].
    speed : array_like
        Forward speed of the mixer [m/s].
    cuts : array_like
        Number of cuts side by side [1].
    turn : array_like
        Time from the end of a cut to the start of the next [s].

    Returns
    -------
    ndarray
        Time [s].

    Raises
    ------
    LawError
        Where length, speed or cuts are not above zero, or the turn is negative.

    Notes
    -----
    t = n (L / v + turn); a turn is counted for every cut, the last included.

    Examples
    --------
    >>> round(float(mixing_time(80.0, 12 / 60, cuts=4, turn=120.0)) / 60, 1)
    34.7

    References
    ----------
    Distance over speed; speeds are common practice, no source.
    """
    straight = positive("length", length) / positive("speed", speed)
    return positive("cuts", cuts) * (straight + not_negative("turn", turn))


def mixing_rate(width: ArrayLike, speed: ArrayLike, *, efficiency: ArrayLike = 1.0) -> Floats:
    """Area that a mixer covers in a unit of time.

    Parameters
    ----------
    width : array_like
        Net width of a cut, overlap taken off [m].
    speed : array_like
        Forward speed [m/s].
    efficiency : array_like
        Working share of the time, above 0 to 1 [1]; a 50-minute hour is 0.833.

    Returns
    -------
    ndarray
        Area in a unit of time [m2/s].

    Raises
    ------
    LawError
        Where width or speed are not above zero, or the efficiency is not above 0 to 1.

    Notes
    -----
    A/t = W v eta.

    Examples
    --------
    >>> round(3600 * float(mixing_rate(2.4, 8 / 60, efficiency=0.75)), 6)
    864.0

    References
    ----------
    FM 5-434, Earthmoving Operations, production of machines that work in passes (from memory).
    """
    return rolling_rate(width, speed, passes=1, efficiency=efficiency)


def rolling_rate(width: ArrayLike, speed: ArrayLike, *, passes: ArrayLike, efficiency: ArrayLike = 1.0) -> Floats:
    """Area that a roller finishes in a unit of time.

    Parameters
    ----------
    width : array_like
        Net drum width, overlap taken off [m].
    speed : array_like
        Rolling speed [m/s].
    passes : array_like
        Rolling passes over every place [1].
    efficiency : array_like
        Working share of the time, above 0 to 1 [1]; a 50-minute hour is 0.833.

    Returns
    -------
    ndarray
        Finished area in a unit of time [m2/s]; times the layer's thickness it is the compacted volume.

    Raises
    ------
    LawError
        Where width, speed or passes are not above zero, or the efficiency is not above 0 to 1.

    Notes
    -----
    A/t = W S eta / P. In feet, miles an hour, inches and cubic yards an hour: W S L 16.3 / P (5280/27/12 = 16.296).

    Examples
    --------
    >>> round(3600 * float(rolling_rate(1.98, 4000 / 3600, passes=6, efficiency=0.8)), 1)
    1056.0

    References
    ----------
    FM 5-434, Earthmoving Operations, compactor production (from memory).
    """
    swept = positive("width", width) * positive("speed", speed)
    return swept * _efficiency(efficiency) / positive("passes", passes)


def area_time(area: ArrayLike, rate: ArrayLike) -> Floats:
    """Time to finish an area.

    Parameters
    ----------
    area : array_like
        Area [m2].
    rate : array_like
        Area in a unit of time [m2/s].

    Returns
    -------
    ndarray
        Time [s].

    Raises
    ------
    LawError
        Where the area is negative or the rate is not above zero.

    Notes
    -----
    t = A / rate.

    Examples
    --------
    >>> round(float(area_time(720.0, 1056 / 3600)) / 60, 1)
    40.9

    References
    ----------
    FM 5-434, Earthmoving Operations, compactor production (from memory).
    """
    return not_negative("area", area) / positive("rate", rate)


def blading_time(
    distance: ArrayLike, passes_and_speeds: Sequence[tuple[float, float]], *, efficiency: ArrayLike = 1.0
) -> Floats:
    """Time of a motor grader on a length of street.

    Parameters
    ----------
    distance : array_like
        Length bladed in one pass, times the blades side by side [m].
    passes_and_speeds : sequence of (float, float)
        Number of passes and their speed [m/s] for every kind of pass.
    efficiency : array_like
        Working share of the time, above 0 to 1 [1].

    Returns
    -------
    ndarray
        Time [s].

    Raises
    ------
    LawError
        Where the distance is negative, a number of passes or a speed is not above zero, there is no pass at all,
        or the efficiency is not above 0 to 1.

    Notes
    -----
    t = sum of P D / (S E). Passes at several speeds never take a mean of the speeds: see ``job_speed``.

    Examples
    --------
    >>> kmh = 1 / 3.6
    >>> seconds = blading_time(3 * 30_000.0, [(2, 6 * kmh), (2, 8 * kmh), (2, 10 * kmh)], efficiency=0.75)
    >>> round(float(seconds) / 3600, 1)
    94.0

    References
    ----------
    NAVEDTRA 14081, p. 10-15, grader estimates.
    """
    pairs = positive("passes_and_speeds", passes_and_speeds)
    if pairs.ndim != 2 or pairs.shape[1] != 2:
        raise LawError("passes_and_speeds", passes_and_speeds, "one or more pairs (passes, speed)")
    seconds_a_metre = float(np.sum(pairs[:, 0] / pairs[:, 1]))
    return not_negative("distance", distance) * seconds_a_metre / _efficiency(efficiency)


def job_speed(distances: ArrayLike, speeds: ArrayLike) -> float:
    """Speed of a whole job whose parts were driven at different speeds.

    Parameters
    ----------
    distances : array_like, shape (n,)
        Distances driven [m].
    speeds : array_like, shape (n,)
        Speed on each [m/s].

    Returns
    -------
    float
        Total distance over total time [m/s].

    Raises
    ------
    LawError
        Where a distance or a speed is not above zero, or there is none.

    Notes
    -----
    v = sum D / sum (D / v): the harmonic mean weighted by distance, never above the mean of the speeds.

    Examples
    --------
    >>> round(job_speed([1.0, 1.0, 1.0], [6.0, 8.0, 10.0]), 2)
    7.66

    References
    ----------
    NAVEDTRA 14081, p. 10-15, grader estimates.
    """
    distance = positive("distances", distances)
    if not distance.size:
        raise LawError("distances", distances, "one or more")
    times = distance / positive("speeds", speeds)
    return float(np.sum(np.broadcast_to(distance, times.shape)) / np.sum(times))


def transfer_time(load: ArrayLike, rate: ArrayLike, *, coupling: ArrayLike = 0.0) -> Floats:
    """Time to blow a load of cement from a truck into a spreader, or to pump a load of water.

    Parameters
    ----------
    load : array_like
        Cement or water moved [kg].
    rate : array_like
        Mass moved in a unit of time [kg/s].
    coupling : array_like
        Time to couple and uncouple [s].

    Returns
    -------
    ndarray
        Time [s].

    Raises
    ------
    LawError
        Where load or coupling are negative, or the rate is not above zero.

    Notes
    -----
    t = coupling + load / rate.

    Examples
    --------
    >>> round(float(transfer_time(15_000.0, 900 / 60, coupling=240.0)) / 60, 1)
    20.7

    References
    ----------
    Mass over rate; 0.7 to 1.2 t/min and 4 min of coupling are common practice, no source.
    """
    return not_negative("coupling", coupling) + not_negative("load", load) / positive("rate", rate)


def haul_cycle(
    distance: ArrayLike,
    *,
    loaded_speed: ArrayLike,
    empty_speed: ArrayLike,
    loading: ArrayLike,
    dumping: ArrayLike,
) -> Floats:
    """Cycle of a truck that is loaded, hauls, dumps and comes back.

    Parameters
    ----------
    distance : array_like
        One-way distance [m].
    loaded_speed, empty_speed : array_like
        Mean speeds out and back [m/s].
    loading, dumping : array_like
        Time at each end, waiting and manoeuvring included [s].

    Returns
    -------
    ndarray
        Time of a cycle [s].

    Raises
    ------
    LawError
        Where a speed is not above zero, or a distance or a time is negative.

    Notes
    -----
    t = loading + D / v1 + dumping + D / v2.

    Examples
    --------
    >>> round(float(haul_cycle(10_000.0, loaded_speed=10.0, empty_speed=20.0, loading=600.0, dumping=120.0)), 1)
    2220.0

    References
    ----------
    FM 5-434, Earthmoving Operations, hauling equipment (from memory).
    """
    one_way = not_negative("distance", distance)
    driving = one_way / positive("loaded_speed", loaded_speed) + one_way / positive("empty_speed", empty_speed)
    return not_negative("loading", loading) + driving + not_negative("dumping", dumping)


def trucks_to_keep_busy(truck_cycle: ArrayLike, service_time: ArrayLike) -> Floats:
    """Balance number of trucks for one machine that serves, or is served by, one truck at a time.

    Parameters
    ----------
    truck_cycle : array_like
        Time of a truck's cycle, its service included and no waiting [s].
    service_time : array_like
        Time that the machine spends on one truck [s].

    Returns
    -------
    ndarray
        Balance number; the next whole number keeps the machine busy, the one before keeps the trucks busy.

    Raises
    ------
    LawError
        Where an argument is not above zero, or the service is longer than the cycle.

    Notes
    -----
    n = T_truck / T_service. A mixer with coupled water trucks is the same sum: service is the time a truck is coupled.

    Examples
    --------
    >>> round(float(trucks_to_keep_busy(39.5, 5.5)), 2)
    7.18

    References
    ----------
    FM 5-434, Earthmoving Operations, number of trucks required (from memory).
    """
    cycle, service = positive("truck_cycle", truck_cycle), positive("service_time", service_time)
    if bool(np.any(service > cycle)):
        raise LawError("service_time", service_time, f"at most the truck's cycle, {cycle}")
    return cycle / service


def hauled_rate(trucks: ArrayLike, load: ArrayLike, truck_cycle: ArrayLike, *, machine_rate: ArrayLike) -> Floats:
    """Rate that a number of trucks brings, capped by the machine that loads or takes.

    Parameters
    ----------
    trucks : array_like
        Number of trucks [1].
    load : array_like
        Load of one truck [kg, m3 or L].
    truck_cycle : array_like
        Time of a truck's cycle [s].
    machine_rate : array_like
        What the machine alone can do [kg/s, m3/s or L/s].

    Returns
    -------
    ndarray
        Rate in the load's unit a second.

    Raises
    ------
    LawError
        Where trucks or load are negative, or cycle or machine rate are not above zero.

    Notes
    -----
    rate = min(n load / T, machine rate).

    Examples
    --------
    >>> float(hauled_rate(8, 12.0, 60.0, machine_rate=1.5))
    1.5

    References
    ----------
    FM 5-434, Earthmoving Operations, number of trucks required (from memory).
    """
    brought = not_negative("trucks", trucks) * not_negative("load", load) / positive("truck_cycle", truck_cycle)
    return np.minimum(brought, positive("machine_rate", machine_rate))


def longest_block(limit: ArrayLike, per_metre_time: ArrayLike, fixed_time: ArrayLike) -> Floats:
    """Longest block that closes inside a time limit.

    Parameters
    ----------
    limit : array_like
        Time allowed from the event that starts the clock to the event that stops it [s].
    per_metre_time : array_like
        Time on the clock that a metre of block takes [s/m].
    fixed_time : array_like
        Time on the clock that no shorter block saves: turns, lags [s].

    Returns
    -------
    ndarray
        Length of block [m]; 0 where the fixed time alone is over the limit.

    Raises
    ------
    LawError
        Where limit or fixed time are negative, or the time a metre is not above zero.

    Notes
    -----
    L = (limit - fixed) / per metre.

    Examples
    --------
    >>> float(longest_block(7200.0, 80.0, 1200.0))
    75.0

    References
    ----------
    Time over time a metre.
    """
    spare = not_negative("limit", limit) - not_negative("fixed_time", fixed_time)
    return np.maximum(spare, 0.0) / positive("per_metre_time", per_metre_time)


def _efficiency(efficiency: ArrayLike) -> Floats:
    """Working share of the time, checked."""
    share = positive("efficiency", efficiency)
    if bool(np.any(share > 1)):
        raise LawError("efficiency", efficiency, "a share of the time above 0, at most 1")
    return share
