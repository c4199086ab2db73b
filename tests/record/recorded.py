"""Records for tests: the worked streets, any ledger on them, and what a record's PDF says."""

from __future__ import annotations

from collections.abc import Iterable
from functools import cache

from hardpan.exchange.record.answers import ten_answers
from hardpan.exchange.record.gathered import Gathered, gather
from hardpan.exchange.record.writing import record_files
from hardpan.ledger import Ledger, Received, read_ledger
from hardpan.street import example
from tests.sheets.pdf_text import planned


@cache
def recorded(name: str) -> Gathered:
    """Record of a worked street; its folder's files come with the folder alone."""
    return gather(planned(name), read_ledger(example(name)))


def of_entries(received: Iterable[Received], name: str = "kestrel-road") -> Gathered:
    """Record of any entries on a worked street."""
    return gather(planned(name), Ledger(tuple(received), ()))


@cache
def files(name: str) -> dict[str, bytes]:
    """Files of a worked street's record."""
    return record_files(recorded(name))


def answer(record: Gathered, number: int) -> list[str]:
    """Sentences of one of the ten questions, thin spaces as blanks."""
    return [one.words.replace("\u2009", " ") for one in ten_answers(record)[number - 1].said]
