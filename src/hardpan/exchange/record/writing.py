"""Write the record of a street folder: a PDF that stands alone, a workbook, and the chain as lines."""

from __future__ import annotations

from pathlib import Path

from hardpan.exchange.record.failures import failures
from hardpan.exchange.record.gathered import Gathered, gather_folder
from hardpan.exchange.record.record_tables import record_tables
from hardpan.exchange.record.workbook import workbook
from hardpan.exchange.sheets.pdf import NO_DATE, Paper
from hardpan.exchange.sheets.record_sheet import CHAIN_FILE, record_pdf

PDF_FILE, XLSX_FILE = "record.pdf", "record.xlsx"


def write_record(folder: Path, out: Path, *, paper: Paper = "a4") -> tuple[Path, ...]:
    """Write ``record.pdf``, ``record.xlsx`` and ``record.jsonl`` of a street folder; the same folder gives the same bytes.

    Parameters
    ----------
    folder
        Street folder with its ``ledger.jsonl``; a street without one gets a record that says so.
    out
        Folder to write into; made where it is missing.
    paper
        ``a4`` or ``us-letter``.

    Returns
    -------
    tuple of Path
        What was written, in that order; all is made before the first file is written.

    Raises
    ------
    StreetError
        When the street cannot be read or planned.
    """
    made = record_files(gather_folder(folder), paper=paper)
    out.mkdir(parents=True, exist_ok=True)
    paths = []
    for name, content in made.items():
        paths.append(out / name)
        paths[-1].write_bytes(content)
    return tuple(paths)


def record_files(record: Gathered, *, paper: Paper = "a4") -> dict[str, bytes]:
    """Files of a record by name."""
    failed = failures(record)
    tables = record_tables(record, failed)
    date = record.plan.street.file.shift.date or NO_DATE
    title = f"{record.plan.street.name}: hand-over record"
    return {
        PDF_FILE: record_pdf(record, failed, tables, paper=paper),
        XLSX_FILE: workbook([told.table for told in tables], title=title, date=date),
        CHAIN_FILE: "".join(f"{line}\n" for line in record.lines).encode(),
    }
