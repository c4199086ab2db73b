"""What three penetrometer tests are worth: driven where the plan says, at equal spacing, and where the words were softest.

Each way tests the same simulated streets; the ground is read again with the results, every bay is called soft or firm by the
likelier answer, and the metres of strip called wrongly before and after are counted against the truth.
"""

from __future__ import annotations

import sys

import numpy as np
import pytest

from hardpan.plan.ground import Ground
from tests.plan.ground_streets import LIMIT, At, Floats, World, simulate

WAYS = ("where the plan says", "at equal spacing", "at the softest words")


def wrong_metres(world: World, ground: Ground) -> float:
    """Metres of strip called soft that are firm, or firm that are soft."""
    return float(world.metres[(ground.soft > 0.5) != (world.decides < LIMIT)].sum())


def places(world: World, ground: Ground, rng: np.random.Generator) -> list[list[At]]:
    """Three bays to test, by each way."""
    asked = [(one.strip - 1, int(np.argmin(abs(world.bays.middles_m - one.station_m)))) for one in ground.tests]
    ends = world.bays.edges_m
    quarters = np.searchsorted(ends, ends[0] + (ends[-1] - ends[0]) * np.array([0.25, 0.5, 0.75]), side="right") - 1
    spaced = [(i % len(world.bays.strips), int(column)) for i, column in enumerate(quarters)]
    softest = np.argsort(-(ground.word + rng.random(ground.word.shape)), axis=None)[:3]  # by lot among the same word
    soft = [(int(row), int(column)) for row, column in zip(*np.unravel_index(softest, ground.word.shape), strict=True)]
    return [asked, spaced, soft]


def wrong_by_way(count: int, seed: int) -> Floats:
    """Metres wrongly called on each street: before any test, and after three by each way; (streets, 1 + ways)."""
    rng = np.random.default_rng(seed)
    table = []
    for _ in range(count):
        world = simulate(rng, tests=0)
        ground = world.ground()
        afterwards = [world.tested(at, rng) for at in places(world, ground, rng)]
        table.append([wrong_metres(world, ground), *(wrong_metres(one, one.ground()) for one in afterwards)])
    return np.array(table)


def tell(table: Floats) -> tuple[str, Floats]:
    """Metres avoided a test, in words with the band that resampled streets give, and their means by way."""
    avoided = (table[:, :1] - table[:, 1:]) / 3
    figures = np.column_stack([avoided, avoided[:, :1] - avoided[:, 1:]])
    again = np.random.default_rng(0).integers(len(table), size=(2_000, len(table)))
    low, high = np.percentile([figures[rows].mean(axis=0) for rows in again], [2.5, 97.5], axis=0)
    names = [*WAYS, *(f"{WAYS[0]} rather than {way}" for way in WAYS[1:])]
    lines = [
        f"{len(table)} streets, {table[:, 0].mean():.1f} m wrongly called on each before any test; avoided a test:"
    ]
    lines += [
        f"  {name}: {mean:.2f} m, 19 times in 20 between {a:.2f} and {b:.2f}"
        for name, mean, a, b in zip(names, figures.mean(axis=0), low, high, strict=True)
    ]
    return "\n".join(lines), avoided.mean(axis=0)


def test_three_tests_can_be_chosen_driven_and_read_again() -> None:
    told, mean = tell(wrong_by_way(20, seed=21))
    assert np.all(np.isfinite(mean)), told


@pytest.mark.nightly
def test_tests_where_the_plan_says_avoid_wrong_decisions(capsys: pytest.CaptureFixture[str]) -> None:
    told, mean = tell(wrong_by_way(500, seed=22))
    with capsys.disabled():
        sys.stdout.write(f"\n{told}\n")
    assert np.all(np.isfinite(mean)), told
    assert mean[0] > 0, told
