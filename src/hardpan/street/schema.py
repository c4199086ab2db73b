"""JSON schema of a street folder: ``street.toml`` and every CSV table, with units, ranges, allowed words and what is required."""

from __future__ import annotations

from typing import Any

from hardpan.street.given import Table
from hardpan.street.model import SCHEMA, StreetFile
from hardpan.street.rows import TABLES

_DIALECT = "https://json-schema.org/draft/2020-12/schema"

_FIGURE: dict[str, Any] = {
    "description": (
        "a number in the unit of its field, text that holds a number and its unit, "
        "or (in street.toml) a table that also says how the value is known"
    ),
    "anyOf": [
        {"type": "number"},
        {"type": "string", "description": "a number, alone or with its unit, such as 12 in"},
        {
            "type": "object",
            "properties": {
                "value": {"type": ["number", "string"]},
                "basis": {"enum": ["measured", "stated"], "default": "stated"},
                "source": {"type": "string", "description": "where the value comes from, in words"},
                "spread": {
                    "type": ["number", "string"],
                    "minimum": 0,
                    "description": "one standard deviation, in the unit of the field",
                },
            },
            "required": ["value"],
            "additionalProperties": False,
        },
    ],
}

_FORMS = {"$ref": "#/$defs/Figure"}


def street_schema() -> dict[str, Any]:
    """One schema (draft 2020-12) of a folder, by file: an object for ``street.toml``, an array of rows for a table.

    ``unit`` beside a figure is the unit its bare number is read in; ``minimum`` and ``maximum`` are in that unit. A column of a table may
    carry another unit in brackets, as in ``depth [mm]``.

    Examples
    --------
    >>> street_schema()["$defs"]["ReadingRow"]["properties"]["rut"]["unit"]
    'm'
    """
    kept: dict[str, Any] = {"Figure": _FIGURE}
    tables: dict[str, Any] = {"street.toml": _reference(StreetFile, kept)}
    for name, kind in TABLES.items():
        tables[name] = {"type": "array", "items": _reference(kind, kept)}
    return {
        "$schema": _DIALECT,
        "$id": SCHEMA,
        "title": "A street folder",
        "type": "object",
        "properties": tables,
        "required": ["street.toml"],
        "additionalProperties": False,
        "$defs": {name: kept[name] for name in sorted(kept)},
    }


def _reference(kind: type[Table], kept: dict[str, Any]) -> dict[str, Any]:
    """Reference to the schema of a table; it and the tables inside it are added to ``kept``."""
    schema = kind.model_json_schema(ref_template="#/$defs/{model}")
    inner = schema.pop("$defs", {})
    known = {**inner, kind.__name__: schema}
    for name in _reached(kind.__name__, known):
        kept[name] = _plainer(known[name])
    return {"$ref": f"#/$defs/{kind.__name__}"}


def _reached(name: str, known: dict[str, Any]) -> set[str]:
    """Tables that ``name`` refers to, itself included."""
    reached: set[str] = set()
    left = [name]
    while left:
        now = left.pop()
        if now not in reached:
            reached.add(now)
            left += _references(known[now])
    return reached


def _references(schema: object) -> list[str]:
    """Names of the definitions that a schema refers to."""
    if isinstance(schema, dict):
        own = [str(schema["$ref"]).rsplit("/", 1)[1]] if "$ref" in schema else []
        return own + [name for part in schema.values() for name in _references(part)]
    return [name for part in schema for name in _references(part)] if isinstance(schema, list) else []


def _plainer(schema: Any) -> Any:
    """Schema with figures by reference, without titles that repeat the names and defaults that the schema cannot say."""
    if isinstance(schema, list):
        return [_plainer(part) for part in schema]
    if not isinstance(schema, dict):
        return schema
    plain = {key: _plainer(part) for key, part in schema.items() if not (key == "title" and isinstance(part, str))}
    if "unit" in plain and "minimum" in plain:
        words = plain.pop("words", [])
        plain.update({"anyOf": [_FORMS, {"enum": words}]} if words else _FORMS)
    default = plain.get("default")
    if "default" in plain and (
        default is None or isinstance(default, dict | list) or (default is False and "enum" in plain)
    ):
        del plain["default"]
    return plain
