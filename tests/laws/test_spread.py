"""Rates and coverage against exact sums; run-outs against a walk in small steps."""

from __future__ import annotations

import itertools

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from hardpan.errors import LawError
from hardpan.laws import spread
from hardpan.laws.ranges import outside

Zone = tuple[float, float, float, tuple[int, ...]]
Place = tuple[float, int]
ALL = (1, 2, 3, 4)


def street(zones: list[Zone], base: float, factors: list[float]) -> tuple[list[float], list[float], list[Place]]:
    """Walk of a street of four 2.25 m strips: blocks of 80 m, strips 1 to 4 in turn, each walked up-station."""
    lengths, per_metre, starts = [], [], []
    for block, factor in enumerate(factors):
        first, last = 80.0 * block, 80.0 * (block + 1)
        edges = {edge for zone in zones for edge in zone[:2] if first < edge < last}
        marks = sorted({first, last} | edges)
        for strip in ALL:
            for a, b in itertools.pairwise(marks):
                held = [rate for start, end, rate, strips in zones if start <= a and b <= end and strip in strips]
                lengths.append(b - a)
                per_metre.append((held[0] if held else base) * 2.25 * factor)
                starts.append((a, strip))
    return lengths, per_metre, starts


def places(found: spread.RunOuts, starts: list[Place]) -> list[Place]:
    on = found.segment >= 0
    pairs = zip(found.segment[on], found.distance[on], strict=True)
    return [(starts[segment][0] + float(distance), starts[segment][1]) for segment, distance in pairs]


def test_240_m_street_runs_out_three_times_and_leaves_92_m2_bare() -> None:
    # By hand: block 1 asks 60 x 27.54 + 20 x 64.26 = 2,937.6 kg a strip, and so on strip by strip.
    lengths, per_metre, starts = street([(60.0, 160.0, 28.0, ALL)], 12.0, [1.02] * 3)
    found = spread.run_outs(lengths, per_metre, [15_000.0, 15_000.0, 10_000.0])
    stations, strips = zip(*places(found, starts), strict=True)
    assert strips == (1, 4, 4)
    assert stations == pytest.approx((130.570, 123.996, 199.099), abs=5e-4)
    assert found.unused == 0.0
    assert found.missing == pytest.approx(40_320 * 1.02 - 40_000)
    assert found.missing / (12 * 1.02) == pytest.approx(92.0, abs=0.05)


@pytest.mark.parametrize(
    ("factors", "stations", "left"),
    [
        ([1.0, 1.0, 1.0], (37.8, 107.0, 151.1, 188.9), 1700.0),
        ([17_430 / 17_280, 22_280 / 22_140, 17_420 / 17_280], (35.4, 104.2, 145.8, 181.4), 1270.0),
    ],
    ids=["as planned", "as placed"],
)
def test_first_day_of_a_400_m_street(factors: list[float], stations: tuple[float, ...], left: float) -> None:
    # The fills sum to 58,400 kg; placed as measured 57,130 kg, so 1,270 kg stay in the hopper.
    zones: list[Zone] = [(100.0, 145.0, 36.0, ALL), (300.0, 330.0, 36.0, (3, 4))]
    lengths, per_metre, starts = street(zones, 24.0, factors)
    found = spread.run_outs(lengths, per_metre, [15_000.0, 15_000.0, 8_940.0, 15_000.0, 4_460.0])
    at, strips = zip(*places(found, starts), strict=True)
    assert at == pytest.approx(stations, abs=0.05)
    assert strips == (4, 3, 4, 4)
    assert found.segment[-1] == -1
    assert np.isnan(found.distance[-1])
    assert found.unused == pytest.approx(left)
    assert found.missing == 0.0


def walked_kilogram_by_kilogram(lengths: list[int], per_metre: list[int], fills: list[int]) -> list[Place | None]:
    """The same walk, one kilogram at a time: where each fill gives its last one, if demand is left beyond it."""
    kilograms = [
        (segment, (number + 1) / demand)
        for segment, (length, demand) in enumerate(zip(lengths, per_metre, strict=True))
        for number in range(length * demand)
    ]
    found: list[Place | None] = []
    used = 0
    for fill in fills:
        used += fill
        if used >= len(kilograms):
            found.append(None)
        else:
            segment, distance = kilograms[used - 1]
            found.append((distance, segment))
    return found


