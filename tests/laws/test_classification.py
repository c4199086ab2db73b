"""AASHTO groups and unified symbols; bounds as printed in AASHTO M 145 and ASTM D2487."""

from __future__ import annotations

import csv
import hashlib
from importlib.resources import files

import pytest
from hypothesis import given
from hypothesis import strategies as st

from hardpan.errors import LawError
from hardpan.laws import classification

M145 = files("hardpan.laws").joinpath("data/m145.csv")
GROUPS = ["A-1-a", "A-1-b", "A-3", "A-2-4", "A-2-5", "A-2-6", "A-2-7", "A-4", "A-5", "A-6", "A-7-5", "A-7-6"]


def test_table_is_the_one_that_was_checked() -> None:
    rows = list(csv.DictReader(M145.read_text(encoding="utf-8").splitlines()))
    assert [row["group"] for row in rows] == GROUPS
    assert all("M 145" in row["source"] for row in rows)
    assert (
        hashlib.sha256(M145.read_bytes()).hexdigest()
        == "3992d97cdc5cc96fa6b2ca5eb24b0075cbab8178f5876d3402be6c85fc400578"
    )


# one soil on the near side and one on the far side of every bound of M 145 table 1
@pytest.mark.parametrize(
    ("soil", "group"),
    [
        ((50, 30, 15, 20, 14), "A-1-a"),
        ((51, 30, 15, 20, 14), "A-1-b"),
        ((50, 31, 15, 20, 14), "A-1-b"),
        ((50, 30, 16, 20, 14), "A-1-b"),
        ((90, 50, 25, 20, 14), "A-1-b"),
        ((90, 50, 26, 20, 14), "A-2-4"),
        ((90, 50, 25, 20, 13), "A-2-4"),
        ((90, 51, 10, None, None), "A-3"),
        ((90, 51, 10, 20, None), "A-3"),
        ((90, 51, 10, 20, 19), "A-2-4"),
        ((90, 51, 11, None, None), "A-2-4"),
        ((90, 60, 35, 40, 30), "A-2-4"),
        ((90, 60, 35, 41, 31), "A-2-5"),
        ((90, 60, 35, 40, 29), "A-2-6"),
        ((90, 60, 35, 41, 30), "A-2-7"),
        ((90, 60, 35.4, 40, 30), "A-2-4"),  # whole percents: 35
        ((90, 60, 35.5, 40, 30), "A-4"),  # 36
        ((90, 60, 36, 40, 30), "A-4"),
        ((90, 60, 36, 41, 31), "A-5"),
        ((90, 60, 36, 40, 29), "A-6"),
        ((90, 60, 36, 41, 30), "A-7-5"),  # PI 11 = LL - 30
        ((90, 60, 36, 41, 29), "A-7-6"),  # PI 12 > LL - 30
    ],
)
def test_bounds_of_m145(soil: tuple[float, float, float, float | None, float | None], group: str) -> None:
    assert classification.aashto(*soil)[0] == group


@pytest.mark.parametrize(
    ("soil", "index"),
    [
        ((100, 100, 85, 60, 25), 33),  # 50 x 0.3 + 0.7 x 25 = 32.5, half goes up; no cap at 20
        ((100, 90, 35, 60, 25), 5),  # A-2-7: plasticity term alone, 0.2 x 25
        ((100, 90, 20, 60, 25), 1),  # A-2-7: 0.05 x 25 = 1.25; the other term, -4.5, stays out
        ((90, 60, 34, 30, 25), 0),  # A-2-4: always 0
        ((100, 100, 60, 30, 28), 0),  # 3.75 - 3.6 = 0.15
        ((100, 100, 40, 20, 19), 0),  # below 0
        ((100, 100, 80, None, None), 0),  # non-plastic silt
    ],
)
def test_group_index(soil: tuple[float, float, float, float | None, float | None], index: int) -> None:
    assert classification.aashto(*soil)[1] == index


@given(st.lists(st.floats(0, 100), min_size=3, max_size=3), st.floats(1, 120), st.floats(0, 1))
def test_every_soil_has_a_group_and_a_symbol(passing: list[float], liquid: float, share: float) -> None:
    coarse, middle, fine = sorted(passing, reverse=True)
    group, index = classification.aashto(coarse, middle, fine, liquid, share * liquid)
    assert group in GROUPS
    assert index >= 0
    symbol = classification.uscs(coarse, fine, liquid, share * liquid, cu=5.0, cc=2.0)
    assert all(letter in "GSMCWPHL" for part in symbol.split("-") for letter in part)


