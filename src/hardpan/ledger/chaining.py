"""A chain over a ledger: every line holds a hash over itself and the hash before it, so that any change shows and is named.

It shows changes to whoever kept the last hash; it does not stop somebody from writing a whole new chain.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Iterator
from typing import Any

from hardpan.ledger.canonical import canonical
from hardpan.ledger.entry import Received, plain_received
from hardpan.ledger.problems import EntryProblem

FIRST = "0" * 64


def chain(received: Iterable[Received]) -> Iterator[str]:
    """Lines in the given order, each with ``previous`` and ``hash``, and an end line that counts them.

    Examples
    --------
    >>> [line[:16] for line in chain([])]
    ['{"end":{"lines":']
    """
    previous, count = FIRST, 0
    for count, one in enumerate(received, start=1):  # noqa: B007  # the last count is used
        line = plain_received(one) | {"previous": previous}
        previous = _hash(line)
        yield canonical(line | {"hash": previous}).decode()
    end = {"end": {"lines": count}, "previous": previous}
    yield canonical(end | {"hash": _hash(end)}).decode()


def verify_chain(lines: Iterable[str]) -> tuple[EntryProblem, ...]:
    """Problems of a chain, the first broken place first; empty where nothing was changed."""
    previous, ended, count = FIRST, False, 0
    for number, text in enumerate(lines, start=1):
        line = text.removesuffix("\n")
        if ended:
            return (_broken(number, line, "a line after the end", "nothing"),)
        found = _read(line)
        fault = _fault(found, line, previous, count)
        if fault:
            return (_broken(number, line, fault, "a line as it was written, in its place"),)
        previous = found["hash"]
        ended = "end" in found
        count += not ended
    return () if ended else (_broken(count + 1, "", "no end line", "every line to the end"),)


def _fault(found: dict[str, Any], line: str, previous: str, count: int) -> str:
    """What is wrong with one line; empty where nothing is."""
    if not found or canonical(found).decode() != line:
        return "a line that is not as it was written"
    if found.get("previous") != previous:
        return "a line that does not follow the one before it"
    if found.get("hash") != _hash({key: value for key, value in found.items() if key != "hash"}):
        return "content that its hash does not fit"
    if "end" in found and found["end"] != {"lines": count}:
        return "an end that counts other lines"
    return ""


def _read(line: str) -> dict[str, Any]:
    """Plain data of a line; empty where it holds none."""
    try:
        found = json.loads(line)
        canonical(found)
    except (ValueError, RecursionError):
        return {}
    return found if isinstance(found, dict) else {}


def _hash(line: dict[str, Any]) -> str:
    """SHA-256 of a line without its own hash."""
    return hashlib.sha256(canonical(line)).hexdigest()


def _broken(number: int, line: str, found: str, allowed: str) -> EntryProblem:
    """Problem of one line, named by its entry."""
    entry = _read(line).get("entry")
    name = entry.get("id", "") if isinstance(entry, dict) else ""
    do = "Compare it with another copy of the record; what follows cannot be trusted either."
    return EntryProblem(f"entry {name}" if name else "", found, allowed, do, number, line)
