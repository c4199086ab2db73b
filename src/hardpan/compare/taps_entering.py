"""Entering: what a pad adds to an offer, the question that a strange number raises, and the entries that a tap makes."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping
from typing import Any, TypedDict

from hardpan.compare.taps_day import Day
from hardpan.compare.taps_events import Plain, Told, instant, told
from hardpan.compare.taps_offer import Offer, Ready

REPLACES_S = 5.0  # seconds: a second tap at the same place within them replaces the first
FAR_OFF = 5.0  # times: so far from what is likely a number is asked about
NEAR = 2.0  # times: so near to what is likely the number that was meant is
SHIFTS = (0.1, 10.0, 0.01, 100.0, 0.001, 1000.0)
PLAIN_NUMBER = 1e-9


class Doubt(TypedDict):
    """A number that is far from what is likely: how many times, and what may have been meant."""

    times: float
    meant: float | None


def doubt(value: float, likely: float | None) -> Doubt | None:
    """Question about a number; None where there is nothing to ask.

    Examples
    --------
    >>> doubt(240.0, 24.0)
    {'times': 10.0, 'meant': 24.0}
    >>> doubt(23.9, 24.0) is None
    True
    """
    if likely is None or likely <= 0 or value <= 0:
        return None
    times = value / likely
    if 1 / FAR_OFF < times < FAR_OFF:
        return None
    for shift in SHIFTS:
        if 1 / NEAR <= times * shift <= NEAR:
            return Doubt(times=times, meant=math.floor(value * shift * 1000 + 0.5) / 1000)
    return Doubt(times=times, meant=None)


def filled(offer: Offer, answers: Mapping[str, Any]) -> list[Ready]:
    """Entries of an offer with what its pad was answered.

    ``answers`` holds ``numbers`` in the order of the pad's fields, or ``choice`` (its place in the list), or ``station_m``; ``not_checked``
    true in place of numbers; ``text`` what else the pad asks for.
    """
    pad, entries = offer["pad"], [_copied(one) for one in offer["entries"]]
    if pad is None:
        return entries
    if answers.get("station_m") is not None:
        for entry in entries:
            entry["place"] = {**(entry["place"] or {}), "start_m": answers["station_m"]}
    if pad["kind"] == "choice":
        return _chosen(entries, pad["choices"][answers["choice"]])
    if pad["kind"] == "number":
        for entry in entries:
            if answers.get("not_checked"):
                entry["payload"] = dict(pad["not_checked"])
                continue
            for one, value in zip(pad["fields"], answers["numbers"], strict=True):
                _set(entry["payload"], one["path"], value)
            if pad["text"] and answers.get("text"):
                entry["payload"][pad["text"]] = answers["text"]
    return entries


def _chosen(entries: list[Ready], choice: Mapping[str, Any]) -> list[Ready]:
    """Entries with the word that was chosen; a choice may be of another kind."""
    for entry in entries:
        entry["payload"] = {**entry["payload"], **choice["set"]}
        if choice.get("kind"):
            entry["kind"] = choice["kind"]
    return entries


def _copied(one: Ready) -> Ready:
    """Entry that may be written into."""
    place = one["place"]
    copied: Ready = {
        "kind": one["kind"], "place": None if place is None else dict(place), "payload": _deep(one["payload"])
    }  # fmt: skip
    if "corrects" in one:
        copied["corrects"] = one["corrects"]
    return copied


def _deep(value: Any) -> Any:
    """Plain data that shares nothing."""
    if isinstance(value, dict):
        return {key: _deep(inside) for key, inside in value.items()}
    return [_deep(inside) for inside in value] if isinstance(value, list) else value


def _set(payload: Any, path: list[Any], value: float) -> None:
    """Write a number where its path leads."""
    for step in path[:-1]:
        payload = payload[step]
    payload[path[-1]] = value


def entered(
    day: Day,
    entries: Iterable[Plain],
    ready: list[Ready],
    *,
    now: str,
    role: str,
    device: str,
    new_id: Callable[[], str],
    photo: str | None = None,
) -> list[dict[str, Any]]:
    """Entries that a tap makes, as the ledger takes them.

    A second tap of one kind at one place within 5 s replaces the first: it becomes its correction.
    """  # fmt: skip
    before = [one for one in told(day, entries) if one.device == device and _just_now(one, now)]
    made = []
    for at, one in enumerate(ready):
        entry: dict[str, Any] = {
            "id": new_id(), "street": day["street"], "kind": one["kind"], "happened_at": now, "entered_at": now, "role": role,
            "device": device, "payload": one["payload"],
        }  # fmt: skip
        if one["place"] is not None:
            entry["place"] = one["place"]
        if "corrects" in one:
            entry["corrects"] = one["corrects"]
        elif (first := _replaced(before, one)) is not None:
            entry |= {
                "kind": "correction",
                "payload": {"kind": one["kind"], "payload": one["payload"], "happened_at": now},
                "corrects": first.id,
            }
        if photo is not None and at == 0:
            entry["photo"] = photo
        made.append(entry)
    return made


def _just_now(event: Told, now: str) -> bool:
    """Whether an event was entered in the last seconds."""
    ago = instant(now) - event.entered
    return 0 <= ago <= REPLACES_S


def _replaced(before: list[Told], one: Ready) -> Told | None:
    """Event that an entry replaces: the last of the same kind at the same place."""
    same = [event for event in before if event.kind == one["kind"] and _same(event.place, one["place"])]
    return max(same, key=lambda event: (event.entered, event.id), default=None)


def _same(there: Plain | None, here: Mapping[str, Any] | None) -> bool:
    """Whether two places are one."""
    if there is None or here is None:
        return there is None and here is None
    keys = ("block", "strips", "start_m", "end_m")
    return all((there.get(key) or None) == (here.get(key) or None) for key in keys)
