"""Letters that our faces hold: an archivable file must not print any other, and a record holds whatever people typed."""

from __future__ import annotations

import re
from functools import cache
from typing import Any

from fontTools.ttLib import TTFont

from hardpan.exchange.drawing.lettering import FACES, font_folder
from hardpan.exchange.figures_in_words import THIN
from hardpan.exchange.sheets.pdf import STAND_IN

UNBROKEN = ("svg", "hash", "about", "title")  # keys whose texts take no place to break: they are compared, or drawn
_LONG = re.compile(r"\S{30}(?=\S)")
_NARROW = "\u202f"  # the thin space that no line breaks at, so that 93 620 stays whole
_BREAK = "\u200b"  # a line may break there; nothing is printed


def printable(shown: Any) -> Any:
    """Plain data with a square for every letter that no face holds, and a place to break in every long word; the chain keeps them as typed."""
    match shown:
        case str():
            return _LONG.sub(lambda found: f"{found[0]}{_BREAK}", _known(shown, kept=""))
        case dict():
            return {
                key: _known(value, kept="\n") if key in UNBROKEN else printable(value) for key, value in shown.items()
            }
        case list():
            return [printable(value) for value in shown]
    return shown


def _known(text: str, *, kept: str) -> str:
    """Text in letters that every face holds; other white space but ``kept`` and the thin one is a blank."""
    held, spaces = _held(), {_NARROW, *kept}
    return "".join(
        letter
        if letter in spaces or ord(letter) in held
        else " " if letter.isspace() or not letter.isprintable() else STAND_IN
        for letter in text.replace(THIN, _NARROW)
    )  # fmt: skip


@cache
def _held() -> frozenset[int]:
    """Letters that every face holds."""
    held: set[int] | None = None
    for name in FACES.values():
        with TTFont(font_folder() / f"SourceSansPro-{name}.ttf", lazy=True) as font:
            codes = set(font.getBestCmap())
            held = codes if held is None else held & codes
    return frozenset(held or set())
