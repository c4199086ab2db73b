"""Layered elastic half-space under wheels: any number of bonded layers, exact.

Every layer carries four waves of the Hankel transform in the radius: two that fade downward from its top,
``e^-mz`` and ``mz e^-mz``, and their mirror images that fade upward from its bottom. Nothing grows, so nothing
overflows. An interface turns the downward pair into the upward pair by a 2 x 2 reflection, found from the half-space
up. What a half-space of the top layer's material would do is known in closed form and is taken out; the rest
fades as ``e^-2mh`` of the first layer and is summed with Gauss-Legendre panels that narrow towards m = 0.

Compression and downward movement are positive.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.polynomial.legendre import leggauss
from numpy.typing import ArrayLike
from scipy.special import ellipe, elliprd, elliprf, elliprj, j0, j1

from hardpan.errors import LawError
from hardpan.laws.ranges import Floats, Range, holds_for, not_negative, positive


class _Rule(NamedTuple):
    """How the integral over m is split into panels of Gauss-Legendre nodes."""

    nodes: int  # a panel
    ratio: float  # of the ends of a panel: the kernel's poles lie 60 degrees and more off the axis
    phase: float  # rad of Bessel phase a panel
    faded: float  # the integral ends where the answer has faded to e^-faded; a power of m stands before it
    first: float  # panel, of the smallest wave number at which a stack turns, in units of E_min / (E_max sum h)


# twice as many nodes change nothing above 1e-11
_FINE = _Rule(nodes=20, ratio=3.0, phase=12.0, faded=45.0, first=0.3)
# a quarter of the nodes: below 5e-6 off on random stacks to 14 radii, by the deflection under the centre
_QUICK = _Rule(nodes=9, ratio=4.5, phase=12.0, faded=15.0, first=2.0)
_ACCURACY = 1e-9  # of the fine rule, relative
_QUICK_ACCURACY = 1e-5  # of the quick one
_CHUNK = 2**13  # cases x nodes held at a time: they stay in a core's cache

_AXIS = 3e-6  # radii: nearer the axis the stresses change by less than 1e-11
_SURFACE = 1e-30  # radii: stands for 0 where a logarithm meets it

_CHECKED = (
    Range("moduli", 1e5, 1e11, "Pa", "linear elasticity: soft clay to concrete"),
    Range("thicknesses", 0.01, 20.0, "m", "checked from 0.25 to 8 load radii"),
)


@dataclass(frozen=True, slots=True, eq=False)
class _Matrix:
    """A 2 x 2 matrix whose elements, row by row, are arrays (cases, nodes), or (cases, 1)."""

    a: Floats
    b: Floats
    c: Floats
    d: Floats

    def __getitem__(self, cases: slice) -> _Matrix:
        return _Matrix(self.a[cases], self.b[cases], self.c[cases], self.d[cases])

    def __add__(self, other: _Matrix) -> _Matrix:
        return _Matrix(self.a + other.a, self.b + other.b, self.c + other.c, self.d + other.d)

    def __matmul__(self, other: _Matrix) -> _Matrix:
        first, second = self.turned(other.a, other.c), self.turned(other.b, other.d)
        return _Matrix(first[0], second[0], first[1], second[1])

    def turned(self, first: Floats, second: Floats) -> tuple[Floats, Floats]:
        """The matrix times a pair."""
        return self.a * first + self.b * second, self.c * first + self.d * second

    def inverse(self) -> _Matrix:
        """The inverse; no interface makes the determinant 0."""
        one_by = 1.0 / (self.a * self.d - self.b * self.c)
        return _Matrix(self.d * one_by, -self.b * one_by, -self.c * one_by, self.a * one_by)


@dataclass(frozen=True, slots=True, eq=False)
class _Stack:
    """Cases by layers; lengths in load radii."""

    shear: Floats  # (cases, n)
    poisson: Floats  # (cases, n)
    thickness: Floats  # (cases, n - 1)
    bonds: list[tuple[_Matrix, _Matrix]]  # of ``_bonds``, by interface

    @property
    def layers(self) -> int:
        """Number of layers, the half-space included."""
        return int(self.shear.shape[1])

    def __getitem__(self, cases: slice) -> _Stack:
        bonds = [(one[cases], other[cases]) for one, other in self.bonds]
        return _Stack(self.shear[cases], self.poisson[cases], self.thickness[cases], bonds)


_NOTHING = _Matrix(*np.zeros((4, 1, 1)))


class _Waves(NamedTuple):
    """What the layers answer."""

    seen: _Matrix  # upward from downward pair on the surface
    at_bottom: list[_Matrix]  # by layer, the same at its bottom
    inward: list[_Matrix]  # by layer, downward pair below the bottom, from the downward pair above it


@holds_for(*_CHECKED)
def surface_deflection(
    moduli: ArrayLike,
    poisson_ratios: ArrayLike,
    thicknesses: ArrayLike,
    *,
    pressure: ArrayLike,
    radius: ArrayLike,
    offsets: ArrayLike,
    accuracy: float = _ACCURACY,
) -> Floats:
    """Deflection of the surface of a layered half-space under one uniform circular load.

    Parameters
    ----------
    moduli : array_like, shape (..., n)
        Young's moduli from the top layer to the half-space [Pa].
    poisson_ratios : array_like, shape (..., n)
        Poisson's ratios [-], 0 to 0.5.
    thicknesses : array_like, shape (..., n - 1)
        Thicknesses of the layers above the half-space [m]; empty for a half-space.
    pressure : array_like, shape (...)
        Contact pressure [Pa].
    radius : array_like, shape (...)
        Radius of the loaded circle [m].
    offsets : array_like, shape (k,)
        Distances from the centre of the circle [m].
    accuracy : float
        Error that will do, by the deflection under the centre [-]; 1e-9 or more. From 1e-5 the sum takes a quarter of
        the time.

    Returns
    -------
    ndarray, shape (..., k)
        Deflection, downward positive [m].

    Raises
    ------
    LawError
        For a modulus, thickness or radius that is not above 0, a negative pressure or offset, a Poisson's ratio
        outside 0 to 0.5, layers that do not match, or an accuracy below 1e-9.

    Notes
    -----
    ``w(r) = 2 (1 - nu1^2) q a / E1 * integral of K(m) J1(m a) J0(m r) / m dm``, K = 1 for a half-space. Layers are
    linear elastic, isotropic and bonded. Relative error below 1e-9, unless less will do.

    Examples
    --------
    >>> surface_deflection([50e6], [0.5], [], pressure=500e3, radius=0.15, offsets=[0.0]).round(6)
    array([0.00225])
    >>> surface_deflection([500e6, 50e6], [0.5, 0.5], [0.15], pressure=500e3, radius=0.15, offsets=[0.0]).round(6)
    array([0.001095])

    References
    ----------
    Burmister, D. M. (1945), The general theory of stresses and displacements in layered soil systems, Journal of
    Applied Physics 16, parts I to III.
    """
    lead, stack, moduli_top = _stack_of(moduli, poisson_ratios, thicknesses, pressure=pressure, radius=radius)
    offsets = not_negative("offsets", offsets)
    if offsets.ndim != 1:
        raise LawError("offsets", f"shape {offsets.shape}", "a list of distances")
    radii = _by_case(radius, lead)
    ratios = offsets / radii[:, None]
    if bool(np.all(radii == radii[:1])):
        ratios = ratios[:1]  # Bessel values once for all cases
    kernel = _circle_deflection(ratios) + _layers_part(stack, ratios, rule=_rule(accuracy))
    scale = 2 * (1 - stack.poisson[:, 0] ** 2) * _by_case(pressure, lead) * radii / moduli_top
    return np.asarray((scale[:, None] * kernel).reshape(*lead, offsets.size))


@holds_for(*_CHECKED)
def surface_deflection_of_group(
    moduli: ArrayLike,
    poisson_ratios: ArrayLike,
    thicknesses: ArrayLike,
    *,
    pressure: ArrayLike,
    radius: ArrayLike,
    wheels: ArrayLike,
    point: ArrayLike,
    accuracy: float = _ACCURACY,
) -> Floats:
    """Deflection of the surface at one point under a group of equal wheels.

    Parameters
    ----------
    moduli : array_like, shape (..., n)
        Young's moduli from the top layer to the half-space [Pa].
    poisson_ratios : array_like, shape (..., n)
        Poisson's ratios [-], 0 to 0.5.
    thicknesses : array_like, shape (..., n - 1)
        Thicknesses of the layers above the half-space [m].
    pressure : array_like, shape (...)
        Contact pressure of each wheel [Pa].
    radius : array_like, shape (...)
        Radius of the circle of each wheel [m].
    wheels : array_like, shape (k, 2)
        Centres of the wheels, along and across [m].
    point : array_like, shape (2,)
        Where the deflection is wanted, along and across [m].
    accuracy : float
        As in ``surface_deflection`` [-].

    Returns
    -------
    ndarray, shape (...)
        Deflection, downward positive [m].

    Raises
    ------
    LawError
        As ``surface_deflection``, and for wheels or a point that are not pairs of finite numbers.

    Notes
    -----
    Sum over the wheels: linear elasticity superposes.

    Examples
    --------
    >>> pair = [[0.0, 0.0], [0.0, 0.35]]
    >>> group = surface_deflection_of_group(
    ...     [100e6, 20e6], [0.35, 0.45], [0.3], pressure=690e3, radius=0.1, wheels=pair, point=[0.0, 0.175]
    ... )
    >>> round(float(group), 5)
    0.00218

    References
    ----------
    Huang, Y. H. (2004), Pavement Analysis and Design, 2nd edition, section 2.1.1 (superposition).
    """
    centres, place = np.asarray(wheels, dtype=float), np.asarray(point, dtype=float)
    if centres.ndim != 2 or centres.shape[1] != 2 or not bool(np.all(np.isfinite(centres))):
        raise LawError("wheels", wheels, "pairs of finite numbers, one pair a wheel")
    if place.shape != (2,) or not bool(np.all(np.isfinite(place))):
        raise LawError("point", point, "one pair of finite numbers")
    offsets, wheels_there = np.unique(np.hypot(*(centres - place).T), return_counts=True)
    load = {"pressure": pressure, "radius": radius}
    each = surface_deflection(moduli, poisson_ratios, thicknesses, **load, offsets=offsets, accuracy=accuracy)
    return np.asarray(each @ wheels_there)


@holds_for(*_CHECKED)
def stresses(
    moduli: ArrayLike,
    poisson_ratios: ArrayLike,
    thicknesses: ArrayLike,
    *,
    pressure: ArrayLike,
    radius: ArrayLike,
    offset: ArrayLike,
    depth: ArrayLike,
    layer: int,
) -> tuple[Floats, Floats]:
    """Vertical and radial stress in a layered half-space under one uniform circular load.

    Parameters
    ----------
    moduli : array_like, shape (..., n)
        Young's moduli from the top layer to the half-space [Pa].
    poisson_ratios : array_like, shape (..., n)
        Poisson's ratios [-], 0 to 0.5.
    thicknesses : array_like, shape (..., n - 1)
        Thicknesses of the layers above the half-space [m].
    pressure : array_like, shape (...)
        Contact pressure [Pa].
    radius : array_like, shape (...)
        Radius of the loaded circle [m].
    offset : array_like, shape (...)
        Distance from the axis of the circle [m].
    depth : array_like, shape (...)
        Depth below the surface [m].
    layer : int
        Layer that the depth is in [-], 0 at the top; at an interface it picks the side.

    Returns
    -------
    vertical, radial : ndarray, shape (...)
        Stresses, compression positive [Pa].

    Raises
    ------
    LawError
        As ``surface_deflection``, for a layer that is not there, and for a depth outside the layer.

    Notes
    -----
    On the edge of the load at the surface the vertical stress is half the pressure. Error below 1e-9 of the pressure.

    Examples
    --------
    >>> vertical, radial = stresses(
    ...     [40e6], [0.5], [], pressure=350e3, radius=0.254, offset=0.0, depth=0.254, layer=0
    ... )
    >>> float(vertical.round()), float(radial.round())
    (226256.0, 40641.0)

    References
    ----------
    Burmister, D. M. (1945), The general theory of stresses and displacements in layered soil systems, Journal of
    Applied Physics 16, parts I to III.
    """
    lead, stack, _ = _stack_of(
        moduli, poisson_ratios, thicknesses, pressure=pressure, radius=radius, points=(offset, depth)
    )
    radii = _by_case(radius, lead)
    ratio = _by_case(not_negative("offset", offset), lead) / radii
    level = _by_case(not_negative("depth", depth), lead) / radii
    below_top, above_bottom = _place_in_layer(stack, level, layer=layer, given=depth)
    vertical, radial = _layers_stress(stack, ratio, below_top=below_top, above_bottom=above_bottom, layer=layer)
    if layer == 0:
        plain_vertical, plain_radial = _circle_stresses(ratio, below_top, poisson=stack.poisson[:, 0])
        vertical, radial = vertical + plain_vertical, radial + plain_radial
    load = _by_case(pressure, lead)
    return (load * vertical).reshape(lead), (load * radial).reshape(lead)


def _stack_of(
    moduli: ArrayLike,
    poisson_ratios: ArrayLike,
    thicknesses: ArrayLike,
    *,
    pressure: ArrayLike,
    radius: ArrayLike,
    points: tuple[ArrayLike, ...] = (),
) -> tuple[tuple[int, ...], _Stack, Floats]:
    """Shape of the leading axes, the checked stack by case, and the modulus of its top layer."""
    stiff = np.atleast_1d(positive("moduli", moduli))
    lateral = np.atleast_1d(not_negative("poisson_ratios", poisson_ratios))
    thick = np.atleast_1d(positive("thicknesses", thicknesses))
    if bool(np.any(lateral > 0.5)):
        raise LawError("poisson_ratios", poisson_ratios, "0 to 0.5")
    layers = stiff.shape[-1]
    if layers == 0 or lateral.shape[-1] != layers or thick.shape[-1] != layers - 1:
        given = f"{layers} moduli, {lateral.shape[-1]} Poisson's ratios, {thick.shape[-1]} thicknesses"
        raise LawError("layers", given, "as many ratios as moduli, and one thickness fewer")
    single, load = positive("radius", radius), not_negative("pressure", pressure)
    shapes = [values.shape[:-1] for values in (stiff, lateral, thick)] + [
        single.shape,
        load.shape,
        *map(np.shape, points),
    ]
    try:
        lead = np.broadcast_shapes(*shapes)
    except ValueError:
        raise LawError("leading axes", shapes, "shapes that broadcast") from None
    cases = math.prod(lead)
    rows = [np.broadcast_to(v, (*lead, v.shape[-1])).reshape(cases, v.shape[-1]) for v in (stiff, lateral, thick)]
    shear, lengths = rows[0] / (2 * (1 + rows[1])), rows[2] / _by_case(single, lead)[:, None]
    return lead, _Stack(shear, rows[1], lengths, _bonds(shear, rows[1])), rows[0][:, 0]


def _by_case(values: ArrayLike, lead: tuple[int, ...]) -> Floats:
    """One value a case."""
    return np.broadcast_to(np.asarray(values, dtype=float), lead).reshape(-1)


def _place_in_layer(stack: _Stack, level: Floats, *, layer: int, given: ArrayLike) -> tuple[Floats, Floats]:
    """Distances to the top and bottom of the layer, in radii; the half-space has its bottom nowhere."""
    if not 0 <= layer < stack.layers:
        raise LawError("layer", layer, f"0 to {stack.layers - 1}")
    top = stack.thickness[:, :layer].sum(axis=1)
    last = layer == stack.layers - 1
    bottom = np.full_like(top, np.inf) if last else top + stack.thickness[:, layer]
    rounding = 1e-9 * top + 1e-12
    if bool(np.any((level < top - rounding) | (level > bottom * (1 + 1e-9)))):
        raise LawError("depth", given, f"a depth inside layer {layer}")
    return np.maximum(level - top, 0.0), np.maximum(bottom - level, 0.0)


def _rule(accuracy: float) -> _Rule:
    """The rule with the fewest nodes that is as accurate."""
    if not accuracy >= _ACCURACY:
        raise LawError("accuracy", accuracy, f"{_ACCURACY:g} or more")
    return _QUICK if accuracy >= _QUICK_ACCURACY else _FINE


def _panels(*, fade: float, reach: float, phase: float, rule: _Rule) -> tuple[Floats, Floats]:
    """Nodes and weights in m a: ``fade`` [radii] ends them, ``reach`` [radii] begins them, ``phase`` splits them."""
    top = rule.faded / fade
    first = min(rule.first / reach, top / rule.ratio)
    count = math.ceil(math.log(top / first, rule.ratio))
    edges = np.concatenate([[0.0], np.geomspace(first, top, count + 1)])
    pieces = np.ceil(np.diff(edges) * phase / rule.phase).astype(int)
    starts = [np.linspace(a, b, n, endpoint=False) for a, b, n in zip(edges, edges[1:], pieces, strict=False)]
    edges = np.append(np.concatenate(starts), top)
    nodes, weights = leggauss(rule.nodes)
    half = np.diff(edges)[:, None] / 2
    return ((edges[:-1, None] + half) + half * nodes).ravel(), (half * weights).ravel()


def _reach(stack: _Stack) -> float:
    """Length over which the stack as a whole bends or stretches, in radii."""
    return float(np.max(stack.thickness.sum(axis=1) * stack.shear.max(axis=1) / stack.shear.min(axis=1)))


def _chunks(cases: int, nodes: int) -> list[slice]:
    """Slices of cases that keep the working arrays small."""
    step = max(1, _CHUNK // nodes)
    return [slice(start, start + step) for start in range(0, cases, step)]


def _layers_part(stack: _Stack, ratios: Floats, *, rule: _Rule) -> Floats:
    """What the layers add to the deflection kernel of a half-space of the top material: (cases, offsets)."""
    if stack.layers == 1 or ratios.size == 0 or len(stack.shear) == 0:
        return np.zeros((len(stack.shear), ratios.shape[1]))
    fade, phase = 2 * float(stack.thickness.min()), 1 + float(ratios.max())
    x, weights = _panels(fade=fade, reach=_reach(stack), phase=phase, rule=rule)
    shared = j0(ratios[0, :, None] * x) * (j1(x) / x * weights) if len(ratios) == 1 else None
    parts = []
    for cases in _chunks(len(stack.shear), x.size):
        part = stack[cases]
        excess = _surface_kernel(part, x) - 1.0
        if shared is not None:
            parts.append(excess @ shared.T)
        else:
            bessel = j0(ratios[cases, :, None] * x) * (j1(x) / x * weights)
            parts.append(np.einsum("cm,ckm->ck", excess, bessel))
    return np.concatenate(parts)


def _layers_stress(
    stack: _Stack, ratio: Floats, *, below_top: Floats, above_bottom: Floats, layer: int
) -> tuple[Floats, Floats]:
    """Stresses by pressure; in the top layer without those of a half-space of its material."""
    count = len(stack.shear)
    if stack.layers == 1 or count == 0:
        return np.zeros(count), np.zeros(count)
    fade, phase = float(stack.thickness[:, 0].min()), 1 + float(ratio.max())
    x, weights = _panels(fade=fade, reach=_reach(stack), phase=phase, rule=_FINE)
    load = j1(x) * weights
    vertical, radial = np.empty(count), np.empty(count)
    for cases in _chunks(count, x.size):
        part, arm = stack[cases], ratio[cases, None] * x
        stretch, turn = _waves_at(part, x, below_top=below_top[cases], above_bottom=above_bottom[cases], layer=layer)
        stiffer = part.shear[:, layer] / part.shear[:, 0]
        poisson = part.poisson[:, layer, None]
        upright = (stretch + 2 * (1 - poisson) * turn) * j0(arm)
        sideways = (2 * poisson * turn - stretch) * j0(arm) + stretch * _j1_over(arm)
        vertical[cases] = stiffer * (upright @ load)
        radial[cases] = stiffer * (sideways @ load)
    return vertical, radial


def _j1_over(argument: Floats) -> Floats:
    """J1(y) / y, a half at 0."""
    near = argument < 1e-8
    return np.where(near, 0.5, j1(argument) / np.where(near, 1.0, argument))


def _interface(shear: Floats, poisson: Floats, upper: int) -> tuple[_Matrix, _Matrix]:
    """Waves above an interface from those below it: going the same way, and the opposite way; no wave number in it.

    With u = A + zeta B, w = A + (kappa + zeta) B, and the two stresses A + (c + zeta) B and A + (c - 1 + zeta) B,
    sums of the downward and upward pair carry u and the vertical stress, differences w and the shear stress.
    """
    stiffer = (shear[:, upper + 1] / shear[:, upper])[:, None]
    nu, nu_below = poisson[:, upper, None], poisson[:, upper + 1, None]
    kappa, c = 3 - 4 * nu, 2 - 2 * nu
    kappa_below, c_below = 3 - 4 * nu_below, 2 - 2 * nu_below
    sum_1, sum_2 = (stiffer - 1) / c, stiffer * c_below / c
    turn_1, turn_2 = (1 - stiffer) / c, (kappa_below - stiffer * (c_below - 1)) / c
    skew_1, skew_2 = 1 - kappa * turn_1, kappa_below - kappa * turn_2
    same = _Matrix((1 + skew_1) / 2, skew_2 / 2, (sum_1 + turn_1) / 2, (sum_2 + turn_2) / 2)
    opposite = _Matrix((1 - skew_1) / 2, -skew_2 / 2, (sum_1 - turn_1) / 2, (sum_2 - turn_2) / 2)
    return same, opposite


def _met(same: _Matrix, opposite: _Matrix, seen: _Matrix) -> tuple[_Matrix, _Matrix]:
    """Reflection at an interface, and what goes on below it, where the layer below reflects what is seen."""
    inward = (same + opposite @ seen).inverse()
    return (opposite + same @ seen) @ inward, inward


def _bonds(shear: Floats, poisson: Floats) -> list[tuple[_Matrix, _Matrix]]:
    """Every interface, of ``_interface``; the lowest is met, since from the half-space nothing comes back."""
    bonds = [_interface(shear, poisson, upper) for upper in range(shear.shape[1] - 1)]
    return [*bonds[:-1], *(_met(*lowest, _NOTHING) for lowest in bonds[-1:])]


def _through(bottom: _Matrix, y: Floats) -> _Matrix:
    """Reflection at the bottom of a layer of thickness y / m, seen from its top."""
    fade = np.exp(-2 * y)
    lower, last = bottom.c * fade, bottom.d * fade
    turned = y * lower
    first = bottom.a * fade + turned
    return _Matrix(first, y * (first + last) + bottom.b * fade, lower, last + turned)


def _waves(stack: _Stack, x: Floats) -> _Waves:
    """Reflections and transmissions of all layers, from the half-space up."""
    seen, waves = _NOTHING, _Waves(_NOTHING, [], [])
    for upper in range(stack.layers - 2, -1, -1):
        bond = stack.bonds[upper]
        reflected, inward = bond if upper == stack.layers - 2 else _met(*bond, seen)
        seen = _through(reflected, stack.thickness[:, upper, None] * x)
        waves.at_bottom.insert(0, reflected)
        waves.inward.insert(0, inward)
    return waves._replace(seen=seen)


def _from_surface(stack: _Stack, seen: _Matrix) -> tuple[Floats, Floats]:
    """Downward pair of the top layer for unit load and no shear on the surface; a half-space has (1 - c, 1)."""
    c = 2 - 2 * stack.poisson[:, 0, None]
    upright = 1 + seen.a + c * seen.c, c + seen.b + c * seen.d
    shear = 1 - seen.a - (c - 1) * seen.c, (c - 1) - seen.b - (c - 1) * seen.d
    one_by = 1.0 / (upright[0] * shear[1] - upright[1] * shear[0])
    return shear[1] * one_by, -shear[0] * one_by


def _surface_kernel(stack: _Stack, x: Floats) -> Floats:
    """K(m): deflection of the surface by that of a half-space of the top material."""
    seen = _waves(stack, x).seen
    c = 2 - 2 * stack.poisson[:, 0, None]
    product = seen.a * seen.d - seen.b * seen.c
    # what the pair of _from_surface adds up to: most terms cancel
    below = 1 - (2 * c - 1) * (seen.a - seen.d) + 2 * seen.b - 2 * c * (c - 1) * seen.c - product
    return (1 - seen.a - seen.d + product) / below


def _waves_at(
    stack: _Stack, x: Floats, *, below_top: Floats, above_bottom: Floats, layer: int
) -> tuple[Floats, Floats]:
    """Sums of A + zeta B and of B over both directions, at a depth in a layer; a plain half-space out of the top one."""
    waves = _waves(stack, x)
    first, second = _from_surface(stack, waves.seen)
    for upper in range(layer):
        y = stack.thickness[:, upper, None] * x
        fade = np.exp(-y)
        first, second = waves.inward[upper].turned((first + y * second) * fade, second * fade)
    zeta = below_top[:, None] * x
    fade = np.exp(-zeta)
    plain = (2 * stack.poisson[:, 0, None] - 1, 1.0) if layer == 0 else (0.0, 0.0)
    turn = (second - plain[1]) * fade
    stretch = (first - plain[0]) * fade + zeta * turn
    if layer == stack.layers - 1:
        return stretch, turn
    y, eta = stack.thickness[:, layer, None] * x, above_bottom[:, None] * x
    arrived = np.exp(-y - eta)
    up, up_turn = waves.at_bottom[layer].turned((first + y * second) * arrived, second * arrived)
    return stretch + up + eta * up_turn, turn + up_turn


def _circle_deflection(ratio: Floats) -> Floats:
    """Integral of J1(x) J0(x r/a) / x: the surface of a half-space, by complete elliptic integrals."""
    inside = ratio <= 1
    within = ellipe(np.where(inside, ratio, 0.0) ** 2)
    far = np.where(inside, 2.0, ratio)
    k2 = far**-2
    # E - (1 - k2) K, written without its difference of near equals far away
    beyond = (elliprf(0.0, 1 - k2, 1.0) - elliprd(0.0, 1 - k2, 1.0) / 3) / far
    return np.asarray(np.where(inside, within, beyond) * 2 / np.pi)


def _circle_stresses(ratio: Floats, level: Floats, *, poisson: Floats) -> tuple[Floats, Floats]:
    """Stresses of a half-space by pressure, lengths in radii: integrals of two Bessel functions, e^-zt and t^n."""
    r, z = np.maximum(ratio, _AXIS), np.maximum(level, _SURFACE)
    reach = np.hypot(1 + r, z)
    near2 = (1 - r) ** 2 + z**2
    k2, left2 = 4 * r / reach**2, near2 / reach**2
    rf, rd = elliprf(0.0, left2, 1.0), elliprd(0.0, left2, 1.0)
    e = rf - k2 * rd / 3
    i100, i010 = _solid_angle(r, z, reach=reach, rf=rf)
    i101 = (rf + (1 - r**2 - z**2) / near2 * e) / (np.pi * reach)  # J1(t) J0(rt) t
    i110 = np.sqrt(k2 / r) / np.pi * 2 * (rd / 3 - rf / 2)  # J1(t) J1(rt); K - E - k2 K / 2 in Carlson's terms
    i11m = (i010 + r * i100 - z * i110) / 2  # J1(t) J1(rt) / t, by parts
    vertical = i100 + z * i101
    radial = i100 - z * i101 + (z * i110 - (1 - 2 * poisson) * i11m) / r
    s = np.hypot(1, level)
    cosine = level / s
    on_axis = 1 - cosine**3, (1 + 2 * poisson - 2 * (1 + poisson) * cosine + cosine**3) / 2
    near_axis = ratio < _AXIS
    return np.where(near_axis, on_axis[0], vertical), np.where(near_axis, on_axis[1], radial)


def _solid_angle(r: Floats, z: Floats, *, reach: Floats, rf: Floats) -> tuple[Floats, Floats]:
    """Integrals of J1(t) J0(rt) e^-zt and of J0(t) J1(rt) e^-zt: solid angles of two discs by 2 pi."""
    s = (1 - r) / (1 + r)
    rj = elliprj(0.0, ((1 - r) ** 2 + z**2) / reach**2, 1.0, np.maximum(s**2, _SURFACE**2))
    # K + s Pi(1 - s^2), and the same for -s, in Carlson's terms
    here, there = ((1 + t) * (rf + t * (1 - t) / 3 * rj) for t in (s, -s))
    inside = np.heaviside(1 - r, 0.5)
    return inside - z * here / (np.pi * reach), (1 - inside - z * there / (np.pi * reach)) / r
