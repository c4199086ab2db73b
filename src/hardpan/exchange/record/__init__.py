"""The hand-over record of a street: what its ledger says, as a PDF that stands alone, a workbook, and lines whose every change shows."""

from hardpan.exchange.record.checking import Finding, verify_file
from hardpan.exchange.record.writing import write_record

__all__ = ["Finding", "verify_file", "write_record"]
