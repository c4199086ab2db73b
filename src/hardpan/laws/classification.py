"""Names of soils: AASHTO groups with their index, and symbols of the unified system.

Sieves and limits are in percent, as both standards define them; one soil at a time. ``plastic_limit`` None means
non-plastic, and the liquid limit may then be None too.
"""

from __future__ import annotations

import csv
import math
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

from hardpan.errors import LawError

_SIEVES_AND_LIMITS = ("passing_10", "passing_40", "passing_200", "liquid_limit", "plasticity_index", "plastic_limit")
_CLEAN, _DIRTY = 5.0, 12.0  # percent of fines: below the one clean, above the other named by the fines


@dataclass(frozen=True, slots=True)
class _Group:
    """One column of M 145: the least and the most of each quantity, and the terms of its index."""

    name: str
    bounds: tuple[tuple[str, float, float], ...]
    index_terms: str

    def holds(self, soil: dict[str, int]) -> bool:
        """Whether the soil lies within every bound."""
        return all(least <= soil[quantity] <= most for quantity, least, most in self.bounds)


def aashto(
    passing_10: float, passing_40: float, passing_200: float, liquid_limit: float | None, plastic_limit: float | None
) -> tuple[str, int]:
    """AASHTO group and group index.

    Parameters
    ----------
    passing_10, passing_40, passing_200 : float
        Passing the 2.00 mm, 0.425 mm and 0.075 mm sieves, by dry mass [%].
    liquid_limit, plastic_limit : float or None
        Atterberg limits, None for the plastic limit of a non-plastic soil [%].

    Returns
    -------
    group : str
        "A-1-a" to "A-7-6".
    index : int
        Group index, 0 or more, not capped [-].

    Raises
    ------
    LawError
        Percentages outside 0 to 100, a finer sieve that passes more, or a plastic limit above the liquid one.

    Notes
    -----
    First group of M 145, left to right, whose bounds hold for whole percents (half goes up).
    GI = (F - 35)[0.2 + 0.005 (LL - 40)] + 0.01 (F - 15)(PI - 10), only the second term for A-2-6 and A-2-7, 0 for
    A-1, A-2-4, A-2-5 and A-3; below 0 it is 0; whole, half goes up. The old form with a cap of 20 is not used.

    Examples
    --------
    >>> aashto(100, 80, 58, 30, 20)
    ('A-4', 3)
    >>> aashto(97.0, 59.4, 1.2, None, None)
    ('A-3', 0)

    References
    ----------
    AASHTO M 145, table 1 and its rules for the group index (edition not checked).
    """
    _check_sieves(passing_10=passing_10, passing_40=passing_40, passing_200=passing_200)
    liquid, plasticity = _limits(liquid_limit, plastic_limit)
    whole_liquid, whole_plastic = _whole(liquid), _whole(liquid - plasticity)
    soil = {
        "passing_10": _whole(passing_10),
        "passing_40": _whole(passing_40),
        "passing_200": _whole(passing_200),
        "liquid_limit": whole_liquid,
        "plastic_limit": whole_plastic,
        "plasticity_index": whole_liquid - whole_plastic,
    }
    group = next(group for group in _m145() if group.holds(soil))
    return group.name, _group_index(group.index_terms, passing_200, liquid, plasticity)


