"""The schema of a folder says what the door takes."""

from __future__ import annotations

import csv
import json
import re
import tomllib
from typing import Any

import pytest

from hardpan.street import EXAMPLES, example
from hardpan.street.rows import TABLES
from hardpan.street.schema import street_schema

SCHEMA = street_schema()


def resolved(schema: dict[str, Any]) -> dict[str, Any]:
    """Schema with its reference followed; of several forms the one that is a table."""
    if "$ref" in schema:
        found: dict[str, Any] = SCHEMA["$defs"][schema["$ref"].removeprefix("#/$defs/")]
        return resolved(found)
    forms = [resolved(form) for form in schema.get("anyOf", [])]
    return next((form for form in forms if "properties" in form), schema)


def unknown(value: object, schema: dict[str, Any], path: str) -> list[str]:
    """Keys of a value that its schema does not have."""
    schema = resolved(schema)
    if isinstance(value, list):
        return [key for one in value for key in unknown(one, schema.get("items", {}), path)]
    if not isinstance(value, dict):
        return []
    names = schema.get("properties", {})
    missing = [f"{path}.{key}" for key in value if key not in names]
    return missing + [
        key for name in value if name in names for key in unknown(value[name], names[name], f"{path}.{name}")
    ]


@pytest.mark.parametrize("name", EXAMPLES)
def test_every_key_of_an_example_is_in_the_schema(name: str) -> None:
    file = tomllib.loads((example(name) / "street.toml").read_text(encoding="utf-8"))
    assert unknown(file, SCHEMA["properties"]["street.toml"], "") == []
    assert unknown({"mixer": {"colour": 1}}, SCHEMA["properties"]["street.toml"], "") == [".mixer.colour"]


@pytest.mark.parametrize("name", EXAMPLES)
def test_every_column_of_an_example_is_in_the_schema(name: str) -> None:
    for path in example(name).glob("*.csv"):
        header = next(csv.reader(path.read_text(encoding="utf-8").splitlines()))
        known = resolved(SCHEMA["properties"][path.name]["items"])["properties"]
        assert [column for column in header if re.sub(r" \[.*", "", column) not in known] == []


def test_every_reference_leads_somewhere_and_nothing_is_left_over() -> None:
    used = set(re.findall(r'"#/\$defs/(\w+)"', json.dumps(SCHEMA)))
    assert used == set(SCHEMA["$defs"])


def test_the_schema_is_one_object_of_the_2020_dialect() -> None:
    assert SCHEMA["$schema"] == "https://json-schema.org/draft/2020-12/schema"
    assert list(SCHEMA["properties"]) == ["street.toml", *TABLES]
    assert SCHEMA["required"] == ["street.toml"]


def test_the_schema_stays_small() -> None:
    assert len(json.dumps(SCHEMA)) < 40_000


def figures() -> list[tuple[str, dict[str, Any]]]:
    return [
        (f"{table}.{name}", field)
        for table, schema in SCHEMA["$defs"].items()
        for name, field in schema.get("properties", {}).items()
        if "unit" in field
    ]


def test_every_figure_documents_its_unit_and_range() -> None:
    assert len(figures()) > 90
    for name, field in figures():
        assert field["unit"], name
        assert field["minimum"] < field["maximum"], name
        assert field.get("$ref", field.get("anyOf", [{}])[0].get("$ref")) == "#/$defs/Figure", name


def test_every_key_of_a_street_file_is_described() -> None:
    bare = [
        f"{table}.{name}"
        for table, schema in SCHEMA["$defs"].items()
        for name, field in schema.get("properties", {}).items()
        if not field.get("description") and "$ref" not in field and "basis" not in schema.get("properties", {})
    ]
    assert bare == []


@pytest.mark.parametrize("table", [kind.__name__ for kind in TABLES.values()])
def test_every_column_of_a_table_is_described(table: str) -> None:
    columns = SCHEMA["$defs"][table]["properties"]
    assert [name for name, field in columns.items() if not field.get("description")] == []


def test_the_words_of_a_table_are_listed() -> None:
    row = SCHEMA["$defs"]["ReadingRow"]
    assert row["required"] == ["from", "to"]
    assert row["properties"]["word"]["anyOf"][0]["enum"] == ["nothing", "shows", "ruts", "sinks"]
    assert row["properties"]["bounces"]["enum"] == ["yes", "no", ""]
    assert SCHEMA["$defs"]["InstructionRow"]["properties"]["water"]["anyOf"][1]["enum"] == [
        "full",
        "half",
        "off",
        "target",
    ]
