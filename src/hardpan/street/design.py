"""What the design tables of street.toml say, checked against the line: strips, crossfall stations, level points, limits."""

from __future__ import annotations

from itertools import pairwise

from hardpan.laws.strips import spreader_strips
from hardpan.street.figure import Notice
from hardpan.street.model import DesignLevel, Line, Section, StreetFile
from hardpan.street.places import Strip, equal_strips
from hardpan.street.problems import Problems
from hardpan.street.resolve import Resolver
from hardpan.street.units import factor, plain

_MOST_STRIPS = 30


def strips_of(line: Line, pan: float, problems: Problems) -> tuple[Strip, ...]:
    """Spreader strips: as many as stated, or as the pan width needs."""
    width = line.width.value
    count = line.strips or spreader_strips(width, pan)[0]
    if count > _MOST_STRIPS:
        found, allowed = f"{count} strips of a {pan:g} m pan", f"{_MOST_STRIPS} strips at most"
        do = "Check the width of the street and of the pan."
        problems.add("street.toml", None, "spreader.pan", found=found, allowed=allowed, do=do)
        count = 1
    return equal_strips(width, count)


def crossfall_stations(section: Section, resolver: Resolver) -> tuple[float, ...]:
    """Stations of the crossfall table, rising."""
    stations = tuple(
        _station(fall.station, f"section.transition.{i}.station", resolver)
        for i, fall in enumerate(section.transition, 1)
    )
    _must_rise(stations, "section.transition", resolver)
    return stations


def level_points(level: DesignLevel, resolver: Resolver) -> tuple[tuple[float, float, float], ...]:
    """Points of vertical intersection: station, level, curve length."""
    points = tuple(
        (_station(point.station, f"level.point.{i}.station", resolver), point.level, point.curve_length)
        for i, point in enumerate(level.point, 1)
    )
    _one_reference(level, resolver.problems)
    if _must_rise([point[0] for point in points], "level.point", resolver) and points:
        _must_reach_ends([point[0] for point in points], resolver)
        _curves_fit(points, resolver.problems)
    return points


def _station(value: str | float, path: str, resolver: Resolver) -> float:
    """Station in metres of a key of street.toml: a number in the street's unit, or a place in words."""
    if isinstance(value, str):
        return resolver.place(value, ("street.toml", None, path), inside=False)
    return value * factor(resolver.stationing.unit, "m")


def _must_rise(stations: tuple[float, ...] | list[float], path: str, resolver: Resolver) -> bool:
    """Whether stations rise; the first that does not is noted, unless a place among them was not found."""
    if any(problem.column.startswith(f"{path}.") for problem in resolver.problems.found):
        return False
    for i, (before, after) in enumerate(pairwise(stations), 2):
        if after <= before:
            show = resolver.stationing.show
            found, allowed = f"{show(after)} after {show(before)}", "each station beyond the one before"
            do = "Put them in order."
            resolver.problems.add("street.toml", None, f"{path}.{i}.station", found=found, allowed=allowed, do=do)
            return False
    return True


def _must_reach_ends(stations: list[float], resolver: Resolver) -> None:
    """Note points that leave part of the street without a design level."""
    line = resolver.stationing
    if len(stations) < 2 or stations[0] > line.first or stations[-1] < line.last:
        many = f"points from {line.show(stations[0])} to {line.show(stations[-1])}"
        found = many if len(stations) > 1 else f"one point, at {line.show(stations[0])}"
        allowed = f"at least two points, from {line.show(line.first)} to {line.show(line.last)}"
        do = "Add the points that are missing."
        resolver.problems.add("street.toml", None, "level.point", found=found, allowed=allowed, do=do)


def _curves_fit(points: tuple[tuple[float, float, float], ...], problems: Problems) -> None:
    """Note vertical curves that overlap or reach beyond the first or last point."""
    for i, ((station, _, curve), (beyond, _, next_curve)) in enumerate(pairwise(points), 2):
        if (curve + next_curve) / 2 > beyond - station + 1e-9:
            found = f"curves of {plain(curve)} and {plain(next_curve)} m on {plain(round(beyond - station, 3))} m"
            problems.add(
                "street.toml",
                None,
                f"level.point.{i}.curve_length",
                found=found,
                allowed="half of both curves within the length between their points",
                do="Shorten a curve or move a point.",
            )
    for i, curve in ((1, points[0][2]), (len(points), points[-1][2])):
        if curve > 0:
            do = "Leave curve_length out there, or add a point beyond it."
            path, found = f"level.point.{i}.curve_length", f"a curve of {plain(curve)} m at an end"
            problems.add("street.toml", None, path, found=found, allowed="no curve at the first and last point", do=do)


def _one_reference(level: DesignLevel, problems: Problems) -> None:
    """Note a design level that is counted from two things, or from nothing."""
    if level.point and level.down_at_edge is not None:
        do = "Keep the surveyed points or the height below the lip, not both."
        problems.add("street.toml", None, "level", found="both point and down_at_edge", allowed="one of the two", do=do)
    elif level.down_at_edge is not None and not level.down_from:
        allowed, do = "what it is measured down from, such as 'lip'", "Add down_from beside down_at_edge."
        problems.add("street.toml", None, "level.down_from", found="nothing", allowed=allowed, do=do)
    elif level.down_from and level.down_at_edge is None:
        allowed, do = f"how far below the {level.down_from}, such as 0.45", "Add down_at_edge beside down_from."
        problems.add("street.toml", None, "level.down_at_edge", found="nothing", allowed=allowed, do=do)


def folder_notices(file: StreetFile, strips: tuple[Strip, ...]) -> tuple[Notice, ...]:
    """What the folder itself gives cause to say."""
    pan, strip = file.spreader.pan.value, strips[0].width
    notices = []
    if pan > strip + 1e-6:
        message = f"the pan is {pan:g} m and a strip {strip:.2f} m: close the pan down to the strip, or the laps are dosed twice"
        notices.append(Notice("range", message, value=f"{pan:g} m", limit=f"{strip:.2f} m"))
    if strip > pan + 1e-6:
        message = f"a strip is {strip:.2f} m and the pan {pan:g} m: the pan leaves bare lanes between the strips"
        notices.append(Notice("range", message, value=f"{strip:.2f} m", limit=f"{pan:g} m"))
    for name, limit in file.limits:
        for one in limit if isinstance(limit, tuple) else (limit,):
            if one is not None and not one.owner:
                message = f"limit {name.replace('_', ' ')}: owner not said"
                notices.append(Notice("limit", message, place=one.source))
    return tuple(notices)
