"""Mixing water: how much a soil asks for, and the flow, speed and length that carry it.

A litre of water is a kilogram throughout.
"""

from __future__ import annotations

from numpy.typing import ArrayLike

from hardpan.laws.ranges import Floats, not_negative, positive


def water_to_target(
    soil_mass: ArrayLike,
    cement: ArrayLike,
    *,
    water_content: ArrayLike,
    target_water_content: ArrayLike,
    losses: ArrayLike,
) -> Floats:
    """Water to add so that soil and cement together reach a water content.

    Parameters
    ----------
    soil_mass : array_like
        Dry soil in the layer [kg/m2].
    cement : array_like
        Cement [kg/m2].
    water_content : array_like
        Water over dry soil before treatment [fraction of one].
    target_water_content : array_like
        Water wanted over dry soil and cement [fraction of one].
    losses : array_like
        Water lost to heat, wind, set and spill [L/m2].

    Returns
    -------
    ndarray
        Water to add [L/m2]; a negative result is water to lose.

    Raises
    ------
    LawError
        Where the soil's mass is not above zero, cement or losses are negative, or a water content is.

    Notes
    -----
    q = w_t (M_s + C) - w M_s + losses; exact. The losses enter whatever the sign. With masses a minute instead of a
    square metre it gives litres a minute.

    Examples
    --------
    >>> added = water_to_target(480.0, 24.0, water_content=0.19, target_water_content=0.205, losses=3.0)
    >>> round(float(added), 1)
    15.1

    References
    ----------
    H. L. Nichols and D. A. Day, Moving the Earth, p. 8.56.
    """
    soil = positive("soil_mass", soil_mass)
    wanted = not_negative("target_water_content", target_water_content) * (soil + not_negative("cement", cement))
    return wanted - not_negative("water_content", water_content) * soil + not_negative("losses", losses)


def mixed_water_content(
    soil_mass: ArrayLike, cement: ArrayLike, *, water_content: ArrayLike, water_added: ArrayLike = 0.0
) -> Floats:
    """Water content of soil and cement after mixing.

    Parameters
    ----------
    soil_mass : array_like
        Dry soil in the layer [kg/m2].
    cement : array_like
        Cement [kg/m2].
    water_content : array_like
        Water over dry soil before treatment [fraction of one].
    water_added : array_like
        Water that was added and stayed [L/m2].

    Returns
    -------
    ndarray
        Water over dry soil and cement [fraction of one].

    Raises
    ------
    LawError
        Where the soil's mass is not above zero, or another argument is negative.

    Notes
    -----
    w_mix = (w M_s + q) / (M_s + C); exact while the cement has not yet bound any water.

    Examples
    --------
    >>> round(float(mixed_water_content(462.0, 36.0, water_content=0.25)), 3)
    0.232

    References
    ----------
    Conservation of mass.
    """
    soil = positive("soil_mass", soil_mass)
    water = not_negative("water_content", water_content) * soil + not_negative("water_added", water_added)
    return water / (soil + not_negative("cement", cement))


def water_per_point(dry_mass: ArrayLike) -> Floats:
    """Water that changes the water content by one point (one percent of the dry mass).

    Parameters
    ----------
    dry_mass : array_like
        Dry mass in the layer [kg/m2].

    Returns
    -------
    ndarray
        Water for one point [L/m2].

    Raises
    ------
    LawError
        Where the mass is not above zero.

    Notes
    -----
    q = 0.01 M; exact.

    Examples
    --------
    >>> round(float(water_per_point(480.0)), 6)
    4.8

    References
    ----------
    Definition of water content.
    """
    return 0.01 * positive("dry_mass", dry_mass)


