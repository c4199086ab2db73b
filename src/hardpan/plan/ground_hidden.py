"""Soft ground under a skin of 100 to 200 mm, which no grader's wheel feels: how likely, and how strong it then is."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from hardpan.plan.ground_evidence import WORDS, Places
from hardpan.plan.ground_field import Floats
from hardpan.plan.ground_posterior import GRID
from hardpan.plan.soundings import Sounding
from hardpan.street.defaults import default


@dataclass(frozen=True, slots=True, eq=False)
class Hidden:
    """Soft ground under a skin: its chance in every bay (strips, bays), and the distribution of its ln CBR there (strips, bays, grid)."""

    chance: Floats
    strength: Floats

    def mixed(self, felt: Floats) -> Floats:
        """Distribution of the strength that decides, from that which a wheel felt."""
        chance = self.chance[..., None]
        return np.asarray((1 - chance) * felt + chance * self.strength)


def hide(word: NDArray[np.int8], places: Places, sounded: dict[tuple[int, int], Sounding]) -> Hidden:
    """Chance of soft ground under a skin, and how strong it then is.

    Places that showed nothing hide it as often as the default says, until penetrometer tests in such places mend that share
    (a conjugate beta update); where a test stands there is no chance left, only what it found.
    """
    nothing = word == WORDS.index("nothing")
    weight = default("ground.hidden_weight").value
    chance = np.zeros(word.shape)
    for trench, key in ((False, "ground.hidden"), (True, "ground.hidden_trench")):
        found = [one.skin for at, one in sounded.items() if nothing[at] and places.trench[at] == trench]
        share = (default(key).value * weight + sum(found)) / (weight + len(found))
        chance[nothing & (places.trench == trench)] = share
    usual = _normal(np.log(default("ground.hidden_median").value), default("ground.hidden_spread").value)
    strength = np.broadcast_to(usual, (*word.shape, GRID.size)).copy()
    for at, one in sounded.items():
        chance[at] = float(one.skin)
        errors = [default("ground.cone_place").value, default("ground.cone_shared").value, one.apart]
        told = usual * _normal(one.under, float(np.linalg.norm(errors)))
        strength[at] = told / told.sum()
    return Hidden(chance, strength)


def _normal(mean: float, spread: float) -> Floats:
    """Normal probabilities on ``GRID``."""
    density = np.exp(-((GRID - mean) ** 2) / (2 * spread**2))
    return np.asarray(density / density.sum())
