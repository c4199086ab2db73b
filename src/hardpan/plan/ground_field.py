"""The tie between bays: a Gaussian Markov field over stations and strips, solved station by station.

Along a strip neighbours are tied by their distance, across the street by the strip between them; a painted edge leaves a weak
tie. Inside one region the field is the product of an exponential correlation along and a geometric one across. A bay knows
only its neighbours, so a street ten times as long costs ten times the work.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class Blocks:
    """Symmetric matrix over n stations of s strips each, block-tridiagonal.

    ``diagonal`` (n, s, s), and ``lower`` (n - 1, s, s): rows of a station, columns of the station before it.
    """

    diagonal: Floats
    lower: Floats

    def scaled(self, scale: Floats) -> Blocks:
        """Rows and columns multiplied by ``scale``, shape (n, s)."""
        return Blocks(
            self.diagonal * scale[:, :, None] * scale[:, None, :],
            self.lower * scale[1:, :, None] * scale[:-1, None, :],
        )

    def plus(self, added: Floats) -> Blocks:
        """With ``added``, shape (n, s), on the diagonal."""
        diagonal = self.diagonal.copy()
        strips = np.arange(diagonal.shape[1])
        diagonal[:, strips, strips] += added
        return Blocks(diagonal, self.lower)


@dataclass(frozen=True, slots=True, eq=False)
class Factor:
    """Block elimination of a positive definite ``Blocks``: inverse pivots (n, s, s) and gains (n - 1, s, s)."""

    pivots: Floats
    gains: Floats

    def solve(self, right: Floats) -> Floats:
        """Solution for right-hand sides of shape (n, s, k)."""
        forward = right.copy()
        for t in range(1, len(forward)):
            forward[t] -= self.gains[t - 1] @ forward[t - 1]
        solved = self.pivots @ forward
        for t in range(len(solved) - 2, -1, -1):
            solved[t] -= self.gains[t].T @ solved[t + 1]
        return np.asarray(solved)

    def near(self) -> tuple[Floats, Floats]:
        """Inverse between the strips of one station (n, s, s), and of each station with the next one (n - 1, s, s)."""
        blocks = self.pivots.copy()
        for t in range(len(blocks) - 2, -1, -1):
            gain = self.gains[t]
            blocks[t] += gain.T @ blocks[t + 1] @ gain
        return blocks, -self.gains.transpose(0, 2, 1) @ blocks[1:]

    def variances(self) -> Floats:
        """Diagonal of the inverse, shape (n, s)."""
        return np.diagonal(self.near()[0], axis1=1, axis2=2).copy()

    def draws(self, normals: Floats) -> Floats:
        """Draws of the field with mean 0 from standard normals, both of shape (n, s, k)."""
        drawn = np.linalg.cholesky(self.pivots) @ normals
        for t in range(len(drawn) - 2, -1, -1):
            drawn[t] -= self.gains[t].T @ drawn[t + 1]
        return np.asarray(drawn)


def eliminate(matrix: Blocks) -> Factor:
    """Factor of a positive definite block-tridiagonal matrix."""
    pivots, gains = np.empty_like(matrix.diagonal), np.empty_like(matrix.lower)
    pivots[0] = np.linalg.inv(matrix.diagonal[0])
    for t, below in enumerate(matrix.lower):
        gains[t] = below @ pivots[t]
        pivots[t + 1] = np.linalg.inv(matrix.diagonal[t + 1] - gains[t] @ below.T)
    return Factor(pivots, gains)


def unit_field(along: Floats, across: Floats) -> Blocks:
    """Precision of a field of unit variance.

    Parameters
    ----------
    along
        Correlation of each bay with the next one up-station, shape (n - 1, s), from 0 to below 1.
    across
        Correlation of each bay with the one to its right, shape (n, s - 1), from 0 to below 1.

    Notes
    -----
    Strip by strip, each strip's own part is a first-order autoregression along it. Where correlations change, left to right
    and right to left differ a little: their mean is taken, so that a street and its mirror image read alike, and scaled
    back to unit variance.
    """
    rightward, leftward = _one_way(along, across), _one_way(along[:, ::-1], across[:, ::-1])
    both = Blocks(
        (rightward.diagonal + leftward.diagonal[:, ::-1, ::-1]) / 2,
        (rightward.lower + leftward.lower[:, ::-1, ::-1]) / 2,
    )
    return both.scaled(np.sqrt(eliminate(both).variances()))


def _one_way(along: Floats, across: Floats) -> Blocks:
    """Precision of a field of unit variance that is built from the first strip to the last."""
    root = np.sqrt(1 - across**2)
    count, strips = across.shape[0], across.shape[1] + 1
    own = np.zeros((count, strips, strips))  # own part of each strip, from the strip and the one to its left
    own[:, 0, 0] = 1
    right = np.arange(1, strips)
    own[:, right, right] = 1 / root
    own[:, right, right - 1] = -across / root
    gain = 1 / (1 - along**2)
    weight = np.ones((count, strips))
    weight[1:] += along**2 * gain
    weight[:-1] += along**2 * gain
    turned = own.transpose(0, 2, 1)
    return Blocks(turned @ (weight[:, :, None] * own), -turned[1:] @ ((along * gain)[:, :, None] * own[:-1]))
