"""What the ground says in sentences: what was not read, what a reading cannot show, what stands out."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from hardpan.plan.ground_evidence import WORDS, Places, is_stale
from hardpan.plan.ground_field import Floats
from hardpan.street import Notice, Street
from hardpan.street.bays import Bays
from hardpan.street.defaults import default
from hardpan.street.street import Reading
from hardpan.street.vehicles import tyre_of
from hardpan.street.words import say_odds


def reading_notices(
    street: Street, bays: Bays, word: NDArray[np.int8], reading: NDArray[np.int32], hidden: Floats
) -> tuple[Notice, ...]:
    """What was not read, what was read by something unknown or before rain, and what nothing may hide."""
    notices = []
    for strip in street.strips:
        unread = word[strip.number - 1] == 0
        if unread.any():
            length = float(bays.lengths_m[unread].sum())
            message = f"{length:.0f} m of strip {strip.number} were not read by the slow drive"
            notices.append(Notice("missing", message, f"strip {strip.number}"))
    rests = [street.readings[index] for index in np.unique(reading) if index >= 0]
    strangers = dict.fromkeys(one.vehicle for one in rests if not tyre_of(one.vehicle).known)
    notices += [
        Notice("default", f"the tyre of {vehicle!r} is not known: the readings count as a grader's", "slow drive")
        for vehicle in strangers
    ]
    notices += _stale(street, rests)
    chance = hidden[(word == WORDS.index("nothing")) & (hidden > 0) & (hidden < 1)]
    if chance.size:
        message = (
            f"a skin of 100 to 200 mm over soft ground shows nothing under a grader: {say_odds(float(chance.min()))} such places hide it; "
            "a penetrometer test tells"
        )
        notices.append(Notice("judgement", message, "where the drive showed nothing"))
    return tuple(notices)


def _stale(street: Street, readings: list[Reading]) -> list[Notice]:
    """Readings that rain has overtaken, with their age at the rain."""
    rained = street.file.weather.rained_at
    stale = [one for one in readings if is_stale(street, one)]
    if not stale or rained is None:
        return []
    first = min(one.driven_at for one in stale if one.driven_at is not None)
    much = f"{street.file.weather.rained_mm:g} mm of rain" if street.file.weather.rained_mm else "rain"
    message = (
        f"{len(stale)} of {len(readings)} readings are older than the {much} of {rained.day} {rained:%B %H:%M} (the first of {first.day} {first:%B %H:%M}): "
        "the ground may be softer now; drive it again before the rates are fixed"
    )
    return [Notice("judgement", message, "slow drive")]


def trench_notices(
    street: Street, bays: Bays, places: Places, *, cbr: tuple[Floats, Floats, Floats]
) -> tuple[Notice, ...]:
    """Each trench line as a place of its own; ``cbr`` low, middle and high by bay."""
    low, middle, high = cbr
    notices = []
    for index, one in enumerate(street.structures):
        here = places.trench & (places.region == len(street.instructions) + index)
        if one.kind != "trench" or not here.any():
            continue
        softest = np.unravel_index(np.argmin(np.where(here, middle, np.inf)), here.shape)
        band = f"CBR about {middle[softest]:.2g}, 8 times in 10 between {low[softest]:.2g} and {high[softest]:.2g}"
        message = f"the trench line is a place of its own: {band}"
        if middle[softest] < default("ground.soft_below").value:
            message += (
                "; mixing over soft backfill makes a thin plate over jelly: dig the backfill out, or ask the engineer"
            )
        rows, columns = np.nonzero(here)
        place = street.place(
            float(bays.edges_m[columns.min()]),
            float(bays.edges_m[columns.max() + 1]),
            tuple(sorted({bays.strips[row] for row in rows})),
        )
        notices.append(Notice("judgement", message, place))
    return tuple(notices)
