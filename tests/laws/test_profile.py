"""Levels and gradients against printed tables, and against splines and integrals on random lines."""

from __future__ import annotations

import itertools

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import cumulative_simpson
from scipy.interpolate import CubicHermiteSpline

from hardpan.errors import LawError
from hardpan.laws.profile import Profile, TurningPoint, gradient_at, level_at, turning_points

FOOT = 0.3048


def curve(
    point: float, level: float, *, grades: tuple[float, float], lengths: tuple[float, float], tangent: float = 0.0
) -> Profile:
    """One curve, in feet and stations in feet, grades in percent; straight for ``tangent`` beyond its ends."""
    before, after = lengths
    stations = np.array([point - before - tangent, point, point + after + tangent])
    levels = level + np.array([-(before + tangent) * grades[0], 0.0, (after + tangent) * grades[1]]) / 100
    return Profile(stations * FOOT, levels * FOOT, [(0.0, 0.0), (before * FOOT, after * FOOT), (0.0, 0.0)])


def feet(profile: Profile, stations: list[float]) -> np.ndarray[tuple[int], np.dtype[np.float64]]:
    return np.ravel(level_at(profile, np.array(stations) * FOOT)) / FOOT


# Montana DOT, Road Design Manual (2021), appendix K, example 4-1: VPC 9+00, VPT 21+00 are printed; levels are computed.
SAG_1 = curve(1500.0, 577.43, grades=(-1.75, 2.25), lengths=(600.0, 600.0))
# J. Mahun, Open Access Surveying, vertical curve solutions 1, problems 2 and 3: printed.
CREST_2 = curve(5650.0, 1325.00, grades=(5.0, -3.5), lengths=(250.0, 250.0))
SAG_3 = curve(8800.0 + 212.5, 1220.0 - 0.04 * 212.5, grades=(-4.0, 2.75), lengths=(212.5, 212.5))
# homeworksource.com/p/1014003, unequal tangents: printed.
SAG_5 = curve(4000.0, 5888.27, grades=(-3.3, 2.6), lengths=(260.0, 540.0))


def test_sag_with_equal_legs() -> None:
    computed = "587.930 586.347 585.097 584.180 583.597 583.347 583.430 583.847 584.597 585.680 587.097 588.847 590.930"
    stations = [100.0 * station for station in range(9, 22)]
    assert feet(SAG_1, stations) == pytest.approx([float(level) for level in computed.split()], abs=6e-4)
    (low,) = turning_points(SAG_1)
    assert (low.station / FOOT, low.level / FOOT) == pytest.approx((1425.0, 583.336), abs=5e-4)
    assert low.kind == "low"


def test_crest_with_equal_legs() -> None:
    stations = [5400.0, 5500.0, 5600.0, 5700.0, 5800.0, 5900.0]
    assert feet(CREST_2, stations) == pytest.approx(
        [1312.500, 1316.650, 1319.100, 1319.850, 1318.900, 1316.250], abs=5e-4
    )
    grades = 100 * gradient_at(CREST_2, np.array(stations) * FOOT)
    assert grades == pytest.approx([5.0, 3.3, 1.6, -0.1, -1.8, -3.5], abs=0.05)
    (high,) = turning_points(CREST_2)
    assert (high.station / FOOT, high.level / FOOT) == pytest.approx((5694.118, 1319.853), abs=5e-4)
    assert high.kind == "high"


def test_sag_that_starts_at_a_full_station() -> None:
    assert feet(SAG_3, [8900.0, 9000.0, 9200.0, 9225.0]) == pytest.approx(
        [1216.794, 1215.176, 1216.706, 1217.344], abs=5e-4
    )
    grades = 100 * gradient_at(SAG_3, np.array([8900.0, 9000.0, 9100.0, 9200.0]) * FOOT)
    assert grades == pytest.approx([-2.41, -0.82, 0.76, 2.35], abs=0.006)  # 0.765 is printed 0.76
    (low,) = turning_points(SAG_3)
    assert (low.station / FOOT, low.level / FOOT) == pytest.approx((9051.852, 1214.963), abs=5e-4)


def test_the_misprint_at_91_is_not_reproduced() -> None:
    # The page prints 1216.147; second differences of its own table ask for 1215.147.
    level = float(feet(SAG_3, [9100.0])[0])
    assert level != pytest.approx(1216.147, abs=0.5)
    assert level == pytest.approx(1215.147, abs=5e-4)
    assert np.diff(feet(SAG_3, [8900.0, 9000.0, 9100.0, 9200.0]), 2) == pytest.approx([1.588, 1.588], abs=5e-4)


