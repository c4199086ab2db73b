"""The layered half-space against axisymmetric finite elements, which share no formula with it.

The equations of elasticity are solved in the half-plane of radius r and depth z by quadratic quadrilaterals of scikit-fem:
displacements (u_r, u_z), strains u_r,r, u_r/r, u_z,z and u_r,z + u_z,r, virtual work weighted by r. The mesh is a grid
of lines: their distance from the edge of the load, and their depth, grow by one factor from line to line, so the edge,
where the slope of the surface is without bound, has the finest elements; every interface is a line. Some 2,000 radii
away stand the displacements that a point load makes on the lowest material alone (Boussinesq 1885).

Lengths in load radii, stresses in pressures; the stacks are made up.
"""

from __future__ import annotations

from itertools import pairwise
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray
from skfem import (  # type: ignore[import-untyped]  # it carries no types
    Basis,
    BilinearForm,
    ElementQuad2,
    ElementVector,
    FacetBasis,
    LinearForm,
    MeshQuad,
    condense,
    solve,
)

from hardpan.laws import layered

Floats = NDArray[np.float64]

OFFSETS = np.array([0.0, 1.0, 2.0, 4.0])
FINEST = 1 / 81  # the elements at the edge of the load
NEAR = 9.0  # so far the lines stand twice as close: soft layers hold short waves
FAR = 3.0**7
STEPS = 6  # lines to a threefold distance, beyond what is near

STACKS = {
    "half-space": ([10.0], [0.45], []),
    "stiff over soft": ([100.0, 1.0], [0.25, 0.4], [2.0]),
    "soft over stiff": ([0.2, 1.0], [0.4, 0.4], [1.0]),
    "three, softer and softer": ([20.0, 4.0, 1.0], [0.25, 0.35, 0.45], [1.0, 2.0]),
    "three, a stiff one between": ([2.0, 30.0, 1.0], [0.35, 0.25, 0.45], [0.5, 2.0]),
    "four": ([60.0, 10.0, 3.0, 1.0], [0.3, 0.3, 0.35, 0.45], [0.5, 1.0, 2.0]),
}
Stack = tuple[list[float], list[float], list[float]]


def lines(stops: list[float], *, steps: int) -> Floats:
    """Distances that grow by even factors from stop to stop."""
    parts = [np.array([0.0, stops[0]])]
    for start, end in pairwise(stops):
        wanted = (2 if 1 <= start < NEAR else 1) * steps
        count = max(2, int(np.ceil(np.log(end / start) / np.log(3) * wanted - 1e-9)))
        parts.append(np.geomspace(start, end, count + 1)[1:])
    return np.concatenate(parts)


def grid(thicknesses: list[float], *, steps: int) -> Any:
    """Mesh of the radius and the depth, with a line at every offset asked for and at every interface."""
    from_edge = lines([FINEST, 1.0, 3.0, NEAR, FAR], steps=steps)
    inside = 1 - from_edge[from_edge <= 1][:0:-1]
    depths = lines([FINEST, *np.cumsum(thicknesses).tolist(), NEAR, FAR], steps=steps)
    return MeshQuad.init_tensor(np.concatenate([inside, 1 + from_edge]), depths)


def strains(u: Any, r: Floats) -> tuple[Floats, Floats, Floats, Floats]:
    """Radial, hoop, vertical and shear strain."""
    slope = u.grad
    return slope[0, 0], u[0] / r, slope[1, 1], slope[0, 1] + slope[1, 0]


def inner_work(u: Any, v: Any, w: Any) -> Floats:
    """Stresses of u on strains of v, by Hooke's law."""
    r = w.x[0]
    (*direct, sheared), (*virtual, virtual_shear) = strains(u, r), strains(v, r)
    products = 2 * sum(a * b for a, b in zip(direct, virtual, strict=True)) + sheared * virtual_shear
    return np.asarray((w.lame * sum(direct) * sum(virtual) + w.shear * products) * r)


def outer_work(v: Any, w: Any) -> Floats:
    """Unit pressure on v."""
    return np.asarray(v[1] * w.x[0])


def point_load(places: Floats, *, shear: float, nu: float) -> Floats:
    """Radial and vertical displacement of a half-space under the load of the circle in one point."""
    r, z = places
    s = np.hypot(r, z)
    radial = r * z / s**3 - (1 - 2 * nu) * r / (s * (s + z))
    vertical = z**2 / s**3 + 2 * (1 - nu) / s
    return np.asarray(np.stack([radial, vertical]) / (4 * shear))


def by_elements(stack: Stack, *, steps: int) -> Floats:
    """Deflection of the surface at the offsets."""
    moduli, nu, thicknesses = (np.array(part) for part in stack)
    shear = moduli / (2 * (1 + nu))
    lame = 2 * shear * nu / (1 - 2 * nu)
    mesh, element = grid(stack[2], steps=steps), ElementVector(ElementQuad2())
    basis = Basis(mesh, element, intorder=5)
    layer = np.searchsorted(np.cumsum(thicknesses), mesh.p[1, mesh.t].mean(axis=0))
    spread = np.ones(basis.dx.shape)
    stiffness = BilinearForm(inner_work).assemble(
        basis, lame=lame[layer, None] * spread, shear=shear[layer, None] * spread
    )
    loaded = mesh.facets_satisfying(lambda x: (x[1] == 0) & (x[0] < 1), boundaries_only=True)
    load = LinearForm(outer_work).assemble(FacetBasis(mesh, element, facets=loaded, intorder=5))
    far = basis.get_dofs(lambda x: (x[0] == mesh.p[0].max()) | (x[1] == mesh.p[1].max()))
    known = basis.zeros()
    for way, name in enumerate(["u^1", "u^2"]):
        there = far.all(name)
        known[there] = point_load(basis.doflocs[:, there], shear=shear[-1], nu=nu[-1])[way]
    axis = basis.get_dofs(lambda x: x[0] == 0).all("u^1")
    moved = solve(*condense(stiffness, load, x=known, D=np.union1d(axis, far.all())))
    surface = np.flatnonzero(mesh.p[1] == 0)
    found = [surface[np.abs(mesh.p[0, surface] - offset) < 1e-9].item() for offset in OFFSETS]
    return np.asarray(moved[basis.nodal_dofs[1, found]])


def by_law(stack: Stack) -> Floats:
    return layered.surface_deflection(*stack, pressure=1.0, radius=1.0, offsets=OFFSETS)


@pytest.mark.parametrize("stack", STACKS.values(), ids=STACKS)
def test_deflection_is_that_of_finite_elements(stack: Stack) -> None:
    assert np.abs(by_elements(stack, steps=STEPS) / by_law(stack) - 1).max() < 2e-4


def test_finer_elements_come_closer() -> None:
    stack = STACKS["three, softer and softer"]
    errors = [np.abs(by_elements(stack, steps=steps) / by_law(stack) - 1) for steps in (1, 2, 4)]
    assert errors[0].min() > 2e-4, "the coarsest must have a way to go"
    for coarse, fine in pairwise(errors):
        assert np.all(np.log2(coarse / fine) > 3)  # quadratic elements: at best the fourth order
