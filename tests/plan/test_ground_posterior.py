"""The posterior of the ground against brute force: dense algebra, and quadrature over every strength that a wheel felt.

The brute force knows the prior, the normal evidence and the curves of the readings; it shares no step with the sweeps and
stand-ins that it checks. A few readings are weighed by draws, many by the stand-ins alone: both are checked.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
import pytest
from numpy.polynomial.legendre import leggauss
from numpy.typing import NDArray
from scipy import stats
from scipy.special import ndtr

from hardpan.laws.rutting import rut_constant, rut_scatter
from hardpan.plan import ground_posterior
from hardpan.plan.ground_evidence import RUT_LAW, bay_at, prior_of, seen_by, softest, told_by
from hardpan.plan.ground_posterior import GRID, SEEN_AT, Posterior, Prior, Seen, Told, infer
from hardpan.plan.soundings import read_soundings
from hardpan.street import Street
from hardpan.street.street import BearingTest
from hardpan.street.vehicles import tyre_of
from hardpan.street.words import Word
from tests.plan.ground_streets import (
    GRADER,
    TRUCK,
    At,
    Floats,
    World,
    blank,
    dense,
    laid_out,
    measured,
    painted,
    reading,
    simulate,
    trenched,
)

EDGES = GRID + (GRID[1] - GRID[0]) / 2
TOLERANCE = 0.005


@dataclass(frozen=True)
class Normal:
    """Joint normal of field (bays in a row) and shared quantities."""

    mean: Floats
    covariance: Floats

    def given(self, rows: Floats, value: Floats, variance: Floats) -> Normal:
        """After normal evidence on sums of the quantities."""
        gain = self.covariance @ rows.T @ np.linalg.inv(rows @ self.covariance @ rows.T + np.diag(variance))
        return Normal(self.mean + gain @ (value - rows @ self.mean), self.covariance - gain @ rows @ self.covariance)


def sums(prior: Prior, bay: NDArray[np.intp], shared: Floats) -> Floats:
    """Rows that take y + h.g out of field and shared quantities."""
    rows = np.zeros((len(bay), prior.mean.size + shared.shape[1]))
    rows[np.arange(len(bay)), bay] = 1
    rows[:, prior.mean.size :] = shared
    return rows


def known(prior: Prior, told: Told) -> Normal:
    """Everything but the readings, by dense algebra."""
    spread = prior.spread.ravel()
    size = spread.size
    covariance = np.zeros((size + prior.shared_mean.size,) * 2)
    covariance[:size, :size] = np.linalg.inv(dense(prior.field)) * spread[:, None] * spread
    covariance[size:, size:] = np.diag(prior.shared_spread**2)
    start = Normal(np.concatenate([prior.mean.ravel(), prior.shared_mean]), covariance)
    return start.given(sums(prior, told.bay, told.shared), told.value, told.variance) if told.bay.size else start


def _felt(prior: Prior, seen: Seen) -> tuple[Floats, list[Floats]]:
    """Different sums that wheels felt, and the curve of each: one place felt twice alike is one sum."""
    rows = sums(prior, seen.bay, seen.shared)
    alone, inverse = np.unique(rows, axis=0, return_inverse=True)
    curves = [np.prod(seen.curves[seen.curve[inverse.ravel() == i]], axis=0) for i in range(len(alone))]
    return alone, curves


def _nodes(curve: Floats, low: float, high: float, panel: float) -> tuple[Floats, Floats]:
    """Gauss-Legendre nodes by panels that end wherever a curve jumps and at the edges of the grid where ``panel`` is that fine."""
    change = np.diff(curve)
    lone = abs(change[1:-1] - (change[:-2] + change[2:]) / 2) > 0.01 * curve.max()
    jumps = np.flatnonzero(lone) + 1
    breaks = {low, high, *(float(SEEN_AT[i + j]) for i in jumps for j in (0, 1) if low < SEEN_AT[i + j] < high)}
    breaks |= {float(edge) for edge in EDGES if low < edge < high and panel < 0.1}
    at, weight = leggauss(3)
    nodes, weights = [], []
    for start, end in pairwise(sorted(breaks)):
        for a, b in pairwise(np.linspace(start, end, int(np.ceil((end - start) / panel)) + 1)):
            nodes.append((a + b) / 2 + (b - a) / 2 * at)
            weights.append((b - a) / 2 * weight)
    return np.concatenate(nodes), np.concatenate(weights)


def exact_cdf(prior: Prior, told: Told, seen: Seen, *, panel: float | None = None) -> Floats:
    """P(strength below each of ``EDGES``) of every bay, (bays, edges), by quadrature over all that the wheels felt."""
    joint = known(prior, told)
    felt, curves = _felt(prior, seen)
    targets = sums(prior, np.arange(prior.mean.size), prior.by_bay)
    mean, covariance = felt @ joint.mean, felt @ joint.covariance @ felt.T
    precision = np.linalg.inv(covariance)
    gain = targets @ joint.covariance @ felt.T @ precision
    left = np.einsum("ij,jk,ik->i", targets, joint.covariance, targets) - np.einsum(
        "ij,jk,ik->i", gain, covariance, gain
    )
    panel = panel or (0.45 if len(curves) == 4 else 0.2)
    reach = 4.7 * np.sqrt(np.diag(covariance))
    fine = [0.04 if left.min() < 1e-9 else panel] * len(curves)
    axes = [_nodes(c, m - r, m + r, f) for c, m, r, f in zip(curves, mean, reach, fine, strict=True)]
    off = [
        (at - m).reshape([-1 if j == k else 1 for k in range(len(axes))])
        for j, ((at, _), m) in enumerate(zip(axes, mean, strict=True))
    ]
    weight = np.exp(-sum(precision[j, k] * off[j] * off[k] for j in range(len(axes)) for k in range(len(axes))) / 2)
    for j, ((at, share), curve) in enumerate(zip(axes, curves, strict=True)):
        weight *= (share * np.interp(at, SEEN_AT, curve)).reshape(off[j].shape)
    weight /= weight.sum()
    return np.stack([_cdf(weight, off, g, m, v) for g, m, v in zip(gain, targets @ joint.mean, left, strict=True)])


def _cdf(weight: Floats, off: list[Floats], gain: Floats, mean: float, variance: float) -> Floats:
    """Cdf of a normal whose mean hangs on what the wheels felt, at ``EDGES``."""
    centre = mean + np.asarray(sum(g * one for g, one in zip(gain, off, strict=True)))
    centre = np.broadcast_to(centre, weight.shape).ravel()
    if variance < 1e-9:  # the wheel felt the strength itself
        return np.array([weight.ravel()[centre < edge].sum() for edge in EDGES])
    step = 0.05 * np.sqrt(variance)
    low = centre.min()
    place = (centre - low) / step
    below = place.astype(np.intp)
    share, flat = place - below, weight.ravel()
    size = int(below.max()) + 2
    binned = np.bincount(below, flat * (1 - share), size) + np.bincount(below + 1, flat * share, size)
    return np.asarray(ndtr((EDGES[:, None] - low - step * np.arange(size)) / np.sqrt(variance)) @ binned)


Evidence = tuple[Prior, Told, Seen]
Case = Callable[[], Evidence]
Read = tuple[At, Word]


def evidence_of(street: Street) -> Evidence:
    """Prior and evidence of a street, as the plan gathers them."""
    bays, places = laid_out(street)
    tests = [(one, (one.strip - 1, bay_at(bays, one.station_m))) for one in read_soundings(street)[0]]
    unread = softest(enumerate(street.readings), bays)[0] == 0
    for _, at in tests:
        unread[at] = False
    prior = prior_of(street, bays, places, unread)
    rows = [(one, column * len(bays.strips) + row) for one, (row, column) in tests]
    return prior, told_by(street, bays, prior, rows), seen_by(street, bays, prior, places)


SMALL = blank(2, 3)
EDGED = trenched(painted(SMALL, (0, 12), (1,)), 21.0, (1, 2))
INSTRUCTED = painted(painted(SMALL, (0, 12), (1,), rate=28), (20, 30), (2,), rate=12)


def said(*words: Read, street: Street = SMALL) -> Street:
    """Street with words of the grader."""
    bays, _ = laid_out(street)
    return replace(street, readings=(*street.readings, *(reading(bays, at, word) for at, word in words)))


def taped(*ruts: tuple[At, float], street: Street = SMALL, vehicle: str = GRADER) -> Street:
    """Street with ruts in millimetres."""
    bays, _ = laid_out(street)
    new = (reading(bays, at, "ruts", rut=rut / 1000, vehicle=vehicle) for at, rut in ruts)
    return replace(street, readings=(*street.readings, *new))


def sounded(street: Street, at: At, cbr: float, soft: float | None = None) -> Street:
    """Street with one penetrometer test."""
    bays, places = laid_out(street)
    felt = np.full(places.region.shape, np.log(cbr))
    hidden = np.full(felt.shape, soft is not None)
    under = np.full(felt.shape, np.log(soft or cbr))
    world = World(street, bays, evidence_of(street)[0], np.zeros(6), felt, under, hidden, 0.230)
    return world.tested([at], np.random.default_rng(0)).street


def rained_on() -> Street:
    """Street read before the rain and after it."""
    street = blank(2, 3, rained=True)
    bays, _ = laid_out(street)
    before = [reading(bays, (0, 1), "ruts", stale=True), reading(bays, (0, 0), "nothing", stale=True)]
    return replace(street, readings=(*before, reading(bays, (1, 1), "shows")))


def driven_again(street: Street, at: At, word: Word, vehicle: str = TRUCK) -> Street:
    """Street with a word of another vehicle."""
    bays, _ = laid_out(street)
    return replace(street, readings=(*street.readings, reading(bays, at, word, vehicle=vehicle)))


def bouncing() -> Street:
    """Street where the ground did nothing but bounce."""
    bays, _ = laid_out(SMALL)
    return replace(SMALL, readings=(reading(bays, (0, 1), "nothing", bounces=True),))


def sampled() -> Street:
    """Street with a laboratory bearing ratio for two strips."""
    street = taped(((1, 1), 50.0), street=said(((0, 1), "ruts")))
    return replace(street, bearing=(BearingTest("L", 15.0, (1, 2), measured(2.5, "%")),))


def by_hand(*curves: tuple[At, Floats], direct: bool = False) -> Case:
    """Case with curves made by hand; ``direct`` where the wheel feels the strength itself."""

    def case() -> Evidence:
        prior, told, _ = evidence_of(SMALL)
        bay = np.array([column * 2 + row for (row, column), _ in curves])
        shared = prior.by_bay[bay].copy()
        if not direct:
            shared[:, RUT_LAW] = -1 / 1.52
        return prior, told, Seen(bay, np.arange(len(curves)), shared, np.array([curve for _, curve in curves]))

    return case


def above(cbr: float) -> Floats:
    """Curve that allows only ground firmer than a CBR, to one in a thousand million."""
    return np.where(np.log(cbr) < SEEN_AT, 1.0, 1e-9)


def below(cbr: float) -> Floats:
    """Curve that allows only softer ground."""
    return np.where(np.log(cbr) > SEEN_AT, 1.0, 1e-9)


def heavy(middle: float, scale: float = 0.3) -> Floats:
    """Curve of Student's t with 3 degrees of freedom."""
    return np.asarray(stats.t.pdf((SEEN_AT - middle) / scale, 3))


