"""Streets for tests: an example street, laid end to end as often as asked."""

from __future__ import annotations

import csv
import datetime as dt
import re
import tomllib
from pathlib import Path
from typing import Any

from hardpan.street import example

STATIONS = {"from", "to", "station"}
NAMES = {"id", "name", "test", "zone"}
ONE_LENGTH = 400  # metres of Kestrel Road
GAIN = 2.4  # metres that it climbs


def write_long_street(folder: Path, times: int) -> Path:
    """Kestrel Road ``times`` over: as many times the readings, instructions, structures, deliveries and days."""
    folder.mkdir(parents=True)
    for table in sorted(example("kestrel-road").glob("*.csv")):
        _repeat_table(table, folder / table.name, times)
    street = tomllib.loads((example("kestrel-road") / "street.toml").read_text(encoding="utf-8"))
    if street["line"]["length"]["value"] != ONE_LENGTH:
        raise ValueError("Kestrel Road has another length now; mend this helper")
    (folder / "street.toml").write_text(_toml(_repeated(street, times)), encoding="utf-8")
    return folder


def _repeated(street: dict[str, Any], times: int) -> dict[str, Any]:
    """The typed part of the long street."""
    start, end = street["level"]["point"]
    days = len(street["shift"]["blocks_by_day"])
    street["line"]["length"]["value"] = ONE_LENGTH * times
    street["level"]["point"] = [
        start,
        {"station": ONE_LENGTH * times, "level": round(start["level"] + GAIN * times, 3)},
    ]
    if round(end["level"] - start["level"], 3) != GAIN:
        raise ValueError("Kestrel Road climbs differently now; mend this helper")
    street["shift"]["blocks_by_day"] *= times
    for what in ("delivery", "fill"):
        street["cement"][what] = [
            entry
            | {"day": entry["day"] + days * i}
            | ({"ticket": f"{entry['ticket']}-{i}"} if "ticket" in entry else {})
            for i in range(times)
            for entry in street["cement"][what]
        ]
    return street


def _repeat_table(source: Path, target: Path, times: int) -> None:
    """Rows of a table again and again, each time one length further on; a row for elsewhere stays one row."""
    with source.open(encoding="utf-8", newline="") as lines:
        header, *rows = csv.reader(lines)
    with target.open("w", encoding="utf-8", newline="") as lines:
        table = csv.writer(lines)
        table.writerow(header)
        for i in range(times):
            table.writerows(_moved(header, row, i) for row in rows if i == 0 or "elsewhere" not in row)


def _moved(header: list[str], row: list[str], i: int) -> list[str]:
    """A row ``i`` lengths further on, under names of its own."""
    moved = []
    for column, cell in zip(header, row, strict=True):
        if column in STATIONS and re.fullmatch(r"\d+\+\d+", cell):
            station = int(cell.replace("+", "")) + ONE_LENGTH * i
            moved.append(f"{station // 1000}+{station % 1000:03d}")
        elif column == "level":
            moved.append(f"{float(cell) + GAIN * i:.3f}")
        else:
            moved.append(f"{cell} {i}" if i and column in NAMES else cell)
    return moved


def _toml(value: object) -> str:
    """Typed values as TOML, every table of the top on a line of its own."""
    if isinstance(value, dict):
        return "".join(f"{key} = {_inline(content)}\n" for key, content in value.items())
    raise TypeError(f"a table is wanted, not {value!r}")


def _inline(value: object) -> str:
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, dict):
        return "{ " + ", ".join(f'"{key}" = {_inline(content)}' for key, content in value.items()) + " }"
    if isinstance(value, list):
        return f"[{', '.join(map(_inline, value))}]"
    if isinstance(value, str):
        return '"' + value.replace("\\", "\\\\").replace('"', '\\"') + '"'
    if isinstance(value, dt.date | dt.time | dt.datetime):
        return value.isoformat()
    return repr(value)
