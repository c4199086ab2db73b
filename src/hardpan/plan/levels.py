"""Levels: design and pre-grade at every stake and side offset, with ramps between zones, and what the operator steers by."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import ArrayLike, NDArray

from hardpan.laws import earthwork, profile, section
from hardpan.plan.balance import ZoneBalance
from hardpan.plan.zones import Zone
from hardpan.street import Basis, Figure, Notice, Street
from hardpan.street.defaults import default
from hardpan.street.figure import weakest, worked

Floats = NDArray[np.float64]
SAME_LEVEL = 0.0005  # metres: lows nearer than this need no ramp
HUB_REACH = 0.5  # metres along the line within which a hub belongs to a stake
SAME_PLACE = 1e-5  # metres: stations nearer than this are one stake
CHECK_SHOTS = 6


@dataclass(frozen=True, slots=True)
class StakePoint:
    """One point of a stake line; levels in metres, ``low`` below design, ``cut_from_hub`` down from the hub's top."""

    name: str
    side_offset_m: float
    design: Figure
    low: Figure
    pre_grade: Figure
    cut_from_hub: Figure | None


@dataclass(frozen=True, slots=True)
class Stake:
    """All points at one station."""

    station_m: float
    seen_by: str
    remark: str
    hub: Figure | None
    points: tuple[StakePoint, ...]


@dataclass(frozen=True, slots=True)
class CheckShot:
    """A place to shoot before spreading; ``pre_grade`` is what the rod should find."""

    station_m: float
    place: str
    point: str
    pre_grade: Figure


@dataclass(frozen=True, slots=True)
class Levels:
    """Stakes in order, six check shots, and what the trim takes off.

    ``reference`` says what levels are measured from: ``datum``, a thing such as ``lip`` (levels are then below it, negative), or
    ``design`` where neither is known and only the lows count.
    """

    reference: str
    stakes: tuple[Stake, ...]
    check_shots: tuple[CheckShot, ...]
    trim_volume: Figure
    trim_mass: Figure
    trim_loads: Figure
    notices: tuple[Notice, ...]


class LowField:
    """How low the ground is shaped anywhere: constant in a zone, a straight ramp over each painted edge, over one strip sideways.

    A ramp of length r centred on the edge is the mean of the zone lows over r; so two edges nearer than r make one smooth ramp.
    """

    def __init__(self, street: Street, zones: tuple[Zone, ...], lows: tuple[Figure, ...]) -> None:
        self.first, self.last = street.stationing.first, street.stationing.last
        self.ramp = min(street.file.level.ramp.value, street.stationing.length)
        self.middles = np.array([strip.middle for strip in street.strips])
        self.lows = lows
        self.steps = [_strip_steps(zones, lows, strip.number) for strip in street.strips]

    def at(self, station: float, side_offset: float) -> Figure:
        """Low at a station and side offset, worked out from the lows of the zones it rests on."""
        along = [self._along(step, station) for step in self.steps]
        value = float(np.interp(side_offset, self.middles, along))
        return worked(
            "low", value, "m", *self._resting_on(station, side_offset),
            formula="the zone's low; in a ramp the straight line between two zones' lows",
        )  # fmt: skip

    def _window(self, station: float) -> tuple[float, float]:
        """Stretch of a ramp's length round a station, inside the street."""
        return max(station - self.ramp / 2, self.first), min(station + self.ramp / 2, self.last)

    def _along(self, step: _Step, station: float) -> float:
        """Mean low of one strip over the ramp length round a station."""
        start, end = self._window(station)
        sums = np.concatenate([[0.0], np.cumsum(step.lows * np.diff(step.edges))])
        return float(np.diff(np.interp([start, end], step.edges, sums))[0] / (end - start))

    def _resting_on(self, station: float, side_offset: float) -> tuple[Figure, ...]:
        """Lows of the zones inside the window on the strip, or the two strips, that a side offset lies between."""
        start, end = self._window(station)
        place = float(np.interp(side_offset, self.middles, np.arange(self.middles.size)))
        found = {
            int(zone)
            for strip in {math.floor(place), math.ceil(place)}
            for zone, (left, right) in zip(self.steps[strip].zones, pairwise(self.steps[strip].edges), strict=True)
            if left < end - SAME_PLACE and right > start + SAME_PLACE
        }
        return tuple(self.lows[zone] for zone in sorted(found))

    def ramps(self) -> list[tuple[float, float]]:
        """Start and end station of the ramp over every painted edge, in order; those of near edges overlap."""
        half = self.ramp / 2
        edges = {
            float(step.edges[i + 1])
            for step in self.steps
            for i in np.flatnonzero(np.abs(np.diff(step.lows)) > SAME_LEVEL)
        }
        return [(max(edge - half, self.first), min(edge + half, self.last)) for edge in sorted(edges)]


