"""Places as people say them: stations, landmarks, strips.

A place is a station (``0+140``), a landmark (``pole 4``) or a distance from one (``3 m past pole 4``); it resolves to a station and prints
back the same way. Strips count from 1 at the left, looking up-station.
"""

from __future__ import annotations

import difflib
import re
from dataclasses import dataclass

from hardpan.street.figure import Figure
from hardpan.street.units import UnitError, factor, number, quantity

_SHORTEST = 0.05  # metres: nearer than this two places are one


class PlaceError(ValueError):
    """A place that cannot be found; ``.allowed`` and ``.do`` help."""

    def __init__(self, allowed: str, do: str) -> None:
        super().__init__(f"allowed: {allowed}. {do}")
        self.allowed = allowed
        self.do = do


@dataclass(frozen=True, slots=True)
class Landmark:
    """A fixed thing that everybody sees."""

    name: str
    station: float
    side: str


@dataclass(frozen=True, slots=True)
class Strip:
    """One spreader width; ``left`` and ``right`` are side offsets from the centreline in metres, left negative."""

    number: int
    left: float
    right: float

    @property
    def width(self) -> float:
        """Width in metres."""
        return self.right - self.left

    @property
    def middle(self) -> float:
        """Side offset of its middle in metres."""
        return (self.left + self.right) / 2


@dataclass(frozen=True, slots=True)
class Stationing:
    """How stations are counted on one street: metres inside, the street's own style on paper.

    Styles: ``0+000 m`` (kilometre + metres), ``0+00 m`` (100 m + metres), ``0+00 ft`` (100 ft + feet).
    """

    style: str
    first: float
    length: float
    landmarks: tuple[Landmark, ...] = ()

    @property
    def last(self) -> float:
        """Station of the end in metres."""
        return self.first + self.length

    @property
    def unit(self) -> str:
        """Unit of the style."""
        return self.style.rsplit(" ", 1)[1]

    @property
    def digits(self) -> int:
        """Digits after the plus."""
        return len(self.style.split("+")[1].split(" ")[0])

    def show(self, station: float) -> str:
        """Station in the street's style, to a tenth where it is not whole: 140.0 is ``0+140``."""
        shown = round(station / factor(self.unit, "m"), 1)
        sign, shown = ("-", -shown) if shown < 0 else ("", shown)
        whole, rest = divmod(shown, 10**self.digits)
        text = f"{rest:0{self.digits + 2}.1f}"
        return f"{sign}{whole:.0f}+{text.removesuffix('.0')}"

    def words(self, station: float) -> str:
        """Station by its nearest landmark, such as ``3 m past pole 4``; the bare station where there is no landmark."""
        for name, place in (("start", self.first), ("end", self.last)):
            if abs(station - place) < _SHORTEST:
                return name
        if not self.landmarks:
            return self.show(station)
        nearest = min(
            self.landmarks, key=lambda landmark: (round(abs(landmark.station - station), 6), landmark.station)
        )
        away = round((station - nearest.station) / factor(self.unit, "m"), 1)
        if away == 0:
            return nearest.name
        return f"{abs(away):g} {self.unit} {'past' if away > 0 else 'before'} {nearest.name}"

    def place(self, station: float) -> str:
        """Landmark words with the station in brackets: ``3 m past pole 4 (0+143)``."""
        words, shown = self.words(station), self.show(station)
        return shown if words == shown else f"{words} ({shown})"

    def read(self, text: str, *, inside: bool = True) -> float:
        """Station in metres of a place as people say it.

        Raises
        ------
        PlaceError
            When no station or landmark is meant by ``text``, or when it lies off the street and ``inside`` is true.
        """
        station = self._station(text.strip())
        if inside and not self.first - _SHORTEST <= station <= self.last + _SHORTEST:
            raise PlaceError(f"{self.show(self.first)} to {self.show(self.last)}", "That lies off the street.")
        return min(max(station, self.first), self.last) if inside else station

    def _station(self, text: str) -> float:
        """Station in metres, on the street or off it."""
        if text.lower() in ("start", "end"):
            return self.first if text.lower() == "start" else self.last
        if "+" in text and text[:1].isdigit():
            return self._plus_station(text)
        if re.fullmatch(r"[\d.,]+", text):
            return number(text, decimal_comma=True) * factor(self.unit, "m")
        away = re.fullmatch(r"(?P<far>[\d.,]+\s*[a-zA-Z]+)\s+(?P<way>past|before|after)\s+(?P<name>.+)", text)
        if away:
            try:
                distance = quantity(away["far"], "m", decimal_comma=True)
            except UnitError as error:
                raise PlaceError("a distance like 3 m or 10 ft", f"{error}.") from error
            return self._landmark(away["name"]).station + (-distance if away["way"] == "before" else distance)
        return self._landmark(text).station

    def _plus_station(self, text: str) -> float:
        """Station written with a plus; the digits after it must fit the street's declared style."""
        match = re.fullmatch(r"(\d+)\+(\d+)(?:[.,](\d+))?", text.replace(" ", ""))
        if not match:
            raise PlaceError(f"a station like {self.show(self.first)}", "Write digits, a plus, digits.")
        if len(match[2]) != self.digits:
            do = f"This street counts its stations as {self.style!r}; another count is declared by station_style in street.toml."
            raise PlaceError(f"{self.digits} digits after the plus", do)
        return (int(match[1]) * 10**self.digits + float(f"{match[2]}.{match[3] or 0}")) * factor(self.unit, "m")

    def _landmark(self, text: str) -> Landmark:
        """Landmark by its name; ``the 4th pole`` is ``pole 4``."""
        wanted = _plain_name(text)
        named = {_plain_name(landmark.name): landmark for landmark in self.landmarks}
        if wanted in named:
            return named[wanted]
        if not named:
            raise PlaceError(
                f"a station like {self.show(self.first)}", "Landmarks are listed in landmarks.csv; there are none yet."
            )
        near = difflib.get_close_matches(wanted, named, n=1)
        do = (
            f"Did you mean {named[near[0]].name!r}?"
            if near
            else f"Known landmarks: {_some(sorted(mark.name for mark in named.values()))}."
        )
        raise PlaceError(f"a station like {self.show(self.first)} or a landmark", do)


