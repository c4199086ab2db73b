"""Text of a file, whatever editor or spreadsheet wrote it."""

from __future__ import annotations

import codecs
from pathlib import Path

_MARKS = ((codecs.BOM_UTF8, "utf-8-sig"), (codecs.BOM_UTF16_LE, "utf-16"), (codecs.BOM_UTF16_BE, "utf-16"))
_WORKBOOK = b"PK\x03\x04"


class TextError(ValueError):
    """A file that does not hold text; ``.found`` and ``.do`` say why and what helps."""

    def __init__(self, found: str, do: str) -> None:
        super().__init__(found)
        self.found = found
        self.do = do


def read_text(path: Path) -> str:
    r"""Text of a file, lines ending in ``\n``: UTF-8 or UTF-16 by its byte-order mark, else UTF-8, else the Western Windows code page.

    Raises
    ------
    TextError
        When the file cannot be opened or holds no text.
    """
    try:
        raw = path.read_bytes()
    except OSError as error:
        reason = (error.strerror or "not readable").lower()
        raise TextError(f"a file that cannot be opened ({reason})", "Close it elsewhere; check its rights.") from error
    if raw.startswith(_WORKBOOK):
        raise TextError(
            "a spreadsheet workbook, not text", "Save it as plain text (CSV for a table); renaming it is not enough."
        )
    marked = next((encoding for mark, encoding in _MARKS if raw.startswith(mark)), None)
    for encoding in [marked] if marked else ["utf-8", "cp1252"]:
        try:
            text = raw.decode(encoding)
        except UnicodeDecodeError:
            continue
        if "\0" not in text:
            return text.replace("\r\n", "\n").replace("\r", "\n")
    raise TextError("bytes that are not text", "Save the file again as UTF-8.")
