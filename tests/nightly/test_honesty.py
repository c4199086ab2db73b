"""Honesty of the odds over many streets of every nature, in the time that a night leaves: the plan's own nature is judged, others are told."""

from __future__ import annotations

import os
import sys
import time
from pathlib import Path

import numpy as np
import pytest
from rich.console import Console
from scipy.special import expit, logit

from hardpan.study.natures import AS_MODELLED, NATURES
from hardpan.study.report import NatureFigures, nature_figures, print_figures
from hardpan.study.runner import Outcome, run_study, tasks_of
from hardpan.study.scoring import Reliability, honest

pytestmark = pytest.mark.nightly

LEAST, MOST, STEP = 1_000, 4_000, 500
SECONDS = 2_400 / len(NATURES)  # 40 minutes shared out


def zones_of(found: list[Outcome], *, pushed: float = 0.0) -> Reliability:
    """Reliability at the worst place of the zones that were chosen, the odds pushed on purpose."""
    zones = [(one.task.seed, zone) for one in found for zone in one.zones if zone.proposed and not zone.dug_out]
    streets, stated, passed = np.array([(seed, zone.worst, zone.worst_passed) for seed, zone in zones]).T
    return honest(expit(logit(stated) + pushed), passed, streets.astype(int))


def as_many_as_time_allows(name: str, folder: Path) -> list[Outcome]:
    """At least ``LEAST`` streets, and more while the nature's share of the time lasts."""
    workers = 1 if os.environ.get("PYTEST_XDIST_WORKER") else 2
    began, streets = time.monotonic(), LEAST
    while True:
        found = run_study(tasks_of((name,), streets), folder / "study.jsonl", workers=workers)
        spent = time.monotonic() - began
        if streets + STEP > MOST or spent * (streets + STEP) / streets > SECONDS:
            return found
        streets += STEP


def told(found: list[Outcome], capsys: pytest.CaptureFixture[str]) -> NatureFigures:
    """Figures of a nature, printed."""
    figures = nature_figures(found[0].task.nature, found)
    with capsys.disabled():
        print_figures([figures], Console(file=sys.stdout, width=150))
    return figures


def test_as_modelled_the_odds_are_what_happens_and_pushed_odds_are_not(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    found = as_many_as_time_allows(AS_MODELLED.name, tmp_path)
    figures = told(found, capsys)
    assert figures.worst.inside, f"outside by {figures.worst.outside_by:+.4f}: {figures.worst}"
    assert figures.worst.slope_low <= 1 <= figures.worst.slope_high
    # odds of a whole zone come from joint draws by the joint normal: careful by two hundredths at most, never too high
    assert all(one.gap_high >= 0 for one in (figures.whole.whole, *figures.whole.groups)), figures.whole
    assert figures.whole.whole.gap < 0.02
    assert not any(zones_of(found, pushed=pushed).inside for pushed in (-0.25, 0.25))


@pytest.mark.parametrize("name", [name for name in NATURES if name != AS_MODELLED.name])
def test_other_natures_are_told_not_judged(name: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    figures = told(as_many_as_time_allows(name, tmp_path), capsys)
    assert figures.streets >= LEAST
    assert 0 < figures.worst.whole.passed < 1
