"""Fields of the typed street: a number, a number with a unit, or a table that also says how it is known.

``0.30``, ``"12 in"`` and ``{ value = 0.30, basis = "measured", source = "hole at 0+120" }`` all read as one ``Figure``.
"""

from __future__ import annotations

import datetime as dt
import difflib
import math
from collections.abc import Hashable
from dataclasses import dataclass
from functools import cache, partial
from typing import Annotated, Any, Literal, get_args, get_origin

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, ValidationInfo, WithJsonSchema, field_validator
from pydantic_core import PydanticCustomError

from hardpan.street.defaults import default
from hardpan.street.figure import Basis, Figure
from hardpan.street.units import UnitError, factor, plain, split

_TABLE_KEYS = {"value", "basis", "source", "spread"}

# what a person is likely to have meant: the unit taken for the field's own, how many of the field's it is, its name
_MISTAKEN = {
    "1": ("%", 0.01, "per cent"),
    "m": ("mm", 0.001, "millimetres"),
    "kg": ("t", 1000.0, "tonnes"),
    "kg/m3": ("t/m3", 1000.0, "tonnes per cubic metre"),
    "L": ("m3", 1000.0, "cubic metres"),
    "min": ("h", 60.0, "hours"),
}
_FORMS = ("%Y-%m-%d", "%Y-%m-%d %H:%M", "%Y-%m-%d %H:%M:%S")
_LARGE = 1e15  # beyond it no quantity of a street lies
MOMENTS = {
    dt.datetime: "a date and time like 2026-06-03 16:40",
    dt.date: "a date like 2026-06-04",
    dt.time: 'a time of day like "06:30"',
}


def wrong(found: str, allowed: str, do: str) -> PydanticCustomError:
    """Validation error in three parts: found, allowed, what to do."""
    return PydanticCustomError("hardpan", "{found}|{allowed}|{do}", {"found": found, "allowed": allowed, "do": do})


def quoted(given: object) -> str:
    """Value as it stood in the file, on one line and not too long."""
    if isinstance(given, bool):
        return str(given).lower()
    if isinstance(given, float) and math.isnan(given):
        return "no number"
    if isinstance(given, int | float):
        return plain(float(given)) if abs(given) < _LARGE else "a very large number"
    if isinstance(given, dict):
        return f"a table of {', '.join(str(key) for key in given) or 'nothing'}"[:80]
    if isinstance(given, list):
        return f"a list of {len(given)}"
    text = " ".join(str("" if given is None else given).split())
    return f"'{text[:60]}{'...' if len(text) > 60 else ''}'" if text else "nothing"


def sentence(error: UnitError) -> str:
    """Message of an error as a sentence."""
    text = str(error)
    return f"{text[0].upper()}{text[1:]}."


def _moment(value: object) -> object:
    """Date and time as people write it: 2026-06-03 16:40; local time, no zone."""
    if not isinstance(value, str):
        return value
    try:
        return dt.datetime.strptime(" ".join(value.split()).replace("T", " "), _FORMS[value.count(":")])
    except (ValueError, IndexError) as error:
        raise wrong(quoted(value), MOMENTS[dt.datetime], "Write year-month-day, a space, hours:minutes.") from error


Moment = Annotated[dt.datetime, BeforeValidator(_moment), WithJsonSchema({"type": "string", "format": "date-time"})]


@dataclass(frozen=True, slots=True)
class Sort:
    """What a figure field takes: its unit, its range, the words allowed in its place, whether it may be left out."""

    unit: str
    low: float
    high: float
    words: tuple[str, ...] = ()
    optional: bool = False

    @property
    def allowed(self) -> str:
        """What is allowed, in words, in the field's unit."""
        return self.allowed_in(self.unit, 1.0)

    def allowed_in(self, unit: str, one: float) -> str:
        """What is allowed, in words, in a unit of which one is ``one`` of the field's: ``0.5 to 60 m``."""
        low, high = (plain(float(f"{limit / one:.4g}")) for limit in (self.low, self.high))
        words = " or ".join([*(f"'{word}'" for word in self.words), ""])
        return f"{words}{low} to {high} {'' if unit == '1' else unit}".strip()

    def holds(self, value: float) -> bool:
        """Whether a value in the field's unit lies in its range."""
        return self.low <= value <= self.high

    def __call__(self, schema: dict[str, Any]) -> None:
        """Write what the JSON schema of the field says beside the three forms of a figure: its unit, range and words."""
        described = schema.get("description")
        schema.clear()
        schema.update(unit=self.unit, minimum=self.low, maximum=self.high)
        if described:
            schema["description"] = described
        if self.words:
            schema["words"] = list(self.words)


