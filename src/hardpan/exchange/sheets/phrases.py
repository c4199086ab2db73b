"""What several sheets say in the same words: the day, places, limits with their owner, water settings, depths."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from hardpan.exchange.drawing.lettering import shorten, width
from hardpan.exchange.figures_in_words import about, millimetres, number
from hardpan.exchange.sheets.pdf import NO_DATE
from hardpan.plan import Plan
from hardpan.plan.blocks import Block
from hardpan.plan.instructions import Piece
from hardpan.plan.zones import Zone
from hardpan.street import Street
from hardpan.street.model import Limit
from hardpan.street.places import say_strips
from hardpan.street.street import Instruction
from hardpan.street.units import factor

MM = 72 / 25.4  # points
NOT_SAID = "not said"
NO_LIMIT = "no limit is written"
SETTINGS = ("full", "half", "off")


def date_parts(plan: Plan) -> dict[str, int]:
    """Year, month and day of the document."""
    date = plan.street.file.shift.date or NO_DATE
    return {"year": date.year, "month": date.month, "day": date.day}


def days(plan: Plan) -> list[int]:
    """Days of the work."""
    return sorted({block.day for block in plan.shift.blocks})


def blocks_of(plan: Plan, day: int) -> list[Block]:
    """Blocks of one day, in order."""
    return [block for block in plan.shift.blocks if block.day == day]


def painted(street: Street, station: float) -> tuple[str, str]:
    """Station as a crew paints it, to the whole metre or foot, and its landmark; the second empty where there is none."""
    unit = factor(street.stationing.unit, "m")
    whole = round(station / unit) * unit
    shown, words = street.stationing.show(whole), street.stationing.words(whole)
    return shown, "" if words == shown else words


def day_words(plan: Plan, day: int) -> str:
    """``Thursday 4 June``, ``Tuesday 9 June, day 1 of 2``, ``day 2 of 2``; only day 1 has a date."""
    date, count = plan.street.file.shift.date, days(plan)[-1]
    counted = f"day {day} of {count}" if count > 1 else "day 1"
    if date is None or day > 1:
        return counted
    dated = f"{date:%A} {date.day} {date:%B}"
    return dated if count == 1 else f"{dated}, {counted}"


def fitted(text: str, room_mm: float, size: float, *, weight: int = 400, lines: int = 1) -> str:
    """Text that takes no more than ``lines`` lines of ``room_mm``, cut with an ellipsis where it would; each line but the last loses a word's room."""
    room = room_mm * MM
    longest = max((width(word, size, weight) for word in text.split()), default=0.0)
    return shorten(text, max(room, lines * room - (lines - 1) * min(longest, room / 2)), size, weight)


def limit_words(limit: Limit | None, value: str) -> str:
    """``30 km/h, engineer, job limits 5``; that none is written where there is none."""
    if limit is None:
        return NO_LIMIT
    return f"{value}, {limit.owner or 'owner not said'}, {limit.source or 'source not said'}"


def setting_words(setting: str) -> str:
    """Water setting as the crew says it: FULL, HALF, OFF in capitals."""
    return setting.upper() if setting in SETTINGS else setting


def depth_words(instruction: Instruction) -> str:
    """Depth as it was said, with its state; that it was not said, or said without one."""
    if instruction.depth is None:
        return NOT_SAID
    return f"{millimetres(instruction.depth)} mm {f'of {instruction.depth_state}' if instruction.depth_state else '(state not said)'}"


def planned_depth(zone: Zone) -> str:
    """Depth that the plan works with, ``about`` before a default."""
    return f"{about(zone.depth)}{millimetres(zone.depth)} mm of {zone.depth_state}"


def low_words(metres: float) -> str:
    """``45 mm low``; ground shaped above design is high."""
    return f"{number(abs(metres) * 1000)} mm {'high' if number(metres * 1000).startswith('-') else 'low'}"


def when_said(instruction: Instruction) -> str:
    """``Wednesday 3 June 16:40``."""
    at = instruction.said_at
    return f"{at:%A} {at.day} {at:%B %Y %H:%M}" if at else NOT_SAID


def stretches(pieces: Iterable[Piece]) -> dict[tuple[float, float], tuple[int, ...]]:
    """Strips of every stretch of some pieces, in order of station."""
    found: dict[tuple[float, float], list[int]] = {}
    for piece in pieces:
        found.setdefault((piece.start_m, piece.end_m), []).append(piece.strip)
    return {stretch: tuple(sorted(found[stretch])) for stretch in sorted(found)}


def strips_words(plan: Plan, strips: Sequence[int]) -> str:
    """``all strips``, ``strips 3 and 4``."""
    return say_strips(tuple(strips), len(plan.street.strips))
