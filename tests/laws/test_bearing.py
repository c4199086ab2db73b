"""A stronger clay over a weaker one."""

from __future__ import annotations

import csv
import hashlib
import math
from importlib.resources import files

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from hardpan.errors import LawError
from hardpan.laws import bearing
from hardpan.laws.ranges import outside

CHART = files("hardpan.laws").joinpath("data/adhesion.csv")
CHECKSUM = "66d20dc75f6ba1d1ed3d77dd7d7f2b77c7a593c327bfe18d48cf54912501a121"
STRENGTHS = st.floats(5e3, 500e3)
LENGTHS = st.floats(0.05, 3.0)


@given(STRENGTHS, LENGTHS, LENGTHS, LENGTHS)
def test_two_clays_of_one_strength_are_one_clay(strength: float, thickness: float, width: float, length: float) -> None:
    short, long = sorted((width, length))
    found = bearing.two_layer_clay(strength, strength, thickness=thickness, width=width, length=length)
    assert found == pytest.approx((1 + 0.2 * short / long) * 5.14 * strength, rel=1e-12)


@given(STRENGTHS, st.floats(1.0, 20.0), LENGTHS, LENGTHS, LENGTHS)
def test_equivalent_strength_lies_between_the_two(
    lower: float, times: float, thickness: float, width: float, length: float
) -> None:
    found = bearing.equivalent_strength(lower * times, lower, thickness=thickness, width=width, length=length)
    assert lower * (1 - 1e-12) <= found <= lower * times * (1 + 1e-12)


@given(STRENGTHS, st.floats(1.0, 20.0))
def test_thin_layer_is_nothing_and_thick_layer_is_all(lower: float, times: float) -> None:
    found = bearing.equivalent_strength(lower * times, lower, thickness=[1e-9, 1e3], width=0.2, length=0.4)
    assert found == pytest.approx([lower, lower * times], rel=1e-6)


@given(STRENGTHS, STRENGTHS, LENGTHS, st.floats(1.001, 3.0))
def test_more_of_anything_never_bears_less(upper: float, lower: float, thickness: float, more: float) -> None:
    def found(c1: float, c2: float, h: float) -> float:
        return float(bearing.two_layer_clay(c1, c2, thickness=h, width=0.2, length=0.3))

    least = found(upper, lower, thickness) * (1 - 1e-12)
    assert found(upper * more, lower, thickness) >= least
    assert found(upper, lower * more, thickness) >= least
    assert found(upper, lower, thickness * more) >= least


@given(STRENGTHS, st.floats(1.0, 10.0), LENGTHS, LENGTHS)
def test_weak_layer_governs_by_itself(upper: float, times: float, thickness: float, width: float) -> None:
    found = bearing.two_layer_clay(upper, upper * times, thickness=thickness, width=width, length=width)
    assert found == pytest.approx(1.2 * 5.14 * upper, rel=1e-12)


def test_sides_may_be_given_either_way() -> None:
    one = bearing.two_layer_clay(100e3, 40e3, thickness=0.3, width=0.2, length=0.5)
    assert one == bearing.two_layer_clay(100e3, 40e3, thickness=0.3, width=0.5, length=0.2)
    assert bearing.equivalent_strength(100e3, 40e3, thickness=0.3, width=0.2, length=0.5) == pytest.approx(
        bearing.equivalent_strength(100e3, 40e3, thickness=0.3, width=0.5, length=0.2), rel=1e-15
    )


def test_punching_block_in_balance() -> None:
    # adhesion on four sides of a block 0.2 x 0.4 x 0.1 m over clay of 20 kPa; adhesion at ratio 1/3,
    # two thirds of the way from 0.78 to 0.90: 0.86 of 60 kPa
    bottom = 1.1 * 5.14 * 20e3
    sides = 2 * (0.2 + 0.4) * 0.1 * 0.86 * 60e3 / (0.2 * 0.4)
    assert bearing.two_layer_clay(60e3, 20e3, thickness=0.1, width=0.2, length=0.4) == pytest.approx(
        bottom + sides, rel=1e-12
    )


def test_ground_beside_the_contact_adds_its_weight() -> None:
    at_surface, below = (
        bearing.two_layer_clay(100e3, 40e3, thickness=0.3, width=0.2, length=0.5, unit_weight=18e3, embedment=depth)
        for depth in (0.0, 0.5)
    )
    assert below - at_surface == pytest.approx(9e3, rel=1e-12)


def test_layers_broadcast() -> None:
    found = bearing.two_layer_clay([[60e3], [90e3]], [20e3, 30e3, 40e3], thickness=0.3, width=0.2, length=0.2)
    assert found.shape == (2, 3)
    assert found[1, 2] == bearing.two_layer_clay(90e3, 40e3, thickness=0.3, width=0.2, length=0.2)


def test_adhesion_runs_straight_between_the_points_and_ends_at_one() -> None:
    assert bearing.adhesion_ratio([0.1, 0.5, 1.0, 7.0]) == pytest.approx([0.705, 0.925, 1.0, 1.0], abs=1e-12)


def test_chart_is_the_one_that_was_read() -> None:
    rows = list(csv.DictReader(CHART.read_text(encoding="utf-8").splitlines(), strict=True))
    assert len(rows) == 6
    assert all(row["source"].strip() for row in rows)
    numbers = " ".join(f"{row['strength_ratio']}:{row['adhesion_ratio']}" for row in rows)
    assert hashlib.sha256(numbers.encode()).hexdigest() == CHECKSUM
    assert bool(np.all(np.diff([float(row["adhesion_ratio"]) for row in rows]) > 0))


@pytest.mark.parametrize("name", ["upper_strength", "lower_strength", "thickness", "width", "length"])
@pytest.mark.parametrize("value", [0.0, -1.0, math.nan])
def test_impossible_layer_is_named(name: str, value: float) -> None:
    values = {"upper_strength": 60e3, "lower_strength": 20e3, "thickness": 0.3, "width": 0.2, "length": 0.4}
    values[name] = value
    for law in (bearing.two_layer_clay, bearing.equivalent_strength):
        with pytest.raises(LawError, match=f"^{name}: given .*above 0"):
            law(**values)


@pytest.mark.parametrize("name", ["unit_weight", "embedment"])
def test_impossible_ground_beside_is_named(name: str) -> None:
    values = {"thickness": 0.3, "width": 0.2, "length": 0.4, name: -1.0}
    with pytest.raises(LawError, match=f"^{name}: given -1.0; allowed: 0 or more"):
        bearing.two_layer_clay(60e3, 20e3, **values)


def test_ratio_below_nothing_raises_and_above_one_leaves_the_chart() -> None:
    with pytest.raises(LawError, match=r"^strength_ratio: given -0.1"):
        bearing.adhesion_ratio(-0.1)
    assert [left.argument for left in outside(bearing.adhesion_ratio, strength_ratio=1.2)] == ["strength_ratio"]
