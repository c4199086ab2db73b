"""The CSV tables of a folder, whatever spreadsheet wrote them.

Byte-order marks, semicolons, tabs, decimal commas, trailing blanks, empty rows and columns and units in the header are met here. What
cannot be read is a problem with file, row, column, found, allowed and what to do; nothing is dropped silently.
"""

from __future__ import annotations

import csv
import difflib
import io
import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import TypeVar

from pydantic import ValidationError
from pydantic.fields import FieldInfo

from hardpan.street.given import Door, Sort, Table, quoted, sentence
from hardpan.street.problems import Problems
from hardpan.street.text import TextError, read_text
from hardpan.street.units import UnitError, decimal_comma_in, factor

Row = TypeVar("Row", bound=Table)

_SEPARATORS = ",;\t"
_COMMENT = re.compile(r"#(?!\d+\w?$)")  # '#14' is a house number, '# 14' and '#pole' are comments
_HEADER = re.compile(r"(?P<name>[^\[(]*?)\s*(?:[\[(](?P<unit>[^\])]*)[\])])?")


@dataclass(frozen=True, slots=True)
class _Line:
    """One line of a table: its number in the file, from 1, and its cells."""

    row: int
    cells: list[str]


@dataclass(frozen=True, slots=True)
class _Column:
    """One column: its name in the schema and its unit in brackets; the name is empty for a column that holds nothing."""

    name: str
    unit: str
    field: FieldInfo | None


def read_rows(path: Path, kind: type[Row], problems: Problems) -> list[tuple[int, Row]]:
    """Typed rows of one table, each with its line number; what is wrong is added to ``problems``."""
    if not path.exists():
        return []
    try:
        text = read_text(path)
    except TextError as error:
        problems.add(path.name, None, "", found=error.found, allowed="a table of text (CSV)", do=error.do)
        return []
    separator, lines = _table(text, path.name, problems)
    if not lines:
        return []
    columns = _columns(lines[0], path.name, kind, problems)
    if columns is None:
        return []
    whole = [line for line in lines[1:] if _fits(line, columns, path.name, problems)]
    decimal_comma = decimal_comma_in(_numbers(whole, columns), commas_expected=separator in ";\t")
    units = tuple((column.name, column.unit) for column in columns)
    rows = []
    for line in whole:
        cells = {column.name: cell for column, cell in zip(columns, line.cells, strict=False) if cell}
        door = Door(f"{path.name} row {line.row}", units, decimal_comma)
        try:
            rows.append((line.row, kind.model_validate(cells, context=door)))
        except ValidationError as error:
            problems.add_validation(path.name, line.row, error, kind)
    return rows


def _table(text: str, file: str, problems: Problems) -> tuple[str, list[_Line]]:
    """Separator and lines that hold something; blank lines and comments are left out."""
    said = re.match(r"\s*\"?sep=([,;\t])\"?[ ,;\t]*(?:\n|$)", text, re.IGNORECASE)
    if said:  # a spreadsheet's own first line that names the separator
        text = "\n" * said[0].count("\n") + text[said.end() :]
    head = next((line for line in text.split("\n") if line.strip(" ,;\t") and not _is_comment(line)), "")
    separator = said[1] if said else max(_SEPARATORS, key=head.count)
    return separator, list(_lines(text, separator, file, problems))


def _is_comment(line: str) -> bool:
    """Whether a line of a table is a comment: its first cell starts with #."""
    first = re.split(r"[,;\t]", line.strip().lstrip('"'))[0].strip()
    return bool(_COMMENT.match(first))


def _lines(text: str, separator: str, file: str, problems: Problems) -> Iterator[_Line]:
    """Lines that hold something, numbered by where they start in the file; ends at a line that is not CSV."""
    reader = csv.reader(io.StringIO(text, newline="\n"), delimiter=separator, skipinitialspace=True, strict=True)
    while True:
        row = reader.line_num + 1
        try:
            cells = [" ".join(cell.split()) for cell in next(reader, [""])]
        except csv.Error as error:
            do = "Look for a quote that is not closed or stands inside a cell; the rows from there on were not read."
            problems.add(file, row, "", found=f"no CSV ({error})", allowed="cells between separators", do=do)
            return
        if row > reader.line_num:
            return
        if any(cells) and not _COMMENT.match(cells[0]):
            yield _Line(row, cells)


