"""Simulation-based calibration: the truth lies anywhere in the posterior equally often (Talts and others 2018, from memory).

One bay a street gives independent ranks, which are few. All bays of a street lean on each other, so their share inside the
band and the squares of their neighbours' differences are averaged by street first; the streets are independent. The
differences see what one bay hides: errors that the street shares cancel there and the local scatter stays.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np
import pytest
from scipy import stats

from hardpan.plan.ground import Ground, read_ground
from hardpan.plan.ground_evidence import EYE, RAIN, RUT_LAW
from hardpan.plan.instructions import follow_instructions
from tests.plan.ground_streets import (
    AS_MODELLED,
    LIMIT,
    Floats,
    Nature,
    World,
    blank,
    laid_out,
    rank,
    reading,
    simulate,
)

SURE = 3.3  # standard errors: 1 in 1,000 on both sides together


@dataclass(frozen=True)
class Calibration:
    """Figures of some streets: rank of the truth in one bay of each, share of its bays inside the band, mean square of differences."""

    ranks: Floats
    inside: Floats
    squares: Floats

    @property
    def p_values(self) -> tuple[float, float]:
        """Of even ranks, by chi-square on 20 bins and by Kolmogorov-Smirnov."""
        bins = np.histogram(self.ranks, 20, (0, 1))[0]
        return float(stats.chisquare(bins).pvalue), float(stats.kstest(self.ranks, "uniform").pvalue)

    @property
    def one_inside(self) -> int:
        """Streets whose one bay lies inside the 8-in-10 band."""
        return int(np.sum((self.ranks > 0.1) & (self.ranks < 0.9)))

    @property
    def faults(self) -> list[str]:
        """What chance does not explain 999 times in 1,000."""
        low, high = stats.binom.interval(0.999, self.ranks.size, 0.8)
        found = [] if min(self.p_values) > 0.001 else ["ranks are not even"]
        found += [] if low <= self.one_inside <= high else ["one bay of each is inside too often or too seldom"]
        found += [] if abs(_errors_off(self.inside, 0.8)) < SURE else ["bays are inside too often or too seldom"]
        return found + (
            [] if abs(_errors_off(self.squares, 1.0)) < SURE else ["neighbours differ too little or too much"]
        )

    def __str__(self) -> str:
        """Figures in a line."""
        chi_square, smirnov = self.p_values
        return (
            f"{self.ranks.size} streets: chi-square p {chi_square:.4f}, Kolmogorov-Smirnov p {smirnov:.4f} at distance "
            f"{stats.kstest(self.ranks, 'uniform').statistic:.3f}; inside the 8-in-10 band {self.one_inside / self.ranks.size:.3f} by one "
            f"bay, {self.inside.mean():.3f} by all ({_errors_off(self.inside, 0.8):+.1f} errors off); squares of differences "
            f"{self.squares.mean():.3f} ({_errors_off(self.squares, 1.0):+.1f} errors off)"
        )


def _errors_off(by_street: Floats, wanted: float) -> float:
    """Standard errors that a mean over streets is off."""
    return float((by_street.mean() - wanted) / (by_street.std(ddof=1) / np.sqrt(by_street.size)))


def calibrate(count: int, seed: int, nature: Nature = AS_MODELLED) -> Calibration:
    """Calibration over simulated streets."""
    rng = np.random.default_rng(seed)
    figures = []
    for _ in range(count):
        world = simulate(rng, nature)
        ground = world.ground()
        ranks = np.array([rank(ground.strength[at], float(world.decides[at])) for at in np.ndindex(world.felt.shape)])
        inside = np.mean((ranks > 0.1) & (ranks < 0.9))
        figures.append((ranks[rng.integers(ranks.size)], inside, _squares(world, ground)))
    return Calibration(*np.array(figures).T)


def _squares(world: World, ground: Ground) -> float:
    """Mean square of the errors of neighbours' differences, each in its own spread."""
    posterior, by_bay = ground.posterior, ground.posterior.prior.by_bay
    number = np.arange(len(by_bay)).reshape(posterior.shape)
    covariance = posterior.column(number.ravel(), by_bay)
    error = world.felt.T.ravel() - posterior.moments(by_bay)[0]
    one = np.concatenate([number[:-1].ravel(), number[:, :-1].ravel()])
    next_to_it = np.concatenate([number[1:].ravel(), number[:, 1:].ravel()])
    own = np.diag(covariance)
    return float(
        np.mean((error[one] - error[next_to_it]) ** 2 / (own[one] + own[next_to_it] - 2 * covariance[one, next_to_it]))
    )


def test_the_truth_lies_anywhere_in_the_posterior_equally_often() -> None:
    found = calibrate(200, seed=1)
    assert not found.faults, f"{found.faults}: {found}"


def _distorted() -> Iterator[Floats]:
    """Ranks of bands too wide, too narrow and moved."""
    even = np.random.default_rng(2).uniform(size=200)
    yield 0.5 + (even - 0.5) * 0.7
    yield np.clip(0.5 + (even - 0.5) * 1.4, 0, 1)
    yield even**1.5


@pytest.mark.parametrize("ranks", list(_distorted()), ids=["too wide", "too narrow", "moved"])
def test_wrong_ranks_would_be_seen(ranks: Floats) -> None:
    inside = np.random.default_rng(3).normal(0.8, 0.1, 200)
    assert "ranks are not even" in Calibration(ranks, inside, inside + 0.2).faults


def test_the_chance_of_soft_ground_is_the_share_that_is_soft() -> None:
    rng = np.random.default_rng(3)
    off = []
    for _ in range(60):
        world = simulate(rng)
        off.append(float(np.mean(world.ground().soft - (world.decides < LIMIT))))
    assert abs(_errors_off(np.array(off), 0.0)) < SURE, f"chance of soft ground off by {np.mean(off):+.3f}"


def test_a_reading_shares_the_errors_of_its_kind() -> None:
    """An eye's error is not the tape's; what rain took counts only for what was read before it."""
    street = blank(2, 3, rained=True)
    bays, _ = laid_out(street)
    readings = (reading(bays, (0, 0), "ruts", stale=True), reading(bays, (0, 1), "ruts", rut=0.05))
    street = replace(street, readings=readings)
    posterior = read_ground(street, bays, follow_instructions(street)).posterior
    shares = posterior.seen.shared[np.argsort(posterior.seen.bay)][:, [RUT_LAW, EYE, RAIN]]
    assert shares == pytest.approx(np.array([[-1, -1, 1.52], [-1, 0, 0]]) / 1.52)
