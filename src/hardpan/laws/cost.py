"""Cost of treating a street, and of digging it out and replacing it instead.

Money is in whatever currency the prices are in.
"""

from __future__ import annotations

from dataclasses import dataclass

from hardpan.laws.ranges import not_negative, positive


@dataclass(frozen=True, slots=True)
class Breakdown:
    """A sum and the named amounts it is made of.

    Attributes
    ----------
    items : tuple of (str, float)
        Names and amounts, in the order in which they are counted [money or kg CO2e].
    """

    items: tuple[tuple[str, float], ...]

    @property
    def total(self) -> float:
        """Sum of the amounts."""
        return sum(amount for _, amount in self.items)

    def per_area(self, area: float) -> float:
        """Sum over an area [per m2]."""
        return self.total / float(positive("area", area))


def treatment_cost(
    cement: float,
    cement_price: float,
    *,
    days: float,
    day_price: float,
    mobilisation: float = 0.0,
    testing: float = 0.0,
    traffic: float = 0.0,
    water: float = 0.0,
    water_price: float = 0.0,
    rate_changes: float = 0.0,
    rate_change_price: float = 0.0,
) -> Breakdown:
    """Cost of a cement treatment.

    Parameters
    ----------
    cement : float
        Cement paid for [kg].
    cement_price : float
        Price of cement [money/kg].
    days : float
        Days of crew and plant [d].
    day_price : float
        Price of a day of crew and plant [money].
    mobilisation, testing, traffic : float
        Lump sums [money].
    water : float
        Water bought [L].
    water_price : float
        Price of water [money/L].
    rate_changes : float
        Number of changes of rate [1].
    rate_change_price : float
        Price of one [money].

    Returns
    -------
    Breakdown
        Cement, crew and plant, mobilisation, testing, traffic, water and rate changes [money].

    Raises
    ------
    LawError
        Where an argument is negative.

    Notes
    -----
    Sum of quantity times price.

    Examples
    --------
    >>> cost = treatment_cost(40_000.0, 0.24, days=1.0, day_price=12_500.0, mobilisation=6_000.0)
    >>> cost.items[0], cost.total
    (('cement', 9600.0), 28100.0)

    References
    ----------
    Quantity times price; prices are the user's.
    """
    return Breakdown(
        (
            ("cement", _amount("cement", cement, cement_price)),
            ("crew and plant", _amount("days", days, day_price)),
            ("mobilisation", _amount("mobilisation", mobilisation)),
            ("testing", _amount("testing", testing)),
            ("traffic and notices", _amount("traffic", traffic)),
            ("water", _amount("water", water, water_price)),
            ("rate changes", _amount("rate_changes", rate_changes, rate_change_price)),
        )
    )


def dig_out_cost(
    area: float,
    depth: float,
    *,
    dig_price: float,
    granular_density: float,
    granular_price: float,
    placing_price: float,
    geotextile_price: float = 0.0,
    laps: float = 0.0,
) -> Breakdown:
    """Cost of digging out soft ground and replacing it with granular material on a geotextile.

    Parameters
    ----------
    area : float
        Area dug out [m2].
    depth : float
        Depth dug out and filled again [m].
    dig_price : float
        Dig, haul and dump, by volume in the bank [money/m3].
    granular_density : float
        Bulk density of the granular material in place [kg/m3].
    granular_price, placing_price : float
        Supply, and placing with compaction [money/kg].
    geotextile_price : float
        Price of geotextile [money/m2].
    laps : float
        Geotextile lost to laps [fraction of the area].

    Returns
    -------
    Breakdown
        Dig and haul, granular, geotextile and placing [money].

    Raises
    ------
    LawError
        Where area, depth or density are not above zero, or another argument is negative.

    Notes
    -----
    Volume = area x depth; granular = volume x density; geotextile = area x (1 + laps).

    Examples
    --------
    >>> cost = dig_out_cost(
    ...     100.0, 0.5, dig_price=40.0, granular_density=2000.0, granular_price=0.03, placing_price=0.004
    ... )
    >>> round(cost.total, 2), round(cost.per_area(100.0), 2)
    (5400.0, 54.0)

    References
    ----------
    Quantity times price; prices are the user's.
    """
    dug = float(positive("area", area) * positive("depth", depth))
    granular = dug * float(positive("granular_density", granular_density))
    geotextile = area * (1 + float(not_negative("laps", laps)))
    return Breakdown(
        (
            ("dig and haul", _amount("dig_price", dug, dig_price)),
            ("granular", _amount("granular_price", granular, granular_price)),
            ("geotextile", _amount("geotextile_price", geotextile, geotextile_price)),
            ("placing", _amount("placing_price", granular, placing_price)),
        )
    )


def _amount(name: str, quantity: float, price: float = 1.0) -> float:
    """Quantity times price, neither negative."""
    return float(not_negative(name, quantity) * not_negative(f"price with {name}", price))
