"""Bays: the smallest places a decision is made for, one strip times one station step, broken at painted edges."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from hardpan.street.defaults import default
from hardpan.street.street import Street

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class Bays:
    """Station edges [m], shape (n + 1,), and strip numbers, shape (s,), of the grid of bays."""

    edges_m: Floats
    strips: tuple[int, ...]

    @property
    def middles_m(self) -> Floats:
        """Stations of the bays' middles [m], shape (n,)."""
        return (self.edges_m[1:] + self.edges_m[:-1]) / 2

    @property
    def lengths_m(self) -> Floats:
        """Lengths of the bays [m], shape (n,)."""
        return np.diff(self.edges_m)


def lay_out_bays(street: Street) -> Bays:
    """Bays of a street: a station step from the start, and a break wherever an instruction, a reading or a trench begins or ends."""
    stationing = street.stationing
    steps = np.arange(stationing.first, stationing.last, street.file.line.bay_length.value)
    instructed = [place for one in street.instructions for place in (one.start, one.end)]
    read = [place for one in street.readings for place in (one.start, one.end)]
    walls = [place for one in street.structures if one.kind == "trench" for place in trench_walls(one.start, one.end)]
    places = np.round(np.concatenate([steps, instructed, read, walls, [stationing.first, stationing.last]]), 6)
    edges = np.unique(np.clip(places, stationing.first, stationing.last))
    return Bays(edges, tuple(strip.number for strip in street.strips))


def trench_walls(start: float, end: float) -> tuple[float, float]:
    """Stations of a trench's walls; a trench given as a line has the default width."""
    half = default("trench.width").value / 2 if end - start < 1e-6 else 0.0
    return start - half, end + half
