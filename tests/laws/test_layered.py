"""The layered half-space against closed forms, another formulation, balance of forces and printed tables."""

from __future__ import annotations

from itertools import pairwise
from typing import Any

import numpy as np
import pytest
from numpy.polynomial.legendre import leggauss
from numpy.typing import NDArray
from scipy.integrate import quad
from scipy.linalg import expm
from scipy.special import ellipe, ellipk, j0, j1

from hardpan.errors import LawError
from hardpan.laws import layered

Floats = NDArray[np.float64]
UNIT: dict[str, Any] = {"pressure": 1.0, "radius": 1.0}
PSI, INCH, POUND = 6894.757293168361, 0.0254, 4.4482216152605

# Burmister (1943), both Poisson's ratios 0.5, bonded: w = 1.5 q a / E2 F_w under the centre; computed from his closed
# kernel, exact to all digits shown. Rows E1/E2, columns h/a.
F_W_COLUMNS = [0.25, 0.5, 0.75, 1, 1.5, 2, 3, 4, 6, 8]
F_W = """
0.1  1.1060 1.7362 2.7438 3.7707 5.3366 6.3400 7.4751 8.0828 8.7104 9.0297
0.2  1.0494 1.3436 1.8070 2.2686 2.9620 3.4027 3.8993 4.1645 4.4382 4.5773
0.5  1.0139 1.0978 1.2233 1.3415 1.5128 1.6194 1.7384 1.8017 1.8667 1.8998
1    1 1 1 1 1 1 1 1 1 1
2    .9897 .9260 .8505 .7896 .7093 .6619 .6105 .5836 .5561 .5421
3    .9829 .8835 .7777 .6970 .5939 .5343 .4701 .4367 .4026 .3854
5    .9709 .8257 .6931 .5985 .4824 .4168 .3471 .3110 .2744 .2559
10   .9424 .7379 .5861 .4865 .3701 .3063 .2394 .2050 .1703 .1528
20   .8932 .6426 .4880 .3933 .2871 .2303 .1714 .1414 .1111 .0958
50   .7953 .5165 .3751 .2942 .2072 .1616 .1150 .0914 .0677 .0558
100  .7037 .4286 .3038 .2351 .1626 .1251 .0871 .0679 .0487 .0390
200  .6068 .3511 .2444 .1872 .1279 .0976 .0669 .0515 .0360 .0283
500  .4831 .2658 .1820 .1383 .0935 .0708 .0480 .0365 .0250 .0193
1000 .3993 .2138 .1452 .1098 .0739 .0558 .0376 .0285 .0193 .0147
"""


def f_w(ratio: Any, thickness: Any) -> Floats:
    """Burmister's factor of the centre deflection."""
    ratio, thickness = np.broadcast_arrays(np.asarray(ratio, dtype=float), thickness)
    moduli = np.stack([ratio, np.ones_like(ratio)], axis=-1)
    found = layered.surface_deflection(moduli, [0.5, 0.5], thickness[..., None], **UNIT, offsets=[0.0])
    return np.asarray(found[..., 0] / 1.5)


def on_axis(moduli: list[float], nu: list[float], thick: list[float], *, depth: float, layer: int) -> Floats:
    return np.array(layered.stresses(moduli, nu, thick, **UNIT, offset=0.0, depth=depth, layer=layer))


# printed tables and worked problems


def test_burmister_factors_to_every_digit() -> None:
    table = np.array([[float(number) for number in row.split()] for row in F_W.strip().splitlines()])
    assert table.shape == (14, 11)
    found = f_w(table[:, :1], np.array(F_W_COLUMNS))
    assert np.abs(found - table[:, 1:]).max() < 0.5001e-4


