"""Places as people say them: stations, landmarks, strips.

A place is a station (``0+140``), a landmark (``pole 4``) or a distance from one (``3 m past pole 4``); it resolves to a station and prints
back the same way. Strips count from 1 at the left, looking up-station.
"""

from __future__ import annotations

import difflib
import re
from dataclasses import dataclass

from hardpan.street.units import UnitError, factor, number, quantity

_SHORTEST = 0.05  # metres: nearer than this two places are one
_ENDS = ("start", "end")
_PLUS = re.compile(r"[-\u2212]?\d*\s*\+.*")
_AWAY = re.compile(
    r"(?P<far>\d[\d.,]*\s*[a-z'\"\u2032\u2033]*)\s+(?P<way>past|before|after)\s+(?P<name>.+)", re.IGNORECASE
)
_BARE = re.compile(r"[-\u2212]?[\d.,]*\d\s*(?P<unit>m|ft|km|')?", re.IGNORECASE)


class PlaceError(ValueError):
    """A place that cannot be found; ``.allowed`` and ``.do`` help."""

    def __init__(self, allowed: str, do: str) -> None:
        super().__init__(f"allowed: {allowed}. {do}")
        self.allowed = allowed
        self.do = do


class UnknownLandmark(PlaceError):
    """A name that no landmark has."""


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

    @property
    def half_step(self) -> float:
        """Half a printed step, a tenth of the style's unit, in metres: nearer than this two places print alike."""
        return 0.05 * factor(self.unit, "m")

    def show(self, station: float) -> str:
        """Station in the street's style, to a tenth where it is not whole: 140.0 is ``0+140``."""
        shown = round(station / factor(self.unit, "m"), 1)
        sign, shown = ("-", -shown) if shown < 0 else ("", shown)
        whole, rest = divmod(shown, 10**self.digits)
        text = f"{rest:0{self.digits + 2}.1f}"
        return f"{sign}{whole:.0f}+{text.removesuffix('.0')}"

    def words(self, station: float) -> str:
        """Station by its nearest landmark, such as ``3 m past pole 4``; the bare station where there is no landmark."""
        for name, place in zip(_ENDS, (self.first, self.last), strict=True):
            if abs(station - place) < self.half_step:
                return name
        if not self.landmarks:
            return self.show(station)
        nearest = min(
            self.landmarks, key=lambda landmark: (round(abs(landmark.station - station), 6), landmark.station)
        )
        away = round((station - nearest.station) / factor(self.unit, "m"), 1)
        if away == 0:
            return nearest.name
        far = f"{abs(away):.1f}".removesuffix(".0")
        return f"{far} {self.unit} {'past' if away > 0 else 'before'} {nearest.name}"

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
        try:
            station = self._station(" ".join(text.split()))
        except UnitError as error:
            raise PlaceError(
                f"a station like {self.show(self.first)}", f"{str(error)[0].upper()}{str(error)[1:]}."
            ) from error
        if inside and not self.first - _SHORTEST <= station <= self.last + _SHORTEST:
            do = f"{self.show(station)} lies off the street: correct it, or the length of the street."
            raise PlaceError(f"{self.show(self.first)} to {self.show(self.last)}", do)
        return min(max(station, self.first), self.last) if inside else station

    def reads_alone(self, name: str) -> bool:
        """Whether a text is a place by itself, so that no landmark can bear it as its name."""
        text = " ".join(name.split())
        return plain_name(text) in (*_ENDS, "elsewhere") or any(form.fullmatch(text) for form in (_PLUS, _AWAY, _BARE))

    def _station(self, text: str) -> float:
        """Station in metres, on the street or off it."""
        if _PLUS.fullmatch(text):
            return self._plus_station(text)
        if bare := _BARE.fullmatch(text):
            return quantity(text, "m") if bare["unit"] else number(text) * factor(self.unit, "m")
        away = _AWAY.fullmatch(text)
        if not away:
            return self._fixed(text)
        if away["far"].strip()[-1].isdigit():
            do = f"Say the unit too: {away['far'].strip()} {self.unit} {away['way']} {away['name']}."
            raise PlaceError("a distance like 3 m or 10 ft", do)
        distance = quantity(away["far"], "m")
        return self._fixed(away["name"]) + (-distance if away["way"].lower() == "before" else distance)

    def _plus_station(self, text: str) -> float:
        """Station written with a plus; the digits after it must fit the street's declared style."""
        match = re.fullmatch(r"([-\u2212]?)(\d{1,6})\+(\d{1,6})(?:[.,](\d{1,6}))?(m|ft)?", text.replace(" ", ""))
        if not match:
            raise PlaceError(f"a station like {self.show(self.first)}", "Write digits, a plus, digits.")
        if len(match[3]) != self.digits or (match[5] or self.unit) != self.unit:
            do = (
                f"This street counts its stations as '{self.style}'; "
                "another count ('0+000 m', '0+00 m', '0+00 ft') is declared by line.station_style in street.toml."
            )
            raise PlaceError(f"{self.digits} digits after the plus, in {self.unit}", do)
        station = (int(match[2]) * 10.0**self.digits + float(f"{match[3]}.{match[4] or 0}")) * factor(self.unit, "m")
        return -station if match[1] else station

    def _fixed(self, text: str) -> float:
        """Station of an end or a landmark by its name; ``the 4th pole`` is ``pole 4``."""
        wanted = plain_name(text)
        named = {plain_name(landmark.name): landmark for landmark in self.landmarks}
        if wanted in _ENDS:
            return self.first if wanted == "start" else self.last
        if wanted in named:
            return named[wanted].station
        if not named:
            do = "Write the station; a landmark must first be listed in landmarks.csv, with a station of its own."
            raise UnknownLandmark(f"a station like {self.show(self.first)}", do)
        near = difflib.get_close_matches(wanted, named, n=1)
        known = _some([mark.name for mark in self.landmarks])
        do = f"Did you mean '{named[near[0]].name}'?" if near else f"Known landmarks: {known}."
        raise UnknownLandmark(f"a station like {self.show(self.first)}, or a landmark", do)


