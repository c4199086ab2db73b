"""Numbers as the trade writes them: rounded its way, thousands by thin space, times of day."""

from __future__ import annotations

from hardpan.street import Figure
from hardpan.street.words import say_minutes

THIN = "\u2009"
DECIMALS = {
    "kg": 0, "kg/m2": 1, "kg/m3": 0, "m2": 0, "m3": 1, "L": 0, "L/m2": 1, "L/min": 0, "min": 0, "m": 3, "1": 3, "$": 0, "$/m2": 2,
    "kg CO2e": 0, "h": 1,
}  # fmt: skip


def number(value: float, decimals: int = 0) -> str:
    """Number with thin spaces between thousands; trailing zeros of decimals are kept, a minus is a minus sign."""
    text = f"{abs(value):,.{decimals}f}".replace(",", THIN)
    negative = value < 0 and any(digit not in "0." + THIN for digit in text)
    return f"-{text}" if negative else text


def say(figure: Figure, decimals: int | None = None) -> str:
    """Figure with its unit; ``about`` before it where it rests on a default."""
    if figure.unit == "min of day":
        return clock(figure.value)
    shown = number(figure.value, DECIMALS.get(figure.unit, 2) if decimals is None else decimals)
    return f"{about(figure)}{shown}" + ("" if figure.unit == "1" else f" {figure.unit}")


def about(figure: Figure) -> str:
    """``about`` and a blank where a figure rests on a default, else nothing."""
    return "about " if figure.basis.value == "default" else ""


def millimetres(figure: Figure) -> str:
    """Length in whole millimetres."""
    return number(figure.value * 1000, 0)


def clock(minutes: float) -> str:
    """Time of day from minutes after midnight, to the minute; past midnight the hours go on."""
    whole = round(minutes)
    return f"{whole // 60:02d}:{whole % 60:02d}"


hours = say_minutes
