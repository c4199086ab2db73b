"""Zones: the cheapest map against an integer programme solved by HiGHS, against trying every map, and against plain loops."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from hardpan.errors import LawError
from hardpan.plan.zone_map import ZoneMap, cheapest_map, cheapest_strip
from tests.plan.zone_oracles import (
    Actions,
    Case,
    Programme,
    cheapest_of_all,
    cost_of,
    holds,
    random_case,
    runs_of,
    smooth_case,
)

CERTIFIED = 1e-3
NO_ROOM = "leave no room for"


def strip_of(case: Case) -> tuple[Actions, float]:
    """Cheapest first strip of a case."""
    return cheapest_strip(
        case.cost[0], case.allowed[0], lengths=case.lengths, change=case.prices, least_length=case.least
    )


def map_of(case: Case, gap: float = CERTIFIED) -> ZoneMap:
    return cheapest_map(
        case.cost,
        case.allowed,
        lengths=case.lengths,
        change_along=case.prices,
        change_across=case.across,
        least_length=case.least,
        gap=gap,
    )


def map_if_any(case: Case) -> ZoneMap | None:
    """Cheapest map; none where the least length leaves no room for any."""
    try:
        return map_of(case)
    except LawError as told:
        if NO_ROOM in str(told):
            return None
        raise


def plain(cost: Sequence[Sequence[float]], least: float, *, change: float = 1.0, lengths: float = 10.0) -> Case:
    """One strip of equal bays; a cost of infinity is not allowed."""
    costs = np.array([cost])
    actions = costs.shape[-1]
    return Case(
        costs,
        np.isfinite(costs),
        np.full(costs.shape[1], lengths),
        change * (1 - np.eye(actions)),
        0.0,
        np.full(actions, least),
    )


@st.composite
def cases(draw: st.DrawFn, strips: int, stations: int) -> Case:
    rng = np.random.default_rng(draw(st.integers(0, 2**32 - 1)))
    return random_case(rng, strips=draw(st.integers(1, strips)), stations=stations)


@st.composite
def tiny_cases(draw: st.DrawFn) -> Case:
    """Two strips of two bays or one of up to five, of up to three actions; whole costs, so that many maps cost the same."""
    case = draw(cases(2, 5))
    actions, bays = slice(min(3, case.cost.shape[-1])), slice(2 if len(case.cost) == 2 else 5)
    allowed = case.allowed[:, bays, actions]
    allowed = allowed | ~allowed.any(axis=-1, keepdims=True)
    return Case(
        np.round(case.cost[:, bays, actions] / 10),
        allowed,
        case.lengths[bays],
        case.change[actions, actions],
        case.across,
        case.least[actions],
    )


# along a strip


@pytest.mark.parametrize("seed", range(50))
def test_a_strip_costs_what_highs_finds(seed: int) -> None:
    case = random_case(np.random.default_rng(seed), strips=1, stations=25)
    least = Programme(case).solve()
    if least is None:
        with pytest.raises(LawError, match=NO_ROOM):
            strip_of(case)
        return
    action, cost = strip_of(case)
    assert cost == pytest.approx(least, rel=1e-9, abs=1e-7)
    assert cost == pytest.approx(cost_of(case, action[None]), rel=1e-12, abs=1e-9)
    assert holds(case, action[None])


def test_the_random_strips_are_of_every_kind() -> None:
    found = [random_case(np.random.default_rng(seed), strips=1, stations=25) for seed in range(50)]
    forbidden = [case for case in found if not case.allowed.all()]
    no_room = [case for case in forbidden if Programme(case).solve() is None]
    matrices = [case for case in found if not isinstance(case.prices, float)]
    own_lengths = [case for case in found if np.ptp(case.least) > 0]
    assert min(len(forbidden), len(matrices), len(own_lengths)) >= 10
    assert 3 <= len(no_room) <= 25


@pytest.mark.parametrize("seed", range(3))
def test_a_smooth_strip_costs_what_highs_finds(seed: int) -> None:
    case = smooth_case(60, 1, seed=seed)
    assert strip_of(case)[1] == pytest.approx(Programme(case).solve(), rel=1e-9)


@settings(deadline=None)
@given(tiny_cases())
def test_no_map_of_all_is_cheaper(case: Case) -> None:
    least, found = cheapest_of_all(case), map_if_any(case)
    if least is None or found is None:
        assert (least, found) == (None, None)
        return
    assert found.bound <= least + 1e-9
    assert least <= found.cost + 1e-9
    if len(case.cost) == 1:
        assert strip_of(case)[1] == pytest.approx(least, abs=1e-9)
    else:
        assert found.cost <= least + found.gap * abs(found.cost) + 1e-9


@settings(deadline=None)
@given(cases(1, 30))
def test_a_matrix_of_equal_prices_is_one_price(case: Case) -> None:
    actions = case.cost.shape[-1]
    equal = replace(case, change=7.0 * (1 - np.eye(actions)), least=np.zeros(actions))
    by_matrix = cheapest_strip(
        equal.cost[0], equal.allowed[0], lengths=equal.lengths, change=equal.change, least_length=0.0
    )
    by_price = cheapest_strip(equal.cost[0], equal.allowed[0], lengths=equal.lengths, change=7.0, least_length=0.0)
    assert by_matrix[0].tolist() == by_price[0].tolist()
    assert by_matrix[1] == by_price[1]


def test_without_prices_every_bay_takes_its_cheapest_action() -> None:
    case = smooth_case(50, 1, seed=0)
    action, _ = cheapest_strip(case.cost[0], case.allowed[0], lengths=case.lengths, change=0.0, least_length=0.0)
    assert action.tolist() == np.where(case.allowed[0], case.cost[0], np.inf).argmin(axis=-1).tolist()


def test_of_equal_costs_the_lower_action_is_taken() -> None:
    action, cost = cheapest_strip(
        np.ones((7, 4)), np.ones((7, 4), dtype=bool), lengths=np.full(7, 10.0), change=0.0, least_length=20.0
    )
    assert action.tolist() == [0] * 7
    assert cost == 7.0


@pytest.mark.parametrize("seed", range(20))
def test_what_is_not_allowed_is_not_taken_where_nothing_costs_anything(seed: int) -> None:
    case = random_case(np.random.default_rng(seed), strips=1, stations=25)
    free = replace(
        case, cost=np.zeros_like(case.cost), change=np.zeros_like(case.change), least=np.zeros_like(case.least)
    )
    action, cost = strip_of(free)
    assert holds(free, action[None])
    assert cost == 0


def test_a_strip_shorter_than_the_least_length_is_one_run() -> None:
    action, cost = strip_of(plain([[0, 3], [3, 0], [3, 1]], 50.0))
    assert action.tolist() == [1, 1, 1]
    assert cost == 4.0


def test_a_run_at_either_end_holds_the_least_length() -> None:
    # the first and the last bay want another action, but ten metres are too short for it
    action, _ = strip_of(plain([[9, 0], [0, 9], [0, 9], [0, 9], [9, 0]], 20.0, change=0.1))
    assert all(last - first >= 2 for first, last in runs_of(action))


def test_lengths_that_add_up_to_the_least_length_are_enough() -> None:
    # ten times 0.1 is not 1 in binary fractions
    action, _ = strip_of(plain([[0, 1]] * 10 + [[1, 0]] * 10, 1.0, change=0.1, lengths=0.1))
    assert action.tolist() == [0] * 10 + [1] * 10


def test_a_place_with_no_action_of_its_neighbours_is_a_strip_of_its_own() -> None:
    # only digging out fits the third bay, which is shorter than the least length; so is what is left beside it
    no = np.inf
    case = plain([[2, 3, no], [2, 3, no], [no, no, 5], [3, 2, no], [2, 3, no], [3, 2, no]], 30.0)
    action, cost = strip_of(case)
    assert action.tolist() == [0, 0, 2, 1, 1, 1]
    assert cost == 2 + 2 + 5 + 2 + 3 + 2 + 2 * 1.0


def test_digging_out_may_be_shorter_than_a_spreaders_run() -> None:
    case = plain([[1, 4], [1, 4], [np.inf, 4], [1, 4], [1.5, 4]], 20.0)
    assert strip_of(case)[0].tolist() == [0, 0, 1, 1, 1]
    short = replace(case, least=np.array([20.0, 0.0]))
    assert strip_of(short)[0].tolist() == [0, 0, 1, 0, 0]


def test_runs_that_do_not_fit_are_named_by_their_bays() -> None:
    # bays 2 to 4: every edge has an action in common, but no run of 25 m fits
    no = np.inf
    case = plain(
        [[1, no, no, no], [1, no, no, no], [no, 1, no, no], [no, 1, 1, no], [no, no, 1, no], [no, no, no, 1]], 25.0
    )
    with pytest.raises(LawError, match="bays 2 to 4 of strip 0"):
        strip_of(case)
    assert Programme(case).solve() is None


def test_bays_without_any_action_are_named() -> None:
    allowed = np.ones((2, 6, 3), dtype=bool)
    allowed[0, 4] = allowed[1, [1, 2]] = False
    with pytest.raises(LawError, match=r"bays \[4\] of strip 0; bays \[1, 2\] of strip 1"):
        cheapest_map(np.zeros((2, 6, 3)), allowed, lengths=np.ones(6), change_along=1, change_across=1, least_length=0)


@pytest.mark.parametrize(
    ("name", "wrong"),
    [
        ("cost", {"cost": np.full((4, 3), np.nan)}),
        ("cost", {"cost": np.zeros(4)}),
        ("allowed", {"allowed": np.ones((4, 2), dtype=bool)}),
        ("lengths", {"lengths": np.ones(3)}),
        ("lengths", {"lengths": [1.0, 0.0, 1.0, 1.0]}),
        ("change", {"change": -1.0}),
        ("change", {"change": np.ones((3, 3))}),
        ("change", {"change": [[0, 1, 2], [1, 0, 3], [3, 3, 0]]}),
        ("change", {"change": np.zeros((2, 2))}),
        ("least_length", {"least_length": -1.0}),
        ("least_length", {"least_length": [1.0, 2.0]}),
    ],
)
def test_impossible_input_is_named(name: str, wrong: dict[str, object]) -> None:
    right: dict[str, object] = {
        "cost": np.zeros((4, 3)),
        "allowed": np.ones((4, 3), dtype=bool),
        "lengths": np.ones(4),
        "change": 1.0,
        "least_length": 2.0,
    }
    with pytest.raises(LawError, match=f"^{name}:"):
        cheapest_strip(**(right | wrong))  # type: ignore[arg-type]  # wrong on purpose


@pytest.mark.parametrize("wrong", [-0.1, np.ones(6), np.ones((24, 24))])
def test_a_map_has_one_price_across(wrong: float) -> None:
    with pytest.raises(LawError, match=r"^change_across:"):
        map_of(replace(smooth_case(6, 2, seed=0), across=wrong))


def test_a_gap_is_not_below_zero() -> None:
    with pytest.raises(LawError, match=r"^gap:"):
        map_of(smooth_case(6, 2, seed=0), gap=-1e-3)


def test_a_cost_that_is_not_allowed_is_not_read() -> None:
    cost = [[1.0, np.nan], [1.0, np.inf], [np.nan, 2.0]]
    action, total = cheapest_strip(cost, np.isfinite(cost), lengths=[5.0] * 3, change=1.0, least_length=0.0)
    assert (action.tolist(), total) == ([0, 0, 1], 5.0)


# across strips


@pytest.mark.parametrize("seed", range(30))
def test_a_map_keeps_its_certificate_beside_highs(seed: int) -> None:
    rng = np.random.default_rng(1000 + seed)
    case = random_case(rng, strips=int(rng.integers(2, 5)), stations=12)
    least, found = Programme(case).solve(), map_if_any(case)
    if least is None or found is None:
        assert (least, found) == (None, None)
        return
    assert found.bound <= least + 1e-6
    assert least - 1e-6 <= found.cost <= least + found.gap * abs(found.cost) + 1e-6


def test_nearly_every_random_map_is_certified() -> None:
    tried = [random_case(np.random.default_rng(2000 + seed), strips=3, stations=12) for seed in range(60)]
    gaps = [found.gap for found in map(map_if_any, tried) if found is not None]
    assert len(gaps) >= 40
    assert np.mean(np.array(gaps) <= CERTIFIED) >= 0.95


@pytest.mark.parametrize(("seed", "across"), [(0, 0.75), (1, 0.75), (2, 2.0), (3, 5.0)])
def test_a_street_of_four_strips_costs_what_highs_finds(seed: int, across: float) -> None:
    case = smooth_case(40, 4, seed=seed, across=across)
    least, found = Programme(case).solve(), map_of(case)
    assert least is not None
    assert found.gap <= CERTIFIED
    assert found.bound <= least * (1 + 1e-9)
    assert least * (1 - 1e-9) <= found.cost <= least * (1 + CERTIFIED)
    assert holds(case, found.action)


@pytest.mark.nightly
@pytest.mark.parametrize("seed", range(20))
def test_many_streets_cost_what_highs_finds(seed: int) -> None:
    case = smooth_case(40, 4, seed=100 + seed, across=[0.2, 0.75, 2.0, 5.0, 10.0][seed % 5])
    least, found = Programme(case).solve(), map_of(case)
    assert least is not None
    assert found.bound <= least * (1 + 1e-9)
    assert least * (1 - 1e-9) <= found.cost <= least * (1 + found.gap + 1e-9)
    assert found.gap <= 2 * CERTIFIED


@settings(deadline=None)
@given(cases(4, 10))
def test_the_cost_is_that_of_the_map(case: Case) -> None:
    found = map_if_any(case)
    assume(found is not None)
    assert found is not None
    assert found.cost == pytest.approx(cost_of(case, found.action), rel=1e-12, abs=1e-9)
    assert holds(case, found.action)
    assert found.gap >= 0


@settings(deadline=None)
@given(cases(3, 10))
def test_a_street_costs_the_same_from_its_other_end_and_side(case: Case) -> None:
    found = map_if_any(case)
    for turned in (case.reversed(), case.mirrored()):
        again = map_if_any(turned)
        if again is None or found is None:
            assert (again, found) == (None, None)
            return
        assert again.bound <= found.cost + 1e-9
        assert found.bound <= again.cost + 1e-9
        if len(case.cost) == 1:
            assert again.cost == pytest.approx(found.cost, rel=1e-12, abs=1e-9)


@settings(deadline=None)
@given(cases(3, 10), st.integers(0, 2**16))
def test_what_every_action_costs_more_in_a_bay_is_added(case: Case, seed: int) -> None:
    more = np.random.default_rng(seed).uniform(-50, 50, case.cost.shape[:2])
    dearer = replace(case, cost=case.cost + more[..., None])
    found, again = map_if_any(case), map_if_any(dearer)
    if again is None or found is None:
        assert (again, found) == (None, None)
        return
    assert again.bound <= found.cost + more.sum() + 1e-9
    assert found.bound + more.sum() <= again.cost + 1e-9
    alone = [strip_of(one.strip(0))[1] for one in (case, dearer)]
    assert alone[1] == pytest.approx(alone[0] + more[0].sum(), abs=1e-9)


@settings(deadline=None)
@given(cases(4, 10))
def test_no_strip_gains_beside_its_neighbours(case: Case) -> None:
    found = map_if_any(case)
    assume(found is not None)
    assert found is not None
    for number, actions in enumerate(found.action):
        beside = [found.action[other] for other in (number - 1, number + 1) if 0 <= other < len(found.action)]
        unlike = np.sum([np.arange(case.cost.shape[-1]) != other[:, None] for other in beside], axis=0)
        alone = case.strip(number)
        alone = replace(alone, cost=alone.cost + case.across * case.lengths[:, None] * unlike)
        assert strip_of(alone)[1] == pytest.approx(cost_of(alone, actions[None]), abs=1e-9)


def test_one_strip_is_solved_exactly() -> None:
    case = smooth_case(80, 1, seed=5)
    found, (action, cost) = map_of(case, gap=0.0), strip_of(case)
    assert found.action.tolist() == [action.tolist()]
    assert found.cost == cost
    assert found.gap == pytest.approx(0, abs=1e-12)


def test_without_a_price_across_the_strips_are_solved_by_themselves() -> None:
    case = smooth_case(40, 3, seed=1, across=0.0)
    found = map_of(case, gap=0.0)
    alone = [strip_of(case.strip(number))[1] for number in range(3)]
    assert found.cost == pytest.approx(sum(alone), rel=1e-12)
    assert found.gap == pytest.approx(0, abs=1e-12)


def test_a_dear_edge_makes_all_strips_alike() -> None:
    case = smooth_case(20, 3, seed=2)
    common = replace(case, allowed=case.allowed & case.allowed.all(axis=0), across=1e4)
    found = map_of(common)
    assert (found.action == found.action[0]).all()
    together = replace(common, cost=common.cost.sum(axis=0)[None], allowed=common.allowed[:1], change=3 * case.change)
    assert found.cost == pytest.approx(strip_of(together)[1], rel=CERTIFIED)


def test_a_certificate_that_is_not_reached_is_still_given() -> None:
    # nothing is certified to the last digit: the bound stays below, and the map is one that holds
    case = replace(smooth_case(12, 4, seed=7), across=5.0)
    least, found = Programme(case).solve(), map_of(case, gap=0.0)
    assert least is not None
    assert found.bound <= least + 1e-6 <= found.cost + 2e-6
    assert holds(case, found.action)


def test_the_same_street_gives_the_same_map() -> None:
    case = smooth_case(40, 4, seed=4, across=2.0)
    first, second = map_of(case), map_of(case)
    assert first.action.tolist() == second.action.tolist()
    assert (first.cost, first.bound) == (second.cost, second.bound)
