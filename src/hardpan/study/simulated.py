"""One simulated street: ground drawn from a nature, and what a slow drive and one or two penetrometer tests then find on it."""

from __future__ import annotations

import tempfile
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path
from typing import get_args

import numpy as np
from numpy.typing import NDArray
from scipy import stats

from hardpan.laws.penetrometer import LEAN_CLAY_LIMIT
from hardpan.laws.rutting import RUT_EXPONENT, Wheel, rut_constant, rut_maclaurin
from hardpan.laws.strength import age_factor, equivalent_age
from hardpan.plan.ground_evidence import CONE, EYE, RUT_LAW, STREET, law_scatter, mark_places, prior_of
from hardpan.plan.ground_field import Blocks, Floats
from hardpan.plan.ground_posterior import Prior
from hardpan.plan.instructions import follow_instructions
from hardpan.street import Basis, Figure, Street, read_street
from hardpan.street.bays import Bays, lay_out_bays
from hardpan.street.defaults import default
from hardpan.street.model import SoilWord
from hardpan.street.rows import PenetrometerRow
from hardpan.street.street import Instruction, PenetrometerReading, Reading
from hardpan.street.vehicles import tyre_of
from hardpan.street.words import word_for
from hardpan.study.natures import Nature

GRADER = "grader, 18 t"
STATION = 10.0  # length of a bay [m]
PLACES = 4  # of 3 m in a bay of 10 m, as the odds count them
_STRIP = 2.25  # width of a strip [m]
_SKIN, _DEEP, _UNIFORM = 0.230, 0.600, 0.500  # bottoms of a skin, of a test below it, of any other test [m]
_LEAST_ODDS, _LEAST_ODDS_SHARE = (0.60, 0.75, 0.85, 0.95), (1 / 6, 1 / 6, 1 / 2, 1 / 6)  # what an engineer asks for
_JUMPS = 40.0  # mean distance between edges that nobody painted [m]


LIVES = 16
"""Mixes that the ground of one street meets: what streets of the same ground do apart is averaged before it is scored."""


@dataclass(frozen=True, slots=True, eq=False)
class Lives:
    """What decides beside the ground, once a life.

    ``log_gain`` is ln of the unconfined strength [Pa] for a cement content of 1 on the day of the axle test, ``rut_error`` of ln rut,
    ``per_cbr`` undrained strength for one percent [Pa], ``multiple`` modulus over unconfined strength; (lives,) each. ``dose`` and ``deep``
    are shares of rate and depth at every place, (lives, strips, bays, places).
    """

    log_gain: Floats
    rut_error: Floats
    per_cbr: Floats
    multiple: Floats
    dose: Floats
    deep: Floats


@dataclass(frozen=True, slots=True, eq=False)
class Simulated:
    """A street as the plan gets it, and its truth, which the plan never sees.

    ``felt`` is ln CBR that a wheel meets, ``below`` what a skin hides where ``hidden``; (strips, bays). The one ground is treated ``LIVES`` times over,
    each life with a mix and places of its own.
    """

    seed: int
    nature: Nature
    street: Street
    bays: Bays
    felt: Floats
    below: Floats
    hidden: NDArray[np.bool_]
    lives: Lives

    @property
    def decides(self) -> Floats:
        """Of the ground that counts, ln CBR (strips, bays): the soft under a skin, else what a wheel feels."""
        return np.where(self.hidden, self.below, self.felt)


