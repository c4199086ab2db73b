"""The scores: bands that hold what they promise, parts that add up, checks that turn red when odds lie."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.special import expit, logit

from hardpan.study.scoring import GROUPS, brier, honest, resampled_band

Floats = np.ndarray


def world(
    seed: int, streets: int = 150, *, pushed: float = 0.0, stretched: float = 1.0
) -> tuple[Floats, Floats, Floats]:
    """Odds, outcomes and street of zones: streets share much of their luck; stated ln odds are stretched and pushed."""
    rng = np.random.default_rng(seed)
    street = np.repeat(np.arange(streets), rng.integers(1, 8, streets))
    odds = rng.uniform(0.3, 0.97, street.size)
    shared = rng.normal(size=streets)[street]
    luck = 0.8 * shared + 0.6 * rng.normal(size=street.size)
    from scipy.stats import norm  # noqa: PLC0415  # the one use

    happened = (norm.cdf(luck) < odds).astype(float)
    return expit(stretched * logit(odds) + pushed), happened, street


def test_honest_odds_are_inside_almost_always() -> None:
    found = [honest(*world(seed)) for seed in range(40)]
    # five bands of 99 % each: at most 1 in 20 studies has one out, a few more for bands from few streets; 8 of 40 is 1 in 1,000
    assert sum(not one.inside for one in found) < 8
    assert sum(not one.whole.inside for one in found) <= 3


@pytest.mark.parametrize("pushed", [-1.0, 1.0])
def test_odds_pushed_by_one_are_found_out(pushed: float) -> None:
    found = [honest(*world(seed, pushed=pushed)) for seed in range(10)]
    assert not any(one.inside for one in found)
    assert all(np.sign(one.outside_by) == -np.sign(pushed) for one in found)


def test_odds_too_sure_of_themselves_have_a_slope_below_one() -> None:
    sure, unsure = (honest(*world(3, 400, stretched=stretched)) for stretched in (2.0, 0.5))
    assert sure.slope_high < 1 < unsure.slope_low
    assert sure.slope == pytest.approx(0.5, abs=0.15)
    assert unsure.slope == pytest.approx(2.0, abs=0.6)


def test_the_slope_is_that_of_a_logistic_regression_by_another_way() -> None:
    from scipy.optimize import minimize  # noqa: PLC0415  # the oracle

    stated, happened, street = world(5)
    x = logit(stated)

    def loss(at: Floats) -> float:
        return float(np.sum(np.logaddexp(0, at[0] + at[1] * x) - happened * (at[0] + at[1] * x)))

    assert honest(stated, happened, street).slope == pytest.approx(minimize(loss, [0.0, 1.0]).x[1], abs=1e-4)


def test_the_slopes_band_is_that_of_fishers_information_where_zones_are_independent() -> None:
    rng = np.random.default_rng(8)
    stated = rng.uniform(0.2, 0.9, 800)
    happened = (rng.random(800) < stated).astype(float)
    found = honest(stated, happened, np.arange(800))
    x = logit(stated)
    weight = stated * (1 - stated)
    design = np.stack([np.ones_like(x), x])
    error = np.sqrt(np.linalg.inv((design * weight) @ design.T)[1, 1])
    assert (found.slope_high - found.slope_low) / 2 == pytest.approx(2.576 * error, rel=0.2)


def test_bands_widen_where_zones_of_a_street_pass_and_fail_together() -> None:
    stated, happened, street = world(7)
    together, apart = honest(stated, happened, street), honest(stated, happened, np.arange(street.size))
    wide, narrow = (one.whole.gap_high - one.whole.gap_low for one in (together, apart))
    assert wide > 1.4 * narrow
    # apart, the bootstrap agrees with the binomial count
    assert narrow == pytest.approx(apart.whole.count_high - apart.whole.count_low, rel=0.15)


def test_groups_hold_every_zone_once() -> None:
    stated, happened, street = world(9)
    found = honest(stated, happened, street)
    assert len(found.groups) == GROUPS
    assert sum(one.zones for one in found.groups) == stated.size == found.whole.zones
    means = [one.stated for one in found.groups]
    assert means == sorted(means)
    weighted = sum(one.gap * one.zones for one in found.groups) / stated.size
    assert weighted == pytest.approx(found.whole.gap, abs=1e-12)


def test_odds_that_are_all_alike_make_one_group() -> None:
    found = honest(np.full(60, 0.8), np.repeat([1.0, 1.0, 1.0, 1.0, 0.0], 12), np.arange(60))
    assert [one.zones for one in found.groups] == [60]
    assert found.whole.gap == pytest.approx(0.0, abs=1e-12)
    assert found.inside


def test_briers_parts_add_up_and_lives_count_as_outcomes_of_their_own() -> None:
    stated, happened, _ = world(11)
    parts = brier(stated, happened)
    assert parts.score == pytest.approx(float(np.mean((stated - happened) ** 2)), abs=1e-12)
    assert parts.score == pytest.approx(parts.miscalibration - parts.discrimination + parts.uncertainty, abs=1e-12)
    assert parts.miscalibration >= 0
    assert parts.discrimination >= 0
    rng = np.random.default_rng(2)
    lives = rng.random((stated.size, 16)) < stated[:, None]
    shares = brier(stated, lives.mean(axis=1))
    each = brier(np.repeat(stated, 16), lives.ravel().astype(float))
    assert (shares.score, shares.miscalibration) == pytest.approx((each.score, each.miscalibration), abs=1e-12)


def test_a_ratio_over_streets_has_its_textbook_error() -> None:
    rng = np.random.default_rng(4)
    weight = rng.uniform(50, 150, 300)
    value = weight * rng.normal(0.2, 0.05, 300)
    ratio, low, high = resampled_band(value, weight)
    # ratio estimator: Cochran, Sampling Techniques, equation 2.46 (from memory); 2.576 for 99 %
    error = np.sqrt(np.sum((value - ratio * weight) ** 2)) / weight.sum()
    assert ratio == pytest.approx(value.sum() / weight.sum())
    assert (high - low) / 2 == pytest.approx(2.576 * error, rel=0.12)


@pytest.mark.parametrize("seed", range(5))
def test_brier_s_parts_are_those_of_another_library(seed: int) -> None:
    # model-diagnostics: every life of every zone as an outcome of its own, 0 or 1
    from model_diagnostics.scoring import SquaredError, decompose  # noqa: PLC0415  # slow to load

    rng = np.random.default_rng(seed)
    lives = 16
    stated = np.round(rng.uniform(0.2, 0.97, 300), 2)  # with ties
    passed = rng.binomial(lives, np.clip(stated + rng.normal(-0.03, 0.1, 300), 0, 1))
    outcomes = (np.arange(lives) < passed[:, None]).astype(float)
    (theirs,) = decompose(outcomes.ravel(), np.repeat(stated, lives), scoring_function=SquaredError()).to_dicts()
    ours = brier(stated, passed / lives)
    assert (ours.score, ours.miscalibration, ours.discrimination, ours.uncertainty) == pytest.approx(
        [theirs[key] for key in ("score", "miscalibration", "discrimination", "uncertainty")], abs=1e-12
    )
