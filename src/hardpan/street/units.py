"""Units at the door: text with a unit in, one agreed unit inside.

Files are in the units that the schema names (SI, and the trade's minutes, litres and km/h where the key says so). A value or a column header
may carry another unit, which is converted here and nowhere else.
"""

from __future__ import annotations

import re
from functools import cache, lru_cache
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    import pint

# a number with its thousands in blanks or apostrophes, else digits with commas and dots; \s covers every no-break blank
_NUMBER = re.compile(
    r"\s*(?P<sign>[+\-\u2212]?)\s*"
    r"(?P<digits>[0-9]{1,3}(?:[\s'\u2019][0-9]{3})+(?![0-9])(?:[.,][0-9]*)?|[0-9.,]*[0-9][.,]?)"
    r"(?P<power>[eE][+-]?[0-9]{1,3})?"
    r"\s*(?P<unit>[^\s0-9].*?)?\s*",
    re.DOTALL,
)
_MARKS = str.maketrans(
    {
        "\u00b2": "2",
        "\u00b3": "3",
        "\u00b7": "*",
        "\u2033": '"',
        "\u201d": '"',
        "\u2032": "'",
        "\u2019": "'",
        "\u00a0": " ",
        "\u202f": " ",
    }
)
_NAME = r"(?:[cC][oO]2[eE]|[a-zA-Z_\u00b5\u00b0]+\.?|[%$\"'])(?:\^?[23])?"
_PRODUCT = rf"{_NAME}(?:(?: ?\* ?| ){_NAME})*"
_GRAMMAR = re.compile(rf"{_PRODUCT}(?: ?/ ?(?:\({_PRODUCT}\)|{_NAME}))*")
_PIECE = re.compile(r"(?P<name>[cC][oO]2[eE]|[a-zA-Z_\u00b5\u00b0]+|[%$\"'])\.?\^?(?P<power>[23])?")

# spellings of the trade, in lower case, and what the registry of units calls them
_SPELLINGS = {
    "%": "percent",
    "$": "dollar",
    "co2e": "carbon_dioxide",
    '"': "inch",
    "'": "foot",
    "ins": "inch",
    "yds": "yard",
    "lbs": "pound",
    "sf": "(foot**2)",
    "sy": "(yard**2)",
    "cf": "(foot**3)",
    "cy": "(yard**3)",
    "psf": "(pound/foot**2)",
    "pcf": "(pound/foot**3)",
    "gal": "gallon",
    "gals": "gallon",
    "usgal": "gallon",
    "gpm": "(gallon/minute)",
    "hr": "hour",
    "hrs": "hour",
    "mins": "minute",
    "kpa": "kilopascal",
    "mpa": "megapascal",
    **{
        name: name
        for name in ("m", "mm", "cm", "km", "in", "ft", "yd", "kg", "g", "t", "lb", "l", "ml", "min", "h", "d")
    },
}
_TWO_TONS = {"ton", "tons"}


class UnitError(ValueError):
    """A number or unit that cannot be read; the message says why."""


@cache
def _registry() -> pint.UnitRegistry[Any]:
    """Registry of units; imported when the first foreign unit turns up, for it is slow to load."""
    import pint  # noqa: PLC0415  # half the import time of the whole package, and most folders need none

    registry: pint.UnitRegistry[Any] = pint.UnitRegistry(cache_folder=None)
    registry.define("dollar = [money]")
    registry.define("carbon_dioxide = [carbon]")
    return registry


def _spelled(unit: str) -> str:
    """Unit in the spelling that the registry reads: m2 is m**2, lb/sy is pound/(yard**2)."""
    text = re.sub(r"\s+", " ", unit.translate(_MARKS)).strip()
    if text in ("1", ""):
        return "dimensionless"
    if len(text) > 40 or not _GRAMMAR.fullmatch(text):
        raise UnitError(f"{unit!r} is not a unit that Hardpan knows")
    names = {match["name"].lower() for match in _PIECE.finditer(text)}
    if names & _TWO_TONS:
        raise UnitError("a ton may be 907 or 1000 kg; write t for 1000 kg, or short_ton")
    return _PIECE.sub(_piece, text)


def _piece(match: re.Match[str]) -> str:
    """One name of a unit, with its power."""
    name = _SPELLINGS.get(match["name"].lower(), match["name"])
    return f"{name}**{match['power']}" if match["power"] else name


@lru_cache(maxsize=512)
def factor(unit: str, into: str) -> float:
    """What a number in ``unit`` is multiplied by to be in ``into``; raises ``UnitError`` when they do not measure the same thing."""
    if unit.strip() == into:
        return 1.0
    spelled, wanted = _spelled(unit), _spelled(into)
    registry = _registry()
    from pint import PintError  # noqa: PLC0415  # loaded with the registry

    try:
        return float(registry.Quantity(1.0, spelled).to(wanted).magnitude)
    except (PintError, ValueError) as error:  # nan counts as a scaling factor, which is a plain ValueError
        like = "a number without a unit, or %," if into == "1" else f"a unit like {into!r}"
        raise UnitError(f"the unit {unit!r} does not fit: {like} is wanted") from error


