"""The tables of docs/ledger.md, from the models; ``python -m tests.ledger.page`` writes them."""

from __future__ import annotations

from pathlib import Path

from pydantic import BaseModel
from pydantic.fields import FieldInfo

from hardpan.ledger import KINDS, Entry, Place
from hardpan.ledger.parts import Stretch
from hardpan.ledger.problems import allowed_words, declared
from hardpan.ledger.testing import Blow, Movement, Reference
from hardpan.ledger.working import Shot

PAGE = Path(__file__).parents[2] / "docs" / "ledger.md"
MARK = "<!-- from here on by `python -m tests.ledger.page` -->\n"
UNITS = {
    "_kg_m2": "kg/m2",
    "_kg_m3": "kg/m3",
    "_l_m2": "L/m2",
    "_km_h": "km/h",
    "_percent": "%",
    "_kpa": "kPa",
    "_min": "min",
    "_mm": "mm",
    "_kg": "kg",
    "_m2": "m2",
    "_m": "m",
    "_l": "L",
    "_c": "C",
}
PARTS: dict[str, type[BaseModel]] = {
    "stretch": Stretch,
    "shot": Shot,
    "reference": Reference,
    "blow": Blow,
    "movement": Movement,
}


def tables() -> str:
    """Every kind, and the parts inside payloads, with keys, what they take, and what they are."""
    said = ["", "## Keys of the envelope", "", *rows(Entry), "", "## Keys of a place", "", *rows(Place), "", "## Kinds"]
    for kind, model in KINDS.items():
        said += ["", f"### {kind}", "", doc(model), "", *rows(model)]
    said += ["", "## Parts"]
    for name, part in PARTS.items():
        said += ["", f"### {name}", "", doc(part), "", *rows(part)]
    return "\n".join([*said, ""])


def doc(model: type[BaseModel]) -> str:
    """A model's docstring on one line."""
    return " ".join((model.__doc__ or "").split()).replace("``", "`")


def rows(model: type[BaseModel]) -> list[str]:
    """Rows of one model's keys."""
    head = ["| key | unit | takes | required | is |", "|---|---|---|---|---|"]
    return head + [
        f"| `{key}` | {unit(key)} | {takes(model, key, field)} | {'yes' if field.is_required() else ''} | {described(field)} |"
        for key, field in model.model_fields.items()
    ]


def takes(model: type[BaseModel], key: str, field: FieldInfo) -> str:
    """What a key takes."""
    if key == "payload":
        return "an object, by the kind"
    if model is Entry and key == "kind":
        return "one of the kinds"
    return allowed_words(field).replace("'", "`").replace("|", "\\|")


def described(field: FieldInfo) -> str:
    """What a key is."""
    said = [one.description for one in declared(field) if one.description]
    return said[-1].replace("|", "\\|") if said else ""


def unit(key: str) -> str:
    """Unit that a key ends in."""
    return next((unit for ending, unit in UNITS.items() if f"_{key}".endswith(ending)), "")


def whole(text: str) -> str:
    """Page with the tables as they are now."""
    head, _, _ = text.partition(MARK)
    return head + MARK + tables()


if __name__ == "__main__":
    PAGE.write_text(whole(PAGE.read_text(encoding="utf-8")), encoding="utf-8")