A, B, C, D = (0, 1), (1, 1), (0, 0), (1, 2)
CASES: dict[str, Case] = {}


def case(name: str, street: Street | Case) -> None:
    """Add a case."""
    CASES[name] = street if callable(street) else lambda: evidence_of(street)


case("one nothing", said((A, "nothing")))
case("one shows", said((A, "shows")))
case("one ruts", said((A, "ruts")))
case("one sinks", said((A, "sinks")))
case("three nothing", said((A, "nothing"), (B, "nothing"), (C, "nothing")))
case("three shows", said((A, "shows"), (B, "shows"), (C, "shows")))
case("three ruts", said((A, "ruts"), (B, "ruts"), (C, "ruts")))
case("three sinks", said((A, "sinks"), (B, "sinks"), (C, "sinks")))
case("four different words", said((A, "nothing"), (B, "shows"), (C, "ruts"), (D, "sinks")))
case("nothing beside sinks", said((A, "nothing"), (B, "sinks")))
case("bounces", bouncing())
for mm in (3, 8, 12, 20, 60, 180, 250):
    case(f"one rut of {mm} mm", taped((A, mm)))
for mm in (3, 12, 20, 60, 180, 250):
    case(f"three ruts of {mm} mm", taped((A, mm), (B, mm), ((0, 2), mm)))
