"""Water, rise and density against each other, only where they were measured."""

from __future__ import annotations

import pytest

from hardpan.compare import Agreement, three_agree
from tests.compare.days import KESTREL, TEAL, folded, plan, state
from tests.ledger.making import Diary, place

TREATED = {"curve": "treated", "maximum_kg_m3": 1600, "proctor": "treated 1"}


def base(diary: Diary) -> Agreement:
    return next(one for one in three_agree(plan(KESTREL), folded(diary)) if one.zone == "base")


def measured(density: float | None = None, *, risen_mm: float | None = None, water: float | None = None) -> Agreement:
    diary = Diary()
    if risen_mm is not None:
        before = {"station_m": 40, "side_offset_m": 0, "level_m": 102.630}
        after = before | {"level_m": 102.630 + risen_mm / 1000}
        diary.say(60, "levels", place(0, 80), stage="before spreading", shots=[before])
        diary.say(160, "levels", place(0, 80), stage="after final rolling", shots=[after], trimmed_mm=0)
    if density is not None:
        diary.say(900, "density", place(50, strips=(2,)), test="1", dry_density_kg_m3=density, reference=TREATED)
    if water is not None:
        diary.say(
            150, "moisture", place(50, strips=(2,)), water_content_percent=water, method="oven", when="after wet mixing"
        )
    return base(diary)


def mm(found: Agreement) -> dict[str, float | None]:
    figures = {"levels": found.by_levels, "density": found.by_density, "water": found.by_water}
    return {name: None if figure is None else round(1000 * figure.value, 1) for name, figure in figures.items()}


def test_nothing_measured_is_nothing_compared() -> None:
    found = measured()
    assert mm(found) == {"levels": None, "density": None, "water": None}
    assert found.misfits == ()


def test_the_rise_by_density_is_the_balance_of_dry_mass() -> None:
    # mass balance by hand: (1,600 x 0.300 + 24) / 1,576 - 0.300 = 19.8 mm; at 1,640 it is 7.3, at 1,680 none
    assert [mm(measured(density))["density"] for density in (1576, 1640, 1680)] == [19.8, 7.3, 0.0]


def test_the_rise_by_water_is_the_balance_of_volumes() -> None:
    # by hand: volumes of 480 kg of soil, 24 of cement at 3.15 and 20.5 % of 504 of water, over 1 - air
    found = measured(water=20.5)
    assert found.by_water is not None
    air = next(figure for figure in found.by_water.inputs if "air" in figure.name)
    gravity = next(figure for figure in found.by_water.inputs if figure.unit == "1" and figure.value > 2)
    by_hand = (480 / (1000 * gravity.value) + 24 / 3150 + 0.205 * 504 / 1000) / (1 - air.value) - 0.300
    assert found.by_water.value == pytest.approx(by_hand, abs=5e-4)


def test_two_that_agree_raise_no_notice_and_two_that_do_not_raise_one() -> None:
    good, bad = measured(1576, risen_mm=20), measured(1680, risen_mm=20)
    assert [(one.one, one.other, round(1000 * one.apart.value, 1)) for one in good.misfits] == [
        ("levels", "density", 0.2)
    ]
    assert good.notices == ()
    assert [one.message for one in bad.notices] == [
        "rise by levels and by density lie 20 mm apart: one of them is not what we think"
    ]


def test_all_three_make_three_pairs() -> None:
    pairs = measured(1576, risen_mm=20, water=20.5).misfits
    assert [(one.one, one.other) for one in pairs] == [("levels", "density"), ("levels", "water"), ("density", "water")]


def test_the_worked_days_have_densities_and_no_levels_after() -> None:
    found = {one.zone: mm(one) for one in three_agree(plan(KESTREL), state(KESTREL))}
    assert found["A"]["levels"] is None
    # (1,540 x 0.300 + 14,666 kg / 405 m2) / 1,560 - 0.300
    assert found["A"]["density"] == round(1000 * ((462 + 14_665.909 / 405) / 1560 - 0.3), 1)
    assert found["B"] == {
        "levels": None,
        "density": None,
        "water": None,
    }  # which zone of B4 and B5 was tested is not told
    assert {name for one in three_agree(plan(TEAL), state(TEAL)) for name, value in mm(one).items() if value} == set()
