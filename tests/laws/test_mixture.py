"""Soil, cement and water as one mixture."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from hardpan.errors import LawError
from hardpan.laws import mixture, phases, rise, spread

DENSITIES = st.floats(1200.0, 1900.0)
CONTENTS = st.floats(0.01, 0.15)
GRAVITIES = st.floats(2.60, 2.80)
WATERS = st.floats(0.05, 0.60)


@given(DENSITIES, CONTENTS, GRAVITIES)
def test_a_cubic_metre_is_soil_cement_and_voids(density: float, content: float, gravity: float) -> None:
    soil = spread.soil_density_from_mixture(density, content) / (1000 * gravity)
    cement = mixture.cement_volume_share(density, content)
    assert soil + cement + mixture.porosity(density, content, gravity) == pytest.approx(1.0, abs=1e-12)
    # the masses of those volumes
    assert cement * 3150 == pytest.approx(density * spread.content_of_mixture(content), rel=1e-12)


@given(DENSITIES, GRAVITIES)
def test_without_cement_porosity_is_the_voids_of_the_soil(density: float, gravity: float) -> None:
    voids = phases.void_ratio(density, gravity)
    assert mixture.porosity(density, 0.0, gravity) == pytest.approx(voids / (1 + voids), abs=1e-12)
    assert mixture.cement_volume_share(density, 0.0) == 0.0


@given(DENSITIES, CONTENTS, GRAVITIES)
def test_cement_as_heavy_as_soil_leaves_the_voids_alone(density: float, content: float, gravity: float) -> None:
    same = mixture.porosity(density, content, gravity, cement_specific_gravity=gravity)
    assert same == pytest.approx(mixture.porosity(density, 0.0, gravity), abs=1e-12)
    # heavier cement takes less room for the same mass
    assert mixture.porosity(density, content, gravity) > same


@given(st.floats(0.01, 0.08), st.floats(20.0, 40.0), st.floats(0.0, 40.0))
def test_voids_of_a_rolled_layer_are_its_air_and_its_water(air: float, cement: float, retained: float) -> None:
    # 300 mm of wet clay, through the rise of the layer: another road to the same volumes
    ground = {"dry_density": 1573.1, "water_content": 0.26, "cement": cement, "water_retained": retained}
    finished = rise.final_dry_density(0.300, specific_gravity=2.70, final_air=air, **ground)
    over_solids = rise.treated_water_content(0.300, **ground)
    content = spread.content_from_rate(cement, 1573.1, 0.300)
    assert mixture.porosity(finished, content, 2.70) == pytest.approx(air + over_solids * finished / 1000, abs=1e-9)
    # and the water of it, kg over kg of cement
    ratio = mixture.water_cement_ratio(over_solids * (1 + content), content)
    assert ratio == pytest.approx((0.26 * 1573.1 * 0.300 + retained) / cement, rel=1e-12)


@given(DENSITIES, CONTENTS, GRAVITIES)
def test_index_is_the_papers_quotient_of_percents(density: float, content: float, gravity: float) -> None:
    voids, share = mixture.porosity(density, content, gravity), mixture.cement_volume_share(density, content)
    assert mixture.porosity_cement_index(voids, share) == pytest.approx(100 * voids / (100 * share) ** 0.28, rel=1e-12)
    assert mixture.porosity_cement_index(voids, share, 0.0) == pytest.approx(100 * voids, rel=1e-12)


@given(DENSITIES, CONTENTS, st.floats(1.01, 1.2))
def test_denser_or_richer_is_a_lower_index(density: float, content: float, more: float) -> None:
    def index(density: float, content: float) -> float:
        share = mixture.cement_volume_share(density, content)
        return float(mixture.porosity_cement_index(mixture.porosity(density, content, 2.70), share))

    assert index(density * more, content) < index(density, content)
    assert index(density, content * more) < index(density, content)


@given(WATERS, CONTENTS, st.floats(1.1, 3.0))
def test_water_cement_ratio_follows_water_and_runs_against_cement(water: float, content: float, more: float) -> None:
    ratio = mixture.water_cement_ratio(water, content)
    assert mixture.water_cement_ratio(water * more, content) == pytest.approx(ratio * more, rel=1e-12)
    assert mixture.water_cement_ratio(water, content / more) == pytest.approx(ratio * more, rel=1e-12)


def test_a_grain_without_voids_is_the_last_possible_one() -> None:
    solid = 1.06 / (1 / 2.70 + 0.06 / 3.15) * 1000
    assert mixture.porosity(solid * (1 - 1e-12), 0.06, 2.70) == pytest.approx(0.0, abs=1e-11)
    with pytest.raises(LawError, match=r"^dry_density: given .*at most that of the grains"):
        mixture.porosity([1500.0, solid * 1.001], 0.06, 2.70)


def test_arguments_broadcast() -> None:
    density, content = np.array([[1500.0], [1600.0]]), np.array([0.04, 0.06, 0.08])
    share = mixture.cement_volume_share(density, content)
    assert share.shape == (2, 3)
    assert mixture.porosity_cement_index(mixture.porosity(density, content, 2.70), share).shape == (2, 3)
    assert mixture.water_cement_ratio(0.3, content) == pytest.approx([7.5, 5.0, 3.75], rel=1e-12)


def test_impossible_input_is_named() -> None:
    with pytest.raises(LawError, match=r"^water_content: given -0.1; allowed: 0 or more"):
        mixture.water_cement_ratio(-0.1, 0.06)
    with pytest.raises(LawError, match=r"^cement_content: given 0.0; allowed: a number above 0"):
        mixture.water_cement_ratio(0.3, 0.0)
    with pytest.raises(LawError, match=r"^cement_content: given .*a fraction"):
        mixture.water_cement_ratio(0.3, 6.0)
    with pytest.raises(LawError, match=r"^dry_density: given 0.0; allowed: a number above 0"):
        mixture.porosity(0.0, 0.06, 2.70)
    with pytest.raises(LawError, match=r"^cement_content: given 6.0; allowed: a fraction"):
        mixture.porosity(1500.0, 6.0, 2.70)
    with pytest.raises(LawError, match=r"^specific_gravity: given 0.0"):
        mixture.porosity(1500.0, 0.06, 0.0)
    with pytest.raises(LawError, match=r"^cement_specific_gravity: given 0.0"):
        mixture.porosity(1500.0, 0.06, 2.70, cement_specific_gravity=0.0)
    with pytest.raises(LawError, match=r"^dry_density: given -1.0"):
        mixture.cement_volume_share(-1.0, 0.06)


def test_volumes_in_percent_are_refused() -> None:
    with pytest.raises(LawError, match=r"^porosity: given 44.89; allowed: a fraction"):
        mixture.porosity_cement_index(44.89, 0.02695)
    with pytest.raises(LawError, match=r"^cement_volume_share: given 2.695; .*0.027, not 2.7"):
        mixture.porosity_cement_index(0.4489, 2.695)
    with pytest.raises(LawError, match=r"^cement_volume_share: given 0.0; allowed: a number above 0"):
        mixture.porosity_cement_index(0.4489, 0.0)
    with pytest.raises(LawError, match=r"^exponent: given -0.28"):
        mixture.porosity_cement_index(0.4489, 0.02695, -0.28)
    # what voids and cement fill to the last is possible
    assert mixture.porosity_cement_index(0.75, 0.25, 1.0) == pytest.approx(3.0, rel=1e-12)
