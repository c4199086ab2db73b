"""Moduli and bearing ratios."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from hardpan.errors import LawError
from hardpan.laws import stiffness
from hardpan.laws.ranges import outside

RATIOS = st.floats(0.5, 50.0)


@given(RATIOS)
def test_modulus_and_ratio_turn_into_each_other(cbr: float) -> None:
    assert stiffness.cbr_from_modulus(stiffness.modulus_powell(cbr)) == pytest.approx(cbr, rel=1e-12)


@given(RATIOS, st.floats(1.001, 3.0))
def test_firmer_is_stiffer_and_stronger(cbr: float, more: float) -> None:
    assert stiffness.modulus_powell(cbr * more) > stiffness.modulus_powell(cbr)
    assert stiffness.modulus_austroads(cbr * more) > stiffness.modulus_austroads(cbr)
    assert stiffness.undrained_strength(cbr * more, strength_per_cbr=26e3) > stiffness.undrained_strength(
        cbr, strength_per_cbr=26e3
    )


@given(st.floats(2.0, 10.0))
def test_two_relations_agree_within_the_factor_that_is_said(cbr: float) -> None:
    # Austroads: any mean relation can be wrong by a factor of 2
    ratio = stiffness.modulus_powell(cbr) / stiffness.modulus_austroads(cbr)
    assert 0.5 < ratio < 2.0


@given(st.floats(1e-4, 5e-3), st.floats(0.0, 0.5))
def test_flexible_plate_gives_its_deflection_back(deflection: float, nu: float) -> None:
    # Boussinesq, middle of a flexible circle: w = 2 (1 - nu^2) p a / E
    modulus = stiffness.modulus_lwd(deflection, pressure=100e3, radius=0.15, poisson_ratio=nu)
    assert 2 * (1 - nu**2) * 100e3 * 0.15 / modulus == pytest.approx(deflection, rel=1e-12)


def test_rigid_plate_sinks_less_than_the_middle_of_a_flexible_one() -> None:
    # pi / 4 of it (De Barros 1966)
    rigid, flexible = (
        stiffness.modulus_lwd(0.001, pressure=1e5, radius=0.15, poisson_ratio=0.4, plate_stress=word)
        for word in ("rigid", "uniform")
    )
    assert rigid / flexible == pytest.approx(math.pi / 4, rel=1e-15)


@given(st.lists(st.tuples(st.floats(0.05, 1.0), RATIOS), min_size=1, max_size=6))
def test_equivalent_ratio_lies_within_and_forgets_the_order(layers: list[tuple[float, float]]) -> None:
    depths, ratios = np.array(layers).T
    found = float(stiffness.equivalent_subgrade_cbr(depths, ratios))
    assert min(ratios) * (1 - 1e-12) <= found <= max(ratios) * (1 + 1e-12)
    assert stiffness.equivalent_subgrade_cbr(depths[::-1], ratios[::-1]) == pytest.approx(found, rel=1e-12)
    assert found <= np.average(ratios, weights=depths) * (1 + 1e-12)  # soft layers weigh more


@given(RATIOS, st.floats(0.1, 0.9))
def test_a_layer_cut_in_two_is_the_same_layer(cbr: float, share: float) -> None:
    found = stiffness.equivalent_subgrade_cbr([share, 1 - share, 0.5], [cbr, cbr, 3.0])
    assert found == pytest.approx(stiffness.equivalent_subgrade_cbr([1.0, 0.5], [cbr, 3.0]), rel=1e-12)


def test_profiles_stack() -> None:
    found = stiffness.equivalent_subgrade_cbr([0.3, 0.7], [[4.0, 4.0], [2.0, 8.0]])
    assert found == pytest.approx([4.0, stiffness.equivalent_subgrade_cbr([0.3, 0.7], [2.0, 8.0])], rel=1e-12)


def test_unknown_words_raise() -> None:
    with pytest.raises(LawError, match=r'^direction: given up; allowed: "vertical"'):
        stiffness.modulus_austroads(5.0, "up")  # type: ignore[arg-type]  # the check is for callers without types
    with pytest.raises(LawError, match=r'^plate_stress: given square; allowed: "uniform"'):
        stiffness.modulus_lwd(
            0.001,
            pressure=1e5,
            radius=0.15,
            poisson_ratio=0.4,
            plate_stress="square",  # type: ignore[arg-type]  # the check is for callers without types
        )


@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("deflection", 0.0),
        ("pressure", -1.0),
        ("radius", math.inf),
        ("poisson_ratio", -0.1),
        ("poisson_ratio", 0.51),
        ("poisson_ratio", math.nan),
    ],
)
def test_impossible_plate_is_named(name: str, value: float) -> None:
    values = {"deflection": 0.001, "pressure": 1e5, "radius": 0.15, "poisson_ratio": 0.35, name: value}
    with pytest.raises(LawError, match=f"^{name}: given "):
        stiffness.modulus_lwd(
            values["deflection"],
            pressure=values["pressure"],
            radius=values["radius"],
            poisson_ratio=values["poisson_ratio"],
        )


@pytest.mark.parametrize(
    ("depths", "ratios", "name"),
    [
        ([0.3, 0.7], [3.0], "cbrs"),
        ([0.3, 0.7], 3.0, "cbrs"),
        (1.0, 3.0, "cbrs"),
        (1.0, [3.0], "cbrs"),
        ([], [], "cbrs"),
        ([0.3, 0.0], [3.0, 4.0], "thicknesses"),
        ([0.3, 0.7], [3.0, -4.0], "cbrs"),
    ],
)
def test_impossible_layers_are_named(depths: object, ratios: object, name: str) -> None:
    with pytest.raises(LawError, match=f"^{name}: given "):
        stiffness.equivalent_subgrade_cbr(depths, ratios)  # type: ignore[arg-type]  # shapes, not types, are wrong


def test_no_ground_raises() -> None:
    for law in (stiffness.modulus_powell, stiffness.modulus_austroads):
        with pytest.raises(LawError, match=r"^cbr: given 0.0; allowed: a number above 0"):
            law(0.0)
    with pytest.raises(LawError, match=r"^modulus: given -1.0"):
        stiffness.cbr_from_modulus(-1.0)
    with pytest.raises(LawError, match=r"^cbr: given 0.0"):
        stiffness.undrained_strength(0.0, strength_per_cbr=26e3)
    with pytest.raises(LawError, match=r"^strength_per_cbr: given 0.0"):
        stiffness.undrained_strength(3.0, strength_per_cbr=0.0)


def test_ranges_are_declared() -> None:
    assert [left.argument for left in outside(stiffness.modulus_powell, cbr=[1.9, 5.0])] == ["cbr"]
    ends = stiffness.modulus_powell([2.0, 12.0])
    (declared,) = stiffness.cbr_from_modulus.ranges  # type: ignore[attr-defined]  # set by holds_for
    assert [declared.low, declared.high] == pytest.approx(list(ends), rel=2e-3)
    # megapascals, kilopascals by mistake
    assert [left.argument for left in outside(stiffness.cbr_from_modulus, modulus=50.0)] == ["modulus"]
    assert [left.argument for left in outside(stiffness.undrained_strength, strength_per_cbr=26.0)] == [
        "strength_per_cbr"
    ]
    assert [left.argument for left in outside(stiffness.modulus_austroads, cbr=10.1)] == ["cbr"]
