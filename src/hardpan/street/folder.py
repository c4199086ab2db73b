"""Read a street folder: every problem at once, or a typed street."""

from __future__ import annotations

import difflib
from pathlib import Path
from typing import Any, TypeVar

from pydantic import ValidationError

from hardpan.errors import Problem, StreetError
from hardpan.street.defaults import default
from hardpan.street.design import crossfall_stations, folder_notices, level_points, strips_of
from hardpan.street.given import Door, Table
from hardpan.street.model import Line, Spreader, StreetFile
from hardpan.street.problems import Problems
from hardpan.street.resolve import Resolver
from hardpan.street.rows import (
    TABLES,
    InstructionRow,
    LabRow,
    LandmarkRow,
    LevelRow,
    PenetrometerRow,
    ReadingRow,
    StructureRow,
)
from hardpan.street.street import Street
from hardpan.street.tables import read_rows
from hardpan.street.text import TextError, read_text
from hardpan.street.toml import read_toml

Row = TypeVar("Row", bound=Table)
Checked = TypeVar("Checked", bound=Table)
Rows = dict[str, list[tuple[int, Table]]]

_FILE = "street.toml"


def read_street(path: str | Path) -> Street:
    """Typed street of a folder.

    Parameters
    ----------
    path
        Folder that holds ``street.toml`` and the CSV tables beside it.

    Raises
    ------
    StreetError
        When anything in the folder cannot be read; ``.problems`` lists every problem at once.

    Examples
    --------
    >>> from hardpan.street import example
    >>> street = read_street(example("teal-crescent"))
    >>> street.name, len(street.strips)
    ('Teal Crescent', 4)
    """
    folder, problems = Path(path), Problems()
    table = _read_file(folder, problems)
    file = _checked(StreetFile, table, problems) if table is not None else None
    rows = _read_tables(folder, problems) if folder.is_dir() else {}
    street = _resolved(file, table or {}, rows, problems)
    if problems.found or street is None:
        raise StreetError(problems.in_order([_FILE, *TABLES]))
    return street


def _read_file(folder: Path, problems: Problems) -> dict[str, Any] | None:
    """Tables of ``street.toml``, or None with its problems noted."""
    path = folder / _FILE
    if not path.is_file():
        _note_missing(folder, problems)
        return None
    try:
        return read_toml(read_text(path), _FILE, problems)
    except TextError as error:
        problems.add(_FILE, None, "", found=error.found, allowed="a file of text (TOML)", do=error.do)
        return None


def _note_missing(folder: Path, problems: Problems) -> None:
    """Say what is there in place of ``street.toml``."""
    found, do = "no such file", "Write one; hardpan new starts one in a folder of its own, to copy from."
    if not folder.exists():
        found, do = "no such folder", f"Check the path, or start a street with: hardpan new {folder.name or 'FOLDER'}"
    elif not folder.is_dir():
        found, do = "a file where a folder is wanted", "Give the folder that the file lies in."
    else:
        near = difflib.get_close_matches(_FILE, [one.name.lower() for one in folder.iterdir()], n=1, cutoff=0.8)
        if near:
            found, do = f"'{near[0]}' and no street.toml", f"Rename it to {_FILE}; some editors add .txt unseen."
    problems.add(_FILE, None, "", found=found, allowed=f"a folder that holds {_FILE}", do=do)


def _checked(kind: type[Checked], table: object, problems: Problems) -> Checked | None:
    """Typed table, or None with its problems noted."""
    try:
        return kind.model_validate(table, context=Door(_FILE))
    except ValidationError as error:
        problems.add_validation(_FILE, None, error, kind)
        return None


def _read_tables(folder: Path, problems: Problems) -> Rows:
    """Rows of every table; a file whose name is nearly that of a missing table is a problem."""
    names = sorted(one.name for one in folder.iterdir())
    for name in [name for name in TABLES if name not in names]:
        others = {other.lower(): other for other in names if other not in TABLES}
        for near in difflib.get_close_matches(name, others, n=1, cutoff=0.85):
            do = f"Rename it to {name}, or move it out of the folder."
            found = "a file that Hardpan does not read"
            problems.add(others[near], None, "", found=found, allowed=", ".join(TABLES), do=do)
    return {name: list(read_rows(folder / name, kind, problems)) for name, kind in TABLES.items()}


def _resolved(file: StreetFile | None, table: dict[str, Any], rows: Rows, problems: Problems) -> Street | None:
    """Street with every place found; rows are placed even where only the line of ``street.toml`` can be read."""
    line = file.line if file else _part(Line, table.get("line"))
    if line is None:
        return None
    spreader = file.spreader if file else _part(Spreader, table.get("spreader", {}))
    pan = (spreader.pan if spreader else default("spreader.pan")).value
    resolver = Resolver(line, strips_of(line, pan, problems), _rows(rows, "landmarks.csv", LandmarkRow), problems)
    placed: dict[str, Any] = {
        "readings": resolver.readings(_rows(rows, "readings.csv", ReadingRow)),
        "instructions": resolver.instructions(_rows(rows, "instructions.csv", InstructionRow)),
        "structures": resolver.structures(_rows(rows, "structures.csv", StructureRow)),
        "levels": resolver.levels(_rows(rows, "levels.csv", LevelRow)),
        "bearing": resolver.bearing(_rows(rows, "lab.csv", LabRow)),
        "lab": tuple(row for _, row in _rows(rows, "lab.csv", LabRow)),
        "penetrometer": resolver.penetrometer(_rows(rows, "penetrometer.csv", PenetrometerRow)),
    }
    if file is None:
        return None
    return Street(
        file=file,
        stationing=resolver.stationing,
        strips=resolver.strips,
        crossfall_stations=crossfall_stations(file.section, resolver),
        level_points=level_points(file.level, resolver),
        notices=folder_notices(file, resolver.strips),
        **placed,
    )


def _part(kind: type[Checked], table: object) -> Checked | None:
    """One table of a file that has problems, already noted; None where it has some itself."""
    return _checked(kind, table, Problems())


def _rows(rows: Rows, name: str, kind: type[Row]) -> list[tuple[int, Row]]:
    """Rows of one table, with their type."""
    return [(number, row) for number, row in rows[name] if isinstance(row, kind)]


__all__ = ["Problem", "read_street"]