@pytest.mark.parametrize("ratio", [0.1, 2.0, 20.0, 1000.0])
@pytest.mark.parametrize("offset", [0.0, 0.7, 2.5])
def test_deflection_is_burmisters_closed_kernel(ratio: float, offset: float) -> None:
    # the same kernel by an adaptive general-purpose integrator
    thickness = 1.3
    n = (1 - 1 / ratio) / (1 + 1 / ratio)

    def excess(m: float) -> float:
        x = m * thickness
        once, twice = np.exp(-2 * x), np.exp(-4 * x)
        kernel = (1 + 4 * n * x * once - n**2 * twice) / (1 - 2 * n * (1 + 2 * x**2) * once + n**2 * twice)
        return float((kernel - 1) * j1(m) * j0(m * offset) / m)

    edges = [1e-12, 1e-3, 0.1, 1.0, 4.0, 10.0, 20.0]
    parts = [quad(excess, a, b, epsabs=1e-11 * ratio, epsrel=1e-10, limit=200)[0] for a, b in pairwise(edges)]
    plain = layered.surface_deflection([ratio], [0.5], [], **UNIT, offsets=[offset])[0]
    found = layered.surface_deflection([ratio, 1.0], [0.5, 0.5], [thickness], **UNIT, offsets=[offset])[0]
    assert found == pytest.approx(plain + 1.5 / ratio * sum(parts), rel=1e-9)


@pytest.mark.parametrize(
    ("thickness", "printed"),
    # exact values of the interface stress, of which Fox (1948) prints three places at h = a
    [
        (1.0, [0.6464, 0.2914, 0.0809, 0.0189]),
        (2.0, [0.2845, 0.1006, 0.0237, 0.0051]),
        (0.5, [0.9106, 0.6437, 0.2449, 0.0666]),
    ],
)
def test_stress_at_the_interface(thickness: float, printed: list[float]) -> None:
    ratios = np.array([1.0, 10.0, 100.0, 1000.0])
    moduli = np.stack([ratios, np.ones(4)], axis=-1)
    place: dict[str, Any] = {"offset": 0.0, "depth": thickness, "layer": 1}
    vertical, _ = layered.stresses(moduli, [0.5, 0.5], [thickness], **UNIT, **place)
    assert np.abs(vertical - printed).max() < 0.5001e-4


def test_three_layers_of_jones_in_pounds_and_inches() -> None:
    # Huang (2004) example 2.8, from memory: a1 0.8, H 1, K1 20, K2 2; 120 psi on a circle of 4.8 in
    moduli = np.array([400e3, 20e3, 10e3]) * PSI
    load: dict[str, Any] = {"pressure": 120 * PSI, "radius": 4.8 * INCH, "offset": 0.0}
    halves, six = [0.5, 0.5, 0.5], [6 * INCH, 6 * INCH]
    first = layered.stresses(moduli, halves, six, **load, depth=6 * INCH, layer=0)
    second = layered.stresses(moduli, halves, six, **load, depth=12 * INCH, layer=1)
    assert [round(float(stress) / PSI, 2) for stress in (first[0], second[0])] == [14.61, 7.13]
    assert [round(float(stress) / PSI, 1) for stress in (first[1], second[1])] == [-222.3, -4.0]


def test_thickness_for_a_stress_on_the_subgrade() -> None:
    # Huang (2004) example 2.5, from memory: 8 psi of 80 under a = 6 in; read from a chart 5.2 and 15 in, exact 5.288, 15.05
    for ratio, inches in ((100.0, 5.288), (5.0, 15.05)):
        h = inches / 6
        stress = on_axis([ratio, 1.0], [0.5, 0.5], [h], depth=h, layer=1)[0]
        assert stress == pytest.approx(0.1, rel=5e-4)


def test_plate_on_two_layers() -> None:
    # Huang (2004) example 2.7, from memory: 20,000 lb on a rigid 12-in plate, h 8 in, 0.1 in, E2 6,400 psi; chart E1/E2 5
    pressure = 20_000 / (np.pi * 36)
    factor = 0.1 * 6400 / (1.18 * pressure * 6)
    assert pressure == pytest.approx(176.84, abs=0.005)
    assert factor == pytest.approx(0.5112, abs=5e-5)
    assert f_w(5.060, 8 / 6) == pytest.approx(factor, abs=5e-5)


def test_two_circles_on_one_soil() -> None:
    # Huang (2004) example 2.1, data seen (askfilo 3339383637373739): a 5 in, 50 psi, 20 in apart, 10 in deep, E 10,000
    place: dict[str, Any] = {"offset": np.array([0.0, 20.0]), "depth": 10.0, "layer": 0}
    vertical, radial = layered.stresses([10e3], [0.5], [], pressure=50.0, radius=5.0, **place)
    assert vertical == pytest.approx([14.223, 0.375], abs=5e-4)
    assert radial[0] == pytest.approx(50 / 2 * (2 - 3 * 2 / 5**0.5 + (2 / 5**0.5) ** 3), rel=1e-12)