def simulate(seed: int, nature: Nature, *, instructed: tuple[float, ...] = ()) -> Simulated:
    """Street of a seed.

    Parameters
    ----------
    seed
        Of everything random; the plan's own draws come from elsewhere.
    nature
        What the truth is drawn from.
    instructed
        Rates [kg/m2] of stretches of equal length, in order; none: the plan proposes.

    Returns
    -------
    Simulated
        The same for the same arguments.
    """
    ground_rng, mix_rng = (np.random.default_rng([seed, part]) for part in (101, 102))
    strips, stations = int(ground_rng.integers(2, 5)), int(ground_rng.integers(8, 21))
    word = str(ground_rng.choice(get_args(SoilWord)))
    least = float(ground_rng.choice(_LEAST_ODDS, p=_LEAST_ODDS_SHARE))
    street = painted(blank(strips, stations, word, least=least), instructed)
    bays = lay_out_bays(street)
    shape = (strips, bays.middles_m.size)
    read = ground_rng.random(shape) < ground_rng.choice([0.9, 1.0])
    tested = _tested(ground_rng, shape)
    unread = ~read
    for at in tested:
        unread[at] = False
    prior = prior_of(street, bays, mark_places(street, bays, follow_instructions(street)), unread)
    shared, felt = draw_ground(ground_rng, prior, nature)
    readings = drive(ground_rng, (shared, felt), read, bays=bays, nature=nature)
    hidden = _hide(ground_rng, readings, shape)
    below = ground_rng.normal(
        np.log(default("ground.hidden_median").value), default("ground.hidden_spread").value, shape
    )
    made = Simulated(
        seed, nature, replace(street, readings=tuple(readings)), bays, felt, below, hidden,
        draw_lives(mix_rng, street, shape, nature=nature),
    )  # fmt: skip
    rows = [
        row
        for number, at in enumerate(tested, 1)
        for row in _sound(made, f"P{number}", at, error=float(shared[CONE] + scatter(ground_rng, default("ground.cone_place").value, nature)))
    ]  # fmt: skip
    return replace(made, street=replace(made.street, penetrometer=tuple(rows)))


@cache
def blank(strips: int, stations: int, word: str, *, least: float) -> Street:
    """A street without readings and without a rate."""
    text = (
        f'name = "Simulated Road"\n[line]\nlength = {STATION * stations}\nwidth = {_STRIP * strips}\nstrips = {strips}\n'
        f'[section]\ncrossfall = 0.02\n[soil]\nword = "{word}"\nclassified = true\n'
        f'[limits.least_probability]\nvalue = {least}\nowner = "the engineer"\n'
    )
    with tempfile.TemporaryDirectory() as folder:
        Path(folder, "street.toml").write_text(text, encoding="utf-8")
        return read_street(folder)


def painted(street: Street, rates: tuple[float, ...]) -> Street:
    """With stretches of nearly equal length, whole bays each, under instructed rates [kg/m2]."""
    edges = np.round(np.linspace(0, street.stationing.last / STATION, len(rates) + 1)) * STATION
    strips = tuple(strip.number for strip in street.strips)
    told = [
        Instruction(
            zone=f"Z{number}", elsewhere=False, start=float(start), end=float(end), strips=strips,
            rate=Figure("rate", rate, "kg/m2", Basis.STATED), depth=None, depth_state=None, low=None, water=None, soil=None,
            said_by="", heard_by="", said_at=None, where="", note="", row=number,
        )
        for number, (rate, start, end) in enumerate(zip(rates, edges[:-1], edges[1:], strict=True), 1)
    ]  # fmt: skip
    return replace(street, instructions=tuple(told))


