"""Simulated streets: ground drawn from the model's own prior, and what a crew would then see, hear and measure on it.

Everything from the ground to the words is written here a second time and shares no code with the likelihoods that read it;
only the prior, whose field is drawn by dense algebra, and the defaults are the model's.
"""

from __future__ import annotations

import datetime as dt
import tempfile
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from scipy import stats

import hardpan
from hardpan.laws.rutting import rut_chord, rut_constant, rut_maclaurin, rut_scatter
from hardpan.plan.ground import Ground, read_ground
from hardpan.plan.ground_evidence import CONE, EYE, RAIN, RUT_LAW, Places, mark_places, prior_of
from hardpan.plan.ground_field import Blocks
from hardpan.plan.ground_posterior import GRID, Prior
from hardpan.plan.instructions import follow_instructions
from hardpan.street import Basis, Figure, Street
from hardpan.street.bays import Bays, lay_out_bays
from hardpan.street.defaults import default
from hardpan.street.rows import PenetrometerRow
from hardpan.street.street import BearingTest, Instruction, PenetrometerReading, Reading, Structure
from hardpan.street.vehicles import tyre_of
from hardpan.street.words import Word

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]
At = tuple[int, int]

GRADER, TRUCK = "grader, 18 t", "loaded truck"
DRY, RAINED = dt.datetime(2026, 6, 3, 12), dt.datetime(2026, 6, 3, 9)
UPPER_MM: tuple[tuple[Word, float], ...] = (("nothing", 15), ("shows", 30), ("ruts", 75), ("sinks", np.inf))
LIMIT = float(np.log(3.25))  # of soft ground, ln CBR: the grader's tyre ruts 30 mm there


@dataclass(frozen=True)
class Nature:
    """What the ground and the crew do that the model may not know of.

    ``law`` of the rut; ``tails`` degrees of freedom of Student's t for every local scatter of ruts, its quartiles kept;
    ``sharp`` levels of their own in every region, no tie over an edge, and a jump inside the first region;
    ``skin`` thickness of firm ground over hidden soft ground [m].
    """

    law: str = "power"
    tails: float = np.inf
    sharp: bool = False
    skin: float = 0.230


AS_MODELLED = Nature()


@dataclass(frozen=True)
class World:
    """A street with its truth, arrays (strips, bays): ln CBR a wheel meets, what a skin hides, and which of them decides."""

    street: Street
    bays: Bays
    prior: Prior
    shared: Floats
    felt: Floats
    below: Floats
    hidden: Flags
    skin: float

    @property
    def decides(self) -> Floats:
        """ln CBR that counts: of the soft ground under a skin, else of what a wheel feels."""
        return np.where(self.hidden, self.below, self.felt)

    @property
    def metres(self) -> Floats:
        """Metres of strip of every bay."""
        return np.broadcast_to(self.bays.lengths_m, self.felt.shape)

    def ground(self) -> Ground:
        """The ground as the plan reads it."""
        return read_ground(self.street, self.bays, follow_instructions(self.street))

    def tested(self, places: list[At], rng: np.random.Generator) -> World:
        """With penetrometer tests driven at (row, column)."""
        known = len({one.test for one in self.street.penetrometer})
        rows = [row for i, at in enumerate(places) for row in self._profile(f"P{known + i + 1}", at, rng)]
        return replace(self, street=replace(self.street, penetrometer=(*self.street.penetrometer, *rows)))

    def _profile(self, test: str, at: At, rng: np.random.Generator) -> list[PenetrometerReading]:
        """One test to half a metre or more: alike with depth, or the skin and what it hides."""
        error = self.shared[CONE] + rng.normal(0, default("ground.cone_place").value)
        layers = [(self.felt[at], self.skin), (self.below[at], 0.6)] if self.hidden[at] else [(self.felt[at], 0.5)]
        row, column = at
        station, depth, rows = float(self.bays.middles_m[column]), 0.0, [(0, 0.0)]
        for strength, bottom in layers:
            rate = (292 / np.exp(strength + error)) ** (1 / 1.12) / 1000  # ASTM D6951, any soil
            blows = max(round((bottom - depth) / rate), 1)
            depth += blows * rate
            rows.append((blows, depth))
        return [
            PenetrometerReading(
                test,
                station,
                PenetrometerRow.model_construct(
                    test=test, station=f"{station}", strip=row + 1, blows=blows, depth=measured(reached, "m"), note=""
                ),
            )
            for blows, reached in rows
        ]


