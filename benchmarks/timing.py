"""Best of five times, and ratios against their aims."""

from __future__ import annotations

import timeit
from collections.abc import Callable
from dataclasses import dataclass

BEST_OF = 5


@dataclass(frozen=True, slots=True)
class Ratio:
    """One figure, and what it is to stay below, or to reach where ``least`` is true."""

    what: str
    figure: float
    aim: float | None
    seconds: float
    least: bool = False

    @property
    def reached(self) -> bool:
        """Whether the aim is reached; true where there is none."""
        return self.aim is None or (self.figure >= self.aim if self.least else self.figure <= self.aim)

    def __str__(self) -> str:
        shown = f"{self.figure:10.3g}" if self.figure < 0.01 else f"{self.figure:10,.2f}"
        if self.aim is None:
            return f"{self.what:<66} {shown}   {'no aim':<30}   {1000 * self.seconds:8.1f} ms"
        aim = f"at {'least' if self.least else 'most'} {self.aim:8,.5g}"
        return f"{self.what:<66} {shown}   {aim}   {'reached' if self.reached else 'NOT REACHED':<11}   {1000 * self.seconds:8.1f} ms"


def best(work: Callable[[], object]) -> float:
    """Shortest of five times [s], each long enough to be read."""
    timer = timeit.Timer(work)
    number, _ = timer.autorange()
    return min(timer.repeat(BEST_OF, number)) / number
