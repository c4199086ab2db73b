"""Mixing depth and its states."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from hardpan.errors import LawError
from hardpan.laws import depth
from hardpan.laws.ranges import outside

DEPTHS = st.floats(0.1, 0.6)


@given(DEPTHS, st.floats(1000, 2000), st.floats(0, 60), st.floats(1000, 2000))
def test_original_and_rolled_are_each_others_reverse(
    original: float, before: float, cement: float, after: float
) -> None:
    rolled = depth.rolled_from_original(original, dry_density=before, cement=cement, final_dry_density=after)
    assert float(rolled) * after == pytest.approx(original * before + cement, rel=1e-12)
    back = depth.original_from_rolled(rolled, dry_density=before, cement=cement, final_dry_density=after)
    assert back == pytest.approx(original, rel=1e-12)


@given(DEPTHS, st.floats(1.0, 2.0))
def test_original_and_loose_are_each_others_reverse(original: float, factor: float) -> None:
    loose = depth.loose_from_original(original, loose_factor=factor)
    assert loose >= original
    assert depth.original_from_loose(loose, loose_factor=factor) == pytest.approx(original, rel=1e-12)


def test_hole_in_the_finished_surface_holds_less_ground() -> None:
    # 300 mm dug where 300 mm of ground became 357.75: about 250 mm of original ground, by mass
    original = depth.original_from_rolled(0.300, dry_density=1573.0, cement=30.0, final_dry_density=1403.0)
    assert original == pytest.approx((1403 * 0.3 - 30) / 1573, rel=1e-12)
    assert round(float(original), 2) == 0.25


def test_layer_lighter_than_its_cement_raises() -> None:
    with pytest.raises(
        LawError, match=r"cement: given 200.0; allowed: less than the mass of the rolled layer; check its"
    ):
        depth.original_from_rolled(0.1, dry_density=1500.0, cement=200.0, final_dry_density=1500.0)


def test_loose_soil_never_takes_less_room() -> None:
    with pytest.raises(LawError, match=r"loose_factor: given 0.9; allowed: 1 or more"):
        depth.loose_from_original(0.3, loose_factor=0.9)
    with pytest.raises(LawError, match=r"loose_factor: given 0.9; allowed: 1 or more"):
        depth.original_from_loose(0.3, loose_factor=0.9)


@pytest.mark.parametrize("law", [depth.loose_from_original, depth.original_from_loose])
def test_unusual_bulking_can_be_known(law: object) -> None:
    assert callable(law)
    assert [left.argument for left in outside(law, loose_factor=1.1)] == ["loose_factor"]
    assert outside(law, loose_factor=[1.2, 1.5]) == ()


def test_no_depth_no_layer() -> None:
    with pytest.raises(LawError, match=r"original: given 0.0; allowed: a number above 0"):
        depth.rolled_from_original(0.0, dry_density=1500.0, cement=10.0, final_dry_density=1500.0)


def test_one_layer_of_many_lighter_than_its_cement_raises() -> None:
    with pytest.raises(LawError, match=r"^cement: given \[100.0, 150.0\]; allowed: less than"):
        depth.original_from_rolled(0.1, dry_density=1500.0, cement=[100.0, 150.0], final_dry_density=1500.0)


def test_a_film_of_ground_under_much_cement_is_still_ground() -> None:
    # 100 kg/m2 rolled less 99.5 of cement: 0.5 kg/m2 of soil
    found = depth.original_from_rolled(0.1, dry_density=1000.0, cement=99.5, final_dry_density=1000.0)
    assert float(found) == pytest.approx(0.0005)
