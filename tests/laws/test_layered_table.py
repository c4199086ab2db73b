"""The table of two layers against the exact law, on random points of its whole range."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from hardpan.errors import LawError
from hardpan.laws import layered
from hardpan.laws.layered_table import TwoLayerTable, two_layer_table

POISSON = [0.35, 0.45]
GROUP: dict[str, Any] = {
    "pressure": 690e3,
    "radius": 0.1,
    "wheels": [[0.0, 0.0], [0.0, 0.35], [1.3, 0.0], [1.3, 0.35]],  # two axles of twin tyres
    "point": [0.0, 0.0],
}


@pytest.fixture(scope="module")
def table() -> TwoLayerTable:
    return two_layer_table(POISSON, **GROUP)


def test_table_is_within_a_hundred_thousandth_of_the_law(table: TwoLayerTable) -> None:
    rng = np.random.default_rng(2)
    count = 2000
    lower = 5e6 * 20 ** rng.random(count)
    upper = lower * 0.1 * 1e4 ** rng.random(count)
    thickness = np.sort(0.025 * 32 ** rng.random(count))
    exact = np.concatenate(
        [  # alike thicknesses together: the thinnest sets the length of all integrals
            layered.surface_deflection_of_group(
                np.stack([upper[part], lower[part]], axis=-1), POISSON, thickness[part, None], **GROUP
            )
            for part in np.array_split(np.arange(count), 20)
        ]
    )
    assert np.abs(table.deflection(upper, lower, thickness) / exact - 1).max() < 1e-5


@pytest.mark.parametrize("ratio", [0.1, 1000.0])
@pytest.mark.parametrize("thickness", [0.025, 0.8])
def test_corners_of_the_range_are_as_good(table: TwoLayerTable, ratio: float, thickness: float) -> None:
    exact = layered.surface_deflection_of_group([ratio * 1e7, 1e7], POISSON, [thickness], **GROUP)
    assert table.deflection(ratio * 1e7, 1e7, thickness) == pytest.approx(float(exact), rel=1e-5)


def test_table_broadcasts(table: TwoLayerTable) -> None:
    grid = table.deflection(np.full((3, 1), 1e8), 2e7, np.array([0.1, 0.2]))
    assert grid.shape == (3, 2)
    assert table.deflection(1e8, 2e7, 0.2).shape == ()
    assert grid[2, 1] == table.deflection(1e8, 2e7, 0.2)


@pytest.mark.parametrize(
    ("asked", "name"),
    [
        ((0.099e7, 1e7, 0.1), "upper_modulus / lower_modulus"),
        ((1001e7, 1e7, 0.1), "upper_modulus / lower_modulus"),
        ((1e7, 1e7, 0.0249), "thickness / radius"),
        ((1e7, 1e7, [0.1, 0.801]), "thickness / radius"),
        ((1e7, 0.0, 0.1), "lower_modulus"),
        ((-1e7, 1e7, 0.1), "upper_modulus"),
        ((1e7, 1e7, np.nan), "thickness"),
    ],
)
def test_the_table_knows_its_ends(table: TwoLayerTable, asked: tuple[Any, Any, Any], name: str) -> None:
    with pytest.raises(LawError, match=f"^{name}: given"):
        table.deflection(*asked)


@pytest.mark.parametrize(
    ("change", "name"),
    [
        ({"modulus_ratios": (2.0, 2.0)}, "modulus_ratios"),
        ({"thickness_ratios": (0.0, 2.0)}, "thickness_ratios"),
        ({"pressure": 0.0}, "pressure"),
        ({"radius": -1.0}, "radius"),
        # a soft thin layer on a firm one is squeezed out beside the wheel and heaves
        (
            {"wheels": [[0.0, 0.0]], "point": [0.0, 0.175], "modulus_ratios": (1e-3, 1.0)},
            "modulus_ratios, thickness_ratios",
        ),
    ],
)
def test_tables_that_cannot_be_made(change: dict[str, Any], name: str) -> None:
    with pytest.raises(LawError, match=f"^{name}: given"):
        two_layer_table(POISSON, **(GROUP | change))
