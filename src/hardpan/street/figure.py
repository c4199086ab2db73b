"""Figures that know where they come from: basis, working, notices.

A figure is either given (measured, stated by a person, or a default with its source) or worked out from other figures by a
formula. It carries the weakest basis it rests on, so that nobody reads a default as a measurement.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from enum import StrEnum

from hardpan.laws.ranges import outside


class Basis(StrEnum):
    """How firm an input is, firmest first."""

    MEASURED = "measured"
    STATED = "stated"
    DEFAULT = "default"

    @property
    def rank(self) -> int:
        """0 for the firmest."""
        return list(Basis).index(self)


@dataclass(frozen=True, slots=True)
class Notice:
    """A remark shown wherever the number it touches is shown.

    ``kind`` is one of: default, range, shortage, limit, missing, judgement, instruction, safety, conflict.
    """

    kind: str
    message: str
    place: str = ""
    value: str = ""
    limit: str = ""

    def __str__(self) -> str:
        place = f" ({self.place})" if self.place else ""
        return f"{self.message}{place}"


@dataclass(frozen=True, slots=True)
class Working:
    """How a figure was worked out: the formula in words and symbols, the figures that went in, the source of the formula."""

    formula: str
    inputs: tuple[Figure, ...]
    source: str


@dataclass(frozen=True, slots=True)
class Figure:
    """A number with its unit, its basis and its source or working.

    ``spread`` is one standard deviation in ``unit``; 0 where nobody said one.
    """

    name: str
    value: float
    unit: str
    basis: Basis
    source: str = ""
    spread: float = 0.0
    working: Working | None = None
    notices: tuple[Notice, ...] = ()

    def __float__(self) -> float:
        return self.value

    @property
    def unit_suffix(self) -> str:
        """Unit as it ends a key or an attribute: ``_kg_m2``; empty for a plain ratio or count."""
        return UNIT_SUFFIXES[self.unit]

    @property
    def inputs(self) -> tuple[Figure, ...]:
        """Figures this one was worked out from; empty for a given figure."""
        return self.working.inputs if self.working else ()

    @property
    def low(self) -> float:
        """Lower end of the band that holds 8 times in 10 (normal)."""
        return self.value - EIGHT_IN_TEN * self.spread

    @property
    def high(self) -> float:
        """Upper end of the band that holds 8 times in 10 (normal)."""
        return self.value + EIGHT_IN_TEN * self.spread


UNIT_SUFFIXES = {
    "1": "", "%": "_percent", "C": "_c", "m": "_m", "m2": "_m2", "m3": "_m3", "kg": "_kg", "kg/m2": "_kg_m2", "kg/m3": "_kg_m3", "kg/min": "_kg_min",
    "L": "_l", "L/m2": "_l_m2", "L/min": "_l_min", "min": "_min", "min of day": "_min_of_day", "h": "_h", "d": "_d", "day": "_days",
    "m/min": "_m_min", "m2/h": "_m2_h", "kPa": "_kpa", "km": "_km", "L/h": "_l_h", "$": "_dollars", "$/m2": "_dollars_m2", "$/m3": "_dollars_m3",
    "$/t": "_dollars_t", "$/day": "_dollars_day", "kg CO2e": "_kg_co2e", "kg CO2e/kg": "_kg_co2e_kg", "kg CO2e/L": "_kg_co2e_l",
    "kg CO2e/(t km)": "_kg_co2e_t_km",
}  # fmt: skip
EIGHT_IN_TEN = 1.2816  # standard deviations either side of the middle that hold 8 in 10 of a normal spread


def weakest(*bases: Basis) -> Basis:
    """Weakest of some bases; measured when there is none (a figure of geometry alone)."""
    return max(bases, key=lambda basis: basis.rank, default=Basis.MEASURED)


def worked(
    name: str,
    value: float,
    unit: str,
    *inputs: Figure,
    formula: str,
    source: str = "arithmetic",
    spread: float = 0.0,
    notices: tuple[Notice, ...] = (),
) -> Figure:
    """Figure worked out from others; its basis is the weakest of theirs."""
    return Figure(
        name=name,
        value=float(value),
        unit=unit,
        basis=weakest(*(figure.basis for figure in inputs)),
        source=source,
        spread=spread,
        working=Working(formula, inputs, source),
        notices=notices,
    )


def propagated_spread(law: Callable[..., float], inputs: dict[str, Figure]) -> float:
    """Standard deviation of ``law`` at its inputs, from their spreads taken as independent (second moments, central differences)."""
    middle = {name: figure.value for name, figure in inputs.items()}
    variance = 0.0
    for name, figure in inputs.items():
        if figure.spread > 0:
            above = law(**{**middle, name: figure.value + figure.spread})
            below = law(**{**middle, name: figure.value - figure.spread})
            variance += (float(above) - float(below)) ** 2 / 4
    return math.sqrt(variance)


def range_notices(law: Callable[..., object], place: str, **arguments: float) -> tuple[Notice, ...]:
    """Notices for every declared range of ``law`` that ``arguments`` leave."""
    return tuple(
        Notice(
            kind="range",
            message=f"{left.argument} is outside the range this relation was found in: {left.reason}",
            place=place,
            value=f"{arguments[left.argument]:g} {left.unit}",
            limit=f"{left.low:g} to {left.high:g} {left.unit}",
        )
        for left in outside(law, **arguments)
    )
