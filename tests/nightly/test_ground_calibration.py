"""Calibration of the ground over 2,000 streets, and how far it leaves the band where nature does not follow the model."""

from __future__ import annotations

import sys

import numpy as np
import pytest

from tests.plan.ground_streets import Nature
from tests.plan.test_ground_calibration import calibrate

pytestmark = pytest.mark.nightly

NATURES = {
    "ruts by Maclaurin's law alone": Nature(law="maclaurin"),
    "ruts by the chord's law alone": Nature(law="chord"),
    "Student's t with 3 degrees of freedom": Nature(tails=3),
    "Student's t with 4 degrees of freedom": Nature(tails=4),
    "sharp edges and a jump": Nature(sharp=True),
    "skins of 150 mm": Nature(skin=0.150),
}


def test_the_truth_lies_anywhere_in_the_posterior_equally_often(capsys: pytest.CaptureFixture[str]) -> None:
    found = calibrate(2_000, seed=11)
    with capsys.disabled():
        sys.stdout.write(f"\nas modelled: {found}\n")
    assert not found.faults, f"{found.faults}: {found}"


@pytest.mark.parametrize("name", list(NATURES))
def test_other_natures_are_told_not_judged(name: str, capsys: pytest.CaptureFixture[str]) -> None:
    found = calibrate(2_000, seed=12, nature=NATURES[name])
    with capsys.disabled():
        sys.stdout.write(f"\n{name}: {found}\n")
    assert np.all((found.ranks >= 0) & (found.ranks <= 1))