case("ruts of 12 and 40 mm side by side", taped((A, 12), (B, 40)))
case("two vehicles that agree", taped((A, 40), street=driven_again(SMALL, A, "ruts")))
case("two vehicles that differ", driven_again(said((A, "nothing")), A, "ruts"))
case("two vehicles, one by tape, that differ", taped((A, 50), street=said((A, "nothing")), vehicle=TRUCK))
case("penetrometer on a word", sounded(said((A, "nothing"), (B, "shows")), A, 4.0))
case("penetrometer elsewhere", sounded(said((A, "nothing"), (B, "shows")), (1, 0), 4.0))
case("penetrometer against a word", sounded(said((A, "nothing"), (B, "shows")), A, 1.5))
case("skin over soft ground", sounded(said((A, "nothing"), (B, "shows")), A, 8.0, 1.5))
case("rut and penetrometer share the constant", sounded(taped((A, 40), (C, 30)), A, 2.0))
case("laboratory", sampled())
case("rates where nothing was read", said((A, "ruts"), ((1, 0), "shows"), street=INSTRUCTED))
case("before and after rain", rained_on())
case("edges and a trench", said((A, "ruts"), ((0, 3), "sinks"), (D, "nothing"), street=EDGED))
case("firm bound", by_hand((A, above(5))))
case("firm bound felt directly", by_hand((A, above(5)), direct=True))
case("firm bound far off", by_hand((A, above(12))))
case("two firm bounds", by_hand((A, above(5)), (B, below(8))))
case("two firm bounds that exclude each other at one place", by_hand((A, above(6)), (B, below(4))))
case("between two firm bounds", by_hand((A, above(2) * below(3))))
case("one heavy tail", by_hand((A, heavy(1.0))))
case("one heavy tail felt directly", by_hand((A, heavy(1.0)), direct=True))
case("heavy tails that agree", by_hand((A, heavy(1.0)), (B, heavy(1.3)), ((0, 2), heavy(0.8))))
case("heavy tails far apart", by_hand((A, heavy(0.3, 0.2)), (B, heavy(2.3, 0.2))))


