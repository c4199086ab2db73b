"""What is wrong with an entry or a line, in plain words: where, found, allowed, what to do; all of it at once."""

from __future__ import annotations

import difflib
from dataclasses import dataclass
from typing import Any

from annotated_types import Ge, Le, MaxLen, MinLen
from pydantic import BaseModel, ValidationError
from pydantic.fields import FieldInfo

from hardpan.errors import HardpanError
from hardpan.ledger.moments import ALLOWED, Moment
from hardpan.street.given import kinds, quoted
from hardpan.street.units import plain

_SPELL = "Remove it or correct its spelling; a newer Hardpan may know it."


@dataclass(frozen=True, slots=True)
class EntryProblem:
    """One thing that is wrong with an entry; ``where`` is its key path, such as ``payload.net_kg``.

    ``line`` counts lines of a file from 1, and is None elsewhere; ``text`` is the line as it stands there.
    """

    where: str
    found: str
    allowed: str
    do: str
    line: int | None = None
    text: str = ""

    def __str__(self) -> str:
        place = ", ".join(part for part in (f"line {self.line}" if self.line else "", self.where) if part)
        return f"{place or 'the whole'}: found {self.found}; allowed: {self.allowed}. {self.do}"


class LedgerError(HardpanError):
    """An entry that cannot be taken: all its problems, never only the first."""

    def __init__(self, problems: tuple[EntryProblem, ...] | list[EntryProblem]) -> None:
        self.problems = tuple(problems)
        count = len(self.problems)
        head = f"{count} problem{'' if count == 1 else 's'} in the entry"
        super().__init__("\n".join([head, *(f"  {problem}" for problem in self.problems)]))

    def __reduce__(self) -> tuple[type[LedgerError], tuple[tuple[EntryProblem, ...]]]:
        """Travel between processes by what it was made of."""
        return type(self), (self.problems,)


def explain(error: ValidationError, known: type[BaseModel], inner: dict[str, type[BaseModel]]) -> list[EntryProblem]:
    """Problems of a failed validation; ``inner`` gives the model at a key path that is typed by another key."""
    details = error.errors()
    counted = [detail for detail in details if detail["type"] != "too_short" or not _told_inside(detail, details)]
    return [_problem(detail, known, inner) for detail in counted]


def _told_inside(detail: Any, details: list[Any]) -> bool:
    """Whether what is inside a list has problems of its own: the list then only looks short."""
    path = detail["loc"]
    return any(len(other["loc"]) > len(path) and other["loc"][: len(path)] == path for other in details)


def _problem(detail: Any, known: type[BaseModel], inner: dict[str, type[BaseModel]]) -> EntryProblem:
    """One validation detail in plain words."""
    path, kind, given = detail["loc"], detail["type"], detail.get("input")
    where = ".".join(str(part + 1 if isinstance(part, int) else part) for part in path)
    if kind == "hardpan":
        said = detail["ctx"]
        return EntryProblem(where, said["found"], said["allowed"], said["do"])
    model, info = _at(path, known, inner)
    if kind == "extra_forbidden":
        near = difflib.get_close_matches(str(path[-1]), model.model_fields, n=1)
        do = f"Did you mean '{near[0]}'?" if near else _SPELL
        return EntryProblem(where, "a key that Hardpan does not know", ", ".join(model.model_fields), do)
    allowed = allowed_words(info, inner.get(where))
    if kind == "missing":
        return EntryProblem(where, "nothing", allowed, "This is required: fill it in.")
    return EntryProblem(where, quoted(given), allowed, _do(kind, given, info))


def _at(
    path: tuple[str | int, ...], known: type[BaseModel], inner: dict[str, type[BaseModel]]
) -> tuple[type[BaseModel], FieldInfo]:
    """Model that holds the last key of a path, and the field there."""
    model, info = known, FieldInfo(annotation=known)
    below: type[BaseModel] | None = known
    for i, part in enumerate(path):
        if not isinstance(part, str) or below is None:
            continue
        model = below
        info = model.model_fields.get(part, info)
        below = inner.get(".".join(str(one) for one in path[: i + 1])) or _model_in(info)
    return model, info