@dataclass(frozen=True, slots=True)
class Door:
    """How the file being read writes its numbers; empty for TOML."""

    file: str = "the street folder"
    units: tuple[tuple[str, str], ...] = ()
    decimal_comma: bool | None = None

    def unit_of(self, field: str) -> str:
        """Unit that the header of the table gives to a field; empty where it gives none."""
        return dict(self.units).get(field, "")


@dataclass(frozen=True, slots=True)
class _Written:
    """A number as it stood in the file: the unit it was written in, and how many of the field's unit that is."""

    number: float
    unit: str
    one: float
    shown: str

    @property
    def value(self) -> float:
        """Value in the field's unit."""
        return self.number * self.one


def _written(value: object, sort: Sort, *, unit: str = "", decimal_comma: bool | None = None) -> _Written:
    """Number of a TOML or CSV value; a unit beside the number beats the unit of the header."""
    if isinstance(value, bool) or not isinstance(value, int | float | str):
        raise wrong(quoted(value), sort.allowed, "Write a number, or a number with its unit in quotes.")
    if isinstance(value, int | float):
        if not abs(value) < _LARGE:
            raise wrong(quoted(value), sort.allowed, "Check the number and its unit.")
        return _Written(float(value), sort.unit, 1.0, quoted(value))
    if not value.strip():
        raise wrong("nothing", sort.allowed, "This is required: fill it in.")
    unit = unit or sort.unit
    try:
        number, own_unit = split(value, decimal_comma=decimal_comma)
        one = factor(own_unit or unit, sort.unit)
    except UnitError as error:
        near = difflib.get_close_matches(value.strip().lower(), sort.words, n=1)
        do = f"Did you mean '{near[0]}'?" if near else sentence(error)
        raise wrong(quoted(value), sort.allowed_in(unit, factor(unit, sort.unit)), do) from error
    shown = quoted(value) if own_unit or unit == sort.unit else f"'{value.strip()}' {unit}"
    return _Written(number, own_unit or unit, one, shown)


def _likely(written: _Written, sort: Sort) -> str:
    """What to do about a number out of range: the likely slip where there is one."""
    number, unit, one = written.number, written.unit, written.one
    if number < 0 <= sort.low and sort.holds(-written.value):
        return "Write it without the minus."
    if unit != sort.unit and sort.holds(number):
        own = {"m": "metres", "1": "a fraction of one"}.get(sort.unit, sort.unit)
        other = plain(number) if sort.unit == "1" else f"{plain(number)} {sort.unit}"
        return f"{plain(number)} looks like {own}: write {plain(float(f'{number / one:.4g}'))} {unit} or {other}."
    mistaken, times, name = _MISTAKEN.get(sort.unit, ("", 0.0, ""))
    if unit == sort.unit and mistaken and sort.holds(number * times) and number:
        meant = plain(round(number * times, 10))
        return f"{plain(number)} looks like {name}: write {meant} or '{plain(number)} {mistaken}'."
    if sort.unit in ("kg/m2", "L/m2") and number > 0 and sort.holds(written.value / 10):
        return f"Did you mean {plain(round(number / 10, 6))}?"
    return "Check the number and its unit."


def to_figure(value: object, sort: Sort, *, name: str, field: str = "", door: Door | None = None) -> Figure:
    """One given figure from what the file holds."""
    door = door or Door()
    basis, source, spread = Basis.STATED, "", 0.0
    if isinstance(value, dict):
        basis, source, spread, value = _from_table(value, sort)
    written = _written(value, sort, unit=door.unit_of(field), decimal_comma=door.decimal_comma)
    if not sort.holds(written.value):
        raise wrong(written.shown, sort.allowed_in(written.unit, written.one), _likely(written, sort))
    return Figure(name, written.value, sort.unit, basis, source or f"{basis.value} in {door.file}", spread)


