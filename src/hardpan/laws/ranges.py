"""The range a relation was found in, declared beside the relation.

Leaving a range is not an error: the plan turns it into a notice. Impossible input is one, and raises ``LawError``.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TypeVar

import numpy as np
from numpy.typing import ArrayLike, NDArray

from hardpan.errors import LawError

Floats = NDArray[np.float64]
Law = TypeVar("Law", bound=Callable[..., object])


@dataclass(frozen=True, slots=True)
class Range:
    """Where a relation holds: ``low <= argument <= high`` in ``unit``, and why there."""

    argument: str
    low: float
    high: float
    unit: str
    reason: str


def holds_for(*ranges: Range) -> Callable[[Law], Law]:
    """Declare the ranges of a law; read them back with ``ranges_of``."""

    def _declare(law: Law) -> Law:
        law.ranges = ranges  # type: ignore[attr-defined]  # functions take attributes; typing has no word for it
        return law

    return _declare


def ranges_of(law: Callable[..., object]) -> tuple[Range, ...]:
    """Ranges declared by a law; empty where it declares none."""
    ranges: tuple[Range, ...] = getattr(law, "ranges", ())
    return ranges


def outside(law: Callable[..., object], **arguments: ArrayLike) -> tuple[Range, ...]:
    """Ranges of ``law`` that any of ``arguments`` leaves."""
    left = []
    for declared in ranges_of(law):
        if declared.argument in arguments:
            values = np.asarray(arguments[declared.argument], dtype=float)
            if bool(np.any((values < declared.low) | (values > declared.high))):
                left.append(declared)
    return tuple(left)


def positive(name: str, value: ArrayLike) -> Floats:
    """``value`` as floats; raises ``LawError`` unless every one is finite and above zero."""
    values = np.asarray(value, dtype=float)
    if not bool(np.all(np.isfinite(values) & (values > 0))):
        raise LawError(name, value, "a number above 0")
    return values


def not_negative(name: str, value: ArrayLike) -> Floats:
    """``value`` as floats; raises ``LawError`` unless every one is finite and at least zero."""
    values = np.asarray(value, dtype=float)
    if not bool(np.all(np.isfinite(values) & (values >= 0))):
        raise LawError(name, value, "0 or more")
    return values


def fraction(name: str, value: ArrayLike) -> Floats:
    """``value`` as floats; raises ``LawError`` unless every one is from 0 to below 1."""
    values = np.asarray(value, dtype=float)
    if not bool(np.all((values >= 0) & (values < 1))):
        raise LawError(name, value, "a fraction from 0 to below 1 (0.02, not 2)")
    return values
