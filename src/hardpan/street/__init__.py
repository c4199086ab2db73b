"""What is known: the typed street, its folder on disk, its defaults and their basis, its validation, units at the door.

``read_street`` is the way in; ``Street`` is what the plan is made from. ``figure`` holds figures that know their basis and working,
``places`` the stations and landmarks, ``tables`` the CSV door, ``model`` and ``rows`` the schema.
"""

from importlib.resources import files
from pathlib import Path

from hardpan.errors import StreetError
from hardpan.street.figure import Basis, Figure, Notice, Working
from hardpan.street.folder import read_street
from hardpan.street.street import Street

EXAMPLES = ("teal-crescent", "kestrel-road")


def example(name: str) -> Path:
    """Folder of an example street of our own: ``teal-crescent`` or ``kestrel-road``."""
    if name not in EXAMPLES:
        raise ValueError(f"no example {name!r}; there are {' and '.join(EXAMPLES)}")
    return Path(str(files("hardpan.street"))) / "examples" / name


__all__ = ["EXAMPLES", "Basis", "Figure", "Notice", "Street", "StreetError", "Working", "example", "read_street"]
