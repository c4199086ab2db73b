"""What stands in until somebody measures or says otherwise: ``defaults.csv``, one row a value, each with its source."""

from __future__ import annotations

import csv
from functools import cache
from importlib.resources import files

from hardpan.street.figure import Basis, Figure


@cache
def _table() -> dict[str, Figure]:
    text = files("hardpan.street").joinpath("defaults.csv").read_text(encoding="utf-8")
    return {
        row["key"]: Figure(
            name=row["name"],
            value=float(row["value"]),
            unit=row["unit"],
            basis=Basis.DEFAULT,
            source=f"default, {row['source']}",
            spread=float(row["spread"] or 0),
        )
        for row in csv.DictReader(text.splitlines())
    }


def default(key: str) -> Figure:
    """Default by its key in ``defaults.csv``, such as ``mixer.drum_width`` or ``fat clay.specific_gravity``."""
    return _table()[key]
