"""Simulated streets: the same for a seed, spread as the prior says, their truth by the laws."""

from __future__ import annotations

from dataclasses import replace
from typing import Literal

import numpy as np
import pytest

from hardpan.laws.layered import surface_deflection
from hardpan.laws.penetrometer import cbr_d6951
from hardpan.laws.stiffness import modulus_powell
from hardpan.plan.axle_odds import AXLES, POISSON, STRENGTHS, need_of
from hardpan.plan.soundings import read_soundings
from hardpan.street.defaults import default
from hardpan.street.vehicles import FULL, tyres
from hardpan.street.words import RUT_MM
from hardpan.study.natures import AS_MODELLED, HEAVY_TAILS, MACLAURIN, NATURES, SHARP_AND_POOR, Nature
from hardpan.study.simulated import LIVES, Lives, Simulated, penetration, scatter, simulate
from hardpan.study.truth import Treated, failing_places, movement


def everywhere(made: Simulated, rate: float, depth: float) -> Treated:
    shape = made.felt.shape
    return Treated(np.full(shape, rate), np.full(shape, depth), np.full(shape, 1600.0), np.zeros(shape, dtype=bool))


def one_rig(made: Simulated, **lives: float) -> Simulated:
    """With the same mix in every life and nothing that scatters from place to place."""
    same = {key: np.full(LIVES, value) for key, value in lives.items()}
    ones = np.ones_like(made.lives.dose)
    return replace(made, lives=Lives(**same, dose=ones, deep=ones))


@pytest.mark.parametrize("nature", NATURES.values(), ids=list(NATURES))
def test_a_seed_gives_the_same_street_and_another_seed_another(nature: Nature) -> None:
    one, again, other = simulate(5, nature), simulate(5, nature), simulate(6, nature)
    assert one.street.readings == again.street.readings
    assert np.array_equal(one.felt, again.felt)
    assert np.array_equal(one.lives.dose, again.lives.dose)
    assert one.felt.shape != other.felt.shape or not np.array_equal(one.felt, other.felt)


def test_streets_have_two_to_four_strips_and_80_to_200_m_and_no_instruction() -> None:
    made = [simulate(seed, AS_MODELLED) for seed in range(80)]
    assert {one.felt.shape[0] for one in made} == {2, 3, 4}
    assert {one.street.stationing.last for one in made} <= {10.0 * stations for stations in range(8, 21)}
    assert {one.street.file.soil.word for one in made} == {"silt", "lean clay", "fat clay"}
    assert not any(one.street.instructions for one in made)
    assert {len({row.test for row in one.street.penetrometer}) for one in made} == {0, 1, 2}


def test_instructed_rates_are_painted_in_order_over_whole_bays() -> None:
    street = simulate(3, AS_MODELLED, instructed=(12.0, 28.0, 18.0)).street
    assert [one.rate.value for one in street.instructions] == [12.0, 28.0, 18.0]
    edges = [edge for one in street.instructions for edge in (one.start, one.end)]
    assert edges[0] == 0
    assert edges[-1] == street.stationing.last
    assert edges[1:-1:2] == edges[2:-1:2]
    assert all(edge % 10 == 0 for edge in edges)


@pytest.mark.parametrize("nature", [AS_MODELLED, SHARP_AND_POOR], ids=lambda one: one.name)
def test_ground_scatters_as_much_as_the_prior_says_in_every_nature_of_it(nature: Nature) -> None:
    # one bay a street: 400 independent values; the standard error of a spread is spread / sqrt(2 n), 3.5 of them allowed
    felt = np.array([simulate(seed, nature).felt[0, 3] for seed in range(400)])
    spread = default("ground.spread").value
    assert felt.mean() == pytest.approx(np.log(default("ground.median").value), abs=3.5 * spread / 20)
    assert felt.std() == pytest.approx(spread, abs=3.5 * spread / np.sqrt(800))


def test_sharp_ground_jumps_where_modelled_ground_leans() -> None:
    def steps(nature: Nature) -> np.ndarray:
        return np.concatenate([np.diff(simulate(seed, nature).felt, axis=1).ravel() for seed in range(60)])

    lean, sharp = steps(AS_MODELLED), steps(SHARP_AND_POOR)
    beyond = 3 * lean.std()
    assert np.mean(np.abs(sharp) > beyond) > 5 * np.mean(np.abs(lean) > beyond)


def test_heavy_tails_keep_their_quartiles_and_go_far_beyond() -> None:
    rng = np.random.default_rng(1)
    normal, heavy = (scatter(rng, 0.4, nature, (40_000,)) for nature in (AS_MODELLED, HEAVY_TAILS))
    assert np.quantile(heavy, [0.25, 0.75]) == pytest.approx(np.quantile(normal, [0.25, 0.75]), abs=0.012)
    assert (np.abs(normal) > 1.6).sum() < 20  # beyond four spreads: 1 in 16,000
    assert (np.abs(heavy) > 1.6).sum() > 400


