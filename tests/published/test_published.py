"""Every printed value of the tables beside this file, against the laws.

A row's inputs are the law's own argument names, in SI. ``null`` inside an answer stands for a part that the source does
not print, or that the law leaves out. A trap is a printed answer that is wrong, or belongs to another method: the law
must not give it.
"""

from __future__ import annotations

import csv
import importlib
import json
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import pytest

TABLES = sorted(Path(__file__).parent.glob("*.csv"))
COLUMNS = ["id", "law", "inputs", "answer", "tolerance", "kind", "source", "mark", "note"]
MARKS = {"seen", "from memory", "exact", "common practice, no source"}
FEWEST_ROWS = 290


@dataclass(frozen=True, slots=True)
class Row:
    """One printed value."""

    id: str
    law: str
    inputs: str
    answer: str
    tolerance: str
    kind: str
    source: str
    mark: str
    note: str

    def given(self) -> object:
        """What the law says."""
        module, name = self.law.rsplit(".", 1)
        law = getattr(importlib.import_module(f"hardpan.laws.{module}"), name)
        return law(**json.loads(self.inputs))


def read() -> Iterator[Row]:
    for table in TABLES:
        with table.open(encoding="utf-8", newline="") as lines:
            rows = csv.DictReader(lines, strict=True)
            assert rows.fieldnames == COLUMNS, table.name
            yield from (Row(**row) for row in rows)


def agrees(given: Any, printed: Any, tolerance: str) -> bool:
    """Whether every printed part agrees; lists must have one length."""
    if printed is None:
        return True
    if isinstance(printed, list):
        parts = list(given)
        return len(parts) == len(printed) and all(
            agrees(part, want, tolerance) for part, want in zip(parts, printed, strict=True)
        )
    if tolerance == "exact":
        return bool(given == printed)
    if given is None:
        return False
    return bool(abs(float(given) - printed) <= float(tolerance))


def printed_parts(printed: Any) -> list[Any]:
    """Parts of an answer that are compared."""
    if isinstance(printed, list):
        return [part for whole in printed for part in printed_parts(whole)]
    return [] if printed is None else [printed]


ROWS = list(read())


@pytest.mark.parametrize("row", [row for row in ROWS if row.kind == "value"], ids=lambda row: row.id)
def test_law_gives_the_printed_value(row: Row) -> None:
    given = row.given()
    assert agrees(given, json.loads(row.answer), row.tolerance), f"{given} is not {row.answer} ({row.source})"


@pytest.mark.parametrize("row", [row for row in ROWS if row.kind == "trap"], ids=lambda row: row.id)
def test_law_does_not_fall_into_the_trap(row: Row) -> None:
    given, printed = row.given(), json.loads(row.answer)
    assert np.shape(np.asarray(given, dtype=object)) == np.shape(np.asarray(printed, dtype=object))
    assert not agrees(given, printed, row.tolerance), f"{row.answer} is a known slip ({row.note})"


def test_ids_are_unique() -> None:
    assert [name for name, times in Counter(row.id for row in ROWS).items() if times > 1] == []


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row.id)
def test_row_says_where_it_comes_from(row: Row) -> None:
    assert row.source.strip()
    assert row.mark in MARKS
    assert row.kind in {"value", "trap"}
    assert row.tolerance == "exact" or float(row.tolerance) > 0
    assert printed_parts(json.loads(row.answer)), "nothing to compare"
    if row.kind == "trap":
        assert row.note.strip(), "a trap says what is wrong with it"


def test_there_are_enough_rows() -> None:
    assert len(ROWS) >= FEWEST_ROWS