# closed forms


def boussinesq_surface(nu: float, r: Floats) -> Floats:
    """Deflection of a half-space, E = q = a = 1, by complete elliptic integrals."""
    inside = ellipe(np.minimum(r, 1.0) ** 2)
    k2 = np.minimum(1.0, 1 / np.maximum(r, 1.0 + 1e-15)) ** 2
    beyond = np.maximum(r, 1.0) * (ellipe(k2) - (1 - k2) * ellipk(k2))
    return np.asarray(4 * (1 - nu**2) / np.pi * np.where(r <= 1, inside, beyond))


@pytest.mark.parametrize("nu", [0.0, 0.3, 0.5])
@pytest.mark.parametrize("thick", [[], [0.4], [0.5, 2.0, 1.0], [0.3] * 9])
def test_one_material_in_layers_is_one_half_space(nu: float, thick: list[float]) -> None:
    count = len(thick) + 1
    r = np.array([0.0, 0.3, 0.999, 1.0, 1.001, 2.0, 6.0])
    found = layered.surface_deflection([1.0] * count, [nu] * count, thick, **UNIT, offsets=r)
    assert found == pytest.approx(boussinesq_surface(nu, r), rel=1e-12)
    below = 0.0
    for layer, depth in enumerate(thick if thick else [1.0]):
        below += depth
        for side in (layer, layer + 1)[:count]:
            s = np.hypot(1, below)
            vertical = 1 - below**3 / s**3
            radial = (1 + 2 * nu - 2 * (1 + nu) * below / s + (below / s) ** 3) / 2
            stress = on_axis([1.0] * count, [nu] * count, thick, depth=below, layer=side)
            assert stress == pytest.approx([vertical, radial], abs=1e-12)


def test_far_away_a_wheel_is_a_point() -> None:
    r = np.array([300.0, 3000.0])
    found = layered.surface_deflection([1.0], [0.3], [], **UNIT, offsets=r)
    assert found == pytest.approx((1 - 0.3**2) / r * (1 + 1 / (8 * r**2)), rel=1e-9)


@pytest.mark.parametrize("offset", [1e-7, 3.1e-6, 1e-3, 0.4, 0.999, 1.0, 1.7, 8.0])
@pytest.mark.parametrize("depth", [0.5, 3.0])
def test_stresses_off_the_axis_are_the_bessel_integrals(offset: float, depth: float) -> None:
    nu, nodes, weights = 0.2, *leggauss(400)
    m, dm = (nodes + 1) / 2 * 45 / depth, weights / 2 * 45 / depth
    fade, arm = j1(m) * np.exp(-m * depth) * dm, m * offset
    vertical = np.sum((1 + m * depth) * j0(arm) * fade)
    radial = np.sum(((1 - m * depth) * j0(arm) + (m * depth - 1 + 2 * nu) * j1(arm) / arm) * fade)
    found = layered.stresses([1.0], [nu], [], **UNIT, offset=offset, depth=depth, layer=0)
    assert np.array(found) == pytest.approx([vertical, radial], abs=1e-10)
    # the lower layer of one material takes the other way there: the waves, with nothing in closed form
    split = layered.stresses([1.0] * 2, [nu] * 2, [0.5], **UNIT, offset=offset, depth=depth, layer=1)
    assert np.array(split) == pytest.approx([vertical, radial], abs=1e-10)


def test_surface_carries_the_pressure_inside_and_nothing_outside() -> None:
    place: dict[str, Any] = {"offset": np.array([0.0, 0.5, 1.0, 2.0]), "depth": 0.0, "layer": 0}
    vertical, radial = layered.stresses([1.0], [0.3], [], **UNIT, **place)
    assert vertical == pytest.approx([1, 1, 0.5, 0], abs=1e-12)
    assert radial == pytest.approx([0.8, 0.8, 0.3, -0.05], abs=1e-12)  # (1 + 2 nu) / 2 inside, -(1 - 2 nu) / (2 r2) out
    vertical, _ = layered.stresses([0.1, 10.0, 1.0], [0.4, 0.2, 0.45], [0.5, 2.0], **UNIT, **place)
    assert vertical == pytest.approx([1, 1, 0.5, 0], abs=1e-10)


