"""What happens under the axle, place by place: the laws themselves on the truth, without a table of needs and without draws."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray

from hardpan.laws.bearing import equivalent_strength
from hardpan.laws.layered_table import TwoLayerTable, two_layer_table
from hardpan.laws.stiffness import modulus_powell
from hardpan.plan.axle_odds import AXLES, POISSON
from hardpan.plan.ground_field import Floats
from hardpan.street.defaults import default
from hardpan.street.vehicles import FULL, tyres
from hardpan.study.simulated import Simulated, rut_of

Flags = NDArray[np.bool_]

_THICKNESSES = (0.4, 8.0)  # of the layer, in radii of the tyre's contact: what the table holds
_MODULI = (
    0.1,
    1000.0,
)  # of layer over ground that the table holds; heavy tails go beyond, where nothing moves any more
_WEAKEST, _FIRMEST = 0.2, 60.0  # bearing ratios that the laws are asked for [%]


@dataclass(frozen=True, slots=True, eq=False)
class Treated:
    """What every bay gets, (strips, bays): rate [kg/m2], mixing depth [m], dry density before treatment [kg/m3], whether it is dug out."""

    rate: Floats
    depth: Floats
    density: Floats
    dug_out: Flags


def failing_places(made: Simulated, treated: Treated) -> Flags:
    """Places that move too far under the axle, (lives, strips, bays, places); ground that is dug out and replaced does not."""
    limits = made.street.file.limits.axle_test_movement
    limit = limits.value if limits else default("odds.movement")
    return np.asarray((movement(made, treated) > limit.value) & ~treated.dug_out[..., None])


def movement(made: Simulated, treated: Treated) -> Floats:
    """Movement of every place under the loaded tandem [m], (lives, strips, bays, places): what comes back and the rut."""
    lives = made.lives
    gain, rut_error, per_cbr, multiple = (
        one[:, None, None, None] for one in (np.exp(lives.log_gain), np.exp(lives.rut_error), lives.per_cbr, lives.multiple)
    )  # fmt: skip
    wheel = tyres()[FULL].wheel
    cbr = np.clip(np.exp(made.decides), _WEAKEST, _FIRMEST)[..., None]
    radius = _table().radius
    thickest, thinnest = _THICKNESSES[1] * radius, _THICKNESSES[0] * radius
    depth = np.clip(treated.depth[..., None] * lives.deep, thinnest, thickest)
    content = treated.rate[..., None] * lives.dose / (depth * treated.density[..., None])
    own = per_cbr * cbr
    layer = own + gain * content / 2  # half of the unconfined strength
    side = float(np.sqrt(np.pi)) * radius  # of a square as large as the contact
    bears = equivalent_strength(layer, own, thickness=depth, width=side, length=side)
    as_cbr = bears / (1000 * default("odds.strength_per_cbr").value)
    rut = rut_of(as_cbr, wheel, made.nature) * rut_error
    ground = modulus_powell(cbr)
    stiff = np.clip(multiple * 2 * layer, _MODULI[0] * ground, _MODULI[1] * ground)
    return np.asarray(rut + _table().deflection(stiff, ground, depth))


@cache
def _table() -> TwoLayerTable:
    """Exact elasticity of two layers, tabled."""
    wheel = tyres()[FULL].wheel
    radius = float(np.sqrt(wheel.load / (np.pi * wheel.inflation_pressure)))
    return two_layer_table(
        POISSON, pressure=wheel.inflation_pressure, radius=radius, wheels=AXLES, point=AXLES[0],
        modulus_ratios=_MODULI, thickness_ratios=_THICKNESSES,
    )  # fmt: skip
