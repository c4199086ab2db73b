"""Lognormal scatter, against scipy's own distribution."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from hardpan.errors import LawError
from hardpan.laws import lognormal

MEANS = st.floats(1e-3, 1e6)
VARIATIONS = st.floats(0.01, 1.5)
PERCENTS = st.floats(0.5, 99.5)


@given(MEANS, VARIATIONS)
def test_there_and_back(mean: float, variation: float) -> None:
    back = lognormal.to_mean(*lognormal.from_mean(mean, variation))
    assert [float(part) for part in back] == pytest.approx([mean, variation], rel=1e-9)


@given(MEANS, VARIATIONS, PERCENTS)
def test_distribution_of_a_library_says_the_same(mean: float, variation: float, percent: float) -> None:
    ln_mean, ln_sd = lognormal.from_mean(mean, variation)
    found = stats.lognorm(s=float(ln_sd), scale=math.exp(float(ln_mean)))
    assert found.mean() == pytest.approx(mean, rel=1e-9)
    assert found.std() / found.mean() == pytest.approx(variation, rel=1e-7)
    assert found.ppf(percent / 100) / mean == pytest.approx(
        float(lognormal.percentile_ratio(variation, percent)), rel=1e-9
    )


@given(MEANS, VARIATIONS, PERCENTS)
def test_needed_mean_puts_the_share_above_the_limit(limit: float, variation: float, percent: float) -> None:
    mean = lognormal.mean_needed(limit, variation=variation, percent_above=percent)
    ln_mean, ln_sd = lognormal.from_mean(mean, variation)
    above = stats.norm.sf(math.log(limit), loc=float(ln_mean), scale=float(ln_sd))
    assert 100 * above == pytest.approx(percent, abs=1e-6)


@given(VARIATIONS, st.floats(1.0, 98.0))
def test_higher_percentile_is_a_higher_value(variation: float, percent: float) -> None:
    assert lognormal.percentile_ratio(variation, percent + 1) > lognormal.percentile_ratio(variation, percent)


@given(st.lists(st.floats(0.0, 1.0), min_size=1, max_size=5))
def test_scatter_adds_up_like_sides_of_a_box(variations: list[float]) -> None:
    found = float(lognormal.combined_variation(variations))
    assert found == pytest.approx(math.hypot(*variations), rel=1e-12, abs=1e-12)
    assert found >= max(variations) - 1e-12


def test_nothing_scatters() -> None:
    assert [float(part) for part in lognormal.from_mean(3.0, 0.0)] == pytest.approx([math.log(3.0), 0.0], abs=1e-15)
    assert lognormal.percentile_ratio(0.0, [10, 50, 90]) == pytest.approx([1.0, 1.0, 1.0], abs=1e-15)


def test_median_lies_below_the_mean() -> None:
    # the median over the mean is 1 / sqrt(1 + V^2)
    assert lognormal.percentile_ratio([0.3, 0.75], 50) == pytest.approx([1.09**-0.5, 0.8], rel=1e-12)


def test_small_scatter_is_not_lost_to_rounding() -> None:
    _, ln_sd = lognormal.from_mean(1.0, 1e-9)
    assert ln_sd == pytest.approx(1e-9, rel=1e-9)


def test_sources_stack() -> None:
    assert lognormal.combined_variation([[0.3, 0.4], [0.5, 1.2]]) == pytest.approx([0.5, 1.3], rel=1e-12)


def test_impossible_moments_are_named() -> None:
    with pytest.raises(LawError, match=r"^mean: given 0.0"):
        lognormal.from_mean(0.0, 0.3)
    with pytest.raises(LawError, match=r"^variation: given -0.3"):
        lognormal.from_mean(1.0, -0.3)
    with pytest.raises(LawError, match=r"^ln_mean: given inf; allowed: finite"):
        lognormal.to_mean(math.inf, 0.3)
    with pytest.raises(LawError, match=r"^ln_sd: given -0.3"):
        lognormal.to_mean(0.0, -0.3)
    with pytest.raises(LawError, match=r"^limit: given -1.0"):
        lognormal.mean_needed(-1.0, variation=0.3, percent_above=90)


@pytest.mark.parametrize("percent", [0.0, 100.0, -5.0, math.nan])
def test_share_of_none_or_all_has_no_percentile(percent: float) -> None:
    with pytest.raises(LawError, match=r"^percent: given .*above 0 and below 100"):
        lognormal.percentile_ratio(0.3, percent)
    with pytest.raises(LawError, match=r"^percent_above: given .*above 0 and below 100"):
        lognormal.mean_needed(1.0, variation=0.3, percent_above=percent)


@pytest.mark.parametrize("variations", [[], 0.3, [0.3, -0.1], np.empty((2, 0))])
def test_impossible_sources_are_named(variations: object) -> None:
    with pytest.raises(LawError, match=r"^variations: given "):
        lognormal.combined_variation(variations)  # type: ignore[arg-type]  # shapes, not types, are wrong
