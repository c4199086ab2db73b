"""The story of one bay: how strong its ground is and why, in five lines for an operator that an engineer can check."""

from __future__ import annotations

import re

import numpy as np

from hardpan.errors import HardpanError
from hardpan.laws.rutting import RUT_EXPONENT, rut_constant
from hardpan.plan import Plan
from hardpan.plan.ground import Ground
from hardpan.plan.ground_evidence import WORDS, bay_at, is_stale, law_scatter
from hardpan.plan.soundings import Sounding, name_of
from hardpan.street import Figure, Street
from hardpan.street.defaults import default
from hardpan.street.figure import EIGHT_IN_TEN, worked
from hardpan.street.places import PlaceError
from hardpan.street.street import Reading
from hardpan.street.vehicles import tyre_of
from hardpan.street.words import RUT_MM, heard, say_odds, word_for

_PATH = re.compile(r"ground\[\s*(?P<place>[^,\]]+?)\s*(?:,\s*(?:strip\s*)?(?P<strip>\d+)\s*)?\]")
_DOES = {"nothing": "shows nothing", "shows": "shows the wheel", "ruts": "ruts", "sinks": "lets the wheel sink"}
_NEAR = 50.0  # metres within which a penetrometer test is told of


class BayError(HardpanError):
    """A place that no bay of the street lies at."""


def is_bay(path: str) -> bool:
    """Whether a path asks for a bay: ``ground[0+150, strip 4]``."""
    return _PATH.fullmatch(path.strip()) is not None


def bay_of(plan: Plan, path: str) -> tuple[int, int]:
    """Row and column of the bay that a path names; the softest strip where it names none.

    Raises
    ------
    BayError
        When the street has no such place or strip.
    """
    asked = _PATH.fullmatch(path.strip())
    if asked is None:
        raise BayError(
            f"the path {path!r} names no bay; allowed: ground[PLACE] or ground[PLACE, strip N], as in ground[0+150, strip 4]"
        )
    ground, street = plan.ground, plan.street
    try:
        column = bay_at(ground.bays, street.stationing.read(asked["place"]))
    except PlaceError as error:
        raise BayError(f"the street has no place {asked['place']!r}; allowed: {error.allowed}. {error.do}") from error
    if asked["strip"] is None:
        return int(np.argmin(ground.middle[:, column])), column
    if int(asked["strip"]) not in ground.bays.strips:
        raise BayError(f"the street has no strip {asked['strip']}; allowed: 1 to {len(ground.bays.strips)}")
    return int(asked["strip"]) - 1, column


def tell(plan: Plan, path: str) -> tuple[Figure, tuple[str, ...]]:
    """Bearing ratio of a bay as a figure, and its story in five lines."""
    row, column = bay_of(plan, path)
    return bearing_ratio(plan.ground, row, column), (
        _what(plan, row, column),
        _read(plan.street, plan.ground, row, column),
        _tied(plan.street, plan.ground, row, column),
        _tested(plan.street, plan.ground, column),
        _hidden(plan.ground, row, column),
    )


def bearing_ratio(ground: Ground, row: int, column: int) -> Figure:
    """Middle of a bay's bearing ratio with what it rests on; half of the band that holds 8 in 10 as its spread."""
    before = default("ground.median")
    inputs = (before, default("ground.spread"), ground.rut_constant)
    low, high = ground.low[row, column], ground.high[row, column]
    return worked(
        "bearing ratio of the ground (CBR)", float(ground.middle[row, column]), "%", *inputs,
        formula="posterior of ln CBR: prior x readings x penetrometer x laboratory, bays tied along and across",
        source="rut law of Maclaurin and of the chord; Gaussian Markov field, expectation propagation", spread=float(high - low) / 2 / EIGHT_IN_TEN,
    )  # fmt: skip


def _what(plan: Plan, row: int, column: int) -> str:
    """How strong, in figures and in ruts."""
    ground, street, bays = plan.ground, plan.street, plan.ground.bays
    low, middle, high = (one[row, column] for one in (ground.low, ground.middle, ground.high))
    where = street.place(float(bays.edges_m[column]), float(bays.edges_m[column + 1]), (bays.strips[row],))
    rut = ground.rut_constant.value * middle**-RUT_EXPONENT
    soft = default("ground.soft_below").value
    trench = ", a trench line and a place of its own" if ground.places.trench[row, column] else ""
    return (
        f"{where}{trench}: ground that {_DOES[word_for(rut)]}, a grader's tyre about {1000 * rut:.0f} mm. CBR about {middle:.2g}, "
        f"8 times in 10 between {low:.2g} and {high:.2g}; soft (under {soft:.3g}) {say_odds(float(ground.soft[row, column]))}."
    )


