"""Strength of cement-treated soil: by age, temperature and delay; from cement, water and density; what follows from it."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from hardpan.errors import LawError
from hardpan.laws.ranges import Floats, Range, fraction, holds_for, not_negative, positive

GAS_CONSTANT = 8.314
"""Gas constant [J/mol/K]."""

ZERO_CELSIUS = 273.15
"""Freezing point of water [K]."""

REFERENCE_CELSIUS = 20.0
"""Temperature at which a day is a day of equivalent age [C]."""

_PSI = 6_894.757  # Pa

STRENGTH_PER_PERCENT = {"fine": (40 * _PSI, 80 * _PSI), "granular": (80 * _PSI, 150 * _PSI)}
"""Unconfined strength for one percent of cement, from and to [Pa]; Mitchell 1976 in psi, from memory."""

GAIN_PER_PERCENT = {"fine": 70e3, "granular": 480e3}
"""Gain of strength in a tenfold age for one percent of cement [Pa]; Mitchell 1976, 10 and 70 psi, from memory."""


@holds_for(Range("s", 0.20, 0.38, "-", "rapid 0.20, normal 0.25, slow 0.38 (CEB-FIP Model Code)"))
def age_factor(equivalent_days: ArrayLike, s: ArrayLike = 0.25) -> Floats:
    """Strength at an age over that at 28 days.

    Parameters
    ----------
    equivalent_days : array_like, shape (...)
        Age at 20 C, see ``equivalent_age`` [d].
    s : array_like, shape (...)
        Slowness of the cement: 0.20 rapid, 0.25 normal, 0.38 slow [-].

    Returns
    -------
    ndarray, shape (...)
        Strength over strength at 28 days, 0 at age 0 [-].

    Raises
    ------
    LawError
        An age below 0, or s not above 0.

    Notes
    -----
    exp[s (1 - sqrt(28 / te))]: above 0 at every age, unlike the laws in the logarithm of age. s from 0.20 to 0.38.

    Examples
    --------
    >>> [round(float(factor), 3) for factor in age_factor([1, 2, 7, 28])]
    [0.342, 0.504, 0.779, 1.0]

    References
    ----------
    CEB-FIP Model Code 1990, 2.1.6.1.
    """
    slowness = positive("s", s)
    # at age 0 the root is infinite and the factor 0, its limit
    with np.errstate(divide="ignore"):
        root = np.sqrt(np.divide(28.0, not_negative("equivalent_days", equivalent_days)))
    return np.asarray(np.exp(slowness * (1 - root)))[()]


@holds_for(Range("celsius", 0.0, 40.0, "C", "water freezes below; hotter ground is rare (common practice, no source)"))
def equivalent_age(days: ArrayLike, celsius: ArrayLike, *, activation_energy: ArrayLike = 33_500.0) -> Floats:
    """Age at 20 C that gives the strength of an age at another temperature.

    Parameters
    ----------
    days : array_like, shape (...)
        Time at the temperature; add the results of spells at several temperatures [d].
    celsius : array_like, shape (...)
        Temperature of the treated ground [C].
    activation_energy : array_like, shape (...)
        Apparent activation energy of the cement [J/mol].

    Returns
    -------
    ndarray, shape (...)
        Equivalent age, in the unit of ``days``: hours give hours [d].

    Raises
    ------
    LawError
        A time below 0, a temperature of -273.15 C and below, or an activation energy below 0.

    Notes
    -----
    te = t exp[-(Ea / R) (1 / T - 1 / Tr)], T in K, Tr = 293.15 K, R = 8.314 J/mol/K. From 0 to 40 C.

    Examples
    --------
    >>> round(float(equivalent_age(2.0, 10.0)), 3)
    1.231

    References
    ----------
    ASTM C1074; Freiesleben Hansen and Pedersen (1977), from memory.
    """
    temperature = np.asarray(celsius, dtype=float) + ZERO_CELSIUS
    if not bool(np.all(np.isfinite(temperature) & (temperature > 0))):
        raise LawError("celsius", celsius, f"a temperature above {-ZERO_CELSIUS} C")
    slowing = 1 / temperature - 1 / (REFERENCE_CELSIUS + ZERO_CELSIUS)
    energy = not_negative("activation_energy", activation_energy)
    return np.asarray(not_negative("days", days) * np.exp(-energy / GAS_CONSTANT * slowing))[()]


@holds_for(Range("hours", 0.0, 5.0, "h", "fitted to one delay of 5 h; laterite with quarry dust, 0 to 10 % cement"))
def delay_factor(hours: ArrayLike) -> Floats:
    """Strength left by a delay between mixing and compaction.

    Parameters
    ----------
    hours : array_like, shape (...)
        Delay, as equivalent age at 20 C [h].

    Returns
    -------
    ndarray, shape (...)
        Strength over strength without the delay [-].

    Raises
    ------
    LawError
        A delay below 0.

    Notes
    -----
    exp(-0.07 t). One published point carries it: 29.5 % of unconfined strength lost in 5 h. Density falls far less, so
    it does not tell strength.

    Examples
    --------
    >>> round(float(delay_factor(5.0)), 3)
    0.705

    References
    ----------
    Ubani et al., delay of compaction of cement-treated laterite with quarry dust (synapsesocial.com); the form is a fit.
    """
    return np.asarray(np.exp(-0.07 * not_negative("hours", hours)))[()]


@holds_for(Range("strength_per_percent", 275e3, 1035e3, "Pa", "40 to 150 psi, fine to granular soil, from memory"))
def unconfined_by_percent(cement_content: ArrayLike, *, strength_per_percent: ArrayLike) -> Floats:
    """Unconfined strength in proportion to cement.

    Parameters
    ----------
    cement_content : array_like, shape (...)
        Cement over oven-dry soil, 0.06 for 6 % [fraction of one].
    strength_per_percent : array_like, shape (...)
        Strength for one percent; ``STRENGTH_PER_PERCENT`` gives what was found [Pa].

    Returns
    -------
    ndarray, shape (...)
        Unconfined compressive strength [Pa].

    Raises
    ------
    LawError
        A content that is no fraction, or a strength not above 0.

    Notes
    -----
    qu = k C, C in percent; k from 40 to 80 psi in fine and from 80 to 150 psi in granular soil. Compacted near optimum:
    in clay wet of it even the least k promises too much, see ``unconfined_by_water_cement``.

    Examples
    --------
    >>> low, high = unconfined_by_percent(0.06, strength_per_percent=STRENGTH_PER_PERCENT["fine"])
    >>> round(float(low) / 1e3), round(float(high) / 1e3)
    (1655, 3309)

    References
    ----------
    Mitchell (1976), The properties of cement-stabilized soils, as in ACI 230.1R (from memory).
    """
    return positive("strength_per_percent", strength_per_percent) * 100 * fraction("cement_content", cement_content)


@holds_for(
    Range("reference_ratio", 2.5, 15.0, "-", "range of the tests, from memory"),
    Range("ratio", 2.5, 15.0, "-", "range of the tests, from memory"),
)
def unconfined_by_water_cement(reference: ArrayLike, reference_ratio: ArrayLike, ratio: ArrayLike) -> Floats:
    """Unconfined strength at another ratio of water to cement, the clay, age and cement being the same.

    Parameters
    ----------
    reference : array_like, shape (...)
        Strength known at one ratio [Pa].
    reference_ratio : array_like, shape (...)
        Total water over cement, by mass, of that strength [-].
    ratio : array_like, shape (...)
        Total water over cement, by mass, see ``mixture.water_cement_ratio`` [-].

    Returns
    -------
    ndarray, shape (...)
        Unconfined compressive strength [Pa].

    Raises
    ------
    LawError
        A value not above 0.

    Notes
    -----
    q1 / q2 = 1.24^[(wc/C)2 - (wc/C)1]. Wet clay, liquidity index 1 to 2.5, ratios from 2.5 to 15. At a ratio of 5 the
    form qu = A / (wc/C)^1.27 of the same tests falls 18 % faster.

    Examples
    --------
    >>> round(float(unconfined_by_water_cement(500e3, 5.0, 4.0)))
    620000

    References
    ----------
    Horpibulsuk, Miura and Nagaraj (2003), Geotechnique 53(4), 439-444 (from memory).
    """
    wetter = positive("reference_ratio", reference_ratio) - positive("ratio", ratio)
    return np.asarray(positive("reference", reference) * 1.24**wetter)[()]


@holds_for(
    Range("reference_index", 20.0, 45.0, "-", "clayey sand with cement, J. Mater. Civ. Eng. 34(3), 2022"),
    Range("index", 20.0, 45.0, "-", "clayey sand with cement, J. Mater. Civ. Eng. 34(3), 2022"),
    Range("exponent", 2.5, 4.5, "-", "values usual in papers after Consoli et al. 2007, from memory"),
)
def unconfined_by_porosity_index(
    reference: ArrayLike, reference_index: ArrayLike, index: ArrayLike, *, exponent: ArrayLike
) -> Floats:
    """Unconfined strength at another porosity and content of cement, the soil and age being the same.

    Parameters
    ----------
    reference : array_like, shape (...)
        Strength known at one index [Pa].
    reference_index : array_like, shape (...)
        Porosity-cement index of that strength [-].
    index : array_like, shape (...)
        Porosity-cement index, see ``mixture.porosity_cement_index`` [-].
    exponent : array_like, shape (...)
        Power B by which strength falls, of this soil [-].

    Returns
    -------
    ndarray, shape (...)
        Unconfined compressive strength [Pa].

    Raises
    ------
    LawError
        A value not above 0.

    Notes
    -----
    qu = A (n / Civ^0.28)^-B, with A from the reference: A is of one soil, age and cement, and is never carried to
    another. B usually from 2.5 to 4.5, indices from 20 to 45.

    Examples
    --------
    >>> round(float(unconfined_by_porosity_index(1.0, 30.67, 35.85, exponent=3.5)), 2)
    0.58

    References
    ----------
    Consoli, Foppa, Festugato and Heineck (2007), J. Geotech. Geoenviron. Eng. 133(2), 197-205 (from memory).
    """
    looser = positive("index", index) / positive("reference_index", reference_index)
    return np.asarray(positive("reference", reference) * looser ** -positive("exponent", exponent))[()]


@holds_for(
    Range("reference_days", 1.0, 365.0, "d", "before a day the logarithm runs below 0 (common practice, no source)"),
    Range("days", 1.0, 365.0, "d", "before a day the logarithm runs below 0 (common practice, no source)"),
)
def gain_with_age(reference: ArrayLike, reference_days: ArrayLike, days: ArrayLike, *, gain: ArrayLike) -> Floats:
    """Strength at another age, by the logarithm of age.

    Parameters
    ----------
    reference : array_like, shape (...)
        Strength known at one age [Pa].
    reference_days : array_like, shape (...)
        That age [d].
    days : array_like, shape (...)
        Age [d].
    gain : array_like, shape (...)
        Gain in a tenfold age, cement in percent times ``GAIN_PER_PERCENT`` [Pa].

    Returns
    -------
    ndarray, shape (...)
        Strength, 0 where the logarithm falls below it [Pa].

    Raises
    ------
    LawError
        A reference or age not above 0, or a gain below 0.

    Notes
    -----
    q(t) = q(t0) + K log10(t / t0). Early ages are ``age_factor``'s: this law has no strength before about a day.

    Examples
    --------
    >>> round(float(gain_with_age(2069e3, 7.0, 28.0, gain=6 * GAIN_PER_PERCENT["fine"])) / 1e3)
    2322

    References
    ----------
    Mitchell (1976), The properties of cement-stabilized soils, as in ACI 230.1R (from memory).
    """
    tenfolds = np.log10(positive("days", days) / positive("reference_days", reference_days))
    return np.maximum(positive("reference", reference) + not_negative("gain", gain) * tenfolds, 0.0)


def treated_undrained(own_strength: ArrayLike, cement_unconfined: ArrayLike) -> Floats:
    """Undrained strength of treated clay: its own and the cement's part.

    Parameters
    ----------
    own_strength : array_like, shape (...)
        Undrained strength of the soil, mixed and rolled without cement [Pa].
    cement_unconfined : array_like, shape (...)
        Unconfined compressive strength that the cement gives, at the age and place meant [Pa].

    Returns
    -------
    ndarray, shape (...)
        Undrained shear strength [Pa].

    Raises
    ------
    LawError
        A strength below 0.

    Notes
    -----
    cu = own + qu / 2. At 2 to 4 % of cement the own part is not small: the greater of the two in place of the sum fails
    light rates on firm ground.

    Examples
    --------
    >>> float(treated_undrained(40e3, 500e3))
    290000.0

    References
    ----------
    The half: Tresca's condition. The sum: common practice, no source.
    """
    return not_negative("own_strength", own_strength) + not_negative("cement_unconfined", cement_unconfined) / 2


@holds_for(Range("multiple", 150.0, 300.0, "-", "deep mixing, dry 150 to wet 300, from memory"))
def treated_modulus(unconfined: ArrayLike, multiple: ArrayLike) -> Floats:
    """Modulus of treated clay in the field, from its unconfined strength.

    Parameters
    ----------
    unconfined : array_like, shape (...)
        Unconfined compressive strength in the field [Pa].
    multiple : array_like, shape (...)
        Modulus over strength [-].

    Returns
    -------
    ndarray, shape (...)
        Modulus of elasticity [Pa].

    Raises
    ------
    LawError
        A value not above 0.

    Notes
    -----
    E = m qu, m from 150 to 300 for clay-cement of about 1 MPa. Design guides of roads take 1200 for an uncracked base.

    Examples
    --------
    >>> [round(float(modulus) / 1e6) for modulus in treated_modulus(1e6, [150, 300])]
    [150, 300]

    References
    ----------
    FHWA-HRT-13-046 (2013), deep mixing, secant modulus at half the strength (from memory).
    """
    return positive("multiple", multiple) * positive("unconfined", unconfined)