# another formulation: the equations of equilibrium as a linear differential equation in depth


def rates(shear: float, nu: float) -> Floats:
    """d(u, w, vertical stress / m, shear stress / m) / d(m z), tension positive, from Hooke and equilibrium."""
    lame = 2 * shear * nu / (1 - 2 * nu)
    whole = lame + 2 * shear
    stretch = np.array([-lame / whole, 0, 1 / whole, 0])
    sideways = np.array([whole, 0, 0, 0]) + lame * stretch
    return np.array([[0, 1, 0, 1 / shear], stretch, [0, 0, 0, -1], sideways])


def states(m: float, shear: list[float], nu: list[float], thick: list[float]) -> list[Floats]:
    """States at the surface and at each interface under unit pressure, by matrix exponentials."""
    down = [np.eye(4)]
    for layer, h in enumerate(thick):
        down.append(expm(rates(shear[layer], nu[layer]) * m * h) @ down[-1])
    fading = rates(shear[-1], nu[-1]) + np.eye(4)
    bounded = (fading @ fading) @ down[-1]  # whatever fades as e^-mz or m z e^-mz is taken to nothing
    moved = np.linalg.lstsq(bounded[:, :2], bounded[:, 2] / m, rcond=None)[0]
    return [matrix @ np.array([*moved, -1 / m, 0.0]) for matrix in down]


@pytest.mark.parametrize("m", [0.02, 0.3, 1.0, 2.5])
def test_waves_are_the_equations_of_equilibrium(m: float) -> None:
    moduli, nu, thick = np.array([3.0, 0.4, 8.0, 1.0]), [0.2, 0.45, 0.3, 0.4], [0.7, 1.1, 0.6]
    shear = moduli / (2 * (1 + np.array(nu)))
    known = states(m, list(shear), nu, thick)
    bonds = layered._bonds(shear[None], np.array([nu]))
    stack = layered._Stack(shear[None], np.array([nu]), np.array([thick]), bonds)
    x = np.array([m])
    kernel = layered._surface_kernel(stack, x)[0, 0]
    assert kernel == pytest.approx(known[0][1] * m * shear[0] / (1 - nu[0]), rel=1e-9)
    for layer in range(1, 4):
        stretch, turn = layered._waves_at(
            stack, x, below_top=np.zeros(1), above_bottom=stack_bottom(thick, layer), layer=layer
        )
        stress = shear[layer] / shear[0] * (stretch + 2 * (1 - nu[layer]) * turn)[0, 0]
        assert stress == pytest.approx(-known[layer][2] * m, abs=1e-9)
        # u of the wave amplitudes is in units of load / (2 m G) of the top layer
        assert stretch[0, 0] / (2 * m * shear[0]) == pytest.approx(known[layer][0], abs=1e-9 / m)


def stack_bottom(thick: list[float], layer: int) -> Floats:
    return np.array([thick[layer] if layer < len(thick) else np.inf])


@pytest.mark.parametrize(("depth", "layer"), [(0.5, 0), (1.2, 1), (3.0, 2)])
def test_vertical_stress_over_a_plane_carries_the_load(depth: float, layer: int) -> None:
    nodes, weights = leggauss(20)
    half = np.diff([0, 0.5, 1, 1.5, 2, 3, 5, 10, 20, 40, 80, 160])[:, None] / 2
    r = ((np.cumsum(2 * half)[:, None] - half) + half * nodes).ravel()
    stack = [20.0, 0.5, 1.0], [0.25, 0.35, 0.45], [0.5, 1.5]
    vertical, _ = layered.stresses(*stack, **UNIT, offset=r, depth=depth, layer=layer)
    carried = np.cumsum((vertical * 2 * np.pi * r).reshape(len(half), -1) @ weights * half.ravel())
    beyond = (
        carried[-1] - carried[-2]
    ) / 7  # far away the stress fades as r^-5: an eighth of the rest at twice the radius
    assert carried[-1] + beyond == pytest.approx(np.pi, rel=1e-5)
    assert beyond < 0.001


