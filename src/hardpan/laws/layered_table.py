"""Two layers under one wheel group, looked up: the exact deflection as a cubic spline in logarithms.

The deflection times E2 / (q a) depends on E1 / E2 and h / a alone, once the wheels and Poisson's ratios are chosen. Its
logarithm is smooth in theirs, so a few thousand exact values serve millions of draws.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike
from scipy.ndimage import map_coordinates, spline_filter

from hardpan.errors import LawError
from hardpan.laws.layered import surface_deflection_of_group
from hardpan.laws.ranges import Floats, Range, holds_for, positive

_NODES = (96, 64)  # moduli, thicknesses
_MARGIN = 10  # nodes beyond the range: the spline's mirror at its rim dies by 0.27 a node


@dataclass(frozen=True, slots=True)
class _Axis:
    """Even steps in the logarithm of a ratio, and how far the table may be asked."""

    low: float
    high: float
    nodes: int

    @property
    def step(self) -> float:
        """Step of the logarithm from node to node."""
        return float(np.log(self.high / self.low)) / (self.nodes - 1)

    def ratios(self) -> Floats:
        """Ratios at the nodes, margins included."""
        return np.asarray(self.low * np.exp(self.step * np.arange(-_MARGIN, self.nodes + _MARGIN)))

    def place(self, name: str, ratio: Floats) -> Floats:
        """Position of a ratio among the nodes; raises ``LawError`` outside the range."""
        rounding = 1e-12
        if ratio.size and (ratio.min() < self.low * (1 - rounding) or ratio.max() > self.high * (1 + rounding)):
            raise LawError(name, ratio, f"{self.low:g} to {self.high:g}, the range of this table")
        return np.asarray(np.log(ratio) * (1 / self.step) + (_MARGIN - np.log(self.low) / self.step))


@dataclass(frozen=True, slots=True, eq=False)
class TwoLayerTable:
    """Deflection at one point under one wheel group on two layers; made by ``two_layer_table``."""

    pressure: float
    radius: float
    moduli: _Axis
    thicknesses: _Axis
    coefficients: Floats

    def deflection(self, upper_modulus: ArrayLike, lower_modulus: ArrayLike, thickness: ArrayLike) -> Floats:
        """Deflection of the surface, from the table.

        Parameters
        ----------
        upper_modulus, lower_modulus : array_like, shape (...)
            Young's moduli of the layer and of the half-space below it [Pa].
        thickness : array_like, shape (...)
            Thickness of the layer [m].

        Returns
        -------
        ndarray, shape (...)
            Deflection, downward positive [m].

        Raises
        ------
        LawError
            For values that are not above 0 and for ratios outside the range of the table.
        """
        lower = positive("lower_modulus", lower_modulus)
        across = self.moduli.place("upper_modulus / lower_modulus", positive("upper_modulus", upper_modulus) / lower)
        down = self.thicknesses.place("thickness / radius", positive("thickness", thickness) / self.radius)
        across, down = np.broadcast_arrays(across, down)
        places = across.ravel(), down.ravel()
        logarithm = map_coordinates(self.coefficients, places, order=3, mode="mirror", prefilter=False)
        return np.asarray(self.pressure * self.radius / lower * np.exp(logarithm).reshape(across.shape))


@holds_for(
    Range("modulus_ratios", 0.01, 10_000.0, "-", "checked from 0.1 to 1000"),
    Range("thickness_ratios", 0.1, 20.0, "-", "checked from 0.25 to 8"),
)
def two_layer_table(
    poisson_ratios: ArrayLike,
    *,
    pressure: float,
    radius: float,
    wheels: ArrayLike,
    point: ArrayLike,
    modulus_ratios: tuple[float, float] = (0.1, 1000.0),
    thickness_ratios: tuple[float, float] = (0.25, 8.0),
) -> TwoLayerTable:
    """Table of the deflection at one point under a group of equal wheels on two layers.

    Parameters
    ----------
    poisson_ratios : array_like, shape (2,)
        Poisson's ratios of the layer and of the half-space [-], 0 to 0.5.
    pressure : float
        Contact pressure of each wheel [Pa].
    radius : float
        Radius of the circle of each wheel [m].
    wheels : array_like, shape (k, 2)
        Centres of the wheels, along and across [m].
    point : array_like, shape (2,)
        Where the deflection is wanted, along and across [m].
    modulus_ratios : tuple of float
        Lowest and highest modulus of the layer by that of the half-space [-].
    thickness_ratios : tuple of float
        Lowest and highest thickness of the layer by the radius [-].

    Returns
    -------
    TwoLayerTable
        Its ``deflection`` takes moduli and thicknesses.

    Raises
    ------
    LawError
        As ``layered.surface_deflection_of_group``, and for a range whose ends are not above 0 and rising,
        or in which the point heaves (beside the wheels, on a soft thin layer).

    Notes
    -----
    ``ln(w E2 / (q a))`` as a cubic spline of ``ln(E1 / E2)`` and ``ln(h / a)``, 96 by 64 nodes. Within 1e-5 of the
    exact deflection over the ranges that stand as defaults.

    Examples
    --------
    >>> pair = [[0.0, 0.0], [0.0, 0.35]]
    >>> table = two_layer_table([0.35, 0.45], pressure=690e3, radius=0.1, wheels=pair, point=[0.0, 0.175])
    >>> round(float(table.deflection(100e6, 20e6, 0.3)), 5)
    0.00218

    References
    ----------
    Burmister, D. M. (1943), The theory of stresses and displacements in layered systems, Proc. Highway Research
    Board 23, 126-144 (two layers).
    """
    contact, circle = float(positive("pressure", pressure)), float(positive("radius", radius))
    moduli = _axis("modulus_ratios", modulus_ratios, _NODES[0])
    thicknesses = _axis("thickness_ratios", thickness_ratios, _NODES[1])
    ratios = moduli.ratios()
    stacks = np.stack([ratios, np.ones_like(ratios)], axis=-1)
    columns = [
        surface_deflection_of_group(
            stacks, poisson_ratios, [h * circle], pressure=1.0, radius=circle, wheels=wheels, point=point
        )
        for h in thicknesses.ratios()  # one thickness at a time: each needs its own length of integral
    ]
    exact = np.stack(columns, axis=-1) / circle
    if bool(np.any(exact <= 0)):
        ends = f"{modulus_ratios}, {thickness_ratios}"
        raise LawError(
            "modulus_ratios, thickness_ratios", ends, "stiffer or thicker layers: soft thin ones heave there"
        )
    coefficients = spline_filter(np.log(exact), order=3, mode="mirror")
    return TwoLayerTable(contact, circle, moduli, thicknesses, coefficients)


def _axis(name: str, ends: tuple[float, float], nodes: int) -> _Axis:
    """Axis of a table between two ends."""
    low, high = (float(end) for end in positive(name, ends))
    if not low < high:
        raise LawError(name, ends, "two rising numbers above 0")
    return _Axis(low, high, nodes)
