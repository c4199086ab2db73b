"""The field that ties bays, against dense algebra written out."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from hardpan.plan.ground_field import Blocks, eliminate, unit_field
from tests.plan.ground_streets import Floats, dense

Links = tuple[Floats, Floats]


@st.composite
def links(draw: st.DrawFn) -> Links:
    """Correlations along (n - 1, s) and across (n, s - 1), from none to nearly one."""
    n, s = draw(st.integers(1, 7)), draw(st.integers(1, 4))
    along = draw(arrays(float, (n - 1, s), elements=st.floats(0, 0.995)))
    return along, draw(arrays(float, (n, s - 1), elements=st.floats(0, 0.95)))


def correlation(along: Floats, across: Floats) -> Floats:
    """Correlation of every two bays, in order of station, then strip."""
    return np.asarray(np.linalg.inv(dense(unit_field(along, across))))


def reordered(matrix: Floats, shape: tuple[int, int], *, reverse: bool = False, mirror: bool = False) -> Floats:
    """Matrix with the bays counted from the other end or the other side."""
    order = np.arange(shape[0] * shape[1]).reshape(shape)[:: -1 if reverse else 1, :: -1 if mirror else 1].ravel()
    return matrix[np.ix_(order, order)]


@settings(deadline=None)
@given(links())
def test_every_bay_has_unit_variance(both: Links) -> None:
    assert np.diag(correlation(*both)) == pytest.approx(1, abs=1e-8)


@settings(deadline=None)
@given(links())
def test_correlations_are_correlations(both: Links) -> None:
    found = correlation(*both)
    assert abs(found).max() <= 1 + 1e-8
    assert np.linalg.eigvalsh(found).min() > 0


@settings(deadline=None)
@given(
    arrays(float, st.integers(1, 12), elements=st.floats(0.2, 40)),
    st.floats(5, 100),
    st.floats(0, 0.95),
    st.integers(1, 5),
)
def test_one_region_is_exponential_along_times_geometric_across(
    gaps: Floats, length: float, likeness: float, strips: int
) -> None:
    at = np.concatenate([[0.0], np.cumsum(gaps)])
    along = np.repeat(np.exp(-gaps / length)[:, None], strips, axis=1)
    by_station = np.exp(-abs(at[:, None] - at) / length)
    by_strip = likeness ** abs(np.subtract.outer(np.arange(strips), np.arange(strips)).astype(float))
    found = correlation(along, np.full((at.size, strips - 1), likeness))
    assert found == pytest.approx(np.kron(by_station, by_strip), abs=1e-10)


@settings(deadline=None)
@given(links())
def test_a_street_and_its_mirror_image_and_its_reverse_read_alike(both: Links) -> None:
    along, across = both
    shape = across.shape[0], along.shape[1]
    found = correlation(along, across)
    assert correlation(along[:, ::-1], across[:, ::-1]) == pytest.approx(reordered(found, shape, mirror=True), abs=1e-7)
    assert correlation(along[::-1], across[::-1]) == pytest.approx(reordered(found, shape, reverse=True), abs=1e-7)


@settings(deadline=None)
@given(links(), st.integers(0, 2**32 - 1))
def test_elimination_is_dense_algebra(both: Links, seed: int) -> None:
    rng = np.random.default_rng(seed)
    field = unit_field(*both)
    n, s, _ = field.diagonal.shape
    matrix = field.scaled(rng.uniform(0.5, 3, (n, s))).plus(rng.uniform(0, 5, (n, s)))
    factor, inverse = eliminate(matrix), np.linalg.inv(dense(matrix))
    right = rng.standard_normal((n, s, 3))
    assert factor.solve(right).reshape(n * s, 3) == pytest.approx(inverse @ right.reshape(n * s, 3), rel=1e-7, abs=1e-9)
    assert factor.variances().ravel() == pytest.approx(np.diag(inverse), rel=1e-7, abs=1e-9)
    # draws are linear in the normals: their matrix times its transpose is the covariance
    root = factor.draws(np.eye(n * s).reshape(n, s, n * s)).reshape(n * s, n * s)
    assert root @ root.T == pytest.approx(inverse, rel=1e-7, abs=1e-9)


@settings(deadline=None)
@given(links(), st.integers(0, 2**32 - 1))
def test_scaled_and_plus_are_what_they_say(both: Links, seed: int) -> None:
    rng = np.random.default_rng(seed)
    field = unit_field(*both)
    scale, added = rng.uniform(0.5, 3, (2, *field.diagonal.shape[:2]))
    wanted = dense(field) * scale.ravel()[:, None] * scale.ravel() + np.diag(added.ravel())
    assert dense(field.scaled(scale).plus(added)) == pytest.approx(wanted, rel=1e-12, abs=1e-12)


@pytest.mark.parametrize("link", [0.0, 0.2])
def test_a_weak_link_leaves_a_weak_correlation(link: float) -> None:
    """A painted region of two strips by three stations inside a street of four by nine."""
    n, s, rho, side = 9, 4, np.exp(-10 / 25), 0.8
    region = np.zeros((n, s), dtype=int)
    region[3:6, :2] = 1
    along = rho * np.where(region[1:] == region[:-1], 1, link)
    across = side * np.where(region[:, 1:] == region[:, :-1], 1, link)
    found = correlation(along, across)
    other = region.ravel()[:, None] != region.ravel()
    assert found[other].max() <= (0.25 if link else 1e-9), f"{found[other].max():.3f} over an edge, link {link}"
    assert found[~other].min() > 0
    # inside the region neighbours stay as alike as they were, but for a few hundredths
    inside = found[3 * s, 4 * s], found[3 * s, 3 * s + 1]
    assert inside == pytest.approx((rho, side), abs=0.03)


def test_a_chain_knows_only_its_neighbours() -> None:
    """One strip: the precision of a first-order autoregression, from memory."""
    found = unit_field(np.full((2, 1), 0.5), np.empty((3, 0)))
    assert dense(found) == pytest.approx(np.array([[4, -2, 0], [-2, 5, -2], [0, -2, 4]]) / 3, abs=1e-12)


def test_blocks_of_one_station() -> None:
    alone = eliminate(Blocks(np.array([[[4.0]]]), np.empty((0, 1, 1))))
    assert alone.variances() == pytest.approx(np.array([[0.25]]))
    assert alone.solve(np.array([[[2.0]]])) == pytest.approx(np.array([[[0.5]]]))