def _plain_name(text: str) -> str:
    """Name without article, case and ordinal: ``the 4th Pole`` is ``pole 4``."""
    plain = re.sub(r"\s+", " ", text.strip().lower()).removeprefix("the ")
    ordinal = re.fullmatch(r"(\d+)(?:st|nd|rd|th) (.+)", plain)
    return f"{ordinal[2]} {ordinal[1]}" if ordinal else plain


def _some(names: list[str]) -> str:
    """A few names, and how many more."""
    return ", ".join(names[:8]) + (f" and {len(names) - 8} more" if len(names) > 8 else "")


def equal_strips(width: float, count: int) -> tuple[Strip, ...]:
    """Strips of one width between the edges, left to right."""
    each = width / count
    return tuple(Strip(i + 1, -width / 2 + i * each, -width / 2 + (i + 1) * each) for i in range(count))


def read_strips(text: str, strips: tuple[Strip, ...]) -> tuple[int, ...]:
    """Strip numbers meant by ``all``, ``left``, ``right``, ``3``, ``3-4``, ``1, 2`` or ``3 and 4``.

    Raises
    ------
    PlaceError
        When no such strip exists.
    """
    word = text.strip().lower()
    if word in ("", "all", "full", "full width"):
        return tuple(strip.number for strip in strips)
    if word in ("left", "right"):
        sign = -1 if word == "left" else 1
        chosen = tuple(strip.number for strip in strips if sign * strip.middle > _SHORTEST)
        if chosen:
            return chosen
    allowed = f"all, left, right, or strip numbers from 1 to {len(strips)}"
    numbers: set[int] = set()
    for part in re.split(r"\s*(?:,|;|and|&)\s*", word):
        span = re.fullmatch(r"(\d+)(?:\s*(?:-|to|\u2013)\s*(\d+))?", part)
        if not span:
            raise PlaceError(allowed, "Write the strips as 3, 3-4 or 1 and 2.")
        numbers.update(range(int(span[1]), int(span[2] or span[1]) + 1))
    if not numbers or min(numbers) < 1 or max(numbers) > len(strips):
        raise PlaceError(allowed, f"This street has {len(strips)} strips; strip 1 is the leftmost looking up-station.")
    return tuple(sorted(numbers))


def say_strips(numbers: tuple[int, ...], count: int) -> str:
    """Strips in words: ``all strips``, ``strip 4``, ``strips 3 and 4``, ``strips 1 to 3``."""
    if len(numbers) == count:
        return "all strips" if count > 1 else "strip 1"
    if len(numbers) == 1:
        return f"strip {numbers[0]}"
    if len(numbers) > 2 and numbers == tuple(range(numbers[0], numbers[-1] + 1)):
        return f"strips {numbers[0]} to {numbers[-1]}"
    return f"strips {', '.join(str(n) for n in numbers[:-1])} and {numbers[-1]}"


def station_of(figure_or_text: str | float | Figure, stationing: Stationing) -> float:
    """Station in metres of a key of street.toml: a number in the street's unit, or a place in words."""
    if isinstance(figure_or_text, str):
        return stationing.read(figure_or_text)
    return float(figure_or_text) * factor(stationing.unit, "m")
