"""A state as plain data: every part by its name, times as the device wrote them."""

from __future__ import annotations

import dataclasses
import datetime as dt
import math
from collections.abc import Iterable, Mapping
from typing import Any

from pydantic import BaseModel

from hardpan.ledger import Moment
from hardpan.street import Figure


def plain(value: Any) -> Any:
    """Plain data of anything that a state is made of."""
    match value:
        case Moment():
            told: Any = value.written
        case Figure():
            told = {"value": plain(value.value), "unit": value.unit, "basis": value.basis.value}
        case BaseModel():
            told = value.model_dump(mode="json")
        case float():
            told = value if math.isfinite(value) else None
        case dt.date() | dt.time():
            told = value.isoformat()
        case Mapping():
            told = {str(key): plain(inside) for key, inside in value.items()}
        case tuple() if hasattr(value, "_fields"):
            told = _by_name(value, value._fields)
        case list() | tuple() | set() | frozenset():
            told = [plain(inside) for inside in value]
        case _ if dataclasses.is_dataclass(value):
            told = _by_name(value, [field.name for field in dataclasses.fields(value)])
        case _:
            told = value
    return told


def _by_name(value: object, names: Iterable[str]) -> dict[str, Any]:
    """Parts of a record."""
    return {name: plain(getattr(value, name)) for name in names}
