"""Whether a loaded spreader or water truck bogs, full or half full, and how to come in so that it does not."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from scipy.special import ndtr

from hardpan.laws.rutting import RUT_EXPONENT, Wheel, rut_constant
from hardpan.plan.ground_evidence import RUT_LAW, law_scatter
from hardpan.plan.ground_field import Floats
from hardpan.plan.ground_hidden import Hidden
from hardpan.plan.ground_posterior import GRID, Posterior
from hardpan.plan.instructions import InForce
from hardpan.street import Notice, Street
from hardpan.street.bays import Bays
from hardpan.street.defaults import default
from hardpan.street.vehicles import FULL, HALF, tyres
from hardpan.street.words import say_odds

WORTH_A_WORD = 0.10
"""Chance of bogging from which a stretch is named."""


@dataclass(frozen=True, slots=True)
class Boggy:
    """A stretch of one strip where a loaded truck may stay.

    ``full`` and ``half`` are the worst chances there; ``from_m`` is the end of the strip to start from with a full hopper so that
    the spreader comes to the stretch lightest: then ``left`` of the load is on board and ``arriving`` the chance.
    """

    strip: int
    start_m: float
    end_m: float
    full: float
    half: float
    from_m: float
    left: float
    arriving: float


@dataclass(frozen=True, slots=True, eq=False)
class Bogging:
    """Chance that a truck bogs in every bay, (strips, bays), full and half full; boggy stretches, the least boggy first."""

    full: Floats
    half: Floats
    stretches: tuple[Boggy, ...]
    notices: tuple[Notice, ...]


def weigh_bogging(street: Street, bays: Bays, in_force: InForce, *, posterior: Posterior, hidden: Hidden) -> Bogging:
    """Chances by bay, and the boggy stretches in the order to come to them.

    Notes
    -----
    What a wheel feels is known better than the strength itself: the rut law's error, shared by the street, is the same for the
    grader's tyre and the truck's. Under a skin a heavy truck breaks through: there the hidden strength counts.
    """
    count = len(bays.strips)
    shared = posterior.prior.by_bay.copy()
    shared[:, RUT_LAW] = -1 / RUT_EXPONENT
    felt = posterior.marginal(shared, near=False).reshape(bays.middles_m.size, count, -1).transpose(1, 0, 2)
    mixed = hidden.mixed(felt)
    full, half = (mixed @ _stays(tyres()[name].wheel) for name in (FULL, HALF))
    found = []
    for row, strip in enumerate(bays.strips):
        for first, last in _runs(full[row] >= WORTH_A_WORD):
            start, end = float(bays.edges_m[first]), float(bays.edges_m[last])
            begin, left = _lightest(street, in_force, strip, start, end)
            arriving = mixed[row, first:last] @ _stays(_with_load(left))
            loaded, light = (float(one[row, first:last].max()) for one in (full, half))
            found.append(Boggy(strip, start, end, loaded, light, begin, left, float(arriving.max())))
    stretches = tuple(sorted(found, key=lambda one: (one.full, one.strip, one.start_m)))
    return Bogging(full, half, stretches, tuple(_notice(street, one) for one in stretches))


def _stays(wheel: Wheel) -> Floats:
    """Chance at every strength of ``GRID`` that one pass ruts deeper than a truck can bear."""
    limit = np.log(default("ground.bog_rut").value)
    return np.asarray(ndtr((np.log(rut_constant(wheel)) - RUT_EXPONENT * GRID - limit) / law_scatter(wheel, GRID)))


def _runs(true: np.ndarray[tuple[int], np.dtype[np.bool_]]) -> list[tuple[int, int]]:
    """Runs of true: first, and one past the last."""
    edges = np.flatnonzero(np.diff(np.concatenate([[False], true, [False]]).astype(int)))
    return [(int(first), int(last)) for first, last in edges.reshape(-1, 2)]


def _with_load(left: float) -> Wheel:
    """Tyre of a spreader with a share of its load on board."""
    full, half = (tyres()[name].wheel for name in (FULL, HALF))
    return replace(full, load=full.load - 2 * (1 - left) * (full.load - half.load))


def _lightest(street: Street, in_force: InForce, strip: int, start: float, end: float) -> tuple[float, float]:
    """End of a strip to start from with a full hopper so that a stretch is reached lightest, and the share then on board."""
    ways = {
        street.stationing.first: _laid(street, in_force, strip, street.stationing.first, start),
        street.stationing.last: _laid(street, in_force, strip, end, street.stationing.last),
    }
    begin = max(ways, key=lambda one: ways[one])
    return begin, max(1 - ways[begin] / street.file.spreader.hopper.value, 0.0)


def _laid(street: Street, in_force: InForce, strip: int, start: float, end: float) -> float:
    """Cement laid along a strip between two stations [kg]."""
    width = street.strips[0].width
    return sum(
        street.instructions[piece.instruction].rate.value
        * width
        * max(min(piece.end_m, end) - max(piece.start_m, start), 0.0)
        for piece in in_force.pieces
        if piece.strip == strip and piece.instruction >= 0
    )


def _notice(street: Street, one: Boggy) -> Notice:
    """How a loaded truck fares there, and how to come in."""
    share = round(100 * one.left)
    come = (
        f"start the strip full at {street.stationing.show(one.from_m)} and come to it with {share} % on board ({say_odds(one.arriving)})"
        if one.left < 1 and one.arriving < one.full - 0.05
        else "come to it at most half full"
    )
    message = f"a loaded spreader or water truck bogs here {say_odds(one.full)}, half full {say_odds(one.half)}: take this strip after the firmer ones, {come}"
    return Notice("judgement", message, street.place(one.start_m, one.end_m, (one.strip,)))
