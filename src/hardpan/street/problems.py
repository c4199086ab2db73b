"""Problems of a folder, gathered so that all are reported at once, each in plain words: found, allowed, what to do."""

from __future__ import annotations

import difflib
from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Any

from annotated_types import Ge, Le, MaxLen
from pydantic import ValidationError
from pydantic.fields import FieldInfo

from hardpan.errors import Problem
from hardpan.street.given import MOMENTS, Sort, Table, kinds, quoted

_REQUIRED = "This is required: fill it in."
_SAID = {**MOMENTS, bool: "true or false", str: "text"}
_DO = {
    "int_parsing": "Write a whole number.",
    "int_type": "Write a whole number.",
    "int_from_float": "Write a whole number.",
    "int_parsing_size": "Write a whole number.",
    "float_type": "Write a number, without its unit.",
    "float_parsing": "Write a number, without its unit.",
    "bool_type": "Write true or false, without quotes.",
    "bool_parsing": "Write true or false, without quotes.",
    "string_type": "Put it in quotes.",
    "string_too_long": "Shorten it.",
    "greater_than_equal": "Check the number.",
    "less_than_equal": "Check the number.",
    "finite_number": "Check the number.",
}


@dataclass
class Problems:
    """Problems of one folder; ``in_order`` gives them file by file.

    In a key path of street.toml the entries of a list count from 1: ``cement.fill.2.cement`` is in the second fill.
    """

    found: list[Problem] = field(default_factory=list)

    def add(self, file: str, row: int | None, column: str, *, found: str, allowed: str, do: str) -> None:
        """Note one problem."""
        self.found.append(Problem(file, row, column, found, allowed, do))

    def add_validation(self, file: str, row: int | None, error: ValidationError, known: type[Table]) -> None:
        """Note every problem of a failed validation."""
        for detail in error.errors():
            path = ".".join(str(part + 1 if isinstance(part, int) else part) for part in detail["loc"])
            found, allowed, do = _explained(detail, known)
            self.add(file, row, path, found=found, allowed=allowed, do=do)

    def of(self, file: str) -> bool:
        """Whether any problem of that file has been noted."""
        return any(problem.file == file for problem in self.found)

    def in_order(self, files: Iterable[str]) -> list[Problem]:
        """Problems file by file, row by row."""
        place = {name: i for i, name in enumerate(files)}
        return sorted(self.found, key=lambda problem: (place.get(problem.file, len(place)), problem.row or 0))


def _explained(detail: Any, known: type[Table]) -> tuple[str, str, str]:
    """Found, allowed and what to do, in plain words, of one validation detail."""
    kind, given, context = detail["type"], detail.get("input"), detail.get("ctx") or {}
    if kind == "hardpan":
        return context["found"], context["allowed"], context["do"]
    if kind == "extra_forbidden":
        return _unknown_key(known, detail["loc"])
    info = _field_at(known, detail["loc"])
    allowed = allowed_words(info)
    if kind == "missing" or given in ("", None):
        return "nothing", allowed, _to_fill_in(info)
    return quoted(given), allowed, _advice(kind, given, info, detail["loc"])


def _to_fill_in(info: FieldInfo) -> str:
    """What to do about a required field that is not there."""
    table = inner_table(info)
    if table is None:
        return _REQUIRED
    needed = ", ".join(name for name, inner in _named(table).items() if inner.is_required())
    return f"This is required: add it with its {needed}."


def _advice(kind: str, given: object, info: FieldInfo, path: tuple[str | int, ...]) -> str:
    """What to do about a value of the wrong kind."""
    key = ".".join(part for part in path if isinstance(part, str))
    if kind == "literal_error":
        near = difflib.get_close_matches(str(given), [str(word) for word in kinds(info.annotation)], n=1)
        return f"Did you mean '{near[0]}'?" if near else "Write one of these words."
    if kind == "tuple_type":
        return (
            f"Write [[{key}]], in two pairs of brackets, once for each."
            if inner_table(info)
            else "Write a list in brackets."
        )
    if kind.startswith("model_"):
        return f"Write [{key}] on a line of its own and its keys below it."
    if kind.startswith(("date", "time")):
        return "Write year-month-day."
    return _DO.get(kind, "Correct the value.")


def allowed_words(info: FieldInfo) -> str:
    """What a field takes, in words."""
    if isinstance(info.json_schema_extra, Sort):
        return info.json_schema_extra.allowed
    inner = kinds(info.annotation)
    words = [f"'{kind}'" for kind in inner if isinstance(kind, str)]
    if words:
        return " or ".join(filter(None, [", ".join(words[:-1]), words[-1]]))
    if inner_table(info):
        return "tables" if tuple in inner else "a table"
    if int in inner or float in inner:
        return _allowed_number(info, inner)
    longest = next((rule.max_length for rule in info.metadata if isinstance(rule, MaxLen)), None)
    return next(said for kind, said in _SAID.items() if kind in inner) + (
        f", at most {longest} letters" if longest else ""
    )


def _allowed_number(info: FieldInfo, inner: tuple[Any, ...]) -> str:
    """Kind and range of a plain number, in words."""
    low = next((rule.ge for rule in info.metadata if isinstance(rule, Ge)), None)
    high = next((rule.le for rule in info.metadata if isinstance(rule, Le)), None)
    many = "numbers" if tuple in inner else "a number"
    kind = many.replace("number", "whole number") if int in inner else many
    if low is None:
        return kind
    return f"{kind} from {low} to {high}" if high is not None else f"{kind}, {low} or more"


def _unknown_key(known: type[Table], path: tuple[str | int, ...]) -> tuple[str, str, str]:
    """Found, allowed and what to do about a key that is not in the table it stands in."""
    table = known
    for part in path[:-1]:
        if isinstance(part, str):
            table = inner_table(_named(table)[part]) or table
    near = difflib.get_close_matches(str(path[-1]), _named(table), n=1)
    do = f"Did you mean '{near[0]}'?" if near else "Remove it or correct its spelling."
    return "a key that Hardpan does not know", ", ".join(_named(table)), do


def _named(table: type[Table]) -> dict[str, FieldInfo]:
    """Fields of a table by the name they have in the file."""
    return {info.alias or name: info for name, info in table.model_fields.items()}


def _field_at(known: type[Table], path: tuple[str | int, ...]) -> FieldInfo:
    """Field that a validation detail is about."""
    info = FieldInfo(annotation=known)
    for part in path:
        table = inner_table(info)
        if isinstance(part, str) and table is not None and part in _named(table):
            info = _named(table)[part]
    return info


def inner_table(info: FieldInfo) -> type[Table] | None:
    """Table class inside a field such as ``tuple[Fill, ...]`` or ``Limit | None``; None where there is none."""
    return next((kind for kind in kinds(info.annotation) if isinstance(kind, type) and issubclass(kind, Table)), None)