def plain_name(text: str) -> str:
    """Name without article, case and ordinal: ``the 4th Pole`` is ``pole 4``."""
    plain = " ".join(text.lower().split()).removeprefix("the ")
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

    A middle strip that the centreline runs through is neither left nor right.

    Raises
    ------
    PlaceError
        When no such strip exists.
    """
    word, count = text.strip().lower(), len(strips)
    if word in ("", "all", "full", "full width"):
        return tuple(strip.number for strip in strips)
    if word in ("left", "right"):
        sign = -1 if word == "left" else 1
        chosen = tuple(strip.number for strip in strips if sign * strip.middle > _SHORTEST)
        if not chosen:
            raise PlaceError("all, or 1", "This street has one strip, and no left or right half.")
        return chosen
    allowed = f"all, left, right, or strip numbers from 1 to {count}"
    numbers: set[int] = set()
    for part in re.split(r"\s*(?:,|;|and|&|\+)\s*", word):
        span = re.fullmatch(r"(?:strips?\s*)?(\d{1,3})(?:\s*(?:-|to|\u2013)\s*(\d{1,3}))?", part)
        if not span:
            raise PlaceError(allowed, "Write the strips as 3, 3-4 or 1 and 2.")
        low, high = int(span[1]), int(span[2] or span[1])
        if low > high:
            raise PlaceError(allowed, f"Write the lower number first: {high}-{low}.")
        if low < 1 or high > count:
            has = f"{count} strip{'s' if count > 1 else ''}"
            raise PlaceError(allowed, f"This street has {has}; strip 1 is the leftmost looking up-station.")
        numbers.update(range(low, high + 1))
    return tuple(sorted(numbers))


def touched_strips(side: str, strips: tuple[Strip, ...]) -> tuple[int, ...]:
    """Strips that lie on a side of the centreline, wholly or partly; all of them for ``centre`` and ``full``."""
    if side == "left":
        return tuple(strip.number for strip in strips if strip.left < -_SHORTEST)
    if side == "right":
        return tuple(strip.number for strip in strips if strip.right > _SHORTEST)
    return tuple(strip.number for strip in strips)


def say_strips(numbers: tuple[int, ...], count: int) -> str:
    """Strips in words: ``all strips``, ``strip 4``, ``strips 3 and 4``, ``strips 1 to 3``."""
    if len(numbers) == count:
        return "all strips" if count > 1 else "strip 1"
    if len(numbers) == 1:
        return f"strip {numbers[0]}"
    if len(numbers) > 2 and numbers == tuple(range(numbers[0], numbers[-1] + 1)):
        return f"strips {numbers[0]} to {numbers[-1]}"
    return f"strips {', '.join(str(n) for n in numbers[:-1])} and {numbers[-1]}"
