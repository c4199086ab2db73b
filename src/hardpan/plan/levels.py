"""Levels: design and pre-grade at every stake and side offset, with ramps between zones, and what the operator steers by."""

from __future__ import annotations

from dataclasses import dataclass

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

    def __init__(self, street: Street, zones: tuple[Zone, ...], lows: tuple[float, ...]) -> None:
        self.first, self.last = street.stationing.first, street.stationing.last
        self.ramp = min(street.file.level.ramp.value, street.stationing.length)
        self.middles = np.array([strip.middle for strip in street.strips])
        self.steps = [_strip_steps(zones, lows, strip.number) for strip in street.strips]

    def at(self, station: float, side_offset: float) -> float:
        """Low in metres at a station and side offset."""
        along = [self._along(edges, values, station) for edges, values in self.steps]
        return float(np.interp(side_offset, self.middles, along))

    def _along(self, edges: Floats, values: Floats, station: float) -> float:
        """Mean low of one strip over the ramp length round a station, inside the street."""
        start, end = max(station - self.ramp / 2, self.first), min(station + self.ramp / 2, self.last)
        sums = np.concatenate([[0.0], np.cumsum(values * np.diff(edges))])
        return float(np.diff(np.interp([start, end], edges, sums))[0] / (end - start))

    def ramps(self) -> list[tuple[float, float]]:
        """Start and end station of the ramp over every painted edge, in order; those of near edges overlap."""
        half = self.ramp / 2
        edges = {
            float(edges[i + 1])
            for edges, values in self.steps
            for i in np.flatnonzero(np.abs(np.diff(values)) > SAME_LEVEL)
        }
        return [(max(edge - half, self.first), min(edge + half, self.last)) for edge in sorted(edges)]


def _strip_steps(zones: tuple[Zone, ...], lows: tuple[float, ...], strip: int) -> tuple[Floats, Floats]:
    """Edges and lows along one strip."""
    pieces = sorted(
        (piece.start_m, piece.end_m, low)
        for zone, low in zip(zones, lows, strict=True)
        for piece in zone.pieces
        if piece.strip == strip
    )
    return np.array([pieces[0][0], *(piece[1] for piece in pieces)]), np.array([piece[2] for piece in pieces])


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
    surface, field = DesignSurface(street), LowField(street, zones, tuple(balance.low.value for balance in balances))
    stakes = _stakes(street, surface, field, tuple(balance.low for balance in balances))
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
    return Levels(
        surface.reference, stakes, _check_shots(street, stakes), volume, mass, loads, _notices(street, surface)
    )


def _stakes(street: Street, surface: DesignSurface, field: LowField, lows: tuple[Figure, ...]) -> tuple[Stake, ...]:
    """Every stake with its points."""
    ramps = field.ramps()
    stations = stake_stations(street, ramps)
    offsets = sorted({-street.width / 2, 0.0, street.width / 2, *street.file.level.side_offset})
    designs = {side_offset: surface.at(np.array(stations), side_offset) for side_offset in offsets}
    hubs = {round(level.station, 3): level.level for level in street.levels if level.kind == "hub"}
    stakes = []
    for i, station in enumerate(stations):
        hub = next((hub for place, hub in hubs.items() if abs(place - station) <= HUB_REACH), None)
        points = tuple(
            _point(
                surface,
                side_offset,
                float(designs[side_offset][i]),
                low=field.at(station, side_offset),
                lows=lows,
                hub=hub,
            )
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
    outside = {round(station, 6) for station in regular if not any(start < station < end for start, end in ramps)}
    ends = {round(place, 6) for ramp in ramps for place in ramp}
    return sorted(station for station in outside | ends if stationing.first <= station <= stationing.last)


def _point(
    surface: DesignSurface,
    side_offset: float,
    design: float,
    *,
    low: float,
    lows: tuple[Figure, ...],
    hub: Figure | None,
) -> StakePoint:
    """One point of a stake."""
    side = "centre" if side_offset == 0 else f"{'left' if side_offset < 0 else 'right'} {abs(side_offset):g}"
    source = (
        "design line and crossfall"
        if surface.reference == "datum"
        else f"below the {surface.reference}, with the crossfall"
    )
    designed = Figure("design level", design, "m", surface.basis, source)
    lowered = worked(
        "low", low, "m", *lows, formula="the zone's low; in a ramp the straight line between two zones' lows"
    )
    pre_grade = worked("pre-grade level", design - low, "m", designed, lowered, formula="design level - low")
    cut = (
        worked("cut from hub", hub.value - pre_grade.value, "m", hub, pre_grade, formula="hub level - pre-grade level")
        if hub
        else None
    )
    return StakePoint(side, side_offset, designed, lowered, pre_grade, cut)


def _check_shots(street: Street, stakes: tuple[Stake, ...]) -> tuple[CheckShot, ...]:
    """Six places along the street, left, centre and right in turn, at the nearest stakes."""
    shots = []
    for i in range(CHECK_SHOTS):
        wanted = street.stationing.first + street.stationing.length * (i + 0.5) / CHECK_SHOTS
        stake = min(stakes, key=lambda stake: abs(stake.station_m - wanted))
        side = (0, len(stake.points) // 2, len(stake.points) - 1)[i % 3]
        point = stake.points[side]
        shots.append(CheckShot(stake.station_m, street.stationing.place(stake.station_m), point.name, point.pre_grade))
    return tuple(shots)


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
