"""The gate's study: 200 streets of the plan's own nature, and the same check on a model broken on purpose."""

from __future__ import annotations

import io
import sys
import time
from dataclasses import astuple, replace
from pathlib import Path

import numpy as np
import pytest
from rich.console import Console
from scipy.special import expit, logit

from hardpan.study.decided import decide, outcomes
from hardpan.study.natures import AS_MODELLED
from hardpan.study.report import NatureFigures, nature_figures, print_figures
from hardpan.study.rules import RULES, worths
from hardpan.study.runner import Outcome, Task, run_study, tasks_of
from hardpan.study.scoring import Reliability, honest
from hardpan.study.simulated import simulate

STREETS = 200


@pytest.fixture(scope="module")
def found(tmp_path_factory: pytest.TempPathFactory) -> list[Outcome]:
    kept = tmp_path_factory.mktemp("study") / "study.jsonl"
    began = time.monotonic()
    done = run_study(tasks_of((AS_MODELLED.name,), STREETS), kept, workers=2)
    sys.stdout.write(f"{STREETS} streets in {time.monotonic() - began:.0f} s\n")
    return done


@pytest.fixture(scope="module")
def told(found: list[Outcome]) -> NatureFigures:
    return nature_figures(AS_MODELLED.name, found)


def reliability(found: list[Outcome], *, pushed: float = 0.0) -> Reliability:
    zones = [(one.task.seed, zone) for one in found for zone in one.zones if zone.proposed and not zone.dug_out]
    streets, stated, passed = np.array([(seed, zone.worst, zone.worst_passed) for seed, zone in zones]).T
    return honest(expit(logit(stated) + pushed), passed, streets.astype(int))


def test_the_odds_of_chosen_zones_are_honest_at_their_worst_place(told: NatureFigures) -> None:
    assert told.worst.whole.zones > 600
    assert told.worst.inside, f"outside by {told.worst.outside_by:+.3f}: {told.worst}"
    assert told.worst.slope_low <= 1 <= told.worst.slope_high
    # the band is narrow enough to tell odds of .85 from .80
    assert told.worst.whole.gap_high - told.worst.whole.gap_low < 0.08


def test_the_odds_of_a_whole_zone_are_honest(told: NatureFigures) -> None:
    assert told.whole.inside, f"outside by {told.whole.outside_by:+.3f}: {told.whole}"
    assert told.whole.slope_low <= 1 <= told.whole.slope_high


def test_the_parts_of_the_score_are_those_of_another_library(found: list[Outcome], told: NatureFigures) -> None:
    from model_diagnostics.scoring import SquaredError, decompose  # noqa: PLC0415  # slow to load

    zones = [zone for one in found for zone in one.zones if zone.proposed and not zone.dug_out]
    stated, passed = np.array([(zone.worst, zone.worst_passed) for zone in zones]).T
    (parts,) = decompose(passed, stated, scoring_function=SquaredError()).to_dicts()
    # on shares of lives the score lacks the spread of lives within a share, which no odds can change
    assert told.worst.brier.miscalibration == pytest.approx(parts["miscalibration"], abs=1e-12)
    assert told.worst.brier.discrimination == pytest.approx(parts["discrimination"], abs=1e-12)


@pytest.mark.parametrize("pushed", [-1.0, 1.0])
def test_odds_pushed_by_one_fail_the_same_check(found: list[Outcome], pushed: float) -> None:
    broken = reliability(found, pushed=pushed)
    assert not broken.inside
    assert np.sign(broken.outside_by) == -np.sign(pushed)
    assert abs(broken.outside_by) > 0.03


@pytest.mark.parametrize("factor", [0.5, 2.0])
def test_a_gain_that_is_not_the_plans_fails_the_same_check_on_fewer_streets(factor: float) -> None:
    broken = []
    for seed in range(24):
        made = simulate(seed, AS_MODELLED)
        decided = decide(made.street)
        other = replace(made, lives=replace(made.lives, log_gain=made.lives.log_gain + np.log(factor)))
        broken.append(Outcome(Task(AS_MODELLED.name, seed), outcomes(decided, other), worths(decided, other)))
    told = reliability(broken).whole
    assert not told.inside
    assert np.sign(told.outside_by) == np.sign(np.log(factor))


def test_the_worth_table_is_finite_adds_up_and_is_printed(
    told: NatureFigures, capsys: pytest.CaptureFixture[str]
) -> None:
    assert tuple(told.rules) == RULES
    for each in told.rules.values():
        bands = np.array(astuple(each))
        assert np.isfinite(bands).all()
        assert np.all((bands[:, 1] <= bands[:, 0]) & (bands[:, 0] <= bands[:, 2]))
        parts = each.cement_usd_m2[0] + each.dug_out_usd_m2[0] + each.failed_usd_m2[0]
        assert each.cost_usd_m2[0] == pytest.approx(parts)
        assert each.failed_usd_m2[0] == pytest.approx(100 * each.failed[0])  # $/m2 of a failed place, the default
        assert each.cement_usd_m2[0] == pytest.approx(each.cement_kg_m2[0] * 1.02 * 0.24)  # allowance, $/kg
    own, eye, one = (told.rules[rule] for rule in RULES)
    assert told.saved_usd_m2[RULES[1]][0] == pytest.approx(eye.cost_usd_m2[0] - own.cost_usd_m2[0])
    assert own.failed[0] < eye.failed[0]
    assert own.cement_kg_m2[0] < one.cement_kg_m2[0]
    text = io.StringIO()
    print_figures([told], Console(file=text, width=150))
    assert all(rule in text.getvalue() for rule in RULES)
    assert "only axle tests on real" in text.getvalue()
    with capsys.disabled():
        sys.stdout.write(text.getvalue())


def test_the_one_rate_has_the_mean_odds_of_the_plans_map(found: list[Outcome]) -> None:
    # as modelled both rules then fail alike, up to whole kilograms, the highest rate and the zones' own chance
    own, one = (
        sum(street.worth[rule].failed_m for street in found) / sum(street.worth[rule].length_m for street in found)
        for rule in (RULES[0], RULES[2])
    )
    assert one == pytest.approx(own, abs=0.03)


def test_a_study_asked_twice_is_the_same(found: list[Outcome], tmp_path: Path) -> None:
    again = run_study(tasks_of((AS_MODELLED.name,), 6), tmp_path / "study.jsonl", workers=1)
    assert again == found[:6]
