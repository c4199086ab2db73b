"""The words of the slow drive and of the crew, and what they mean in millimetres."""

from __future__ import annotations

from typing import Literal

Word = Literal["nothing", "shows", "ruts", "sinks"]
DepthState = Literal["original", "loose", "rolled"]
WaterWord = Literal["full", "half", "off", "target"]

# what the eye means by each word, millimetres of rut under a grader (common practice, no source)
RUT_MM: dict[Word, tuple[float, float]] = {
    "nothing": (0, 15),
    "shows": (15, 30),
    "ruts": (30, 75),
    "sinks": (75, float("inf")),
}


def word_for(rut: float, *, bounces: bool = False) -> Word:
    """Word for a rut in metres; ``bounces`` lifts nothing to shows and otherwise changes nothing."""
    word: Word = next(word for word, (_, high) in RUT_MM.items() if rut * 1000 < high)
    return heard(word, bounces=bounces)


def heard(word: Word, *, bounces: bool) -> Word:
    """Word as the ground means it: ground that bounces does not do nothing."""
    return "shows" if bounces and word == "nothing" else word


def say_odds(chance: float) -> str:
    """Chance in the words of a crew: ``about 3 in 10``."""
    if not 0.025 <= chance < 0.975:
        return "hardly ever" if chance < 0.5 else "nearly always"
    if chance < 0.075:
        return "about 1 in 20"
    if chance >= 0.925:
        return "about 19 in 20"
    return f"about {round(10 * chance)} in 10"


def say_band(low: float, high: float) -> str:
    """Band of odds beside ``say_odds``: ``between 5 and 9``."""
    return f"between {round(10 * low)} and {round(10 * high)}"


def say_minutes(minutes: float) -> str:
    """Elapsed time: ``2 h 55``, ``45 min``."""
    whole = round(minutes)
    return f"{whole // 60} h {whole % 60:02d}" if whole >= 60 else f"{whole} min"
