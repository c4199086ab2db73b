"""Natures: what the ground, the eye and the mix do; as the plan assumes it, and otherwise."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np


@dataclass(frozen=True, slots=True)
class Nature:
    """One way in which streets may be made.

    ``law`` of every rut, under the grader and under the axle; ``tails`` degrees of freedom of Student's t for the eye and for
    what scatters from place to place (law's local error, cone, dose, depth), quartiles kept; ``sharp`` ground that jumps at edges nobody painted; ``field``
    strength in the field over the laboratory's, None for the plan's own default.
    """

    name: str
    told: str
    law: Literal["power", "maclaurin"] = "power"
    tails: float = np.inf
    sharp: bool = False
    field: float | None = None


AS_MODELLED = Nature("as-modelled", "as the plan assumes it")
MACLAURIN = Nature("maclaurin", "every rut by Maclaurin's law alone", law="maclaurin")
HEAVY_TAILS = Nature("heavy-tails", "eye and places scatter by Student's t with 3 degrees of freedom", tails=3.0)
SHARP_AND_POOR = Nature(
    "sharp-and-poor", "ground jumps at unpainted edges; field strength .45 of the laboratory's", sharp=True, field=0.45
)

NATURES = {one.name: one for one in (AS_MODELLED, MACLAURIN, HEAVY_TAILS, SHARP_AND_POOR)}
