"""Width of text in the face that prints it, so that labels can be kept apart before anything is drawn."""

from __future__ import annotations

import unicodedata
from functools import cache
from pathlib import Path

import font_source_sans_pro
from fontTools.ttLib import TTFont

FAMILY = "Source Sans Pro"
FACES = {400: "Regular", 600: "Semibold", 700: "Bold", 900: "Black"}
ROOM = 1.03  # a hair over the sum of advances, for kerning that widens and rounding in the renderer
ASCENT, DESCENT = 0.76, 0.22  # of the size: tallest letters over the baseline, tails under it


def font_folder() -> Path:
    """Folder of the font files."""
    return Path(font_source_sans_pro.font_directory)


@cache
def _advances(weight: int) -> tuple[dict[int, float], float]:
    """Advance of every character of a face, in parts of the size, and the advance taken for a character it lacks."""
    with TTFont(font_folder() / f"SourceSansPro-{FACES[weight]}.ttf", lazy=True) as font:
        per_em = font["head"].unitsPerEm
        names, metrics = font.getBestCmap(), font["hmtx"].metrics
        advances = {code: metrics[name][0] / per_em for code, name in names.items()}
    return advances, advances[ord("m")]


def width(text: str, size: float, weight: int = 400) -> float:
    """Width of one line of text, in the unit of ``size``; a character that the face lacks counts as a wide one."""
    advances, missing = _advances(weight)
    total = 0.0
    for character in text:
        known = advances.get(ord(character))
        if known is None:
            known = (
                0.0
                if unicodedata.combining(character)
                else max(missing, 1.0 if unicodedata.east_asian_width(character) in "WF" else 0.0)
            )
        total += known
    return total * size * ROOM


def shorten(text: str, room: float, size: float, weight: int = 400) -> str:
    """Text that fits ``room``: whole, or cut with an ellipsis at its end."""
    if width(text, size, weight) <= room:
        return text
    for length in range(len(text) - 1, 0, -1):
        shorter = text[:length].rstrip() + "\u2026"
        if width(shorter, size, weight) <= room:
            return shorter
    return "\u2026"
