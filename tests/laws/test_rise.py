"""Change of level: mass, water and volume are kept."""

from __future__ import annotations

from collections.abc import Callable
from typing import TypedDict

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from hardpan.errors import LawError
from hardpan.laws import phases, rise


class Ground(TypedDict):
    """What the laws of rise share."""

    dry_density: float
    water_content: float
    specific_gravity: float
    cement: float
    water_retained: float


@st.composite
def grounds(draw: st.DrawFn) -> Ground:
    """Soft ground that can exist, and its treatment."""
    gravity, voids = draw(st.floats(2.55, 2.85)), draw(st.floats(0.4, 1.6))
    density = phases.dry_density_from_void_ratio(voids, gravity)
    return Ground(
        dry_density=float(density),
        water_content=float(phases.water_content_at(density, gravity, draw(st.floats(0.5, 1.0)))),
        specific_gravity=gravity,
        cement=draw(st.floats(0.0, 60.0)),
        water_retained=draw(st.floats(-5.0, 60.0)),
    )


DEPTHS = st.floats(0.1, 0.5)
AIRS = st.floats(0.0, 0.15)
BASE = Ground(dry_density=1573.0, water_content=0.26, specific_gravity=2.70, cement=30.0, water_retained=40.0)


@given(DEPTHS, grounds(), AIRS)
def test_both_laws_agree_on_each_others_density(depth: float, ground: Ground, air: float) -> None:
    up = rise.by_three_phases(depth, **ground, final_air=air)
    density = rise.final_dry_density(depth, **ground, final_air=air)
    same = rise.by_final_density(
        depth, dry_density=ground["dry_density"], cement=ground["cement"], final_dry_density=density
    )
    assert same == pytest.approx(up, abs=1e-12)


@given(DEPTHS, grounds(), AIRS)
def test_air_follows_from_water_and_density(depth: float, ground: Ground, air: float) -> None:
    density = rise.final_dry_density(depth, **ground, final_air=air)
    assert rise.final_air(depth, **ground, final_dry_density=density) == pytest.approx(air, abs=1e-12)


@given(DEPTHS, grounds(), AIRS)
def test_mass_water_and_volume_are_kept(depth: float, ground: Ground, air: float) -> None:
    thickness = depth + float(rise.by_three_phases(depth, **ground, final_air=air))
    density = float(rise.final_dry_density(depth, **ground, final_air=air))
    water = float(
        rise.treated_water_content(
            depth,
            dry_density=ground["dry_density"],
            water_content=ground["water_content"],
            cement=ground["cement"],
            water_retained=ground["water_retained"],
        )
    )
    soil = depth * ground["dry_density"]
    assert thickness * density == pytest.approx(soil + ground["cement"], rel=1e-12)
    assert thickness * density * water == pytest.approx(
        soil * ground["water_content"] + ground["water_retained"], rel=1e-12
    )
    grains = soil / ground["specific_gravity"] / 1000 + ground["cement"] / 3150
    assert grains + thickness * density * water / 1000 + thickness * air == pytest.approx(thickness, rel=1e-12)


@given(DEPTHS, grounds())
def test_ground_left_alone_does_not_move(depth: float, ground: Ground) -> None:
    alone = ground | {"cement": 0.0, "water_retained": 0.0}
    air = phases.air_voids(ground["dry_density"], ground["water_content"], ground["specific_gravity"])
    assert rise.by_three_phases(depth, **alone, final_air=air) == pytest.approx(0.0, abs=1e-12)


def test_full_ground_rises_by_the_volume_that_is_added() -> None:
    # no air before or after: 31.5 kg/m2 of grains is 10 mm, 20 L/m2 is 20 mm
    density = 2700 / (1 + 0.3 * 2.7)
    up = rise.by_three_phases(
        0.3,
        dry_density=density,
        water_content=0.3,
        specific_gravity=2.7,
        cement=31.5,
        water_retained=20.0,
        final_air=0.0,
    )
    assert up == pytest.approx(0.030, abs=1e-15)


def test_arrays_broadcast() -> None:
    up = rise.by_three_phases(np.array([[0.2], [0.3]]), **BASE, final_air=np.array([0.01, 0.02, 0.03]))
    assert up.shape == (2, 3)
    assert up[1, 2] == pytest.approx(rise.by_three_phases(0.3, **BASE, final_air=0.03), abs=1e-15)


def test_layer_cannot_lose_more_water_than_it_holds() -> None:
    with pytest.raises(
        LawError, match=r"water_retained: given -150.0; allowed: a loss no greater than the water in the la"
    ):
        rise.by_three_phases(0.3, **(BASE | {"water_retained": -150.0}), final_air=0.03)


def test_density_that_leaves_no_room_for_the_water_raises() -> None:
    with pytest.raises(LawError, match=r"air: given -.*solids and water do not fit; check dry density"):
        rise.final_air(0.3, **BASE, final_dry_density=1500.0)


@pytest.mark.parametrize(
    ("law", "chosen"),
    [
        (rise.by_three_phases, {"final_air": 0.03}),
        (rise.final_dry_density, {"final_air": 0.03}),
        (rise.final_air, {"final_dry_density": 1300.0}),
    ],
)
def test_ground_that_cannot_exist_raises(law: Callable[..., object], chosen: dict[str, float]) -> None:
    with pytest.raises(LawError, match=r"air: given -.*solids and water do not fit"):
        law(0.3, **(BASE | {"water_content": 0.30}), **chosen)


@pytest.mark.parametrize(
    ("name", "value", "allowed"),
    [
        ("depth", 0.0, "a number above 0"),
        ("cement", -1.0, "0 or more"),
        ("final_air", 3.0, r"a fraction from 0 to below 1 \(0.02, not 2\)"),
        ("water_retained", float("nan"), "a loss no greater than the water in the layer"),
    ],
)
def test_impossible_treatment_raises(name: str, value: float, allowed: str) -> None:
    given_ = {"depth": 0.3, **BASE, "final_air": 0.03} | {name: value}
    with pytest.raises(LawError, match=f"^{name}: given {value}; allowed: {allowed}"):
        rise.by_three_phases(**given_)  # type: ignore[arg-type]  # names are checked by the call itself


def test_treated_street_of_fat_clay() -> None:
    # invented street, sum by hand: (163.889 + 8.889 + 133.391 + 34) / 0.98 - 300 = 47.1 mm
    up = rise.by_three_phases(
        0.3,
        dry_density=1475.0,
        water_content=float(phases.water_content_at(1475.0, 2.70, 0.98)),
        specific_gravity=2.70,
        cement=28.0,
        water_retained=34.0,
        final_air=0.02,
    )
    assert round(1000 * float(up), 1) == 47.1


def test_one_layer_of_many_that_loses_more_water_than_it_holds_raises() -> None:
    with pytest.raises(LawError, match=r"^water_retained: given \[-10.0, -200.0\]; allowed: a loss no greater than"):
        rise.treated_water_content(
            0.3, dry_density=1500.0, water_content=0.2, cement=30.0, water_retained=[-10.0, -200.0]
        )


def test_thirty_kilograms_bracket_the_crews_fifty_millimetres() -> None:
    """Common practice, no source: 30 kg/m2 over 300 mm, 30 to 40 L/m2 kept and 1 to 3 % air bracket a rise of 50 mm."""
    soil = {"dry_density": 1573.1, "water_content": 0.26, "specific_gravity": 2.7, "cement": 30.0}
    least = rise.by_three_phases(0.3, **soil, water_retained=30.0, final_air=0.01)
    most = rise.by_three_phases(0.3, **soil, water_retained=40.0, final_air=0.03)
    assert least < 0.050 < most