def uscs(
    passing_4: float,
    passing_200: float,
    liquid_limit: float | None,
    plastic_limit: float | None,
    *,
    cu: float | None = None,
    cc: float | None = None,
) -> str:
    """Group symbol of the unified soil classification system, organic soils left out.

    Parameters
    ----------
    passing_4, passing_200 : float
        Passing the 4.75 mm and 0.075 mm sieves, by dry mass [%].
    liquid_limit, plastic_limit : float or None
        Atterberg limits, None for the plastic limit of a non-plastic soil [%].
    cu, cc : float, optional
        Coefficients of uniformity and of curvature; needed for sand and gravel with 12 % of fines or less [-].

    Returns
    -------
    str
        "CL", "SP-SM" and so on.

    Raises
    ------
    LawError
        As ``aashto``, or a clean sand or gravel without its coefficients.

    Notes
    -----
    Coarse where more than 50 % stays on 0.075 mm; gravel where more than half of that stays on 4.75 mm. Below 5 % of
    fines clean, above 12 % named by the fines, between them by both. A-line PI = 0.73 (LL - 20); PI 4 to 7 on or above
    it is CL-ML. Well graded: Cu at least 4 (gravel) or 6 (sand) and Cc from 1 to 3.

    Examples
    --------
    >>> uscs(100, 85, 42, 21), uscs(97, 0, None, None, cu=2.57, cc=1.14), uscs(90, 40, 63, 48)
    ('CL', 'SP', 'SM')

    References
    ----------
    ASTM D2487, table 1 and the plasticity chart (edition not checked).
    """
    _check_sieves(passing_4=passing_4, passing_200=passing_200)
    fines = _fines(*_limits(liquid_limit, plastic_limit))
    if passing_200 >= 50:
        return fines
    gravel = 100 - passing_4 > passing_4 - passing_200
    coarse = "G" if gravel else "S"
    if passing_200 > _DIRTY:
        return f"{coarse}C-{coarse}M" if fines == "CL-ML" else coarse + fines[0]
    graded = coarse + ("W" if _well_graded(cu, cc, least_cu=4.0 if gravel else 6.0) else "P")
    return graded if passing_200 < _CLEAN else f"{graded}-{coarse}{fines[0]}"


def _fines(liquid: float, plasticity: float) -> str:
    """Symbol of the part below 0.075 mm from the plasticity chart."""
    clay = plasticity >= 4 and plasticity >= 0.73 * (liquid - 20)
    if liquid >= 50:
        return "CH" if clay else "MH"
    if clay:
        return "CL" if plasticity > 7 else "CL-ML"
    return "ML"


def _well_graded(cu: float | None, cc: float | None, *, least_cu: float) -> bool:
    """Whether sizes are spread widely and evenly."""
    if cu is None or cc is None:
        raise LawError("cu, cc", (cu, cc), "both coefficients, for sand or gravel with 12 % of fines or less")
    return cu >= least_cu and 1 <= cc <= 3


def _group_index(terms: str, fines: float, liquid: float, plasticity: float) -> int:
    """Group index of M 145, whole and not below 0."""
    plastic_term = 0.01 * (fines - 15) * (plasticity - 10)
    liquid_term = (fines - 35) * (0.2 + 0.005 * (liquid - 40))
    # 1e-9 keeps a sum of exactly one half from falling to rounding
    index = {"none": 0.0, "plasticity": plastic_term, "both": liquid_term + plastic_term}[terms]
    return max(_whole(index + 1e-9), 0)


def _whole(value: float) -> int:
    """Nearest whole number, half goes up."""
    return math.floor(value + 0.5)


def _check_sieves(**passing: float) -> None:
    """Raise ``LawError`` unless the sieves, given coarse to fine, pass 0 to 100 % and never more below."""
    for sieve, percent in passing.items():
        if not 0 <= percent <= 100:
            raise LawError(sieve, percent, "a percentage from 0 to 100")
    values = list(passing.values())
    if values != sorted(values, reverse=True):
        raise LawError(", ".join(passing), tuple(values), "a finer sieve never passes more than a coarser one")


def _limits(liquid_limit: float | None, plastic_limit: float | None) -> tuple[float, float]:
    """Liquid limit and plasticity index [%]; both 0 where they could not be measured."""
    if liquid_limit is None and plastic_limit is not None:
        raise LawError("liquid_limit", None, "a number where the plastic limit is one")
    liquid = 0.0 if liquid_limit is None else liquid_limit
    plastic = liquid if plastic_limit is None else plastic_limit
    if not (0 <= plastic <= liquid and math.isfinite(liquid)):
        raise LawError("plastic_limit", plastic_limit, "from 0 to the liquid limit, or None for a non-plastic soil")
    return liquid, liquid - plastic


@cache
def _m145() -> tuple[_Group, ...]:
    """Groups of M 145, left to right."""
    table = files("hardpan.laws").joinpath("data/m145.csv").read_text(encoding="utf-8")
    return tuple(
        _Group(
            name=row["group"],
            bounds=tuple(
                (name, float(row[f"{name}_least"] or "-inf"), float(row[f"{name}_most"] or "inf"))
                for name in _SIEVES_AND_LIMITS
            ),
            index_terms=row["index_terms"],
        )
        for row in csv.DictReader(table.splitlines())
    )
