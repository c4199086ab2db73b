"""Sentences of a record, each with the entries it rests on."""

from __future__ import annotations

from dataclasses import dataclass

from hardpan.compare.held import NO_LIMIT, Bounds
from hardpan.exchange.record.words import NOT_RECORDED, amount
from hardpan.street import Figure

SIDES = {"inside": "inside", "outside": "outside", "no limit": "without a limit", "not comparable": "not comparable"}


@dataclass(frozen=True, slots=True)
class Said:
    """A sentence; ``entries`` are what it rests on, ``folder`` the file of the street folder that it rests on instead."""

    words: str
    entries: tuple[str, ...] = ()
    folder: str = ""

    @property
    def gap(self) -> bool:
        """Whether it says that something was not recorded."""
        return self.words.startswith(NOT_RECORDED)


@dataclass(frozen=True, slots=True)
class Answer:
    """One of the ten questions with what the record says."""

    number: int
    question: str
    said: tuple[Said, ...]


def not_recorded(what: str = "") -> Said:
    """That something was not recorded."""
    return Said(f"{NOT_RECORDED}{f': {what}' if what else ''}")


def value_words(figure: Figure, decimals: int = 1) -> str:
    """Figure with its unit; lengths under a metre in millimetres."""
    if figure.unit == "m" and abs(figure.value) < 1:
        return f"{amount(1000 * figure.value, 0)} mm"
    unit = {"kg/m2": "kg/m\u00b2", "kg/m3": "kg/m\u00b3", "C": "\u00b0C"}.get(figure.unit, figure.unit)
    return f"{amount(figure.value, decimals)} {unit}"


def bounds_words(limit: Bounds | None, decimals: int = 1) -> str:
    """``limit 13 mm, engineer, job limits 9``; that none is written where there is none."""
    if limit is None:
        return NO_LIMIT
    ends = [value_words(end, decimals) for end in (limit.low, limit.high) if end is not None]
    side = "" if len(ends) == 2 else "at least " if limit.low is not None else "at most "
    return f"limit {side}{' to '.join(ends)}, {limit.by}"


def held_words(limit: Bounds | None, verdict: str, decimals: int = 1) -> str:
    """Limit and side in one; a figure without a limit has no side."""
    return bounds_words(limit, decimals) + ("" if limit is None and verdict == "no limit" else f": {verdict}")


def squared(words: str) -> str:
    """Our own words with their units as they are printed: ``kg/m\u00b2``."""
    return words.replace("/m2", "/m\u00b2").replace("/m3", "/m\u00b3").replace("[m2]", "[m\u00b2]")
