"""What goes on a lath: lengths in the four units a crew writes, and the figure for whatever the operator measures from.

Metres to 0.001, whole millimetres, feet to 0.01, feet with inches and eighths; the foot is the international one. Levels above a datum are
written in metres or feet even where cuts are in millimetres or inches.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from typing import Literal

from hardpan.plan.levels import Stake, StakePoint
from hardpan.street.units import UnitError, quantity

Unit = Literal["m", "mm", "ft", "ft-in"]
Mode = Literal["hub", "lip", "string", "rod", "low"]

FOOT = 0.3048  # international foot [m], exact by the agreement of 1959
EIGHTHS = 8
STEPS: dict[Unit, float] = {"m": 0.001, "mm": 0.001, "ft": FOOT / 100, "ft-in": FOOT / 12 / EIGHTHS}
LEVEL_UNITS: dict[Unit, Unit] = {"m": "m", "mm": "m", "ft": "ft", "ft-in": "ft"}
UNIT_WORDS: dict[Unit, str] = {"m": "metres", "mm": "millimetres", "ft": "feet", "ft-in": "feet, inches and eighths"}
HALF_UP = 1e-6  # of a step: a half that lost its last bits on the way is still a half
NO_HUB, NO_SIGHT = "no hub", "no sight"

_FEET_INCHES = re.compile(
    r"""(?P<sign>[-+\u2212]?)\s*(?=\d)
    (?:(?P<feet>\d+)\s*(?:ft\.?|'|\u2032)[\s-]*)?
    (?:(?:(?P<inches>\d+(?:\.\d+)?)(?![\d.]|\s*/))?(?:[\s-]*(?P<top>\d+)\s*/\s*(?P<parts>2|4|8|16|32|64))?\s*(?P<mark>in\.?|"|\u2033))?""",
    re.VERBOSE,
)


def steps_in(value: float, step: float) -> int:
    """Whole steps nearest to a value; a half goes away from zero, as a crew rounds.

    Raises
    ------
    UnitError
        When the value is no finite number.
    """
    if not math.isfinite(value):
        raise UnitError(f"{value} cannot be written on a stake")
    count = math.floor(abs(value) / step + 0.5 + HALF_UP)
    return -count if value < 0 else count


def write(value_m: float, unit: Unit, *, marks: bool = False) -> str:
    """Length as the crew writes it, without its unit but for feet and inches, which carry theirs.

    Parameters
    ----------
    value_m
        Length or level [m].
    unit
        ``m``, ``mm``, ``ft`` or ``ft-in``.
    marks
        Whether feet and inches are short, ``1' 1-3/4"``; else ``1 ft 1 3/4 in``.

    Raises
    ------
    UnitError
        When the value is no finite number.

    Examples
    --------
    >>> write(0.26, "m"), write(0.26, "mm"), write(0.26, "ft"), write(0.26, "ft-in")
    ('0.260', '260', '0.85', '10 1/4 in')
    >>> write(11.97 * 0.0254, "ft-in")
    '1 ft 0 in'
    """
    if unit == "ft-in":
        return feet_inches(value_m, marks=marks)
    count = steps_in(value_m, STEPS[unit])
    sign, decimals = "-" if count < 0 else "", {"m": 3, "mm": 0, "ft": 2}[unit]
    whole, rest = divmod(abs(count), 10**decimals)
    return f"{sign}{whole}" + (f".{rest:0{decimals}d}" if decimals else "")


def feet_inches(value_m: float, *, parts: int = EIGHTHS, marks: bool = False) -> str:
    """Feet, whole inches and a fraction in lowest terms; no feet are named where there are none.

    Parameters
    ----------
    value_m
        Length [m].
    parts
        What an inch is divided in: 8, or 16 for a finer rule.
    marks
        Whether ``'`` and ``"`` stand for ft and in.

    Examples
    --------
    >>> feet_inches(8.62 * 0.3048), feet_inches(8.62 * 0.3048, parts=16)
    ('8 ft 7 1/2 in', '8 ft 7 7/16 in')
    """
    count = steps_in(value_m, FOOT / 12 / parts)
    feet, rest = divmod(abs(count), 12 * parts)
    inches, top = divmod(rest, parts)
    common = math.gcd(top, parts)
    fraction = f"{top // common}/{parts // common}" if top else ""
    joint = "-" if marks else " "  # 1 1/4 in narrow print is soon read as 11/4
    inch = joint.join(([str(inches)] if inches or not fraction else []) + ([fraction] if fraction else []))
    foot_mark, inch_mark = ("'", '"') if marks else (" ft", " in")
    return f"{'-' if count < 0 else ''}{f'{feet}{foot_mark} ' if feet else ''}{inch}{inch_mark}"


def read(text: str, unit: Unit) -> float:
    """Length in metres of what ``write`` wrote, or a person; another unit may stand behind the number.

    Parameters
    ----------
    text
        ``0.260``, ``260``, ``0,85``, ``8 ft 7 1/2 in``, ``8' 7-1/2"``, ``8 in``.
    unit
        The unit of a bare number; ``ft-in`` takes feet and inches and nothing bare.

    Returns
    -------
    float
        Length [m].

    Raises
    ------
    UnitError
        When it is no length in this unit.
    """
    if unit != "ft-in":
        scale = {"m": 1.0, "mm": 0.001, "ft": FOOT}[unit]
        return quantity(text, unit) * scale
    found = _FEET_INCHES.fullmatch(text.strip())
    if not found or not (found["feet"] or found["mark"]) or (found["mark"] and not (found["inches"] or found["top"])):
        raise UnitError(f"{text!r} is not feet and inches: write 8 ft 7 1/2 in, or 7 1/2 in")
    inches = float(found["inches"] or 0)
    fraction = int(found["top"]) / int(found["parts"]) if found["top"] else 0.0
    if fraction >= 1 or (found["feet"] and inches + fraction >= 12):
        raise UnitError(f"{text!r}: a fraction stays under 1, and inches behind feet under 12")
    value = int(found["feet"] or 0) * FOOT + (inches + fraction) * FOOT / 12
    return -value if found["sign"] in ("-", "\u2212") else value


def cut_or_fill(cut_m: float, unit: Unit, *, marks: bool = False) -> str:
    """``C 0.260`` down from the hub, ``F 0.040`` up from it; level with it is a cut of nothing.

    Examples
    --------
    >>> cut_or_fill(0.26, "m"), cut_or_fill(-0.04, "m"), cut_or_fill(-0.0004, "m")
    ('C 0.260', 'F 0.040', 'C 0.000')
    """
    letter = "F" if steps_in(cut_m, STEPS[unit]) < 0 else "C"
    return f"{letter} {write(abs(cut_m), unit, marks=marks)}"


def down(down_m: float, unit: Unit, *, marks: bool = False) -> str:
    """``495`` down from a lip or a string; the word up stands before what lies above it.

    Examples
    --------
    >>> down(0.495, "mm"), down(-0.012, "mm")
    ('495', 'up 12')
    """
    word = "up " if steps_in(down_m, STEPS[unit]) < 0 else ""
    return f"{word}{write(abs(down_m), unit, marks=marks)}"


def rod_reading(instrument_height: float, level: float) -> float:
    """Reading of a rod that stands on a level; all in one unit, heights above one datum.

    Examples
    --------
    >>> round(rod_reading(104.600, 102.990), 3)
    1.61
    """
    return instrument_height - level


def low_words(low_m: float, unit: Unit) -> str:
    """``10 low``, or ``10 high`` where the ground is shaped above design; millimetres for a metric crew.

    Examples
    --------
    >>> low_words(0.010, "m"), low_words(-0.006, "mm"), low_words(0.010, "ft-in")
    ('10 low', '6 high', '3/8" low')
    """
    small: Unit = "mm" if unit == "m" else unit
    side = "high" if steps_in(low_m, STEPS[small]) < 0 else "low"
    return f"{write(abs(low_m), small, marks=True)}{' ft' if unit == 'ft' else ''} {side}"


@dataclass(frozen=True, slots=True)
class Steering:
    """What the operator measures from (``thing``), how, and the unit it is written in.

    ``has_levels`` says whether levels stand above a datum; ``height_m`` is the instrument's above it, or the string's above hub or lip.
    """

    mode: Mode
    unit: Unit
    thing: str
    has_levels: bool
    height_m: float = 0.0

    def level(self, value_m: float) -> str:
        """Level above the datum, or down from the thing."""
        return write(value_m, LEVEL_UNITS[self.unit]) if self.has_levels else down(-value_m, self.unit, marks=True)

    def write(self, stake: Stake, point: StakePoint, *, string_m: float = 0.0) -> str:
        """Figure for the lath at one point; ``string_m`` is how much higher a string hangs there than beside its lip."""
        if self.mode == "low":
            return low_words(point.low.value, self.unit)
        if self.mode == "rod":
            reading = rod_reading(self.height_m, point.pre_grade.value)
            return NO_SIGHT if steps_in(reading, STEPS[self.unit]) < 0 else write(reading, self.unit, marks=True)
        if not self.has_levels:
            return down(-point.pre_grade.value + self.height_m + string_m, self.unit, marks=True)
        if point.cut_from_hub is None or stake.hub is None:
            return self.level(point.pre_grade.value)
        if self.mode == "string":
            return down(point.cut_from_hub.value + self.height_m, self.unit, marks=True)
        return cut_or_fill(point.cut_from_hub.value, self.unit, marks=True)