def test_sag_with_unequal_legs() -> None:
    printed = {
        3740: 5896.85, 3850: 5894.15, 3900: 5893.53, 3950: 5893.30, 4000: 5893.45, 4050: 5893.83, 4100: 5894.31,
        4150: 5894.87, 4200: 5895.52, 4250: 5896.26, 4300: 5897.09, 4350: 5898.01, 4400: 5899.02, 4450: 5900.11,
        4500: 5901.30, 4540: 5902.31,
    }  # fmt: skip
    assert feet(SAG_5, [float(station) for station in printed]) == pytest.approx(list(printed.values()), abs=0.0051)
    assert float(feet(SAG_5, [4000.0])[0]) - 5888.27 == pytest.approx(5.177, abs=5e-4)
    assert float(gradient_at(SAG_5, 4000.0 * FOOT)) == pytest.approx(0.006825, abs=5e-8)
    (low,) = turning_points(SAG_5)
    assert (low.station / FOOT, low.level / FOOT) == pytest.approx((3955.44, 5893.295), abs=0.005)


@st.composite
def lines(draw: st.DrawFn) -> Profile:
    """Three to seven points, each with a curve of unequal legs that just does not reach its neighbour's."""
    count = draw(st.integers(3, 7))
    gaps = draw(st.lists(st.floats(20, 200), min_size=count - 1, max_size=count - 1))
    levels = draw(st.lists(st.floats(90, 110), min_size=count, max_size=count))
    shares = draw(st.lists(st.tuples(st.floats(0.05, 0.49), st.floats(0.05, 0.49)), min_size=count, max_size=count))
    legs = [(0.0, 0.0)]
    for i in range(1, count - 1):
        legs.append((shares[i][0] * gaps[i - 1], shares[i][1] * gaps[i]))
    legs.append((0.0, 0.0))
    return Profile(np.cumsum([0.0, *gaps]), levels, legs)


def spline_of(profile: Profile) -> CubicHermiteSpline:
    """The same line another way: a cubic through the ends and the middle of every curve, with their slopes."""
    slope = np.diff(profile.levels) / np.diff(profile.stations)
    knots, values, slopes = [profile.stations[0]], [profile.levels[0]], [slope[0]]
    for i in range(1, profile.stations.size - 1):
        station, level = profile.stations[i], profile.levels[i]
        before, after = profile.curve_lengths[i]
        start, end = level - before * slope[i - 1], level + after * slope[i]
        join = (end - start) / (before + after)  # the line under the two parabolas' meeting is parallel to the chord
        middle = start + (slope[i - 1] + join) / 2 * before
        knots += [station - before, station, station + after]
        values += [start, middle, end]
        slopes += [slope[i - 1], join, slope[i]]
    return CubicHermiteSpline([*knots, profile.stations[-1]], [*values, profile.levels[-1]], [*slopes, slope[-1]])


@given(lines())
def test_levels_and_gradients_agree_with_a_spline(profile: Profile) -> None:
    spline = spline_of(profile)
    stations = np.linspace(profile.stations[0], profile.stations[-1], 301)
    np.testing.assert_allclose(level_at(profile, stations), spline(stations), atol=1e-8)
    np.testing.assert_allclose(gradient_at(profile, stations), spline(stations, 1), atol=1e-8)


@given(lines())
def test_levels_are_the_integral_of_the_gradient(profile: Profile) -> None:
    legs = profile.curve_lengths
    knots = np.unique(np.concatenate([profile.stations, profile.stations - legs[:, 0], profile.stations + legs[:, 1]]))
    for start, end in itertools.pairwise(knots):
        inside = np.linspace(start, end, 5)
        climbed = cumulative_simpson(gradient_at(profile, inside), x=inside, initial=0.0)
        np.testing.assert_allclose(level_at(profile, inside) - level_at(profile, start), climbed, atol=1e-8)


@given(lines())
def test_turning_points_are_where_a_fine_walk_turns(profile: Profile) -> None:
    stations = np.linspace(profile.stations[0], profile.stations[-1], 4001)
    rises = np.sign(np.diff(level_at(profile, stations)))
    turns = stations[1:-1][rises[:-1] * rises[1:] < 0]
    found = [point.station for point in turning_points(profile)]
    step = stations[1] - stations[0]
    for turn in turns:
        assert min(abs(turn - station) for station in found) <= 2 * step


