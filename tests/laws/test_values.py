"""What laws give back, or take, as a whole never changes once made."""

from __future__ import annotations

import dataclasses
import importlib
import inspect
import pkgutil

import pytest

from hardpan import laws

MODULES = [importlib.import_module(f"hardpan.laws.{module.name}") for module in pkgutil.iter_modules(laws.__path__)]
RECORDS = {
    f"{module.__name__.rpartition('.')[2]}.{name}": found
    for module in MODULES
    for name, found in inspect.getmembers(module, inspect.isclass)
    if found.__module__ == module.__name__ and dataclasses.is_dataclass(found)
}


@pytest.mark.parametrize("name", RECORDS)
def test_record_is_frozen_and_takes_no_further_fields(name: str) -> None:
    record = object.__new__(RECORDS[name])
    field = dataclasses.fields(RECORDS[name])[0].name
    with pytest.raises(dataclasses.FrozenInstanceError):
        setattr(record, field, 1.0)
    assert not hasattr(record, "__dict__")


@pytest.mark.parametrize("name", RECORDS)
def test_record_of_arrays_is_compared_by_identity(name: str) -> None:
    # two arrays have no single answer to ==, so neither has what holds them
    holds_arrays = any(
        kind in str(field.type) for field in dataclasses.fields(RECORDS[name]) for kind in ("Floats", "NDArray")
    )
    assert (RECORDS[name].__eq__ is object.__eq__) == holds_arrays


def test_records_are_found() -> None:
    assert {"spread.RunOuts", "strips.Cuts", "cost.Breakdown", "profile.Profile"} <= RECORDS.keys()
