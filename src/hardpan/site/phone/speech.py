"""Phrases of the phone by language: one table a language, whole or it is an error, so that no page falls back by the word."""

from __future__ import annotations

import json
from functools import cache
from pathlib import Path

from hardpan.compare.taps import ENGLISH

FOLDER = Path(__file__).parent / "phrases"
COMMA = frozenset({"fr", "es"})  # languages that write a decimal comma


@cache
def phrases(language: str) -> dict[str, str]:
    """Phrases of a language; English where there is no table of it."""
    pages: dict[str, str] = json.loads((FOLDER / "en.json").read_text(encoding="utf-8"))
    told = FOLDER / f"{language.split('-', maxsplit=1)[0]}.json"
    if told.stem == "en" or not told.is_file():
        return {**ENGLISH, **pages}
    return dict(json.loads(told.read_text(encoding="utf-8")))


def decimal_point(language: str) -> str:
    """Decimal sign of a language."""
    return "," if language.split("-", maxsplit=1)[0] in COMMA else "."
