"""A starting folder for a new street: five lines to fill in, everything else a remark with its default and unit."""

from __future__ import annotations

from importlib.resources import files
from pathlib import Path

from hardpan.errors import Problem, StreetError


def write_new(folder: Path) -> tuple[Path, ...]:
    """Write the starting files of a street.

    Parameters
    ----------
    folder
        Where to; made with its parents where it is not there yet.

    Returns
    -------
    tuple of Path
        Files written, in order of name.

    Raises
    ------
    StreetError
        When ``folder`` holds anything already, is a file, or cannot be written.

    Examples
    --------
    >>> import tempfile
    >>> with tempfile.TemporaryDirectory() as place:
    ...     print(*(path.name for path in write_new(Path(place) / "elm-street")))
    instructions.csv landmarks.csv levels.csv readings.csv street.toml structures.csv
    """
    try:
        if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
            found = "a folder that is not empty" if folder.is_dir() else "a file of that name"
            raise _refused(folder, found, "Name another folder; nothing was changed.")
        folder.mkdir(parents=True, exist_ok=True)
        return tuple(_written(folder / name, text) for name, text in _starting_files())
    except OSError as error:
        found = f"a place that cannot be written to ({(error.strerror or 'no reason given').lower()})"
        raise _refused(folder, found, "Name another folder.") from error


def _starting_files() -> list[tuple[str, str]]:
    """Name and text of each file, in order of name."""
    kept = files("hardpan.street").joinpath("examples", "new")
    return sorted((one.name, one.read_text(encoding="utf-8")) for one in kept.iterdir())


def _written(path: Path, text: str) -> Path:
    """Path of a file, written."""
    path.write_text(text, encoding="utf-8")
    return path


def _refused(folder: Path, found: str, do: str) -> StreetError:
    """Error that says why a folder was not written."""
    return StreetError([Problem(folder.name or str(folder), None, "", found, "a folder that is new or empty", do)])
