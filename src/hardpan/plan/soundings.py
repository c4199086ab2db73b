"""Penetrometer tests read as profiles: how strong at which depth, and what that means for wheel, mixer and plate."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import groupby

import numpy as np
from numpy.typing import NDArray

from hardpan.errors import LawError
from hardpan.laws.penetrometer import cbr_d6951, cbr_trl, interval_rates
from hardpan.street import Notice, Street
from hardpan.street.defaults import default
from hardpan.street.street import PenetrometerReading

Floats = NDArray[np.float64]

FELT = (0.075, 0.230)
"""Depths whose ground one pass of a wheel feels (Vennik and others 2017) [m]."""

SKIN = 0.100
"""Thickness that a skin has at the least [m]; soft ground is looked for below it."""

_DEEPEST = 0.500  # skins are 100 to 200 mm thick: where soft ground under them begins is seen above this depth [m]
_BAND = 0.150  # least thickness that counts as ground of its own [m]
_SKIN_OVER = 2.0  # times as strong as the ground below it: then it is a skin
_FINE = 0.010  # step of the profile [m]
_SURE_OF_DEPTH = 0.050  # soft ground left under the mixer that is worth a word [m]
_OWN = {"silt": "general", "lean clay": "CL", "fat clay": "CH"}
_FULL_NAMES = {
    "general": "ASTM D6951",
    "CL": "ASTM D6951 lean clay",
    "CH": "ASTM D6951 fat clay",
    "TRL": "TRL 60 degree cone",
}


@dataclass(frozen=True, slots=True, eq=False)
class Sounding:
    """One test.

    ``tops_m`` and ``bottoms_m`` bound its intervals, ``rate_m`` is metres a blow there, ``cbr`` the bearing ratio [%] by the
    equations named in ``equations`` with their ``weights``, ``apart`` the scatter of ln CBR between them.
    """

    test: str
    station_m: float
    strip: int
    tops_m: Floats
    bottoms_m: Floats
    rate_m: Floats
    cbr: Floats
    equations: tuple[str, ...]
    weights: tuple[float, ...]
    apart: float

    @property
    def end_m(self) -> float:
        """Depth at which the test ended."""
        return float(self.bottoms_m[-1])

    @property
    def felt(self) -> float:
        """Of what a wheel feels, ln CBR; of the whole profile where the test is too short."""
        return self._mean(*FELT)

    @property
    def top(self) -> float:
        """Of the uppermost 100 mm, ln CBR."""
        return self._mean(0.0, SKIN)

    @property
    def under(self) -> float:
        """Of the softest 150 mm below a skin's least thickness, ln CBR."""
        bottom = min(_DEEPEST, self.end_m)
        starts = np.arange(SKIN, max(bottom - _BAND, SKIN) + _FINE / 2, _FINE)
        return min(self._mean(float(start), float(start) + _BAND) for start in starts)

    @property
    def skin(self) -> bool:
        """Whether firm ground lies over ground half as strong or less."""
        return bool(self.top - self.under > np.log(_SKIN_OVER))

    @property
    def strength(self) -> float:
        """What decides, ln CBR: of the soft ground under a skin, else of what a wheel feels."""
        return self.under if self.skin else self.felt

    def soft(self, below_cbr: float) -> list[tuple[float, float]]:
        """Depths between which the ground is softer than a bearing ratio."""
        runs: list[tuple[float, float]] = []
        for top, bottom, cbr in zip(self.tops_m, self.bottoms_m, self.cbr, strict=True):
            if cbr >= below_cbr:
                continue
            if runs and abs(runs[-1][1] - top) < _FINE / 2:
                runs[-1] = (runs[-1][0], float(bottom))
            else:
                runs.append((float(top), float(bottom)))
        return runs

    def _mean(self, top: float, bottom: float) -> float:
        """Mean of ln CBR between two depths, by thickness; of the nearest ground where the test does not reach them."""
        inside = np.minimum(self.bottoms_m, bottom) - np.maximum(self.tops_m, top)
        thickness = np.maximum(inside, 0)
        if thickness.sum() <= 0:
            return float(np.log(self.cbr[0 if bottom <= self.tops_m[0] else -1]))
        return float(np.average(np.log(self.cbr), weights=thickness))