def _tested(rng: np.random.Generator, shape: tuple[int, int]) -> list[tuple[int, int]]:
    """Bays of the penetrometer tests: none on half of the streets, one or two on the others."""
    count = int(rng.choice([0, 1, 2], p=[0.5, 0.25, 0.25]))
    return [(int(i) // shape[1], int(i) % shape[1]) for i in rng.choice(shape[0] * shape[1], count, replace=False)]


def scatter(
    rng: np.random.Generator, spread: Floats | float, nature: Nature, shape: tuple[int, ...] | None = None
) -> Floats:
    """What scatters from place to place: normal, or by Student's t of the same quartiles."""
    shape = np.shape(spread) if shape is None else shape
    if np.isinf(nature.tails):
        return np.asarray(rng.normal(0.0, 1.0, shape) * spread)
    quartiles = stats.norm.ppf(0.75) / stats.t.ppf(0.75, nature.tails)
    return np.asarray(rng.standard_t(nature.tails, shape) * quartiles * spread)


def draw_ground(rng: np.random.Generator, prior: Prior, nature: Nature) -> tuple[Floats, Floats]:
    """What the street shares, and ln CBR of every bay (strips, bays)."""
    shared = rng.normal(prior.shared_mean, prior.shared_spread)
    covariance = np.linalg.inv(_dense(prior.field))
    if not nature.sharp:
        field = np.linalg.cholesky(covariance) @ rng.standard_normal(len(covariance))
        felt = prior.mean.ravel() + prior.spread.ravel() * field + prior.by_bay @ shared
        return shared, felt.reshape(prior.mean.shape).T.copy()
    stations, strips = prior.mean.shape
    stretch = np.repeat(np.cumsum(rng.random(stations) < STATION / _JUMPS), strips)
    apart = stretch[:, None] != stretch
    field = np.linalg.cholesky(np.where(apart, 0.0, covariance)) @ rng.standard_normal(len(covariance))
    whole = prior.strength[..., STREET].ravel()
    levels = whole * default("ground.region_spread").value / default("ground.spread").value
    felt = prior.mean.ravel() + prior.spread.ravel() * field + whole * shared[STREET]
    felt = felt + levels * rng.standard_normal(stretch.max() + 1)[stretch]
    return shared, felt.reshape(prior.mean.shape).T.copy()


def _dense(field: Blocks) -> Floats:
    """Precision of the field as one matrix, station by station."""
    n, s = field.diagonal.shape[:2]
    whole = np.zeros((n, s, n, s))
    for t in range(n):
        whole[t, :, t] = field.diagonal[t]
    for t in range(n - 1):
        whole[t + 1, :, t], whole[t, :, t + 1] = field.lower[t], field.lower[t].T
    return whole.reshape(n * s, n * s)


def drive(
    rng: np.random.Generator, truth: tuple[Floats, Floats], read: NDArray[np.bool_], *, bays: Bays, nature: Nature
) -> list[Reading]:
    """Words of the slow drive, bay by bay, of the bays that were read."""
    shared, felt = truth
    wheel = tyre_of(GRADER).wheel
    off = float(shared[RUT_LAW] + shared[EYE])
    spread = np.hypot(law_scatter(wheel, felt - off / RUT_EXPONENT), default("ground.eye_place").value)
    ruts = rut_of(np.exp(felt), wheel, nature) * np.exp(off + scatter(rng, spread, nature))
    edges = bays.edges_m
    return [
        Reading(
            float(edges[column]), float(edges[column + 1]), (int(row) + 1,), word_for(float(ruts[row, column])), None,
            bounces=False, vehicle=GRADER, driven_at=None, note="", row=index,
        )
        for index, (row, column) in enumerate(np.argwhere(read), 1)
    ]  # fmt: skip


def rut_of(cbr: Floats, wheel: Wheel, nature: Nature) -> Floats:
    """Rut of a wheel [m] on ground of a bearing ratio [%], before any error."""
    if nature.law == "maclaurin":
        return rut_maclaurin(cbr, wheel)
    return np.asarray(rut_constant(wheel) * cbr**-RUT_EXPONENT)


def _hide(rng: np.random.Generator, readings: list[Reading], shape: tuple[int, int]) -> NDArray[np.bool_]:
    """Where a skin hides soft ground: only where nothing showed, by a share that is the street's own."""
    nothing = np.zeros(shape, dtype=bool)
    for one in readings:
        nothing[one.strips[0] - 1, int(one.start // STATION)] = one.word == "nothing"
    share, weight = default("ground.hidden").value, default("ground.hidden_weight").value
    return np.asarray(nothing & (rng.random(shape) < rng.beta(share * weight, (1 - share) * weight)))


def draw_lives(rng: np.random.Generator, street: Street, shape: tuple[int, int], *, nature: Nature) -> Lives:
    """What the street's cement does, how its ground answers an axle, and what every place gets, life by life."""
    field = default("odds.field").value if nature.field is None else nature.field
    spread = {name: default(f"odds.{name}_spread").value for name in ("strength", "field", "rut", "strength_per_cbr")}
    wet = default("odds.wet")
    log_gain = (
        np.log(100_000 * default(f"{street.file.soil.word}.strength_per_percent").value)
        + rng.normal(0, spread["strength"], LIVES)
        + rng.normal(wet.value, wet.spread, LIVES)
        + rng.normal(np.log(field), spread["field"], LIVES)
        + _aged(rng, street.file.axle_test.day.value)
    )
    per_cbr = 1000 * default("odds.strength_per_cbr").value
    return Lives(
        log_gain=log_gain,
        rut_error=rng.normal(0, spread["rut"], LIVES),
        per_cbr=per_cbr * np.exp(rng.normal(0, spread["strength_per_cbr"], LIVES)),
        multiple=rng.uniform(default("odds.modulus_least").value, default("odds.modulus_most").value, LIVES),
        dose=_local(rng, "odds.dose_spread", shape, nature),
        deep=_local(rng, "odds.depth_spread", shape, nature),
    )


def _aged(rng: np.random.Generator, day: float) -> Floats:
    """Ln of strength on a day over strength at 28 days (CEB-FIP Model Code), cured at a temperature that nobody measured; (lives,)."""
    warm = default("odds.temperature")
    age = equivalent_age(day, np.maximum(rng.normal(warm.value, warm.spread, LIVES), 0.0))
    slow = rng.uniform(default("odds.slowness_least").value, default("odds.slowness_most").value, LIVES)
    return np.log(age_factor(age, slow))


def _local(rng: np.random.Generator, key: str, shape: tuple[int, int], nature: Nature) -> Floats:
    """Share of what was set that every place gets: (lives, strips, bays, places)."""
    return np.exp(scatter(rng, default(key).value, nature, (LIVES, *shape, PLACES)))


def _sound(made: Simulated, test: str, at: tuple[int, int], *, error: float) -> list[PenetrometerReading]:
    """Rows of one test: alike with depth, or a skin and what it hides."""
    layers = [(made.felt[at], _SKIN), (made.below[at], _DEEP)] if made.hidden[at] else [(made.felt[at], _UNIFORM)]
    station, depth, reached = float(made.bays.middles_m[at[1]]), 0.0, [(0, 0.0)]
    for strength, bottom in layers:
        each = penetration(float(np.exp(strength + error)), made.street.file.soil.word)
        blows = max(round((bottom - depth) / each), 1)
        depth += blows * each
        reached.append((blows, depth))
    return [
        PenetrometerReading(
            test,
            station,
            PenetrometerRow.model_construct(
                test=test, station=f"{station}", strip=at[0] + 1, blows=blows, note="",
                depth=Figure("depth", deep, "m", Basis.MEASURED),
            ),
        )
        for blows, deep in reached
    ]  # fmt: skip


def penetration(cbr: float, word: str) -> float:
    """Metres a blow of the cone in soil of a bearing ratio, the equation of ASTM D6951 for the soil's word turned round.

    Examples
    --------
    >>> from hardpan.laws.penetrometer import cbr_d6951
    >>> round(float(cbr_d6951(penetration(4.0, "silt"), "general")), 6)
    4.0
    >>> round(float(cbr_d6951(penetration(4.0, "fat clay"), "CH")), 6)
    4.0
    """
    if word == "fat clay":
        return 1 / (0.002871 * cbr) / 1000
    if word == "lean clay" and cbr < LEAN_CLAY_LIMIT:
        return 1 / (0.017019 * float(np.sqrt(cbr))) / 1000
    return float((292 / cbr) ** (1 / 1.12)) / 1000
