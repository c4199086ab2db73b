"""Canonical JSON: sorted keys, no spaces, UTF-8, whole numbers without a point; the same content gives the same bytes."""

from __future__ import annotations

import json
from typing import Any


def canonical(plain: object) -> bytes:
    """Bytes of plain data.

    Examples
    --------
    >>> canonical({"b": 35.0, "a": "0+035"})
    b'{"a":"0+035","b":35}'
    """
    return json.dumps(
        _whole(plain), sort_keys=True, separators=(",", ":"), ensure_ascii=False, allow_nan=False
    ).encode()


def _whole(value: Any) -> Any:
    """Whole numbers as integers, whoever wrote them with a point."""
    if isinstance(value, float) and value.is_integer() and abs(value) < 2**53:
        return int(value)
    if isinstance(value, dict):
        return {key: _whole(inside) for key, inside in value.items()}
    return [_whole(inside) for inside in value] if isinstance(value, list | tuple) else value