@dataclass(frozen=True, slots=True, eq=False)
class _Step:
    """One strip's zones along it: edges of n + 1 stations, n lows [m], n zones by index."""

    edges: Floats
    lows: Floats
    zones: NDArray[np.intp]


def _strip_steps(zones: tuple[Zone, ...], lows: tuple[Figure, ...], strip: int) -> _Step:
    """Zones along one strip."""
    pieces = sorted(
        (piece.start_m, piece.end_m, i) for i, zone in enumerate(zones) for piece in zone.pieces if piece.strip == strip
    )
    index = np.array([i for _, _, i in pieces])
    edges = np.array([pieces[0][0], *(end for _, end, _ in pieces)])
    return _Step(edges, np.array([lows[i].value for i in index]), index)


class DesignSurface:
    """Design level at any station and side offset, above the datum or below the thing it is measured from."""

    def __init__(self, street: Street) -> None:
        self.street = street
        self.edge = street.width / 2
        self.points = street.level_points
        self.down = street.file.level.down_at_edge
        self.line = (
            profile.Profile(*(np.array(column) for column in zip(*self.points, strict=True))) if self.points else None
        )

    @property
    def reference(self) -> str:
        """What the levels are measured from."""
        if self.line is not None:
            return "datum"
        return (self.street.file.level.down_from or "edge") if self.down is not None else "design"

    @property
    def basis(self) -> Basis:
        """Basis of the design surface."""
        return weakest(
            *(figure.basis for figure in (self.down, self.street.file.section.crossfall) if figure is not None)
        )

    def below_crown(self, stations: ArrayLike, side_offset: float) -> Floats:
        """Height below the crown [m]."""
        file = self.street.file.section
        left = right = np.full_like(np.asarray(stations, dtype=float), file.crossfall.value)
        if file.transition:
            breaks = self.street.crossfall_stations
            left = section.crossfall_at(stations, breaks, [fall.left.value for fall in file.transition])
            right = section.crossfall_at(stations, breaks, [fall.right.value for fall in file.transition])
        return section.height_below_crown(
            side_offset, left_crossfall=left, right_crossfall=right, crown_offset=file.crown_side_offset
        )

    def at(self, stations: ArrayLike, side_offset: float) -> Floats:
        """Design level [m] at stations, shape of ``stations``."""
        here = self.below_crown(stations, side_offset)
        if self.line is not None:
            return profile.level_at(self.line, stations) + self.below_crown(stations, 0.0) - here
        if self.down is None:
            return np.zeros_like(here)
        edge = -self.edge if side_offset < 0 else self.edge
        return -self.down.value + self.below_crown(stations, edge) - here


def set_levels(street: Street, zones: tuple[Zone, ...], balances: tuple[ZoneBalance, ...]) -> Levels:
    """Levels of the whole street."""
    surface, field = DesignSurface(street), LowField(street, zones, tuple(balance.low for balance in balances))
    stakes = _stakes(street, surface, field)
    trim = street.file.level.trim
    area = worked(
        "area",
        sum(zone.area.value for zone in zones),
        "m2",
        *(zone.area for zone in zones),
        formula="sum of the zones' areas",
    )
    volume = worked(
        "trim volume",
        float(earthwork.trim_volume(area.value, trim.value)),
        "m3",
        area,
        trim,
        formula="area x trim allowance",
    )
    density, load = default("trim.density"), street.file.dig_out.truck_load
    mass = worked("trim mass", volume.value * density.value, "kg", volume, density, formula="trim volume x wet density")
    loads = worked(
        "trim loads",
        float(earthwork.truck_loads(volume.value, density.value, load.value)),
        "1",
        mass,
        load,
        formula="mass / truck load, rounded up",
    )
    shots = tuple(
        CheckShot(stake.station_m, street.stationing.place(stake.station_m), point.name, point.pre_grade)
        for stake, point in check_shots(stakes, range(len(stakes[0].points)))
    )
    return Levels(surface.reference, stakes, shots, volume, mass, loads, _notices(street, surface))