@pytest.mark.parametrize("offset", [0.0, 0.6, 1.0, 3.0])
@pytest.mark.parametrize("upper", [0, 1, 2])
def test_bonded_layers_press_and_stretch_alike(offset: float, upper: int) -> None:
    moduli, nu, thick = [500.0, 3.0, 40.0, 1.0], [0.2, 0.5, 0.3, 0.45], [0.6, 1.0, 0.4]
    place: dict[str, Any] = {"offset": offset, "depth": sum(thick[: upper + 1])}
    above = layered.stresses(moduli, nu, thick, **UNIT, **place, layer=upper)
    below = layered.stresses(moduli, nu, thick, **UNIT, **place, layer=upper + 1)
    assert above[0] == pytest.approx(float(below[0]), abs=1e-10)
    if offset == 0:  # there the hoop stress is the radial one
        strains = [
            ((1 - nu[layer]) * side[1] - nu[layer] * side[0]) / moduli[layer]
            for layer, side in ((upper, above), (upper + 1, below))
        ]
        assert strains[0] == pytest.approx(float(strains[1]), rel=1e-8)


# numerics


HARD = [
    ([1000.0, 1.0], [0.2, 0.45], [0.25]),
    ([0.01, 1.0], [0.5, 0.5], [0.1]),
    ([60.0, 10.0, 3.0, 1.0], [0.3, 0.3, 0.35, 0.45], [0.5, 1.0, 20.0]),
    ([2.0, 3000.0, 0.5, 100.0], [0.35, 0.2, 0.45, 0.35], [0.3, 2.0, 3.0]),
]


def twice(rule: layered._Rule) -> layered._Rule:
    """Twice the nodes of a panel, and panels that begin a hundred times nearer to m = 0."""
    return rule._replace(nodes=2 * rule.nodes, first=rule.first / 100)


@pytest.mark.parametrize(("moduli", "nu", "thick"), HARD)
def test_twice_the_nodes_change_nothing(
    moduli: list[float], nu: list[float], thick: list[float], monkeypatch: pytest.MonkeyPatch
) -> None:
    def both() -> tuple[Floats, Floats]:
        at: dict[str, Any] = {"offset": np.array([0.0, 1.0, 10.0]), "depth": thick[0], "layer": 1}
        deflection = layered.surface_deflection(moduli, nu, thick, **UNIT, offsets=[0.0, 1.0, 2.0, 10.0])
        return deflection, np.array(layered.stresses(moduli, nu, thick, **UNIT, **at))

    coarse = both()
    usual = layered._FINE
    monkeypatch.setattr(layered, "_FINE", twice(usual))
    fine = both()
    assert coarse[0] == pytest.approx(fine[0], rel=1e-10, abs=1e-12)
    assert coarse[1] == pytest.approx(fine[1], abs=1e-11)
    monkeypatch.setattr(layered, "_FINE", usual._replace(nodes=3))
    assert np.abs(both()[1] - fine[1]).max() > 1e-9, "the nodes are not what decides"


def random_stacks(count: int) -> list[dict[str, Any]]:
    """One to six layers, 0.1 to 1000 times as stiff as the half-space, 0.25 to 8 radii thick; offsets to 14 radii."""
    rng = np.random.default_rng(11)
    stacks: list[dict[str, Any]] = []
    for _ in range(count):
        layers = rng.integers(1, 7)
        thick = 0.25 * 32 ** rng.random(layers)
        stack = {"moduli": [*0.1 * 1e4 ** rng.random(layers), 1.0], "poisson_ratios": rng.uniform(0, 0.5, layers + 1)}
        stacks.append(stack | {"thicknesses": thick, "offsets": [0.0, 1.0, 4.0, rng.uniform(4, 14)], **UNIT})
    return stacks


def test_twice_the_nodes_change_nothing_on_random_stacks(monkeypatch: pytest.MonkeyPatch) -> None:
    stacks = random_stacks(200)
    usual = np.array([layered.surface_deflection(**stack) for stack in stacks])
    monkeypatch.setattr(layered, "_FINE", twice(layered._FINE))
    finer = np.array([layered.surface_deflection(**stack) for stack in stacks])
    assert np.any(finer != usual), "the nodes are not what decides"
    assert np.abs(usual / finer - 1).max() < 1e-10


def test_the_quick_sum_is_as_good_as_it_says() -> None:
    worst = 0.0
    for stack in random_stacks(600):
        found, exact = layered.surface_deflection(**stack, accuracy=1e-5), layered.surface_deflection(**stack)
        worst = max(worst, float(np.abs(found - exact).max() / exact[0]))
    assert 1e-9 < worst < 1e-5