def _columns(line: _Line, file: str, kind: type[Table], problems: Problems) -> list[_Column] | None:
    """Columns of a table; None when the header itself is wrong."""
    fields = {info.alias or name: info for name, info in kind.model_fields.items()}
    if not any(_named_unit(cell)[0] in fields for cell in line.cells):
        do = "Put the names of the columns in the first row."
        found = f"a first row that names no column ({quoted(line.cells[0])})"
        problems.add(file, line.row, "", found=found, allowed=", ".join(fields), do=do)
        return None
    before = len(problems.found)
    columns: list[_Column] = []
    for cell in line.cells:
        name, unit = _named_unit(cell)
        if not cell:
            columns.append(_Column("", "", None))
            continue
        if name not in fields:
            near = difflib.get_close_matches(name, fields, n=1)
            do = f"Did you mean '{near[0]}'?" if near else "Remove the column or correct its name."
            found = "a column that Hardpan does not know"
            problems.add(file, line.row, cell, found=found, allowed=", ".join(fields), do=do)
            continue
        if name in [column.name for column in columns]:
            do = "Rename or remove one of the two."
            problems.add(file, line.row, cell, found="the column twice", allowed="each column once", do=do)
        if unit:
            _check_unit(unit, fields[name], (file, line.row, cell), problems)
        columns.append(_Column(name, unit, fields[name]))
    for name in [name for name, info in fields.items() if info.is_required()]:
        if name not in [column.name for column in columns]:
            do = "Add this column: it is required."
            problems.add(file, line.row, name, found="no such column", allowed=", ".join(fields), do=do)
    return columns if len(problems.found) == before else None


def _named_unit(cell: str) -> tuple[str, str]:
    """Name of a column and the unit behind it in brackets: ``Top depth [mm]`` is top_depth, mm."""
    match = _HEADER.fullmatch(cell)
    name, unit = (match["name"], match["unit"] or "") if match else (cell, "")
    return re.sub(r"[\s-]+", "_", name.strip().lower()), unit.strip()


def _check_unit(unit: str, info: FieldInfo, place: tuple[str, int, str], problems: Problems) -> None:
    """Note a unit in a header that does not fit its column."""
    sort = info.json_schema_extra
    if not isinstance(sort, Sort):
        do = "This column holds no quantity: remove the brackets."
        problems.add(*place, found=f"the unit '{unit}'", allowed="no unit here", do=do)
        return
    try:
        factor(unit, sort.unit)
    except UnitError as error:
        allowed = "no unit, or %" if sort.unit == "1" else f"a unit like {sort.unit}"
        problems.add(*place, found=f"the unit '{unit}'", allowed=allowed, do=sentence(error))


def _fits(line: _Line, columns: list[_Column], file: str, problems: Problems) -> bool:
    """Whether every cell of a line stands under a named column."""
    names = [column.name for column in columns]
    extra = [cell for i, cell in enumerate(line.cells) if cell and (i >= len(names) or not names[i])]
    if not extra:
        return True
    named = sum(1 for name in names if name)
    found, allowed = f"{quoted(extra[0])} in a column without a name", f"cells in the {named} columns of the header"
    do = "Put text that holds the separator in quotes, name the column, or remove the cell."
    problems.add(file, line.row, "", found=found, allowed=allowed, do=do)
    return False


def _numbers(lines: list[_Line], columns: list[_Column]) -> list[str]:
    """Cells of the columns that hold figures."""
    held = [column.field is not None and isinstance(column.field.json_schema_extra, Sort) for column in columns]
    return [cell for line in lines for cell, figure in zip(line.cells, held, strict=False) if cell and figure]