def split(text: str, *, decimal_comma: bool | None = None) -> tuple[float, str]:
    """Number and unit of a text: ``"29.5 ft"`` is 29.5 and ``"ft"``; the unit is empty where there is none.

    Parameters
    ----------
    text
        ``"38 940 kg"``, ``"24,5"``, ``"1.234,5 L"``, ``'12"'``.
    decimal_comma
        True where the file is known to use decimal commas, False where the comma is known to group thousands, None where the
        text alone must tell.

    Raises
    ------
    UnitError
        When it does not begin with a number, or when ``1,234`` could be either of two.
    """
    match = _NUMBER.fullmatch(text)
    if not match:
        raise UnitError("that is not a number")
    if re.match(r"[-\u2013\u2212]", match["unit"] or ""):
        raise UnitError("write one number, not a range")
    sign = "-" if match["sign"] in ("-", "\u2212") else ""
    value = float(f"{sign}{_plain(match['digits'], decimal_comma)}{match['power'] or ''}")
    if abs(value) > 1e15:
        raise UnitError("that is too large a number")
    return value, match["unit"] or ""


def _plain(digits: str, decimal_comma: bool | None) -> str:
    """Digits with a dot for the decimal sign and nothing between thousands."""
    body = re.sub(r"[\s'\u2019]", "", digits)
    comma, dot = body.rfind(","), body.rfind(".")
    if comma >= 0 and dot >= 0:
        decimal = "," if comma > dot else "."
    elif comma >= 0 or dot >= 0:
        only, other = (",", ".") if comma >= 0 else (".", ",")
        decimal = only if _is_decimal(body, only, decimal_comma) else other
    else:
        return body
    group = "." if decimal == "," else ","
    whole = rf"\d*|\d{{1,3}}(?:{re.escape(group)}\d{{3}})+"
    if not re.fullmatch(rf"(?:{whole})(?:{re.escape(decimal)}\d*)?", body):
        raise UnitError("that is not a number: its commas and dots do not fit together")
    return body.replace(group, "").replace(decimal, ".")


def _is_decimal(body: str, sign: str, decimal_comma: bool | None) -> bool:
    """Whether the only sign in a number is its decimal sign; it groups thousands where the digits and the file allow nothing else."""
    if not re.fullmatch(rf"[1-9]\d{{0,2}}(?:{re.escape(sign)}\d{{3}})+", body):
        return True
    if body.count(sign) > 1:
        return False
    if decimal_comma is None:
        if sign == ",":
            raise UnitError(
                f"the comma could be a decimal sign or group thousands: "
                f"write {body.replace(',', '.')} or {body.replace(',', '')}"
            )
        return True
    return decimal_comma == (sign == ",")


def decimal_comma_in(numbers: list[str], *, commas_expected: bool = False) -> bool | None:
    """Whether the numbers of one file use decimal commas; None where they do not tell.

    ``commas_expected`` is true where the separator of the file hints at it: then commas alone are enough.
    """
    bodies = [match["digits"] for text in numbers if (match := _NUMBER.fullmatch(text))]
    sure = {sign for sign in ",." if any(_surely(body, sign) for body in bodies)}
    if len(sure) == 1:
        return "," in sure
    only_commas = any("," in body for body in bodies) and not any("." in body for body in bodies)
    return True if not sure and commas_expected and only_commas else None


def _surely(body: str, sign: str) -> bool:
    """Whether ``sign`` can only be a decimal sign in this number."""
    return body.count(sign) == 1 and not re.search(rf"(?:^|\D)[1-9]\d{{0,2}}{re.escape(sign)}\d{{3}}(?:[.,]|$)", body)


def number(text: str, *, decimal_comma: bool | None = None) -> float:
    """Number without a unit, as people and spreadsheets write it; see ``split``."""
    value, unit = split(text, decimal_comma=decimal_comma)
    if unit:
        raise UnitError("that is not a number")
    return value


def quantity(text: str, unit: str, *, decimal_comma: bool | None = None) -> float:
    """Number in ``unit`` from text that may carry another unit: ``"29.5 ft"`` asked for in ``"m"`` gives 8.9916."""
    value, given = split(text, decimal_comma=decimal_comma)
    return value * factor(given, unit) if given else value


def plain(value: float) -> str:
    """Number as a person writes it: no trailing zeros, no powers of ten."""
    return f"{value:.10f}".rstrip("0").rstrip(".") if abs(value) < 1e15 else f"{value:g}"