def _read(street: Street, ground: Ground, row: int, column: int) -> str:
    """What was read there and what it says alone."""
    index = int(ground.reading[row, column])
    if index < 0:
        return "Read: not at all; its neighbours and the rate that was instructed, if any, are all that speak."
    one = street.readings[index]
    when = f" on {one.driven_at.day} {one.driven_at:%B %H:%M}" if one.driven_at else ""
    rain = ", rained on since: it may be softer now" if is_stale(street, one) else ""
    said = f"{1000 * one.rut.value:.0f} mm" if one.rut else WORDS[ground.word[row, column]]
    bounces = ", bounces" if one.bounces else ""
    return f"Read: {said}{bounces}, by {one.vehicle or 'a grader'}{when}{rain}. Alone that says {_alone(one)} by CBR = (k / rut)^(1/{RUT_EXPONENT})."


def _alone(one: Reading) -> str:
    """Bearing ratios that a reading spans, without any error."""
    k = 1000 * rut_constant(tyre_of(one.vehicle).wheel)

    def cbr(rut: float) -> str:
        return f"{(k / rut) ** (1 / RUT_EXPONENT):.2g}"

    if one.rut is not None and one.rut.value > 0:
        return f"CBR {cbr(1000 * one.rut.value)}, k {k:.0f} mm,"
    low, high = RUT_MM[heard(one.word, bounces=one.bounces)]
    if not low:
        return f"CBR above {cbr(high)}, k {k:.0f} mm,"
    if np.isinf(high):
        return f"CBR under {cbr(low)}, k {k:.0f} mm,"
    return f"CBR {cbr(high)} to {cbr(low)}, k {k:.0f} mm,"


def _tied(street: Street, ground: Ground, row: int, column: int) -> str:
    """What was believed before, what it is tied to, and the edges near it."""
    median, spread = default("ground.median").value, default("ground.spread").value
    low, high = (median * np.exp(sign * EIGHT_IN_TEN * spread) for sign in (-1, 1))
    region, edges = ground.places.region, ground.bays.edges_m
    along = [edges[i + 1] for i in range(edges.size - 2) if region[row, i] != region[row, i + 1]]
    near = [
        f"{street.stationing.show(float(edge))}"
        for edge in along
        if edges[column] - 25 <= edge <= edges[column + 1] + 25
    ]
    edge = f"; the edge at {' and '.join(near)} leaves little of that" if near else ""
    return (
        f"Before any reading: CBR {median:.2g} ({low:.2g} to {high:.2g}), a default. Tied to its neighbours: along over {default('ground.length').value:.0f} m, "
        f"across {default('ground.across').value:.2g} a strip{edge}."
    )


def _tested(street: Street, ground: Ground, column: int) -> str:
    """Penetrometer tests near it, and the rut constant."""
    middle = float(ground.bays.middles_m[column])
    near = [one for one in ground.soundings if abs(one.station_m - middle) <= _NEAR]
    k = ground.rut_constant
    constant = f"The street's rut constant: {1000 * k.value:.0f} mm, from {1000 * k.inputs[0].value:.0f} by default."
    if not near:
        return f"Tests: no penetrometer test within {_NEAR:.0f} m. {constant}"
    return f"Tests: {'; '.join(_test(street, one) for one in near)}. {constant}"


def _test(street: Street, one: Sounding) -> str:
    """One test in a few words."""
    equations = " and ".join(
        f"{name_of(equation)} ({weight:.2g})" for equation, weight in zip(one.equations, one.weights, strict=True)
    )
    return f"{one.test} at {street.stationing.show(one.station_m)} strip {one.strip}, CBR {np.exp(one.strength):.2g} by {equations}"


def _hidden(ground: Ground, row: int, column: int) -> str:
    """What no wheel feels, and what the band holds."""
    law = float(np.hypot(default("ground.rut_shared").value, law_scatter(tyre_of("grader").wheel, np.array(1.0))))
    eye = float(np.hypot(default("ground.eye_shared").value, default("ground.eye_place").value))
    errors = f"The band holds the errors of the rut law ({law:.2f} of ln rut) and of the eye ({eye:.2f}); a part of each is one for the whole street"
    chance = float(ground.hidden.chance[row, column])
    if chance == 1:
        return f"Hidden: the test found soft ground under a skin that a grader does not feel. {errors}."
    if chance:
        return f"Hidden: {say_odds(chance)} such places have soft ground under a skin of 100 to 200 mm; a test here tells. {errors}."
    if ground.word[row, column] == 0:
        return f"Hidden: not known, for nobody drove here. {errors}."
    return f"Hidden: no skin; the ground moved, or a test went through it. {errors}."
