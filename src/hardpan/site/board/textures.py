"""Hatches of what lies on the ground, one a stage, each told apart without colour; and one shelf of them a drawing."""

from __future__ import annotations

import xml.etree.ElementTree as ET

from hardpan.exchange.drawing.ink import INK, WATER, Sheet, n
from hardpan.exchange.drawing.placement import Box
from hardpan.site.board.ground import MOST_UPRIGHTS, Stage

UPRIGHTS = {1: (10,), 2: (7, 13), 3: (5, 10, 15)}  # in each 20 units


def lay(sheet: Sheet, box: Box, stage: Stage) -> None:
    """Cover ground with the hatch of a stage."""
    fill = INK if stage.kind == "closed" else f"url(#{_pattern(sheet, stage)})"
    size = {"x": n(box.left), "y": n(box.top), "width": n(box.right - box.left), "height": n(box.bottom - box.top)}
    ET.SubElement(sheet.ground, "rect", {**size, "fill": fill})


def _pattern(sheet: Sheet, stage: Stage) -> str:
    """Id of a stage's pattern in a drawing, made at first use."""
    number = min(stage.number, MOST_UPRIGHTS)
    name = f"lies-{stage.kind}{number or ''}"
    if any(one.get("id") == name for one in sheet.defs):
        return name
    wide, high, drawn = _drawn(stage, number)
    about = {"id": name, "width": str(wide), "height": str(high), "patternUnits": "userSpaceOnUse"}
    pattern = ET.SubElement(sheet.defs, "pattern", about)
    for attributes in drawn:
        ET.SubElement(pattern, "path", attributes)
    return name


def _drawn(stage: Stage, number: int) -> tuple[int, int, list[dict[str, str]]]:
    """Size of one tile, and its paths."""
    match stage.kind:
        case "spread":
            return 12, 12, [_filled(f"{_dot(3, 3)} {_dot(9, 9)}")]
        case "dry":
            return 20, 20, [_line(" ".join(f"M{x} 0 V20" for x in UPRIGHTS[number]), 1.8)]
        case "wet":
            return 24, 10, [_line("M0 5 q6 -5 12 0 q6 5 12 0", 1.8, WATER)]
        case "feet":
            return 16, 16, [_filled("M2 2 h5 v5 h-5 Z M10 10 h5 v5 h-5 Z")]
        case "trimmed":
            return 20, 9, [_line("M0 4.5 H20", 1.2)]
        case _:
            return 20, 9, [_line("M0 2.5 H20 M0 5.5 H20", 1.2)]


def _line(d: str, weight: float, colour: str = INK) -> dict[str, str]:
    """Path that is drawn."""
    return {"d": d, "stroke": colour, "stroke-width": str(weight), "fill": "none"}


def _filled(d: str) -> dict[str, str]:
    """Path that is filled."""
    return {"d": d, "fill": INK}


def _dot(x: float, y: float) -> str:
    """Dot of powder."""
    return f"M{x - 1.4:.1f} {y} a1.4 1.4 0 1 0 2.8 0 a1.4 1.4 0 1 0 -2.8 0 Z"
