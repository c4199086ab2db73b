"""Solids, water and air."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from hardpan.errors import LawError
from hardpan.laws import phases

GRAVITIES = st.floats(2.5, 2.9)
VOIDS = st.floats(0.2, 3.0)
SHARES = st.floats(0.0, 1.0)


@given(GRAVITIES, VOIDS)
def test_void_ratio_and_dry_density_are_each_others_reverse(gravity: float, voids: float) -> None:
    density = phases.dry_density_from_void_ratio(voids, gravity)
    assert phases.void_ratio(density, gravity) == pytest.approx(voids, rel=1e-12)


@given(GRAVITIES, VOIDS, SHARES)
def test_water_content_and_saturation_are_each_others_reverse(gravity: float, voids: float, filled: float) -> None:
    density = phases.dry_density_from_void_ratio(voids, gravity)
    water = phases.water_content_at(density, gravity, filled)
    assert phases.saturation(water, gravity, voids) == pytest.approx(filled, rel=1e-9, abs=1e-12)


@given(GRAVITIES, VOIDS, SHARES)
def test_three_volumes_fill_the_whole(gravity: float, voids: float, filled: float) -> None:
    density = phases.dry_density_from_void_ratio(voids, gravity)
    water = phases.water_content_at(density, gravity, filled)
    solids_volume = float(density) / (1000 * gravity)
    water_volume = float(density) * float(water) / 1000
    assert solids_volume + water_volume + float(phases.air_voids(density, water, gravity)) == pytest.approx(
        1, abs=1e-12
    )


@given(st.floats(1000, 2400), st.floats(0, 1.5))
def test_dry_soil_and_its_water_weigh_the_bulk(bulk: float, water: float) -> None:
    dry = float(phases.dry_density(bulk, water))
    assert dry + water * dry == pytest.approx(bulk, rel=1e-12)


def test_arrays_broadcast() -> None:
    air = phases.air_voids(np.array([[1400.0], [1500.0]]), np.array([0.10, 0.20, 0.25]), 2.70)
    assert air.shape == (2, 3)
    assert air[1, 2] == pytest.approx(phases.air_voids(1500.0, 0.25, 2.70), rel=1e-15)


def test_rounding_of_a_full_soil_is_not_an_error() -> None:
    # 1 t/m3 of water, G 2.70, w 26 %: full at 1586.4 kg/m3, printed with four digits
    assert phases.air_voids(1586.5, 0.26, 2.70) == 0.0
    assert phases.saturation(0.2601, 2.70, 0.702) == 1.0


def test_phases_that_do_not_fit_raise() -> None:
    # 1 - 1.6 (1 / 2.70 + 0.26) = -0.00859
    with pytest.raises(LawError, match=r"air: given -0\.0085\d*; allowed: 0 or more: solids and water do not fit"):
        phases.air_voids(1600.0, 0.26, 2.70)
    with pytest.raises(LawError, match=r"solids and water do not fit; check dry density, water content and specific"):
        phases.saturation(0.30, 2.70, 0.70)


def test_soil_denser_than_its_solids_raises() -> None:
    with pytest.raises(LawError, match=r"dry_density: given 2800\.0; allowed: at most that of the solids"):
        phases.void_ratio(2800.0, 2.70)


@pytest.mark.parametrize("filled", [-0.1, 1.01, 98.0, float("nan")])
def test_saturation_is_a_fraction(filled: float) -> None:
    with pytest.raises(LawError, match=r"saturation: given .*; allowed: a fraction from 0 to 1 \(0\.98, not 98\)"):
        phases.water_content_at(1600.0, 2.70, filled)


@pytest.mark.parametrize(("bulk", "water", "name"), [(0.0, 0.2, "bulk_density"), (1900.0, -0.1, "water_content")])
def test_impossible_bulk_soil_raises(bulk: float, water: float, name: str) -> None:
    with pytest.raises(LawError, match=f"^{name}: given"):
        phases.dry_density(bulk, water)


def test_impossible_void_ratio_raises() -> None:
    with pytest.raises(LawError, match=r"^void_ratio: given -0.1; allowed: 0 or more"):
        phases.dry_density_from_void_ratio(-0.1, 2.70)
    with pytest.raises(LawError, match=r"^void_ratio: given 0.0; allowed: a number above 0"):
        phases.saturation(0.0, 2.70, 0.0)


def test_a_hair_over_full_is_judged_by_the_whole_volume() -> None:
    # water over the voids by 0.001 of the solids is 0.0005 of the whole at a void ratio of 1
    assert float(phases.saturation(0.500498, 2.0, 1.0)) == 1.0
    with pytest.raises(LawError, match=r"^air: given -0\.000502"):
        phases.saturation(0.500502, 2.0, 1.0)