def test_grades_that_meet_in_an_edge_turn_at_the_edge() -> None:
    roof = Profile([0.0, 100.0, 250.0, 300.0], [10.0, 12.0, 9.0, 9.5])
    assert turning_points(roof) == (TurningPoint(100.0, 12.0, "high"), TurningPoint(250.0, 9.0, "low"))
    assert float(gradient_at(roof, 100.0)) == pytest.approx(-0.02)
    assert float(gradient_at(roof, 300.0)) == pytest.approx(0.01)


def test_a_level_stretch_between_falls_turns_at_its_middle_and_a_terrace_not_at_all() -> None:
    trough = Profile([0.0, 100.0, 200.0, 300.0], [10.0, 9.0, 9.0, 13.0], [0.0, 40.0, 40.0, 0.0])
    assert turning_points(trough) == (TurningPoint(150.0, 9.0, "low"),)
    terrace = Profile([0.0, 100.0, 200.0, 300.0], [10.0, 9.0, 9.0, 8.0], [0.0, 40.0, 40.0, 0.0])
    assert turning_points(terrace) == ()


def test_a_straight_line_keeps_its_grade() -> None:
    # 102.400 rising 0.6 % over 400 m: 103.000 at 0+100.
    line = Profile([0.0, 400.0], [102.4, 104.8])
    assert float(level_at(line, 100.0)) == pytest.approx(103.0)
    assert turning_points(line) == ()


def test_curves_may_touch() -> None:
    touching = Profile([0.0, 0.1, 0.3, 0.4], [1.0, 1.1, 1.0, 1.1], [0.0, 0.2, 0.2, 0.0])
    assert level_at(touching, [[0.0, 0.1], [0.3, 0.4]]).shape == (2, 2)


@pytest.mark.parametrize(
    ("stations", "levels", "lengths", "message"),
    [
        ([0.0, 100.0, 90.0], [1.0, 2.0, 3.0], None, r"^stations: given .*; allowed: stations that rise"),
        ([0.0], [1.0], None, r"^stations, levels: given shapes \(1,\) and \(1,\); allowed: two or more"),
        ([0.0, 1.0], [1.0, np.nan], None, r"^stations, levels: given a value that is not a number"),
        ([0.0, 100.0, 200.0], [1.0, 2.0, 1.0], [0.0, 201.0, 0.0], r"allowed: curves that do not overlap on tangents"),
        ([0.0, 9.0, 18.0, 27.0], [1.0, 2.0, 1.0, 2.0], [0.0, 10.0, 9.0, 0.0], r"allowed: curves that do not overlap"),
        ([0.0, 100.0], [1.0, 2.0], [10.0, 0.0], r"allowed: no curve at the first and the last point"),
        ([0.0, 9.0, 18.0], [1.0, 2.0, 1.0], [[0, 0], [3, 0], [0, 0]], r"allowed: a length both before and after"),
        ([0.0, 9.0], [1.0, 2.0], [0.0, 0.0, 0.0], r"^curve_lengths: given shape \(3,\); allowed: \(2,\) or \(2, 2\)"),
        ([0.0, 9.0], [1.0, 2.0], [0.0, -1.0], r"^curve_lengths: given .*; allowed: 0 or more"),
    ],
)
def test_a_line_that_cannot_be_is_refused(stations: object, levels: object, lengths: object, message: str) -> None:
    with pytest.raises(LawError, match=message):
        Profile(stations, levels, lengths)  # type: ignore[arg-type]  # parametrised on purpose with every shape


@pytest.mark.parametrize("station", [-0.1, 400.1, float("nan")])
def test_a_station_outside_the_line_is_refused(station: float) -> None:
    with pytest.raises(LawError, match=r"^stations: given .*; allowed: from 0 to 400, the ends of the line"):
        level_at(Profile([0.0, 400.0], [102.4, 104.8]), [100.0, station])


def test_a_line_in_another_scale_turns_at_the_same_places() -> None:
    def line(scale: float) -> Profile:
        legs = np.array([[0, 0], [60, 20], [0, 0]]) * scale
        return Profile(np.array([0, 100, 200]) * scale, np.array([10, 9, 10.5]) * scale, legs)

    (metres,), (millimetres,) = turning_points(line(1.0)), turning_points(line(0.001))
    assert millimetres.station == pytest.approx(metres.station / 1000, rel=1e-12)
    assert millimetres.level == pytest.approx(metres.level / 1000, rel=1e-12)
    places = np.linspace(0, 200, 41)
    assert level_at(line(0.001), places / 1000) == pytest.approx(level_at(line(1.0), places) / 1000, rel=1e-12)
    assert gradient_at(line(0.001), places / 1000) == pytest.approx(gradient_at(line(1.0), places), abs=1e-12)
