"""Embodied carbon of treating a street, and of digging it out instead: cradle to gate, haul and fuel on site."""

from __future__ import annotations

from hardpan.laws.cost import Breakdown
from hardpan.laws.ranges import Range, holds_for, not_negative


@holds_for(
    Range("cement_factor", 0.81, 1.04, "kg CO2e/kg", "official default for direct emissions to the 2016 US average")
)
def treatment_carbon(
    cement: float,
    cement_factor: float,
    *,
    haul_distance: float = 0.0,
    haul_factor: float = 0.0,
    fuel: float = 0.0,
    fuel_factor: float = 0.0,
) -> Breakdown:
    """Embodied carbon of a cement treatment.

    Parameters
    ----------
    cement : float
        Cement delivered [kg].
    cement_factor : float
        Emission of the cement, cradle to gate [kg CO2e/kg].
    haul_distance : float
        One-way distance from plant to street [m].
    haul_factor : float
        Emission of haul, the empty way back included [kg CO2e for each kg and m; 0.1 kg/t km is 1e-7].
    fuel : float
        Diesel burnt on site [L].
    fuel_factor : float
        Emission of diesel [kg CO2e/L].

    Returns
    -------
    Breakdown
        Cement, haul and fuel on site [kg CO2e].

    Raises
    ------
    LawError
        Where an argument is negative.

    Notes
    -----
    Sum of quantity times factor. Printed factors: 0.81 to 1.04 kg/kg. The carbon dioxide that the treated soil takes up
    again is left out.

    Examples
    --------
    >>> carbon = treatment_carbon(40_000.0, 0.85, haul_distance=20_000.0, haul_factor=1e-7, fuel=1000.0, fuel_factor=2.7)
    >>> [(name, round(amount, 1)) for name, amount in carbon.items]
    [('cement', 34000.0), ('haul', 80.0), ('fuel on site', 2700.0)]

    References
    ----------
    European Commission, CBAM default values for the transitional period (December 2023), CN 2523 29: 0.81 kg/kg, direct
    emissions; Portland Cement Association, industry-average EPD (2021): 0.922 (from memory).
    """
    return Breakdown(
        (
            ("cement", _product(cement=cement, cement_factor=cement_factor)),
            ("haul", _product(cement=cement, haul_distance=haul_distance, haul_factor=haul_factor)),
            ("fuel on site", _product(fuel=fuel, fuel_factor=fuel_factor)),
        )
    )


def dig_out_carbon(
    spoil: float,
    granular: float,
    *,
    granular_factor: float,
    spoil_haul_distance: float = 0.0,
    granular_haul_distance: float = 0.0,
    haul_factor: float = 0.0,
    fuel: float = 0.0,
    fuel_factor: float = 0.0,
) -> Breakdown:
    """Embodied carbon of digging out soft ground and replacing it.

    Parameters
    ----------
    spoil : float
        Soil hauled away [kg].
    granular : float
        Granular material brought [kg].
    granular_factor : float
        Emission of granular material, cradle to gate [kg CO2e/kg].
    spoil_haul_distance, granular_haul_distance : float
        One-way distances [m].
    haul_factor : float
        Emission of haul, the empty way back included [kg CO2e for each kg and m; 0.1 kg/t km is 1e-7].
    fuel : float
        Diesel burnt on site [L].
    fuel_factor : float
        Emission of diesel [kg CO2e/L].

    Returns
    -------
    Breakdown
        Granular, haul of spoil, haul of granular and fuel on site [kg CO2e].

    Raises
    ------
    LawError
        Where an argument is negative.

    Notes
    -----
    Sum of quantity times factor; the same boundary as ``treatment_carbon``.

    Examples
    --------
    >>> carbon = dig_out_carbon(
    ...     190_000.0, 215_000.0, granular_factor=0.006, spoil_haul_distance=20_000.0, haul_factor=1e-7
    ... )
    >>> [(name, round(amount, 1)) for name, amount in carbon.items]
    [('granular', 1290.0), ('haul of spoil', 380.0), ('haul of granular', 0.0), ('fuel on site', 0.0)]

    References
    ----------
    Quantity times factor; factors are the user's.
    """
    spoil_haul = _product(spoil=spoil, spoil_haul_distance=spoil_haul_distance, haul_factor=haul_factor)
    granular_haul = _product(granular=granular, granular_haul_distance=granular_haul_distance, haul_factor=haul_factor)
    return Breakdown(
        (
            ("granular", _product(granular=granular, granular_factor=granular_factor)),
            ("haul of spoil", spoil_haul),
            ("haul of granular", granular_haul),
            ("fuel on site", _product(fuel=fuel, fuel_factor=fuel_factor)),
        )
    )


def _product(**factors: float) -> float:
    """Product of the factors, none of them negative."""
    result = 1.0
    for name, value in factors.items():
        result *= float(not_negative(name, value))
    return result