def measured(value: float, unit: str) -> Figure:
    """A measured figure."""
    return Figure("measured", value, unit, Basis.MEASURED)


@cache
def blank(strips: int, stations: int, *, rained: bool = False) -> Street:
    """A street of stations of 10 m without readings, under one rate that tells nothing of the ground."""
    lines = [
        'name = "Simulated Road"',
        f"[line]\nlength = {10 * stations}\nwidth = {2.25 * strips}\nstrips = {strips}",
        "[section]\ncrossfall = 0.02",
        '[soil]\nword = "silt"\nclassified = true',
        f"[weather]\nrained_at = {DRY - dt.timedelta(hours=1)}" if rained else "",
    ]
    with tempfile.TemporaryDirectory() as folder:
        Path(folder, "street.toml").write_text("\n".join(lines) + "\n", encoding="utf-8")
        Path(folder, "instructions.csv").write_text("zone,from,strips,rate\nrest,elsewhere,all,20\n", encoding="utf-8")
        return hardpan.read_street(folder)


def painted(street: Street, stretch: tuple[float, float], strips: tuple[int, ...], *, rate: float = 20.0) -> Street:
    """With one more painted region."""
    count = len(street.instructions)
    one: Instruction = replace(
        street.instructions[0],
        zone=f"Z{count}", elsewhere=False, start=stretch[0], end=stretch[1], strips=strips, rate=measured(rate, "kg/m2"),
    )  # fmt: skip
    return replace(street, instructions=(*street.instructions, one))


def trenched(street: Street, station: float, strips: tuple[int, ...]) -> Street:
    """With a trench line across some strips."""
    trench = Structure("T1", "trench", station, station, "full", None, strips, None, None, exposed=False, method="")
    return replace(street, structures=(*street.structures, trench))


def reading(
    bays: Bays,
    at: At,
    word: Word,
    *,
    rut: float | None = None,
    bounces: bool = False,
    vehicle: str = GRADER,
    stale: bool = False,
) -> Reading:
    """Reading of one bay."""
    row, column = at
    return Reading(
        float(bays.edges_m[column]), float(bays.edges_m[column + 1]), (row + 1,), word,
        None if rut is None else measured(rut, "m"), bounces, vehicle, RAINED if stale else DRY + dt.timedelta(hours=1), "", 1,
    )  # fmt: skip


def laid_out(street: Street) -> tuple[Bays, Places]:
    """Bays of a street and where they lie."""
    bays = lay_out_bays(street)
    return bays, mark_places(street, bays, follow_instructions(street))


def dense(matrix: Blocks) -> Floats:
    """Block-tridiagonal matrix written out, bays in order of station, then strip."""
    n, s, _ = matrix.diagonal.shape
    full = np.zeros((n * s, n * s))
    for t in range(n):
        here = slice(t * s, (t + 1) * s)
        full[here, here] = matrix.diagonal[t]
        if t:
            before = slice((t - 1) * s, t * s)
            full[here, before] = matrix.lower[t - 1]
            full[before, here] = matrix.lower[t - 1].T
    return full


def random_layout(rng: np.random.Generator) -> Street:
    """Street of 2 to 4 strips and 8 to 16 stations, one or two painted regions, a trench and rain now and then."""
    strips, stations = int(rng.integers(2, 5)), int(rng.integers(8, 17))
    street = blank(strips, stations, rained=bool(rng.random() < 0.3))
    for _ in range(rng.integers(1, 3)):
        start = float(rng.integers(0, 10 * stations - 30))
        first = int(rng.integers(1, strips + 1))
        across = tuple(range(first, int(rng.integers(first, strips + 1)) + 1))
        end = min(start + float(rng.integers(15, 80)), 10.0 * stations)
        street = painted(street, (start, end), across, rate=float(rng.choice([12, 20, 28])))
    if rng.random() < 0.3:
        street = trenched(street, float(rng.integers(5, 10 * stations - 5)) + 0.5, tuple(range(1, strips + 1)))
    return street


