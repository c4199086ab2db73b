"""Entries in words: when, where, what they say; ids short enough to read out, yet no two alike in one record."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from typing import Any

from hardpan.exchange.figures_in_words import number
from hardpan.ledger import Moment, Payload, Place, Standing
from hardpan.ledger.mending import Correction
from hardpan.ledger.testing import Blow, Movement, Reference
from hardpan.ledger.working import Shot
from hardpan.street import Street
from hardpan.street.places import say_strips

NOT_RECORDED = "not recorded"
SHORTEST = 6  # letters of a short id
UNITS = {
    "kg_m2": "kg/m\u00b2", "l_m2": "L/m\u00b2", "kg_m3": "kg/m\u00b3", "km_h": "km/h", "mm": "mm", "m2": "m\u00b2", "kg": "kg", "kpa": "kPa",
    "percent": "%", "min": "min", "m": "m", "l": "L", "c": "\u00b0C",
}  # fmt: skip
SAID_ALONE = {"decision", "state", "checked", "mixed", "rolled", "result", "word", "about", "what", "by", "rain", "method", "vehicle", "reason", "signed"}  # fmt: skip
SPOKEN = {"tray": "caught", "hopper": "in hopper afterwards", "left": "left", "low": "low", "number": "pass", "moved": "moved"}  # fmt: skip


def short_ids(names: Iterable[str]) -> dict[str, str]:
    """Last letters of every id, as many as keep all of them apart.

    Examples
    --------
    >>> short_ids(["019eaca1-80f0-796d-a286-281d5bc1c1e4"])
    {'019eaca1-80f0-796d-a286-281d5bc1c1e4': 'c1c1e4'}
    """
    known = list(dict.fromkeys(names))
    length = SHORTEST
    while length < 36 and len({name[-length:] for name in known}) < len(known):
        length += 1
    return {name: name[-length:] for name in known}


def day(at: dt.date) -> str:
    """``9 June``."""
    return f"{at.day} {at:%B}"


def days(first: dt.date, last: dt.date) -> str:
    """``8 to 17 June 2026``, ``30 June to 2 July 2026``."""
    if first == last:
        return f"{day(first)} {first.year}"
    start = f"{first.day}" if (first.month, first.year) == (last.month, last.year) else day(first)
    return f"{start}{'' if first.year == last.year else f' {first.year}'} to {day(last)} {last.year}"


def when(moment: Moment) -> str:
    """``9 June 07:45``, as the device showed it."""
    return f"{day(moment.at)} {moment.clock}"


def at_clock(at: dt.datetime) -> str:
    """``9 June 07:45``."""
    return f"{day(at)} {at:%H:%M}"


def amount(value: float, decimals: int | None = None) -> str:
    """Number with thin spaces; as many decimals as it has, three at most."""
    if decimals is not None:
        return number(value, decimals)
    text = number(value, 3)
    return text.rstrip("0").rstrip(".") if "." in text else text


def place_words(street: Street, place: Place | None) -> str:
    """``0+146 to 0+152, strip 4, B2``; what was not said is left out."""
    if place is None:
        return ""
    show = street.stationing.show
    parts = [place.landmark] if place.landmark else []
    if place.start_m is not None:
        parts.append(show(place.start_m) if place.end_m is None else f"{show(place.start_m)} to {show(place.end_m)}")
    if place.strips:
        parts.append(say_strips(place.strips, len(street.strips)))
    return ", ".join([*parts, *([place.block] if place.block else [])])


class Telling:
    """Puts entries of one street into words."""

    def __init__(self, street: Street, names: Iterable[str]) -> None:
        self.street = street
        self.short = short_ids(names)

    def id(self, name: str) -> str:
        """Short id of an entry, whether or not it is here."""
        return self.short.get(name, name)

    def said(self, payload: Payload) -> str:
        """What a payload says: its keys in order, its note in quotes."""
        if isinstance(payload, Correction):
            happened = f"happened {when(payload.happened_at)}" if payload.happened_at else ""
            parts = [f"{payload.kind}: {self.said(payload.payload)}", happened, payload.reason]
        else:
            said = ((key, getattr(payload, key), field.default) for key, field in type(payload).model_fields.items())
            # what was left out says nothing; what equals its default says no more
            parts = [self._key(key, value) for key, value, default in said if key != "note" and value != default]
        note = f"\u201c{payload.note}\u201d" if payload.note else ""
        return ", ".join(part for part in (*parts, note) if part)

    def stands(self, one: Standing) -> str:
        """What became of an entry: corrected by another, withdrawn, waiting, entered late."""
        if one.mended_by:
            became = f"{one.status} by {self.id(one.mended_by)}"
        else:
            became = "" if one.status == "in force" else one.status
        mends = f"mends {self.id(one.entry.corrects)}" if one.entry.corrects else ""
        late = f"entered late, {when(one.entry.entered_at)}" if one.late else ""
        photo = f"photo {one.entry.photo[:12]}\u2026" if one.entry.photo else ""
        conflict = "two mendings disagree" if one.conflicting else ""
        return ", ".join(part for part in (became, mends, late, photo, conflict) if part)

    def _key(self, key: str, value: Any) -> str:
        """One key with its value."""
        name = key.replace("_", " ")
        match value:
            case bool():
                return name if value else f"not {name}"
            case Moment():
                return f"{name.removesuffix(' at')} {when(value)}"
            case Reference():
                return _reference(value)
            case tuple():
                return self._several(key, value)
            case str():
                return self._text(key, value)
        return _measured(key, float(value))

    def _text(self, key: str, value: str) -> str:
        """A word or a text; ids are shortened."""
        if key in ("problem", "retest_of"):
            return f"{key.replace('_', ' ')} {self.id(value)}"
        return value if key in SAID_ALONE else f"{key.replace('_', ' ')} {value}"

    def _several(self, key: str, values: tuple[Any, ...]) -> str:
        """A list: stretches and movements one by one, shots and blows by their number."""
        if isinstance(values[0], Shot):
            return f"{len(values)} shot{'' if len(values) == 1 else 's'}, listed under levels"
        if isinstance(values[0], Blow):
            return f"{len(values)} rows to {amount(max(row.depth_mm for row in values))} mm"
        if key == "entries":
            return f"rests on {', '.join(self.id(name) for name in values)}"
        if isinstance(values[0], int):
            return f"{key} {', '.join(str(value) for value in values)}"
        told = [f"{self.street.place(each.start_m, each.end_m, each.strips)}{_moved(each)}" for each in values]
        return "; ".join(told) if key == "movements" else f"{key} {'; '.join(told)}"


def _measured(key: str, value: float) -> str:
    """Number under the name of its key, with the unit that the key ends in."""
    unit = next((unit for unit in UNITS if f"_{key}".endswith(f"_{unit}")), "")
    name = f"_{key}".removesuffix(f"_{unit}").strip("_") if unit else key
    shown = f"{amount(value)}{f' {UNITS[unit]}' if unit else ''}"
    return f"{SPOKEN.get(name, name.replace('_', ' '))} {shown}".strip()


def _moved(each: Any) -> str:
    """What a movement says behind its place; nothing for a plain stretch."""
    if not isinstance(each, Movement):
        return ""
    said = f"{amount(each.moved_mm)} mm" if each.moved_mm is not None else ("within" if each.within_limit else "beyond") + " the limit"  # fmt: skip
    seen = [word for word, was in (("cracked", each.cracked), ("pumped", each.pumped)) if was]
    return f": {', '.join([said, *seen])}"


def _reference(curve: Reference) -> str:
    """Moisture-density curve that a density is held against."""
    optimum = f" at {amount(curve.optimum_percent)} %" if curve.optimum_percent is not None else ""
    delay = f"moulded {amount(curve.delay_min)} min after mixing" if curve.delay_min is not None else f"delay {NOT_RECORDED}"  # fmt: skip
    return f"{curve.curve} maximum {amount(curve.maximum_kg_m3)} kg/m\u00b3{optimum} ({curve.proctor}, {delay})"
