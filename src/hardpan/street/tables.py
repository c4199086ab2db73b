"""The CSV tables of a folder, whatever spreadsheet wrote them.

Byte-order marks, semicolons, tabs, decimal commas, trailing blanks, empty rows and columns and units in the header are met here. What
cannot be read is a problem with file, row, column, found, allowed and what to do; nothing is dropped silently.
"""

from __future__ import annotations

import csv
import difflib
import re
from dataclasses import dataclass, field
from functools import partial
from pathlib import Path
from typing import Any, TypeVar

from pydantic import ValidationError

from hardpan.errors import Problem
from hardpan.street.given import Sort, Table
from hardpan.street.units import UnitError, factor, quantity

Row = TypeVar("Row", bound=Table)


@dataclass
class Problems:
    """Problems of one folder, gathered so that all are reported at once."""

    found: list[Problem] = field(default_factory=list)

    def add(self, file: str, row: int | None, column: str, *, found: str, allowed: str, do: str) -> None:
        """Note one problem."""
        self.found.append(Problem(file, row, column, found, allowed, do))

    def add_validation(self, file: str, row: int | None, error: ValidationError, known: type[Table]) -> None:
        """Note every problem of a failed validation."""
        for detail in error.errors():
            path = ".".join(str(part) for part in detail["loc"])
            found, allowed, do = _explain(detail, known)
            self.add(file, row, path, found=found, allowed=allowed, do=do)


def _explain(detail: Any, known: type[Table]) -> tuple[str, str, str]:
    """Found, allowed and what to do, in plain words, of one validation detail."""
    context, given = detail.get("ctx") or {}, detail.get("input")
    match detail["type"]:
        case "hardpan":
            return context["found"], context["allowed"], context["do"]
        case "missing":
            return "nothing", "a value", "This is required: add it."
        case "extra_forbidden":
            near, names = _nearest(known, detail["loc"])
            return (
                "a key that Hardpan does not know",
                ", ".join(names),
                f"Did you mean '{near}'?" if near else "Remove it or correct its spelling.",
            )
        case "string_too_short":
            return "nothing", "some text", "This is required: fill it in."
        case "literal_error" | "enum":
            return (
                _quoted(given),
                str(context["expected"]),
                "Write one of these words." if given not in ("", None) else "This is required: fill it in.",
            )
        case _:
            return (
                _quoted(given),
                str(detail["msg"]).removeprefix("Input should be ").removeprefix("Value error, "),
                "Correct the value.",
            )


def _quoted(given: object) -> str:
    """Value as it stood in the file."""
    return "nothing" if given in ("", None) else repr(given)


def _nearest(known: type[Table], path: tuple[str | int, ...]) -> tuple[str, list[str]]:
    """Nearest known name to a misspelt key, and the names allowed there."""
    table: Any = known
    for part in path[:-1]:
        if isinstance(part, str):
            table = _inner_table(table.model_fields[part].annotation)
    names = [info.alias or name for name, info in table.model_fields.items()]
    near = difflib.get_close_matches(str(path[-1]), names, n=1)
    return (near[0] if near else ""), names


def _inner_table(annotation: Any) -> Any:
    """Table class inside an annotation such as ``tuple[Fill, ...]`` or ``Limit | None``."""
    if isinstance(annotation, type) and issubclass(annotation, Table):
        return annotation
    return (
        next(
            table for table in (_inner_table(part) for part in getattr(annotation, "__args__", ())) if table is not None
        )
        if getattr(annotation, "__args__", ())
        else None
    )


@dataclass(frozen=True)
class Cells:
    """One line of a table: its number in the file and its cells by column."""

    row: int
    cells: dict[str, str]


def read_text(path: Path) -> str:
    """Text of a file in UTF-8 or UTF-16 with or without a byte-order mark, else in the Western Windows code page."""
    raw = path.read_bytes()
    if raw[:2] in (b"\xff\xfe", b"\xfe\xff"):
        return raw.decode("utf-16")
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError:
        return raw.decode("cp1252", errors="replace")


def read_rows(path: Path, kind: type[Row], problems: Problems) -> list[tuple[int, Row]]:
    """Typed rows of one table, each with its line number; what is wrong is added to ``problems``."""
    if not path.exists():
        return []
    text = read_text(path)
    delimiter = _delimiter(text)
    lines = [(i, [cell.strip() for cell in line]) for i, line in _lines(text, delimiter)]
    if not lines:
        return []
    header = _header(lines[0], path.name, kind, problems)
    if header is None:
        return []
    decimal_comma = True if delimiter in ";\t" else None
    rows = []
    for number, cells in lines[1:]:
        if len([cell for cell in cells[len(header) :] if cell]) > 0:
            extra = next(cell for cell in cells[len(header) :] if cell)
            do = "Put text that holds the separator in quotes, or remove the extra cell."
            problems.add(
                path.name,
                number,
                "",
                found=f"{extra!r} beyond the last column",
                allowed=f"{len(header)} columns",
                do=do,
            )
            continue
        values = {column.name: cell for column, cell in zip(header, cells, strict=False) if column.name and cell}
        units = {column.name: column.unit for column in header}
        row = _typed(values, kind, problems, units=units, decimal_comma=decimal_comma, place=(path.name, number))
        if row is not None:
            rows.append((number, row))
    return rows