def pump_flow(speed: ArrayLike, width: ArrayLike, rate: ArrayLike) -> Floats:
    """Flow that wets a width at a rate while driving at a speed.

    Parameters
    ----------
    speed : array_like
        Forward speed [m/s].
    width : array_like
        Wetted width: that of the open nozzles, not of the drum [m].
    rate : array_like
        Water wanted [L/m2].

    Returns
    -------
    ndarray
        Flow [L/s].

    Raises
    ------
    LawError
        Where speed or width are not above zero, or the rate is negative.

    Notes
    -----
    Q = v b q; exact.

    Examples
    --------
    >>> round(60 * float(pump_flow(10 / 60, 2.3, 34.0)), 6)
    782.0

    References
    ----------
    H. L. Nichols and D. A. Day, Moving the Earth, p. 8.56.
    """
    return positive("speed", speed) * positive("width", width) * not_negative("rate", rate)


def speed_for_flow(flow: ArrayLike, width: ArrayLike, rate: ArrayLike) -> Floats:
    """Speed at which a flow wets a width at a rate: the fastest that a pump allows.

    Parameters
    ----------
    flow : array_like
        Flow of the pump [L/s].
    width : array_like
        Wetted width [m].
    rate : array_like
        Water wanted [L/m2].

    Returns
    -------
    ndarray
        Forward speed [m/s].

    Raises
    ------
    LawError
        Where an argument is not above zero.

    Notes
    -----
    v = Q / (b q); exact.

    Examples
    --------
    >>> round(60 * float(speed_for_flow(250 / 60, 2.40, 15.0)), 1)
    6.9

    References
    ----------
    H. L. Nichols and D. A. Day, Moving the Earth, p. 8.56, turned round.
    """
    return positive("flow", flow) / (positive("width", width) * positive("rate", rate))


def rate_at_flow(flow: ArrayLike, speed: ArrayLike, width: ArrayLike) -> Floats:
    """Water on the ground from a flow, a speed and a width.

    Parameters
    ----------
    flow : array_like
        Flow of the pump [L/s].
    speed : array_like
        Forward speed [m/s].
    width : array_like
        Wetted width [m].

    Returns
    -------
    ndarray
        Water [L/m2].

    Raises
    ------
    LawError
        Where the flow is negative, or speed or width are not above zero.

    Notes
    -----
    q = Q / (v b); exact.

    Examples
    --------
    >>> round(float(rate_at_flow(782 / 60, 10 / 60, 2.3)), 6)
    34.0

    References
    ----------
    H. L. Nichols and D. A. Day, Moving the Earth, p. 8.56, turned round.
    """
    return not_negative("flow", flow) / (positive("speed", speed) * positive("width", width))


def truck_length(volume: ArrayLike, rate: ArrayLike, width: ArrayLike) -> Floats:
    """Length of cut that one water truck wets.

    Parameters
    ----------
    volume : array_like
        Water in the truck [L].
    rate : array_like
        Water on the ground [L/m2].
    width : array_like
        Wetted width [m].

    Returns
    -------
    ndarray
        Length of cut [m].

    Raises
    ------
    LawError
        Where the volume is negative, or rate or width are not above zero.

    Notes
    -----
    L = V / (q b); exact.

    Examples
    --------
    >>> round(float(truck_length(12_000.0, 34.0, 2.3)))
    153

    References
    ----------
    Conservation of mass.
    """
    return not_negative("volume", volume) / (positive("rate", rate) * positive("width", width))


def truck_time(volume: ArrayLike, flow: ArrayLike) -> Floats:
    """Time in which a coupled water truck empties.

    Parameters
    ----------
    volume : array_like
        Water in the truck [L].
    flow : array_like
        Flow taken from it [L/s].

    Returns
    -------
    ndarray
        Time [s].

    Raises
    ------
    LawError
        Where the volume is negative or the flow is not above zero.

    Notes
    -----
    t = V / Q; exact. A coupled truck empties in 10 to 15 minutes (common practice, no source).

    Examples
    --------
    >>> round(float(truck_time(12_000.0, 782 / 60)) / 60, 1)
    15.3

    References
    ----------
    Conservation of mass.
    """
    return not_negative("volume", volume) / positive("flow", flow)