def _from_table(table: dict[str, Any], sort: Sort) -> tuple[Basis, str, float, object]:
    """Basis, source, spread and raw value of the table form."""
    unknown = sorted(set(table) - _TABLE_KEYS)
    if unknown or "value" not in table:
        raise wrong(
            quoted(table),
            "a table of value, basis, source, spread",
            "Write at least value; leave out the rest or spell it so.",
        )
    word, source = table.get("basis", "stated"), table.get("source", "")
    if word not in ("measured", "stated"):
        raise wrong(
            f"the basis {quoted(word)}", "measured or stated", "Write one of the two; a default needs no line at all."
        )
    if not isinstance(source, str):
        raise wrong(f"the source {quoted(source)}", "text in quotes", "Say in words where the value comes from.")
    spread = _written(table.get("spread", 0.0), sort)
    if spread.value < 0:
        raise wrong(f"the spread {spread.shown}", "0 or more", "Write one standard deviation, without a minus.")
    return Basis(word), source, spread.value, table["value"]


def figure(
    unit: str,
    low: float,
    high: float,
    about: str = "",
    *,
    key: str = "",
    optional: bool = False,
    words: tuple[str, ...] = (),
) -> Any:
    """Field of a figure in ``unit`` from ``low`` to ``high``; ``key`` names its row in ``defaults.csv``."""
    sort = Sort(unit, low, high, words, optional)
    if key:
        stands_in = default(key)
        about = f"{stands_in.name}; not said: {plain(stands_in.value)} {unit}, {stands_in.source}".strip()
        return Field(default_factory=partial(default, key), description=about, json_schema_extra=sort)
    return Field(None if optional else ..., description=about or None, json_schema_extra=sort)


@cache
def _kinds(annotation: Hashable) -> tuple[Any, ...]:
    """Plain types and allowed words inside an annotation."""
    if get_origin(annotation) is Literal:
        return get_args(annotation)
    inner = get_args(annotation)
    if not inner:
        return (annotation,)
    outer = (tuple,) if get_origin(annotation) is tuple else ()
    return outer + tuple(kind for part in inner for kind in _kinds(part))


def kinds(annotation: Any) -> tuple[Any, ...]:
    """Plain types and allowed words inside an annotation such as ``Literal["left", "right"] | None`` or ``tuple[Fill, ...]``."""
    return _kinds(annotation)


def _plain_value(value: object, annotation: Any) -> object:
    """Value of a field that is no figure: words in any case, no number for a time, no true or false for a number."""
    allowed = kinds(annotation)
    if isinstance(value, str):
        return next((word for word in allowed if isinstance(word, str) and word == value.strip().lower()), value)
    if {str, float} <= set(allowed) and (isinstance(value, bool) or not isinstance(value, int | float)):
        raise wrong(quoted(value), 'a number, or a place in quotes like "0+140"', "Write the station.")
    moment = next((said for kind, said in MOMENTS.items() if kind in allowed), "")
    if isinstance(value, bool) and bool not in allowed:
        number = "a number" if float in allowed or int in allowed else "text"
        raise wrong(quoted(value), moment or number, "True and false say nothing here: correct the value.")
    if moment and isinstance(value, int | float):
        do = "Write hours and minutes, in quotes." if dt.time in allowed else "Write year-month-day."
        raise wrong(quoted(value), moment, do)
    return value


class Table(BaseModel):
    """A table of a street folder: unknown keys are problems, values never change, figures are read at the door."""

    model_config = ConfigDict(
        defer_build=True,
        extra="forbid",
        frozen=True,
        str_strip_whitespace=True,
        validate_by_name=True,
        allow_inf_nan=False,
    )

    @field_validator("*", mode="before")
    @classmethod
    def _read(cls, value: object, info: ValidationInfo) -> object:
        """Turn what stands in a figure field into a ``Figure``; tidy what stands in any other."""
        name = info.field_name or ""
        field = cls.model_fields[name]
        sort = field.json_schema_extra
        if not isinstance(sort, Sort):
            return _plain_value(value, field.annotation)
        if isinstance(value, Figure) or (value is None and sort.optional):
            return value
        if isinstance(value, str) and value.strip().lower() in sort.words:
            return value.strip().lower()
        return to_figure(value, sort, name=name.replace("_", " "), field=name, door=info.context)