def _lines(text: str, delimiter: str) -> list[tuple[int, list[str]]]:
    """Lines that hold something, numbered from 1; a line that starts with # is a comment."""
    reader = csv.reader(text.splitlines(keepends=True), delimiter=delimiter)
    lines = []
    for cells in reader:
        if any(cell.strip() for cell in cells) and not cells[0].lstrip().startswith("#"):
            lines.append((reader.line_num, cells))
    return lines


def _delimiter(text: str) -> str:
    """Separator of the header line: the commonest of semicolon, tab and comma."""
    head = next((line for line in text.splitlines() if line.strip() and not line.startswith("#")), "")
    return max(";\t,", key=head.count)


@dataclass(frozen=True)
class _Column:
    """One column: its field, its unit in brackets."""

    name: str
    unit: str


def _header(line: tuple[int, list[str]], file: str, kind: type[Row], problems: Problems) -> list[_Column] | None:
    """Columns of a table; None when the header itself is wrong."""
    number, cells = line
    while cells and not cells[-1]:
        cells.pop()
    fields = {info.alias or name: info for name, info in kind.model_fields.items()}
    columns: list[_Column] = []
    before = len(problems.found)
    for cell in cells:
        match = re.fullmatch(r"(?P<name>.*?)\s*(?:\[(?P<unit>[^\]]*)\])?", cell)
        name = (match["name"] if match else cell).strip().lower().replace(" ", "_")
        unit = ((match["unit"] if match else None) or "").strip()
        if name not in fields:
            near = difflib.get_close_matches(name, fields, n=1)
            do = f"Did you mean '{near[0]}'?" if near else "Remove the column or correct its name."
            problems.add(
                file,
                number,
                cell,
                found="a column that Hardpan does not know" if cell else "a column without a name",
                allowed=", ".join(fields),
                do=do,
            )
        elif name in [column.name for column in columns]:
            problems.add(
                file,
                number,
                cell,
                found="the column twice",
                allowed="each column once",
                do="Rename or remove one of the two.",
            )
        elif unit:
            _check_unit(unit, _sort(fields[name]), (file, number, cell), problems)
        columns.append(_Column(name, unit))
    for name, info in fields.items():
        if info.is_required() and name not in [column.name for column in columns]:
            problems.add(
                file,
                number,
                name,
                found="no such column",
                allowed=f"the columns {', '.join(fields)}",
                do="Add this column: it is required.",
            )
    return columns if len(problems.found) == before else None


def _sort(info: Any) -> Sort | None:
    """What a figure field takes; None for a field of text."""
    extra = info.json_schema_extra
    return extra.args[0] if isinstance(extra, partial) else None


def _check_unit(unit: str, sort: Sort | None, place: tuple[str, int, str], problems: Problems) -> None:
    """Note a unit in a header that does not fit its column."""
    file, number, cell = place
    if sort is None:
        problems.add(
            file,
            number,
            cell,
            found=f"the unit {unit!r}",
            allowed="no unit here",
            do="This column holds text: remove the brackets.",
        )
        return
    try:
        factor(unit, sort.unit)
    except UnitError as error:
        problems.add(
            file,
            number,
            cell,
            found=f"the unit {unit!r}",
            allowed=f"a unit like {sort.unit}",
            do=f"{str(error)[0].upper()}{str(error)[1:]}.",
        )


def _typed(
    cells: dict[str, str],
    kind: type[Row],
    problems: Problems,
    *,
    units: dict[str, str],
    decimal_comma: bool | None,
    place: tuple[str, int],
) -> Row | None:
    """One typed row; None and problems when a cell is wrong."""
    file, number = place
    values: dict[str, object] = {}
    before = len(problems.found)
    for name, info in kind.model_fields.items():
        column = info.alias or name
        if column not in cells:
            continue
        sort, cell = _sort(info), cells[column]
        if sort is None or cell in sort.words:
            values[column] = cell
            continue
        try:
            values[column] = _cell_number(cell, units[column], sort, decimal_comma)
        except UnitError as error:
            problems.add(
                file,
                number,
                column,
                found=f"'{cell}'",
                allowed=sort.allowed,
                do=f"{str(error)[0].upper()}{str(error)[1:]}.",
            )
    if len(problems.found) > before:
        return None
    try:
        return kind.model_validate(values, context={"file": f"{file} row {number}"})
    except ValidationError as error:
        problems.add_validation(file, number, error, kind)
        return None


def _cell_number(cell: str, unit: str, sort: Sort, decimal_comma: bool | None) -> float:
    """Number of a cell in the field's unit; a unit in the cell beats the header's."""
    has_unit = bool(re.search(r"[a-zA-Z%]\S*\s*$", cell)) and not re.fullmatch(r"\S*\d[eE][+-]?\d+", cell)
    text = cell if has_unit or not unit else f"{cell} {unit}"
    return quantity(text, sort.unit, decimal_comma=decimal_comma)