def test_only_what_asks_for_little_gets_little() -> None:
    def off(accuracy: float) -> float:
        stack: dict[str, Any] = {"moduli": [10.0, 1.0], "poisson_ratios": [0.3, 0.4], "thicknesses": [0.5], **UNIT}
        both = [layered.surface_deflection(**stack, offsets=[1.0], accuracy=wanted) for wanted in (accuracy, 1e-9)]
        return float(both[0][0] / both[1][0] - 1)

    assert off(0.9e-5) == 0
    assert off(1e-5) == off(0.1) != 0


def test_a_group_passes_on_how_accurate_it_must_be() -> None:
    stack: Any = ([30.0, 1.0], [0.3, 0.4], [0.8])
    found = layered.surface_deflection_of_group(*stack, **UNIT, wheels=[[0.0, 2.0]], point=[0.0, 0.0], accuracy=1e-5)
    assert found == layered.surface_deflection(*stack, **UNIT, offsets=[2.0], accuracy=1e-5)[0]
    assert found != layered.surface_deflection(*stack, **UNIT, offsets=[2.0])[0]


def test_nothing_overflows() -> None:
    found = layered.surface_deflection([1e6, 1e-3, 1.0], [0.5, 0.0, 0.5], [500.0, 2000.0], **UNIT, offsets=[0.0, 50.0])
    assert np.all(np.isfinite(found))


def test_leading_axes_broadcast(monkeypatch: pytest.MonkeyPatch) -> None:
    rng = np.random.default_rng(7)
    moduli, nu = rng.uniform(1, 50, (3, 1, 3)), rng.uniform(0, 0.5, (4, 3))
    thick, radius, pressure = rng.uniform(0.3, 2, (3, 4, 2)), rng.uniform(0.5, 2, (4,)), rng.uniform(1, 3, (3, 1))
    offsets = [0.0, 0.5, 3.0]
    monkeypatch.setattr(layered, "_CHUNK", 5000)  # a few cases at a time
    found = layered.surface_deflection(moduli, nu, thick, pressure=pressure, radius=radius, offsets=offsets)
    depth = thick[..., 0]
    vertical, radial = layered.stresses(
        moduli, nu, thick, pressure=pressure, radius=radius, offset=0.2, depth=depth, layer=1
    )
    assert found.shape == (3, 4, 3)
    assert vertical.shape == radial.shape == (3, 4)
    for i, j in np.ndindex(3, 4):
        load: dict[str, Any] = {"pressure": pressure[i, 0], "radius": radius[j]}
        single = layered.surface_deflection(moduli[i, 0], nu[j], thick[i, j], **load, offsets=offsets)
        assert found[i, j] == pytest.approx(single, rel=1e-10)
        alone = layered.stresses(moduli[i, 0], nu[j], thick[i, j], **load, offset=0.2, depth=depth[i, j], layer=1)
        assert [vertical[i, j], radial[i, j]] == pytest.approx(np.array(alone), abs=1e-10)


def test_one_radius_for_all_cases_is_no_other_answer() -> None:
    moduli, offsets = np.array([[5.0, 1.0], [80.0, 1.0]]), [0.0, 1.5]
    shared = layered.surface_deflection(moduli, [0.3, 0.4], [1.0], **UNIT, offsets=offsets)
    each = layered.surface_deflection(moduli, [0.3, 0.4], [1.0], pressure=1.0, radius=[1.0, 1 + 1e-12], offsets=offsets)
    assert shared == pytest.approx(each, rel=1e-10)


def test_no_cases_give_no_answers() -> None:
    assert layered.surface_deflection(np.ones((0, 2)), [0.3, 0.3], [1.0], **UNIT, offsets=[0.0]).shape == (0, 1)
    assert layered.surface_deflection([2.0, 1.0], [0.3, 0.3], [1.0], **UNIT, offsets=[]).shape == (0,)
    vertical, _ = layered.stresses(np.ones((0, 2)), [0.3, 0.3], [1.0], **UNIT, offset=0.0, depth=1.0, layer=0)
    assert vertical.shape == (0,)


