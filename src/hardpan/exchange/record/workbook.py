"""The record's workbook: the same tables as on paper, text kept as text, the same ledger in the same bytes."""

from __future__ import annotations

import datetime as dt
import io
import re
import zipfile
from collections.abc import Iterable

from openpyxl import Workbook
from openpyxl.cell.cell import ILLEGAL_CHARACTERS_RE
from openpyxl.styles import Alignment, Font
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.worksheet import Worksheet

from hardpan.exchange.tables import WIDEST, Cell, Table

_MODIFIED = re.compile(rb"(<dcterms:modified[^>]*>)[^<]*(</dcterms:modified>)")
_LONGEST = 32_767  # letters that a cell holds


def workbook(tables: Iterable[Table], *, title: str, date: dt.date) -> bytes:
    """XLSX of some tables, a sheet a table, heads frozen; its times are those of ``date``."""
    book = Workbook()
    for empty in book.worksheets:
        book.remove(empty)
    for table in tables:
        _fill(book.create_sheet(table.name), table)
    book.properties.title, book.properties.creator = title, "Hardpan"
    book.properties.created = dt.datetime.combine(date, dt.time())
    made = io.BytesIO()
    book.save(made)
    return _dated(made.getvalue(), date)


def _fill(sheet: Worksheet, table: Table) -> None:
    """Write one table."""
    for row, cells in enumerate((table.columns, *table.rows), start=1):
        for column, value in enumerate(cells, start=1):
            cell = sheet.cell(row=row, column=column)
            if isinstance(value, str):
                cell.value, cell.data_type = _text(value), "s"  # what begins with = is text too, never a formula
            else:
                cell.value = value
    for i, column_name in enumerate(table.columns, start=1):
        longest = max([len(column_name), *(len(_shown(row[i - 1])) for row in table.rows)])
        sheet.column_dimensions[get_column_letter(i)].width = min(WIDEST, longest + 2)
        head = sheet.cell(row=1, column=i)
        head.font, head.alignment = Font(bold=True), Alignment(wrap_text=True, vertical="top")
    sheet.freeze_panes = "A2"


def _text(text: str) -> str:
    """Text that a cell can hold."""
    return ILLEGAL_CHARACTERS_RE.sub("\u25a1", text)[:_LONGEST]


def _shown(cell: Cell) -> str:
    """Cell as it is shown."""
    return str(cell)


def _dated(content: bytes, date: dt.date) -> bytes:
    """The same workbook with the times of ``date`` in place of the clock's."""
    made, stamp = io.BytesIO(), f"{date.isoformat()}T00:00:00Z".encode()
    with zipfile.ZipFile(io.BytesIO(content)) as old, zipfile.ZipFile(made, "w", zipfile.ZIP_DEFLATED) as new:
        for name in old.namelist():
            inside = _MODIFIED.sub(rb"\g<1>" + stamp + rb"\g<2>", old.read(name))
            entry = zipfile.ZipInfo(name, (max(date.year, 1980), date.month, date.day, 0, 0, 0))
            entry.compress_type = zipfile.ZIP_DEFLATED
            new.writestr(entry, inside)
    return made.getvalue()