@pytest.mark.parametrize(
    ("soil", "symbol"),
    [
        ((100, 50, 49, 25), "CL"),
        ((100, 50, 50, 25), "CH"),
        ((100, 60, 50, 30), "MH"),
        ((100, 60, 30, 25), "ML"),  # PI 5, A-line 7.3
        ((100, 60, 20, 16), "CL-ML"),  # PI 4
        ((100, 60, 20, 13), "CL-ML"),  # PI 7
        ((100, 60, 20, 12.5), "CL"),
        ((100, 60, 20, 16.5), "ML"),  # PI 3.5
        ((100, 60, None, None), "ML"),
        ((100, 60, 55, None), "MH"),
        ((100, 49, 40, 20), "SC"),
        ((40, 13, 40, 20), "GC"),
        ((40, 13, 60, 40), "GM"),
        ((90, 20, 20, 15), "SC-SM"),
        ((60, 20, 60, 40), "SM"),  # half of the coarse part on No. 4 is not yet more than half
        ((59, 20, 60, 40), "GM"),
    ],
)
def test_symbols_named_by_fines(soil: tuple[float, float, float | None, float | None], symbol: str) -> None:
    assert classification.uscs(*soil) == symbol


@pytest.mark.parametrize(
    ("passing", "limits", "cu", "cc", "symbol"),
    [
        ((40, 4), (None, None), 4.0, 1.0, "GW"),
        ((40, 4), (None, None), 3.9, 2.0, "GP"),
        ((90, 4), (None, None), 6.0, 3.0, "SW"),
        ((90, 4), (None, None), 5.9, 2.0, "SP"),
        ((90, 4), (None, None), 8.0, 3.1, "SP"),
        ((90, 4), (None, None), 8.0, 0.9, "SP"),
        ((90, 5), (None, None), 8.0, 2.0, "SW-SM"),
        ((90, 12), (40, 20), 2.0, 2.0, "SP-SC"),
        ((40, 8), (20, 15), 8.0, 2.0, "GW-GC"),  # CL-ML fines
    ],
)
def test_symbols_named_by_grading(
    passing: tuple[float, float], limits: tuple[float | None, float | None], cu: float, cc: float, symbol: str
) -> None:
    assert classification.uscs(*passing, *limits, cu=cu, cc=cc) == symbol


def test_clean_sand_needs_its_coefficients() -> None:
    with pytest.raises(
        LawError, match=r"cu, cc: given .*both coefficients, for sand or gravel with 12 % of fines or less"
    ):
        classification.uscs(95, 12, None, None, cu=3.0)


@pytest.mark.parametrize(
    ("soil", "message"),
    [
        ((100, 80, 101, 30, 20), "passing_200: given 101; allowed: a percentage from 0 to 100"),
        ((-1, 80, 60, 30, 20), "passing_10: given -1; allowed: a percentage"),
        ((80, 90, 60, 30, 20), "a finer sieve never passes more than a coarser one"),
        ((100, 80, 60, 30, 31), "plastic_limit: given 31; allowed: from 0 to the liquid limit, or None for a non-plas"),
        ((100, 80, 60, None, 20), "liquid_limit: given None; allowed: a number where the plastic limit is one"),
        ((100, 80, 60, float("inf"), 20), "plastic_limit: given 20; allowed"),
    ],
)
def test_impossible_soils_raise(soil: tuple[float, float, float, float | None, float | None], message: str) -> None:
    with pytest.raises(LawError, match=message):
        classification.aashto(*soil)


def test_unified_symbol_checks_its_sieves() -> None:
    with pytest.raises(LawError, match=r"passing_4, passing_200: given \(50, 60\); allowed: a finer sieve"):
        classification.uscs(50, 60, 30, 20)


def test_half_a_percent_goes_up_and_less_goes_down() -> None:
    assert classification.aashto(100, 90, 35.4999, 30, 20)[0] == "A-2-4"
    assert classification.aashto(100, 90, 35.5, 30, 20)[0] == "A-4"


def test_each_factor_of_the_index_moves_it() -> None:
    # by hand: 65 (0.2 + 0.005 x 60) + 0.01 x 85 x 7 = 38.45; one percent more in any factor gives 39
    assert classification.aashto(100, 100, 100, 100, 83) == ("A-7-5", 38)


def test_soils_on_and_beside_the_a_line_and_the_dirty_bound() -> None:
    # ASTM D2487: PI on or above 0.73 (LL - 20) is clay, 73 at LL 120; more than 12 % of fines names the soil
    assert classification.uscs(100, 90, 120, 47) == "CH"
    assert classification.uscs(100, 90, 120, 47.5) == "MH"
    assert classification.uscs(100, 12.1, None, None) == "SM"