def test_a_group_is_the_sum_of_its_wheels() -> None:
    stack = np.array([[30.0, 1.0], [4.0, 1.0]]), [0.3, 0.4], [0.8]
    wheels, point = np.array([[0.0, 0.0], [0.0, 3.0], [4.0, 0.0], [4.0, 3.0]]), [0.0, 0.0]
    found = layered.surface_deflection_of_group(*stack, **UNIT, wheels=wheels, point=point)
    each = layered.surface_deflection(*stack, **UNIT, offsets=[0.0, 3.0, 4.0, 5.0])
    assert found == pytest.approx(each.sum(axis=-1), rel=1e-10)
    middle = layered.surface_deflection_of_group(*stack, **UNIT, wheels=wheels, point=[2.0, 1.5])
    assert middle == pytest.approx(4 * layered.surface_deflection(*stack, **UNIT, offsets=[2.5])[:, 0], rel=1e-10)


# what no street can have


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"moduli": [1.0, 0.0]}, "moduli: given"),
        ({"moduli": [1.0, np.nan]}, "moduli: given"),
        ({"poisson_ratios": [0.3, 0.5000001]}, "poisson_ratios: given .* 0 to 0.5"),
        ({"poisson_ratios": [-0.1, 0.3]}, "poisson_ratios: given"),
        ({"thicknesses": [0.0]}, "thicknesses: given"),
        ({"radius": 0.0}, "radius: given"),
        ({"pressure": -1.0}, "pressure: given"),
        ({"offsets": [-0.1]}, "offsets: given"),
        ({"offsets": 0.0}, "offsets: given shape"),
        ({"accuracy": 0.9e-9}, "accuracy: given 9e-10"),
        ({"accuracy": np.nan}, "accuracy: given nan"),
        ({"thicknesses": []}, "layers: given 2 moduli, 2 Poisson's ratios, 0 thicknesses"),
        ({"poisson_ratios": [0.3]}, "layers: given 2 moduli, 1 Poisson's ratios"),
        ({"moduli": [], "poisson_ratios": [], "thicknesses": []}, "layers: given 0 moduli"),
        ({"radius": [1.0, 2.0], "pressure": [1.0, 2.0, 3.0]}, "leading axes: given"),
    ],
)
def test_impossible_stacks_are_refused(change: dict[str, Any], message: str) -> None:
    good: dict[str, Any] = {"moduli": [2.0, 1.0], "poisson_ratios": [0.3, 0.5], "thicknesses": [1.0], **UNIT}
    good["offsets"] = [0.0]
    assert layered.surface_deflection(**good).shape == (1,)
    with pytest.raises(LawError, match=f"^{message}"):
        layered.surface_deflection(**(good | change))


@pytest.mark.parametrize(
    ("change", "name"),
    [
        ({"layer": 2}, "layer"),
        ({"layer": -1}, "layer"),
        ({"depth": 1.001}, "depth"),
        ({"depth": 0.5, "layer": 1}, "depth"),
        ({"depth": -0.1}, "depth"),
        ({"offset": np.inf}, "offset"),
        ({"offset": [0.0, 1.0], "depth": [0.1, 0.2, 0.3]}, "leading axes"),
    ],
)
def test_impossible_places_are_refused(change: dict[str, Any], name: str) -> None:
    good: dict[str, Any] = {"offset": 0.0, "depth": 1.0, "layer": 0}
    assert layered.stresses([2.0, 1.0], [0.3, 0.5], [1.0], **UNIT, **good)[0].shape == ()
    with pytest.raises(LawError, match=f"^{name}: given"):
        layered.stresses([2.0, 1.0], [0.3, 0.5], [1.0], **UNIT, **(good | change))


@pytest.mark.parametrize(
    ("wheels", "point", "name"),
    [
        ([0.0, 1.0], [0.0, 0.0], "wheels"),
        ([[0.0, 1.0, 2.0]], [0.0, 0.0], "wheels"),
        ([[0.0, np.nan]], [0.0, 0.0], "wheels"),
        ([[0.0, 1.0]], [0.0], "point"),
        ([[0.0, 1.0]], [0.0, np.inf], "point"),
    ],
)
def test_impossible_groups_are_refused(wheels: Any, point: Any, name: str) -> None:
    with pytest.raises(LawError, match=f"^{name}: given"):
        layered.surface_deflection_of_group([1.0], [0.3], [], **UNIT, wheels=wheels, point=point)