def _model_in(info: FieldInfo) -> type[BaseModel] | None:
    """Model inside a field such as ``tuple[Shot, ...]`` or ``Place | None``."""
    return next((one for one in kinds(info.annotation) if isinstance(one, type) and issubclass(one, BaseModel)), None)


def declared(info: FieldInfo) -> list[FieldInfo]:
    """Declarations of a field, those inside an optional one among them; the outer come last and count."""
    found: list[FieldInfo] = []

    def _walk(annotation: Any) -> None:
        for part in getattr(annotation, "__args__", ()):
            _walk(part)
        found.extend(one for one in getattr(annotation, "__metadata__", ()) if isinstance(one, FieldInfo))

    _walk(info.annotation)
    return [*found, info]


def _rules(info: FieldInfo) -> list[Any]:
    """Rules on a value."""
    return [rule for one in declared(info) for rule in one.metadata]


def allowed_words(info: FieldInfo, inner: type[BaseModel] | None = None) -> str:
    """What a field takes, in words."""
    inside, rules = kinds(info.annotation), _rules(info)
    model = inner or _model_in(info)
    if model is not None:
        keys = ", ".join(model.model_fields)
        return f"{'a list of objects' if tuple in inside else 'an object'} with the keys {keys}"
    words = [f"'{word}'" for word in inside if isinstance(word, str)]
    if words:
        return " or ".join(filter(None, [", ".join(words[:-1]), words[-1]]))
    if bool in inside:
        return "true or false"
    if int in inside or float in inside:
        return _allowed_number(inside, rules)
    return _allowed_text(info, rules)


def _bounds(rules: list[Any]) -> tuple[float, float] | None:
    """Range of a number; None where it has none."""
    low = [float(str(rule.ge)) for rule in rules if isinstance(rule, Ge)]
    high = [float(str(rule.le)) for rule in rules if isinstance(rule, Le)]
    return (low[-1], high[-1]) if low and high else None


def _allowed_number(inside: tuple[Any, ...], rules: list[Any]) -> str:
    """Sort and range of a number, in words."""
    said = "whole number" if int in inside else "number"
    said = f"{said}s" if tuple in inside else f"a {said}"
    bounds = _bounds(rules)
    return f"{said} from {plain(bounds[0])} to {plain(bounds[1])}" if bounds else said


def _allowed_text(info: FieldInfo, rules: list[Any]) -> str:
    """Length and form of a text, in words."""
    if Moment in kinds(info.annotation):
        return ALLOWED
    formed = [
        one.description
        for one in declared(info)
        if one.description and any(getattr(rule, "pattern", None) for rule in one.metadata)
    ]
    if formed:
        return formed[0]
    longest = [rule.max_length for rule in rules if isinstance(rule, MaxLen)]
    least = [rule.min_length for rule in rules if isinstance(rule, MinLen)]
    if longest and least:
        return f"text of {least[-1]} to {longest[-1]} letters"
    return f"text, at most {longest[-1]} letters" if longest else info.description or "text"


def _do(kind: str, given: object, info: FieldInfo) -> str:
    """What to do about a value of the wrong kind or size."""
    if kind == "literal_error":
        near = difflib.get_close_matches(str(given), [str(word) for word in kinds(info.annotation)], n=1)
        return f"Did you mean '{near[0]}'?" if near else "Write one of these words."
    if kind in ("less_than_equal", "greater_than_equal"):
        return _likely(given, _bounds(_rules(info)))
    if kind.startswith(("float", "int", "finite")):
        return "Write a number, without quotes and without its unit."
    if kind.startswith("bool"):
        return "Write true or false, without quotes."
    return "Shorten it." if kind in ("string_too_long", "too_long") else "Correct it."


def _likely(given: object, bounds: tuple[float, float] | None) -> str:
    """What to do about a number out of range: the likely slip of a decimal point where there is one."""
    if bounds and isinstance(given, int | float) and given > bounds[1]:
        meant = next((given * times for times in (0.1, 0.001) if bounds[0] < given * times <= bounds[1]), None)
        if meant is not None:
            return f"Did you mean {plain(float(f'{meant:.6g}'))}?"
    return "Check the number and its unit."