def read_soundings(street: Street) -> tuple[tuple[Sounding, ...], tuple[Notice, ...]]:
    """Tests of the street in file order, and remarks on those that tell nothing."""
    soundings, notices = [], []
    for test, rows in groupby(sorted(street.penetrometer, key=lambda one: one.test), key=lambda one: one.test):
        try:
            soundings.append(_sounding(street, test, list(rows)))
        except LawError as error:
            notices.append(Notice("missing", f"penetrometer test {test} tells nothing: {error}", f"test {test}"))
    order = {one.test: index for index, one in reversed(list(enumerate(street.penetrometer)))}
    return tuple(sorted(soundings, key=lambda one: order[one.test])), tuple(notices)


def _sounding(street: Street, test: str, rows: list[PenetrometerReading]) -> Sounding:
    """One test: rows without a blow only say where the cone stood, and are merged into the next interval."""
    rows = [row for index, row in enumerate(rows) if index == 0 or row.row.blows > 0]
    depths = np.array([row.row.depth.value for row in rows])
    blows = np.array([row.row.blows for row in rows], dtype=float)
    if blows[0] > 0:  # the first row already counts blows: they began at the surface
        depths, blows = np.concatenate([[0.0], depths]), np.concatenate([[0.0], blows])
    rate = np.maximum(interval_rates(np.cumsum(blows), depths), 1e-4)  # a refusal reads as very firm ground
    equations, weights = weighted_equations(street.file.soil.word, classified=street.file.soil.classified)
    logs = np.stack([np.log(_by(equation, rate)) for equation in equations])
    share = np.asarray(weights)[:, None]
    middle = (share * logs).sum(axis=0)
    apart = float(np.sqrt((share * (logs - middle) ** 2).sum(axis=0)).mean())
    first = rows[0]
    return Sounding(
        test, first.station, first.row.strip, depths[:-1], depths[1:], rate, np.exp(middle), equations, weights, apart
    )


def weighted_equations(soil: str, *, classified: bool) -> tuple[tuple[str, ...], tuple[float, ...]]:
    """Equations for a soil and their weights: its own alone where a laboratory named the soil, else the others beside it."""
    own = _OWN[soil]
    if classified:
        return (own,), (1.0,)
    share = default("ground.cone_own").value
    weights = {own: share}
    for other in ("general", "TRL"):
        weights[other] = weights.get(other, 0.0) + (1 - share) / 2
    return tuple(weights), tuple(weights.values())


def name_of(equation: str) -> str:
    """Full name of an equation."""
    return _FULL_NAMES[equation]


def _by(equation: str, rate: Floats) -> Floats:
    """Bearing ratio by one equation."""
    if equation == "TRL":
        return cbr_trl(rate)
    return cbr_d6951(rate, "general" if equation == "general" else "CL" if equation == "CL" else "CH")


def depth_findings(street: Street, sounding: Sounding) -> tuple[Notice, ...]:
    """What a test says of depth: a skin, soft ground that the mixer reaches or does not, a test that ends too early."""
    soft_below, reach = default("ground.soft_below").value, street.file.mixer.deepest.value
    place = f"{street.painted(sounding.station_m)}, strip {sounding.strip}"
    found = []
    soft = sounding.soft(soft_below)
    if sounding.skin:
        found.append(
            Notice(
                "judgement",
                f"a skin over soft ground: CBR about {np.exp(sounding.top):.2g} on top, {np.exp(sounding.under):.2g} under it",
                place,
            )
        )
    deepest = soft[-1][1] if soft else 0.0
    if soft and deepest > reach + _SURE_OF_DEPTH:
        left = "at least " if deepest >= sounding.end_m - _FINE / 2 else ""
        found.append(
            Notice(
                "limit",
                f"soft to {1000 * deepest:.0f} mm: the mixer reaches {1000 * reach:.0f} mm and leaves {left}{1000 * (deepest - max(reach, soft[-1][0])):.0f} mm of soft "
                "ground under the plate; dig out, or a second lift: the engineer decides",
                place,
                f"{1000 * deepest:.0f} mm",
                f"{1000 * reach:.0f} mm",
            )
        )
    elif soft and deepest < sounding.end_m - _FINE / 2:
        found.append(
            Notice("judgement", f"soft to {1000 * deepest:.0f} mm, firm below: the mixer reaches through it", place)
        )
    if sounding.end_m < reach:
        found.append(
            Notice(
                "missing",
                f"the test ends at {1000 * sounding.end_m:.0f} mm, above the {1000 * reach:.0f} mm that the mixer reaches: it does not tell what lies under the plate",
                place,
            )
        )
    return tuple(found)
