"""Check a record: the chain in a file of lines, or the one inside a record PDF; the first entry that does not fit is named."""

from __future__ import annotations

import json
import re
import zlib
from dataclasses import dataclass
from pathlib import Path

from hardpan.ledger import EntryProblem, verify_chain

_EMBEDDED = re.compile(rb"/Type\s*/EmbeddedFile")
_STREAM = re.compile(rb"stream\r?\n")
_TOLD = re.compile(rb"last hash of the chain ([0-9a-f]{64})")
_PDF = b"%PDF-"
_NO_CHAIN = "these are lines of a ledger without a chain"
_COMPARE = "Compare it with another copy of the record; what follows cannot be trusted either."
_MAKE_ONE = "hardpan record writes the chain; keep its last hash."


@dataclass(frozen=True, slots=True)
class Finding:
    """One finding about a record; ``good`` where all is as it was written. ``line`` counts from 1; ``entry`` is the id of the entry that fails."""

    good: bool
    words: str
    line: int | None = None
    entry: str = ""


def verify_file(path: Path) -> tuple[Finding, ...]:
    """Findings about a file of lines or a record PDF, the first broken place first; one good finding where nothing was changed.

    Parameters
    ----------
    path
        ``record.jsonl``, or ``record.pdf`` with the chain inside.
    """
    try:
        content = path.read_bytes()
    except OSError as error:
        return (Finding(False, f"the file cannot be opened: {(error.strerror or 'not readable').lower()}"),)
    if content.startswith(_PDF):
        return _verify_pdf(content)
    return _verify_lines(content)


def _verify_pdf(content: bytes) -> tuple[Finding, ...]:
    """Findings about the chain inside a PDF, and about the hash that its description tells."""
    chains = [found for found in _embedded(content) if _is_chain(found)]
    if not chains:
        words = "no chain can be read in this PDF: save record.jsonl from its attachments with a PDF reader, and check that file"
        return (Finding(False, words),)
    findings = _verify_lines(chains[0])
    told = {found[1].decode() for found in _TOLD.finditer(content)}
    last = _last_hash(chains[0])
    if told and told != {last}:
        words = f"the PDF tells another last hash than the chain inside it has: {', '.join(sorted(told))} and {last}"
        findings = (*(one for one in findings if not one.good), Finding(False, words))
    return findings


def _embedded(content: bytes) -> list[bytes]:
    """Files inside a PDF as it was written; one that was written again by another program may hide them."""
    found = []
    for place in _EMBEDDED.finditer(content):
        start = _STREAM.search(content, place.end())
        if start is None:
            continue
        try:
            found.append(zlib.decompressobj().decompress(content[start.end() :]))
        except zlib.error:
            found.append(b"")
    return found


def _is_chain(content: bytes) -> bool:
    """Whether a file ends like a chain, or at least has the keys of one on its first line."""
    first = content.split(b"\n", 1)[0]
    return b'"previous":' in first and b'"hash":' in first


def _verify_lines(content: bytes) -> tuple[Finding, ...]:
    """Findings about lines."""
    try:
        text = content.decode("utf-8")
    except UnicodeDecodeError as error:
        line = content[: error.start].count(b"\n") + 1
        return (_named(line, _entry_on(content, line), f"bytes that are no text. {_COMPARE}"),)
    lines = text.split("\n")
    if lines[-1] == "":
        lines.pop()
    if lines and '"hash"' not in lines[0] and '"entry"' in lines[0]:
        return (Finding(False, f"{_NO_CHAIN}: nothing can be proved by them. {_MAKE_ONE}", 1),)
    problems = verify_chain(lines)
    if problems:
        return tuple(_broken(problem, content) for problem in problems)
    count = len(lines) - 1
    words = f"{count} entr{'y' if count == 1 else 'ies'}, none changed, moved, added or left out; last hash {_last_hash(content)}: the paper must show the same"
    return (Finding(True, words),)


def _broken(problem: EntryProblem, content: bytes) -> Finding:
    """Finding of one problem of the chain."""
    line = problem.line or 0
    return _named(
        line, problem.where.removeprefix("entry ") or _entry_on(content, line), f"{problem.found}. {problem.do}"
    )


def _named(line: int, entry: str, what: str) -> Finding:
    """What is wrong on a line, with its entry as far as one can be read there."""
    return Finding(False, f"line {line}, {f'entry {entry}' if entry else 'no entry can be named'}: {what}", line, entry)


def _entry_on(content: bytes, line: int) -> str:
    """Id of the entry on a line that may be no JSON any more; empty where none can be read."""
    lines = content.split(b"\n")
    found = re.search(rb'"id":"([0-9a-f-]{36})"', lines[line - 1]) if 0 < line <= len(lines) else None
    return found[1].decode() if found else ""


def _last_hash(content: bytes) -> str:
    """Hash of the last line; empty where it has none."""
    try:
        last = json.loads(content.rstrip(b"\n").rsplit(b"\n", 1)[-1])
    except ValueError:
        return ""
    return str(last.get("hash", "")) if isinstance(last, dict) else ""
