"""Ink on paper: colours with one meaning each, sizes at arm's length, hatches, and the few SVG elements that everything is drawn with."""

from __future__ import annotations

import xml.etree.ElementTree as ET
from dataclasses import dataclass

from hardpan.exchange.drawing.lettering import ASCENT, DESCENT, FAMILY, width
from hardpan.exchange.drawing.placement import Box

INK, LOAM, CLAY, WATER, STOP = "#16120F", "#574D42", "#8A3510", "#0B4A75", "#A30A1E"
RULE, PAPER = "#CFC5B6", "#FFFFFF"
TINT, TINT_HEAVY = "#F7E6DA", "#F1D6C4"
HEAVY_RATE, TINT_RATE = 30.0, 15.0  # kg/m2 from which the second diagonal is drawn, and from which the ground is tinted

ET.register_namespace("", "http://www.w3.org/2000/svg")


@dataclass(frozen=True, slots=True)
class Type:
    """A size and weight of lettering."""

    size: float
    weight: int

    @property
    def above(self) -> float:
        """Height of letters over the baseline."""
        return self.size * ASCENT

    @property
    def below(self) -> float:
        """Depth of tails under the baseline."""
        return self.size * DESCENT

    @property
    def height(self) -> float:
        """Height of one line."""
        return self.above + self.below

    def width(self, text: str) -> float:
        """Width of one line of text."""
        return width(text, self.size, self.weight)


# A4 at 150 dots an inch: one unit is 0.169 mm; map labels are 15 (7 pt) and never less
MAP = Type(15, 600)
MAP_PLAIN = Type(15, 400)
MAP_STRONG = Type(15, 700)
RATE = Type(26, 900)


def hatch_spacing(rate: float) -> float:
    """Distance between hatch lines of a rate: more cement, more lines."""
    return 170.0 / rate


class Sheet:
    """One SVG drawing that grows downwards; text goes on top of everything else."""

    def __init__(self, width: float, title: str, about: str) -> None:
        self.width = width
        self.root = ET.Element(
            "svg", {"xmlns": "http://www.w3.org/2000/svg", "role": "img", "aria-labelledby": "title about"}
        )
        ET.SubElement(self.root, "title", {"id": "title"}).text = title
        ET.SubElement(self.root, "desc", {"id": "about"}).text = about
        self.defs = ET.SubElement(self.root, "defs")
        self.ground = ET.SubElement(self.root, "g")
        self.lines = ET.SubElement(self.root, "g", {"fill": "none", "stroke": INK, "stroke-linecap": "butt"})
        self.marks = ET.SubElement(self.root, "g", {"fill": "none", "stroke": INK, "stroke-linecap": "square"})
        self.letters = ET.SubElement(self.root, "g", {"font-family": f"{FAMILY}, sans-serif", "fill": INK})
        self._hatches: dict[tuple[str, float, bool], str] = {}

    def text(self, height: float) -> str:
        """SVG text of the drawing."""
        self.root.set("viewBox", f"0 0 {n(self.width)} {n(height)}")
        self.root.set("width", n(self.width))
        self.root.set("height", n(height))
        ET.indent(self.root)
        return ET.tostring(self.root, encoding="unicode")

    def line(
        self, x1: float, y1: float, x2: float, y2: float, *, weight: float = 1.0, colour: str = INK, dash: str = ""
    ) -> None:
        """Straight line."""
        attributes = {"x1": n(x1), "y1": n(y1), "x2": n(x2), "y2": n(y2), "stroke-width": n(weight), "stroke": colour}
        if dash:
            attributes["stroke-dasharray"] = dash
        ET.SubElement(self.lines, "line", attributes)

    def path(
        self, d: str, *, weight: float = 2.0, colour: str = INK, fill: str = "none", dash: str = "", under: bool = False
    ) -> None:
        """Path; ``under`` puts it below marks and letters."""
        attributes = {"d": d, "stroke-width": n(weight), "stroke": colour, "fill": fill}
        if dash:
            attributes["stroke-dasharray"] = dash
        ET.SubElement(self.lines if under else self.marks, "path", attributes)

    def fill(self, box: Box, colour: str) -> None:
        """Plain ground."""
        ET.SubElement(self.ground, "rect", {**_rect(box), "fill": colour})

    def hatch(self, box: Box, colour: str, spacing: float, *, crossed: bool = False, stroke: float = 1.3) -> None:
        """Ground hatched at 45 degrees, or both ways."""
        key = (colour, round(spacing, 2), crossed)
        if key not in self._hatches:
            name = f"hatch{len(self._hatches) + 1}"
            self._hatches[key] = name
            side = n(spacing * 2**0.5)
            pattern = ET.SubElement(
                self.defs, "pattern", {"id": name, "width": side, "height": side, "patternUnits": "userSpaceOnUse"}
            )
            d = f"M0 {side} L{side} 0" + (f" M0 0 L{side} {side}" if crossed else "")
            ET.SubElement(pattern, "path", {"d": d, "stroke": colour, "stroke-width": n(stroke), "fill": "none"})
        ET.SubElement(self.ground, "rect", {**_rect(box), "fill": f"url(#{self._hatches[key]})"})

    def frame(self, box: Box, *, weight: float, colour: str = INK, fill: str = "none", dash: str = "") -> None:
        """Rectangle with an edge."""
        attributes = {**_rect(box), "stroke": colour, "stroke-width": n(weight), "fill": fill}
        if dash:
            attributes["stroke-dasharray"] = dash
        ET.SubElement(self.marks, "rect", attributes)

    def write(
        self,
        x: float,
        baseline: float,
        text: str,
        kind: Type,
        *,
        colour: str = INK,
        anchor: str = "start",
        plate: bool = False,
    ) -> Box:
        """One line of text; ``plate`` puts white under it. Gives the box it covers."""
        wide = kind.width(text)
        left = {"start": x, "middle": x - wide / 2, "end": x - wide}[anchor]
        box = Box(left, baseline - kind.above, left + wide, baseline + kind.below)
        if plate:
            ET.SubElement(
                self.letters, "rect", {**_rect(Box(box.left - 2, box.top, box.right + 2, box.bottom)), "fill": PAPER}
            )
        attributes = {"x": n(x), "y": n(baseline), "font-size": n(kind.size), "font-weight": str(kind.weight)}
        if colour != INK:
            attributes["fill"] = colour
        if anchor != "start":
            attributes["text-anchor"] = anchor
        ET.SubElement(self.letters, "text", attributes).text = text
        return box


def _rect(box: Box) -> dict[str, str]:
    """Attributes of a rectangle."""
    return {"x": n(box.left), "y": n(box.top), "width": n(box.right - box.left), "height": n(box.bottom - box.top)}


def n(value: float) -> str:
    """Coordinate in as few digits as a drawing needs."""
    return f"{value:.2f}".rstrip("0").rstrip(".")
