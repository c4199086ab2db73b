"""Conditions of the work: buried services and their proof, locates, and the forecast against the limits that are written."""

from __future__ import annotations

import datetime as dt

from hardpan.plan.zones import Zone
from hardpan.street import Notice, Street
from hardpan.street.model import PlainLimit
from hardpan.street.street import Structure

SERVICES = ("gas", "water", "power", "telecom", "sewer")
ROOM = 0.2  # metres: ruts and tooth wear below the mixing depth, within which a service must be proven (common practice, no source)


def notice_conditions(street: Street, zones: tuple[Zone, ...], *, days: int) -> tuple[Notice, ...]:
    """Notices on services, on locates over all days of the work, and on the day's weather."""
    services = [one for one in street.structures if one.kind in SERVICES]
    found = [notice for one in services for notice in _service(street, one, zones)]
    return (*found, *_locates(street, services, days), *_weather(street))


def _service(street: Street, service: Structure, zones: tuple[Zone, ...]) -> list[Notice]:
    """A service that is not proven, or that the drum may reach."""
    place = f"{service.id}, {street.stationing.place(service.start)}"
    deepest = max(
        (zone.depth.value for zone in zones for piece in zone.pieces if _under(service, piece.start_m, piece.end_m)),
        default=0.0,
    )
    if service.top_depth is None:
        return [
            Notice("safety", f"the depth of this {service.kind} service is not known: expose it before mixing", place)
        ]
    notices = []
    if service.top_depth.value < deepest + ROOM:
        message = f"this {service.kind} service lies {service.top_depth.value * 1000:.0f} mm down, the drum goes {deepest * 1000:.0f}: no machine over it until its owner agrees"
        notices.append(
            Notice(
                "safety",
                message,
                place,
                f"{service.top_depth.value * 1000:.0f} mm",
                f"{(deepest + ROOM) * 1000:.0f} mm",
            )
        )
    if not service.exposed:
        notices.append(
            Notice(
                "safety", f"this {service.kind} service is not said to be exposed: prove its depth before mixing", place
            )
        )
    return notices


def _under(service: Structure, start: float, end: float) -> bool:
    """Whether a service touches a stretch."""
    return service.start <= end and service.end >= start


def _locates(street: Street, services: list[Structure], days: int) -> list[Notice]:
    """Locates that are not said, or that end before the work."""
    valid, date = street.file.locates.valid_to, street.file.shift.date
    if valid is None:
        return [
            Notice(
                "safety", "locates: how long they are valid is not said; mixing is ground disturbance, locates first"
            )
        ]
    last = date + dt.timedelta(days=days - 1) if date is not None else None
    if last is not None and valid < last:
        message = f"the locates end on {valid.day} {valid:%B}, the work on {last.day} {last:%B} or later: renew them"
        return [Notice("safety", message, value=f"{valid.day} {valid:%B}", limit=f"{last.day} {last:%B}")]
    if not services:
        return [Notice("safety", "no buried service is listed in structures.csv: check the locate sheets")]
    return []


def _weather(street: Street) -> list[Notice]:
    """Forecast against the limits on wind, air and frost; nothing where no limit is written."""
    weather, limits = street.file.weather, street.file.limits
    wind = max((value for value in (weather.wind_to_km_h, weather.gusts_km_h) if value is not None), default=None)
    notices = []
    if limits.wind_km_h and wind is not None and wind > limits.wind_km_h.value:
        notices.append(_passed(f"wind to {wind:g} km/h: no spreading", limits.wind_km_h, "km/h"))
    if limits.air_temperature_c and weather.low_c is not None and weather.low_c < limits.air_temperature_c.value:
        notices.append(_passed(f"air from {weather.low_c:g} \u00b0C", limits.air_temperature_c, "\u00b0C"))
    if limits.frost_free_days and weather.next_nights_low_c is not None and weather.next_nights_low_c <= 0:
        notices.append(
            _passed(
                f"frost in the next nights ({weather.next_nights_low_c:+g} \u00b0C)",
                limits.frost_free_days,
                "frost-free days",
            )
        )
    return notices


def _passed(what: str, limit: PlainLimit, unit: str) -> Notice:
    """Notice of a forecast that passes a limit."""
    message = f"{what}; the limit is {limit.value:g} {unit} ({limit.owner or 'owner not said'}, {limit.source or 'source not said'})"
    return Notice("limit", message, limit=f"{limit.value:g} {unit}")