def simulate(
    rng: np.random.Generator, nature: Nature = AS_MODELLED, *, tests: int = 3, layout: Street | None = None
) -> World:
    """One street with its truth, read, and tested at up to ``tests`` places."""
    street = layout or random_layout(rng)
    bays, places = laid_out(street)
    shape = places.region.shape
    read = rng.random(shape) < rng.choice([0.5, 0.9, 1.0])
    count = int(rng.integers(0, tests + 1))
    chosen = [(int(i) // shape[1], int(i) % shape[1]) for i in rng.choice(read.size, count, replace=False)]
    unread = ~read
    for at in chosen:
        unread[at] = False
    prior = prior_of(street, bays, places, unread)
    shared, felt = _ground(rng, prior, places, nature)
    rained = street.file.weather.rained_at is not None
    wheels = (GRADER, TRUCK) if rng.random() < 0.25 else (GRADER,)
    readings = [
        one
        for wheel in wheels
        for one in _drive(
            rng, (shared, felt), read, bays=bays, places=places, vehicle=wheel, nature=nature, rained=rained
        )
    ]
    hidden = _hide(rng, readings, bays, places)
    below = rng.normal(np.log(default("ground.hidden_median").value), default("ground.hidden_spread").value, shape)
    street = replace(street, readings=tuple(readings), bearing=_laboratory(rng, bays, felt))
    return World(street, bays, prior, shared, felt, below, hidden, nature.skin).tested(chosen, rng)


def _ground(rng: np.random.Generator, prior: Prior, places: Places, nature: Nature) -> tuple[Floats, Floats]:
    """What the street shares, and ln CBR of every bay (strips, bays)."""
    shared = rng.normal(prior.shared_mean, prior.shared_spread)
    covariance = np.linalg.inv(dense(prior.field))
    region = places.region.T.ravel()
    if nature.sharp:
        covariance = np.where(region[:, None] == region, covariance, 0)
    root = np.linalg.cholesky(covariance + 1e-12 * np.eye(len(covariance)))
    field = root @ rng.standard_normal(len(root))
    if nature.sharp:
        spread = default("ground.spread").value
        own = np.sqrt(1 - (prior.spread.ravel()[0] / prior.strength[..., 0].ravel()[0]) ** 2)
        levels = rng.normal(0, spread * own, int(region.max()) + 1)[region]
        jump = rng.normal(0, spread) * (np.arange(len(region)) > rng.integers(len(region))) * (region == region[0])
        felt = prior.mean.ravel() + prior.spread.ravel() * field + levels + jump
    else:
        felt = prior.mean.ravel() + prior.spread.ravel() * field + prior.by_bay @ shared
    return shared, felt.reshape(prior.mean.shape).T.copy()


def _drive(
    rng: np.random.Generator,
    truth: tuple[Floats, Floats],
    read: Flags,
    *,
    bays: Bays,
    places: Places,
    vehicle: str,
    nature: Nature,
    rained: bool,
) -> list[Reading]:
    """Readings of one vehicle, bay by bay: words by eye, now and then a rut by tape; where it rained some are older."""
    shared, felt = truth
    taped = read & (rng.random(read.shape) < 0.3 * (rng.random() < 0.3))
    stale = np.broadcast_to(rng.random(bays.middles_m.size) < 0.4 * rained, read.shape)
    meets = felt + shared[RAIN] * stale
    rut = _ruts(
        rng, meets, shared[RUT_LAW] + shared[EYE] * ~taped, _looks(bays, places), vehicle, taped=taped, nature=nature
    )
    readings = []
    for row, column in np.argwhere(read):
        at = (int(row), int(column))
        word = next(word for word, upper in UPPER_MM if 1000 * rut[at] < upper)
        bounces = bool(
            not taped[at] and word == "shows" and rng.random() < 0.3
        )  # ground that bounces does not do nothing
        readings.append(
            reading(
                bays, at, "nothing" if bounces else word,
                rut=float(rut[at]) if taped[at] else None, bounces=bounces, vehicle=vehicle, stale=bool(stale[at]),
            )
        )  # fmt: skip
    return readings


def _ruts(
    rng: np.random.Generator, meets: Floats, off: Floats, look: Floats, vehicle: str, *, taped: Flags, nature: Nature
) -> Floats:
    """Ruts that are seen or taped [m]; ``off`` is what the street shares of their error, in ln rut."""
    wheel = tyre_of(vehicle).wheel
    felt = np.exp(meets - off / 1.52)  # the strength that the rut looks like
    around = np.exp(np.log(felt)[..., None] + np.linspace(-0.3, 0.3, 31))  # the law's step, taken over a band
    law = np.sqrt(rut_scatter(around, wheel).mean(axis=-1) ** 2 - default("ground.rut_shared").value ** 2)
    scatter = np.hypot(law, np.where(taped, default("ground.tape").value, default("ground.eye_place").value)) / np.sqrt(
        look
    )
    if np.isinf(nature.tails):
        local = rng.normal(0, scatter)
    else:
        quartiles = stats.norm.ppf(0.75) / stats.t.ppf(0.75, nature.tails)
        local = rng.standard_t(nature.tails, scatter.shape) * scatter * quartiles
    if nature.law == "power":
        return np.asarray(rut_constant(wheel) * felt**-1.52 * np.exp(local))
    parent = {"maclaurin": rut_maclaurin, "chord": rut_chord}[nature.law]
    return np.asarray(np.minimum(parent(np.exp(meets), wheel), wheel.diameter / 2) * np.exp(off + local))


def _looks(bays: Bays, places: Places) -> Floats:
    """Part of one look that falls on each bay: by its length; a trench line gets a look of its own."""
    look = np.broadcast_to(bays.lengths_m / bays.lengths_m.max(), places.region.shape).copy()
    for region in set(places.region[places.trench].tolist()):
        same = places.trench & (places.region == region)
        look[same] = np.broadcast_to(bays.lengths_m / bays.lengths_m[same.any(axis=0)].sum(), same.shape)[same]
    return look


def _hide(rng: np.random.Generator, readings: list[Reading], bays: Bays, places: Places) -> Flags:
    """Where soft ground lies under a skin: only where every drive showed nothing, by a share that is the street's own."""
    seen = np.zeros(places.region.shape, dtype=bool)
    told = np.zeros_like(seen)
    for one in readings:
        at = one.strips[0] - 1, int(np.argmin(abs(bays.middles_m - (one.start + one.end) / 2)))
        seen[at] = True
        told[at] |= one.word != "nothing" or one.bounces
    weight = default("ground.hidden_weight").value
    usual, trench = (rng.beta(mean * weight, (1 - mean) * weight) for mean in (0.20, 0.35))
    return np.asarray(seen & ~told & (rng.random(seen.shape) < np.where(places.trench, trench, usual)))


def _laboratory(rng: np.random.Generator, bays: Bays, felt: Floats) -> tuple[BearingTest, ...]:
    """A laboratory bearing ratio of one strip, on one street of three."""
    if rng.random() > 1 / 3:
        return ()
    row, column = int(rng.integers(felt.shape[0])), int(rng.integers(felt.shape[1]))
    cbr = np.exp(felt[row, column] + rng.normal(0, default("ground.lab_spread").value))
    return (BearingTest("L1", float(bays.middles_m[column]), (row + 1,), measured(float(cbr), "%")),)


def rank(strength: Floats, truth: float) -> float:
    """Probability below a ln CBR, for probabilities on ``GRID``, each spread evenly over its cell."""
    edges = np.concatenate([GRID, GRID[-1:] + GRID[1] - GRID[0]]) - (GRID[1] - GRID[0]) / 2
    return min(float(np.interp(truth, edges, np.concatenate([[0.0], np.cumsum(strength)]))), 1.0)  # sums round
