"""One impossible value among possible ones is refused; the last possible one is not."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest

from hardpan.errors import LawError
from hardpan.laws import (
    acceptance,
    compaction,
    depth,
    earthwork,
    evaporation,
    maturity,
    mixture,
    phases,
    rise,
    section,
    spread,
    strength,
    strips,
    work,
)
from hardpan.laws.profile import Profile

NAN = float("nan")
CALLS: list[tuple[Callable[[], object], str]] = [
    (lambda: acceptance.percent_within_limits([1.0, NAN], 5), "quality_index"),
    (lambda: acceptance.percent_within_limits(1.0, [5, 2]), "n"),
    (lambda: depth.loose_from_original(0.3, loose_factor=[1.2, 0.9]), "loose_factor"),
    (lambda: evaporation.uno(20.0, 20.0, [0.5, 1.5], 2.0), "relative_humidity"),
    (lambda: evaporation.uno(20.0, 20.0, 1.001, 2.0), "relative_humidity"),
    (lambda: evaporation.uno([20.0, -18.5], 20.0, 0.5, 2.0), "concrete_celsius"),
    (lambda: maturity.equivalent_age_of_history([1.0, NAN], [10.0, 20.0]), "days"),
    (lambda: maturity.nurse_saul_of_history(1.0, [10.0, NAN], datum_celsius=0.0), "celsius"),
    (lambda: mixture.porosity([1500.0, 3000.0], 0.06, 2.7), "dry_density"),
    (lambda: mixture.porosity_cement_index([0.4, 0.9], 0.2), "cement_volume_share"),
    (lambda: mixture.water_cement_ratio(0.3, [0.06, NAN]), "cement_content"),
    (lambda: phases.void_ratio([1500.0, 3000.0], 2.7), "dry_density"),
    (lambda: phases.water_content_at(1500.0, 2.7, [0.5, 1.5]), "saturation"),
    (lambda: section.slope_board_drop(1.0, [0.02, NAN]), "crossfall"),
    (lambda: strength.unconfined_by_percent([0.06, 6.0], strength_per_percent=300e3), "cement_content"),
    (lambda: strength.unconfined_by_water_cement(1e6, 5.0, [4.0, NAN]), "ratio"),
    (lambda: strips.doubled_fraction([0.1, 3.0], 2.25), "overlap"),
    (lambda: work.mixing_rate(2.0, 0.2, efficiency=[0.8, 1.5]), "efficiency"),
    (lambda: work.mixing_rate(2.0, 0.2, efficiency=1.01), "efficiency"),
    (lambda: earthwork.average_end_area([60.0], [50.0]), "areas, distances"),
    (lambda: earthwork.average_end_area([], [50.0]), "areas, distances"),
    (lambda: Profile([0.0, NAN, 200.0], [1.0, 2.0, 3.0]), "stations, levels"),
    (lambda: Profile([0.0, 100.0, 200.0], [1.0, NAN, 3.0]), "stations, levels"),
    (lambda: Profile([0.0, 100.0, 100.0], [1.0, 2.0, 3.0]), "stations"),
    (lambda: Profile([0.0, 10.0, 20.0], [1.0, 2.0, 1.0], [[0.0, 0.0], [0.5, 0.0], [0.0, 0.0]]), "curve_lengths"),
    (lambda: Profile([0.0, 10.0, 20.0], [1.0, 2.0, 1.0], [[0.0, 0.0], [0.0, 0.5], [0.0, 0.0]]), "curve_lengths"),
    (lambda: Profile([0.0, 10.0, 20.0], [1.0, 2.0, 1.0], [[0.5, 0.5], [0.0, 0.0], [0.0, 0.0]]), "curve_lengths"),
    (lambda: Profile([0.0, 10.0, 20.0], [1.0, 2.0, 1.0], [[0.0, 0.0], [0.0, 0.0], [0.5, 0.5]]), "curve_lengths"),
    # a line with the bend of rounding, 1e-7 kg/m3, has no top
    (
        lambda: compaction.fit_proctor(
            [0.10, 0.12, 0.14, 0.16], [1700 + 10 * x - 1e-7 * x**2 for x in (-1, -1 / 3, 1 / 3, 1)]
        ),
        "dry_densities",
    ),
]


@pytest.mark.parametrize(("call", "name"), CALLS, ids=[f"{number} {name}" for number, (_, name) in enumerate(CALLS)])
def test_one_impossible_value_raises_and_is_named(call: Callable[[], object], name: str) -> None:
    with pytest.raises(LawError) as caught:
        call()
    assert str(caught.value).startswith(f"{name}: given ")


def test_phases_that_do_not_fit_are_told_by_the_worst() -> None:
    # 1 - 1500 / 2700 - 0.5 x 1.5
    with pytest.raises(LawError, match=r"^air: given -0\.3055"):
        phases.air_voids(1500.0, [0.1, 0.5], 2.7)


@pytest.mark.parametrize(
    ("found", "expected"),
    [
        (lambda: phases.void_ratio(2700.0, 2.7), 0.0),  # as dense as its solids
        (lambda: strips.doubled_fraction(2.25, 2.25), 1.0),
        (lambda: work.trucks_to_keep_busy(40.0, 40.0), 1.0),
        (
            lambda: rise.treated_water_content(
                0.5, dry_density=1000.0, water_content=0.25, cement=30.0, water_retained=-125.0
            ),
            0.0,
        ),
        (lambda: section.crossfall_at(0.25, [0.0, 0.5], [0.02, 0.04]), 0.03),
        (lambda: section.height_below_crown(0.5, left_crossfall=0.02, right_crossfall=0.04), 0.02),
        (lambda: spread.run_outs([10.0], [0.5], [2.0]).distance[0], 4.0),
        (lambda: strips.machine_cuts(3.0, 2.4, 0.1).count, 2),
        (lambda: acceptance.quality_indices([0.0, 0.0, 0.0], lower=0.0).lower, np.inf),
    ],
)
def test_the_last_possible_value_is_taken(found: Callable[[], float], expected: float) -> None:
    assert float(found()) == pytest.approx(expected, abs=1e-12)


def test_cold_just_above_the_zero_of_the_equation_is_taken() -> None:
    # 0.5 degrees above it against 30: the air would wet the surface
    assert float(evaporation.uno(-17.5, 12.0, 0.9, 2.0)) == 0.0