def _stakes(street: Street, surface: DesignSurface, field: LowField) -> tuple[Stake, ...]:
    """Every stake with its points."""
    ramps = field.ramps()
    stations = stake_stations(street, ramps)
    offsets = sorted({-street.width / 2, 0.0, street.width / 2, *street.file.level.side_offset})
    designs = {side_offset: surface.at(np.array(stations), side_offset) for side_offset in offsets}
    above_datum = [level for level in street.levels if level.kind == "hub" and surface.reference == "datum"]
    hubs = {round(level.station, 3): level.level for level in above_datum}
    stakes = []
    for i, station in enumerate(stations):
        hub = next((hub for place, hub in hubs.items() if abs(place - station) <= HUB_REACH), None)
        points = tuple(
            _point(surface, side_offset, float(designs[side_offset][i]), low=field.at(station, side_offset), hub=hub)
            for side_offset in offsets
        )
        stakes.append(Stake(station, street.stationing.words(station), _remark(station, ramps), hub, points))
    return tuple(stakes)


def _remark(station: float, ramps: list[tuple[float, float]]) -> str:
    """Whether a ramp starts or ends at a stake, or bends there because two ramps overlap."""
    starts, ends = (any(abs(ramp[i] - station) < SAME_PLACE for ramp in ramps) for i in (0, 1))
    inside = any(start + SAME_PLACE < station < end - SAME_PLACE for start, end in ramps)
    if (starts or ends) and (inside or (starts and ends)):
        return "ramp bends"
    return "ramp starts" if starts else "ramp ends" if ends else ""


def stake_stations(street: Street, ramps: list[tuple[float, float]]) -> list[float]:
    """Stations of stakes: regular on level ground, closer in crossfall transitions, at both ends of each ramp and no other inside one."""
    stationing, level = street.stationing, street.file.level
    regular = set(np.arange(0.0, stationing.last + 1e-9, level.stake_spacing.value).tolist())
    for start, end in zip(street.crossfall_stations, street.crossfall_stations[1:], strict=False):
        regular |= set(np.arange(start, end + 1e-9, level.stake_spacing_transition.value).tolist())
    regular |= {stationing.first, stationing.last}
    outside = {station for station in regular if not any(start < station < end for start, end in ramps)}
    ends = {place for ramp in ramps for place in ramp}
    inside = [
        station for station in outside | ends if stationing.first - SAME_PLACE < station < stationing.last + SAME_PLACE
    ]
    places = {min(max(round(station, 6), stationing.first), stationing.last) for station in inside}
    return sorted(places)


def _point(surface: DesignSurface, side_offset: float, design: float, *, low: Figure, hub: Figure | None) -> StakePoint:
    """One point of a stake."""
    side = "centre" if side_offset == 0 else f"{'left' if side_offset < 0 else 'right'} {round(abs(side_offset), 2):g}"
    source = (
        "design line and crossfall"
        if surface.reference == "datum"
        else f"below the {surface.reference}, with the crossfall"
    )
    designed = Figure("design level", design, "m", surface.basis, source)
    pre_grade = worked("pre-grade level", design - low.value, "m", designed, low, formula="design level - low")
    cut = (
        worked("cut from hub", hub.value - pre_grade.value, "m", hub, pre_grade, formula="hub level - pre-grade level")
        if hub
        else None
    )
    return StakePoint(side, side_offset, designed, low, pre_grade, cut)


def check_shots(stakes: Sequence[Stake], points: Sequence[int]) -> list[tuple[Stake, StakePoint]]:
    """Six places along some stakes, the first, middle and last of some points in turn, at the nearest stakes."""
    first, length = stakes[0].station_m, stakes[-1].station_m - stakes[0].station_m
    shots = []
    for i in range(CHECK_SHOTS):
        wanted = first + length * (i + 0.5) / CHECK_SHOTS
        stake = min(stakes, key=lambda stake: abs(stake.station_m - wanted))
        shots.append((stake, stake.points[(points[0], points[len(points) // 2], points[-1])[i % 3]]))
    return shots


def _notices(street: Street, surface: DesignSurface) -> tuple[Notice, ...]:
    """Allowances nobody stated, and a design level nobody gave."""
    notices = []
    for figure in (street.file.level.trim, street.file.level.settlement):
        if figure.basis is Basis.DEFAULT:
            notices.append(Notice("default", f"{figure.name}: {figure.source.removeprefix('default, ')}; 0 is used"))
    if surface.reference == "design":
        notices.append(
            Notice(
                "missing",
                "no design level is known: only how low below design can be said; give level.down_at_edge or level.point",
            )
        )
    notices.append(Notice("safety", "cut only: never fill thin; a thin fill peels"))
    return tuple(notices)