@pytest.mark.parametrize("make", CASES.values(), ids=CASES)
def test_marginals_of_every_bay_are_those_of_brute_force(make: Case) -> None:
    prior, told, seen = make()
    posterior = infer(prior, told, seen)
    found = np.cumsum(posterior.marginal(prior.by_bay), axis=1)
    off = abs(found - exact_cdf(prior, told, seen)).max(axis=1)
    assert off.max() <= TOLERANCE, (
        f"worst difference of the cdf {off.max():.4f}, in bay {off.argmax()}; {posterior.sweeps} sweeps"
    )


@pytest.mark.parametrize(
    "make", [make for name, make in CASES.items() if "far apart" not in name and "exclude" not in name]
)
def test_stand_ins_alone_are_nearly_as_good(make: Case, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(ground_posterior, "_FEW", 0)
    prior, told, seen = make()
    found = np.cumsum(infer(prior, told, seen).marginal(prior.by_bay), axis=1)
    assert abs(found - exact_cdf(prior, told, seen)).max() <= 0.012


@pytest.mark.parametrize(
    "name", ["nothing beside sinks", "rut and penetrometer share the constant", "firm bound felt directly"]
)
def test_brute_force_has_converged(name: str) -> None:
    evidence = CASES[name]()
    assert exact_cdf(*evidence) == pytest.approx(exact_cdf(*evidence, panel=0.1), abs=5e-4)


def test_normal_evidence_alone_gives_the_closed_form() -> None:
    prior, told, seen = evidence_of(sounded(sounded(SMALL, A, 4.0), D, 1.5, 1.0))
    posterior = infer(prior, told, seen)
    exact = known(prior, told)
    rows = sums(prior, np.arange(prior.mean.size), prior.by_bay)
    covariance = rows @ exact.covariance @ rows.T
    mean, variance = posterior.moments(prior.by_bay)
    assert mean == pytest.approx(rows @ exact.mean, abs=1e-10)
    assert variance == pytest.approx(np.diag(covariance), abs=1e-10)
    assert posterior.column(np.arange(len(rows)), prior.by_bay) == pytest.approx(covariance, abs=1e-10)
    drawn, _ = posterior.draws(40_000, np.random.default_rng(0))
    assert np.cov(drawn.reshape(40_000, -1).T) == pytest.approx(covariance, abs=0.02)
    assert drawn.reshape(40_000, -1).mean(axis=0) == pytest.approx(mean, abs=0.02)


def _constant(rut: float, cbr: float) -> Posterior:
    """Posterior of a street of one bay with one rut by tape and one penetrometer test."""
    return infer(*evidence_of(sounded(taped(((0, 0), rut), street=blank(1, 1)), (0, 0), cbr)))


@pytest.mark.parametrize(("rut", "cbr"), [(60.0, 2.0), (90.0, 2.0), (45.0, 3.0)])
def test_one_pair_moves_the_rut_constant_by_half_of_what_it_says(rut: float, cbr: float) -> None:
    """A weight of about .45 for one pair: common practice, no source."""
    step = 1.1
    moved = [float(_constant(mm, cbr).joint.shared_mean[RUT_LAW]) for mm in (rut / step, rut * step)]
    weight = (moved[1] - moved[0]) / (2 * np.log(step))
    assert 0.35 < weight < 0.5
    # exact conjugate update of (strength, error of the law); the small share of wrong notes left out
    wheel = tyre_of(GRADER).wheel
    local = float(rut_scatter(cbr, wheel)) ** 2 - 0.43**2 + 0.15**2
    start = Normal(np.array([np.log(3.5), 0.0]), np.diag([0.8**2, 0.43**2]))
    rows = np.array([[1.0, 0.0], [-1.52, 1.0]])
    value = np.array([np.log(cbr), np.log(rut / 1000 / rut_constant(wheel))])
    exact = start.given(rows, value, np.array([0.2**2 + 0.22**2, local]))
    assert _constant(rut, cbr).joint.shared_mean[RUT_LAW] == pytest.approx(exact.mean[1], abs=0.02)
    assert _constant(rut, cbr).joint.shared_cov[RUT_LAW, RUT_LAW] == pytest.approx(exact.covariance[1, 1], rel=0.06)


def test_true_readings_narrow_a_bay_on_average() -> None:
    rng = np.random.default_rng(4)
    spread = []
    for _ in range(60):
        world = simulate(rng, tests=0, layout=blank(2, 8))
        readings = [world.street.readings[i] for i in rng.permutation(len(world.street.readings))]
        bay = int(rng.integers(world.felt.size))
        by_count = []
        for count in (0, 2, 4, 8):
            prior, told, seen = evidence_of(replace(world.street, bearing=(), readings=tuple(readings[:count])))
            chance = infer(prior, told, seen).marginal(prior.by_bay)[bay]
            by_count.append(chance @ GRID**2 - (chance @ GRID) ** 2)
        spread.append(by_count)
    narrowed = np.diff(np.array(spread), axis=1)
    error = narrowed.std(axis=0) / np.sqrt(len(narrowed))
    assert np.all(narrowed.mean(axis=0) < -3 * error), (
        f"mean change of variance {narrowed.mean(axis=0)}, its error {error}"
    )