def test_words_are_softer_where_the_ground_is() -> None:
    strength: dict[str, list[float]] = {word: [] for word in RUT_MM}
    for seed in range(60):
        made = simulate(seed, AS_MODELLED)
        for one in made.street.readings:
            strength[one.word].append(float(made.felt[one.strips[0] - 1, int(one.start // 10)]))
    means = [float(np.mean(strength[word])) for word in ("nothing", "shows", "ruts", "sinks")]
    assert means == sorted(means, reverse=True)
    assert means[0] - means[-1] > 1.0


def test_skins_hide_only_where_nothing_showed_by_the_default_share() -> None:
    hidden, nothing = 0, 0
    for seed in range(300):
        made = simulate(seed, AS_MODELLED)
        word = {(one.strips[0] - 1, int(one.start // 10)): one.word for one in made.street.readings}
        assert all(word.get((int(row), int(column))) == "nothing" for row, column in np.argwhere(made.hidden))
        hidden, nothing = hidden + int(made.hidden.sum()), nothing + sum(one == "nothing" for one in word.values())
    # the share of a street is beta(1, 4), of spread .16; bays of one street share it
    assert hidden / nothing == pytest.approx(default("ground.hidden").value, abs=3.5 * 0.163 / np.sqrt(150))


@pytest.mark.parametrize(("word", "soil"), [("silt", "general"), ("lean clay", "CL"), ("fat clay", "CH")])
def test_the_cone_goes_in_as_the_standard_says(word: str, soil: Literal["general", "CL", "CH"]) -> None:
    # ASTM D6951, by hardpan.laws.penetrometer, itself checked against the standard's printed values
    for cbr in (1.0, 3.0, 9.0):
        assert float(cbr_d6951(penetration(cbr, word), soil)) == pytest.approx(cbr, rel=1e-9)


def test_tests_find_the_ground_of_their_bay_within_the_cones_errors() -> None:
    off = []
    for seed in range(150):
        made = simulate(seed, AS_MODELLED)
        found, unread = read_soundings(made.street)
        assert unread == ()
        off += [
            one.strength - made.decides[one.strip - 1, int(one.station_m // 10)] for one in found if not one.skin
        ]  # fmt: skip
    spread = np.hypot(default("ground.cone_shared").value, default("ground.cone_place").value)
    inside = np.mean(np.abs(off) < 2 * spread)
    assert len(off) > 80
    assert 0.88 < inside <= 1


# the truth under the axle


def test_movement_that_comes_back_is_exact_elasticity() -> None:
    made = one_rig(
        simulate(2, AS_MODELLED), log_gain=np.log(20e6), rut_error=-50.0, per_cbr=26e3, multiple=220.0
    )  # no rut is left
    made = replace(made, felt=np.full_like(made.felt, np.log(3.0)), hidden=np.zeros_like(made.hidden))
    found = movement(made, everywhere(made, 24.0, 0.30))
    wheel = tyres()[FULL].wheel
    layer = 3.0 * 26e3 + 20e6 * 24.0 / (0.30 * 1600.0) / 2
    moduli = [220.0 * 2 * layer, float(modulus_powell(3.0))]
    radius = float(np.sqrt(wheel.load / (np.pi * wheel.inflation_pressure)))
    offsets = [float(np.hypot(*np.subtract(tyre, AXLES[0]))) for tyre in AXLES]
    exact = surface_deflection(
        moduli, POISSON, [0.30], pressure=wheel.inflation_pressure, radius=radius, offsets=offsets
    ).sum()
    assert found == pytest.approx(np.full(found.shape, exact), rel=2e-3)


def test_a_place_passes_just_where_the_plans_need_says_at_the_middle_of_its_draws() -> None:
    # the plan's table of needs and the truth's direct laws are two ways to one answer; rig by rig
    from hardpan.plan.axle_odds import DEPTHS, _rigs  # noqa: PLC0415  # the draws that its needs stand for

    limit = default("odds.movement").value
    need = need_of(limit).part
    depth = 10  # 0.30 m
    assert DEPTHS[depth] == pytest.approx(0.30)
    for rig, (rut_error, per_cbr, multiple) in enumerate(zip(*_rigs(), strict=True)):
        for strength in (12, 18, 24):
            part = float(need[strength, depth, rig])
            if not 1e3 < part < 9e6:
                continue
            moved = []
            for share in (0.97, 1.03):
                made = one_rig(
                    simulate(2, AS_MODELLED),
                    log_gain=np.log(share * part * 0.30 * 1600 / 10), rut_error=rut_error, per_cbr=per_cbr, multiple=multiple,
                )  # fmt: skip
                made = replace(
                    made, felt=np.full_like(made.felt, STRENGTHS[strength]), hidden=np.zeros_like(made.hidden)
                )
                moved.append(float(movement(made, everywhere(made, 10.0, 0.30))[0, 0, 0, 0]))
            assert moved[1] < limit < moved[0]


def test_more_cement_never_moves_more_and_dug_out_ground_never_fails() -> None:
    made = simulate(8, MACLAURIN)
    little, much = (movement(made, everywhere(made, rate, 0.30)) for rate in (10.0, 30.0))
    assert np.all(much <= little)
    assert np.any(much < little)
    nothing = everywhere(made, 0.0, 0.30)
    assert failing_places(made, nothing).mean() > 0.5
    assert not failing_places(made, replace(nothing, dug_out=np.ones_like(nothing.dug_out))).any()


def test_hidden_ground_decides_in_place_of_what_a_wheel_feels() -> None:
    made = simulate(4, AS_MODELLED)
    firm = replace(made, felt=np.full_like(made.felt, np.log(30.0)), below=np.full_like(made.felt, np.log(0.8)))
    shown, skinned = (replace(firm, hidden=np.full(made.hidden.shape, hides)) for hides in (False, True))
    way = everywhere(made, 12.0, 0.20)
    assert failing_places(skinned, way).mean() > failing_places(shown, way).mean() + 0.3
