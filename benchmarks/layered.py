"""Layered elasticity against an adaptive integrator, all in one run: two layers, one wheel, deflection under its centre.

The integrator is ``scipy.integrate.quad`` on Burmister's closed kernel, in plain Python, twice: with the integral as he
wrote it, and with what a half-space of the upper material does taken out by hand, so that the rest fades.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from functools import partial

import numpy as np
from numpy.typing import NDArray
from scipy.integrate import quad
from scipy.special import j1, jn_zeros

from benchmarks.timing import Ratio, best
from hardpan.laws.layered import surface_deflection, surface_deflection_of_group
from hardpan.laws.layered_table import TwoLayerTable, two_layer_table

Floats = NDArray[np.float64]
Cases = tuple[Floats, Floats]  # moduli of the layer by those of the half-space, thicknesses by the radius
Quad = Callable[[float, float], float]  # deflection of one case

SINGLE, BATCH, POINTS = 50, 20_000, 100_000  # cases for the integrator, for law and table, and for the table's error
POISSON = (0.35, 0.45)
MODULUS_RATIOS, THICKNESS_RATIOS = (0.1, 1000.0), (0.25, 8.0)
TOLERANCE = 1e-5  # of quad, relative: what is asked is what it promises
LAST_WAVE = float(jn_zeros(0, 71)[-1])  # beyond a zero of J0 the integral of J1(m)/m is below 1e-6
FADED = 8.0  # e^-2mh beyond m h = 8 changes nothing of 1e-5
TWIN_AXLES = [[0.0, 0.0], [0.0, 3.5], [13.0, 0.0], [13.0, 3.5]]  # radii


def random_cases(count: int, seed: int) -> Cases:
    """Cases even in the logarithm of both ratios, over the range of the table; the first is the softest and thinnest."""
    shares = np.random.default_rng(seed).random((2, count))
    shares[:, 0] = 0
    ranges = MODULUS_RATIOS, THICKNESS_RATIOS
    moduli, thicknesses = (low * (high / low) ** s for (low, high), s in zip(ranges, shares, strict=True))
    return moduli, thicknesses


def burmister(modulus: float, thickness: float) -> Callable[[float], float]:
    """Closed kernel of two layers: deflection of the surface by that of a half-space of the upper material."""
    upper, lower = (3 - 4 * nu for nu in POISSON)
    n = (1 + POISSON[0]) / (modulus * (1 + POISSON[1]))
    shear, bulk = (1 - n) / (1 + n * upper), (lower - n * upper) / (lower + n)
    both, product = shear + bulk, shear * bulk

    def kernel(m: float) -> float:
        x = m * thickness
        fade = math.exp(-2 * x)
        last = product * fade * fade
        return (1 + 4 * shear * x * fade - last) / (1 - (both + 4 * shear * x * x) * fade + last)

    return kernel


def as_written(modulus: float, thickness: float) -> float:
    """Deflection by quad, from the integral as Burmister wrote it, up to a wave number beyond which little is left."""
    kernel = burmister(modulus, thickness)
    total = quad(lambda m: kernel(m) * j1(m) / m, 0, LAST_WAVE, epsabs=0, epsrel=TOLERANCE, limit=1000)[0]
    return float(2 * (1 - POISSON[0] ** 2) / modulus * total)


def without_half_space(modulus: float, thickness: float) -> float:
    """Deflection by quad, from what the layers add to a half-space: an integral that fades."""
    kernel, last = burmister(modulus, thickness), FADED / thickness
    added = quad(lambda m: (kernel(m) - 1) * j1(m) / m, 0, last, epsabs=0, epsrel=TOLERANCE, limit=1000)[0]
    return float(2 * (1 - POISSON[0] ** 2) / modulus * (1 + added))


def by_quad(one: Quad, cases: Cases) -> Floats:
    """Deflections one by one."""
    return np.array([one(modulus, thickness) for modulus, thickness in zip(*(c.tolist() for c in cases), strict=True)])


def by_law(cases: Cases, accuracy: float = 1e-9) -> Floats:
    """Deflections in one call, in units of pressure, radius and lower modulus."""
    moduli = np.stack([cases[0], np.ones_like(cases[0])], axis=-1)
    unit = {"pressure": 1.0, "radius": 1.0}
    return surface_deflection(moduli, POISSON, cases[1][:, None], **unit, offsets=[0.0], accuracy=accuracy)[:, 0]


def millionths_off(found: Floats, exact: Floats) -> float:
    """Largest relative error, in millionths."""
    return float(np.abs(found / exact - 1).max() * 1e6)


def table_of(wheels: list[list[float]]) -> TwoLayerTable:
    """Table of the deflection at the first wheel."""
    ranges = {"modulus_ratios": MODULUS_RATIOS, "thickness_ratios": THICKNESS_RATIOS}
    return two_layer_table(POISSON, pressure=1.0, radius=1.0, wheels=wheels, point=wheels[0], **ranges)


def by_law_in_chunks(cases: Cases, wheels: list[list[float]]) -> Floats:
    """Deflections under a group, alike thicknesses together: the thinnest sets the length of all integrals."""
    exact = np.empty_like(cases[0])
    for part in np.array_split(np.argsort(cases[1]), 50):
        moduli = np.stack([cases[0][part], np.ones(part.size)], axis=-1)
        exact[part] = surface_deflection_of_group(
            moduli, POISSON, cases[1][part, None], pressure=1.0, radius=1.0, wheels=wheels, point=wheels[0]
        )
    return exact


def table_errors() -> list[Ratio]:
    """The table on many random points of its range, for one wheel and for two axles of twin tyres."""
    cases = random_cases(POINTS, seed=2)
    figures: list[Ratio] = []
    for name, wheels in (("one wheel", TWIN_AXLES[:1]), ("twin axles", TWIN_AXLES)):
        table = table_of(wheels)
        off = millionths_off(table.deflection(cases[0], 1.0, cases[1]), by_law_in_chunks(cases, wheels))
        what = f"layered table, {name}: error on {POINTS:,} points, millionths"
        figures.append(Ratio(what, off, 10.0, best(partial(table_of, wheels))))
    return figures


def layered_ratios() -> list[Ratio]:
    """Errors first, then speeds over those of quad: seconds are those of one case, or of building a table."""
    few, many = random_cases(SINGLE, seed=0), random_cases(BATCH, seed=1)
    quads: dict[str, Quad] = {"quad as written": as_written, "quad, half-space out": without_half_space}
    slow = {name: best(partial(by_quad, one, few)) / SINGLE for name, one in quads.items()}
    exact, quick = (best(partial(by_law, many, accuracy)) / BATCH for accuracy in (1e-9, 1e-5))
    table = table_of(TWIN_AXLES[:1])
    looked_up = best(partial(table.deflection, many[0], 1.0, many[1])) / BATCH
    errors = [
        (
            f"layered, {name}, epsrel {TOLERANCE:.0e}: error, millionths",
            millionths_off(by_quad(one, few), by_law(few)),
            slow[name],
        )
        for name, one in quads.items()
    ]
    errors.append(("layered, law to 1e-5: error, millionths", millionths_off(by_law(many, 1e-5), by_law(many)), quick))
    figures: list[Ratio] = [Ratio(what, off, 10.0, seconds) for what, off, seconds in errors]
    aims = {"quad as written": (400.0, 8000.0), "quad, half-space out": (None, None)}
    for name, (law_aim, table_aim) in aims.items():
        figures += [
            Ratio(f"layered, law to 1e-9 / {name}", slow[name] / exact, None, exact, least=True),
            Ratio(f"layered, law to 1e-5 / {name}", slow[name] / quick, law_aim, quick, least=True),
            Ratio(f"layered, table / {name}", slow[name] / looked_up, table_aim, looked_up, least=True),
        ]
    return figures + table_errors()