WALKS = st.lists(st.tuples(st.integers(0, 6), st.integers(0, 5)), min_size=1, max_size=8)


@given(walk=WALKS, fills=st.lists(st.integers(1, 25), max_size=6))
def test_run_outs_agree_with_a_walk_kilogram_by_kilogram(walk: list[tuple[int, int]], fills: list[int]) -> None:
    lengths, per_metre = [length for length, _ in walk], [demand for _, demand in walk]
    found = spread.run_outs(lengths, per_metre, fills)
    for i, place in enumerate(walked_kilogram_by_kilogram(lengths, per_metre, fills)):
        if place is None:
            assert found.segment[i] == -1
            assert np.isnan(found.distance[i])
        else:
            assert found.segment[i] == place[1]
            assert found.distance[i] == pytest.approx(place[0], abs=1e-9)


REAL_WALKS = st.lists(st.tuples(st.floats(0, 400), st.floats(0, 120)), min_size=1, max_size=30)


@given(walk=REAL_WALKS, fills=st.lists(st.floats(0, 20_000), max_size=12))
def test_no_kilogram_is_lost(walk: list[tuple[float, float]], fills: list[float]) -> None:
    length, demand = np.array(walk).T
    found = spread.run_outs(length, demand, fills)
    total, supply = float(np.sum(length * demand)), float(np.sum(fills))
    covered = supply - found.unused
    assert covered + found.missing == pytest.approx(total, rel=1e-8, abs=1e-6)
    assert found.unused == 0.0 or found.missing == 0.0
    for i, segment in enumerate(found.segment):
        if segment >= 0:
            laid = float(np.sum((length * demand)[:segment]) + found.distance[i] * demand[segment])
            assert laid == pytest.approx(float(np.sum(fills[: i + 1])), rel=1e-8, abs=1e-6)
            assert 0 <= found.distance[i] <= length[segment]


def test_a_demand_met_at_the_very_end_is_the_end_and_no_run_out() -> None:
    # Three times 0.1 is a hair above 0.3 in binary: rounding must leave no bare ground.
    for fills in ([0.1, 0.2], [0.1, 0.3 - 0.1]):
        found = spread.run_outs([0.1, 0.1, 0.1], [1.0, 1.0, 1.0], fills)
        assert found.segment.tolist() == [0, -1]
        assert found.missing == 0.0
        assert found.unused == pytest.approx(0.0, abs=1e-12)
    alone = spread.run_outs([0.1, 0.1, 0.1], [1.0, 1.0, 1.0], [0.3])
    assert (alone.segment.tolist(), alone.missing) == ([-1], 0.0)


def test_a_fill_that_ends_before_bare_ground_runs_out_where_the_demand_stops() -> None:
    found = spread.run_outs([10.0, 50.0, 10.0], [2.0, 0.0, 2.0], [20.0, 20.0])
    assert (found.segment[0], found.distance[0]) == (0, 10.0)


def test_an_empty_first_fill_runs_out_at_the_start_and_an_empty_walk_leaves_everything() -> None:
    empty_fill = spread.run_outs([5.0, 5.0], [0.0, 1.0], [0.0, 9.0])
    assert (empty_fill.segment[0], empty_fill.distance[0]) == (0, 0.0)
    no_walk = spread.run_outs([], [], [7.0])
    assert (no_walk.segment.tolist(), no_walk.unused, no_walk.missing) == ([-1], 7.0, 0.0)
    no_fill = spread.run_outs([5.0], [2.0], [])
    assert (no_fill.segment.size, no_fill.unused, no_fill.missing) == (0, 0.0, 10.0)


def test_water_trucks_walk_the_same_way() -> None:
    # Four cuts wetted 2.3 m wide at 34 L/m2 from 60 to 160 m and 17 elsewhere; 12,000 L a truck; summed by hand.
    lengths, _, starts = street([(60.0, 160.0, 34.0, ALL)], 17.0, [1.0] * 3)
    per_metre = [2.3 * (34.0 if 60.0 <= start < 160.0 else 17.0) for start, _ in starts]
    found = spread.run_outs(lengths, per_metre, [12_000.0] * 5)
    at, cuts = zip(*places(found, starts), strict=True)
    assert at == pytest.approx((6.9, 106.9, 100.4, 187.6), abs=0.05)
    assert cuts == (4, 2, 4, 3)


@given(content=st.floats(0.0, 0.2), density=st.floats(1200, 2000), depth=st.floats(0.1, 0.5))
def test_percent_and_rate_are_each_other_turned_round(content: float, density: float, depth: float) -> None:
    rate = spread.rate_from_percent(content, density, depth)
    assert float(spread.content_from_rate(rate, density, depth)) == pytest.approx(content)
    assert float(spread.content_of_soil(spread.content_of_mixture(content))) == pytest.approx(content)


@given(density=st.floats(1200, 2000), content=st.floats(0.01, 0.2))
def test_a_cubic_metre_of_mixture_is_its_soil_and_its_cement(density: float, content: float) -> None:
    soil = float(spread.soil_density_from_mixture(density, content))
    assert soil + content * soil == pytest.approx(density)
    assert content * soil / density == pytest.approx(float(spread.content_of_mixture(content)))


def test_mixture_density_taken_for_soil_is_5_7_percent_off_at_6_percent() -> None:
    # ASTM D558 reports soil and cement together.
    wrong = spread.rate_from_percent(0.06, 1696.0, 0.3)
    right = spread.rate_from_percent(0.06, spread.soil_density_from_mixture(1696.0, 0.06), 0.3)
    assert float(1 - right / wrong) == pytest.approx(0.057, abs=5e-4)


def test_a_15_t_hopper_covers_238_556_and_278_m_of_strip() -> None:
    # 28, 12 and 24 kg/m2 over 2.25 m; exact arithmetic.
    lengths = spread.coverage_length(15_000.0, [28.0, 12.0, 24.0], 2.25)
    assert lengths == pytest.approx([238.1, 555.6, 277.8], abs=0.05)
    np.testing.assert_allclose(spread.load_rate(15_000.0, lengths * 2.25), [28.0, 12.0, 24.0], rtol=1e-12)


def test_speed_and_discharge_are_each_other_turned_round_and_broadcast() -> None:
    speeds = spread.spreading_speed([36.0, 18.0], [[24.0], [36.0]], 2.25)
    assert speeds.shape == (2, 2)
    np.testing.assert_allclose(spread.discharge_needed(speeds, [[24.0], [36.0]], 2.25), [[36.0, 18.0]] * 2, rtol=1e-12)


def test_powder_lies_as_deep_as_a_sack_says() -> None:
    # A sack of 94 lb fills one cubic foot (from memory): spread over 12 ft2 it lies one inch deep.
    sack, foot = 94 * 0.45359237, 0.3048
    assert float(spread.powder_depth(sack / (12 * foot**2), sack / foot**3)) == pytest.approx(foot / 12)


def test_ranges_are_declared_beside_the_laws() -> None:
    assert [left.argument for left in outside(spread.discharge_needed, speed=2.0)] == ["speed"]
    assert outside(spread.discharge_needed, speed=40 / 60) == ()
    assert [left.unit for left in outside(spread.powder_depth, bulk_density=500.0)] == ["kg/m3"]


def test_impossible_input_says_what_was_given_and_what_is_allowed() -> None:
    with pytest.raises(LawError, match=r"^cement_content: given 6.0; allowed: a fraction from 0 to below 1"):
        spread.rate_from_percent(6.0, 1600.0, 0.3)
    with pytest.raises(LawError, match=r"^gross less tare: given -1.0; allowed: 0 or more"):
        spread.tray_rate(1.0, 2.0, 1.0)
    with pytest.raises(
        LawError, match=r"^per_metre: given 1 demands for 2 lengths; allowed: one demand for each length"
    ):
        spread.run_outs([1.0, 2.0], [1.0], [1.0])
    with pytest.raises(LawError, match=r"^lengths, fills: given 1 and 0 dimensions; allowed: one list each"):
        spread.run_outs([1.0], [1.0], 5.0)
    with pytest.raises(LawError, match=r"^fills: given \[-1.0\]; allowed: 0 or more"):
        spread.run_outs([1.0], [1.0], [-1.0])
